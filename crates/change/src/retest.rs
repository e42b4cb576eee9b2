//! What has to be tried again because of a change, and what need not be.
//!
//! A test stands on figures: those of the thing itself, and what the things are between it and the
//! controller. It is repeated when one of them changed. A reading that moves by less than a meter
//! shows (1 %, common practice, no source) tells nothing new and is not taken again for that. What the
//! commissioning sheet has no row for is a reading beside it.

use crate::compare::{Change, Side};
use crate::figure::{Aspect, Value};
use crate::renames::Rename;
use crate::thing::{Thing, ThingKind};
use crate::timed::timed;
use crate::words::Words;
use curtilage_facts::events::Together;
use curtilage_model::{Contact, ContactAt, Model};
use curtilage_syntax::tree::policy::Policy;
use std::collections::{BTreeMap, BTreeSet};

/// A test that has to be repeated.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Retest {
    /// On what.
    pub thing: Thing,
    /// What to do.
    pub what: &'static str,
    /// The changes that ask for it, by index.
    pub because: Vec<usize>,
}

/// Tests that need not be repeated.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// The kind of things.
    pub kind: ThingKind,
    /// What need not be done.
    pub what: &'static str,
    /// On which.
    pub things: Vec<Words>,
    /// Why not.
    pub why: &'static str,
}

/// What has to be tried again, and what not.
#[derive(Clone, Debug, Default)]
pub struct Tests {
    /// To repeat, in the order of the site.
    pub repeat: Vec<Retest>,
    /// Not to repeat.
    pub kept: Vec<Kept>,
}

/// One test: what to do, and which changes of the thing itself ask for it.
struct Test {
    what: &'static str,
    asks: fn(&Change) -> bool,
    /// Whether another controller, relay or contact on the way asks for it.
    chain: bool,
    /// Whether another part as its supply asks for it.
    supply: bool,
    /// Whether another way to count the time of outputs asks for it.
    timed: bool,
    /// The figure that is read, which only some things have; a slight change of it is told.
    reads: Option<Aspect>,
    /// The limit of the policy that it is held against, by its word.
    limit: Option<&'static str>,
}

/// A meter shows no less than this share of a reading.
const METER: f64 = 0.01;

const ZONE: &[Test] = &[
    Test {
        what: "set it off and see it register",
        asks: |change| match change.aspect {
            Aspect::Landed | Aspect::Cable => !of_tamper(change),
            Aspect::Fitted
            | Aspect::RestState
            | Aspect::Band
            | Aspect::Ends
            | Aspect::Again
            | Aspect::Held => true,
            // It registers when its entry time is over.
            Aspect::Timing => matches!(change.detail.bare().as_str(), "settle" | "entry"),
            Aspect::Setting => {
                let word = change.detail.bare();
                let own = ["registers", "input", "confirmed", "follows"];
                own.contains(&word.as_str()) || of_feed(change)
            }
            _ => false,
        },
        chain: true,
        supply: false,
        timed: false,
        reads: None,
        limit: None,
    },
    Test {
        what: "measure its loop",
        asks: |change| match change.aspect {
            Aspect::Landed | Aspect::Cable => !of_tamper(change),
            Aspect::Fitted | Aspect::Ends => true,
            Aspect::Reading => moved(change),
            _ => false,
        },
        chain: false,
        supply: false,
        timed: false,
        reads: Some(Aspect::Reading),
        limit: None,
    },
    Test {
        what: "see when it is armed",
        asks: |change| match change.aspect {
            Aspect::Armed => true,
            Aspect::Timing => matches!(change.detail.bare().as_str(), "entry" | "exit"),
            _ => change.aspect == Aspect::Fitted && change.before.is_none(),
        },
        chain: false,
        supply: false,
        timed: false,
        reads: Some(Aspect::Armed),
        limit: None,
    },
    Test {
        what: "see what it sets off",
        asks: |change| match change.aspect {
            Aspect::Effect => true,
            Aspect::Timing => matches!(change.detail.bare().as_str(), "lockout" | "repeats"),
            Aspect::Setting => {
                matches!(change.detail.bare().as_str(), "registers" | "confirmed" | "tamper")
            }
            Aspect::Landed | Aspect::Cable => of_tamper(change),
            _ => change.aspect == Aspect::Fitted && change.before.is_none(),
        },
        chain: false,
        supply: false,
        timed: true,
        reads: None,
        limit: None,
    },
    Test {
        what: "measure the voltage at it, beside the sheet",
        asks: volts,
        chain: false,
        supply: true,
        timed: false,
        reads: Some(Aspect::LowestVolts),
        limit: None,
    },
];

