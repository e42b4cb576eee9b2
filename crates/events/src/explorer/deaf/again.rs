//! Activations after earlier ones: the lockout that outlasts what it came with.

use super::{WhyDeaf, press_cycle};
use crate::Ms;
use crate::system::{Contact, Effect, Mode, Response, System, Zone};

/// How long what a registration starts runs, counted from the activation, in ms.
pub(super) struct Runs {
    /// The longest; `None` for ever.
    pub(super) longest: Option<Ms>,
    /// The longest of those that each registration starts anew.
    pub(super) longest_anew: Ms,
    /// The longest of those on which a further registration is lost.
    pub(super) longest_lost: Option<Ms>,
}

impl Runs {
    pub(super) fn add(&mut self, system: &System, zone: &Zone, response: &Response) {
        for effect in &response.effects {
            let Some(output) = effect.output().and_then(|output| system.outputs.get(output)) else {
                continue;
            };
            if output.mode != Mode::Automatic {
                continue;
            }
            match effect {
                Effect::Latch { .. } => self.longest = None,
                Effect::On { hold, on_time, .. } => {
                    let on_time = on_time.unwrap_or(output.on_time);
                    let length = on_time.span.length(zone.lockout, *hold);
                    let length = zone.entry + response.delay + length;
                    self.longest = self.longest.map(|longest| longest.max(length));
                    if on_time.retriggered {
                        self.longest_anew = self.longest_anew.max(length);
                    } else {
                        self.longest_lost = self.longest_lost.max(Some(length));
                    }
                }
                Effect::Off { .. } | Effect::Note { .. } => {}
            }
        }
    }
}

/// Activations, by when the controller takes note, of which the last may come to nothing; why, and
/// until when. `None` when every activation finds the zone open or something of its own running.
///
/// `certain` is what every registration starts, `possible` what it can start.
pub(super) fn again(
    zone: &Zone,
    contact: &Contact,
    start: Ms,
    certain: &Runs,
    possible: &Runs,
) -> Option<(WhyDeaf, Vec<Ms>, Option<Ms>)> {
    let press = press_cycle(contact);
    let deaf = zone.deaf_for();
    // What has run out for sure; for ever never does.
    let runs = certain.longest?;
    let wait = possible.longest.unwrap_or(runs).max(runs);
    if let Some(limit) = zone.limit {
        let every = press.max(deaf).max(zone.entry + 1);
        let mut noted: Vec<Ms> = (0..Ms::from(limit)).map(|place| start + place * every).collect();
        let last = noted.last().copied().unwrap_or(start);
        noted.push(last + wait.max(every));
        return Some((WhyDeaf::Limit, noted, None));
    }
    if press >= deaf {
        return None;
    }
    if runs < deaf {
        let next = wait.min(deaf - 1).max(runs).max(press);
        return Some((WhyDeaf::Lockout, vec![start, start + next], Some(start + deaf)));
    }
    if zone.lockout_restarts {
        // Each refused activation, as late as can be, starts the lockout anew.
        let mut noted = vec![start];
        let mut last = start;
        while last < start + wait {
            last += deaf - 1;
            noted.push(last);
        }
        return Some((WhyDeaf::Lockout, noted, Some(last + deaf)));
    }
    // A registration that is lost on a running on-time begins a lockout that outlasts it.
    if certain.longest_anew >= deaf {
        return None;
    }
    let lost = possible.longest_lost?;
    let second = start + (lost - 1).max(deaf);
    let third = (second + press).max(start + wait);
    Some((WhyDeaf::Lockout, vec![start, second, third], Some(second + deaf)))
}
