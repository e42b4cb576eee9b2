//! Is there a time at which an activation is not heard, or is heard and does nothing?

mod again;

use super::regime::{both, outside, spans};
use super::{Answer, Explorer, Proof, Reason};
use crate::Ms;
use crate::player::{Input, Limits, Story, TimedInput, What, play};
use crate::system::{
    Causes, Contact, Effect, Mode, OutputId, Response, System, Windows, Zone, ZoneId,
};
use again::{Runs, again};

/// A time at which an activation of a zone comes to nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Deaf {
    /// Why.
    pub why: WhyDeaf,
    /// The first instant, in ms, at which the controller would take note of the activation.
    pub from: Ms,
    /// The first instant after it at which that is not so any more.
    pub until: Ms,
    /// The shortest story that shows it: its last activation does nothing.
    pub story: Story,
}

/// Why an activation comes to nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum WhyDeaf {
    /// The zone is not armed, or its exit time runs, or it is disarmed before its entry time ends.
    NotHeard,
    /// It registers, but no response works then.
    NoEffect,
    /// On its own it never registers: it wants confirmation.
    Unconfirmed,
    /// This arming has had all its registrations.
    Limit,
    /// The lockout still runs, but nothing that the last registration started does.
    Lockout,
}

impl Explorer<'_> {
    /// The times in `[from, until)` at which a first, short activation of the zone comes to nothing.
    ///
    /// A response that wants several zones does nothing for one; a forced output does nothing.
    /// `No` says that every instant is covered.
    #[must_use]
    pub fn deaf(&self, id: ZoneId, from: Ms, until: Ms) -> Answer<Vec<Deaf>> {
        let (zone, contact) = match self.asked(id) {
            Ok(asked) => asked,
            Err(reason) => return Answer::NotKnown { reason, states: 0 },
        };
        let story = |at: Ms| short(zone, contact, &[at], self.begins(zone, at, contact));
        let found = |why: WhyDeaf, gaps: Vec<(Ms, Ms)>| {
            let deaf = gaps.into_iter().map(move |(from, until)| (why, from, until, story(from)));
            deaf.map(|(why, from, until, story)| Deaf { why, from, until, story })
                .collect::<Vec<_>>()
        };
        if zone.confirmed.is_some() {
            return Answer::Yes(found(WhyDeaf::Unconfirmed, vec![(from, until)]));
        }
        let heard = heard(zone, from, until);
        let mut all = found(WhyDeaf::NotHeard, outside(&heard, from, until));
        let mut works = Vec::new();
        for response in self.responses_to(id) {
            if response.effects.iter().any(|effect| does_something(self.system, zone, effect)) {
                // The windows are asked when it registers, at the end of the entry time.
                let during = spans(&response.during, from + zone.entry, until + zone.entry);
                let entry = zone.entry;
                works.extend(during.into_iter().map(|span| (span.0 - entry, span.1 - entry)));
            }
        }
        let idle = both(&heard, &outside(&works, from, until));
        let within = both(&idle, &[(from, until)]);
        all.extend(found(WhyDeaf::NoEffect, within));
        if all.is_empty() {
            return Answer::No(Proof::Covered);
        }
        all.sort_by_key(|deaf| (deaf.from, deaf.why));
        Answer::Yes(all)
    }

    /// Whether an activation after earlier ones can come to nothing although the zone is armed and
    /// nothing that they started still runs. What is not an output runs for no time at all.
    ///
    /// Tried at the first instant in `[from, until)` at which a first activation is heard and does
    /// something.
    #[must_use]
    pub fn deaf_again(&self, id: ZoneId, from: Ms, until: Ms) -> Answer<Deaf> {
        let (zone, contact) = match self.asked(id) {
            Ok(asked) => asked,
            Err(reason) => return Answer::NotKnown { reason, states: 0 },
        };
        let outputs: Vec<OutputId> = self
            .responses_to(id)
            .flat_map(|response| response.effects.iter().filter_map(Effect::output))
            .collect();
        let cut = |effect: &Effect| match effect {
            Effect::Off { output, .. } => outputs.contains(output),
            _ => false,
        };
        if self.system.responses.iter().any(|(_, r)| r.effects.iter().any(cut)) {
            return Answer::NotKnown { reason: Reason::SwitchedOff, states: 0 };
        }
        let Some(start) = self.first_good(id, zone, from, until) else {
            return Answer::No(Proof::NeverHeard);
        };
        let certain = self.runs(id, zone, false);
        let possible = self.runs(id, zone, true);
        let Some((why, noted, over)) = again(zone, contact, start, &certain, &possible) else {
            return Answer::No(Proof::Covered);
        };
        if noted.len() > self.bounds.instants {
            return Answer::NotKnown { reason: Reason::NotPlayed, states: 0 };
        }
        let story = short(zone, contact, &noted, self.begins(zone, start, contact));
        let last = noted.last().copied().unwrap_or(start);
        let until = over.unwrap_or(until).max(last + 1);
        if self.comes_to_nothing(id, &story, last, &outputs) {
            Answer::Yes(Deaf { why, from: last, until, story })
        } else {
            Answer::NotKnown { reason: Reason::NotPlayed, states: 0 }
        }
    }

    /// Plays the story: at its last activation the zone refuses, and nothing of its own runs.
    fn comes_to_nothing(&self, id: ZoneId, story: &Story, at: Ms, outputs: &[OutputId]) -> bool {
        let trace = play(self.system, story, Limits::until(at + 1));
        let refused = trace.events.iter().any(|event| {
            event.at == at && matches!(event.what, What::Refused { zone, .. } if zone == id)
        });
        let on = outputs.iter().any(|&output| {
            let last = trace.events.iter().rev().find_map(|event| match event.what {
                What::Output { output: other, on } if other == output => Some(on),
                _ => None,
            });
            let mode = self.system.outputs.get(output).map(|output| output.mode);
            mode == Some(Mode::Automatic) && last == Some(true)
        });
        refused && !on
    }

    /// What the zone's registrations start, with those responses that only work at times or not.
    fn runs(&self, id: ZoneId, zone: &Zone, at_times: bool) -> Runs {
        let mut runs =
            Runs { longest: Some(zone.entry), longest_anew: zone.entry, longest_lost: None };
        for response in self.responses_to(id) {
            if at_times || response.during == Windows::Always {
                runs.add(self.system, zone, response);
            }
        }
        runs
    }

    fn asked(&self, id: ZoneId) -> Result<(&Zone, &Contact), Reason> {
        let zone = self.system.zones.get(id).ok_or(Reason::UnknownId)?;
        let contact = self.system.contacts.get(zone.contact).ok_or(Reason::UnknownId)?;
        if self.system.feedback.iter().any(|(_, path)| path.contact == zone.contact) {
            return Err(Reason::OutputReachesContact);
        }
        Ok((zone, contact))
    }

    /// The responses that one registration of the zone causes.
    fn responses_to(&self, id: ZoneId) -> impl Iterator<Item = &Response> {
        let responses = self.system.responses.iter().map(|(_, response)| response);
        responses.filter(move |response| match &response.causes {
            Causes::Any(zones) => zones.contains(&id),
            Causes::All { zones, .. } => zones.as_slice() == [id],
        })
    }

    /// When a story must begin so that the zone's exit time is played as it really runs.
    fn begins(&self, zone: &Zone, at: Ms, contact: &Contact) -> Ms {
        let first = at - contact.settle_on - 1;
        let span = spans(&zone.armed, at, at + 1).first().copied();
        match span {
            Some((start, _)) if zone.armed != Windows::Always && zone.exit > 0 => {
                first.min(start - 1)
            }
            _ => first,
        }
    }

    fn first_good(&self, id: ZoneId, zone: &Zone, from: Ms, until: Ms) -> Option<Ms> {
        let heard = both(&heard(zone, from, until), &[(from, until)]);
        let mut at = heard.first()?.0;
        if let Answer::Yes(gaps) = self.deaf(id, from, until) {
            for gap in gaps {
                if gap.from <= at && at < gap.until {
                    at = gap.until;
                }
            }
        }
        (at < until).then_some(at)
    }
}

