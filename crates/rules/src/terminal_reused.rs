//! Two things on one terminal.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::{
    Cause, ControllerId, Effect, Input, Model, Output, Response, ScheduleRef, Terminal,
};
use curtilage_syntax::tree::output::Mode;
use curtilage_text::Place;
use foldhash::fast::RandomState;
use std::collections::hash_map::Entry;
use std::collections::{BTreeSet, HashMap};

pub(crate) static RULE: Rule = Rule {
    name: "terminal-reused",
    family: Family::Contact,
    level: Level::Error,
    about: "two things are wired to one input or channel, or hang on one contact and want different things of it",
    page: include_str!("terminal_reused.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    inputs(facts, out);
    contacts(facts, out);
}

/// Two things on one input or channel.
fn inputs(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let uses = uses(model);
    let room = HashMap::with_capacity_and_hasher(uses.len(), RandomState::default());
    let mut first_on: HashMap<(ControllerId, &str), &Use<'_>, RandomState> = room;
    for one in &uses {
        let Terminal { controller, name, .. } = one.terminal;
        let first = match first_on.entry((controller, name)) {
            Entry::Occupied(first) => *first.get(),
            Entry::Vacant(free) => {
                free.insert(one);
                continue;
            }
        };
        let (what, first_what) = (one.words(), first.words());
        let screw = model.terminal_name(&one.terminal);
        let headline = format!("{what} lands on `{screw}`, where {first_what} is");
        out.push(
            RULE.finds(headline, one.at, "this terminal is taken")
                .with_other(first.at, format!("{first_what} is here"))
                .with_why(
                    "two things on one terminal cannot be told apart, and one can hide the other",
                )
                .with_help("give it a terminal of its own")
                .with_about(one.name)
                .with_about(first.name),
        );
    }
}

/// What lands on a terminal.
struct Use<'a> {
    terminal: Terminal<'a>,
    at: Place,
    what: &'static str,
    name: &'a str,
}

impl Use<'_> {
    fn words(&self) -> String {
        format!("{} `{}`", self.what, self.name)
    }
}

/// Everything that has a terminal to itself.
fn uses<'a>(model: &Model<'a>) -> Vec<Use<'a>> {
    let mut uses = Vec::with_capacity(model.zones.len() + model.cameras.len());
    for zone in &model.zones {
        let name = zone.name.text;
        let mut add = |input: &Input<'a>, what| {
            if let Some(terminal) = input.terminal {
                uses.push(Use { terminal, at: input.at, what, name });
            }
        };
        if let Some(input) = &zone.input {
            add(input, "zone");
        }
        if let Some(input) = zone.tamper() {
            add(&input, "the tamper contact of zone");
        }
    }
    for camera in &model.cameras {
        let name = camera.name.text;
        let at = Place::new(camera.name.at.file, camera.tree.channel.span());
        let what = "camera";
        uses.extend(camera.channel.map(|terminal| Use { terminal, at, what, name }));
    }
    uses
}

/// Two outputs that one contact moves, switched otherwise. Outputs that are always switched alike
/// may share one; those on its two sides are not looked at.
fn contacts(facts: &Facts<'_, '_>, out: &mut Findings) {
    for (first, other) in on_one_contact(facts.model) {
        out.list.extend(wills(facts, first, other));
    }
}

/// The outputs, by their places among them, that hang on the contact of another one and are
/// switched otherwise.
pub(crate) fn moved_by_another(facts: &Facts<'_, '_>) -> BTreeSet<usize> {
    let pairs = on_one_contact(facts.model).into_iter();
    let told = pairs.filter(|(first, other)| wills(facts, *first, *other).is_some());
    told.flat_map(|(first, other)| [first, other]).collect()
}

/// Outputs that one contact moves: the first of each contact with each of the others.
fn on_one_contact(model: &Model<'_>) -> Vec<(usize, usize)> {
    let outputs = model.outputs.iter().enumerate();
    let moved_by = outputs.filter_map(|(index, output)| {
        let (root, turned) = model.root_of(output.through?)?;
        Some(((root.controller, root.name, turned), index))
    });
    let mut moved: Vec<_> = moved_by.collect();
    moved.sort_unstable();
    let mut pairs = Vec::new();
    for same in moved.chunk_by(|a, b| a.0 == b.0) {
        if let Some(((_, first), others)) = same.split_first() {
            pairs.extend(others.iter().map(|(_, other)| (*first, *other)));
        }
    }
    pairs
}

