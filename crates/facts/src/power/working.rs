//! The working of a network's figures.

use crate::cabling::ambient_at;
use crate::figure::{ARITHMETIC, figure, input, step};
use crate::power::Power;
use crate::power::case::Case;
use crate::power::consumer::Drawing;
use crate::power::tree::{Branch, BranchOf};
use curtilage_circuit::network::{Load, explain_most_power};
use curtilage_diagnostic::{Input, Step};
use curtilage_model::Model;
use curtilage_text::Place;

impl<'a> Power<'a> {
    /// The working of the voltage at the end of a branch in a case: the resistance of each run on
    /// the way, then the drop in each.
    #[must_use]
    pub fn working(&self, model: &Model<'a>, branch: usize, case: &Case) -> Vec<Step> {
        let celsius = case.scene.celsius;
        let ambient = ambient_at(model);
        let mut out = Vec::new();
        let mut drops = Vec::new();
        let (name, sheet) = self.names(model);
        let (Some(source), Some(amps)) = (case.source_volts(), case.source_amps()) else {
            return out;
        };
        drops.push(Step {
            what: format!("voltage at the terminals of `{name}`"),
            formula: "U = E - I * Ri".to_owned(),
            inputs: vec![
                input("E", figure(case.scene.volts, "V"), self.volts_at(model, case)),
                input("I", figure(amps, "A"), None),
                input("Ri", figure(self.inside, "ohm"), sheet),
            ],
            result: figure(source, "V"),
            source: "Kirchhoff's laws (C)".to_owned(),
        });
        let mut before = source;
        for index in self.way(branch) {
            let Some(found) = self.branches.get(index) else { continue };
            let (Some(volts), Some(amps)) = (case.volts(index), case.amps(index)) else { continue };
            if let Some(Ok(cable)) = &found.cable {
                let run =
                    format!("`{} of {}`", model.text(cable.length_at), model.text(cable.named));
                out.extend(cable.working(&format!("resistance of {run}"), celsius, ambient));
                drops.push(Step {
                    what: format!("voltage behind {run}"),
                    formula: "U = U0 - I * R".to_owned(),
                    inputs: vec![
                        input("U0", figure(before, "V"), None),
                        input("I", figure(amps, "A"), None),
                        input("R", figure(found.ohm(celsius), "ohm"), Some(cable.at())),
                    ],
                    result: figure(volts, "V"),
                    source: "Ohm's law (C)".to_owned(),
                });
            }
            before = volts;
        }
        out.push(self.currents(model, case, None));
        out.extend(drops);
        out
    }

    /// What flows in a case through a branch, or out of the supply: the currents of all that is
    /// behind it.
    #[must_use]
    pub fn currents(&self, model: &Model<'a>, case: &Case, through: Option<usize>) -> Step {
        let behind = |drawing: &&Drawing| {
            through.is_none_or(|branch| self.way(drawing.branch).contains(&branch))
        };
        let mut inputs: Vec<Input> = Vec::new();
        for drawing in self.drawings.iter().filter(behind) {
            let Some(volts) = case.volts(drawing.branch) else { continue };
            let on = case.scene.is_on(drawing);
            let load = if on { drawing.load().ok() } else { None };
            let load = load.unwrap_or_else(|| drawing.idle());
            let amps = load.amps(volts);
            if amps == 0.0 {
                continue;
            }
            let name = drawing.of.name(model).text;
            let how = match (&load, drawing.count) {
                _ if !on => "off, idling".to_owned(),
                (Load::ConstantCurrent(_), 1) => "on".to_owned(),
                (Load::ConstantCurrent(_), count) => format!("on, {count} of them"),
                (_, 1) => format!("on, at {}", figure(volts, "V")),
                (_, count) => format!("on, {count} of them, at {}", figure(volts, "V")),
            };
            inputs.push(input(format!("`{name}` ({how})"), figure(amps, "A"), Some(drawing.at)));
        }
        let what = match through.and_then(|branch| self.branches.get(branch)) {
            Some(branch) => format!("current through {}", piece(model, branch)),
            None => format!("current of `{}`", self.names(model).0),
        };
        let total = match through {
            Some(branch) => case.amps(branch),
            None => case.source_amps(),
        };
        let missing = match self.left_out.len() {
            0 => String::new(),
            1 => ", one more not known".to_owned(),
            more => format!(", {more} more not known"),
        };
        Step {
            what,
            formula: format!("I = sum of {}{missing}", self.which(case)),
            inputs,
            result: figure(total.unwrap_or(0.0), "A"),
            source: ARITHMETIC.to_owned(),
        }
    }

