//! `curtilage figures`: what a site amounts to, in tables: hours, loops, contacts, power, battery,
//! footage. The same facts that the rules read; a figure that is not known says why.

use crate::arguments::{Figures, Style};
use crate::plain::plain;
use crate::table::Table;
use crate::{Ending, check, compare, figures_json, output};
use curtilage_facts::{Consumer, Drawing, Facts, LoadOf, Options, Power, Standby, StateName, When};
use curtilage_model::{ScheduleRef, SupplyId};
use curtilage_project::{Loader, scope, today};
use curtilage_units::{Dimension, Quantity, amps, ohms, significant};
use std::fmt::Write as _;
use std::io;

pub(crate) fn run(arguments: &Figures) -> io::Result<Ending> {
    let options = Options { today: arguments.date.unwrap_or_else(today) };
    let mut unreadable = Vec::new();
    let (mut out, mut sites) = (String::new(), Vec::new());
    let mut groups = Vec::new();
    if arguments.textconv {
        for path in &arguments.paths {
            groups.push(compare::stand_in(path)?);
        }
    } else {
        for (root, files) in check::by_root(&arguments.paths, &mut unreadable)? {
            groups.push((Loader::new(root), files));
        }
    }
    let mut shared = false;
    for (loader, files) in groups {
        for file in files {
            match scope(&loader, &file) {
                Ok(scope) => {
                    let model = curtilage_model::build(&scope);
                    if model.site.is_none() {
                        shared = true;
                        continue;
                    }
                    let (facts, path) = (Facts::new(&model, options), loader.shown(&file));
                    match arguments.format {
                        Style::Human => site(&facts, &path, &mut out),
                        Style::Json => sites.push(figures_json::site(&facts, path)),
                    }
                }
                Err(_) => output::complain(&format!("{} cannot be read", loader.shown(&file))),
            }
        }
    }
    for problem in &unreadable {
        output::complain(&format!("{}: {}", problem.path, problem.why));
    }
    if out.is_empty() && sites.is_empty() && unreadable.is_empty() {
        if arguments.textconv && shared {
            // Git shows what is printed: a file of parts is its own best picture.
            for path in &arguments.paths {
                output::print(plain(&String::from_utf8_lossy(&std::fs::read(path)?)).as_bytes())?;
            }
            return Ok(Ending::Clean);
        }
        output::complain("there is no site here");
        return Ok(Ending::Unreadable);
    }
    match arguments.format {
        Style::Human => output::print(plain(&out).as_bytes())?,
        Style::Json => output::print(&figures_json::report(sites)?)?,
    }
    Ok(if unreadable.is_empty() { Ending::Clean } else { Ending::Unreadable })
}

fn site(facts: &Facts<'_, '_>, path: &str, out: &mut String) {
    let Some(site) = &facts.model.site else { return };
    let title = site.title.unwrap_or(site.name.text);
    let _ = writeln!(out, "{title} ({path})\n");
    hours(facts, out);
    loops(facts, out);
    contacts(facts, out);
    for (power, standby) in facts.power.iter().zip(&facts.standby) {
        supply(facts, power, out);
        if let Some(standby) = standby {
            battery(facts, standby, out);
        }
    }
    stores(facts, out);
    answers(facts, out);
}

/// What holds for every sequence of activations, in an ordinary week.
fn answers(facts: &Facts<'_, '_>, out: &mut String) {
    let model = facts.model;
    let head = ["zone", "while one sensor stays active", "most in an hour", "comes to nothing"];
    let mut table = Table::new("zones, whatever happens in an ordinary week", &head);
    for (id, zone) in model.zones_by_id() {
        let held = match facts.held_for_ever(id) {
            Ok(Some(_)) => "registers for ever".to_owned(),
            Ok(None) => "comes to an end".to_owned(),
            Err(why) => why.to_string(),
        };
        let most = facts.most_in_an_hour(id).map_or_else(
            |why| why.to_string(),
            |most| bounds(most.at_least, most.at_most, |count| count.to_string()),
        );
        let deaf = match facts.deaf(id) {
            Ok(deaf) => {
                let total: i64 = deaf.iter().map(|deaf| deaf.until - deaf.from).sum();
                if total == 0 { "never".to_owned() } else { format!("{} a week", time(total)) }
            }
            Err(why) => why.to_string(),
        };
        table.row([zone.name.text, &held, &most, &deaf]);
    }
    table.write(out);
    let mut table = Table::new(
        "outputs, whatever happens in an ordinary week",
        &["output", "driven, most in a day"],
    );
    for (id, output) in model.outputs_by_id() {
        let longest = facts.longest_in_a_day(id);
        let longest = longest
            .map_or_else(|why| why.to_string(), |most| bounds(most.at_least, most.at_most, time));
        table.row([output.name.text, &longest]);
    }
    table.write(out);
}

#[expect(clippy::cast_precision_loss, reason = "a week is far below 2^53 ms")]
fn time(milliseconds: i64) -> String {
    curtilage_units::duration(milliseconds as f64)
}

/// A figure that is known to lie between two.
fn bounds(least: i64, most: i64, show: impl Fn(i64) -> String) -> String {
    if least == most { show(most) } else { format!("{} to {}", show(least), show(most)) }
}

