//! A ring that one activation sets going is found by playing it, without a search.
//!
//! What is found is certain: when everything that happens repeats itself exactly, over longer than
//! the longest time that anything is remembered, and no schedule changes meanwhile, it repeats for
//! ever. What is not found this way may still be: the search decides.

use super::plant::Plant;
use curtilage_events::duty::Ratio;
use curtilage_events::explorer::{Endless, Loop};
use curtilage_events::player::{Event, Input, Limits, Story, TimedInput, What, play};
use curtilage_events::system::{
    Again, Causes, Contact, ContactId, Effect, Mode, OutputId, Registration, Span, System, Windows,
    ZoneId,
};
use curtilage_events::{Ms, WEEK};
use curtilage_model::Model;

/// The most events of one try, and of all tries for one ring.
const MOST_EVENTS: usize = 8_000;
const MOST_IN_ALL: usize = 32_000;

/// An endless story of one activation, for a zone of a ring, and the zone.
pub(super) fn one_activation(
    model: &Model<'_>,
    plant: &Plant,
    ring: &Loop,
) -> Option<(ZoneId, Endless)> {
    let mut zones = ring.zones.iter();
    let own = zones.find_map(|zone| Some((*zone, holds_itself(model, plant, ring, *zone)?)));
    own.or_else(|| {
        let zone = *ring.zones.first()?;
        Some((zone, one_that_repeats(model, plant, ring, zone)?))
    })
}

/// A zone that registers again while it is active, and whose own output keeps it active: when the
/// on-time has run out, it registers in that very instant, so the output never goes off. Whatever
/// else happens only keeps it on for longer.
fn holds_itself(model: &Model<'_>, plant: &Plant, ring: &Loop, id: ZoneId) -> Option<Endless> {
    let system = &plant.system;
    let (from, until) = quiet(system, ring)?;
    let (_, zone) = system.zones().find(|(other, _)| *other == id)?;
    let (contact, sensor) = system.contacts().find(|(other, _)| *other == zone.contact)?;
    let plain = zone.limit.is_none() && zone.confirmed.is_none() && zone.entry == 0;
    let level = zone.registration == Registration::Level(Again::AfterOnTime { gap: 0 });
    let follows = model.zones.get(contact.index()).is_none_or(|zone| zone.follows.is_some());
    if !plain || !level || follows || sensor.starts_active {
        return None;
    }
    let back = |output: OutputId| {
        system.feedback().any(|way| way.output == output && way.contact == contact && !way.inverted)
    };
    let mut own = None;
    let mut longest = 0;
    for (_, response) in system.responses().filter(|(_, r)| r.causes.zones().contains(&id)) {
        let always = matches!(response.causes, Causes::Any(_)) && response.during.contains(from);
        if !always || response.delay > 0 {
            return None;
        }
        for effect in &response.effects {
            let Effect::On { output, hold, on_time } = effect else {
                if matches!(effect, Effect::Note { .. }) {
                    continue;
                }
                return None;
            };
            let (_, sink) = system.outputs().find(|(other, _)| other == output)?;
            let length = on_time.unwrap_or(sink.on_time).span.length(zone.lockout, *hold);
            longest = longest.max(length);
            let returns = back(*output) && sink.mode == Mode::Automatic;
            own = if returns { own.max(Some((length, output.index()))) } else { own };
        }
    }
    let (length, output) = own?;
    let off =
        |effect: &Effect| matches!(effect, Effect::Off { output: of, .. } if of.index() == output);
    let cut = system.responses().any(|(_, response)| response.effects.iter().any(off));
    // Another output that runs for longer would hold up the next registration, and this one with it.
    if cut || length < longest || length < zone.lockout.max(1) {
        return None;
    }
    let story = story(contact, sensor, from);
    let end = until.min(from.saturating_add(8 * length).saturating_add(1000));
    let trace = play(
        system,
        &plant.begun_at_rest(&story),
        Limits { events: MOST_EVENTS, ..Limits::until(end) },
    );
    let registers = trace.events.iter().filter_map(|event| {
        matches!(event.what, What::Registered { zone: of } if of == id).then_some(event.at)
    });
    let times: Vec<Ms> = registers.collect();
    let as_told = times.iter().zip(times.iter().skip(1)).all(|(a, b)| b - a == length);
    if times.len() < 3 || !as_told {
        return None;
    }
    let duty = system.outputs().filter(|(id, _)| id.index() == output);
    Some(Endless {
        held: None,
        until: None,
        from: *times.get(1)?,
        period: length,
        registrations: 1,
        duty: duty.map(|(id, _)| (id, Ratio::new(1, 1))).collect(),
        story,
    })
}

