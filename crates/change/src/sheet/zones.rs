//! What each zone is, when it counts, and what its input sees.

use super::Writer;
use super::needs::Needs;
use super::settings::{run_words, thing};
use crate::figure::{Aspect, Better, Need, Value};
use crate::thing::{Thing, ThingKind};
use crate::words::Words;
use curtilage_facts::{Loop, LoopState, Placement};
use curtilage_model::{Zone, ZoneId};
use curtilage_syntax::tree::Spanned;
use curtilage_text::Place;
use curtilage_units::{duration, ohms, significant};
use std::sync::Arc;

/// The first words of lines.
type Lines = &'static [&'static str];

impl Writer<'_, '_, '_> {
    pub(super) fn zones(&mut self) {
        let (model, facts) = (self.model(), self.facts);
        for ((id, zone), seen) in model.zones_by_id().zip(&facts.loops) {
            let of = thing(ThingKind::Zone, zone.name.text);
            self.wiring(&of, zone);
            self.timing(&of, id, zone);
            if let Some((armed, at)) = zone.armed {
                let needs = Needs::default().item("zone", zone.name.text, &["armed"]);
                let needs = needs.schedule(model, armed).done();
                let value = self.hours(armed);
                self.add(&of, Aspect::Armed, Words::default(), value, Some(at), &needs);
            }
            let needs = Needs::default().zone_loop(model, zone).done();
            self.rest_state(&of, zone, &needs);
            match seen {
                Ok(seen) => self.states(&of, zone, seen, &needs),
                Err(why) => {
                    let value = Value::NotKnown(why.because.clone());
                    let at = Some(zone.name.at);
                    self.add(&of, Aspect::Reading, Words::default(), value, at, &needs);
                }
            }
            self.answers(&of, id, zone);
        }
    }

    fn wiring(&mut self, of: &Thing, zone: &Zone<'_>) {
        let (model, name, file) = (self.model(), zone.name.text, zone.name.at.file);
        let none = Words::default;
        let part = Place::new(file, zone.tree.part.span);
        let words = self.part_words(part);
        let needs = Needs::default().item("zone", name, &["purpose"]).done();
        self.add(of, Aspect::Fitted, none(), Value::words(words), Some(part), &needs);
        for (input, detail) in [(zone.input, ""), (zone.tamper(), "tamper")] {
            let Some(input) = input else { continue };
            let Some(terminal) = input.terminal else { continue };
            let controller = input.terminal.map(|terminal| terminal.controller);
            let needs = Needs::default().item("zone", name, &["wired", "tamper"]);
            let needs = needs.controller(model, controller).done();
            let mut words = Words::thing(&model.terminal_name(&terminal));
            if let Some(common) = input.common {
                words = words.say(" and ").and(&Words::thing(&model.terminal_name(&common)));
            }
            let (detail, at) = (Words::new(detail), Some(input.line));
            self.add(of, Aspect::Landed, detail.clone(), Value::words(words), at, &needs);
            let run = input
                .run
                .map_or_else(|| Words::new("on the spot"), |run| run_words(model, &run, file));
            self.add(of, Aspect::Cable, detail, Value::words(run), at, &needs);
        }
        if let Some((ends, at)) = self.statement_rest("zone", name, "ends") {
            let needs = Needs::default().item("zone", name, &["ends"]).done();
            self.add(of, Aspect::Ends, none(), Value::words(ends), Some(at), &needs);
        }
    }

    /// Times of a zone: the longer each is, the later or the less often it registers.
    fn timing(&mut self, of: &Thing, id: ZoneId, zone: &Zone<'_>) {
        let (model, tree) = (self.model(), zone.tree);
        // The zone's own settle time, or that of its controller.
        let settle = self.facts.registering.get(id.index()).and_then(|one| one.settle);
        let doubt = self.facts.doubt.about_zone(model, zone);
        if settle.is_some() || doubt {
            let needs = Needs::default().item("zone", zone.name.text, &["settle", "wired"]);
            let controller = zone.input.and_then(|one| one.terminal).map(|one| one.controller);
            let needs = needs.controller(model, controller).done();
            let own = tree.settle.map(|own| Place::new(zone.name.at.file, own.span));
            let at = Some(own.unwrap_or(zone.name.at));
            let value = match settle {
                Some(time) => Value::number(ms(time), "ms", duration(ms(time)), Better::Less),
                None => Value::NotKnown("a statement about it could not be read".into()),
            };
            self.add(of, Aspect::Timing, Words::new("settle"), value, at, &needs);
        }
        let times: [(&str, Lines, Option<Spanned<u64>>); 3] = [
            ("lockout", &["lockout"], tree.lockout),
            ("entry", &["entry"], tree.entry),
            ("exit", &["exit"], tree.exit),
        ];
        for (word, lines, time) in times {
            let Some(time) = time else { continue };
            let needs = Needs::default().item("zone", zone.name.text, lines).done();
            let at = Some(Place::new(zone.name.at.file, time.span));
            let milliseconds = ms(time.value);
            let value = Value::number(milliseconds, "ms", duration(milliseconds), Better::Less);
            self.add(of, Aspect::Timing, Words::new(word), value, at, &needs);
        }
        if let Some(limit) = tree.repeats {
            let needs = Needs::default().item("zone", zone.name.text, &["repeats"]).done();
            let at = Some(Place::new(zone.name.at.file, limit.span));
            let shown = format!("at most {} per arming", limit.value);
            let value = Value::number(f64::from(limit.value), "", shown, Better::More);
            self.add(of, Aspect::Timing, Words::new("repeats"), value, at, &needs);
        }
    }

    fn rest_state(&mut self, of: &Thing, zone: &Zone<'_>, needs: &Arc<[Need]>) {
        let part = self.model().input_part(zone);
        let takes = zone.tree.input.or(part.and_then(|part| part.sheet.input_rests));
        let Some(rests) = zone.sensor.and_then(|sensor| sensor.sheet.rests) else { return };
        let value = match takes {
            Some(takes) => {
                let text = format!(
                    "sensor rests {}, input takes {} for rest",
                    rests.value.word(),
                    takes.value.word()
                );
                Value::judged(Words::new(&text), rests.value == takes.value)
            }
            None => Value::words(Words::new(&format!("sensor rests {}", rests.value.word()))),
        };
        let at = Some(zone.name.at);
        self.add(of, Aspect::RestState, Words::default(), value, at, needs);
    }

    fn states(&mut self, of: &Thing, zone: &Zone<'_>, seen: &Loop<'_>, needs: &Arc<[Need]>) {
        let at = Some(zone.input.map_or(zone.name.at, |input| input.line));
        for state in seen.states() {
            let detail = || Words::new(state.name.short());
            let reading = Value::number(state.nominal, "ohm", ohms(state.nominal), Better::Neither);
            self.add(of, Aspect::Reading, detail(), reading, at, needs);
            self.add(of, Aspect::Window, detail(), window(seen, state), at, needs);
            if let Some(band) = band(seen, state) {
                self.add(of, Aspect::Band, detail(), band, at, needs);
            }
        }
    }

    fn answers(&mut self, of: &Thing, id: ZoneId, zone: &Zone<'_>) {
        let (facts, name, at) = (self.facts, zone.name.text, Some(zone.name.at));
        let none = Words::default;
        let mut needs = Needs::default()
            .item(
                "zone",
                name,
                &[
                    "settle",
                    "lockout",
                    "registers",
                    "repeats",
                    "confirmed",
                    "entry",
                    "exit",
                    "armed",
                    "wired",
                ],
            )
            .part(self.model(), zone.sensor.map(|part| part.id))
            .controller(self.model(), zone.input.and_then(|one| one.terminal).map(|t| t.controller))
            .item("response", "", &[])
            .item("output", "", &["reaches", "runs", "mode", "through"]);
        if let Some((armed, _)) = zone.armed {
            needs = needs.schedule(self.model(), armed);
        }
        let needs = needs.done();
        if let Some(period) = facts.registering.get(id.index()).and_then(|one| one.period) {
            let value = Value::number(ms(period), "ms", duration(ms(period)), Better::Neither);
            self.add(of, Aspect::Again, none(), value, at, &needs);
        }
        let held = match facts.held_for_ever(id) {
            Ok(Some(_)) => Value::judged(Words::new("registers for ever"), false),
            Ok(None) => Value::judged(Words::new("comes to an end"), true),
            Err(why) => Value::NotKnown(why.because),
        };
        self.add(of, Aspect::Held, none(), held, at, &needs);
        let most = facts.most_in_an_hour(id).map_or_else(
            |why| Value::NotKnown(why.because),
            |most| bounds(most.at_least, most.at_most, "", |count| count.to_string()),
        );
        self.add(of, Aspect::Most, none(), most, at, &needs);
        let deaf = match facts.deaf(id) {
            Ok(deaf) => {
                let total: i64 = deaf.iter().map(|deaf| deaf.until - deaf.from).sum();
                let total = milliseconds(total);
                let shown = if total == 0.0 {
                    "never".to_owned()
                } else {
                    format!("{} a week", duration(total))
                };
                Value::number(total, "ms", shown, Better::Less)
            }
            Err(why) => Value::NotKnown(why.because),
        };
        self.add(of, Aspect::Deaf, none(), deaf, at, &needs);
    }
}

