//! Supplies, what hangs on them, and their batteries.

use super::Writer;
use super::needs::Needs;
use super::settings::thing;
use crate::figure::{Aspect, Better, Need, Value};
use crate::thing::{Thing, ThingKind};
use crate::words::Words;
use curtilage_facts::{Consumer, Drawing, Lasts, Power, Standby};
use curtilage_text::Place;
use curtilage_units::{amps, duration, significant};
use std::sync::Arc;

const COLLAPSES: &str = "the voltage collapses";

impl Writer<'_, '_, '_> {
    pub(super) fn power(&mut self) {
        let (model, facts) = (self.model(), self.facts);
        let none = Words::default;
        for supply in &model.supplies {
            let part = Place::new(supply.name.at.file, supply.tree.part.span);
            self.part_of(ThingKind::Supply, "supply", supply.name.text, part);
        }
        for controller in &model.controllers {
            let part = Place::new(controller.name.at.file, controller.tree.part.span);
            self.part_of(ThingKind::Controller, "controller", controller.name.text, part);
        }
        for cable in &model.cables {
            let part = Place::new(cable.name.at.file, cable.tree.part.span);
            self.part_of(ThingKind::Cable, "cable", cable.name.text, part);
        }
        for (power, standby) in facts.power.iter().zip(&facts.standby) {
            let Some(supply) = model.supply(power.supply) else { continue };
            let of = thing(ThingKind::Supply, supply.name.text);
            let needs = Needs::default().network(model, power);
            let needs = needs.item("policy", "", &["spare"]).done();
            let at = Some(supply.name.at);
            let rest = power.quiet.as_ref().map_err(|why| why.because.clone());
            let rest = rest.map(|case| case.source_amps());
            // A sum in which something is missing is no figure.
            let lacks = power.left_out.first().map(|(who, why)| {
                format!("`{}` is in no sum: {}", who.name(model).text, why.because)
            });
            let lacks = || lacks.clone().map(|why| Value::NotKnown(why.into()));
            let value = match rest {
                Ok(Some(current)) => Value::number(current, "A", amps(current), Better::Less),
                Ok(None) => Value::judged(Words::new(COLLAPSES), false),
                Err(why) => Value::NotKnown(why),
            };
            self.add(&of, Aspect::RestAmps, none(), lacks().unwrap_or(value), at, &needs);
            if power.collapses() {
                let value = Value::NotKnown(COLLAPSES.into());
                self.add(&of, Aspect::MostAmps, none(), value, at, &needs);
            } else if let Some((most, _)) = power.most_source_amps() {
                let limit = power.rated.map(|(rated, _)| (rated, amps(rated)));
                let value = Value::number(most, "A", amps(most), Better::Less).with_limit(limit);
                self.add(&of, Aspect::MostAmps, none(), lacks().unwrap_or(value), at, &needs);
            }
            for drawing in &power.drawings {
                self.volts(power, drawing, &needs);
            }
            if let Some(standby) = standby {
                let needs = Needs::default().network(model, power).item("policy", "", &[]).done();
                self.battery(&of, (standby, &lacks), at, &needs);
            }
        }
    }

    fn part_of(&mut self, kind: ThingKind, item: &'static str, name: &str, part: Place) {
        let needs = Needs::default().item(item, name, &["fed"]).done();
        let words = Value::words(self.part_words(part));
        self.add(&thing(kind, name), Aspect::Fitted, Words::default(), words, Some(part), &needs);
    }

    /// The least and the most voltage at something that draws.
    fn volts(&mut self, power: &Power<'_>, drawing: &Drawing, needs: &Arc<[Need]>) {
        let name = drawing.of.name(self.model());
        let (of, at) = (thing(consumer_kind(drawing.of), name.text), Some(name.at));
        let shown = |volts: f64| format!("{} V", significant(volts, 4));
        let works = drawing.works.map(|(works, _)| works);
        let down = power.collapse().is_some_and(|case| case.scene.is_on(drawing));
        let low = power.lowest(drawing).map(|found| found.map(|(volts, _)| volts));
        // What the others have while it collapses is no least voltage.
        let low = low.map(|low| low.filter(|_| !down));
        let high = power.highest(drawing).map(|found| found.map(|(volts, _)| volts));
        let ends = [
            (Aspect::LowestVolts, low, Better::More, drawing.least().map(|least| least.volts)),
            (Aspect::HighestVolts, high, Better::Less, works.map(|works| works.high)),
        ];
        for (aspect, found, better, limit) in ends {
            let limit = limit.map(|limit| (limit, shown(limit)));
            let value = match found {
                Ok(Some(volts)) => {
                    Value::number(volts, "V", shown(volts), better).with_limit(limit)
                }
                Ok(None) if drawing.is_ever_on() => Value::NotKnown(COLLAPSES.into()),
                Ok(None) => Value::NotKnown("it never is on".into()),
                Err(why) => Value::NotKnown(why.because),
            };
            self.add(&of, aspect, Words::default(), value, at, needs);
        }
    }

    fn battery(
        &mut self,
        of: &Thing,
        (standby, lacks): (&Standby<'_>, &dyn Fn() -> Option<Value>),
        at: Option<Place>,
        needs: &Arc<[Need]>,
    ) {
        let none = Words::default;
        let time = |hours: f64| duration((hours * 60.0).floor() * 60_000.0);
        let asked = |limit: Option<(f64, Place)>| limit.map_or(0.0, |(hours, _)| hours);
        let first = asked(standby.standby);
        let wanted = first + asked(standby.alarm_time);
        let limit = (wanted > 0.0).then(|| (wanted, time(wanted)));
        let hours = |value: f64, shown: String| {
            Value::number(value, "h", shown, Better::More).with_limit(limit.clone())
        };
        let lasts = match &standby.lasts {
            Ok(Lasts::StandbyOnly(value)) => {
                hours(*value, format!("{} of standby, no alarm", time(*value)))
            }
            Ok(Lasts::Alarm(value)) => {
                let shown = format!("{} of standby, then {} of alarm", time(first), time(*value));
                hours(first + value, shown)
            }
            Ok(Lasts::ForEver) => hours(f64::INFINITY, "the alarm draws nothing".to_owned()),
            Err(why) => Value::NotKnown(why.because.clone()),
        };
        self.add(of, Aspect::Lasts, none(), lacks().unwrap_or(lasts), at, needs);
        let charge = |value: f64| format!("{} Ah", significant(value, 3));
        let holds = standby.rated_ah().ok().map(|holds| (holds, charge(holds)));
        match &standby.needed {
            Ok(Some(needed)) => {
                let value = Value::number(*needed, "Ah", charge(*needed), Better::Less);
                let value = lacks().unwrap_or(value.with_limit(holds));
                self.add(of, Aspect::Capacity, none(), value, at, needs);
            }
            Ok(None) => {}
            Err(why) => {
                let value = Value::NotKnown(why.because.clone());
                self.add(of, Aspect::Capacity, none(), value, at, needs);
            }
        }
        let limit = standby.recharge_in.map(|(hours, _)| (hours, time(hours)));
        let recharge = match &standby.recharge {
            Ok(hours) => Value::number(*hours, "h", time(*hours), Better::Less).with_limit(limit),
            Err(why) => Value::NotKnown(why.because.clone()),
        };
        self.add(of, Aspect::Recharge, none(), lacks().unwrap_or(recharge), at, needs);
    }
}

/// The kind of thing that draws.
pub(crate) fn consumer_kind(of: Consumer) -> ThingKind {
    match of {
        Consumer::Controller(_) => ThingKind::Controller,
        Consumer::Output(_) => ThingKind::Output,
        Consumer::Coil(_) => ThingKind::Relay,
        Consumer::Sensor(_) => ThingKind::Zone,
        Consumer::Camera(_) => ThingKind::Camera,
    }
}
