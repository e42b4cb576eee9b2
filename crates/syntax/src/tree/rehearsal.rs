//! `rehearsal`: a timed story and what is expected of it.

use super::value::WEEKDAYS;
use super::{Clock, Date, Name, Spanned};
use crate::form::{BlockForm, many};
use crate::phrase::Phrase;
use curtilage_text::Span;

/// A rehearsal.
#[derive(Clone, Debug)]
pub struct Rehearsal {
    /// Its title, quotes included.
    pub title: Span,
    /// The first line.
    pub line: Span,
    /// What happens.
    pub acts: Vec<Act>,
    /// What is expected.
    pub expectations: Vec<Expectation>,
}

/// A point in time: a weekday or a date, and a time of day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    /// A weekday (0 is Monday), or a date.
    pub day: DayOf,
    /// The time of day.
    pub clock: Clock,
}

/// The day of a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayOf {
    /// A weekday, 0 is Monday.
    Weekday(u8),
    /// A date.
    Date(Date),
}

/// Something that happens.
#[derive(Clone, Copy, Debug)]
pub struct Act {
    /// When.
    pub at: Spanned<Moment>,
    /// To what.
    pub subject: Name,
    /// What.
    pub kind: ActKind,
    /// The whole line.
    pub line: Span,
}

/// What can happen.
#[derive(Clone, Copy, Debug)]
pub enum ActKind {
    /// A sensor becomes active, for a time in ms or until it is restored.
    Active(Option<Spanned<u64>>),
    /// A sensor goes back to rest.
    Restored,
    /// A sensor's tamper contact moves.
    Tampered,
    /// A supply or a camera fails.
    Lost,
    /// It comes back.
    Returns,
}

/// Something that is expected.
#[derive(Clone, Copy, Debug)]
pub struct Expectation {
    /// Of what.
    pub subject: Name,
    /// What.
    pub verb: Spanned<Verb>,
    /// How often; none is at least once.
    pub times: Option<Spanned<u32>>,
    /// From when.
    pub from: Option<Spanned<Moment>>,
    /// At which moment.
    pub at: Option<Spanned<Moment>>,
    /// How long, ms.
    pub hold: Option<Spanned<u64>>,
    /// The whole line.
    pub line: Span,
}

/// What can be expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verb {
    /// A zone registers.
    Registers,
    /// An output is on.
    Closed,
    /// An output is off.
    Open,
    /// A camera is recorded.
    Recorded,
    /// People are told.
    Told,
}

const VERBS: &[(&str, Verb)] = &[
    ("registers", Verb::Registers),
    ("closed", Verb::Closed),
    ("open", Verb::Open),
    ("recorded", Verb::Recorded),
    ("told", Verb::Told),
];

impl Phrase<'_, '_> {
    /// `Mon 10:00:00` or `2026-12-25 10:00:00`
    fn moment(&mut self) -> Option<Spanned<Moment>> {
        let (day, span) = if self.is_date() {
            let date = self.date()?;
            (DayOf::Date(date.value), date.span)
        } else {
            let day = self.one_of(WEEKDAYS)?;
            (DayOf::Weekday(day.value), day.span)
        };
        let clock = self.clock()?;
        Some(Spanned { value: Moment { day, clock: clock.value }, span: span.to(clock.span) })
    }
}

pub(crate) static FORM: BlockForm<Rehearsal> = BlockForm {
    thing: "a rehearsal",
    forms: &[many(
        "expect",
        "THING registers|closed|open|recorded|told [never | once | twice | NUMBER times] [from MOMENT] [at MOMENT] [for TIME]",
        "what is expected of the story",
        |story, p| {
            let subject = p.name("the name of a zone, an output, a camera or people")?;
            let verb = p.one_of(VERBS)?;
            let mut times = p.perhaps_one_of(&[("never", 0), ("once", 1), ("twice", 2)]);
            if times.is_none() && p.is_number() {
                times = Some(p.count(0, "a number of times")?);
                p.need("times")?;
            }
            let from = if p.eat("from") { Some(p.moment()?) } else { None };
            let at = if p.eat("at") { Some(p.moment()?) } else { None };
            let hold = if p.eat("for") { Some(p.time()?) } else { None };
            let line = p.line();
            story.expectations.push(Expectation { subject, verb, times, from, at, hold, line });
            Some(())
        },
    )],
    other: Some((
        |story, p| {
            let at = p.moment()?;
            let subject = p.name("the name of a zone, a supply or a camera")?;
            let kinds =
                [("active", 0), ("restored", 1), ("tampered", 2), ("lost", 3), ("returns", 4)];
            let kind = match p.one_of(&kinds)?.value {
                0 if p.eat("for") => ActKind::Active(Some(p.time()?)),
                0 => {
                    if p.eat("until") {
                        p.need("restored")?;
                    }
                    ActKind::Active(None)
                }
                1 => ActKind::Restored,
                2 => ActKind::Tampered,
                3 => ActKind::Lost,
                _ => ActKind::Returns,
            };
            story.acts.push(Act { at, subject, kind, line: p.line() });
            Some(())
        },
        "MOMENT THING active [for TIME | until restored] | MOMENT THING restored|tampered|lost|returns",
        "something that happens",
    )),
};
