//! The contacts that responses move, and what hangs on their other side.

use curtilage_facts::events::{is_automatic, moves, rests_on, switched};
use curtilage_model::{ControllerId, Model, Output};
use std::collections::BTreeSet;

/// The relays of controllers that responses move. What moves an output on one side of a contact moves the
/// one on its other side too: a lock lets go when the lamp beside its exit goes on.
pub(crate) struct Moving<'a>(BTreeSet<(ControllerId, &'a str)>);

impl<'a> Moving<'a> {
    /// Those of the outputs that a response takes away from their rest.
    pub(crate) fn by_responses(model: &Model<'a>) -> Self {
        let effects = model.responses.iter().flat_map(|response| &response.effects);
        let moved = effects.filter_map(|(effect, _)| {
            let id = switched(effect)?;
            let output = model.output(id).filter(|output| is_automatic(output))?;
            (moves(effect, id, rests_on(model, id)) == Some(true)).then_some(output)
        });
        Self(moved.filter_map(|output| root(model, output)).collect())
    }

    /// Whether the contact of an output is moved.
    pub(crate) fn moves(&self, model: &Model<'a>, output: &Output<'a>) -> bool {
        root(model, output).is_some_and(|root| self.0.contains(&root))
    }
}

/// The relay of a controller that moves its contact in the end.
fn root<'a>(model: &Model<'a>, output: &Output<'a>) -> Option<(ControllerId, &'a str)> {
    let (terminal, _) = model.root_of(output.through?)?;
    Some((terminal.controller, terminal.name))
}
