//! Which lines a figure depends on: followed through the model from a thing to its parts, its
//! cables, its schedules and its supply.

use crate::figure::Need;
use curtilage_facts::{Consumer, Power};
use curtilage_model::{
    Contact, ContactAt, ControllerId, Feed, Input, Model, Origin, PartId, RunOf, ScheduleBody,
    ScheduleRef, ScheduleTerm, SupplyId, Zone,
};
use std::sync::Arc;

/// What is gathered for one figure.
#[derive(Debug, Default)]
pub(super) struct Needs(Vec<Need>);

/// A figure that every line may have a part in.
pub(super) fn everything() -> Arc<[Need]> {
    Arc::from([Need { item: "", name: String::new(), lines: &[] }])
}

impl Needs {
    pub(super) fn done(mut self) -> Arc<[Need]> {
        self.0.sort();
        self.0.dedup();
        self.0.into()
    }

    pub(super) fn item(
        mut self,
        item: &'static str,
        name: &str,
        lines: &'static [&'static str],
    ) -> Self {
        self.0.push(Need { item, name: name.to_owned(), lines });
        self
    }

    pub(super) fn part(self, model: &Model<'_>, part: Option<PartId>) -> Self {
        match part {
            Some(id) => self.item("part", model.part_name(id), &[]),
            None => self,
        }
    }

    /// A schedule, all that it is made of, and the holidays where it minds them.
    pub(super) fn schedule(mut self, model: &Model<'_>, schedule: ScheduleRef) -> Self {
        let mut seen = Vec::new();
        let mut holidays = false;
        let mut todo = vec![schedule];
        while let Some(next) = todo.pop() {
            let ScheduleRef::Of(id) = next else { continue };
            if seen.contains(&id) {
                continue;
            }
            seen.push(id);
            let Some(schedule) = model.schedules.get(id.index()) else { continue };
            self = self.item("schedule", schedule.name.text, &[]);
            match &schedule.body {
                ScheduleBody::Combined(term) => terms(term, &mut todo),
                ScheduleBody::Written(written) => holidays |= written.except_holidays.is_some(),
                ScheduleBody::Unknown => {}
            }
        }
        if holidays { self.item("site", "", &["holidays"]) } else { self }
    }

    pub(super) fn run(self, model: &Model<'_>, run: Option<RunOf<'_>>) -> Self {
        self.part(model, run.and_then(|run| run.cable).map(|cable| cable.id))
    }

    pub(super) fn ambient(self) -> Self {
        self.item("site", "", &["ambient"]).item("policy", "", &["joint", "waste"])
    }

    pub(super) fn controller(self, model: &Model<'_>, id: Option<ControllerId>) -> Self {
        let Some(controller) = id.and_then(|id| model.controller(id)) else { return self };
        let part = controller.part.map(|part| part.id);
        self.item("controller", controller.name.text, &["fed"]).part(model, part)
    }

    /// The lines that make a zone's loop.
    pub(super) fn zone_loop(self, model: &Model<'_>, zone: &Zone<'_>) -> Self {
        let lines = &["wired", "ends", "input", "tamper"];
        self.item("zone", zone.name.text, lines)
            .part(model, zone.sensor.map(|part| part.id))
            .input(model, zone.input)
            .input(model, zone.tamper())
            .ambient()
    }

    fn input(self, model: &Model<'_>, input: Option<Input<'_>>) -> Self {
        let Some(input) = input else { return self };
        let controller = input.terminal.map(|terminal| terminal.controller);
        self.run(model, input.run).controller(model, controller)
    }

    /// The contact that switches something, back to the controller's relay.
    pub(super) fn contact(mut self, model: &Model<'_>, contact: Option<Contact<'_>>) -> Self {
        let mut next = contact;
        for _ in 0..=model.relays.len() {
            let Some(contact) = next else { break };
            match contact.of {
                ContactAt::Terminal(terminal) => {
                    return self.controller(model, Some(terminal.controller));
                }
                ContactAt::Relay(id) => {
                    let Some(relay) = model.relay(id) else { break };
                    let part = relay.part.map(|part| part.id);
                    self = self.item("relay", relay.name.text, &[]).part(model, part);
                    next = relay.through;
                }
            }
        }
        self
    }

    /// A feed back to its supply.
    pub(super) fn feed(mut self, model: &Model<'_>, feed: Option<Feed<'_>>) -> Self {
        let mut next = feed;
        for _ in 0..=model.controllers.len() {
            let Some(feed) = next.take() else { break };
            self = self.run(model, feed.run);
            let mut origin = Some(feed.origin);
            for _ in 0..=model.cables.len() {
                match origin.take() {
                    Some(Origin::Supply(id)) => self = self.supply_itself(model, id),
                    Some(Origin::Tap(id, _)) => {
                        let Some(cable) = model.cable(id) else { break };
                        let part = cable.part.map(|part| part.id);
                        self = self.item("cable", cable.name.text, &[]).part(model, part);
                        origin = cable.from;
                    }
                    Some(Origin::Outlet(terminal)) => {
                        self = self.controller(model, Some(terminal.controller));
                        next = model.controller(terminal.controller).and_then(|one| one.fed);
                    }
                    None => break,
                }
            }
        }
        self
    }

    pub(super) fn supply_itself(self, model: &Model<'_>, id: SupplyId) -> Self {
        let Some(supply) = model.supply(id) else { return self };
        self.item("supply", supply.name.text, &[])
            .part(model, supply.part.map(|part| part.id))
            .part(model, supply.battery.map(|(_, part)| part.id))
    }

    /// Everything that hangs on a supply.
    pub(super) fn network(mut self, model: &Model<'_>, power: &Power<'_>) -> Self {
        self = self.supply_itself(model, power.supply).ambient();
        for drawing in &power.drawings {
            let of = drawing.of;
            self = self.consumer(model, of).feed(model, of.feed(model));
        }
        // What can be on together follows from the responses.
        self.item("response", "", &["close", "open", "pulse"])
    }

    fn consumer(self, model: &Model<'_>, of: Consumer) -> Self {
        let name = of.name(model).text;
        match of {
            Consumer::Controller(id) => self.controller(model, Some(id)),
            Consumer::Output(id) => {
                let output = model.output(id);
                let mut out = self.item("output", name, &["through", "fed", "fuse", "mode"]);
                for (_, part) in output.and_then(|one| one.loads.as_deref()).unwrap_or_default() {
                    out = out.part(model, Some(part.id));
                }
                out.contact(model, output.and_then(|one| one.through))
            }
            Consumer::Coil(id) => {
                let relay = model.relay(id);
                let part = relay.and_then(|one| one.part).map(|part| part.id);
                let through = relay.and_then(|one| one.through);
                self.item("relay", name, &[]).part(model, part).contact(model, through)
            }
            Consumer::Sensor(id) => {
                let part = model.zone(id).and_then(|one| one.sensor).map(|part| part.id);
                self.item("zone", name, &["fed", "fuse"]).part(model, part)
            }
            Consumer::Camera(id) => {
                let part = model.camera(id).and_then(|one| one.part).map(|part| part.id);
                self.item("camera", name, &["fed", "fuse"]).part(model, part)
            }
        }
    }
}

fn terms(term: &ScheduleTerm, out: &mut Vec<ScheduleRef>) {
    match term {
        ScheduleTerm::Named(schedule) => out.push(*schedule),
        ScheduleTerm::Not(inner) => terms(inner, out),
        ScheduleTerm::Plus(left, right)
        | ScheduleTerm::Minus(left, right)
        | ScheduleTerm::Within(left, right) => {
            terms(left, out);
            terms(right, out);
        }
    }
}
