//! A plain controller that looks at everything once a millisecond; written apart from the engine,
//! after the timing model (`MODEL.md`), to hold the engine against.

use curtilage_events::system::{
    Again, Builder, Contact, ContactId, Effect, Feedback, LockoutEnd, OnTime, Output, Registration,
    Response, Span, System, Zone, ZoneId,
};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

#[derive(Debug, Clone)]
pub(crate) struct Sensor {
    pub(crate) on: i64,
    pub(crate) off: i64,
    pub(crate) shortest: i64,
    pub(crate) longest: Option<i64>,
}

#[derive(Debug, Clone)]
pub(crate) struct Rule {
    pub(crate) sensor: usize,
    pub(crate) lockout: i64,
    pub(crate) rejects: bool,
    pub(crate) restarts: bool,
    pub(crate) level: bool,
    pub(crate) after_lockout: bool,
    pub(crate) gap: i64,
    pub(crate) limit: Option<u32>,
    pub(crate) hold: i64,
    pub(crate) span: u8,
    pub(crate) retriggered: bool,
    pub(crate) output: usize,
}

#[derive(Debug, Clone)]
pub(crate) struct Path {
    pub(crate) output: usize,
    pub(crate) sensor: usize,
    pub(crate) delay: usize,
    pub(crate) inverted: bool,
}

#[derive(Debug, Clone)]
pub(crate) struct Site {
    pub(crate) sensors: Vec<Sensor>,
    pub(crate) rules: Vec<Rule>,
    pub(crate) paths: Vec<Path>,
    pub(crate) outputs: usize,
}

/// What the controller and the sensors remember from one millisecond to the next.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Memory {
    sensors: Vec<SensorMemory>,
    rules: Vec<RuleMemory>,
    /// For each output its last values, newest first.
    history: Vec<VecDeque<bool>>,
}

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct SensorMemory {
    outside: bool,
    /// Milliseconds since it went active, as far as it matters.
    active_for: i64,
    raw: bool,
    noted: bool,
    /// Milliseconds since the level changed, as far as it matters.
    steady: i64,
}

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct RuleMemory {
    /// Milliseconds of lockout, on-time and gap that are left.
    lock: i64,
    run: i64,
    gap: i64,
    count: u32,
}

const LONG: i64 = 40;

impl Site {
    pub(crate) fn rest(&self) -> Memory {
        let sensor =
            SensorMemory { outside: false, active_for: 0, raw: false, noted: false, steady: LONG };
        Memory {
            sensors: vec![sensor; self.sensors.len()],
            rules: vec![RuleMemory { lock: 0, run: 0, gap: 0, count: 0 }; self.rules.len()],
            history: vec![VecDeque::from(vec![false; 4]); self.outputs],
        }
    }

    /// What the contacts can be in the next millisecond.
    pub(crate) fn choices(&self, memory: &Memory) -> Vec<Vec<bool>> {
        let mut all = vec![Vec::new()];
        for (sensor, now) in self.sensors.iter().zip(&memory.sensors) {
            let mut can = Vec::new();
            if !now.outside || now.active_for >= sensor.shortest {
                can.push(false);
            }
            if !now.outside || sensor.longest.is_none_or(|longest| now.active_for < longest) {
                can.push(true);
            }
            let add = |list: Vec<bool>| {
                can.clone().into_iter().map(move |next| [list.clone(), vec![next]].concat())
            };
            all = all.into_iter().flat_map(add).collect();
        }
        all
    }

    pub(crate) fn changes(memory: &Memory, outside: &[bool]) -> usize {
        let pairs = memory.sensors.iter().zip(outside);
        pairs.filter(|(sensor, outside)| sensor.outside != **outside).count()
    }

