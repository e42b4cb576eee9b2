//! What each cause sets off, effect by effect, however the responses are cut: two responses to one
//! zone are the same as one that does it all.

use super::needs::Needs;
use super::zones::ms;
use super::{Writer, show_moments};
use crate::figure::{Aspect, Value};
use crate::thing::{Thing, ThingKind};
use crate::words::Words;
use curtilage_facts::Refused;
use curtilage_model::{Cause, Effect, Model, Response};
use curtilage_text::Place;
use curtilage_units::duration;
use std::collections::BTreeSet;

impl Writer<'_, '_, '_> {
    pub(super) fn causes(&mut self) {
        let model = self.model();
        let mut told = BTreeSet::new();
        for (index, response) in model.responses.iter().enumerate() {
            for (cause, at) in &response.causes {
                let words = words(model, *cause);
                if told.insert(words.clone()) {
                    self.comes(words, *cause, *at);
                }
            }
            for (cause, causes) in causes(model, response) {
                let thing = Thing::new(ThingKind::Cause, cause);
                for (effect, at) in &response.effects {
                    self.effect(index, response, &thing, &causes, effect, *at);
                }
            }
        }
    }

    /// When hours begin or end that set something off.
    fn comes(&mut self, words: Words, cause: Cause, at: Place) {
        let (schedule, ends) = match cause {
            Cause::Start(schedule) => (schedule, false),
            Cause::End(schedule) => (schedule, true),
            _ => return,
        };
        let value = self.facts.hours.edges(schedule, ends).map_or_else(
            || Value::NotKnown("the schedule is not known".into()),
            |covered| Value::Hours { shown: show_moments(&covered), covered },
        );
        let needs = Needs::default().schedule(self.model(), schedule).done();
        let thing = Thing::new(ThingKind::Cause, words);
        self.add(&thing, Aspect::Comes, Words::default(), value, Some(at), &needs);
    }

    fn effect(
        &mut self,
        index: usize,
        response: &Response<'_>,
        cause: &Thing,
        causes: &[Cause],
        effect: &Effect,
        at: Place,
    ) {
        let model = self.model();
        let camera = |id| Words::thing(model.camera(id).map_or("", |camera| camera.name.text));
        let output = |id| Words::thing(model.output(id).map_or("", |output| output.name.text));
        let hold = |hold: Option<u64>| {
            hold.map_or_else(
                || "until switched back".to_owned(),
                |hold| format!("for {}", time(hold)),
            )
        };
        let mut fine = true;
        let mut needs = Needs::default();
        let (detail, mut value) = match effect {
            Effect::Switch { output: id, on, hold: for_time } => {
                let word = if *on { "closes " } else { "opens " };
                let mut value = hold(*for_time);
                if let Some(runs) = self.runs(causes, *id, at)
                    && *for_time != Some(runs)
                {
                    value.push_str(&format!(", on for {}", time(runs)));
                }
                needs = needs.contact(model, model.output(*id).and_then(|one| one.through));
                (Words::new(word).and(&output(*id)), value)
            }
            Effect::Pulse { output: id, on, off, hold } => (
                Words::new("pulses ").and(&output(*id)),
                format!("{} on, {} off, for {}", time(*on), time(*off), time(*hold)),
            ),
            Effect::Record { camera: id, before, after, at: words } => {
                let mut value = format!("from {} before to {} after", time(*before), time(*after));
                let refused = self.facts.refusals.iter().find(|refusal| {
                    refusal.response == index && refusal.camera == *id && refusal.at == *words
                });
                if let Some(refused) = refused {
                    fine = false;
                    value.push_str(match refused.why {
                        Refused::NoPlan | Refused::NotKept { .. } => ", but none of it is kept",
                        Refused::Hours { .. } => ", but not kept at all hours",
                        Refused::Edge { .. } => ", but not kept at that minute",
                    });
                }
                needs = needs.item("recording", "", &["keep"]);
                (Words::new("records ").and(&camera(*id)), value)
            }
            Effect::Show(id) => (Words::new("shows ").and(&camera(*id)), String::new()),
            Effect::Sound { controller, hold: for_time } => {
                let name = model.controller(*controller).map_or("", |one| one.name.text);
                (Words::new("sounds ").and(&Words::thing(name)), hold(*for_time))
            }
            Effect::Tell(person) => {
                let people = model.site.as_ref().and_then(|site| site.people.get(*person));
                let name = people.map_or("", |person| person.name.text);
                (Words::new("tells ").and(&Words::thing(name)), String::new())
            }
            Effect::Move { camera: id, preset } => {
                let preset = model.text(*preset);
                (Words::new("moves ").and(&camera(*id)), format!("to {preset}"))
            }
        };
        if let Some(within) = response.all_within {
            value.push_str(&format!(", all of them within {}", time(within)));
        }
        if let Some(after) = response.tree.after.filter(|after| after.value > 0) {
            value.push_str(&format!(", after {}", time(after.value)));
        }
        if let Some((during, _)) = response.during {
            value.push_str(", during ");
            value.push_str(&self.during(during));
            needs = needs.schedule(model, during);
        }
        for cause in causes {
            if let Cause::Start(schedule) | Cause::End(schedule) = cause {
                needs = needs.schedule(model, *schedule);
            }
            if let Cause::Zone(id) = cause
                && let Some(zone) = model.zone(*id)
            {
                let controller = zone.input.and_then(|one| one.terminal).map(|one| one.controller);
                needs = needs
                    .item("zone", zone.name.text, &["lockout", "registers"])
                    .controller(model, controller);
            }
        }
        let name = crate::lines::response_name(model, response);
        let needs = needs.item("response", &name, &[]).done();
        let value = value.trim_start_matches(", ");
        let value = if value.is_empty() { "at once" } else { value };
        let value = Value::judged(Words::new(value), fine);
        self.add(cause, Aspect::Effect, detail, value, Some(at), &needs);
    }

    /// The hours themselves, not the name of the schedule.
    fn during(&self, schedule: curtilage_model::ScheduleRef) -> String {
        let Some(covered) = self.facts.hours.covered(schedule) else {
            return "hours that are not known".to_owned();
        };
        let mut out = covered.week.to_string();
        let Some((more, less)) = covered.unusual() else {
            out.push_str(" (not known on dates)");
            return out;
        };
        if more + less > 0 {
            let hours = curtilage_units::hours;
            out.push_str(&format!(" ({} more and {} less on dates)", hours(more), hours(less)));
        }
        out
    }

    /// How long one registration keeps an output on, ms, when that is told for one zone.
    fn runs(
        &self,
        causes: &[Cause],
        output: curtilage_model::OutputId,
        line: Place,
    ) -> Option<u64> {
        let [Cause::Zone(id)] = causes else { return None };
        let registering = self.facts.registering.get(id.index())?;
        let driven = registering.drives.iter().find(|one| one.output == output && one.line == line);
        driven?.length
    }
}