const OUTPUT: &[Test] = &[
    Test {
        what: "run it",
        asks: |change| match change.aspect {
            Aspect::Fitted | Aspect::Contact | Aspect::Mode | Aspect::Effect => true,
            Aspect::Setting => {
                let word = change.detail.bare();
                matches!(word.as_str(), "suppressed" | "runs") || of_feed(change)
            }
            _ => false,
        },
        chain: true,
        supply: false,
        timed: true,
        reads: None,
        limit: None,
    },
    Test {
        what: "measure its voltage while it runs",
        asks: |change| volts(change) || fed_anew(change),
        chain: false,
        supply: true,
        timed: false,
        reads: Some(Aspect::LowestVolts),
        limit: None,
    },
];

const CONTROLLER: &[Test] = &[
    Test {
        what: "put it into service again",
        asks: |change| change.aspect == Aspect::Fitted,
        chain: false,
        supply: false,
        timed: false,
        reads: None,
        limit: None,
    },
    Test {
        what: "measure its supply voltage",
        asks: |change| volts(change) || fed_anew(change),
        chain: false,
        supply: true,
        timed: false,
        reads: Some(Aspect::LowestVolts),
        limit: None,
    },
];

const SUPPLY: &[Test] = &[
    Test {
        what: "measure its current at rest, beside the sheet",
        asks: |change| match change.aspect {
            Aspect::RestAmps => moved(change),
            Aspect::Fitted => true,
            _ => false,
        },
        chain: false,
        supply: false,
        timed: false,
        reads: Some(Aspect::RestAmps),
        limit: None,
    },
    Test {
        what: "try how long its battery lasts",
        asks: |change| match change.aspect {
            Aspect::Lasts => judged(change),
            Aspect::Fitted => true,
            // The current of the alarm flows through its fuse.
            Aspect::Setting => matches!(change.detail.bare().as_str(), "battery" | "fuse"),
            _ => false,
        },
        chain: false,
        supply: false,
        timed: false,
        reads: Some(Aspect::Lasts),
        limit: None,
    },
    Test {
        what: "try how long it takes to recharge",
        asks: |change| match change.aspect {
            Aspect::Recharge => judged(change),
            Aspect::Fitted => true,
            Aspect::Setting => change.detail.bare() == "battery",
            _ => false,
        },
        chain: false,
        supply: false,
        timed: false,
        reads: Some(Aspect::Recharge),
        limit: None,
    },
];

const CAMERA: &[Test] = &[
    Test {
        what: "see its picture",
        asks: |change| match change.aspect {
            Aspect::Fitted | Aspect::Landed => true,
            Aspect::Setting => change.detail.bare() != "title" && change.detail.bare() != "area",
            _ => false,
        },
        chain: false,
        supply: false,
        timed: false,
        reads: None,
        limit: None,
    },
    Test {
        what: "see that it is recorded",
        asks: |change| match change.aspect {
            Aspect::Kept | Aspect::Effect | Aspect::Landed => true,
            _ => change.aspect == Aspect::Fitted && change.before.is_none(),
        },
        chain: false,
        supply: false,
        timed: false,
        reads: None,
        limit: None,
    },
    Test {
        what: "measure the voltage at it, beside the sheet",
        asks: volts,
        chain: false,
        supply: true,
        timed: false,
        reads: Some(Aspect::LowestVolts),
        limit: None,
    },
];

/// What no zone, but a loss or a schedule sets off.
const CAUSE: &[Test] = &[Test {
    what: "see what it sets off",
    asks: |change| matches!(change.aspect, Aspect::Effect | Aspect::Comes),
    chain: false,
    supply: false,
    timed: true,
    reads: None,
    limit: None,
}];

/// What sounds, where the policy says for how long at most.
const SOUNDER: &[Test] = &[Test {
    what: "set it off and let it run out",
    asks: |change| match change.aspect {
        Aspect::Fitted | Aspect::Effect => true,
        Aspect::Setting => change.detail.bare() == "runs",
        _ => false,
    },
    chain: true,
    supply: false,
    timed: true,
    reads: None,
    limit: Some("sounder-run"),
}];

