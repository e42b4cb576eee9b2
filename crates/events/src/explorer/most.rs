//! The most that can happen: registrations in an hour, an output's time on in a day, and so on.
//!
//! From above by arithmetic: registrations of a zone cannot come closer together than its lockout
//! and its settle times let them. From below by stories that press as often as that allows, or
//! hold; the player counts. Where the two meet, the figure is exact.

mod above;
mod below;

use super::Explorer;
use super::endless::outer_story;
use crate::player::Story;
use crate::system::{Mode, OutputId, Part, System, ZoneId};
use crate::{Ms, WEEK};
use below::Pace;

/// The most of something in any stretch of time of a given length.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Most {
    /// This much happens in the story.
    pub at_least: i64,
    /// The story.
    pub story: Story,
    /// The stretch of the story in which it happens: from here, in ms.
    pub from: Ms,
    /// The length of the stretch, in ms.
    pub length: Ms,
    /// It is never more than this.
    pub at_most: i64,
}

impl Most {
    /// The figure, if the two bounds meet.
    #[must_use]
    pub fn exactly(&self) -> Option<i64> {
        (self.at_least == self.at_most).then_some(self.at_most)
    }
}

/// What is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Counted {
    Registrations(ZoneId),
    TimeOn(OutputId),
}

/// A part, what is counted in it, the length of the stretch, and the bound from above.
pub(super) type Count = (System, Counted, Ms, i64);

/// A story that presses, and when each output is on in it, once it has been played. Outputs that
/// are driven by the same zones share it.
#[derive(Debug)]
pub(super) struct Day {
    story: Story,
    on: Option<below::On>,
}

/// A part, the zones that press in it, and the length of the stretch.
pub(super) type Pressed = (System, Vec<ZoneId>, Ms);

impl Explorer<'_> {
    /// The most registrations of a zone in any stretch `[from, from + length)`; `length` in ms, from
    /// 1 to [`WEEK`], for instance [`crate::HOUR`].
    ///
    /// `None` for a length out of range and for an id of another system.
    pub fn most_registrations(&mut self, zone: ZoneId, length: Ms) -> Option<Most> {
        if !(1..=WEEK).contains(&length) {
            return None;
        }
        let at_most = above::registrations(self.system, zone, length)?;
        let part = self.part_of_zone(zone);
        let inner = part.zone(zone)?;
        Some(self.most(&part, Counted::Registrations(inner), length, at_most))
    }

    /// The longest time, in ms, for which an output can be on in any stretch of `length` ms, from 1
    /// to [`WEEK`], for instance [`crate::DAY`].
    ///
    /// `None` for a length out of range and for an id of another system.
    pub fn longest_on(&mut self, output: OutputId, length: Ms) -> Option<Most> {
        if !(1..=WEEK).contains(&length) {
            return None;
        }
        let at_most = above::time_on(self.system, output, length)?;
        let part = self.part_of_output(output);
        let inner = part.output(output)?;
        Some(self.most(&part, Counted::TimeOn(inner), length, at_most))
    }

    /// The most that the player counts in a part, in the whole system's names. Equal parts are
    /// played once.
    fn most(&mut self, part: &Part, counted: Counted, length: Ms, at_most: i64) -> Most {
        let key = (part.system.clone(), counted, length, at_most);
        if let Some(known) = self.counted.get(&key) {
            return Most { story: outer_story(part, &known.story), ..known.clone() };
        }
        let (system, instants) = (&part.system, self.bounds.instants);
        let most = match counted {
            Counted::Registrations(zone) => {
                let stories =
                    below::stories(system, &[zone], length, instants, Pace::Registrations);
                let counts = stories.into_iter().map(|story| {
                    let (from, count) = below::registrations(system, &story, zone, length);
                    (story, from, count)
                });
                best(counts, length, at_most)
            }
            Counted::TimeOn(output) => {
                let zones = driving(system, output);
                let days = self.days.entry((system.clone(), zones, length)).or_insert_with_key(
                    |(system, zones, length)| {
                        below::stories(system, zones, *length, instants, Pace::OnTime)
                            .into_iter()
                            .map(|story| Day { story, on: None })
                            .collect()
                    },
                );
                let times = days.iter_mut().map(|day| {
                    let on = day.on.get_or_insert_with(|| below::on(system, &day.story, length));
                    let (from, time) = on.longest(output, below::first(&day.story), length);
                    (day.story.clone(), from, time)
                });
                best(times, length, at_most)
            }
        };
        let told = Most { story: outer_story(part, &most.story), ..most.clone() };
        self.counted.insert(key, most);
        told
    }
}

/// The zones that switch an output on; none for a forced one.
fn driving(system: &System, output: OutputId) -> Vec<ZoneId> {
    match system.outputs.get(output).map(|output| output.mode) {
        Some(Mode::Automatic) => {
            let drives = system.drives.iter().filter(|(_, drive)| drive.output == output);
            drives.map(|(_, drive)| drive.zone).collect()
        }
        Some(Mode::ForcedOn | Mode::ForcedOff) | None => Vec::new(),
    }
}

/// The first story with the most, of stories with the stretch in which something is counted.
fn best(counts: impl Iterator<Item = (Story, Ms, i64)>, length: Ms, at_most: i64) -> Most {
    let mut best = Most { at_least: -1, story: Story::default(), from: 0, length, at_most };
    for (story, from, at_least) in counts {
        if at_least > best.at_least {
            best = Most { at_least, story, from, ..best };
        }
        if best.at_least == at_most {
            break;
        }
    }
    best.at_least = best.at_least.max(0);
    best
}