/// What the input sees of a state, and how far that lies inside the band that means it.
fn window(seen: &Loop<'_>, state: &LoopState) -> Value {
    let shown_in = |volts: bool, value: f64| {
        if volts { format!("{} V", significant(value, 4)) } else { ohms(value) }
    };
    let volts = seen.in_volts();
    let of = seen.window(state).unwrap_or(state.ohms);
    let (low, high) = (of.lo(), of.hi());
    let (from, to) = (shown_in(volts, low), shown_in(volts, high));
    let shown = if from == to { from } else { format!("{from} to {to}") };
    let band = state.belongs.and_then(|band| seen.limits().get(band));
    // An edge at no end cannot be come near to.
    let margin = band.map(|band| {
        let below = low - band.lo();
        let above = if band.hi().is_infinite() { f64::INFINITY } else { band.hi() - high };
        if band.lo() <= 0.0 { above } else { below.min(above) }
    });
    let margin = margin.filter(|margin| !margin.is_nan());
    let band = band.map(|band| {
        let to =
            if band.hi().is_infinite() { "no end".to_owned() } else { shown_in(volts, band.hi()) };
        format!("{} to {to}", shown_in(volts, band.lo()))
    });
    Value::Window { low, high, unit: if volts { "V" } else { "ohm" }, shown, margin, band }
}

/// The band in which a state falls, and whether that band means it.
fn band(seen: &Loop<'_>, state: &LoopState) -> Option<Value> {
    let word = match state.placement.as_ref()? {
        Placement::Within(band) => seen.bands().get(*band).map_or("", |band| band.word()),
        _ => "no band",
    };
    Some(match state.belongs {
        Some(belongs) => {
            let fine = matches!(state.placement, Some(Placement::Within(band)) if band == belongs);
            Value::judged(Words::new(word), fine)
        }
        None => Value::words(Words::new(word)),
    })
}

pub(super) fn bounds(
    least: i64,
    most: i64,
    unit: &'static str,
    show: impl Fn(i64) -> String,
) -> Value {
    let shown =
        if least == most { show(most) } else { format!("{} to {}", show(least), show(most)) };
    let (low, high) = (milliseconds(least), milliseconds(most));
    Value::Window { low, high, unit, shown, margin: None, band: None }
}

#[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
pub(super) fn ms(time: u64) -> f64 {
    time as f64
}

#[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
pub(super) fn milliseconds(time: i64) -> f64 {
    time as f64
}
