//! Can a zone register for ever, with one contact held or with all at rest?

mod closed;
mod names;

use std::rc::Rc;

use super::orbit::{self, Course, Orbit};
use super::regime::{self, Regime, Regimes};
use super::search::{self, Searched, Task};
use super::{Answer, Explorer, Proof, Reason};
use crate::duty::Ratio;
use crate::player::{Input, Story, TimedInput};
use crate::system::{ContactId, Nodes, OutputId, Part, ResponseId, System, ZoneId};
use crate::{HOUR, Ms};
use closed::closed_form;
pub(super) use names::outer_story;
use names::{moved, outer_reason, plain};

/// A zone that registers for ever.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Endless {
    /// The shortest story, in inputs, after which it does; of these, the earliest inputs of one
    /// order of events.
    pub story: Story,
    /// The contact that stays active; `None` when all are at rest.
    pub held: Option<ContactId>,
    /// Until when the schedules stay as they are in this story, in ms; `None` for ever. "For
    /// ever" is meant up to then.
    pub until: Option<Ms>,
    /// When the repetition begins, in ms.
    pub from: Ms,
    /// Its length in ms, above 0.
    pub period: Ms,
    /// The zone's registrations in a period, above 0.
    pub registrations: u64,
    /// For each output that is on in it: the share of time.
    pub duty: Vec<(OutputId, Ratio)>,
}

impl Endless {
    /// Registrations an hour.
    #[must_use]
    pub fn per_hour(&self) -> Ratio {
        let count = i64::try_from(self.registrations).unwrap_or(i64::MAX);
        Ratio::new(count.saturating_mul(HOUR), self.period)
    }
}

/// So many searches may take all that one may; who asks more is answered after a short look, so that
/// a site with many hard questions does not take minutes.
const HARD: usize = 10;

/// Searches in turn, by the leading binary digits of their bounds: roughly, exactly.
const LADDER: [Option<u32>; 2] = [Some(1), None];

/// Who stays active while a zone registers for ever.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Who {
    Nobody,
    Anyone,
    One(ContactId),
}

impl Who {
    fn fits(self, holder: Option<ContactId>) -> bool {
        match self {
            Self::Nobody => holder.is_none(),
            Self::Anyone => holder.is_some(),
            Self::One(contact) => holder == Some(contact),
        }
    }
}

/// A loop that might keep itself going: an output comes back to a contact on which it depends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loop {
    /// Its contacts, ascending.
    pub contacts: Vec<ContactId>,
    /// Its zones, ascending.
    pub zones: Vec<ZoneId>,
    /// Its responses, ascending.
    pub responses: Vec<ResponseId>,
    /// Its outputs, ascending.
    pub outputs: Vec<OutputId>,
}

