//! All that can come after a set of states.

use std::cmp::Reverse;
use std::rc::Rc;

use super::super::Reason;
use super::super::bounds::{Slot, Times};
use super::super::path::Leg;
use super::spot::Spot;
use super::{Node, Quiet, Search};
use crate::Ms;
use crate::player::What;
use crate::state::{State, Timer};
use crate::step::Settled;
use crate::system::ContactId;

/// The instant in which every step is run; only differences to it are looked at.
const NOW: Ms = 1;
/// For timers that are not over: the step must not look further.
const FAR: Ms = Ms::MAX / 4;

/// One way to come to a new set.
struct Way<'a> {
    parent: Option<usize>,
    /// The regime before the instant, if there was one.
    regime: Option<usize>,
    cost: u32,
    spot: &'a Spot,
    over: &'a [bool],
    times: &'a Times,
}

/// What one instant comes to.
struct Next {
    node: Node,
    settled: Settled,
    registered: bool,
    kept: Vec<usize>,
}

impl Search<'_> {
    /// The first instant.
    pub(super) fn begin(&mut self) {
        let system = self.task.system;
        for (number, gates) in self.task.regimes.iter().enumerate() {
            let gate = |id: crate::system::GateId| gates.get(id.index()).copied().unwrap_or(false);
            let timed = self.task.rough.is_none();
            let mut spot = Spot::new(system, State::new(system, gate), timed);
            spot.each_timer(|timer| *timer = Timer { due: NOW + timer.due, tag: 0 });
            let times = Times::none();
            let way =
                Way { parent: None, regime: None, cost: 0, spot: &spot, over: &[], times: &times };
            self.with_inputs(&way, number);
        }
    }

    /// Every next instant of a node.
    pub(super) fn expand(&mut self, parent: usize) {
        let Some(node) = self.nodes.get(parent) else { return };
        let (cost, regime) = (node.cost, node.regime);
        let Some(spot) = self.spots.get(node.spot).cloned() else { return };
        for (over, times) in node.times.instants() {
            let before = tagged(&spot, &over);
            let way = Way {
                parent: Some(parent),
                regime: Some(regime),
                cost,
                spot: &before,
                over: &over,
                times: &times,
            };
            for next in 0..self.task.regimes.len() {
                self.with_inputs(&way, next);
            }
        }
    }

    /// Every choice of inputs in one instant.
    fn with_inputs(&mut self, way: &Way<'_>, regime: usize) {
        let mut before = way.spot.clone();
        let choices = before.choices(self.task.system, NOW);
        for chosen in 0u32..1 << choices.free.len() {
            let free = choices.free.iter().enumerate();
            let free = free.filter(|(place, _)| chosen >> place & 1 == 1).map(|(_, input)| *input);
            let inputs: Vec<_> = choices.forced.iter().copied().chain(free).collect();
            let switched = way.regime.is_some_and(|before| before != regime);
            let nothing = inputs.is_empty() && !switched;
            if nothing && way.parent.is_some() && !way.over.contains(&true) {
                continue;
            }
            self.step(way, &before, regime, inputs, switched);
        }
    }

    fn step(
        &mut self,
        way: &Way<'_>,
        before: &Spot,
        regime: usize,
        inputs: Vec<(ContactId, bool)>,
        switched: bool,
    ) {
        self.steps += 1;
        let quiet = way.parent.filter(|_| inputs.is_empty() && !switched);
        let next = self.successor(way, before, regime, inputs, switched);
        if next.settled == Settled::Never {
            self.never_settles(next.node);
            return;
        }
        if next.node.leg.slots.len() > self.task.bounds.timers {
            self.result.open = Some(Reason::TooManyTimers);
            return;
        }
        let to = self.reach(next.node);
        if let Some(from) = quiet {
            self.quiet.push(Quiet { from, to, registered: next.registered, kept: next.kept });
        }
    }

    /// Runs one instant.
    fn successor(
        &mut self,
        way: &Way<'_>,
        before: &Spot,
        regime: usize,
        inputs: Vec<(ContactId, bool)>,
        switched: bool,
    ) -> Next {
        let system = self.task.system;
        let mut spot = before.clone();
        // A rough search lets every sensor do what it likes.
        for &(contact, active) in inputs.iter().filter(|_| self.task.rough.is_none()) {
            spot.follows(system, contact, active, NOW);
        }
        let mut outside = std::mem::take(&mut self.outside);
        outside.clear();
        outside.contacts.extend_from_slice(&inputs);
        if switched && let Some(gates) = self.task.regimes.get(regime) {
            outside.gates.extend(system.gates.ids().zip(gates.iter().copied()));
        }
        let zone = self.task.zone;
        let mut registered = false;
        let settled = self.engine.instant(&mut spot.state, NOW, &outside, &mut |event| {
            registered |= event.what == What::Registered { zone };
        });
        self.outside = outside;
        let mut slots = Vec::with_capacity(way.over.len() + 4);
        spot.each_timer(|timer| {
            slots.push(match usize::try_from(timer.tag) {
                Ok(tag) if tag > 0 => Slot::Kept(tag - 1),
                _ => Slot::Set(timer.due - NOW),
            });
            *timer = Timer { due: 0, tag: 0 };
        });
        // Only a step that nothing from outside joins is ever looked at for loops.
        let quiet = inputs.is_empty() && !switched;
        let kept = if quiet { kept(&mut before.clone(), &mut spot, &slots) } else { Vec::new() };
        let added = u32::try_from(inputs.len()).unwrap_or(u32::MAX) + u32::from(switched);
        let leg = Leg { over: way.over.to_vec(), slots };
        let mut times = way.times.after(&leg.slots);
        if let Some(digits) = self.task.rough {
            times = times.rounded(digits);
        }
        let spot = self.spot_id(spot);
        let cost = way.cost.saturating_add(added);
        let node = Node { spot, times, cost, regime, parent: way.parent, leg, inputs };
        Next { node, settled, registered, kept }
    }

    /// The instants after a set in which nothing comes from outside, and whether the zone
    /// registers in them. Those in which a sensor has to let go are left out.
    pub(super) fn alone(&mut self, node: &Node) -> Vec<(Node, bool)> {
        let Some(spot) = self.spots.get(node.spot).cloned() else { return Vec::new() };
        let mut found = Vec::new();
        for (over, times) in node.times.instants() {
            if !over.contains(&true) {
                continue;
            }
            let mut before = tagged(&spot, &over);
            if !before.choices(self.task.system, NOW).forced.is_empty() {
                continue;
            }
            let way = Way {
                parent: None,
                regime: Some(node.regime),
                cost: node.cost,
                spot: &before,
                over: &over,
                times: &times,
            };
            let next = self.successor(&way, &before, node.regime, Vec::new(), false);
            if next.settled == Settled::Yes {
                found.push((next.node, next.registered));
            }
        }
        found
    }

    /// The node that holds the given set: a known one that covers it, or a new one.
    fn reach(&mut self, node: Node) -> usize {
        let known = self.known.entry((node.spot, node.regime)).or_default();
        let covering = known.iter().copied().find(|&other| {
            self.nodes
                .get(other)
                .is_some_and(|other| other.cost <= node.cost && other.times.covers(&node.times))
        });
        if let Some(covering) = covering {
            return covering;
        }
        let id = self.nodes.len();
        known.push(id);
        self.queue.push(Reverse((node.cost, id)));
        self.nodes.push(node);
        id
    }

    fn spot_id(&mut self, spot: Spot) -> usize {
        if let Some(&id) = self.spot_ids.get(&spot) {
            return id;
        }
        let id = self.spots.len();
        let spot = Rc::new(spot);
        self.spots.push(Rc::clone(&spot));
        self.spot_ids.insert(spot, id);
        id
    }

    /// Keeps the first story that never settles; it is not followed further.
    fn never_settles(&mut self, node: Node) {
        if self.result.open.is_none() {
            let from = self.task.place.map_or(0, |place| place.from);
            self.nodes.push(node);
            let story = self.story(&self.path(self.nodes.len() - 1), &[], from);
            self.nodes.pop();
            // A rough search may have no story for it; it is a doubt all the same.
            self.result.open = Some(Reason::NeverSettles(story.unwrap_or_default()));
        }
    }
}

/// The state just before an instant in which the given timers are over.
fn tagged(spot: &Spot, over: &[bool]) -> Spot {
    let mut before = spot.clone();
    let mut places = (1..).zip(over);
    before.each_timer(|timer| {
        if let Some((tag, &over)) = places.next() {
            *timer = Timer { due: if over { NOW } else { FAR }, tag };
        }
    });
    before
}

/// The places whose timers ran on through a step.
fn kept(before: &mut Spot, after: &mut Spot, slots: &[Slot]) -> Vec<usize> {
    let before = before.places();
    let after = after.places();
    let same = |(place, slot): (&usize, &Slot)| match slot {
        Slot::Kept(number) if before.get(*number) == Some(place) => Some(*place),
        _ => None,
    };
    after.iter().zip(slots).filter_map(same).collect()
}