/// The causes of a response: each for itself, or all together.
pub(crate) fn causes(model: &Model<'_>, response: &Response<'_>) -> Vec<(Words, Vec<Cause>)> {
    let each = response.causes.iter().map(|(cause, _)| (words(model, *cause), vec![*cause]));
    if response.all_within.is_none() {
        return each.collect();
    }
    let all: Vec<Cause> = response.causes.iter().map(|(cause, _)| *cause).collect();
    let list = Words::list(each.map(|(words, _)| words).collect());
    // The order of the list means nothing, so the words stand before it.
    vec![(Words::new("all of ").then(&list), all)]
}

fn words(model: &Model<'_>, cause: Cause) -> Words {
    let zone = |id| Words::thing(model.zone(id).map_or("", |zone| zone.name.text));
    match cause {
        Cause::Zone(id) => zone(id),
        Cause::Tamper(id) => Words::new("tamper of ").and(&zone(id)),
        Cause::CameraLost(id) => {
            let name = model.camera(id).map_or("", |camera| camera.name.text);
            Words::new("loss of ").and(&Words::thing(name))
        }
        Cause::SupplyLost(id) => {
            let name = model.supply(id).map_or("", |supply| supply.name.text);
            Words::new("loss of ").and(&Words::thing(name))
        }
        Cause::Start(schedule) => Words::new("start of ").and(&schedule_words(model, schedule)),
        Cause::End(schedule) => Words::new("end of ").and(&schedule_words(model, schedule)),
    }
}

fn schedule_words(model: &Model<'_>, schedule: curtilage_model::ScheduleRef) -> Words {
    Words::name(crate::words::Scope::Schedule, model.schedule_name(schedule))
}

fn time(time: u64) -> String {
    duration(ms(time))
}