fn one_that_repeats(
    model: &Model<'_>,
    plant: &Plant,
    ring: &Loop,
    zone: ZoneId,
) -> Option<Endless> {
    let system = &plant.system;
    let remembered = longest(system);
    let into = system.influence().reversed().closure(ring.contacts.iter().map(|c| c.index()));
    let (from, until) = quiet(system, ring)?;
    let mut contacts: Vec<(ContactId, &Contact)> = system.contacts().collect();
    // By name, so that the order of the file means nothing; what is no zone comes last.
    contacts.sort_by_key(|(id, _)| {
        let zone = model.zones.get(id.index());
        (zone.is_none(), zone.map(|zone| zone.name.text))
    });
    let mut left = MOST_IN_ALL;
    for (id, contact) in contacts {
        let follows = model.zones.get(id.index()).is_some_and(|zone| zone.follows.is_some());
        let matters = into.contains(&id.index()) || ring.contacts.contains(&id);
        if follows || contact.starts_active || !matters {
            continue;
        }
        if left == 0 {
            return None;
        }
        let story = story(id, contact, from);
        // Two zones of different pace come together again only after many of their periods.
        let end = until.min(from.saturating_add(remembered.saturating_mul(2_000)));
        let limits = Limits { events: MOST_EVENTS.min(left), ..Limits::until(end) };
        let trace = play(system, &plant.begun_at_rest(&story), limits);
        left = left.saturating_sub(trace.events.len());
        if let Some(found) = repeats(system, &trace.events, zone, remembered, story) {
            return Some(found);
        }
    }
    None
}

fn story(id: ContactId, contact: &Contact, at: Ms) -> Story {
    let longest = contact.longest.unwrap_or(Ms::MAX);
    let active = contact.shortest.max(contact.settle_on + 1).max(1000).min(longest);
    let inputs = [(at, true), (at.saturating_add(active), false)];
    let inputs = inputs.map(|(at, on)| TimedInput { at, input: Input::Contact(id, on) });
    Story { from: at, inputs: inputs.to_vec() }
}

/// The longest stretch of the week in which no schedule changes and every zone of the ring is
/// armed.
fn quiet(system: &System, ring: &Loop) -> Option<(Ms, Ms)> {
    let windows: Vec<&Windows> = system
        .zones()
        .map(|(_, zone)| &zone.armed)
        .chain(system.responses().map(|(_, response)| &response.during))
        .collect();
    let change = |after: Ms| windows.iter().filter_map(|windows| windows.next_change(after)).min();
    let mut best: Option<(Ms, Ms)> = None;
    let mut at = 0;
    while at < WEEK {
        let next = change(at).unwrap_or(at + 4 * WEEK);
        let mut zones = system.zones();
        let armed = zones.all(|(id, zone)| !ring.zones.contains(&id) || zone.armed.contains(at));
        if armed && best.is_none_or(|best| best.1 - best.0 < next - at) {
            best = Some((at, next));
        }
        at = next;
    }
    // An exit time runs from the beginning of an arming.
    let exit = system.zones().map(|(_, zone)| zone.exit).max().unwrap_or(0);
    best.map(|(from, until)| (from + exit, until)).filter(|(from, until)| from < until)
}

