//! A scenario of the timing oracle as a system and a story, and its events in the oracle's words.

use curtilage_events::player::{
    AlarmCause, Ended, Input, Limits, Refusal, Story, TimedInput, What, play,
};
use curtilage_events::system::{
    Again, Area, AreaMember, Builder, Contact, Effect, Feedback, LockoutEnd, MemberKind, Mode,
    OnTime, Output, Registration, Response, Span, System, Windows, Zone,
};
use serde::Deserialize;
use serde_json::Value;
use std::collections::BTreeMap;

/// `[time, kind, id, value]`.
pub(crate) type Line = (i64, String, String, Value);

#[derive(Deserialize)]
pub(crate) struct Case {
    pub(crate) id: String,
    pub(crate) scenario: Scenario,
    pub(crate) events: Vec<Line>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Scenario {
    until: i64,
    inputs: Vec<InputSpec>,
    rules: Vec<Rule>,
    outputs: Vec<OutputSpec>,
    #[serde(default)]
    feedback: Vec<FeedbackSpec>,
    partition: Option<Partition>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct InputSpec {
    id: String,
    #[serde(default)]
    init: u8,
    #[serde(default)]
    don: i64,
    #[serde(default)]
    doff: i64,
    events: Vec<(i64, u8)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Rule {
    id: String,
    input: String,
    lockout: i64,
    hold: i64,
    trigger: Option<String>,
    rearm: Option<String>,
    compose: Option<String>,
    extend: Option<bool>,
    end: Option<String>,
    #[serde(default)]
    gap: i64,
    #[serde(default)]
    lock_restart: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OutputSpec {
    id: String,
    rules: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FeedbackSpec {
    output: String,
    input: String,
    delay: i64,
    invert: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Partition {
    exit: i64,
    entry: i64,
    zones: BTreeMap<String, String>,
    commands: Vec<(i64, String)>,
}

/// Refuses a word that the adapter does not know.
fn pick<T: Copy>(word: Option<&str>, otherwise: &str, choices: &[(&str, T)]) -> T {
    let word = word.unwrap_or(otherwise);
    choices.iter().find(|choice| choice.0 == word).unwrap_or_else(|| panic!("{word}")).1
}

impl Rule {
    fn zone(&self, contact: curtilage_events::system::ContactId) -> Zone {
        let again = pick(
            self.rearm.as_deref(),
            "output",
            &[("output", Again::AfterOnTime { gap: self.gap }), ("lockout", Again::AfterLockout)],
        );
        Zone {
            contact,
            armed: Windows::Always,
            lockout: self.lockout,
            lockout_end: pick(
                self.end.as_deref(),
                "accept",
                &[("accept", LockoutEnd::Accepts), ("reject", LockoutEnd::Rejects)],
            ),
            lockout_restarts: self.lock_restart,
            registration: pick(
                self.trigger.as_deref(),
                "edge",
                &[("edge", Registration::Edge), ("level", Registration::Level(again))],
            ),
            limit: None,
            confirmed: None,
            exit: 0,
            entry: 0,
        }
    }

    fn on_time(&self) -> OnTime {
        let span = pick(
            self.compose.as_deref(),
            "sum",
            &[("sum", Span::LockoutThenHold), ("hold", Span::Hold), ("max", Span::LongerOfBoth)],
        );
        OnTime { span, retriggered: self.extend.unwrap_or(true) }
    }
}

impl Scenario {
    fn input(&self, id: &str) -> usize {
        self.inputs.iter().position(|input| input.id == id).unwrap()
    }

    fn build(&self) -> (System, Story) {
        let mut builder = Builder::new();
        let mut inputs = Vec::new();
        let mut contacts = Vec::new();
        for spec in &self.inputs {
            let id = builder.contact(Contact {
                settle_on: spec.don,
                settle_off: spec.doff,
                starts_active: spec.init == 1,
                shortest: 0,
                longest: None,
            });
            contacts.push(id);
            let input =
                |&(at, value): &(i64, u8)| TimedInput { at, input: Input::Contact(id, value == 1) };
            inputs.extend(spec.events.iter().map(input));
        }
        let outputs: Vec<_> = self
            .outputs
            .iter()
            .map(|_| builder.output(Output { on_time: OnTime::HOLD, mode: Mode::Automatic }))
            .collect();
        for rule in &self.rules {
            let zone = builder.zone(rule.zone(contacts[self.input(&rule.input)]));
            let mut effects: Vec<Effect> = Vec::new();
            for (spec, &output) in self.outputs.iter().zip(&outputs) {
                if spec.rules.contains(&rule.id) {
                    let on_time = Some(rule.on_time());
                    effects.push(Effect::On { output, hold: rule.hold, on_time });
                }
            }
            if effects.is_empty() {
                // A rule without an output still has its on-time: it drives one that nobody sees.
                let output = builder.output(Output::automatic(rule.on_time()));
                effects.push(Effect::On { output, hold: rule.hold, on_time: None });
            }
            builder.response(Response::to(zone, effects));
        }
        for spec in &self.feedback {
            let output = self.outputs.iter().position(|output| output.id == spec.output).unwrap();
            builder.feedback(Feedback {
                output: outputs[output],
                contact: contacts[self.input(&spec.input)],
                delay: spec.delay,
                inverted: spec.invert,
            });
        }
        if let Some(partition) = &self.partition {
            let member = |(id, kind): (&String, &String)| AreaMember {
                contact: contacts[self.input(id)],
                kind: pick(
                    Some(kind),
                    "",
                    &[("instant", MemberKind::Instant), ("delayed", MemberKind::Delayed)],
                ),
            };
            let area = builder.area(Area {
                exit: partition.exit,
                entry: partition.entry,
                members: partition.zones.iter().map(member).collect(),
            });
            inputs.extend(partition.commands.iter().map(|(at, command)| TimedInput {
                at: *at,
                input: pick(
                    Some(command),
                    "",
                    &[("arm", Input::Arm(area)), ("disarm", Input::Disarm(area))],
                ),
            }));
        }
        (builder.build().unwrap(), Story { from: 0, inputs })
    }

    /// The events as the oracle writes them.
    pub(crate) fn play(&self) -> Vec<Line> {
        let (system, story) = self.build();
        let trace = play(&system, &story, Limits::until(self.until));
        assert_eq!(trace.ended, Ended::Played);
        let lines = trace.events.iter().filter_map(|event| {
            let (kind, id, value) = self.words(event.what)?;
            Some((event.at, kind.to_owned(), id, value))
        });
        lines.collect()
    }

    fn words(&self, what: What) -> Option<(&'static str, String, Value)> {
        let area = |kind, word: &str| Some((kind, "p".to_owned(), Value::from(word)));
        let input = |index: usize| self.inputs[index].id.clone();
        match what {
            What::Settled { contact, active } => {
                Some(("in", input(contact.index()), Value::from(u8::from(active))))
            }
            What::Registered { zone } => {
                Some(("reg", self.rules[zone.index()].id.clone(), Value::from(1)))
            }
            What::Refused { zone, why } => {
                assert_eq!(why, Refusal::Lockout);
                Some(("rej", self.rules[zone.index()].id.clone(), Value::from(1)))
            }
            What::Output { output, on } => {
                let id = self.outputs.get(output.index())?.id.clone();
                Some(("out", id, Value::from(u8::from(on))))
            }
            What::AreaOff { .. } => area("armed", "off"),
            What::AreaExit { .. } => area("armed", "exit"),
            What::AreaOn { .. } => area("armed", "on"),
            What::AreaEntry { contact, .. } => area("entry", &input(contact.index())),
            What::AreaAlarm { cause: AlarmCause::EntryOver, .. } => area("alarm", "entry-expired"),
            What::AreaAlarm { cause: AlarmCause::Contact(contact), .. } => {
                area("alarm", &input(contact.index()))
            }
            What::Level { .. } | What::OnEquality { .. } => None,
            other => panic!("the oracle has no {other:?}"),
        }
    }
}
