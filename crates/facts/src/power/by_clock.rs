//! What the clock alone switches on: without any event, by beginnings and ends of schedules in the
//! ordinary week. Where it is not certain that something is on, it is off here.

use crate::power::on::Roots;
use crate::{Doubt, Hours};
use curtilage_model::{Cause, Effect, Model, OutputId, Response};
use std::collections::BTreeMap;

/// A week, min.
pub(crate) const WEEK: u32 = 7 * 24 * 60;
const MINUTE: u64 = 60_000;

/// A root contact that the clock alone keeps moved.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Clocked {
    /// Its number.
    pub(crate) root: usize,
    /// Minutes of the week from which on it is moved, and for how many. They may overlap, and run over the
    /// end of the week.
    pub(crate) spans: Vec<(u32, u32)>,
}

impl Clocked {
    /// Whether it is moved in a minute of the week.
    pub(crate) fn moves_at(&self, minute: u32) -> bool {
        self.spans.iter().any(|(from, length)| (minute + WEEK - from) % WEEK < *length)
    }
}

/// What schedules do to a root.
#[derive(Default)]
struct Said {
    /// When it is moved, min of the week, and for how long, min; none for good.
    on: Vec<(u32, Option<u32>)>,
    /// When it is let go, min of the week.
    off: Vec<u32>,
    /// Whether something about that is not known.
    open: bool,
}

/// The roots that the clock alone keeps moved.
pub(super) fn by_clock(
    model: &Model<'_>,
    doubt: &Doubt<'_>,
    acting: &[bool],
    hours: &Hours,
    roots: &Roots,
) -> Vec<Clocked> {
    // What cannot be read may let it go.
    if ["response", "schedule"].iter().any(|word| doubt.about_any(word)) {
        return Vec::new();
    }
    let mut said: BTreeMap<usize, Said> = BTreeMap::new();
    let acting = model.responses.iter().zip(acting).filter(|(_, acting)| **acting);
    for (response, _) in acting {
        let by_clock = |(cause, _): &(Cause, _)| matches!(cause, Cause::Start(_) | Cause::End(_));
        if !response.causes.iter().any(by_clock) {
            continue;
        }
        let minutes = minutes(response, hours);
        for (effect, _) in &response.effects {
            let Some((output, on, hold)) = switches(effect) else { continue };
            let Some(rooted) = roots.output(output) else { continue };
            let said = said.entry(rooted.root).or_default();
            match &minutes {
                None => said.open = true,
                Some(minutes) if on != rooted.turned => {
                    let hold = hold.map(|hold| u32::try_from(hold / MINUTE).unwrap_or(WEEK));
                    said.on.extend(minutes.iter().map(|minute| (*minute, hold)));
                }
                Some(minutes) => said.off.extend(minutes),
            }
        }
    }
    let each = said.into_iter().filter(|(_, said)| !said.open && !said.on.is_empty());
    let each = each.map(|(root, said)| Clocked { root, spans: said.spans() });
    each.filter(|one| !one.spans.is_empty()).collect()
}

/// What an effect does to an output; one that pulses counts as on for none of its time.
fn switches(effect: &Effect) -> Option<(OutputId, bool, Option<u64>)> {
    match effect {
        Effect::Switch { output, on, hold } => Some((*output, *on, *hold)),
        _ => None,
    }
}

/// The minutes of the week in which the clock makes a response take effect; none when that is not known,
/// or hangs on more than one thing.
fn minutes(response: &Response<'_>, hours: &Hours) -> Option<Vec<u32>> {
    if response.all_within.is_some() || response.during.is_none() && response.tree.during.is_some()
    {
        return None;
    }
    let later = response.tree.after.map_or(0, |after| after.value.div_ceil(MINUTE));
    let mut out = Vec::new();
    for (cause, _) in &response.causes {
        let (of, ends) = match cause {
            Cause::Start(of) => (*of, false),
            Cause::End(of) => (*of, true),
            _ => continue,
        };
        let mut edges = hours.edge_minutes(of, ends)?;
        if let Some((during, _)) = response.during {
            edges = edges.intersection(hours.ordinary(during)?);
        }
        for piece in edges.later(later).pieces() {
            let first = u32::from(piece.start().minutes());
            out.extend((first..first + piece.minutes()).map(|minute| minute % WEEK));
        }
    }
    Some(out)
}

impl Said {
    /// Each from its beginning to its own end, or to when it is let go. One that begins in the minute in
    /// which it is let go is left out: which of the two comes last is not said.
    fn spans(&self) -> Vec<(u32, u32)> {
        let on = self.on.iter().filter(|(minute, _)| !self.off.contains(minute));
        let span = |(from, hold): &(u32, Option<u32>)| {
            let until = |off: &u32| (off + WEEK - from) % WEEK;
            let let_go = self.off.iter().map(until).min().unwrap_or(WEEK);
            (*from, hold.unwrap_or(WEEK).min(let_go))
        };
        on.map(span).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::{Clocked, Said, WEEK};

    #[test]
    fn each_lasts_until_it_is_let_go() {
        let said = |on: &[(u32, Option<u32>)], off: &[u32]| {
            Said { on: on.to_vec(), off: off.to_vec(), open: false }.spans()
        };
        assert_eq!(said(&[(WEEK - 60, None)], &[480, 900]), [(WEEK - 60, 540)]);
        assert_eq!(said(&[(100, Some(30)), (200, Some(30))], &[210]), [(100, 30), (200, 10)]);
        assert_eq!(said(&[(100, None)], &[]), [(100, WEEK)]);
        // Which of the two comes last is not said.
        assert_eq!(said(&[(100, None)], &[100, 200]), []);
        let root = Clocked { root: 0, spans: vec![(WEEK - 60, 540)] };
        let moves = [WEEK - 61, WEEK - 60, 0, 479, 480].map(|minute| root.moves_at(minute));
        assert_eq!(moves, [false, true, true, true, false]);
    }
}