    /// Which of the loads are on in a case, in words.
    fn which(&self, case: &Case) -> &'static str {
        if case.scene.moved == self.all_on(case.scene.volts) {
            "all that can be on together"
        } else if !case.scene.moved.is_empty() {
            "all that is on in this case"
        } else {
            "all that is on at rest"
        }
    }

    /// The supply's name, and where its sheet gives its internal resistance.
    fn names(&self, model: &Model<'a>) -> (&'a str, Option<Place>) {
        let supply = model.supply(self.supply);
        let inside = supply.and_then(|supply| {
            let part = supply.part?;
            Some(part.place(part.sheet.inside?.span))
        });
        (supply.map_or("", |supply| supply.name.text), inside)
    }

    /// Where the voltage of a case is said.
    #[must_use]
    pub fn volts_at(&self, model: &Model<'a>, case: &Case) -> Option<Place> {
        let part = model.supply(self.supply)?.part?;
        let empty = part.sheet.empty.filter(|empty| empty.value == case.scene.volts);
        let span = empty.map(|empty| empty.span).or(part.sheet.gives.map(|gives| gives.span))?;
        Some(part.place(span))
    }
}

impl<'a> Power<'a> {
    /// The working of a collapse: the resistance on the way to where it was seen, what is asked for
    /// behind it, and for a single load the most power that gets through.
    #[must_use]
    pub fn collapse_working(
        &self,
        model: &Model<'a>,
        case: &Case,
        branch: Option<usize>,
    ) -> Vec<Step> {
        let celsius = case.scene.celsius;
        let way = branch.map_or_else(Vec::new, |branch| self.way(branch));
        let mut out = Vec::new();
        let mut ohm = self.inside;
        for index in &way {
            let Some(found) = self.branches.get(*index) else { continue };
            ohm += found.ohm(celsius);
            if let Some(Ok(cable)) = &found.cable {
                let run =
                    format!("`{} of {}`", model.text(cable.length_at), model.text(cable.named));
                let what = format!("resistance of {run}");
                out.extend(cable.working(&what, celsius, ambient_at(model)));
            }
        }
        let on = self.drawings.iter().filter(|drawing| case.scene.is_on(drawing));
        let on: Vec<&Drawing> = on.collect();
        let inputs = on.iter().map(|drawing| {
            let unit = if drawing.draw.power { "W" } else { "A" };
            let each = figure(drawing.draw.amount.value, unit);
            let amount =
                if drawing.count == 1 { each } else { format!("{} x {each}", drawing.count) };
            input(format!("`{}`", drawing.of.name(model).text), amount, Some(drawing.at))
        });
        out.push(Step {
            what: format!("what is asked of `{}`", self.names(model).0),
            formula: "all that can be on together".to_owned(),
            inputs: inputs.collect(),
            result: "no voltage at which all of it can flow".to_owned(),
            source: "Kirchhoff's laws, monotone Newton (X)".to_owned(),
        });
        if let ([_], Ok(most)) = (on.as_slice(), explain_most_power(case.scene.volts, ohm)) {
            let at = self.volts_at(model, case);
            let places: Vec<(&'static str, Place)> = at.map(|at| ("E", at)).into_iter().collect();
            out.push(step("the most power that gets through", &most, &places));
        }
        out
    }
}

/// A branch in words.
fn piece(model: &Model<'_>, branch: &Branch<'_>) -> String {
    match (&branch.of, &branch.cable) {
        (_, Some(Ok(cable))) => {
            format!("`{} of {}`", model.text(cable.length_at), model.text(cable.named))
        }
        (BranchOf::Outlet(terminal), _) => format!("outlet `{}`", model.terminal_name(terminal)),
        (BranchOf::Start(id), _) => {
            format!("cable `{}`", model.cable(*id).map_or("", |cable| cable.name.text))
        }
        (BranchOf::Feed(of), _) => format!("the feed of `{}`", of.name(model).text),
        _ => format!("`{}`", model.text(branch.at)),
    }
}
