//! The working of a standby time and of a recharge time.

use super::{CHARGE_FACTOR, Standby, Wells};
use crate::cabling::ambient_at;
use crate::figure::{ARITHMETIC, figure, input, step, steps};
use crate::power::{Moved, Power, Scene};
use curtilage_circuit::battery::{
    Kinetic, explain_ampere_hours, explain_recharge, explain_temperature_factor,
};
use curtilage_diagnostic::Step;
use curtilage_model::Model;
use curtilage_text::Place;
use curtilage_units::round_up;

impl<'a> Standby<'a> {
    /// How the lasting time and the needed capacity came about.
    #[must_use]
    pub fn working(&self, model: &Model<'a>, power: &Power<'a>) -> Vec<Step> {
        let mut out = self.both_currents(model, power);
        let name = model.part_name(self.battery.id);
        let holds = self.battery.sheet.holds.first();
        let holds = holds.map(|(charge, _)| self.battery.place(charge.span));
        let (Ok(wells), Ok(worn), Ok(duty)) = (&self.wells, self.worn(), self.duty()) else {
            return out;
        };
        if let Wells::Kinetic(_, [q20, q10, q1]) = *wells {
            let places: Vec<(&'static str, Place)> = holds
                .iter()
                .flat_map(|at| ["q20", "q10", "q1"].map(|letter| (letter, *at)))
                .collect();
            let list = Kinetic::explain_three_rates(q20, q10, q1).unwrap_or_default();
            out.extend(steps(&format!("two wells of one `{name}`"), &list, &places));
        }
        out.extend(self.capacity(model));
        let what = match wells {
            Wells::Kinetic(..) => "how long it lasts, kinetic model",
            Wells::Rated(..) => "how long it lasts, Peukert",
        };
        let list = match &worn {
            Wells::Kinetic(kinetic, _) => kinetic.explain_lasts(&duty),
            Wells::Rated(rated, _) => rated.explain_lasts(&duty),
        };
        let exponent = match wells {
            Wells::Rated(_, at) => vec![("k", *at)],
            Wells::Kinetic(..) => Vec::new(),
        };
        out.extend(steps(what, &list.unwrap_or_default(), &exponent));
        let needed = match wells {
            Wells::Kinetic(kinetic, _) => kinetic.explain_needed(&duty),
            Wells::Rated(rated, _) => rated.explain_needed(&duty),
        };
        if self.standby.is_some() || self.alarm_time.is_some() {
            out.extend(steps("what is needed, new and at 25 degC", &needed, &[]));
            out.extend(self.needed_step());
        }
        if let Some(policy) = model.policy.as_ref()
            && let Some(factor) = policy.tree.plain_sum
            && let Ok(sum) = explain_ampere_hours(&duty, factor.value.value)
        {
            let at = Place::new(policy.file, factor.value.span);
            out.push(step("the plain sum of ampere-hours", &sum, &[("m", at)]));
        }
        out
    }

    /// The currents at rest and in alarm.
    fn both_currents(&self, model: &Model<'a>, power: &Power<'a>) -> Vec<Step> {
        let Some(volts) = self.battery.sheet.voltage else { return Vec::new() };
        let celsius = power.hottest();
        let mut out = Vec::new();
        let mut means = None;
        let mut add = |moved: Moved, what: &str, letter: &str| {
            let scene = Scene { volts: volts.value, celsius, moved };
            let Ok(case) = power.solve(scene, |_| None) else { return };
            let mut step = power.currents(model, &case, None);
            step.what = format!("{} {what}, on {}", step.what, figure(volts.value, "V"));
            step.formula = step.formula.replacen('I', letter, 1);
            out.push(step);
        };
        match self.stretches.as_slice() {
            [] => add(Moved::default(), "at rest", "Is"),
            [only] => add(only.moved.clone(), "at rest, with what schedules switch on", "Is"),
            several => {
                let mut inputs = Vec::new();
                for (place, one) in (1..).zip(several) {
                    let hours = figure(one.hours, "h");
                    add(one.moved.clone(), &format!("at rest for {hours}"), &format!("I{place}"));
                    inputs.push(input(
                        format!("I{place}, for {hours}"),
                        figure(one.amps, "A"),
                        None,
                    ));
                }
                let hours: f64 = several.iter().map(|one| one.hours).sum();
                means = Some(Step {
                    what: format!("current at rest, in the worst {} of a week", figure(hours, "h")),
                    formula: "Is = sum of I * t / T".to_owned(),
                    inputs,
                    result: self
                        .resting
                        .as_ref()
                        .map_or_else(|_| String::new(), |is| figure(*is, "A")),
                    source: ARITHMETIC.to_owned(),
                });
            }
        }
        add(power.all_on(volts.value), "in alarm", "Ia");
        out.extend(means);
        out
    }

    /// The capacity that is left: age and cold.
    fn capacity(&self, model: &Model<'a>) -> Vec<Step> {
        let mut out = Vec::new();
        let ambient = ambient_at(model);
        let (Ok(cold), Ok(rated)) = (&self.cold, self.rated_ah()) else { return out };
        let coldest = model.site.as_ref().and_then(|site| site.tree.ambient);
        let coldest = coldest.map(|ambient| ambient.value.low);
        if let Some(Ok(factor)) = coldest.map(explain_temperature_factor) {
            let places: Vec<(&'static str, Place)> =
                ambient.map(|at| ("T", at)).into_iter().collect();
            out.push(step("factor of the coldest ambient temperature", &factor, &places));
        } else if let Some(coldest) = coldest {
            out.push(Step {
                what: "factor of the coldest ambient temperature".to_owned(),
                formula: "fT = coldest value of the table; the true one is larger still".to_owned(),
                inputs: vec![input("T", figure(coldest, "degC"), ambient)],
                result: figure(cold.value, ""),
                source: "IEEE 485 table 1 (M)".to_owned(),
            });
        }
        let usual = if self.ageing.at.is_none() { ", the usual one: IEEE 485 (M)" } else { "" };
        out.push(Step {
            what: "capacity at the end of its life, in the cold".to_owned(),
            formula: "C = Cr / (fT * fa)".to_owned(),
            inputs: vec![
                input(
                    format!("Cr, {} in parallel, over 20 h", self.count),
                    figure(rated, "Ah"),
                    None,
                ),
                input("fT", figure(cold.value, ""), ambient),
                input("fa", format!("{}{usual}", figure(self.ageing.value, "")), self.ageing.at),
            ],
            result: figure(rated / cold.value / self.ageing.value, "Ah"),
            source: ARITHMETIC.to_owned(),
        });
        out
    }

    fn needed_step(&self) -> Option<Step> {
        let (cold, needed) = (self.cold.as_ref().ok()?, self.needed.as_ref().ok()?.as_ref()?);
        let bare = needed / cold.value / self.ageing.value;
        Some(Step {
            what: "capacity over 20 h that is needed".to_owned(),
            formula: "C = Cn * fT * fa".to_owned(),
            inputs: vec![
                input("Cn", figure(bare, "Ah"), None),
                input("fT", figure(cold.value, ""), None),
                input("fa", figure(self.ageing.value, ""), self.ageing.at),
            ],
            // What suffices is rounded up, here as where it is told.
            result: figure(round_up(*needed), "Ah"),
            source: "IEEE 485 (M)".to_owned(),
        })
    }

    /// How the recharge time came about.
    #[must_use]
    pub fn recharge_working(&self, model: &Model<'a>, power: &Power<'a>) -> Vec<Step> {
        let Ok((most, rated, resting)) = self.charging_parts(power) else { return Vec::new() };
        let (Ok(amps), Ok(charge)) = (self.charging(power), self.rated_ah()) else {
            return Vec::new();
        };
        let mut out = Vec::new();
        if let Ok(best) = &power.best {
            let mut step = power.currents(model, best, None);
            step.what = format!("{} at rest, on mains", step.what);
            step.formula = step.formula.replacen('I', "I0", 1);
            out.push(step);
        }
        let mut inputs = vec![input("Ic", figure(most, "A"), power.charges.map(|(_, at)| at))];
        if let Some(rated) = rated {
            inputs.push(input("Ir", figure(rated, "A"), power.rated.map(|(_, at)| at)));
        }
        inputs.push(input("I0", figure(resting, "A"), None));
        out.push(Step {
            what: "current that charges".to_owned(),
            formula: "I = the smaller of Ic and Ir - I0".to_owned(),
            inputs,
            result: figure(amps, "A"),
            source: ARITHMETIC.to_owned(),
        });
        if let Ok(last) = explain_recharge(charge, amps, CHARGE_FACTOR) {
            out.push(step("time to recharge it from flat", &last, &[]));
        }
        out
    }
}