    /// One millisecond; which rules registered in it.
    pub(crate) fn scan(&self, before: &Memory, outside: &[bool]) -> (Memory, Vec<bool>) {
        let mut memory = before.clone();
        let mut rose = Vec::new();
        for (place, (sensor, now)) in self.sensors.iter().zip(&mut memory.sensors).enumerate() {
            now.active_for = match (now.outside, outside[place]) {
                (true, true) => (now.active_for + 1).min(LONG),
                (false, true) => 1,
                (_, false) => 0,
            };
            now.outside = outside[place];
            let mut raw = now.outside;
            for path in self.paths.iter().filter(|path| path.sensor == place) {
                raw |= before.history[path.output][path.delay - 1] ^ path.inverted;
            }
            now.steady = if raw == now.raw { (now.steady + 1).min(LONG) } else { 0 };
            now.raw = raw;
            let need = if raw { sensor.on } else { sensor.off };
            let noted = now.noted;
            if now.steady >= need {
                now.noted = raw;
            }
            rose.push(now.noted && !noted);
        }
        let mut registered = Vec::new();
        for (rule, now) in self.rules.iter().zip(&mut memory.rules) {
            now.lock = (now.lock - 1).max(0);
            now.gap = (now.gap - 1).max(0);
            if now.run > 0 {
                now.run -= 1;
                if now.run == 0 {
                    now.gap = rule.gap;
                }
            }
            let edge = rose[rule.sensor];
            let free = rule.after_lockout || (now.run == 0 && now.gap == 0);
            let held = rule.level && memory.sensors[rule.sensor].noted && free;
            let deaf = rule.lockout + i64::from(rule.rejects);
            let mut counts = false;
            if now.lock > 0 {
                if edge && rule.restarts {
                    now.lock = deaf;
                }
            } else if (edge || held) && rule.limit.is_none_or(|limit| now.count < limit) {
                counts = true;
                now.lock = deaf;
                now.count += u32::from(rule.limit.is_some());
                let total = match rule.span {
                    0 => rule.hold,
                    1 => rule.lockout + rule.hold,
                    _ => rule.lockout.max(rule.hold),
                };
                if now.run == 0 || rule.retriggered {
                    now.run = total;
                }
            }
            registered.push(counts);
        }
        for (output, history) in memory.history.iter_mut().enumerate() {
            let mut mine = self.rules.iter().zip(&memory.rules);
            history.push_front(mine.any(|(rule, now)| rule.output == output && now.run > 0));
            history.pop_back();
        }
        (memory, registered)
    }

    pub(crate) fn build(&self) -> (System, Vec<ContactId>, Vec<ZoneId>) {
        let mut builder = Builder::new();
        let contacts: Vec<ContactId> = self
            .sensors
            .iter()
            .map(|sensor| {
                builder.contact(Contact {
                    settle_on: sensor.on,
                    settle_off: sensor.off,
                    starts_active: false,
                    shortest: sensor.shortest,
                    longest: sensor.longest,
                })
            })
            .collect();
        let outputs: Vec<_> =
            (0..self.outputs).map(|_| builder.output(Output::automatic(OnTime::HOLD))).collect();
        let mut zones = Vec::new();
        for rule in &self.rules {
            let again = match rule.after_lockout {
                true => Again::AfterLockout,
                false => Again::AfterOnTime { gap: rule.gap },
            };
            let zone = builder.zone(Zone {
                lockout_end: match rule.rejects {
                    true => LockoutEnd::Rejects,
                    false => LockoutEnd::Accepts,
                },
                lockout_restarts: rule.restarts,
                registration: match rule.level {
                    true => Registration::Level(again),
                    false => Registration::Edge,
                },
                limit: rule.limit,
                ..Zone::edge(contacts[rule.sensor], rule.lockout)
            });
            zones.push(zone);
            let span = match rule.span {
                0 => Span::Hold,
                1 => Span::LockoutThenHold,
                _ => Span::LongerOfBoth,
            };
            let on_time = Some(OnTime { span, retriggered: rule.retriggered });
            let on = Effect::On { output: outputs[rule.output], hold: rule.hold, on_time };
            builder.response(Response::to(zone, vec![on]));
        }
        for path in &self.paths {
            builder.feedback(Feedback {
                output: outputs[path.output],
                contact: contacts[path.sensor],
                delay: path.delay as i64,
                inverted: path.inverted,
            });
        }
        (builder.build().unwrap(), contacts, zones)
    }

