//! What is seen of the responses that answer: one line for an output, whatever drives it, and what
//! else they do.

use super::answers::Answer;
use crate::words::{self, time};
use curtilage_facts::Facts;
use curtilage_facts::events::{Together, rests_on, switched};
use curtilage_model::{Cause, Effect, OutputId, Response, ScheduleRef};
use curtilage_text::Place;

/// The hours of a response.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Hours {
    /// It answers whenever this counts.
    Of(ScheduleRef),
    /// They are not known.
    NotKnown,
}

/// What is seen, and when.
struct Said {
    after: u64,
    condition: String,
    text: String,
}

/// What is seen of some of the answers; an output that they drive shows what all of them make of it.
/// `given` are hours that are known to count.
pub(super) fn seen(
    facts: &Facts<'_, '_>,
    answers: &[Answer],
    of: &dyn Fn(usize) -> bool,
    given: &dyn Fn(ScheduleRef) -> bool,
) -> String {
    let together = Together::of(facts.model);
    let sight = Sight { facts, answers, given, together: &together };
    let mut outputs: Vec<OutputId> = Vec::new();
    let mut all: Vec<Said> = Vec::new();
    for answer in answers.iter().filter(|answer| of(answer.response)) {
        let Some(response) = facts.model.responses.get(answer.response) else { continue };
        for (effect, _) in &response.effects {
            let said = match effect {
                Effect::Switch { output, .. } | Effect::Pulse { output, .. } => {
                    let mut said = Vec::new();
                    for moved in together.with(*output) {
                        if !outputs.contains(moved) {
                            outputs.push(*moved);
                            said.extend(sight.output(*moved));
                        }
                    }
                    said
                }
                other => {
                    let (what, how) = words::effect(facts.model, other);
                    let text = if how == "yes" { what } else { format!("{what}: {how}") };
                    let condition = sight.hours(response).map_or_else(String::new, |hours| {
                        format!("only during {}", sight.name(hours))
                    });
                    vec![Said { after: answer.at, condition, text }]
                }
            };
            all.extend(said);
        }
    }
    joined(&all)
}

/// What comes at one time and in the same hours stands together, what comes at once first.
fn joined(all: &[Said]) -> String {
    let mut groups: Vec<((u64, &str), Vec<&str>)> = vec![((0, ""), Vec::new())];
    for said in all {
        let key = (said.after, said.condition.as_str());
        match groups.iter_mut().find(|(known, _)| *known == key) {
            Some((_, texts)) if texts.contains(&said.text.as_str()) => {}
            Some((_, texts)) => texts.push(&said.text),
            None => groups.push((key, vec![&said.text])),
        }
    }
    let each =
        groups.iter().filter(|(_, texts)| !texts.is_empty()).map(|((after, condition), texts)| {
            let after = if *after > 0 { format!("after {}", time(*after)) } else { String::new() };
            let mut head: Vec<&str> = vec![&after, condition];
            head.retain(|part| !part.is_empty());
            let texts = texts.join("; ");
            if head.is_empty() { texts } else { format!("{}: {texts}", head.join(", ")) }
        });
    each.collect::<Vec<_>>().join("; ")
}

struct Sight<'s, 'm, 'a> {
    facts: &'s Facts<'m, 'a>,
    answers: &'s [Answer],
    given: &'s dyn Fn(ScheduleRef) -> bool,
    together: &'s Together,
}

/// A command to the relay of an output.
#[derive(Clone, Copy)]
struct Command {
    at: u64,
    hours: Option<Hours>,
    does: Does,
}

#[derive(Clone, Copy)]
enum Does {
    /// Away from its rest, for ms or for good.
    Drives(Option<u64>),
    /// The same, on and off.
    Pulses { on: u64, off: u64, hold: u64 },
    /// Back to its rest, for ms or for good.
    Frees(Option<u64>),
}

