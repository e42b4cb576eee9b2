//! How long schedules drive outputs in a day of the ordinary week, by their beginnings and ends alone.

use super::clock::Clock;
use super::edges::edges;
use super::making::{moves, rests_on};
use super::plant::plant;
use super::play::runs;
use super::questions::Most;
use super::together::{Together, switched};
use crate::{Facts, Known, NotKnown};
use curtilage_events::player::{Ended, Limits, Story, What, play};
use curtilage_events::{DAY, Ms, WEEK};
use curtilage_model::{Cause, Model, Response};
use curtilage_syntax::tree::output::Mode;

/// What beginnings and ends of schedules do to an output.
#[derive(Default)]
struct Said {
    /// Whether one of them drives it.
    drives: bool,
    /// Whether one of them lets it go.
    releases: bool,
    /// Whether one of them does so only together with something else.
    with_others: bool,
    /// Whether anything else switches it too.
    others: bool,
}

/// The same by output.
fn said(model: &Model<'_>) -> Vec<Said> {
    let mut all: Vec<Said> = model.outputs.iter().map(|_| Said::default()).collect();
    let together = Together::of(model);
    for response in &model.responses {
        let by_clock = |(cause, _): &(Cause, _)| matches!(cause, Cause::Start(_) | Cause::End(_));
        let any = response.causes.iter().any(by_clock);
        let alone = response.causes.iter().all(by_clock);
        for (effect, _) in &response.effects {
            let Some(output) = switched(effect) else { continue };
            let Some(drives) = moves(effect, output, rests_on(model, output)) else { continue };
            for moved in together.with(output) {
                let Some(said) = all.get_mut(moved.index()) else { continue };
                said.drives |= any && drives;
                said.releases |= any && !drives;
                said.with_others |= any && drives && is_joint(response);
                said.others |= !alone;
            }
        }
    }
    all
}

fn is_joint(response: &Response<'_>) -> bool {
    response.all_within.is_some() && response.causes.len() > 1
}

/// The longest time in a day of each output with what schedules switch, given what everything else
/// comes to.
pub(super) fn with_the_clock(facts: &Facts<'_, '_>, others: &mut [Option<Known<Most>>]) {
    let model = facts.model;
    let said = said(model);
    if !said.iter().any(|said| said.drives) {
        return;
    }
    let alone = driven_alone(facts);
    for ((place, said), answer) in said.iter().enumerate().zip(others) {
        let Some(Ok(most)) = answer else { continue };
        let mode = model.outputs.get(place).and_then(|output| output.tree.mode);
        let forced = mode.is_some_and(|mode| mode.value != Mode::Automatic);
        if !said.drives || forced {
            continue;
        }
        *answer = Some(match &alone {
            _ if said.with_others => {
                Err(NotKnown::because("it hangs on a schedule together with something else"))
            }
            Ok(alone) => Ok(joined(said, *most, alone.get(place).copied().unwrap_or(0))),
            Err(why) => Err(why.clone()),
        });
    }
}

/// Both together: never more than the sum. What schedules do alone is a story too, and so is what the
/// rest does where no schedule lets the output go.
fn joined(said: &Said, rest: Most, alone: Ms) -> Most {
    if !said.others {
        return Most { at_least: alone, at_most: alone };
    }
    let shown = if said.releases { 0 } else { rest.at_least };
    Most { at_least: shown.max(alone), at_most: rest.at_most.saturating_add(alone).min(DAY) }
}

/// How long each output is driven in the worst day of an ordinary week in which nothing happens but
/// schedules.
fn driven_alone(facts: &Facts<'_, '_>) -> Known<Vec<Ms>> {
    let (model, hours) = (facts.model, &facts.hours);
    // What a week leaves behind is there when the next one begins.
    let span = (-WEEK, WEEK + DAY);
    let plant = plant(model, hours, &facts.registering, &Clock::Week, span, true)?;
    let mut inputs = Vec::new();
    edges(&plant, hours, &Clock::Week, span, &mut inputs);
    let story = plant.begun_at_rest(&Story { from: span.0, inputs });
    let trace = play(&plant.system, &story, Limits::until(span.1));
    if trace.ended != Ended::Played {
        return Err(NotKnown::because("more happens in a week than can be kept"));
    }
    let one = |place: usize| {
        let changes = trace.events.iter().filter_map(|event| match event.what {
            What::Output { output, on } if output.index() == place => Some((event.at, on)),
            _ => None,
        });
        longest(&runs(changes, false, span.0, span.1))
    };
    Ok((0..model.outputs.len()).map(one).collect())
}

/// The most of some stretches within any day that begins in the week.
fn longest(runs: &[(Ms, Ms)]) -> Ms {
    // The fullest day begins with a stretch, or ends with one.
    let days = runs.iter().flat_map(|run| [run.0, run.1 - DAY]);
    let inside = |from: Ms| {
        let within = |run: &(Ms, Ms)| (run.1.min(from + DAY) - run.0.max(from)).max(0);
        let first = runs.partition_point(|run| run.1 <= from);
        runs.iter().skip(first).take_while(|run| run.0 < from + DAY).map(within).sum::<Ms>()
    };
    days.filter(|from| (0..=WEEK).contains(from)).map(inside).max().unwrap_or(0)
}
