//! `schedule`: weekly spans with dated exceptions, or a combination of other schedules.

use super::{Clock, DateSpan, Days, Name, Spanned};
use crate::form::{BlockForm, many};
use crate::phrase::Phrase;
use curtilage_text::Span;

/// A schedule.
#[derive(Clone, Debug)]
pub struct Schedule {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// What it covers.
    pub body: Body,
}

/// What a schedule covers.
#[derive(Clone, Debug)]
pub enum Body {
    /// Weekly spans and exceptions.
    Written(Written),
    /// A combination of other schedules.
    Combined(Combination),
    /// A body that could not be read; its fault has been told.
    Broken,
}

/// Weekly spans and exceptions.
#[derive(Clone, Debug, Default)]
pub struct Written {
    /// Days and times.
    pub weekly: Vec<Weekly>,
    /// Dates on which it covers nothing.
    pub except: Vec<Spanned<DateSpan>>,
    /// Where holidays are taken out.
    pub except_holidays: Option<Span>,
    /// Dates on which it covers more.
    pub also: Vec<Also>,
}

/// `Mon to Fri 07:30 to 18:00`: on each day, from the first time to the second, which may lie on
/// the next day.
#[derive(Clone, Copy, Debug)]
pub struct Weekly {
    /// The days on which it starts.
    pub days: Spanned<Days>,
    /// The start.
    pub start: Spanned<Clock>,
    /// The end.
    pub end: Spanned<Clock>,
}

/// `also 2026-12-19 10:00 to 16:00`.
#[derive(Clone, Copy, Debug)]
pub struct Also {
    /// The dates.
    pub dates: Spanned<DateSpan>,
    /// The start on each.
    pub start: Spanned<Clock>,
    /// The end on each.
    pub end: Spanned<Clock>,
}

/// `not a`, `a plus b`, `a minus b`, `a within b`; read from the left, groups in parentheses.
#[derive(Clone, Debug)]
pub enum Combination {
    /// Another schedule.
    Named(Name),
    /// All that the other does not cover.
    Not(Box<Combination>),
    /// What either covers.
    Plus(Box<Combination>, Box<Combination>),
    /// What the first covers and the second does not.
    Minus(Box<Combination>, Box<Combination>),
    /// What both cover.
    Within(Box<Combination>, Box<Combination>),
}

pub(crate) static FORM: BlockForm<Written> = BlockForm {
    thing: "a schedule",
    forms: &[
        many("except", "holidays|DATE-RANGE, ...", "days on which it covers nothing", |body, p| {
            loop {
                if p.word() == Some("holidays") {
                    body.except_holidays = p.need("holidays");
                } else {
                    body.except.push(p.date_span()?);
                }
                if !p.comma() {
                    return Some(());
                }
            }
        }),
        many("also", "DATE-RANGE CLOCK to CLOCK", "dates on which it covers more", |body, p| {
            let dates = p.date_span()?;
            let (start, end) = times(p, true)?;
            body.also.push(Also { dates, start, end });
            Some(())
        }),
    ],
    other: Some((
        |body, p| {
            let days = p.days()?;
            loop {
                let (start, end) = times(p, false)?;
                body.weekly.push(Weekly { days, start, end });
                if !p.comma() {
                    return Some(());
                }
            }
        },
        "DAYS CLOCK to CLOCK [, CLOCK to CLOCK]...",
        "the hours of some weekdays; an end before the start lies on the next day",
    )),
};

/// More schedules than this are not joined in one line, so that every walk of it is shallow.
const MOST_JOINED: usize = 64;

type Times = (Spanned<Clock>, Spanned<Clock>);

fn times(p: &mut Phrase<'_, '_>, same_day: bool) -> Option<Times> {
    let start = p.clock()?;
    p.need("to")?;
    let end = p.clock()?;
    let span = start.span.to(end.span);
    if start.value.0 % 60_000 != 0 || end.value.0 % 60_000 != 0 {
        return p.bad(
            span,
            "a schedule is precise to the minute",
            "write whole minutes, such as `07:30 to 18:00`",
        );
    }
    if start.value == end.value {
        return p.bad(span, "the span has no length", "write `00:00 to 24:00` for a whole day");
    }
    if start.value.0 >= 86_400_000 {
        let why = "`24:00` ends a day; the next begins at `00:00`";
        return p.bad(start.span, why, "write `00:00`, on the day after");
    }
    if same_day && end.value < start.value {
        let (first, last) = (p.text(start.span), p.text(end.span));
        let help = format!(
            "write `{first} to 24:00` here, and `00:00 to {last}` in a line for the next date"
        );
        return p.bad(span, "the span runs past midnight; write one line for each date", help);
    }
    Some((start, end))
}

/// The combination after `is`.
pub(crate) fn combination(p: &mut Phrase<'_, '_>) -> Option<Combination> {
    let mut left = operand(p)?;
    let mut joined = 1;
    loop {
        let join = match p.word() {
            Some("plus") => Combination::Plus,
            Some("minus") => Combination::Minus,
            Some("within") => Combination::Within,
            _ => return Some(left),
        };
        let at = p.here();
        p.one_of(&[("plus", ()), ("minus", ()), ("within", ())])?;
        if joined == MOST_JOINED {
            let why = "a line joins 64 schedules at most; give a part of them a name of its own";
            return p.bad(at, why, "schedule NAME is ...    (a part of them)");
        }
        joined += 1;
        left = join(Box::new(left), Box::new(operand(p)?));
    }
}

fn operand(p: &mut Phrase<'_, '_>) -> Option<Combination> {
    let mut turned = false;
    while p.eat("not") {
        turned = !turned;
    }
    let inner = match p.perhaps_group() {
        Some((atoms, span)) => p.within(atoms, span, combination)?,
        None => Combination::Named(p.name("the name of a schedule")?),
    };
    Some(if turned { Combination::Not(Box::new(inner)) } else { inner })
}

#[cfg(test)]
mod tests {
    use super::MOST_JOINED;

    #[test]
    fn a_line_joins_as_many_schedules_as_it_says() {
        let line = |count: usize| {
            let names: Vec<String> = (0..count).map(|number| format!("hours-{number}")).collect();
            format!("schedule all is {}\n", names.join(" plus "))
        };
        assert_eq!(crate::parse(&line(MOST_JOINED), &[]).faults, []);
        let text = line(MOST_JOINED + 3);
        let faults = crate::parse(&text, &[]).faults;
        let [fault] = faults.as_slice() else { panic!("{faults:?}") };
        let before = text.get(..fault.span.start as usize).unwrap();
        assert_eq!(fault.span.of(&text), "plus");
        assert_eq!(before.matches("hours-").count(), MOST_JOINED);
    }
}
