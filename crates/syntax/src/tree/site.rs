//! `site`: the place as a whole.

use super::{DateSpan, Interval, Name, Spanned};
use crate::form::{BlockForm, many, once};
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A site.
#[derive(Clone, Debug)]
pub struct Site {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// The IANA time zone, quotes included when it has them.
    pub timezone: Option<Span>,
    /// degC.
    pub ambient: Option<Spanned<Interval>>,
    /// Dates that count as holidays.
    pub holidays: Vec<Spanned<DateSpan>>,
    /// Files of holidays (RFC 5545), quotes included.
    pub holiday_files: Vec<Span>,
    /// Areas, with their titles.
    pub areas: Vec<(Name, Option<Span>)>,
    /// Who can be told, with their titles.
    pub people: Vec<(Name, Option<Span>)>,
    /// The schedule in which people are there.
    pub occupied: Option<Name>,
}

pub(crate) static FORM: BlockForm<Site> = BlockForm {
    thing: "a site",
    forms: &[
        once("timezone", "TIME-ZONE", "the IANA time zone, such as Europe/Lisbon", |site, p| {
            site.timezone = Some(match p.perhaps_quoted() {
                Some(text) => text,
                None => p.path("an IANA time zone, such as `Europe/Lisbon`")?.span(),
            });
            Some(())
        }),
        once(
            "ambient",
            "TEMPERATURE to TEMPERATURE",
            "the temperatures at which everything has to work",
            |site, p| {
                let ambient = p.interval(Dimension::Temperature)?;
                if ambient.value.low < -100.0 || ambient.value.high > 250.0 {
                    let why = "a place has between -100 degC and 250 degC";
                    return p.bad(ambient.span, why, "write a range, such as `-5 to 40 degC`");
                }
                site.ambient = Some(ambient);
                Some(())
            },
        ),
        many(
            "holidays",
            "DATES | from \"FILE.ics\"",
            "days that schedules call holidays: dates, ranges, `every 12-25`, or an RFC 5545 file",
            |site, p| {
                if p.eat("from") {
                    site.holiday_files.push(p.quoted("the path of an RFC 5545 file, in quotes")?);
                } else {
                    site.holidays.extend(p.list::<_, Vec<_>>(|p| p.date_span())?);
                }
                Some(())
            },
        ),
        many(
            "area",
            "NAME [\"TITLE\"]",
            "a part of the site that zones and outputs can be in",
            |site, p| {
                site.areas.push((p.name("the name of an area")?, p.perhaps_quoted()));
                Some(())
            },
        ),
        many("people", "NAME [\"TITLE\"]", "who can be told", |site, p| {
            site.people.push((p.name("a name for the people")?, p.perhaps_quoted()));
            Some(())
        }),
        once("occupied", "SCHEDULE", "when people are there", |site, p| {
            site.occupied = Some(p.name("the name of a schedule")?);
            Some(())
        }),
    ],
    other: None,
};
