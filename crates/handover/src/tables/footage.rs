//! Which footage is kept, and how long the store lasts.

use crate::table::{Cell, Table, cells};
use crate::words::{self, bytes};
use curtilage_facts::{Facts, Refused, Store};
use curtilage_syntax::tree::recording::Class;
use curtilage_units::{Dimension, Quantity, significant};

/// The footage of one store.
pub(crate) fn store(facts: &Facts<'_, '_>, store: &Store) -> Option<Table> {
    let plan = facts.model.recordings.get(store.plan)?;
    let controller = plan.controller.and_then(|id| facts.model.controller(id));
    let name = controller.map_or("", |controller| controller.name.text);
    let head = ["camera", "class", "hours a week", "rate", "a day"];
    let title = format!("Footage kept by `{name}`, events not counted");
    let mut table = Table::new(format!("footage-{}-{name}", store.plan + 1), title, &head);
    for one in &store.footage {
        let camera = words::camera(facts.model, one.camera);
        let rate = Quantity::new(one.rate, Dimension::BitRate).to_string();
        let hours = curtilage_units::hours(u64::from(one.minutes));
        table.row(cells![camera, one.class.word(), hours, rate, bytes(one.a_day)]);
    }
    if let Some(a_day) = store.a_day {
        table.note(format!("{} a day in all", bytes(a_day)));
    }
    match store.days(0.0) {
        Some(days) => {
            let holds = bytes(store.holds.unwrap_or(0.0));
            table.note(format!("{holds} last {} d", significant(days, 3)));
        }
        None => table.note(Cell::hole("how long the store lasts is not known")),
    }
    if let Some(wanted) = plan.tree.retention {
        table.note(format!("the plan wants at least {}", curtilage_units::duration(wanted.value)));
    }
    let policy = facts.model.policy.as_ref().and_then(|policy| policy.tree.retention);
    if let Some(wanted) = policy {
        let (time, source) = (words::time(wanted.value.value), words::source(facts.model, &wanted));
        table.note(format!("the policy wants at least {time} ({source})"));
    }
    Some(table)
}

/// The recording plan: what is kept of each camera, and when.
pub(crate) fn plan(facts: &Facts<'_, '_>) -> Table {
    let model = facts.model;
    let head = ["camera", "channel", "area", "part", "rate", "events", "motion", "continuous"];
    let mut table = Table::new("recording", "Recording plan", &head);
    for (id, camera) in model.cameras_by_id() {
        let during = |class: Class| {
            let keeps = model.recordings.iter().flat_map(|plan| &plan.keeps);
            let own = keeps
                .filter(|keep| keep.tree.class.value == class && keep.cameras.contains(&id))
                .map(|keep| match keep.during {
                    Some(during) => model.schedule_name(during).to_owned(),
                    None => "hours that are not known".to_owned(),
                });
            own.collect::<Vec<_>>().join(", ")
        };
        let rate = match camera.bit_rate() {
            Some(rate) => Quantity::new(rate, Dimension::BitRate).to_string().into(),
            None => Cell::hole("not known"),
        };
        let channel = match camera.channel {
            Some(channel) => model.terminal_name(&channel).into(),
            None => Cell::hole("not known"),
        };
        let part = camera.part.map_or("", |part| model.part_name(part.id));
        table.row(cells![
            words::titled(camera.name.text, camera.title),
            channel,
            words::area(model, camera.area),
            part,
            rate,
            during(Class::Events),
            during(Class::Motion),
            during(Class::Continuous)
        ]);
    }
    for refusal in &facts.refusals {
        let camera = words::camera(model, refusal.camera);
        let response = words::response(model, refusal.response);
        let why = match &refusal.why {
            Refused::NoPlan => "its recorder has no recording plan".to_owned(),
            Refused::NotKept { .. } => "the plan keeps no events of it".to_owned(),
            Refused::Hours { refused, .. } if refused.week.is_empty() => {
                "the plan keeps its events, but not on some dates".to_owned()
            }
            Refused::Hours { refused, .. } => format!("not kept {}", refused.week),
            Refused::Edge { edge: (of, ends), .. } => {
                let edge = if *ends { "ends" } else { "begins" };
                format!("not kept when {} {edge}", facts.model.schedule_name(*of))
            }
        };
        table.note(Cell::hole(format!("{response} asks for {camera}: {why}")));
    }
    table
}
