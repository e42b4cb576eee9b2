//! Schedules with their references resolved.

use crate::{Model, Named, ScheduleId};
use curtilage_syntax::tree::schedule::Written;
use curtilage_text::{FileId, Place};
use std::collections::BTreeSet;

/// A schedule.
#[derive(Debug)]
pub struct Schedule<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its title.
    pub title: Option<&'a str>,
    /// Its first line.
    pub line: Place,
    /// The file in which it stands.
    pub file: FileId,
    /// What it covers.
    pub body: ScheduleBody<'a>,
}

/// What a schedule covers.
#[derive(Debug)]
pub enum ScheduleBody<'a> {
    /// Weekly spans and exceptions.
    Written(&'a Written),
    /// A combination of others.
    Combined(ScheduleTerm),
    /// Not known: the body could not be read or resolved. Nothing is concluded from it.
    Unknown,
}

/// A combination of schedules.
#[derive(Clone, Debug)]
pub enum ScheduleTerm {
    /// Another schedule.
    Named(ScheduleRef),
    /// All that the other does not cover.
    Not(Box<ScheduleTerm>),
    /// What either covers.
    Plus(Box<ScheduleTerm>, Box<ScheduleTerm>),
    /// What the first covers and the second does not.
    Minus(Box<ScheduleTerm>, Box<ScheduleTerm>),
    /// What both cover.
    Within(Box<ScheduleTerm>, Box<ScheduleTerm>),
}

/// A schedule by name: one of the two that every site has, or a written one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ScheduleRef {
    /// Every minute.
    Always,
    /// No minute.
    Never,
    /// A schedule of the model.
    Of(ScheduleId),
}

impl Model<'_> {
    /// The schedules that one is made of, itself included, each with whether it is taken away.
    #[must_use]
    pub fn made_of(&self, schedule: ScheduleRef) -> BTreeSet<(ScheduleId, bool)> {
        let (mut named, mut terms, mut seen) =
            (vec![(schedule, false)], Vec::new(), BTreeSet::new());
        while let Some((of, away)) = named.pop() {
            let ScheduleRef::Of(id) = of else { continue };
            let Some(schedule) = self.schedules.get(id.index()) else { continue };
            if !seen.insert((id, away)) {
                continue;
            }
            if let ScheduleBody::Combined(term) = &schedule.body {
                terms.push((term, away));
            }
            while let Some((term, away)) = terms.pop() {
                match term {
                    ScheduleTerm::Named(of) => named.push((*of, away)),
                    ScheduleTerm::Not(inner) => terms.push((inner, !away)),
                    ScheduleTerm::Plus(one, other) | ScheduleTerm::Within(one, other) => {
                        terms.extend([(&**one, away), (&**other, away)]);
                    }
                    ScheduleTerm::Minus(one, other) => {
                        terms.extend([(&**one, away), (&**other, !away)]);
                    }
                }
            }
        }
        seen
    }
}