impl Sight<'_, '_, '_> {
    fn hours(&self, response: &Response<'_>) -> Option<Hours> {
        match response.during {
            Some((during, _)) if during == ScheduleRef::Always || (self.given)(during) => None,
            Some((during, _)) => Some(Hours::Of(during)),
            None => response.tree.during.as_ref().map(|_| Hours::NotKnown),
        }
    }

    fn name(&self, hours: Hours) -> String {
        match hours {
            Hours::Of(schedule) => self.facts.model.schedule_name(schedule).to_owned(),
            Hours::NotKnown => "hours that are not known".to_owned(),
        }
    }

    /// An output, at the hours that make a difference.
    fn output(&self, output: OutputId) -> Vec<Said> {
        let name = words::output(self.facts.model, output);
        let said = |condition: &str, (after, text): (u64, String)| Said {
            after,
            condition: condition.to_owned(),
            text,
        };
        if let Some(stays) = words::forced(self.facts.model, output) {
            return vec![said("", (0, format!("{name} {stays}")))];
        }
        let commands = self.commands(output);
        let of = |hours: &[Hours]| {
            let counting =
                |command: &&Command| command.hours.is_none_or(|own| hours.contains(&own));
            self.shows(output, &commands.iter().filter(counting).copied().collect::<Vec<_>>())
        };
        let base = of(&[]);
        let mut out: Vec<Said> = base.iter().cloned().map(|one| said("", one)).collect();
        let word = if base.is_empty() { "only" } else { "instead," };
        let mut all: Vec<Hours> = Vec::new();
        for hours in commands.iter().filter_map(|command| command.hours) {
            if !all.contains(&hours) {
                all.push(hours);
            }
        }
        for (place, hours) in all.iter().enumerate() {
            let own = of(&[*hours]);
            if own != base {
                let condition = format!("{word} during {}", self.name(*hours));
                out.extend(own.iter().cloned().map(|one| said(&condition, one)));
            }
            for other in all.iter().skip(place + 1).filter(|other| self.meet(*hours, **other)) {
                let both = of(&[*hours, *other]);
                if both != own || both != of(&[*other]) {
                    let names = (self.name(*hours), self.name(*other));
                    let condition = format!("{word} during both {} and {}", names.0, names.1);
                    out.extend(both.into_iter().map(|one| said(&condition, one)));
                }
            }
        }
        out
    }

    fn meet(&self, first: Hours, second: Hours) -> bool {
        match (first, second) {
            (Hours::Of(first), Hours::Of(second)) => {
                self.facts.hours.never_meet(first, second) != Some(true)
            }
            _ => true,
        }
    }

    /// The commands to an output, in the order in which they come.
    fn commands(&self, output: OutputId) -> Vec<Command> {
        let mut out: Vec<Command> = Vec::new();
        let model = self.facts.model;
        for answer in self.answers {
            let Some(response) = model.responses.get(answer.response) else { continue };
            for (effect, line) in &response.effects {
                let Some(named) = switched(effect).filter(|_| self.together.moves(effect, output))
                else {
                    continue;
                };
                let does = match effect {
                    Effect::Switch { on, hold, .. } if *on != rests_on(model, named) => {
                        Does::Drives(self.length(answer.by, named, *line, *hold))
                    }
                    Effect::Switch { hold, .. } => Does::Frees(*hold),
                    // On the other side of the contact the load is off while the named one is on.
                    Effect::Pulse { on, off, hold, .. }
                        if rests_on(model, named) != rests_on(model, output) =>
                    {
                        Does::Pulses { on: *off, off: *on, hold: *hold }
                    }
                    Effect::Pulse { on, off, hold, .. } => {
                        Does::Pulses { on: *on, off: *off, hold: *hold }
                    }
                    _ => continue,
                };
                out.push(Command { at: answer.at, hours: self.hours(response), does });
            }
        }
        out.sort_by_key(|command| command.at);
        out
    }

    /// How long a command keeps an output driven, as the controller makes its on-time.
    fn length(&self, by: Cause, output: OutputId, line: Place, hold: Option<u64>) -> Option<u64> {
        let Cause::Zone(zone) = by else { return hold };
        let zone = self.facts.registering.get(zone.index());
        let driven = zone.and_then(|zone| {
            zone.drives.iter().find(|driven| driven.output == output && driven.line == line)
        });
        driven.and_then(|driven| driven.length).or(hold)
    }

    /// What some commands make of an output: from when on, and what.
    fn shows(&self, output: OutputId, commands: &[Command]) -> Vec<(u64, String)> {
        let model = self.facts.model;
        let name = words::output(model, output);
        let rests_on = rests_on(model, output);
        let most = model.output(output).and_then(|output| output.tree.most);
        // A limit that is built in ends what was switched on, and not what rests so.
        let most = most.filter(|_| !rests_on).map_or(u64::MAX, |most| most.value);
        if let [Command { at, does: Does::Pulses { on, off, hold }, .. }] = commands {
            let (on, off, hold) = (time(*on), time(*off), time((*hold).min(most)));
            return vec![(*at, format!("pulse {name}: {on} on, {off} off, {hold} in all"))];
        }
        let frees = |command: &Command| match command.does {
            Does::Frees(hold) => Some((command.at, hold.unwrap_or(FOR_GOOD))),
            _ => None,
        };
        // Nothing drives it: what was switched before ends.
        if commands.iter().all(|command| frees(command).is_some()) {
            let state = if rests_on { "on" } else { "off" };
            let last = commands.iter().filter_map(frees).next_back();
            let shows = |(at, hold)| (at, format!("{name} {state} {}", lasting(hold)));
            return last.map(shows).into_iter().collect();
        }
        let state = if rests_on { "off" } else { "on" };
        let runs = runs(commands);
        if runs.is_empty() {
            let rest = if rests_on { "on" } else { "off" };
            return vec![(0, format!("{name} stays {rest}"))];
        }
        let each = runs.iter().map(|(from, to)| {
            let lasts = if *to == FOR_GOOD { FOR_GOOD } else { to - from };
            (*from, format!("{name} {state} {}", lasting(lasts.min(most))))
        });
        each.collect()
    }
}

