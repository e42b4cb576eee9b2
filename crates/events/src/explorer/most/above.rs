//! Bounds from above, by arithmetic.

use super::super::regime;
use crate::Ms;
use crate::system::{Again, Drive, Mode, OutputId, Registration, System, Windows, Zone, ZoneId};

/// The least time between two activations of a zone that both count, in ms, above 0; `None` when
/// it never registers.
pub(super) fn spacing(system: &System, id: ZoneId) -> Option<Ms> {
    let zone = system.zones.get(id)?;
    let contact = system.contacts.get(zone.contact)?;
    if zone.armed == Windows::Never || zone.limit == Some(0) {
        return None;
    }
    let paths = || system.feedback.iter().filter(|(_, path)| path.contact == zone.contact);
    let fed = paths().next().is_some();
    // Sensor and controller: active until noted, at rest until noted, a millisecond each.
    let active = (contact.settle_on + 1).max(if fed { 0 } else { contact.shortest });
    let cannot = contact.longest.is_some_and(|longest| longest <= contact.settle_on);
    if cannot && !fed && !contact.starts_active {
        return None;
    }
    // Feedback without delay may change a level several times in an instant; the controller takes the
    // times all the same that it needs to note either level.
    let instant = paths().any(|(_, path)| path.delay == 0);
    let noted = contact.settle_on + contact.settle_off;
    let press = if instant { noted } else { active + contact.settle_off + 1 };
    let edge = press.max(zone.deaf_for());
    let least = match zone.registration {
        Registration::Edge => edge,
        Registration::Level(Again::AfterLockout) => zone.deaf_for(),
        Registration::Level(Again::AfterOnTime { .. }) => {
            // A contact may be let go while its last activation still counts, and come again.
            let anew = if instant { 0 } else { contact.settle_on + 2 };
            edge.min(held(system, id, zone)).min(anew.max(zone.deaf_for()))
        }
    };
    Some(least.max(1))
}

/// The least time between a registration and one for the contact being held after it: the lockout,
/// and the closed form where there is one. A registration that is lost on a running on-time may be
/// followed sooner, so the closed form counts only if every one starts the on-time anew.
fn held(system: &System, id: ZoneId, zone: &Zone) -> Ms {
    let mut mine = system.drives.iter().filter(|(_, drive)| drive.zone == id);
    let anew = mine.all(|(_, drive)| drive.retriggered);
    let certain = crate::duty::held(system, id).filter(|_| anew).map(|held| held.period);
    certain.unwrap_or(0).max(zone.deaf_for())
}

/// The most registrations of a zone in a stretch of time.
pub(super) fn registrations(system: &System, id: ZoneId, length: Ms) -> Option<i64> {
    let zone = system.zones.get(id)?;
    let Some(spacing) = spacing(system, id) else { return Some(0) };
    // A registration comes at most this long after its activation, and may come sooner.
    let late = zone.confirmed.as_ref().map_or(0, |confirm| confirm.within);
    let count = |time: Ms, armings: i64| {
        let free = (time + armings * (late - 1)) / spacing + armings;
        zone.limit.map_or(free, |limit| free.min(i64::from(limit).saturating_mul(armings)))
    };
    let open = open(zone);
    let mut most = 0;
    for (place, first) in open.iter().enumerate() {
        let mut time = 0;
        for (last, armings) in open.iter().skip(place).zip(1..) {
            // The stretch may begin in the last millisecond of a span.
            if last.0 >= first.1 - 1 + length {
                break;
            }
            time += last.1 - last.0;
            let between = last.1 - first.0 - time;
            most = most.max(count(time.min(length - between), armings));
        }
    }
    // Its spacing holds from one arming to the next as well.
    Some(most.min((length + late - 1) / spacing + 1))
}

/// When a zone can register: while it is armed, after its exit time, an entry time after that. Always
/// armed was armed long ago.
fn open(zone: &Zone) -> Vec<(Ms, Ms)> {
    let (start, end) = regime::horizon(&[&zone.armed]);
    open_within(zone, start, end)
}

fn open_within(zone: &Zone, start: Ms, end: Ms) -> Vec<(Ms, Ms)> {
    let mut spans = regime::spans(&zone.armed, start, end);
    if zone.armed != Windows::Always {
        spans.iter_mut().for_each(|span| span.0 += zone.exit + zone.entry);
        spans.retain(|span| span.0 < span.1);
    }
    spans
}

/// The most time on of an output in a stretch of time, in ms.
pub(super) fn time_on(system: &System, id: OutputId, length: Ms) -> Option<Ms> {
    match system.outputs.get(id)?.mode {
        Mode::ForcedOn => return Some(length),
        Mode::ForcedOff => return Some(0),
        Mode::Automatic => {}
    }
    let drives = system.drives.iter().filter(|(_, drive)| drive.output == id);
    let total = drives
        .fold(0, |total: Ms, (_, drive)| total.saturating_add(by_drive(system, drive, length)));
    Some(total.min(length))
}

fn by_drive(system: &System, drive: &Drive, length: Ms) -> Ms {
    let Some(spacing) = spacing(system, drive.zone) else { return 0 };
    let Some(zone) = system.zones.get(drive.zone) else { return 0 };
    let Some(response) = system.responses.get(drive.response) else { return 0 };
    if response.during == Windows::Never {
        return 0;
    }
    let Some(run) = drive.length else { return length };
    // Confirmation may let two registrations come closer than their activations.
    let spacing = if zone.confirmed.is_some() { 1 } else { spacing };
    let free =
        if run >= spacing { length } else { (length / spacing) * run + run.min(length % spacing) };
    let each = registrations(system, drive.zone, length + run).unwrap_or(0);
    let limited = free.min(run.saturating_mul(each));
    limited.min(by_windows(zone, &response.during, response.delay, run, length))
}

/// The most time in a stretch of the given length that is at most `run` after an instant in which the
/// zone can register and the response works.
fn by_windows(zone: &Zone, during: &Windows, delay: Ms, run: Ms, length: Ms) -> Ms {
    let (start, end) = regime::horizon(&[&zone.armed, during]);
    let works = regime::spans(during, start, end);
    let mut open = regime::both(&open_within(zone, start, end), &works);
    for span in &mut open {
        span.0 = span.0.saturating_add(delay);
        span.1 = span.1.saturating_add(delay + run);
    }
    let shade = |from: Ms| {
        let (mut at, mut sum) = (from, 0);
        for &(start, stop) in &open {
            let stop = stop.min(from + length);
            at = at.max(start);
            if stop > at {
                sum += stop - at;
                at = stop;
            }
        }
        sum
    };
    // The most is met by a stretch that begins with a span or ends with one.
    let ends = open.iter().map(|span| span.1 - length);
    open.iter().map(|span| span.0).chain(ends).map(shade).max().unwrap_or(0)
}