/// What two outputs on one contact are told otherwise, by their places among the outputs.
fn wills(facts: &Facts<'_, '_>, first: usize, other: usize) -> Option<Diagnostic> {
    let (of_first, of_other) = (orders(facts.model, first), orders(facts.model, other));
    let (first, other) = (facts.model.outputs.get(first)?, facts.model.outputs.get(other)?);
    let (a, b) = (first.name.text, other.name.text);
    // A line that could not be read may say what seems to be missing.
    if facts.doubt.mentions(a) || facts.doubt.mentions(b) {
        return None;
    }
    let mode = |output: &Output<'_>| output.tree.mode.map_or(Mode::Automatic, |mode| mode.value);
    let only = |these: &[Order], those: &[Order]| {
        let known = |one: &Order| {
            those.iter().any(|other| one.wants == other.wants && one.when.is(&other.when))
        };
        these.iter().find(|one| !known(one)).map(|one| one.at)
    };
    let apart = [(a, only(&of_first, &of_other)), (b, only(&of_other, &of_first))];
    if mode(first) == mode(other) && apart.iter().all(|(_, at)| at.is_none()) {
        return None;
    }
    let (through, shared) = (other.through.as_ref()?, first.through.as_ref()?);
    let headline = format!("`{a}` and `{b}` hang on one contact, and are not switched alike");
    let mut finding = RULE
        .finds(headline, through.at, format!("what moves `{b}` moves `{a}` too"))
        .with_other(shared.at, format!("`{a}` hangs on it"))
        .with_why(
            "a contact does one thing: each of the two also does what is said of the other, for as \
             long as the longer one, and no figure here counts that",
        )
        .with_help("give each a contact of its own, or make them one output that drives both")
        .with_about(b)
        .with_about(a);
    for (name, at) in apart {
        if let Some(at) = at {
            finding = finding.with_other(at, format!("said of `{name}` alone"));
        }
    }
    for output in [first, other].into_iter().filter(|_| mode(first) != mode(other)) {
        if let Some(mode) = output.tree.mode {
            let at = Place::new(output.name.at.file, mode.span);
            finding = finding.with_other(at, format!("the mode of `{}` alone", output.name.text));
        }
    }
    Some(finding)
}

/// What is wanted of an output, and when.
struct Order {
    when: When,
    wants: Wants,
    at: Place,
}

/// On or off, for how long, and how it pulses, ms.
type Wants = (bool, Option<u64>, Option<(u64, u64)>);

/// When a response answers: to any one cause, or to all of them within a time.
struct When {
    causes: Vec<Cause>,
    all_within: Option<u64>,
    during: Option<ScheduleRef>,
    after: u64,
}

impl When {
    /// Whether the two come at the same moments; the order of causes does not matter.
    fn is(&self, other: &Self) -> bool {
        let holds = |these: &[Cause], those: &[Cause]| these.iter().all(|one| those.contains(one));
        (self.all_within, self.during, self.after) == (other.all_within, other.during, other.after)
            && holds(&self.causes, &other.causes)
            && holds(&other.causes, &self.causes)
    }
}

/// The moments of a response, one by one where any cause will do.
fn moments(response: &Response<'_>) -> Vec<When> {
    let when = |causes| When {
        causes,
        all_within: response.all_within,
        during: response.during.map(|(schedule, _)| schedule),
        after: response.tree.after.map_or(0, |after| after.value),
    };
    let causes = response.causes.iter().map(|(cause, _)| *cause);
    if response.all_within.is_some() {
        vec![when(causes.collect())]
    } else {
        causes.map(|cause| when(vec![cause])).collect()
    }
}

fn orders(model: &Model<'_>, index: usize) -> Vec<Order> {
    let wants = |effect: &Effect| match effect {
        Effect::Switch { output, on, hold } => Some((*output, (*on, *hold, None))),
        Effect::Pulse { output, on, off, hold } => {
            Some((*output, (true, Some(*hold), Some((*on, *off)))))
        }
        _ => None,
    };
    let mut orders = Vec::new();
    for response in &model.responses {
        for (effect, at) in &response.effects {
            if let Some((output, wants)) = wants(effect)
                && output.index() == index
            {
                let moments = moments(response).into_iter();
                orders.extend(moments.map(|when| Order { when, wants, at: *at }));
            }
        }
    }
    orders
}
