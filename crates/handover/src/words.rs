//! Names, figures and effects in words, the same way in every paper.

use curtilage_facts::{Interval, metered};
use curtilage_model::{Cause, Contact, Effect, Model, Offered, Origin, RunOf, ScheduleRef};
use curtilage_syntax::tree::output::Mode;
use curtilage_syntax::tree::part::Rest;
use curtilage_syntax::tree::wiring::Side;
use curtilage_text::Place;
use curtilage_units::{Dimension, Quantity, round_up, significant};
pub(crate) use curtilage_units::{amps, ohms};

/// Volts with four digits.
pub(crate) fn volts(value: f64) -> String {
    format!("{} V", significant(value, 4))
}

pub(crate) fn bytes(value: f64) -> String {
    Quantity::new(value, Dimension::Data).to_string()
}

pub(crate) fn metres(value: f64) -> String {
    Quantity::new(value, Dimension::Length).to_string()
}

pub(crate) fn percent(ratio: f64) -> String {
    format!("{} %", significant(ratio * 100.0, 3))
}

/// A time in ms.
pub(crate) fn time(milliseconds: u64) -> String {
    #[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
    curtilage_units::duration(milliseconds as f64)
}

/// Hours cut to whole minutes: a battery never lasts longer than it is said to.
pub(crate) fn hours(value: f64) -> String {
    curtilage_units::duration((value * 60.0).floor() * 60_000.0)
}

/// "11.2 V to 13.7 V", or one figure when both read the same.
pub(crate) fn span(low: f64, high: f64, show: impl Fn(f64) -> String) -> String {
    let (low, high) = (show(low), show(high));
    if low == high { low } else { format!("{low} to {high}") }
}

/// What a meter may show of a window. The ends are rounded inward: a reading that is within what is
/// printed is within what it is held against.
#[must_use]
pub fn window(window: Interval, dimension: Dimension) -> String {
    let window = metered(window, dimension);
    let show = |value: f64| match dimension {
        Dimension::Voltage => volts(value),
        Dimension::Resistance => ohms(value),
        other => Quantity::new(value, other).to_string(),
    };
    let low = round_up(window.lo());
    if window.hi().is_infinite() {
        return format!("{} or more", show(low));
    }
    span(low, -round_up(-window.hi()), show)
}

/// `name, title`
pub(crate) fn titled(name: &str, title: Option<&str>) -> String {
    title.map_or_else(|| name.to_owned(), |title| format!("{name}, {title}"))
}

/// The names in a list, with commas.
pub(crate) fn list<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.into_iter().collect();
    names.join(", ")
}

pub(crate) fn zone<'a>(model: &Model<'a>, id: curtilage_model::ZoneId) -> &'a str {
    model.zone(id).map_or("", |zone| zone.name.text)
}

pub(crate) fn output<'a>(model: &Model<'a>, id: curtilage_model::OutputId) -> &'a str {
    model.output(id).map_or("", |output| output.name.text)
}

/// What an output does that was taken away from its responses; none when it obeys them.
pub(crate) fn forced(model: &Model<'_>, id: curtilage_model::OutputId) -> Option<&'static str> {
    match model.output(id)?.tree.mode?.value {
        Mode::Automatic => None,
        Mode::ForcedOff => Some("stays off: it is forced off"),
        Mode::ForcedOn => Some("stays on: it is forced on"),
    }
}

/// Whether an output is on at no time, because it is forced off.
pub(crate) fn never_closes(model: &Model<'_>, id: curtilage_model::OutputId) -> bool {
    let mode = model.output(id).and_then(|output| output.tree.mode);
    mode.is_some_and(|mode| mode.value == Mode::ForcedOff)
}

pub(crate) fn camera<'a>(model: &Model<'a>, id: curtilage_model::CameraId) -> &'a str {
    model.camera(id).map_or("", |camera| camera.name.text)
}

pub(crate) fn supply<'a>(model: &Model<'a>, id: curtilage_model::SupplyId) -> &'a str {
    model.supply(id).map_or("", |supply| supply.name.text)
}

pub(crate) fn controller<'a>(model: &Model<'a>, id: curtilage_model::ControllerId) -> &'a str {
    model.controller(id).map_or("", |controller| controller.name.text)
}

pub(crate) fn person<'a>(model: &Model<'a>, index: usize) -> &'a str {
    let people = model.site.as_ref().and_then(|site| site.people.get(index));
    people.map_or("", |person| person.name.text)
}

/// An area by index, with its title.
pub(crate) fn area(model: &Model<'_>, index: Option<usize>) -> String {
    let area = index.and_then(|index| model.site.as_ref()?.areas.get(index));
    area.map_or_else(String::new, |area| area.title.unwrap_or(area.name.text).to_owned())
}

/// A schedule with what it is called for people.
pub(crate) fn schedule(model: &Model<'_>, schedule: ScheduleRef) -> String {
    titled(model.schedule_name(schedule), schedule_title(model, schedule))
}

/// What a schedule is called for people.
pub(crate) fn schedule_title<'a>(model: &Model<'a>, schedule: ScheduleRef) -> Option<&'a str> {
    match schedule {
        ScheduleRef::Of(id) => model.schedules.get(id.index()).and_then(|known| known.title),
        _ => None,
    }
}

/// The side of a contact in the trade's words beside ours.
pub(crate) fn side(side: Side) -> &'static str {
    match side {
        Side::Closing => "closing (make, NO)",
        Side::Opening => "opening (break, NC)",
    }
}