/// A supply, where the policy says how much of it stays unused.
const SPARE: &[Test] = &[Test {
    what: "measure its current with all on that can be on together",
    asks: |change| match change.aspect {
        Aspect::MostAmps => moved(change),
        Aspect::Fitted => true,
        _ => false,
    },
    chain: false,
    supply: false,
    timed: false,
    reads: Some(Aspect::MostAmps),
    limit: Some("spare"),
}];

/// A store, where somebody says how long footage has to last: that is a limit of the figure itself.
const RECORDER: &[Test] = &[Test {
    what: "look for the oldest footage once the store is full",
    asks: |change| match change.aspect {
        Aspect::StoreDays => judged(change),
        // How long it lasts may not be known.
        Aspect::Said => change.detail.bare() == "store",
        _ => false,
    },
    chain: false,
    supply: false,
    timed: false,
    reads: Some(Aspect::StoreDays),
    limit: None,
}];

/// Whether it is about a tamper contact that has an input of its own.
fn of_tamper(change: &Change) -> bool {
    change.detail.bare() == "tamper"
}

fn volts(change: &Change) -> bool {
    matches!(change.aspect, Aspect::LowestVolts | Aspect::HighestVolts) && moved(change)
}

fn fed_anew(change: &Change) -> bool {
    of_feed(change) || change.aspect == Aspect::Fitted
}

/// Whether somebody had a hand in the feed of a thing, or in the fuse of it.
fn of_feed(change: &Change) -> bool {
    change.aspect == Aspect::Setting && matches!(change.detail.bare().as_str(), "fed" | "fuse")
}

/// Whether the figure moves, or the mark at which the test is passed.
fn judged(change: &Change) -> bool {
    let mark = |told: &Option<crate::compare::Told>| match told.as_ref().map(|told| &told.value) {
        Some(Value::Number { limit, .. }) => limit.as_ref().map(|limit| limit.value),
        _ => None,
    };
    let (was, is) = (mark(&change.before), mark(&change.after));
    let nearly = match (was, is) {
        (Some(was), Some(is)) => (is - was).abs() <= METER * was.abs().max(is.abs()),
        _ => was == is,
    };
    !nearly || moved(change)
}

/// Whether a meter or a clock would show the difference.
fn moved(change: &Change) -> bool {
    let number = |told: &Option<crate::compare::Told>| match told.as_ref().map(|told| &told.value) {
        Some(Value::Number { value, .. }) => Some(*value),
        _ => None,
    };
    match (number(&change.before), number(&change.after)) {
        (Some(was), Some(is)) if was.is_finite() && is.is_finite() => {
            (is - was).abs() > METER * was.abs().max(is.abs())
        }
        (Some(was), Some(is)) => was.is_finite() != is.is_finite(),
        _ => true,
    }
}

