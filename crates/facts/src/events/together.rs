//! The outputs that one relay of a controller moves: what is done to one of them moves them all. A lock
//! on the break side lets go when the lamp on the make side goes on.

use curtilage_model::{ControllerId, Effect, Model, Output, OutputId};
use curtilage_syntax::tree::output::Mode;
use std::collections::BTreeMap;

/// Which outputs are moved together.
#[derive(Debug)]
pub struct Together(Vec<Vec<OutputId>>);

impl Together {
    /// Those of a model.
    #[must_use]
    pub fn of<'a>(model: &Model<'a>) -> Self {
        let mut by_relay: BTreeMap<(ControllerId, &'a str), Vec<OutputId>> = BTreeMap::new();
        for (id, output) in model.outputs_by_id() {
            if let Some((terminal, _)) = output.through.and_then(|contact| model.root_of(contact)) {
                by_relay.entry((terminal.controller, terminal.name)).or_default().push(id);
            }
        }
        let mut all: Vec<Vec<OutputId>> = model.outputs_by_id().map(|(id, _)| vec![id]).collect();
        for ids in by_relay.into_values().filter(|ids| ids.len() > 1) {
            for id in &ids {
                // What somebody took away from its responses moves nothing else either.
                if model.output(*id).is_some_and(is_automatic)
                    && let Some(list) = all.get_mut(id.index())
                {
                    list.extend(ids.iter().filter(|other| *other != id));
                }
            }
        }
        Self(all)
    }

    /// The outputs that move when something is done to one of them, which is the first.
    #[must_use]
    pub fn with(&self, output: OutputId) -> &[OutputId] {
        self.0.get(output.index()).map_or(&[], Vec::as_slice)
    }

    /// Whether an effect moves an output, by itself or by the relay that it shares with another one.
    #[must_use]
    pub fn moves(&self, effect: &Effect, output: OutputId) -> bool {
        switched(effect).is_some_and(|switched| self.with(switched).contains(&output))
    }
}

/// The output that an effect names.
#[must_use]
pub fn switched(effect: &Effect) -> Option<OutputId> {
    match effect {
        Effect::Switch { output, .. } | Effect::Pulse { output, .. } => Some(*output),
        _ => None,
    }
}

/// Whether responses have an output at all.
#[must_use]
pub fn is_automatic(output: &Output<'_>) -> bool {
    output.tree.mode.is_none_or(|mode| mode.value == Mode::Automatic)
}
