//! Stories that press as often as they can, and what the player counts in them.

use super::super::regime::{self, Regime};
use super::above;
use crate::Ms;
use crate::player::{Input, Limits, Story, TimedInput, What, play};
use crate::system::{Causes, Contact, ContactId, OutputId, System, Windows, ZoneId};

/// How often to press.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pace {
    /// As often as it counts.
    Registrations,
    /// Each time that the on-time is over.
    OnTime,
}

/// Holding and pressing the contacts of the given zones and of all that they need, each kind of
/// story at the start of the longest time of each state of the schedules.
pub(super) fn stories(
    system: &System,
    zones: &[ZoneId],
    length: Ms,
    instants: usize,
    pace: Pace,
) -> Vec<Story> {
    let zones = with_helpers(system, zones);
    let mut found = Vec::new();
    for regime in regime::regimes(system) {
        let armed = |zone: &ZoneId| {
            let gate = system.zone_gate.get(*zone);
            gate.is_some_and(|gate| regime.gates.get(gate.index()) == Some(&true))
        };
        // Where all is disarmed there is nothing to count; one story must do if nothing ever is.
        if !found.is_empty() && !zones.iter().any(armed) {
            continue;
        }
        let (begins, from) = after_exit(system, &zones, &regime);
        let end = from + length;
        let mut hold = Vec::new();
        let mut press: Vec<TimedInput> = Vec::new();
        let mut seen: Vec<ContactId> = Vec::new();
        for &zone in &zones {
            let Some(contact) = system.zones.get(zone).map(|zone| zone.contact) else { continue };
            let Some(sensor) = system.contacts.get(contact) else { continue };
            if seen.contains(&contact) {
                continue;
            }
            seen.push(contact);
            hold.push(TimedInput { at: from, input: Input::Contact(contact, true) });
            if let Some(longest) = sensor.longest {
                let at = from + longest;
                hold.push(TimedInput { at, input: Input::Contact(contact, false) });
            }
            let every = spacing_of_contact(system, contact, sensor);
            let every = match pace {
                Pace::Registrations => every,
                Pace::OnTime => longest_run(system, zone).max(every),
            };
            let zones = system.zones.iter().filter(|(_, zone)| zone.contact == contact);
            let armed: Vec<&Windows> = zones.map(|(_, zone)| &zone.armed).collect();
            presses(&mut press, contact, sensor, &armed, every, (from, end), instants);
        }
        for inputs in [hold, press] {
            found.push(Story { from: begins, inputs });
        }
    }
    found.dedup();
    found
}

/// When a story has to begin so that exit times that still run are played as they do, and when they
/// are over; the beginning of the regime where they outlast it.
fn after_exit(system: &System, zones: &[ZoneId], regime: &Regime) -> (Ms, Ms) {
    let (mut begins, mut over) = (regime.from, regime.from);
    for zone in zones.iter().filter_map(|&zone| system.zones.get(zone)) {
        if zone.armed == Windows::Always || zone.exit == 0 {
            continue;
        }
        for (armed, _) in regime::spans(&zone.armed, regime.from, regime.from + 1) {
            if armed + zone.exit > regime.from {
                begins = begins.min(armed - 1);
                over = over.max(armed + zone.exit);
            }
        }
    }
    if regime.until.is_some_and(|until| over >= until) {
        over = regime.from;
    }
    (begins, over)
}

/// When a story presses first.
pub(super) fn first(story: &Story) -> Ms {
    story.inputs.iter().map(|input| input.at).min().unwrap_or(story.from)
}

/// The zones, those that must confirm them, and those that must come together with them.
fn with_helpers(system: &System, zones: &[ZoneId]) -> Vec<ZoneId> {
    let mut all = zones.to_vec();
    for &zone in zones {
        all.extend(system.zones.get(zone).and_then(|zone| zone.confirmed.as_ref()).map(|c| c.by));
        for (_, response) in system.responses.iter() {
            if let Causes::All { zones, .. } = &response.causes
                && zones.contains(&zone)
            {
                all.extend(zones);
            }
        }
    }
    all.sort_unstable();
    all.dedup();
    all
}

/// How often the contact can be pressed so that every press counts for the zones on it.
fn spacing_of_contact(system: &System, contact: ContactId, sensor: &Contact) -> Ms {
    let zones = system.zones.iter().filter(|(_, zone)| zone.contact == contact);
    let least = zones.filter_map(|(id, _)| {
        let deaf = system.zones.get(id).map_or(0, crate::system::Zone::deaf_for);
        above::spacing(system, id).map(|spacing| spacing.max(deaf))
    });
    let press = sensor.settle_on.max(sensor.shortest - 1) + 1 + sensor.settle_off + 1;
    least.max().unwrap_or(1).max(press)
}

/// The longest on-time that a zone starts, in ms.
fn longest_run(system: &System, zone: ZoneId) -> Ms {
    let drives = system.drives.iter().filter(|(_, drive)| drive.zone == zone);
    drives.filter_map(|(_, drive)| drive.length).max().unwrap_or(0)
}

