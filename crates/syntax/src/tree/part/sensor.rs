//! `part ... is sensor`: a contact that something outside moves.

use super::{DRAW, Draw};
use crate::form::{BlockForm, once};
use crate::phrase::word_for;
use crate::tree::wiring::Rating;
use crate::tree::{Interval, Spanned};
use curtilage_units::Dimension;

/// A contact's state at rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rest {
    /// Open at rest: normally open, a make contact.
    Open,
    /// Closed at rest: normally closed, a break contact.
    Closed,
}

impl Rest {
    /// The other state.
    #[must_use]
    pub fn opposite(self) -> Self {
        match self {
            Self::Open => Self::Closed,
            Self::Closed => Self::Open,
        }
    }

    /// `open` or `closed`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Closed => "closed",
        }
    }

    /// The trade's letters and the standards' words: "normally open, NO, a make contact".
    #[must_use]
    pub fn jargon(self) -> &'static str {
        match self {
            Self::Open => "normally open, NO, a make contact",
            Self::Closed => "normally closed, NC, a break contact",
        }
    }
}

pub(crate) const RESTS: &[(&str, Rest)] = &[("open", Rest::Open), ("closed", Rest::Closed)];

/// How long a sensor stays active.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ActiveFor {
    /// Between two times, ms.
    Time(Interval),
    /// As long as somebody or something holds it.
    WhileHeld,
    /// Until somebody puts it back.
    UntilRestored,
}

/// What can make a sensor active without an intruder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Disturbance {
    /// Light.
    Light,
    /// Sound.
    Sound,
    /// Movement.
    Motion,
    /// Heat.
    Heat,
}

pub(crate) const DISTURBANCES: &[(&str, Disturbance)] = &[
    ("light", Disturbance::Light),
    ("sound", Disturbance::Sound),
    ("motion", Disturbance::Motion),
    ("heat", Disturbance::Heat),
];

impl Disturbance {
    /// The word that is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        word_for(DISTURBANCES, self)
    }
}

/// A sensor part.
#[derive(Clone, Debug, Default)]
pub struct Sensor {
    /// The state of its contact at rest.
    pub rests: Option<Spanned<Rest>>,
    /// How long it stays active.
    pub active: Option<Spanned<ActiveFor>>,
    /// The shortest time for which somebody holds it, ms.
    pub held: Option<Spanned<f64>>,
    /// What its contact carries.
    pub contact: Option<Rating>,
    /// Resistance of the closed contact, ohm.
    pub closed_resistance: Option<Spanned<f64>>,
    /// State at rest of its tamper contact, if it has one.
    pub tamper: Option<Spanned<Rest>>,
    /// What it draws.
    pub draws: Option<Draw>,
    /// What disturbs it.
    pub disturbed: Vec<Spanned<Disturbance>>,
}

pub(crate) static FORM: BlockForm<Sensor> = BlockForm {
    thing: "a sensor part",
    forms: &[
        once("rests", "open | closed", "the state of its contact at rest", |part, p| {
            part.rests = Some(p.one_of(RESTS)?);
            Some(())
        }),
        once(
            "active",
            "until restored | while held [, at least TIME] | for TIME [to TIME]",
            "how long its contact stays away from rest",
            |part, p| {
                let span = p.line();
                let value = if p.eat_two("until", "restored") {
                    ActiveFor::UntilRestored
                } else if p.eat_two("while", "held") {
                    if p.comma() {
                        let held = p.at_least(Dimension::Time)?;
                        p.whole(held.span, &[held.value])?;
                        part.held = Some(held);
                    }
                    ActiveFor::WhileHeld
                } else if p.eat("for") {
                    let time = p.interval(Dimension::Time)?;
                    if time.value.low < 0.0 {
                        let why = "a time below zero cannot be";
                        return p.bad(
                            time.span,
                            why,
                            "write a time, such as `for 2 s` or `for 2 s to 3 s`",
                        );
                    }
                    p.whole(time.span, &[time.value.low, time.value.high])?;
                    ActiveFor::Time(time.value)
                } else {
                    return p.expected("`until restored`, `while held` or `for 2 s`");
                };
                part.active = Some(Spanned { value, span });
                Some(())
            },
        ),
        once(
            "contact",
            "CURRENT at VOLTAGE dc|ac [LOAD-KIND] [, RESISTANCE]",
            "what its contact carries, and its resistance when closed",
            |part, p| {
                part.contact = Some(p.rating()?);
                if p.comma() {
                    part.closed_resistance = Some(p.positive(Dimension::Resistance)?);
                }
                Some(())
            },
        ),
        once(
            "tamper",
            "rests open | rests closed",
            "its tamper contact's state at rest",
            |part, p| {
                p.need("rests")?;
                part.tamper = Some(p.one_of(RESTS)?);
                Some(())
            },
        ),
        once("draws", DRAW, "what it draws", |part, p| {
            part.draws = Some(p.draw()?);
            Some(())
        }),
        once(
            "disturbed",
            "by light|sound|motion|heat, ...",
            "what makes it active without an intruder",
            |part, p| {
                p.need("by")?;
                part.disturbed = p.list(|p| p.one_of(DISTURBANCES))?;
                Some(())
            },
        ),
    ],
    other: None,
};