impl Explorer<'_> {
    /// The loops of [`System::wiring`], ordered by their first contact.
    #[must_use]
    pub fn loops(&self) -> Vec<Loop> {
        let system = self.system;
        let nodes = Nodes::of(system);
        let mut loops = system.wiring().loops();
        // Zones that confirm each other are no loop: no output takes part.
        loops.retain(|part| system.outputs.ids().any(|id| part.contains(&nodes.output(id))));
        let of = |part: &[usize]| Loop {
            contacts: system.contacts.ids().filter(|&c| part.contains(&nodes.contact(c))).collect(),
            zones: system.zones.ids().filter(|&z| part.contains(&nodes.zone(z))).collect(),
            responses: system
                .responses
                .ids()
                .filter(|&r| part.contains(&nodes.response(r)))
                .collect(),
            outputs: system.outputs.ids().filter(|&o| part.contains(&nodes.output(o))).collect(),
        };
        loops.iter().map(|part| of(part)).collect()
    }

    /// Can the zone register for ever while one contact stays active and all others are at rest?
    ///
    /// Only contacts that can stay active for ever, and that have an influence on the zone, are
    /// held. Before that they may do anything.
    pub fn held(&mut self, zone: ZoneId) -> Answer<Endless> {
        self.endless(zone, Who::Anyone)
    }

    /// As [`Explorer::held`], for one contact.
    pub fn held_by(&mut self, zone: ZoneId, contact: ContactId) -> Answer<Endless> {
        let Some(sensor) = self.system.contacts.get(contact) else {
            return Answer::NotKnown { reason: Reason::UnknownId, states: 0 };
        };
        if sensor.longest.is_some() {
            return Answer::No(Proof::CannotStay);
        }
        let part = self.part_of_zone(zone);
        if part.contacts.contains(&contact) {
            return self.endless(zone, Who::One(contact));
        }
        // It has no influence: held or not is the same.
        self.endless(zone, Who::Nobody).map(|mut endless| {
            let input = Input::Contact(contact, true);
            endless.story.inputs.insert(0, TimedInput { at: endless.story.from, input });
            endless.held = Some(contact);
            endless
        })
    }

    /// Can the zone register for ever while all contacts are at rest?
    pub fn at_rest(&mut self, zone: ZoneId) -> Answer<Endless> {
        self.endless(zone, Who::Nobody)
    }

    fn endless(&mut self, id: ZoneId, who: Who) -> Answer<Endless> {
        let Some(zone) = self.system.zones.get(id) else {
            return Answer::NotKnown { reason: Reason::UnknownId, states: 0 };
        };
        if let Some(proof) = closed_form(self.system, self.has_loops, zone, who != Who::Nobody) {
            return Answer::No(proof);
        }
        let part = self.part_of_zone(id);
        let Some(inner) = part.zone(id) else {
            return Answer::NotKnown { reason: Reason::UnknownId, states: 0 };
        };
        let who = match who {
            Who::One(contact) => match part.contact(contact) {
                Some(contact) => Who::One(contact),
                None => return Answer::NotKnown { reason: Reason::UnknownId, states: 0 },
            },
            other => other,
        };
        let all = regime::regimes(&part.system);
        let mut states = 0;
        let mut open = None;
        for regime in &all {
            match self.in_regime(&part, inner, who, regime) {
                Answer::Yes((story, holder)) => {
                    return self.tell(&part, id, regime, &story, holder);
                }
                Answer::No(Proof::Searched { states: looked }) => states += looked,
                Answer::No(_) => {}
                Answer::NotKnown { reason, states: looked } => {
                    states += looked;
                    open.get_or_insert(outer_reason(&part, reason, regime.from));
                }
            }
        }
        if open.is_none() && all.len() > 1 {
            let regimes: Regimes = all.into_iter().map(|regime| regime.gates).collect();
            match self.searched(&part.system, &regimes, None, inner, who) {
                Answer::No(Proof::Searched { states: looked }) => states += looked,
                Answer::No(_) => {}
                Answer::Yes(_) | Answer::NotKnown { reason: Reason::NeverSettles(_), .. } => {
                    open = Some(Reason::ArmingChanges);
                }
                Answer::NotKnown { reason, .. } => open = Some(reason),
            }
        }
        match open {
            Some(reason) => Answer::NotKnown { reason, states },
            None => Answer::No(Proof::Searched { states }),
        }
    }

    /// The answer while the schedules stay as they are.
    fn in_regime(
        &mut self,
        part: &Part,
        zone: ZoneId,
        who: Who,
        regime: &Regime,
    ) -> Answer<(Story, Option<ContactId>)> {
        if let Some(found) = self.at_once(part, zone, who, regime) {
            return Answer::Yes(found);
        }
        let regimes = vec![regime.gates.clone()];
        let answer = self.searched(&part.system, &regimes, Some(regime), zone, who);
        answer.map(|(story, holder)| (moved(story, regime.from), holder))
    }

    /// The stories that need no search: nothing at all, or one contact that is held from the start.
    /// There is no shorter one.
    fn at_once(
        &self,
        part: &Part,
        zone: ZoneId,
        who: Who,
        regime: &Regime,
    ) -> Option<(Story, Option<ContactId>)> {
        let system = &part.system;
        let starts: Vec<ContactId> = system
            .contacts
            .iter()
            .filter_map(|(id, contact)| contact.starts_active.then_some(id))
            .collect();
        if !starts.is_empty() {
            return None;
        }
        let able = system.contacts.iter().filter(|(_, contact)| contact.longest.is_none());
        let holders = std::iter::once(None).chain(able.map(|(id, _)| Some(id)));
        holders.filter(|&holder| who.fits(holder)).find_map(|holder| {
            let hold =
                |contact| TimedInput { at: regime.from, input: Input::Contact(contact, true) };
            let story = Story { from: regime.from, inputs: holder.map(hold).into_iter().collect() };
            match orbit::course(system, &story, regime.until, self.bounds.instants) {
                Course::Repeats(orbit) if orbit.registrations.get(zone.index()) > Some(&0) => {
                    Some((story, holder))
                }
                _ => None,
            }
        })
    }

    /// Searches roughly, and exactly where that leaves a doubt. Stories begin at 0.
    fn searched(
        &mut self,
        system: &System,
        regimes: &Regimes,
        place: Option<&Regime>,
        zone: ZoneId,
        who: Who,
    ) -> Answer<(Story, Option<ContactId>)> {
        let mut last = None;
        let mut states = 0;
        for rough in LADDER {
            let searched = self.search(system, regimes, place, zone, rough);
            states += searched.states;
            let answer = judge(&searched, who);
            if matches!(answer, Answer::No(_)) {
                return Answer::No(Proof::Searched { states });
            }
            last = Some(answer);
        }
        match last {
            Some(Answer::NotKnown { reason, .. }) => Answer::NotKnown { reason, states },
            Some(answer) => answer,
            None => Answer::NotKnown { reason: Reason::NotPlayed, states },
        }
    }

    /// One search, or what is remembered of it.
    fn search(
        &mut self,
        system: &System,
        regimes: &Regimes,
        place: Option<&Regime>,
        zone: ZoneId,
        rough: Option<u32>,
    ) -> Rc<Searched> {
        // Equal schedules at another time give equal stories.
        let length = place.and_then(|place| Some(place.until? - place.from));
        let key = (plain(system, regimes), regimes.clone(), length, zone, rough);
        if let Some(known) = self.searched.get(&key) {
            return Rc::clone(known);
        }
        let mut bounds = self.bounds;
        if self.states() > HARD * bounds.states {
            bounds.states /= 20;
        }
        let mut searched = search::search(Task { system, regimes, place, zone, bounds, rough });
        let from = place.map_or(0, |place| place.from);
        for story in searched.found.values_mut() {
            *story = moved(std::mem::take(story), -from);
        }
        if let Some(Reason::NeverSettles(story)) = &mut searched.open {
            *story = moved(std::mem::take(story), -from);
        }
        let searched = Rc::new(searched);
        self.searched.insert(key, Rc::clone(&searched));
        searched
    }

    /// The story in the whole system's names, with its figures.
    fn tell(
        &self,
        part: &Part,
        id: ZoneId,
        regime: &Regime,
        story: &Story,
        holder: Option<ContactId>,
    ) -> Answer<Endless> {
        let whole = outer_story(part, story);
        let held = holder.and_then(|inner| part.contacts.get(inner.index()).copied());
        let instants = self.bounds.instants;
        let plays = |orbit: Orbit, zone: usize, outputs: &dyn Fn(usize) -> Option<OutputId>| {
            let registrations = orbit.registrations.get(zone).copied().unwrap_or(0);
            let on = orbit.on.iter().enumerate().filter(|(_, on)| **on > 0);
            let duty = on
                .filter_map(|(place, &on)| Some((outputs(place)?, Ratio::new(on, orbit.period))))
                .collect();
            Endless {
                story: whole.clone(),
                held,
                until: regime.until,
                from: orbit.from,
                period: orbit.period,
                registrations,
                duty,
            }
        };
        let ids: Vec<OutputId> = self.system.outputs.ids().collect();
        if let Course::Repeats(orbit) = orbit::course(self.system, &whole, regime.until, instants)
            && orbit.registrations.get(id.index()) > Some(&0)
        {
            return Answer::Yes(plays(orbit, id.index(), &|place| ids.get(place).copied()));
        }
        // Something else in the whole system repeats in another rhythm: the part's figures.
        let inner = part.zone(id).map_or(usize::MAX, ZoneId::index);
        match orbit::course(&part.system, story, regime.until, instants) {
            Course::Repeats(orbit) => {
                Answer::Yes(plays(orbit, inner, &|place| part.outputs.get(place).copied()))
            }
            _ => Answer::NotKnown { reason: Reason::NotPlayed, states: 0 },
        }
    }
}

/// What a search says about held contacts, or about all at rest.
fn judge(searched: &Searched, who: Who) -> Answer<(Story, Option<ContactId>)> {
    let mut found: Vec<_> =
        searched.found.iter().filter(|(holder, _)| who.fits(**holder)).collect();
    found.sort_by_key(|(holder, story)| (story.inputs.len(), **holder));
    if let Some((holder, story)) = found.first() {
        return Answer::Yes(((*story).clone(), **holder));
    }
    let states = searched.states;
    let unplayed = searched.unplayed.iter().find(|(holder, _)| who.fits(*holder));
    match searched.open.as_ref().or(unplayed.map(|(_, reason)| reason)) {
        Some(reason) => Answer::NotKnown { reason: reason.clone(), states },
        None => Answer::No(Proof::Searched { states }),
    }
}