pub(crate) fn tests(
    new: &Side<'_, '_, '_>,
    changes: &[Change],
    renames: &[Rename],
    unknown: &BTreeSet<Thing>,
) -> Tests {
    let model = new.facts.model;
    let policy = model.policy.as_ref().map(|policy| policy.tree);
    let mut out = Tests::default();
    let supplies = supplies(new);
    let timed = timed(model, changes);
    let mut add = |kind, tests: &[Test], things: Vec<(Words, Vec<Thing>)>| {
        for test in tests {
            let what = beside(test, policy).unwrap_or(test.what);
            let mut still: Vec<Words> = Vec::new();
            let mut hardly: Vec<Words> = Vec::new();
            let mut renamed: Vec<Words> = Vec::new();
            for (name, chain) in &things {
                let thing = Thing::new(kind, name.clone());
                let supply = supplies.get(&thing).filter(|_| test.supply);
                let mut because = because(changes, test, &thing, chain, supply);
                if let Some(timed) = timed.get(&thing).filter(|_| test.timed) {
                    because.extend(timed);
                    because.sort_unstable();
                }
                let has = |aspect| {
                    let all = new.sheet.figures.iter();
                    all.into_iter().any(|one| one.aspect == aspect && one.thing == thing)
                };
                // A battery that is not there is not tried.
                let battery =
                    test.reads.filter(|one| matches!(one, Aspect::Lasts | Aspect::Recharge));
                if !because.is_empty() && battery.is_none_or(has) {
                    out.repeat.push(Retest { thing, what, because });
                    continue;
                }
                // Of what cannot be compared nobody can say that it need not be tried again.
                if unknown.contains(&thing) || test.reads.is_some_and(|aspect| !has(aspect)) {
                    continue;
                }
                let moves = changes
                    .iter()
                    .any(|change| change.thing == thing && test.reads == Some(change.aspect));
                let called = renames.iter().any(|one| one.kind == kind && one.new == name.bare());
                let list = match (called, moves) {
                    (true, _) => &mut renamed,
                    (_, true) => &mut hardly,
                    _ => &mut still,
                };
                list.push(thing.name);
            }
            for (things, why) in [
                (still, "nothing that it depends on has changed"),
                (hardly, hardly_moves(test)),
                (renamed, "only its name has changed"),
            ] {
                if !things.is_empty() {
                    out.kept.push(Kept { kind, what, things, why });
                }
            }
        }
    };
    let controller = |id| {
        let name = model.controller(id).map_or("", |one| one.name.text);
        Thing::new(ThingKind::Controller, Words::thing(name))
    };
    let zones = model.zones.iter().map(|zone| {
        let inputs = [zone.input, zone.tamper()];
        let chain = inputs.iter().flatten().filter_map(|input| input.terminal);
        (
            Words::thing(zone.name.text),
            chain.map(|terminal| controller(terminal.controller)).collect(),
        )
    });
    add(ThingKind::Zone, ZONE, zones.collect());
    let together = Together::of(model);
    let outputs = model.outputs_by_id().map(|(id, output)| {
        let mut chain = chain(model, output.through, &controller);
        // What is done to one of them is done to all.
        let others = together.with(id).iter().skip(1).filter_map(|other| model.output(*other));
        chain.extend(
            others.map(|other| Thing::new(ThingKind::Output, Words::thing(other.name.text))),
        );
        (Words::thing(output.name.text), chain)
    });
    let outputs: Vec<(Words, Vec<Thing>)> = outputs.collect();
    let sounders = model.outputs.iter().zip(&outputs).filter(|(output, _)| {
        policy.is_some_and(|policy| policy.sounder_run.is_some())
            && output.loads.iter().flatten().any(|(_, part)| part.sheet.loudness.is_some())
    });
    let sounders = sounders.map(|(_, output)| output.clone()).collect();
    add(ThingKind::Output, OUTPUT, outputs);
    add(ThingKind::Output, SOUNDER, sounders);
    let plain = |names: Vec<&str>| -> Vec<(Words, Vec<Thing>)> {
        names.into_iter().map(|name| (Words::thing(name), Vec::new())).collect()
    };
    add(
        ThingKind::Controller,
        CONTROLLER,
        plain(model.controllers.iter().map(|one| one.name.text).collect()),
    );
    add(ThingKind::Supply, SUPPLY, plain(model.supplies.iter().map(|one| one.name.text).collect()));
    let spare = new.facts.power.iter().filter(|power| {
        policy.is_some_and(|policy| policy.spare.is_some()) && power.rated.is_some()
    });
    let spare = spare.filter_map(|power| Some(model.supply(power.supply)?.name.text));
    add(ThingKind::Supply, SPARE, plain(spare.collect()));
    add(ThingKind::Camera, CAMERA, plain(model.cameras.iter().map(|one| one.name.text).collect()));
    let asked = policy.is_some_and(|policy| policy.retention.is_some());
    let limited = |one: &&crate::figure::Figure| {
        one.aspect == Aspect::StoreDays && (asked || one.value.limit().is_some())
    };
    let recorders = new.sheet.figures.iter().filter(limited);
    let recorders = recorders.map(|one| (one.thing.name.clone(), Vec::new())).collect();
    add(ThingKind::Recorder, RECORDER, recorders);
    add(ThingKind::Cause, CAUSE, other_causes(new));
    out
}

/// What a test is called where the commissioning sheet has a row for it only when the policy sets a limit.
fn beside(test: &Test, policy: Option<&Policy>) -> Option<&'static str> {
    let asked = |asks: fn(&Policy) -> bool| policy.is_some_and(asks);
    match test.reads? {
        Aspect::Lasts => (!asked(|policy| policy.standby.is_some()))
            .then_some("try how long its battery lasts, beside the sheet"),
        Aspect::Recharge => (!asked(|policy| policy.recharge.is_some()))
            .then_some("try how long it takes to recharge, beside the sheet"),
        Aspect::StoreDays => (!asked(|policy| policy.retention.is_some()))
            .then_some("look for the oldest footage once the store is full, beside the sheet"),
        _ => None,
    }
}