    /// Every reachable memory, with the fewest changes of contacts that lead to it.
    pub(crate) fn reachable(&self, most: usize) -> Option<BTreeMap<Memory, usize>> {
        let mut cost: BTreeMap<Memory, usize> = BTreeMap::new();
        let mut todo: BTreeSet<(usize, Memory)> = BTreeSet::new();
        let rest = self.rest();
        let mut first = true;
        loop {
            let (spent, memory) = if first { (0, rest.clone()) } else { todo.pop_first()? };
            if !first && cost.get(&memory).is_some_and(|&known| known < spent) {
                continue;
            }
            first = false;
            for outside in self.choices(&memory) {
                let (next, _) = self.scan(&memory, &outside);
                let spent = spent + Self::changes(&memory, &outside);
                if cost.get(&next).is_none_or(|&known| spent < known) {
                    cost.insert(next.clone(), spent);
                    todo.insert((spent, next));
                }
            }
            if cost.len() > most {
                return None;
            }
            if todo.is_empty() {
                return Some(cost);
            }
        }
    }

    /// The fewest changes after which the rule registers for ever with just this holder active.
    pub(crate) fn endless(
        &self,
        reachable: &BTreeMap<Memory, usize>,
        rule: usize,
        holder: Option<usize>,
    ) -> Option<usize> {
        let outside: Vec<bool> = (0..self.sensors.len()).map(|s| Some(s) == holder).collect();
        // For each memory seen: whether it goes on for ever.
        let mut known: BTreeMap<Memory, bool> = BTreeMap::new();
        let mut best: Option<usize> = None;
        for (start, &spent) in reachable {
            if Self::changes(start, &outside) > 0 || best.is_some_and(|best| best <= spent) {
                continue;
            }
            let mut walk: Vec<(Memory, bool)> = Vec::new();
            let mut at = start.clone();
            let forever = loop {
                if let Some(&answer) = known.get(&at) {
                    break answer;
                }
                if let Some(from) = walk.iter().position(|(memory, _)| *memory == at) {
                    break walk[from..].iter().any(|(_, registered)| *registered);
                }
                if !self.choices(&at).contains(&outside) {
                    break false;
                }
                let (next, registered) = self.scan(&at, &outside);
                walk.push((at, registered[rule]));
                at = next;
            };
            known.extend(walk.into_iter().map(|(memory, _)| (memory, forever)));
            if forever {
                best = Some(spent);
            }
        }
        best
    }
}

fn rule(sensors: usize, outputs: usize) -> impl Strategy<Value = Rule> {
    let when = (0i64..4, any::<bool>(), prop::bool::weighted(0.2), prop::bool::weighted(0.6));
    let again = (prop::bool::weighted(0.3), prop_oneof![Just(0i64), 1i64..3]);
    let limit = prop_oneof![4 => Just(None), 1 => (1u32..3).prop_map(Some)];
    let what = (1i64..5, 0u8..3, any::<bool>(), 0..outputs);
    (0..sensors, when, again, limit, what).prop_map(|(sensor, when, again, limit, what)| {
        let (lockout, rejects, restarts, level) = when;
        // The scan has no least pause between registrations of a level; the engine has 1 ms.
        let lockout = if level { lockout.max(1) } else { lockout };
        let (after_lockout, gap) = again;
        let (hold, span, retriggered, output) = what;
        Rule {
            sensor,
            lockout,
            rejects,
            restarts,
            level,
            after_lockout,
            gap,
            limit,
            hold,
            span,
            retriggered,
            output,
        }
    })
}

/// Small random sites: up to two contacts and rules, some feedback.
pub(crate) fn sites() -> impl Strategy<Value = Site> {
    (1usize..3, 1usize..3, 1usize..3).prop_flat_map(|(sensors, rules, outputs)| {
        let long = prop_oneof![3 => Just(None), 1 => (2i64..4).prop_map(Some)];
        let sensor = (0i64..3, 0i64..3, 0i64..3, long)
            .prop_map(|(on, off, shortest, longest)| Sensor { on, off, shortest, longest });
        let path = (0..outputs, 0..sensors, 1usize..4, prop::bool::weighted(0.3))
            .prop_map(|(output, sensor, delay, inverted)| Path { output, sensor, delay, inverted });
        (
            prop::collection::vec(sensor, sensors),
            prop::collection::vec(rule(sensors, outputs), rules),
            prop::collection::vec(path, 0..3),
        )
            .prop_map(move |(sensors, rules, paths)| Site {
                sensors,
                rules,
                paths,
                outputs,
            })
    })
}

impl Memory {
    /// Whether the output is on.
    pub(crate) fn shows(&self, output: usize) -> bool {
        self.history[output][0]
    }
}
