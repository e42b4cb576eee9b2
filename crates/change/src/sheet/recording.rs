//! Cameras, what is kept of them and when, and how long the stores last.

use super::Writer;
use super::needs::Needs;
use super::settings::thing;
use crate::figure::{Aspect, Better, Value};
use crate::thing::{Thing, ThingKind};
use crate::words::Words;
use curtilage_text::Place;
use curtilage_units::{Dimension, Quantity, duration, significant};

impl Writer<'_, '_, '_> {
    pub(super) fn recording(&mut self) {
        let (model, facts) = (self.model(), self.facts);
        let none = Words::default;
        for camera in &model.cameras {
            let (name, file) = (camera.name.text, camera.name.at.file);
            let of = thing(ThingKind::Camera, name);
            let needs = Needs::default().item("camera", name, &["area"]).done();
            let words = match camera.tree.part {
                Some(part) => self.part_words(Place::new(file, part.span)),
                None => Words::new("a camera without a part"),
            };
            let at = Some(camera.name.at);
            self.add(&of, Aspect::Fitted, none(), Value::words(words), at, &needs);
            let channel = Words::thing(model.text(Place::new(file, camera.tree.channel.span())));
            self.add(&of, Aspect::Landed, none(), Value::words(channel), at, &needs);
            if let Some(rate) = camera.bit_rate() {
                let shown = Quantity::new(rate, Dimension::BitRate).to_string();
                let part = camera.part.map(|part| part.id);
                let needs = Needs::default().item("camera", name, &["bit-rate"]).part(model, part);
                let value = Value::number(rate, "bit/s", shown, Better::Neither);
                self.add(&of, Aspect::Setting, Words::new("bit rate"), value, at, &needs.done());
            }
        }
        for plan in &model.recordings {
            for keep in &plan.keeps {
                for id in &keep.cameras {
                    let Some(camera) = model.camera(*id) else { continue };
                    let of = thing(ThingKind::Camera, camera.name.text);
                    let name = model.text(Place::new(plan.line.file, plan.tree.controller.span));
                    let mut needs = Needs::default().item("recording", name, &["keep"]);
                    let value = match keep.during {
                        Some(during) => {
                            needs = needs.schedule(model, during);
                            self.hours(during)
                        }
                        None => Value::NotKnown("the schedule is not known".into()),
                    };
                    let class = Words::new(keep.tree.class.value.word());
                    self.add(&of, Aspect::Kept, class, value, Some(keep.line), &needs.done());
                }
            }
        }
        for store in &facts.stores {
            let Some(plan) = model.recordings.get(store.plan) else { continue };
            let name = model.text(Place::new(plan.line.file, plan.tree.controller.span));
            let of = Thing::new(ThingKind::Recorder, Words::thing(name));
            let mut needs = Needs::default()
                .item("recording", name, &[])
                .item("policy", "", &["retention"])
                .item("camera", "", &["bit-rate"]);
            for keep in &plan.keeps {
                if let Some(during) = keep.during {
                    needs = needs.schedule(model, during);
                }
                for id in &keep.cameras {
                    let part = model.camera(*id).and_then(|camera| camera.part);
                    needs = needs.part(model, part.map(|part| part.id));
                }
            }
            if let Some(part) = plan.tree.store_part {
                let part = model.text(Place::new(plan.line.file, part.span));
                needs = needs.item("part", part, &[]);
            }
            let needs = needs.done();
            let footage = store.a_day.map_or_else(
                || Value::NotKnown("a bit rate or the hours are not known".into()),
                |bytes| {
                    let shown = Quantity::new(bytes, Dimension::Data).to_string();
                    Value::number(bytes, "byte", shown, Better::Neither)
                },
            );
            let at = Some(plan.line);
            self.add(&of, Aspect::Footage, none(), footage, at, &needs);
            let policy = model.policy.as_ref().and_then(|policy| policy.tree.retention);
            let policy = policy.map(|limit| super::zones::ms(limit.value.value));
            let own = plan.tree.retention.map(|asked| asked.value);
            let asked = match (own, policy) {
                (Some(own), Some(policy)) => Some(own.max(policy)),
                (own, policy) => own.or(policy),
            };
            let limit = asked.map(|asked| (asked / 86_400_000.0, duration(asked)));
            let days = store.days(0.0).map_or_else(
                || Value::NotKnown("nothing is kept all the time, or a figure is missing".into()),
                |days| {
                    let shown = format!("{} d", significant(days, 3));
                    Value::number(days, "d", shown, Better::More).with_limit(limit)
                },
            );
            self.add(&of, Aspect::StoreDays, none(), days, at, &needs);
        }
    }
}