/// The longest time for which anything is remembered, and a little more.
fn longest(system: &System) -> Ms {
    let mut most = 1000;
    for (_, contact) in system.contacts() {
        most = most.max(contact.settle_on).max(contact.settle_off);
    }
    let mut lockout = 0;
    for (_, zone) in system.zones() {
        let within = zone.confirmed.as_ref().map_or(0, |confirm| confirm.within);
        most = most.max(zone.entry).max(zone.exit).max(within);
        lockout = lockout.max(zone.lockout);
    }
    most = most.max(lockout);
    for (_, response) in system.responses() {
        if let Causes::All { within, .. } = response.causes {
            most = most.max(within);
        }
        for effect in &response.effects {
            if let Effect::On { hold, .. } | Effect::Off { hold, .. } = effect {
                let length = Span::LockoutThenHold.length(lockout, *hold);
                most = most.max(response.delay.saturating_add(length));
            }
        }
        most = most.max(response.delay);
    }
    most.saturating_add(1000)
}

/// The repetition at the end of a trace.
fn repeats(
    system: &System,
    events: &[Event],
    zone: ZoneId,
    remembered: Ms,
    story: Story,
) -> Option<Endless> {
    let registers =
        |event: &&Event| matches!(event.what, What::Registered { zone: of } if of == zone);
    let times: Vec<Ms> = events.iter().filter(registers).map(|event| event.at).collect();
    let last = *times.last()?;
    let period = times
        .iter()
        .rev()
        .skip(1)
        .map(|at| last - at)
        .find(|period| *period > 0 && same(events, last, *period, remembered + *period))?;
    let begins = last - remembered - 2 * period;
    let over = story.inputs.last()?.at;
    // A limit counts what is remembered for longer.
    let limited = |event: &Event| {
        matches!(event.what, What::Registered { zone: of }
            if system.zones().any(|(id, zone)| id == of && zone.limit.is_some()))
    };
    let tail = || events.iter().filter(|event| event.at > last - period && event.at <= last);
    if begins < over || tail().any(limited) || !system.zones().any(|(id, _)| id == zone) {
        return None;
    }
    let registrations = tail().filter(registers).count();
    let duty = system.outputs().map(|(id, _)| (id, on_share(events, id, last - period, last)));
    // It is shown where it begins: at the end of what was played the schedules may change.
    let from = times.iter().copied().find(|at| *at > begins)?;
    Some(Endless {
        held: None,
        until: None,
        from,
        period,
        registrations: u64::try_from(registrations).ok()?,
        duty: duty.filter(|(_, share)| share.numerator() > 0).collect(),
        story,
    })
}

/// Whether what happens in a stretch before an instant is what happened a period earlier.
fn same(events: &[Event], last: Ms, period: Ms, stretch: Ms) -> bool {
    let from = last - stretch;
    if events.first().is_none_or(|first| first.at > from - period) {
        return false;
    }
    let part =
        |from: Ms, to: Ms| events.iter().filter(move |event| from < event.at && event.at <= to);
    let (mut now, mut before) = (part(from, last), part(from - period, last - period));
    loop {
        match (now.next(), before.next()) {
            (None, None) => return true,
            (Some(a), Some(b)) if a.what == b.what && a.at - period == b.at => {}
            _ => return false,
        }
    }
}

/// The share of a stretch in which an output is on.
fn on_share(events: &[Event], output: OutputId, from: Ms, to: Ms) -> Ratio {
    let mut on = false;
    let mut since = from;
    let mut all = 0;
    for event in events.iter().filter(|event| event.at <= to) {
        let What::Output { output: of, on: now } = event.what else { continue };
        if of != output {
            continue;
        }
        if on {
            all += (event.at - since.max(from)).max(0);
        }
        (on, since) = (now, event.at);
    }
    if on {
        all += to - since.max(from);
    }
    Ratio::new(all, to - from)
}