fn volts(value: f64) -> String {
    format!("{} V", significant(value, 4))
}

fn span(low: f64, high: f64, show: impl Fn(f64) -> String) -> String {
    let (low, high) = (show(low), show(high));
    if low == high { low } else { format!("{low} to {high}") }
}

fn hours(facts: &Facts<'_, '_>, out: &mut String) {
    let mut table = Table::new("when zones count", &["zone", "armed", "a week", "not armed"]);
    for zone in &facts.model.zones {
        let Some((armed, _)) = zone.armed else { continue };
        let (week, rest) = match (armed, facts.hours.week(armed)) {
            (ScheduleRef::Always, _) => ("168 h".to_owned(), String::new()),
            (_, Some(week)) => {
                let covered = curtilage_units::hours(u64::from(week.minutes()));
                (covered, week.complement().to_string())
            }
            (_, None) => ("not known".to_owned(), String::new()),
        };
        table.row([zone.name.text, facts.model.schedule_name(armed), &week, &rest]);
    }
    table.write(out);
}

fn loops(facts: &Facts<'_, '_>, out: &mut String) {
    let head = ["zone", "input", "state", "meter", "window", "at the input", "band"];
    let mut table = Table::new("loops, and the readings to expect", &head);
    for (zone, seen) in facts.model.zones.iter().zip(&facts.loops) {
        let input = zone.input.and_then(|input| input.terminal);
        let input = input.map(|terminal| facts.model.terminal_name(&terminal)).unwrap_or_default();
        let seen = match seen {
            Ok(seen) => seen,
            Err(why) => {
                table.row([zone.name.text, &input, &why.to_string(), "", "", "", ""]);
                continue;
            }
        };
        for state in &seen.states {
            let name = match state.name {
                StateName::Resting => "at rest",
                StateName::Active => "active",
                StateName::Tamper => "tamper",
                StateName::ActiveTamper => "active, tamper",
                StateName::Cut => "wire cut",
                StateName::Shorted => "wires shorted",
            };
            let window = span(state.ohms.lo(), state.ohms.hi(), ohms);
            let at_input = state.volts.map_or(String::new(), |v| span(v.lo(), v.hi(), volts));
            let band = match &state.placement {
                Some(curtilage_facts::Placement::Within(band)) => {
                    seen.bands.get(*band).map_or("", |band| band.word())
                }
                Some(_) => "none",
                None => "",
            };
            let (zone, input) = match state.name {
                StateName::Resting => (zone.name.text, input.as_str()),
                _ => ("", ""),
            };
            table.row([zone, input, name, &ohms(state.nominal), &window, &at_input, band]);
        }
    }
    table.write(out);
}

fn contacts(facts: &Facts<'_, '_>, out: &mut String) {
    let head = ["contact", "switches", "carries", "at switching on", "up to", "rated"];
    let mut table = Table::new("contacts", &head);
    for switched in &facts.switched {
        let names: Vec<&str> = switched
            .loads
            .iter()
            .map(|load| match load.of {
                LoadOf::Output(id) => facts.model.output(id).map_or("", |thing| thing.name.text),
                LoadOf::Coil(id) => facts.model.relay(id).map_or("", |thing| thing.name.text),
            })
            .collect();
        let highest = switched.loads.iter().map(|load| load.volts).fold(0.0, f64::max);
        let ratings: Vec<String> = switched
            .ratings
            .iter()
            .map(|rating| {
                let (current, limit) = (amps(rating.current.value), volts(rating.voltage.value));
                format!("{current} at {limit} {} {}", rating.kind.word(), rating.load.word())
            })
            .collect();
        let rated = if ratings.is_empty() { "not known".to_owned() } else { ratings.join("; ") };
        table.row([
            facts.model.text(switched.contact.at),
            &names.join(", "),
            &amps(switched.running),
            &amps(switched.inrush),
            &volts(highest),
            &rated,
        ]);
    }
    table.write(out);
}

fn supply_name<'a>(facts: &Facts<'_, 'a>, id: SupplyId) -> &'a str {
    facts.model.supply(id).map_or("", |supply| supply.name.text)
}