fn presses(
    inputs: &mut Vec<TimedInput>,
    contact: ContactId,
    sensor: &Contact,
    armed: &[&Windows],
    every: Ms,
    (from, end): (Ms, Ms),
    most: usize,
) {
    let stays = (sensor.settle_on + 1).max(sensor.shortest);
    if sensor.longest.is_some_and(|longest| longest < stays) {
        return;
    }
    // A press that is over before any of its zones is armed does nothing.
    let counts = |at: Ms| {
        let over = at + stays + sensor.settle_off + 1;
        armed.iter().any(|armed| {
            armed.contains(at) || armed.next_change(at).is_some_and(|change| change <= over)
        })
    };
    let mut at = from;
    while at < end && inputs.len() + 2 <= most {
        if counts(at) {
            inputs.push(TimedInput { at, input: Input::Contact(contact, true) });
            inputs.push(TimedInput { at: at + stays, input: Input::Contact(contact, false) });
        }
        at += every.max(1);
    }
}

/// The most registrations of the zone in a stretch of the story, and where the stretch begins.
pub(super) fn registrations(system: &System, story: &Story, zone: ZoneId, length: Ms) -> (Ms, i64) {
    let begins = first(story);
    let trace = play(system, story, Limits::until(begins + 3 * length));
    let at: Vec<Ms> = trace
        .events
        .iter()
        .filter(|event| event.what == What::Registered { zone })
        .map(|event| event.at)
        .collect();
    let mut best = (begins, 0);
    // A stretch that begins later is not played to its end.
    let whole = at.iter().enumerate().filter(|(_, from)| **from <= begins + 2 * length);
    for (first, &from) in whole {
        let after = at.partition_point(|&other| other < from + length);
        let count = i64::try_from(after - first).unwrap_or(i64::MAX);
        if count > best.1 {
            best = (from, count);
        }
    }
    best
}

/// When each output is on in a story.
#[derive(Debug)]
pub(super) struct On(Vec<Vec<(Ms, Ms)>>);

/// Plays a story for three stretches and notes when each output is on.
pub(super) fn on(system: &System, story: &Story, length: Ms) -> On {
    let end = first(story) + 3 * length;
    let trace = play(system, story, Limits::until(end));
    let stop = trace.events.last().filter(|_| trace.ended != crate::player::Ended::Played);
    let end = stop.map_or(end, |event| event.at);
    let mut on: Vec<Vec<(Ms, Ms)>> = vec![Vec::new(); system.outputs.len()];
    for event in &trace.events {
        let What::Output { output, on: begins } = event.what else { continue };
        let Some(spans) = on.get_mut(output.index()) else { continue };
        if begins {
            spans.push((event.at, end));
        } else if let Some(span) = spans.last_mut() {
            span.1 = event.at;
        }
    }
    On(on)
}

impl On {
    /// The most time on of an output in a stretch of the story, and where the stretch begins.
    pub(super) fn longest(&self, output: OutputId, begins: Ms, length: Ms) -> (Ms, Ms) {
        let spans = self.0.get(output.index()).map_or(&[][..], Vec::as_slice);
        let mut best = (begins, 0);
        // Sliding from one start to the next: what lies in the stretch from there.
        let mut before = vec![0];
        let mut sum = 0;
        for span in spans {
            sum += span.1 - span.0;
            before.push(sum);
        }
        let total = |place: usize| before.get(place).copied().unwrap_or(0);
        for (first, &(from, _)) in spans.iter().enumerate() {
            // A stretch that begins later is not played to its end.
            if from > begins + 2 * length {
                break;
            }
            let last = spans.partition_point(|&(start, _)| start < from + length);
            let over = last.checked_sub(1).and_then(|last| spans.get(last));
            let cut = over.map_or(0, |span| (span.1 - from - length).max(0));
            let time = total(last) - total(first) - cut;
            if time > best.1 {
                best = (from, time);
            }
        }
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::system::{Builder, OnTime, Output};

    /// A story from 100 is played to 130 for a stretch of 10: the stretch begins with an on-time,
    /// is cut at its end, and is the first of equal ones; none that begins after 120, which is not
    /// played to its end, counts.
    #[test]
    fn the_longest_time_on_in_a_stretch() {
        let output = Builder::new().output(Output::automatic(OnTime::HOLD));
        for (on, want) in [
            (vec![], (100, 0)),
            (vec![(103, 105)], (103, 2)),
            (vec![(101, 103), (104, 106), (108, 120)], (108, 10)),
            (vec![(100, 103), (111, 112), (113, 115)], (100, 3)),
            (vec![(101, 103), (106, 114)], (106, 8)),
            (vec![(101, 108), (110, 114)], (101, 8)),
            (vec![(100, 101), (120, 128)], (120, 8)),
            (vec![(100, 101), (121, 129)], (100, 1)),
            (vec![(100, 101), (121, 122), (124, 130)], (100, 1)),
        ] {
            assert_eq!(On(vec![on.clone()]).longest(output, 100, 10), want, "{on:?}");
        }
    }
}
