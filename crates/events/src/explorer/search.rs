//! The search: all reachable sets of states of a part, cheapest in inputs first.

mod next;
mod spot;
mod tail;
#[cfg(test)]
mod tests;

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap, HashMap};
use std::rc::Rc;

use super::bounds::Times;
use super::orbit::{self, Course};
use super::path::{self, Leg};
use super::regime::{Regime, Regimes};
use super::{Bounds, Reason};
use crate::Ms;
use crate::graph::Graph;
use crate::player::{Input, Story, TimedInput};
use crate::step::{Engine, Outside};
use crate::system::{ContactId, System, ZoneId};
use spot::Spot;

/// Who stays active while something goes on for ever: nobody, or one contact.
pub(super) type Holder = Option<ContactId>;

/// What a search found.
#[derive(Debug)]
pub(super) struct Searched {
    /// Sets of states looked at.
    pub(super) states: usize,
    /// Why it did not look at all of them, if so.
    pub(super) open: Option<Reason>,
    /// For each holder: the shortest story after which the zone registers for ever.
    pub(super) found: BTreeMap<Holder, Story>,
    /// Holders with a candidate that no story could be played for.
    pub(super) unplayed: Vec<(Holder, Reason)>,
}

/// What to search.
pub(super) struct Task<'a> {
    pub(super) system: &'a System,
    /// Arming may go from any of these to any other at any time.
    pub(super) regimes: &'a Regimes,
    /// Where a story is played, when there is one regime.
    pub(super) place: Option<&'a Regime>,
    pub(super) zone: ZoneId,
    pub(super) bounds: Bounds,
    /// Round bounds outwards to so many leading binary digits: a short search that can only say no.
    /// Its candidates are not played.
    pub(super) rough: Option<u32>,
}

/// A set of states.
#[derive(Clone)]
struct Node {
    /// The facts that are not times.
    spot: usize,
    times: Times,
    /// Inputs so far.
    cost: u32,
    regime: usize,
    parent: Option<usize>,
    leg: Leg,
    inputs: Vec<(ContactId, bool)>,
}

/// A step in which nothing came from outside.
struct Quiet {
    from: usize,
    to: usize,
    /// Whether the zone registered in it.
    registered: bool,
    /// The places whose timers ran on through it, ascending.
    kept: Vec<usize>,
}

struct Search<'a> {
    task: Task<'a>,
    engine: Engine<'a>,
    /// What comes from outside in the instant that is run; kept for its memory.
    outside: Outside,
    spots: Vec<Rc<Spot>>,
    spot_ids: HashMap<Rc<Spot>, usize>,
    /// For each spot and regime, its nodes.
    known: HashMap<(usize, usize), Vec<usize>>,
    nodes: Vec<Node>,
    quiet: Vec<Quiet>,
    queue: BinaryHeap<Reverse<(u32, usize)>>,
    /// Instants run so far.
    steps: usize,
    result: Searched,
}

/// Looks at everything that can happen, up to the bounds.
pub(super) fn search(task: Task<'_>) -> Searched {
    let mut search = Search::of(task);
    search.run();
    search.result.states = search.nodes.len();
    search.result
}

impl<'a> Search<'a> {
    fn of(task: Task<'a>) -> Self {
        let result =
            Searched { states: 0, open: None, found: BTreeMap::new(), unplayed: Vec::new() };
        Self {
            engine: Engine::new(task.system),
            task,
            outside: Outside::default(),
            spots: Vec::new(),
            spot_ids: HashMap::new(),
            known: HashMap::new(),
            nodes: Vec::new(),
            quiet: Vec::new(),
            queue: BinaryHeap::new(),
            steps: 0,
            result,
        }
    }
}

