//! Schedules: what they are made of, and rings of them.

use super::Resolver;
use crate::build::named;
use crate::ids::ScheduleId;
use crate::schedule::{ScheduleBody, ScheduleRef, ScheduleTerm};
use crate::{Fault, FaultKind, Kind, Named, Source};
use curtilage_syntax::tree::schedule::{Body, Combination};
use curtilage_syntax::tree::{Item, Name};
use curtilage_text::Place;

impl<'a> Resolver<'a> {
    pub(super) fn schedule_ref(&mut self, name: Named<'_>) -> Option<ScheduleRef> {
        match name.text {
            "always" => Some(ScheduleRef::Always),
            "never" => Some(ScheduleRef::Never),
            _ => {
                let kinds = [Kind::Schedule];
                let entry = self.schedules.find(name, Kind::Schedule, &kinds, &mut self.faults)?;
                Some(ScheduleRef::Of(ScheduleId::new(entry.index)))
            }
        }
    }

    pub(super) fn schedule(
        &mut self,
        source: &'a Source,
        name: Name,
    ) -> Option<(ScheduleRef, Place)> {
        let name = named(source, name);
        self.schedule_ref(name).map(|schedule| (schedule, name.at))
    }

    pub(super) fn schedule_bodies(&mut self) {
        let mut index = 0;
        for source in self.model.sources {
            let items = source.parsed.file.items.iter();
            for item in items {
                let Item::Schedule(tree) = item else { continue };
                if let Body::Combined(combination) = &tree.body {
                    let body = self.term(source, combination);
                    if let Some(schedule) = self.model.schedules.get_mut(index) {
                        schedule.body = body.map_or(ScheduleBody::Unknown, ScheduleBody::Combined);
                    }
                }
                index += 1;
            }
        }
        self.schedule_cycles();
    }

    pub(super) fn term(
        &mut self,
        source: &'a Source,
        combination: &'a Combination,
    ) -> Option<ScheduleTerm> {
        // Both sides are read even when one fails, so that every unknown name is told.
        let mut both = |left: &'a Combination, right: &'a Combination| {
            let (left, right) = (self.term(source, left), self.term(source, right));
            Some((Box::new(left?), Box::new(right?)))
        };
        Some(match combination {
            Combination::Named(name) => {
                ScheduleTerm::Named(self.schedule_ref(named(source, *name))?)
            }
            Combination::Not(inner) => ScheduleTerm::Not(Box::new(self.term(source, inner)?)),
            Combination::Plus(left, right) => {
                let (left, right) = both(left, right)?;
                ScheduleTerm::Plus(left, right)
            }
            Combination::Minus(left, right) => {
                let (left, right) = both(left, right)?;
                ScheduleTerm::Minus(left, right)
            }
            Combination::Within(left, right) => {
                let (left, right) = both(left, right)?;
                ScheduleTerm::Within(left, right)
            }
        })
    }

    /// Takes apart schedules that are made of each other, so that those left form no ring.
    pub(super) fn schedule_cycles(&mut self) {
        let uses: Vec<Vec<usize>> = self
            .model
            .schedules
            .iter()
            .map(|schedule| {
                let mut out = Vec::new();
                if let ScheduleBody::Combined(term) = &schedule.body {
                    named_in(term, &mut out);
                }
                out
            })
            .collect();
        // 0 not seen, 1 on the way, 2 done.
        let mut state = vec![0u8; uses.len()];
        let mut path: Vec<(usize, usize)> = Vec::new();
        for start in 0..uses.len() {
            if state.get(start).copied() != Some(0) {
                continue;
            }
            path.push((start, 0));
            while let Some((node, next)) = path.pop() {
                if let Some(slot) = state.get_mut(node) {
                    *slot = 1;
                }
                match uses.get(node).and_then(|list| list.get(next)).copied() {
                    None => {
                        if let Some(slot) = state.get_mut(node) {
                            *slot = 2;
                        }
                    }
                    Some(used) => {
                        path.push((node, next + 1));
                        match state.get(used).copied() {
                            Some(0) => path.push((used, 0)),
                            Some(1) => self.break_ring(&path, used),
                            _ => {}
                        }
                    }
                }
            }
        }
    }

    pub(super) fn break_ring(&mut self, path: &[(usize, usize)], back_to: usize) {
        let name = |index: usize| {
            self.model.schedules.get(index).map_or("", |schedule| schedule.name.text).to_owned()
        };
        let from = path.iter().position(|(node, _)| *node == back_to).unwrap_or(0);
        let ring: Vec<usize> = path.iter().skip(from).map(|(node, _)| *node).collect();
        let mut chain: Vec<String> = ring.iter().map(|index| name(*index)).collect();
        chain.push(name(back_to));
        if let Some(schedule) = self.model.schedules.get(back_to) {
            let at = schedule.name.at;
            self.faults.push(Fault { kind: FaultKind::ScheduleCycle(chain), at });
        }
        for index in ring {
            if let Some(schedule) = self.model.schedules.get_mut(index) {
                schedule.body = ScheduleBody::Unknown;
            }
        }
    }
}

fn named_in(term: &ScheduleTerm, out: &mut Vec<usize>) {
    match term {
        ScheduleTerm::Named(ScheduleRef::Of(id)) => out.push(id.index()),
        ScheduleTerm::Named(_) => {}
        ScheduleTerm::Not(inner) => named_in(inner, out),
        ScheduleTerm::Plus(left, right)
        | ScheduleTerm::Minus(left, right)
        | ScheduleTerm::Within(left, right) => {
            named_in(left, out);
            named_in(right, out);
        }
    }
}