/// The instants around `[from, until)` at which a first activation is heard. Always armed was
/// armed long ago.
fn heard(zone: &Zone, from: Ms, until: Ms) -> Vec<(Ms, Ms)> {
    let mut heard = spans(&zone.armed, from, until);
    if zone.armed != Windows::Always {
        for span in &mut heard {
            span.0 += zone.exit;
            span.1 -= zone.entry;
        }
        heard.retain(|span| span.0 < span.1);
    }
    if zone.limit == Some(0) {
        heard.clear();
    }
    heard
}

fn does_something(system: &System, zone: &Zone, effect: &Effect) -> bool {
    let automatic = |output: OutputId| {
        system.outputs.get(output).is_some_and(|output| output.mode == Mode::Automatic)
    };
    match effect {
        Effect::On { output, hold, on_time } => {
            let own = system.outputs.get(*output).map(|output| output.on_time);
            let length = on_time.or(own).map_or(0, |o| o.span.length(zone.lockout, *hold));
            automatic(*output) && length > 0
        }
        Effect::Latch { output } => automatic(*output),
        // At rest there is nothing to switch off.
        Effect::Off { .. } => false,
        Effect::Note { .. } => true,
    }
}

/// The least time between two activations that the controller takes note of, in ms.
fn press_cycle(contact: &Contact) -> Ms {
    stays(contact) + contact.settle_off + 1
}

/// How long a short activation is, so that it is taken note of, in ms.
fn stays(contact: &Contact) -> Ms {
    (contact.settle_on + 1).max(contact.shortest)
}

/// Short activations of which the controller takes note at the given instants.
fn short(zone: &Zone, contact: &Contact, noted: &[Ms], from: Ms) -> Story {
    let mut inputs = Vec::new();
    for &at in noted {
        let at = at - contact.settle_on;
        let press = |at, active| TimedInput { at, input: Input::Contact(zone.contact, active) };
        inputs.push(press(at, true));
        inputs.push(press(at + stays(contact), false));
    }
    Story { from, inputs }
}