fn supply(facts: &Facts<'_, '_>, power: &Power<'_>, out: &mut String) {
    let name = supply_name(facts, power.supply);
    let head = ["consumer", "draws", "when", "least voltage", "most voltage", "works from"];
    let mut table = Table::new(format!("supply `{name}`"), &head);
    for drawing in &power.drawings {
        let at = |found: Option<f64>| found.map_or("not known".to_owned(), volts);
        let lowest = power.lowest(drawing).ok().flatten().map(|(value, _)| value);
        let highest = power.highest(drawing).ok().flatten().map(|(value, _)| value);
        let works =
            drawing.works.map_or(String::new(), |(works, _)| span(works.low, works.high, volts));
        let consumer = drawing.of.name(facts.model).text;
        table.row([consumer, &draws(drawing), when(drawing), &at(lowest), &at(highest), &works]);
    }
    table.write(out);
    let mut say = |line: String| {
        let _ = writeln!(out, "    {line}");
    };
    match &power.volts {
        Ok(range) => say(format!(
            "gives {}, rated {}",
            span(range.lo(), range.hi(), volts),
            power.rated.map_or("not known".to_owned(), |(rated, _)| amps(rated))
        )),
        Err(why) => say(why.to_string()),
    }
    for (words, case) in
        [("at rest", &power.quiet), ("with all on that can be on together", &power.worst)]
    {
        match case {
            Ok(case) => match (case.source_amps(), case.source_volts()) {
                (Some(current), Some(at)) => say(format!(
                    "{words}, at its lowest voltage: {} at {}",
                    amps(current),
                    volts(at)
                )),
                _ => say(format!("{words}: the voltage collapses")),
            },
            Err(why) => say(format!("{words}: {why}")),
        }
    }
    for (consumer, why) in &power.left_out {
        let name = consumer_name(facts, *consumer);
        say(format!("`{name}` is in no sum: {why}"));
    }
    out.push('\n');
}

fn consumer_name<'a>(facts: &Facts<'_, 'a>, consumer: Consumer) -> &'a str {
    consumer.name(facts.model).text
}

fn draws(drawing: &Drawing) -> String {
    let dimension = if drawing.draw.power { Dimension::Power } else { Dimension::Current };
    let one = Quantity::new(drawing.draw.amount.value, dimension).to_string();
    let all = if drawing.count == 1 { one } else { format!("{} x {one}", drawing.count) };
    match drawing.idles {
        Some(idle) => format!("{all}, idles at {}", amps(idle)),
        None => all,
    }
}

fn when(drawing: &Drawing) -> &'static str {
    match drawing.when {
        When::Always => "always",
        When::Switched(_) => "when on",
        When::Unknown => "not known",
    }
}

fn battery(facts: &Facts<'_, '_>, standby: &Standby<'_>, out: &mut String) {
    let name = supply_name(facts, standby.supply);
    let part = facts.model.part_name(standby.battery.id);
    let mut table =
        Table::new(format!("battery of `{name}`: {} x {part}", standby.count), &["", ""]);
    let known = |figure: &Result<f64, curtilage_facts::NotKnown>, show: &dyn Fn(f64) -> String| {
        figure.as_ref().map_or_else(ToString::to_string, |value| show(*value))
    };
    let hours = |value: f64| curtilage_units::duration((value * 60.0).floor() * 60_000.0);
    table.row(["current at rest", &known(&standby.resting, &amps)]);
    table.row(["current in alarm", &known(&standby.alarm, &amps)]);
    if let Some((wanted, _)) = standby.standby {
        table.row(["standby that the policy wants", &hours(wanted)]);
    }
    if let Some((wanted, _)) = standby.alarm_time {
        table.row(["alarm after it that the policy wants", &hours(wanted)]);
    }
    let lasts = match &standby.lasts {
        Ok(curtilage_facts::Lasts::StandbyOnly(value)) => {
            format!("{} of standby, no alarm", hours(*value))
        }
        Ok(curtilage_facts::Lasts::Alarm(value)) => {
            format!("the standby, then {} of alarm", hours(*value))
        }
        Ok(curtilage_facts::Lasts::ForEver) => "the standby; the alarm draws nothing".to_owned(),
        Err(why) => why.to_string(),
    };
    table.row(["it lasts, old and cold", &lasts]);
    match &standby.needed {
        Ok(Some(needed)) => {
            table.row(["capacity that is needed", &format!("{} Ah", significant(*needed, 3))])
        }
        Ok(None) => {}
        Err(why) => table.row(["capacity that is needed", &why.to_string()]),
    }
    if let Some(sum) = standby.plain_sum {
        table.row(["plain sum of ampere-hours", &format!("{} Ah", significant(sum, 4))]);
    }
    table.row(["recharge from flat", &known(&standby.recharge, &hours)]);
    table.write(out);
}

fn stores(facts: &Facts<'_, '_>, out: &mut String) {
    let bytes = |value: f64| Quantity::new(value, Dimension::Data).to_string();
    for store in &facts.stores {
        let Some(plan) = facts.model.recordings.get(store.plan) else { continue };
        let controller = plan.controller.and_then(|id| facts.model.controller(id));
        let name = controller.map_or("", |controller| controller.name.text);
        let head = ["camera", "class", "hours a week", "rate", "a day"];
        let mut table = Table::new(format!("footage kept by `{name}`, events not counted"), &head);
        for one in &store.footage {
            let camera = facts.model.camera(one.camera).map_or("", |camera| camera.name.text);
            let rate = Quantity::new(one.rate, Dimension::BitRate).to_string();
            let hours = curtilage_units::hours(u64::from(one.minutes));
            table.row([camera, one.class.word(), &hours, &rate, &bytes(one.a_day)]);
        }
        table.write(out);
        match store.days(0.0) {
            Some(days) => {
                let holds = bytes(store.holds.unwrap_or(0.0));
                let _ = writeln!(out, "    {holds} last {} d\n", significant(days, 3));
            }
            None => {
                let _ = writeln!(out, "    how long the store lasts is not known\n");
            }
        }
    }
}