/// The rest state of a contact, with the trade's letters.
pub(crate) fn rests(rest: Rest) -> &'static str {
    match rest {
        Rest::Open => "rests open (NO)",
        Rest::Closed => "rests closed (NC)",
    }
}

/// A contact as the file names it, without its side.
pub(crate) fn contact(model: &Model<'_>, contact: &Contact<'_>) -> String {
    match contact.of {
        curtilage_model::ContactAt::Terminal(terminal) => model.terminal_name(&terminal),
        curtilage_model::ContactAt::Relay(id) => {
            model.relay(id).map_or_else(String::new, |relay| relay.name.text.to_owned())
        }
    }
}

/// Where current comes from, as it is written.
pub(crate) fn origin(model: &Model<'_>, origin: &Origin<'_>) -> String {
    match origin {
        Origin::Supply(id) => supply(model, *id).to_owned(),
        Origin::Outlet(terminal) => model.terminal_name(terminal),
        Origin::Tap(id, tap) => model.cable(*id).map_or_else(String::new, |cable| {
            let tap = cable.taps.get(*tap).map_or("", |tap| tap.name.text);
            format!("{}.{tap}", cable.name.text)
        }),
    }
}

/// `22 m of six-core-0.22`
pub(crate) fn run(model: &Model<'_>, run: &RunOf<'_>, near: Place) -> String {
    let cable = model.text(Place::new(near.file, run.tree.cable.span));
    format!("{} of {cable}", metres(run.tree.length.value))
}

/// A cause in words.
pub(crate) fn cause(model: &Model<'_>, cause: Cause) -> String {
    match cause {
        Cause::Zone(id) => zone(model, id).to_owned(),
        Cause::Tamper(id) => format!("tamper of {}", zone(model, id)),
        Cause::CameraLost(id) => format!("loss of {}", camera(model, id)),
        Cause::SupplyLost(id) => format!("loss of {}", supply(model, id)),
        Cause::Start(id) => format!("start of {}", model.schedule_name(id)),
        Cause::End(id) => format!("end of {}", model.schedule_name(id)),
    }
}

/// What an effect is done to, and what is done, for the column and the cell of a matrix.
pub(crate) fn effect(model: &Model<'_>, effect: &Effect) -> (String, String) {
    let hold = |hold: &Option<u64>| hold.map_or_else(|| "for good".to_owned(), time);
    match effect {
        Effect::Switch { output: id, on, hold: until } => {
            let verb = if *on { "close" } else { "open" };
            (format!("{verb} {}", output(model, *id)), hold(until))
        }
        Effect::Pulse { output: id, on, off, hold } => (
            format!("pulse {}", output(model, *id)),
            format!("{} on, {} off, {} in all", time(*on), time(*off), time(*hold)),
        ),
        Effect::Record { camera: id, before, after, .. } => (
            format!("record {}", camera(model, *id)),
            format!("{} before, {} after", time(*before), time(*after)),
        ),
        Effect::Show(id) => (format!("show {}", camera(model, *id)), "yes".to_owned()),
        Effect::Sound { controller: id, hold: until } => {
            (format!("sound {}", controller(model, *id)), hold(until))
        }
        Effect::Tell(index) => (format!("tell {}", person(model, *index)), "yes".to_owned()),
        Effect::Move { camera: id, preset } => {
            (format!("move {} to {}", camera(model, *id), model.text(*preset)), "yes".to_owned())
        }
    }
}

/// A response as people call it: its name, or its number in the file and what it answers.
pub(crate) fn response(model: &Model<'_>, index: usize) -> String {
    let Some(response) = model.responses.get(index) else { return String::new() };
    if let Some(name) = response.name {
        return name.text.to_owned();
    }
    let first = response.causes.first().map(|(first, _)| cause(model, *first));
    let first = first.map_or_else(String::new, |first| format!(" to {first}"));
    let more = match response.causes.len().saturating_sub(1) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!("no. {}{first}{more}", index + 1)
}

/// The conditions of a response beside its causes: `after 30 s, only during night`.
pub(crate) fn conditions(model: &Model<'_>, response: &curtilage_model::Response<'_>) -> String {
    let mut parts = Vec::new();
    if let Some(after) = response.tree.after {
        parts.push(format!("after {}", time(after.value)));
    }
    match response.during {
        Some((during, _)) => parts.push(format!("only during {}", model.schedule_name(during))),
        None if response.tree.during.is_some() => {
            parts.push("only during hours that are not known".to_owned());
        }
        None => {}
    }
    parts.join(", ")
}

/// What a title of a tree says.
pub(crate) fn quoted<'a>(
    model: &Model<'a>,
    near: Place,
    title: Option<curtilage_text::Span>,
) -> Option<&'a str> {
    Some(model.quoted(Place::new(near.file, title?)))
}

/// Where the policy says that a limit comes from.
pub(crate) fn source<T>(
    model: &Model<'_>,
    limit: &curtilage_syntax::tree::policy::Limit<T>,
) -> String {
    let said = model.policy.as_ref().zip(limit.source);
    said.map_or_else(
        || "the policy names no source".to_owned(),
        |(policy, span)| model.quoted(Place::new(policy.file, span)).to_owned(),
    )
}

/// Every terminal that a controller has; none when its part is not known.
pub(crate) fn terminals<'a>(
    model: &Model<'a>,
    id: curtilage_model::ControllerId,
) -> Vec<Offered<'a>> {
    let part = model.controller(id).and_then(|controller| controller.part);
    part.map_or_else(Vec::new, |part| model.terminals(part))
}