/// Why a test is not repeated although its figure moves.
fn hardly_moves(test: &Test) -> &'static str {
    match test.reads {
        Some(Aspect::Lasts | Aspect::Recharge | Aspect::StoreDays) => {
            "the time moves by less than 1 %, and no other is asked for"
        }
        _ => "the reading moves by less than 1 %, which a meter does not show",
    }
}

/// Causes that are no zones: what is lost, and the start and the end of a schedule.
fn other_causes(new: &Side<'_, '_, '_>) -> Vec<(Words, Vec<Thing>)> {
    let mut out: Vec<(Words, Vec<Thing>)> = Vec::new();
    let effects = new.sheet.figures.iter().filter(|one| one.aspect == Aspect::Effect);
    for name in effects.map(|one| &one.thing.name) {
        let bare = name.bare();
        let other = ["loss of ", "start of ", "end of "].iter().any(|of| bare.starts_with(of));
        if other && !out.iter().any(|(known, _)| known == name) {
            out.push((name.clone(), Vec::new()));
        }
    }
    out
}

/// What feeds each thing.
fn supplies(new: &Side<'_, '_, '_>) -> BTreeMap<Thing, Thing> {
    let model = new.facts.model;
    let mut out = BTreeMap::new();
    for power in &new.facts.power {
        let Some(supply) = model.supply(power.supply) else { continue };
        for drawing in &power.drawings {
            let name = Words::thing(drawing.of.name(model).text);
            let thing = Thing::new(crate::sheet::consumer_kind(drawing.of), name);
            out.insert(thing, Thing::new(ThingKind::Supply, Words::thing(supply.name.text)));
        }
    }
    out
}

/// The relays and the controller between an output and what decides about it.
fn chain(
    model: &Model<'_>,
    contact: Option<Contact<'_>>,
    controller: &dyn Fn(curtilage_model::ControllerId) -> Thing,
) -> Vec<Thing> {
    let mut out = Vec::new();
    let mut next = contact;
    for _ in 0..=model.relays.len() {
        let Some(contact) = next.take() else { break };
        // What else hangs on the contact now acts with it.
        out.push(Thing::new(ThingKind::Contact, crate::sheet::contact_words(model, &contact)));
        match contact.of {
            ContactAt::Terminal(terminal) => out.push(controller(terminal.controller)),
            ContactAt::Relay(id) => {
                let Some(relay) = model.relay(id) else { break };
                out.push(Thing::new(ThingKind::Relay, Words::thing(relay.name.text)));
                next = relay.through;
            }
        }
    }
    out
}

/// The changes that ask for a test of a thing.
fn because(
    changes: &[Change],
    test: &Test,
    thing: &Thing,
    chain: &[Thing],
    supply: Option<&Thing>,
) -> Vec<usize> {
    let own = |change: &Change| {
        let about = match change.aspect {
            // An effect is tried at its cause and at what it moves.
            Aspect::Effect => match thing.kind {
                ThingKind::Cause => change.thing == *thing,
                ThingKind::Zone => names_it(&change.thing.name, thing),
                ThingKind::Output => chain
                    .iter()
                    .filter(|other| other.kind == ThingKind::Output)
                    .chain([thing])
                    .any(|moved| names_it(&change.detail, moved)),
                _ => names_it(&change.detail, thing),
            },
            _ => change.thing == *thing,
        };
        about && (test.asks)(change)
    };
    let on_the_way = |change: &Change| {
        test.chain
            && chain.contains(&change.thing)
            && (matches!(change.aspect, Aspect::Fitted | Aspect::Contact)
                || change.aspect == Aspect::Carries && moved(change)
                || change.thing.kind == ThingKind::Relay && of_feed(change))
    };
    let fed = |change: &Change| {
        change.aspect == Aspect::Fitted && supply.is_some_and(|supply| change.thing == *supply)
    };
    let asked = |change: &Change| {
        let of_policy = change.thing.kind == ThingKind::Policy && change.aspect == Aspect::Asked;
        of_policy && test.limit.is_some_and(|limit| change.detail.bare() == limit)
    };
    let asks = |change: &Change| own(change) || on_the_way(change) || fed(change) || asked(change);
    let all = changes.iter().enumerate();
    all.filter(|(_, change)| asks(change)).map(|(index, _)| index).collect()
}

fn names_it(words: &Words, thing: &Thing) -> bool {
    words.names().contains(&thing.name.bare())
}
