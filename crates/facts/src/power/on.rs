//! Which contacts conduct: at rest, and at the most that the responses can switch on.
//!
//! Every contact of the site is moved by one controller's relay in the end, the *root*; in between
//! stand relays of their own. A root at rest has let go. Each `opening` side on the way turns the
//! sense round, so a contact conducts when "the root has pulled in" differs from "the number of
//! `opening` sides is odd". A load on the break side is therefore on at rest, and two loads on the
//! two sides of one contact are never on together.

use curtilage_model::{Contact, ContactAt, Effect, Model, OutputId, Terminal};
use curtilage_syntax::tree::output::Mode;
use curtilage_syntax::tree::wiring::Side;

/// The root of a contact, and whether its sense is turned round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Rooted {
    /// Index into [`Roots`].
    pub(crate) root: usize,
    /// Whether the contact conducts while the root has let go.
    pub(crate) turned: bool,
}

/// A controller's relay and the states that it can be in.
#[derive(Clone, Copy, Debug)]
struct Root<'a> {
    terminal: Terminal<'a>,
    /// The state at rest: pulled in or not.
    rests_pulled: bool,
    /// Whether it can be in the other state.
    moves: bool,
}

/// All roots of a model.
#[derive(Debug, Default)]
pub(crate) struct Roots<'a> {
    list: Vec<Root<'a>>,
}

impl<'a> Roots<'a> {
    /// Finds every root and how the responses move it.
    pub(crate) fn of(model: &Model<'a>) -> Self {
        let mut roots = Self::default();
        for contact in contacts(model) {
            roots.add(model, contact);
        }
        let mut driven: Vec<(OutputId, bool)> = Vec::new();
        for response in &model.responses {
            for (effect, _) in &response.effects {
                match effect {
                    Effect::Switch { output, on, .. } => driven.push((*output, *on)),
                    Effect::Pulse { output, .. } => {
                        driven.extend([(*output, true), (*output, false)]);
                    }
                    _ => {}
                }
            }
        }
        // First what is driven, then what is forced: a forced relay stays where it is.
        for (output, on) in driven {
            let Some(output) = model.output(output) else { continue };
            let forced = output.tree.mode.is_some_and(|mode| mode.value != Mode::Automatic);
            if !forced {
                roots.set(model, output.through, on, false);
            }
        }
        for output in &model.outputs {
            match output.tree.mode.map(|mode| mode.value) {
                Some(Mode::ForcedOn) => roots.set(model, output.through, true, true),
                Some(Mode::ForcedOff) => roots.set(model, output.through, false, true),
                _ => {}
            }
        }
        roots
    }

    fn add(&mut self, model: &Model<'a>, contact: Contact<'a>) {
        let Some((terminal, _)) = walk(model, contact) else { return };
        if !self.list.iter().any(|root| root.terminal.is(&terminal)) {
            self.list.push(Root { terminal, rests_pulled: false, moves: false });
        }
    }

    fn set(&mut self, model: &Model<'a>, contact: Option<Contact<'a>>, on: bool, forced: bool) {
        let Some(rooted) = contact.and_then(|contact| self.find(model, contact)) else { return };
        let Some(root) = self.list.get_mut(rooted.root) else { return };
        let pulled = on != rooted.turned;
        if forced {
            (root.rests_pulled, root.moves) = (pulled, false);
        } else if pulled {
            root.moves = true;
        }
    }

    /// The root of a contact; none when a name on the way is not known.
    pub(crate) fn find(&self, model: &Model<'a>, contact: Contact<'a>) -> Option<Rooted> {
        let (terminal, turned) = walk(model, contact)?;
        let root = self.list.iter().position(|root| root.terminal.is(&terminal))?;
        Some(Rooted { root, turned })
    }

    /// How many roots there are.
    pub(crate) fn len(&self) -> usize {
        self.list.len()
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

/// Every contact that switches something.
fn contacts<'m, 'a>(model: &'m Model<'a>) -> impl Iterator<Item = Contact<'a>> + use<'m, 'a> {
    let outputs = model.outputs.iter().filter_map(|output| output.through);
    outputs.chain(model.relays.iter().filter_map(|relay| relay.through))
}

/// Follows a contact to its root.
fn walk<'a>(model: &Model<'a>, mut contact: Contact<'a>) -> Option<(Terminal<'a>, bool)> {
    let mut turned = false;
    for _ in 0..=model.relays.len() {
        turned ^= contact.side == Side::Opening;
        match contact.of {
            ContactAt::Terminal(terminal) => return Some((terminal, turned)),
            ContactAt::Relay(relay) => contact = model.relay(relay)?.through?,
        }
    }
    None
}
