//! Holds what happened against what was expected.

use super::play::{Played, Run};
use super::story::{Asked, named};
use curtilage_events::Ms;
use curtilage_events::player::Refusal;
use curtilage_model::{Model, StoryThing};
use curtilage_syntax::tree::rehearsal::{Expectation, Verb};

/// What became of an expectation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It came true.
    Holds,
    /// Something else happened.
    Fails {
        /// What happened instead, and what was expected.
        instead: String,
        /// Why, where the player knows.
        why: Option<String>,
    },
}

/// Holds one expectation against what happened.
pub(crate) fn judge(
    model: &Model<'_>,
    played: &Played,
    expectation: &Expectation,
    thing: StoryThing,
    asked: Asked,
) -> Outcome {
    let name = named(model, thing).0;
    let times = expectation.times.map(|times| times.value);
    match (expectation.verb.value, thing) {
        (Verb::Registers, StoryThing::Zone(id)) => {
            let Some(line) = played.zones.get(id.index()) else { return Outcome::Holds };
            let why = why_not(played, &line.refused, asked);
            count(played, &line.registers, (name, "registers"), times, asked, why)
        }
        (Verb::Recorded, StoryThing::Camera(id)) => {
            let Some(line) = played.cameras.get(id.index()) else { return Outcome::Holds };
            let refused = played.within(asked, &line.refused);
            let why = refused.first().map(|at| {
                format!(
                    "a recording is asked for at {}, and refused: the plan keeps none of it then, or the camera is lost",
                    played.clock.show(*at)
                )
            });
            count(played, &line.recorded, (name, "recorded"), times, asked, why)
        }
        (Verb::Told, StoryThing::People(index)) => {
            let Some(list) = played.people.get(index) else { return Outcome::Holds };
            count(played, list, (name, "told"), times, asked, None)
        }
        (Verb::Closed | Verb::Open, StoryThing::Output(id)) => {
            let closed = expectation.verb.value == Verb::Closed;
            let on = played.outputs.get(id.index()).map_or(&[][..], Vec::as_slice);
            let rests_on = played.rests_on.get(id.index()).copied().unwrap_or(false);
            let runs = if closed { on.to_vec() } else { others(on) };
            let verb = if closed { "closed" } else { "open" };
            State { played, name, verb, driven: closed != rests_on, runs }.judge(times, asked)
        }
        _ => Outcome::Holds,
    }
}

impl Played {
    /// The stretch that an expectation speaks of.
    fn span(&self, asked: Asked) -> Run {
        match (asked.at, asked.from) {
            (Some(at), _) => (at, at.saturating_add(asked.hold.unwrap_or(1))),
            (None, Some(from)) => (from, asked.hold.map_or(self.until, |hold| from + hold)),
            (None, None) => (self.from, asked.hold.map_or(self.until, |hold| self.from + hold)),
        }
    }

    fn within(&self, asked: Asked, list: &[Ms]) -> Vec<Ms> {
        let span = self.span(asked);
        list.iter().copied().filter(|at| (span.0..span.1).contains(at)).collect()
    }

    /// "from Mon 10:00:00 for 3 min"
    fn run(&self, run: Run) -> String {
        let mut text = String::new();
        if run.0 > self.from || run.1 >= self.until {
            text.push_str(&format!("from {}", self.clock.show(run.0.max(self.from))));
        }
        if run.1 >= self.until {
            text.push_str(" on");
        } else if run.0 < self.from {
            text.push_str(&format!("until {}", self.clock.show(run.1)));
        } else {
            let from =
                if text.is_empty() { format!("from {}", self.clock.show(run.0)) } else { text };
            text = format!("{from} for {}", time(run.1 - run.0));
        }
        text
    }

    fn asked(&self, asked: Asked) -> String {
        let mut text = String::new();
        if let Some(from) = asked.from {
            text.push_str(&format!(" from {}", self.clock.show(from)));
        }
        if let Some(at) = asked.at {
            text.push_str(&format!(" at {}", self.clock.show(at)));
        }
        if let Some(hold) = asked.hold {
            text.push_str(&format!(" for {}", time(hold)));
        }
        text
    }
}

fn why_not(played: &Played, refused: &[(Ms, Refusal)], asked: Asked) -> Option<String> {
    let span = played.span(asked);
    let (at, why) = refused.iter().find(|(at, _)| (span.0..span.1).contains(at))?;
    let why = refusal(*why);
    Some(format!("an activation at {} does not count: {why}", played.clock.show(*at)))
}

/// Why an activation does not count, in words.
#[must_use]
pub fn refusal(why: Refusal) -> &'static str {
    match why {
        Refusal::NotArmed => "it is not armed then",
        Refusal::Exit => "its exit time still runs",
        Refusal::Lockout => "its lockout still runs",
        Refusal::Limit => "it has registered as often as one arming allows",
        Refusal::Entry => "its entry time already runs",
    }
}