/// The end of what does not end.
const FOR_GOOD: u64 = u64::MAX;

fn lasting(length: u64) -> String {
    if length == FOR_GOOD { "for good".to_owned() } else { format!("for {}", time(length)) }
}

/// The stretches in which commands drive an output, from and to.
fn runs(commands: &[Command]) -> Vec<(u64, u64)> {
    let mut driven: Vec<(u64, u64)> = Vec::new();
    let mut freed: Vec<(u64, u64)> = Vec::new();
    for command in commands {
        let until = |length: Option<u64>| {
            length.map_or(FOR_GOOD, |length| command.at.saturating_add(length))
        };
        match command.does {
            Does::Drives(length) => driven.push((command.at, until(length))),
            Does::Pulses { hold, .. } => driven.push((command.at, until(Some(hold)))),
            // For good: what drives it ends.
            Does::Frees(None) => {
                driven.iter_mut().for_each(|run| run.1 = run.1.min(command.at));
            }
            // For a time: what drives it goes on behind it. The newest time counts.
            Does::Frees(hold) => {
                freed.iter_mut().for_each(|run| run.1 = run.1.min(command.at));
                freed.push((command.at, until(hold)));
            }
        }
    }
    driven.retain(|run| run.0 < run.1);
    driven.sort_unstable();
    let mut out: Vec<(u64, u64)> = Vec::new();
    for run in driven {
        match out.last_mut() {
            Some(last) if run.0 <= last.1 => last.1 = last.1.max(run.1),
            _ => out.push(run),
        }
    }
    for (from, to) in freed {
        let parts =
            out.into_iter().flat_map(|run| [(run.0, run.1.min(from)), (run.0.max(to), run.1)]);
        out = parts.filter(|run| run.0 < run.1).collect();
    }
    out
}
