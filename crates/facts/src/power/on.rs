//! Which contacts conduct: at rest, and at the most that the responses can switch on.
//!
//! Every contact of the site is moved by one controller's relay in the end, the *root*; in between
//! stand relays of their own. A root at rest has let go. Each `opening` side on the way turns the
//! sense round, so a contact conducts when "the root has pulled in" differs from "the number of
//! `opening` sides is odd". A load on the break side is therefore on at rest, and two loads on the
//! two sides of one contact are never on together.
//!
//! Roots of one controller that one response moves at the same instant and for the same time, and
//! nothing else does, are always in the same state: they count as one.

use curtilage_model::{Contact, ControllerId, Effect, Model, OutputId, RelayId};
use curtilage_syntax::tree::output::Mode;
use std::collections::BTreeMap;

/// The root of a contact, and whether its sense is turned round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Rooted {
    /// Index into [`Roots`].
    pub(crate) root: usize,
    /// Whether the contact conducts while the root has let go.
    pub(crate) turned: bool,
}

/// A controller's relay and the states that it can be in.
#[derive(Clone, Copy, Debug, Default)]
struct Root {
    /// The state at rest: pulled in or not.
    rests_pulled: bool,
    /// Whether it can be in the other state.
    moves: bool,
    /// What can move it.
    by: Movers,
}

/// What can move a root.
#[derive(Clone, Copy, Debug, Default)]
enum Movers {
    #[default]
    Nothing,
    /// One effect of one response, which lets it pull in for a time in ms or for good.
    One { response: usize, hold: Option<u64> },
    /// Several, or one that can do anything else.
    More,
}

/// All roots of a model.
#[derive(Debug, Default)]
pub(crate) struct Roots {
    list: Vec<Root>,
    /// By output, the root of the contact that switches it; none when it is not known.
    outputs: Vec<Option<Rooted>>,
    /// The same by relay of its own.
    relays: Vec<Option<Rooted>>,
}

impl Roots {
    /// Finds every root and how the responses that can answer move it.
    pub(crate) fn of<'a>(model: &Model<'a>, acting: &[bool]) -> Self {
        let mut roots = Self::default();
        let mut known: BTreeMap<(ControllerId, &'a str), usize> = BTreeMap::new();
        let mut find = |contact: Option<Contact<'a>>| {
            let (terminal, turned) = model.root_of(contact?)?;
            let next = known.len();
            let root = *known.entry((terminal.controller, terminal.name)).or_insert(next);
            Some(Rooted { root, turned })
        };
        roots.outputs = model.outputs.iter().map(|output| find(output.through)).collect();
        roots.relays = model.relays.iter().map(|relay| find(relay.through)).collect();
        roots.list = vec![Root::default(); known.len()];
        let mut driven: Vec<(OutputId, bool)> = Vec::new();
        let acting = model.responses.iter().zip(acting).enumerate();
        for (index, (response, _)) in acting.filter(|(_, (_, acting))| **acting) {
            for (effect, _) in &response.effects {
                match effect {
                    Effect::Switch { output, on, hold } => {
                        driven.push((*output, *on));
                        // A limit of its own may end it sooner than the others.
                        let limited = model.output(*output).is_none_or(|it| it.tree.most.is_some());
                        let alone = Movers::One { response: index, hold: *hold };
                        roots.moved_by(*output, *on, if limited { Movers::More } else { alone });
                    }
                    Effect::Pulse { output, .. } => {
                        driven.extend([(*output, true), (*output, false)]);
                        roots.moved_by(*output, true, Movers::More);
                    }
                    _ => {}
                }
            }
        }
        // First what is driven, then what is forced: a forced relay stays where it is.
        for (output, on) in driven {
            let mode = model.output(output).and_then(|output| output.tree.mode);
            let forced = mode.is_some_and(|mode| mode.value != Mode::Automatic);
            if !forced {
                roots.set(output, on, false);
            }
        }
        for (id, output) in model.outputs_by_id() {
            match output.tree.mode.map(|mode| mode.value) {
                Some(Mode::ForcedOn) => roots.set(id, true, true),
                Some(Mode::ForcedOff) => roots.set(id, false, true),
                _ => {}
            }
        }
        let controllers = known.into_iter().map(|((controller, _), root)| (root, controller));
        roots.join(controllers);
        roots
    }

    /// Adds what an effect does to the relay of an output.
    fn moved_by(&mut self, output: OutputId, on: bool, mover: Movers) {
        let Some(rooted) = self.output(output) else { return };
        let Some(root) = self.list.get_mut(rooted.root) else { return };
        root.by = match root.by {
            Movers::Nothing if on != rooted.turned => mover,
            _ => Movers::More,
        };
    }

    /// Makes one of those that are always in the same state.
    fn join(&mut self, controllers: impl Iterator<Item = (usize, ControllerId)>) {
        let mut first: BTreeMap<(usize, ControllerId, Option<u64>), usize> = BTreeMap::new();
        let mut same: Vec<usize> = (0..self.list.len()).collect();
        let mut joined = false;
        for (root, controller) in controllers {
            let Some(Root { moves: true, by: Movers::One { response, hold }, .. }) =
                self.list.get(root)
            else {
                continue;
            };
            let known = *first.entry((*response, controller, *hold)).or_insert(root);
            joined |= known != root;
            if let Some(same) = same.get_mut(root) {
                *same = known;
            }
        }
        if joined {
            for rooted in self.outputs.iter_mut().chain(&mut self.relays).flatten() {
                rooted.root = same.get(rooted.root).copied().unwrap_or(rooted.root);
            }
        }
    }

    fn set(&mut self, output: OutputId, on: bool, forced: bool) {
        let Some(rooted) = self.output(output) else { return };
        let Some(root) = self.list.get_mut(rooted.root) else { return };
        let pulled = on != rooted.turned;
        if forced {
            (root.rests_pulled, root.moves) = (pulled, false);
        } else if pulled {
            root.moves = true;
        }
    }

    /// The root of an output's contact; none when a name on the way is not known.
    pub(crate) fn output(&self, output: OutputId) -> Option<Rooted> {
        self.outputs.get(output.index()).copied().flatten()
    }

    /// The root of the contact that a relay's coil hangs on.
    pub(crate) fn relay(&self, relay: RelayId) -> Option<Rooted> {
        self.relays.get(relay.index()).copied().flatten()
    }

    /// Whether a contact conducts while everything is at rest.
    pub(crate) fn at_rest(&self, rooted: Rooted) -> bool {
        self.list.get(rooted.root).is_some_and(|root| root.rests_pulled != rooted.turned)
    }

    /// Whether a contact conducts while its root is in the state other than at rest; none when the
    /// root never leaves its rest.
    pub(crate) fn moved(&self, rooted: Rooted) -> Option<bool> {
        let root = self.list.get(rooted.root).filter(|root| root.moves)?;
        Some(root.rests_pulled == rooted.turned)
    }
}