impl Search<'_> {
    fn run(&mut self) {
        let contacts = self.task.system.contacts.len();
        if contacts > self.task.bounds.contacts {
            self.result.open = Some(Reason::TooManyContacts(contacts));
            return;
        }
        self.begin();
        let mut level = 0;
        while let Some(Reverse((cost, node))) = self.queue.pop() {
            if cost > level {
                self.look_for_loops();
                level = cost;
                if self.all_found() {
                    return;
                }
            }
            self.expand(node);
            if self.nodes.len() > self.task.bounds.states || self.steps > self.most_steps() {
                self.result.open =
                    Some(Reason::TooManyStates { contacts, zones: self.task.system.zones.len() });
                break;
            }
            if matches!(self.result.open, Some(Reason::TooManyTimers)) {
                break;
            }
        }
        self.look_for_loops();
    }

    /// Who may stay active for ever.
    fn holders(&self) -> Vec<Holder> {
        let contacts = self.task.system.contacts.iter();
        let able = contacts.filter(|(_, contact)| contact.longest.is_none());
        std::iter::once(None).chain(able.map(|(id, _)| Some(id))).collect()
    }

    fn most_steps(&self) -> usize {
        self.task.bounds.states.saturating_mul(20)
    }

    /// Nothing more can be learned.
    fn all_found(&self) -> bool {
        let rough = self.task.rough.is_some();
        self.holders().iter().all(|holder| {
            self.result.found.contains_key(holder)
                || rough && self.result.unplayed.iter().any(|(other, _)| other == holder)
        })
    }

    /// Cycles of quiet steps in which the zone registers.
    ///
    /// If a story goes on for ever without inputs, the sets that hold its states form such a cycle,
    /// and every timer ends in it; so no such cycle means no such story. The other way round the
    /// story found is played.
    fn look_for_loops(&mut self) {
        for holder in self.holders() {
            if self.result.found.contains_key(&holder) {
                continue;
            }
            let mut graph = Graph::new(self.nodes.len());
            let fits = |node: usize| {
                let spot = self.nodes.get(node).and_then(|node| self.spots.get(node.spot));
                spot.is_some_and(|spot| spot.holder() == Some(holder))
            };
            let mine: Vec<&Quiet> =
                self.quiet.iter().filter(|step| fits(step.from) && fits(step.to)).collect();
            for step in &mine {
                graph.add_edge(step.from, step.to);
            }
            let mut place = vec![usize::MAX; self.nodes.len()];
            for (number, members) in graph.loops().iter().enumerate() {
                for &member in members {
                    if let Some(place) = place.get_mut(member) {
                        *place = number;
                    }
                }
            }
            let at = |node: usize| place.get(node).copied().unwrap_or(usize::MAX);
            let inner: Vec<&&Quiet> = mine
                .iter()
                .filter(|step| at(step.from) != usize::MAX && at(step.from) == at(step.to))
                .collect();
            // No timer runs on for ever: a loop that never ends one of its timers is not real.
            let mut immortal: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
            for step in &inner {
                let kept = immortal.entry(at(step.from)).or_insert_with(|| step.kept.clone());
                kept.retain(|timer| step.kept.binary_search(timer).is_ok());
            }
            let mut candidates: Vec<usize> = inner
                .iter()
                .filter(|step| step.registered)
                .filter(|step| immortal.get(&at(step.from)).is_some_and(Vec::is_empty))
                .flat_map(|step| [step.from, step.to])
                .collect();
            candidates.sort_by_key(|&node| (self.nodes.get(node).map(|node| node.cost), node));
            candidates.dedup();
            self.play_one(holder, &candidates);
        }
    }

    /// Plays stories that reach the candidates until one goes on as it should; if none does, looks
    /// at what really follows them.
    fn play_one(&mut self, holder: Holder, candidates: &[usize]) {
        const TRIES: usize = 20;
        if candidates.is_empty() {
            return;
        }
        if self.task.rough.is_some() {
            self.doubt(holder, Reason::NotPlayed);
            return;
        }
        let mut why = None;
        for &candidate in candidates.iter().take(TRIES) {
            if self.plays(holder, &self.path(candidate), &[], &mut why) {
                return;
            }
        }
        match self.tails(candidates) {
            Some(tails) if tails.is_empty() => {}
            // Without a place in the schedules there is nothing to play.
            _ if self.task.place.is_none() => self.doubt(holder, Reason::ArmingChanges),
            None => self.doubt(holder, why.unwrap_or(Reason::NotPlayed)),
            Some(tails) => {
                for (start, legs) in tails.iter().take(TRIES) {
                    if self.plays(holder, &self.path(*start), legs, &mut why) {
                        return;
                    }
                }
                self.doubt(holder, why.unwrap_or(Reason::NotPlayed));
            }
        }
    }

    fn doubt(&mut self, holder: Holder, why: Reason) {
        if self.result.unplayed.iter().all(|(other, _)| *other != holder) {
            self.result.unplayed.push((holder, why));
        }
    }

    /// Whether the story along a path, and on along more legs without inputs, goes on for ever.
    fn plays(
        &mut self,
        holder: Holder,
        path: &[usize],
        more: &[Leg],
        why: &mut Option<Reason>,
    ) -> bool {
        let Some(place) = self.task.place else { return false };
        let Some(story) = self.story(path, more, place.from) else { return false };
        let instants = self.task.bounds.instants;
        match orbit::course(self.task.system, &story, place.until, instants) {
            Course::Repeats(orbit)
                if orbit.registrations.get(self.task.zone.index()) > Some(&0) =>
            {
                self.result.found.insert(holder, story);
                self.result.unplayed.retain(|(other, _)| *other != holder);
                return true;
            }
            Course::Open if place.until.is_some() => {
                why.get_or_insert(Reason::ArmedTooShort);
            }
            Course::Open => {
                why.get_or_insert(Reason::NotPlayed);
            }
            Course::Repeats(_) | Course::Rests | Course::NeverSettles => {}
        }
        false
    }

    /// The nodes from the first to this one.
    fn path(&self, node: usize) -> Vec<usize> {
        let mut path = Vec::new();
        let mut next = Some(node);
        while let Some(node) = next {
            path.push(node);
            next = self.nodes.get(node).and_then(|node| node.parent);
        }
        path.reverse();
        path
    }

    /// The earliest story along a path, and such that it can go on along the further legs.
    fn story(&self, path: &[usize], more: &[Leg], from: Ms) -> Option<Story> {
        let nodes: Vec<&Node> = path.iter().filter_map(|&node| self.nodes.get(node)).collect();
        let legs: Vec<&Leg> = nodes.iter().map(|node| &node.leg).chain(more).collect();
        let instants = path::earliest(&legs)?;
        let inputs = nodes.iter().zip(instants).flat_map(|(node, at)| {
            node.inputs.iter().map(move |&(contact, active)| TimedInput {
                at: from + at,
                input: Input::Contact(contact, active),
            })
        });
        Some(Story { from, inputs: inputs.collect() })
    }
}
