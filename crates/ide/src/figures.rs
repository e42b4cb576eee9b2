//! Figures in words, from `Facts`: what stands beside a name in lists, at the end of its line, and
//! in hover. They are shown as `curtilage figures` shows them.

use crate::View;
use crate::view::source;
use curtilage_facts::{Consumer, Facts, Lasts, LoadOf, LoopState, Standby, StateName, Switched};
use curtilage_model::{
    CableId, CameraId, ControllerId, Model, OutputId, PartRef, RelayId, ScheduleId, ScheduleRef,
    SupplyId, ZoneId,
};
use curtilage_syntax::tree::part;
use curtilage_text::Place;
use curtilage_units::{Dimension, Quantity, amps, ohms, significant};

/// A thing of a model by the place of its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Thing {
    Site,
    Part(usize),
    Schedule(ScheduleId),
    Policy,
    Supply(SupplyId),
    Controller(ControllerId),
    Relay(RelayId),
    Cable(CableId),
    Zone(ZoneId),
    Output(OutputId),
    Camera(CameraId),
    Response(usize),
}

/// Which thing has its name at a place.
pub(crate) fn thing(model: &Model<'_>, name: Place) -> Option<Thing> {
    let site = model.site.as_ref().filter(|site| site.name.at == name).map(|_| Thing::Site);
    let policy = model.policy.as_ref().filter(|policy| policy.name.at == name);
    let part = || model.parts.iter().position(|part| part.name.at == name).map(Thing::Part);
    let response = || {
        let named = |response: &curtilage_model::Response<'_>| {
            response.name.is_some_and(|own| own.at == name)
        };
        model.responses.iter().position(named).map(Thing::Response)
    };
    macro_rules! by_id {
        ($list:ident, $variant:ident) => {
            || {
                let mut all = model.$list();
                all.find(|(_, thing)| thing.name.at == name).map(|(id, _)| Thing::$variant(id))
            }
        };
    }
    site.or(policy.map(|_| Thing::Policy))
        .or_else(by_id!(zones_by_id, Zone))
        .or_else(by_id!(outputs_by_id, Output))
        .or_else(by_id!(schedules_by_id, Schedule))
        .or_else(by_id!(supplies_by_id, Supply))
        .or_else(by_id!(controllers_by_id, Controller))
        .or_else(by_id!(relays_by_id, Relay))
        .or_else(by_id!(cables_by_id, Cable))
        .or_else(by_id!(cameras_by_id, Camera))
        .or_else(response)
        .or_else(part)
}

/// The key figures of the thing whose name stands at a place, in one line.
pub(crate) fn of_name(view: View<'_>, name: Place) -> Option<String> {
    let facts = view.facts();
    let model = facts.model;
    let list: Vec<String> = match thing(model, name)? {
        Thing::Zone(id) => {
            let zone = model.zone(id)?;
            let purpose = zone.tree.purpose.map(|purpose| purpose.value.word().to_owned());
            let at = zone.input.and_then(|input| input.terminal);
            let at = at.map(|terminal| format!("at {}", model.terminal_name(&terminal)));
            [purpose, at, armed(facts, id)].into_iter().flatten().collect()
        }
        Thing::Output(id) => [load(facts, id), voltage(facts, id)].into_iter().flatten().collect(),
        Thing::Schedule(id) => [week(facts, ScheduleRef::Of(id))].into_iter().flatten().collect(),
        Thing::Supply(id) => {
            [supply_load(facts, id), standby(facts, id)].into_iter().flatten().collect()
        }
        Thing::Controller(id) => {
            let part = model.controller(id)?.part?;
            vec![model.part_name(part.id).to_owned()]
        }
        Thing::Relay(id) => vec![model.part_name(model.relay(id)?.part?.id).to_owned()],
        Thing::Cable(id) => vec![model.part_name(model.cable(id)?.part?.id).to_owned()],
        Thing::Camera(id) => {
            let rate = model.camera(id)?.bit_rate()?;
            vec![Quantity::new(rate, Dimension::BitRate).to_string()]
        }
        Thing::Part(index) => vec![sheet(model, index)?],
        Thing::Response(index) => {
            let response = model.responses.get(index)?;
            let causes = response.causes.iter().map(|(_, at)| model.text(*at));
            vec![format!("to {}", causes.collect::<Vec<_>>().join(", "))]
        }
        Thing::Site => vec![crate::hover::letters(model.site.as_ref()?.title?)],
        Thing::Policy => Vec::new(),
    };
    (!list.is_empty()).then(|| list.join(", "))
}

