//! What a site amounts to, figure by figure. The same sheet is printed by `figures` and compared by
//! `compare`, so a figure of a comparison is the figure of its side.

mod causes;
mod needs;
mod outputs;
mod power;
mod recording;
mod said;
mod settings;
mod zones;

use crate::figure::{Aspect, Figure, Need, Value};
use crate::names::Names;
use crate::thing::{Thing, ThingKind};
use crate::words::Words;
use curtilage_facts::{Covered, Facts, WeekSet};
use curtilage_model::{Model, ScheduleRef};
use curtilage_text::Place;
use settings::Statements;
use std::sync::Arc;

pub(crate) use causes::causes;
pub(crate) use power::consumer_kind;
pub(crate) use settings::contact_words;

/// All figures of one site, in the order of its file.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// The figures.
    pub figures: Vec<Figure>,
}

impl Sheet {
    /// The sheet of a site; empty when the file has none.
    #[must_use]
    pub fn of(facts: &Facts<'_, '_>) -> Self {
        let mut writer = Writer {
            facts,
            statements: Statements::of(facts.model),
            names: Names::of(facts.model),
            figures: Vec::new(),
        };
        if facts.model.site.is_some() {
            writer.settings();
            writer.zones();
            writer.causes();
            writer.outputs();
            writer.power();
            writer.recording();
            writer.rehearsals();
            writer.said();
        }
        Self { figures: writer.figures }
    }
}

struct Writer<'f, 'm, 'a> {
    facts: &'f Facts<'m, 'a>,
    statements: Statements<'a>,
    names: Names<'a>,
    figures: Vec<Figure>,
}

impl<'m, 'a> Writer<'_, 'm, 'a> {
    fn model(&self) -> &'m Model<'a> {
        self.facts.model
    }

    fn add(
        &mut self,
        thing: &Thing,
        aspect: Aspect,
        detail: Words,
        value: Value,
        at: Option<Place>,
        needs: &Arc<[Need]>,
    ) {
        let (thing, needs) = (thing.clone(), Arc::clone(needs));
        self.figures.push(Figure { thing, aspect, detail, value, at, needs });
    }

    /// Hours of a schedule as a value.
    fn hours(&self, schedule: ScheduleRef) -> Value {
        self.facts.hours.covered(schedule).map_or_else(
            || Value::NotKnown("the schedule is not known".into()),
            |covered| Value::Hours { shown: show_hours(&covered), covered },
        )
    }

    fn rehearsals(&mut self) {
        let facts = self.facts;
        for (rehearsal, played) in self.model().rehearsals.iter().zip(facts.rehearsed()) {
            let thing = Thing::new(ThingKind::Rehearsal, Words::thing(rehearsal.title));
            let needs: Arc<[Need]> = needs::everything();
            let value = match &played.played {
                Ok(_) if played.holds() => Value::judged(Words::new("comes true"), true),
                Ok(_) => Value::judged(Words::new("does not come true"), false),
                Err(curtilage_facts::events::Unplayed::Senseless(_)) => {
                    Value::judged(Words::new("makes no sense"), false)
                }
                Err(curtilage_facts::events::Unplayed::NotKnown(why)) => {
                    Value::NotKnown(why.because.clone())
                }
            };
            let at = Place::new(rehearsal.file, rehearsal.tree.title);
            self.add(&thing, Aspect::Rehearsal, Words::default(), value, Some(at), &needs);
        }
    }
}

/// `Mon to Fri 18:00`, and what dates add and take in the two years that are looked at.
fn show_moments(covered: &Covered) -> String {
    let mut out = moments(&covered.week);
    let Some((more, less)) = covered.unusual() else {
        out.push_str(", not known on dates");
        return out;
    };
    if more + less > 0 {
        out.push_str(&format!(" ({more} more and {less} less on dates)"));
    }
    out
}

/// Minutes of a week, each by its beginning.
pub(crate) fn moments(week: &WeekSet) -> String {
    let spans = week.to_string();
    let each = spans.split("; ").map(moment);
    each.collect::<Vec<_>>().join("; ")
}

/// The beginning of a span of a minute: `Mon to Fri 18:00 to 18:01` is `Mon to Fri 18:00`.
pub(crate) fn moment(span: &str) -> &str {
    span.rsplit_once(" to ").map_or(span, |(start, _)| start)
}

/// `168 h a week`, and what dates add and take in the two years that are looked at.
pub(crate) fn show_hours(covered: &Covered) -> String {
    let hours = curtilage_units::hours;
    let mut out = format!("{} a week", hours(u64::from(covered.week.minutes())));
    let Some((more, less)) = covered.unusual() else {
        out.push_str(", not known on dates");
        return out;
    };
    if more > 0 {
        out.push_str(&format!(", {} more on dates", hours(more)));
    }
    if less > 0 {
        out.push_str(&format!(", {} less on dates", hours(less)));
    }
    out
}