/// How often something happened at an instant.
fn count(
    played: &Played,
    list: &[Ms],
    (name, verb): (&str, &str),
    times: Option<u32>,
    asked: Asked,
    why: Option<String>,
) -> Outcome {
    let found = played.within(asked, list);
    let many = u32::try_from(found.len()).unwrap_or(u32::MAX);
    if times.map_or(many > 0, |times| many == times) {
        return Outcome::Holds;
    }
    let mut instead = format!("`{name}` {verb} {}{}", often(many), played.asked(asked));
    let mut other = found;
    if other.is_empty() {
        // Told when it happened, if only at another time.
        other =
            list.iter().copied().filter(|at| (played.from..played.until).contains(at)).collect();
    }
    let at = other.iter().take(MOST).map(|at| played.clock.show(*at)).collect::<Vec<_>>();
    if !at.is_empty() && (many != 1 || asked.at.is_none()) {
        let word = if many == 0 { "but at " } else { "" };
        let more = other.len().saturating_sub(MOST);
        let more = if more > 0 { format!(", {more} more") } else { String::new() };
        instead.push_str(&format!(" ({word}{}{more})", at.join(", ")));
    }
    let expected = times.map_or_else(|| "at least once".to_owned(), often);
    instead.push_str(&format!(", expected {expected}"));
    let too_few = times.is_none_or(|times| many < times);
    Outcome::Fails { instead, why: why.filter(|_| too_few) }
}

/// So many times or stretches are told at most.
const MOST: usize = 3;

/// One of the two states of an output.
struct State<'p> {
    played: &'p Played,
    name: &'p str,
    verb: &'p str,
    /// Whether it is the state that responses drive it to, and not the one in which it rests.
    driven: bool,
    runs: Vec<Run>,
}

impl State<'_> {
    fn judge(&self, times: Option<u32>, asked: Asked) -> Outcome {
        let Self { played, .. } = self;
        let span = played.span(asked);
        let inside = |run: &&Run| run.0 < span.1 && run.1 > span.0;
        let holds = match (asked.at, asked.from, times) {
            (Some(_), _, Some(0)) | (_, _, Some(0)) => !self.runs.iter().any(|run| inside(&run)),
            (Some(_), _, _) => self.runs.iter().any(|run| run.0 <= span.0 && run.1 >= span.1),
            (None, Some(from), None) => self.runs.iter().any(|run| {
                let ends = asked.hold.is_none() && run.1 >= played.until;
                let exact = run.0 == from && (run.1 == span.1 || ends);
                exact || (!self.driven && run.0 <= from && run.1 >= span.1)
            }),
            (None, None, None) => match asked.hold {
                Some(hold) => self.counted().any(|run| run.1 - run.0 == hold),
                None => self.counted().next().is_some(),
            },
            (None, from, Some(times)) => {
                let runs: Vec<&Run> = match from {
                    Some(_) => self.runs.iter().filter(inside).collect(),
                    None => self.counted().collect(),
                };
                let long = asked.hold.filter(|_| from.is_none());
                let fits = runs.iter().all(|run| long.is_none_or(|long| run.1 - run.0 == long));
                fits && runs.len() == usize::try_from(times).unwrap_or(usize::MAX)
            }
        };
        if holds { Outcome::Holds } else { self.fails(times, asked) }
    }

    fn counted(&self) -> impl Iterator<Item = &Run> {
        let Self { played, .. } = *self;
        self.runs.iter().filter(move |run| run.0 < played.until && run.1 > played.from)
    }

    fn fails(&self, times: Option<u32>, asked: Asked) -> Outcome {
        let Self { played, name, verb, .. } = self;
        let other = if *verb == "closed" { "open" } else { "closed" };
        let shown = self.shown(played.span(asked));
        if let (Some(at), None) = (asked.at, asked.hold) {
            let (is, wanted) = if times == Some(0) { (*verb, other) } else { (other, *verb) };
            let at = played.clock.show(at);
            let why = match shown {
                Some(shown) => format!("it is {verb} {shown}"),
                None => format!("it is never {verb} in this story"),
            };
            return Outcome::Fails {
                instead: format!("`{name}` {is} at {at}, expected {wanted}"),
                why: Some(why),
            };
        }
        let is = match shown {
            Some(shown) => format!("`{name}` {verb} {shown}"),
            None => format!("`{name}` never {verb}"),
        };
        let mut wanted = times.map_or_else(String::new, |times| format!(" {}", often(times)));
        wanted.push_str(&played.asked(asked));
        if wanted.is_empty() {
            wanted.push_str(" at least once");
        }
        Outcome::Fails { instead: format!("{is}, expected{wanted}"), why: None }
    }

    /// The runs that are worth telling: those in a span, or else the nearest ones.
    fn shown(&self, span: Run) -> Option<String> {
        let mut runs: Vec<&Run> = self.counted().collect();
        let near = |run: &Run| (span.0 - run.1).max(run.0 - span.1).max(0);
        let nearest = runs.iter().map(|run| near(run)).min()?;
        runs.retain(|run| near(run) == nearest);
        let told: Vec<String> = runs.iter().take(MOST).map(|run| self.played.run(**run)).collect();
        let more = runs.len().saturating_sub(MOST);
        let more = if more > 0 { format!(" and {more} times more") } else { String::new() };
        Some(format!("{}{more}", told.join(", ")))
    }
}

/// All time that is in none of the runs.
fn others(runs: &[Run]) -> Vec<Run> {
    let mut out = Vec::new();
    let mut from = Ms::MIN / 2;
    for run in runs {
        if from < run.0 {
            out.push((from, run.0));
        }
        from = run.1;
    }
    out.push((from, Ms::MAX / 2));
    out
}

pub(crate) fn often(times: u32) -> String {
    match times {
        0 => "never".to_owned(),
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        many => format!("{many} times"),
    }
}

#[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
pub(crate) fn time(length: Ms) -> String {
    curtilage_units::duration(length as f64)
}