/// `109 h 30 min a week`
pub(crate) fn week(facts: &Facts<'_, '_>, schedule: ScheduleRef) -> Option<String> {
    let week = facts.hours.week(schedule)?;
    Some(format!("{} a week", curtilage_units::hours(u64::from(week.minutes()))))
}

/// `armed 109 h 30 min a week`
pub(crate) fn armed(facts: &Facts<'_, '_>, zone: ZoneId) -> Option<String> {
    let (armed, _) = facts.model.zone(zone)?.armed?;
    Some(format!("armed {}", week(facts, armed)?))
}

/// A state of a zone's loop.
pub(crate) fn state<'f>(
    facts: &'f Facts<'_, '_>,
    zone: ZoneId,
    name: StateName,
) -> Option<&'f LoopState> {
    facts.loops.get(zone.index())?.as_ref().ok()?.state(name)
}

/// `4.7 kohm at rest`
pub(crate) fn rest_reading(facts: &Facts<'_, '_>, zone: ZoneId) -> Option<String> {
    Some(format!("{} at rest", ohms(state(facts, zone, StateName::Resting)?.nominal)))
}

/// The contact that switches an output.
pub(crate) fn switched<'f, 'a>(facts: &'f Facts<'_, 'a>, of: LoadOf) -> Option<&'f Switched<'a>> {
    facts.switched.iter().find(|switched| switched.loads.iter().any(|load| load.of == of))
}

/// `0.45 A of 1 A`: the load of the contact and its limit.
pub(crate) fn load(facts: &Facts<'_, '_>, output: OutputId) -> Option<String> {
    Some(load_of(switched(facts, LoadOf::Output(output))?))
}

pub(crate) fn load_of(switched: &Switched<'_>) -> String {
    let running = amps(switched.running);
    match switched.limit() {
        Some((rating, _)) => format!("{running} of {}", amps(rating.current.value)),
        None => running,
    }
}

/// The least voltage at an output's loads, V.
pub(crate) fn lowest(facts: &Facts<'_, '_>, of: Consumer) -> Option<f64> {
    let each = facts.power.iter().flat_map(|power| {
        let own = power.drawings.iter().filter(move |drawing| drawing.of == of);
        own.filter_map(|drawing| Some(power.lowest(drawing).ok()??.0))
    });
    each.reduce(f64::min)
}

/// `at least 9.8 V`
pub(crate) fn voltage(facts: &Facts<'_, '_>, output: OutputId) -> Option<String> {
    lowest(facts, Consumer::Output(output)).map(|least| format!("at least {}", volts(least)))
}

/// `1.64 A of 5 A`: all on that can be on together, and the rated current.
pub(crate) fn supply_load(facts: &Facts<'_, '_>, supply: SupplyId) -> Option<String> {
    let power = facts.power.get(supply.index())?;
    let current = amps(power.worst.as_ref().ok()?.source_amps()?);
    Some(match power.rated {
        Some((rated, _)) => format!("{current} of {}", amps(rated)),
        None => current,
    })
}

/// `lasts 12 h and 2 h 59 min of alarm`
pub(crate) fn standby(facts: &Facts<'_, '_>, supply: SupplyId) -> Option<String> {
    Some(lasts(facts.standby.get(supply.index())?.as_ref()?)?.0)
}

/// How long a battery lasts, in few words and in full.
pub(crate) fn lasts(standby: &Standby<'_>) -> Option<(String, String)> {
    let asked = standby.standby.map(|(asked, _)| hours(asked));
    Some(match (standby.lasts.as_ref().ok()?, asked) {
        (Lasts::StandbyOnly(value), _) => {
            (format!("lasts {}", hours(*value)), format!("{} of standby, no alarm", hours(*value)))
        }
        (Lasts::Alarm(value), Some(asked)) => (
            format!("lasts {asked} and {} of alarm", hours(*value)),
            format!("the standby, then {} of alarm", hours(*value)),
        ),
        (Lasts::Alarm(value), None) => {
            (format!("lasts {} in alarm", hours(*value)), format!("{} of alarm", hours(*value)))
        }
        (Lasts::ForEver, _) => {
            ("lasts the standby".to_owned(), "the standby; the alarm draws nothing".to_owned())
        }
    })
}

/// Hours, cut to whole minutes.
pub(crate) fn hours(value: f64) -> String {
    curtilage_units::duration((value * 60.0).floor() * 60_000.0)
}

pub(crate) fn volts(value: f64) -> String {
    format!("{} V", significant(value, 4))
}

/// `9 V to 14 V`, or one figure when both are shown alike.
pub(crate) fn span(low: f64, high: f64, show: impl Fn(f64) -> String) -> String {
    let (low, high) = (show(low), show(high));
    if low == high { low } else { format!("{low} to {high}") }
}

#[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
pub(crate) fn time(milliseconds: u64) -> String {
    curtilage_units::duration(milliseconds as f64)
}

/// The key figures of a part, as its sheet says them.
pub(crate) fn sheet(model: &Model<'_>, index: usize) -> Option<String> {
    let part = model.parts.get(index)?;
    let file = part.name.at.file;
    let said =
        |span: curtilage_text::Span| crate::symbols::one_line(model.text(Place::new(file, span)));
    let list: Vec<Option<String>> = match part.body {
        part::Body::Sensor(sheet) => vec![
            sheet.rests.map(|rests| format!("rests {}", rests.value.word())),
            sheet.active.map(|active| said(active.span)),
        ],
        part::Body::Controller(sheet) => {
            let all = model.terminals(PartRef { id: model.part_id(index)?, sheet, file });
            let count = |kind| all.iter().filter(|one| one.kind == kind).count();
            use curtilage_model::TerminalKind as K;
            let some = |number: usize, one: &str| {
                let plural = if number == 1 { "" } else { "s" };
                (number > 0).then(|| format!("{number} {one}{plural}"))
            };
            vec![
                some(count(K::Input), "input"),
                some(count(K::Relay), "relay"),
                some(count(K::Channel), "channel"),
                sheet.draws.map(|draws| amount(&draws)),
            ]
        }
        part::Body::Supply(sheet) => vec![
            sheet.gives.map(|gives| span(gives.value.low, gives.value.high, volts)),
            sheet.most.map(|most| amps(most.value)),
        ],
        part::Body::Battery(sheet) => vec![
            sheet.holds.first().map(|(charge, time)| said(charge.span.to(time.span))),
            sheet.voltage.map(|voltage| volts(voltage.value)),
        ],
        part::Body::Load(sheet) => vec![sheet.draws.map(|draws| said(draws.span))],
        part::Body::Relay(sheet) => vec![
            sheet.coil.map(|coil| format!("coil {}", amount(&coil))),
            sheet.contact.first().map(|rating| format!("contact {}", said(rating.span))),
        ],
        part::Body::Cable(sheet) => vec![
            sheet.cores.map(|cores| format!("{} cores", cores.value)),
            sheet.conductor.map(|conductor| said(conductor.span)),
        ],
        part::Body::Camera(sheet) => vec![sheet.bit_rate.map(|rate| said(rate.span))],
        part::Body::Store(sheet) => vec![sheet.holds.map(|holds| said(holds.span))],
    };
    let list: Vec<String> = list.into_iter().flatten().collect();
    (!list.is_empty()).then(|| list.join(", "))
}

/// What a sheet says is drawn.
pub(crate) fn amount(draw: &part::Draw) -> String {
    let dimension = if draw.power { Dimension::Power } else { Dimension::Current };
    Quantity::new(draw.amount.value, dimension).to_string()
}

/// The text of an item without the blanks before its lines, for sheets.
pub(crate) fn item_text(model: &Model<'_>, name: Place) -> Option<String> {
    let source = source(model, name.file)?;
    let item = crate::names::item_at(source, name.span)?;
    Some(source.text(item.span).to_owned())
}
