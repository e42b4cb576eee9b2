//! `part ... is controller`: what reads inputs and drives outputs.

use super::sensor::{RESTS, Rest};
use super::{DRAW, Draw};
use crate::form::{BlockForm, many, once};
use crate::phrase::{Phrase, word_for};
use crate::tree::wiring::{Rating, Side};
use crate::tree::{Name, Spanned};
use curtilage_text::Span;
use curtilage_units::Dimension;

/// Terminals that are declared together: `in1 to in4 common gnd`.
#[derive(Clone, Debug)]
pub struct Terminals {
    /// Names one by one, or the first and last of a numbered range.
    pub names: Vec<(Name, Option<Name>)>,
    /// The common of these inputs.
    pub common: Option<Name>,
    /// Which contact a relay terminal has.
    pub contacts: Option<Contacts>,
    /// The most that an outlet gives, A.
    pub most: Option<Spanned<f64>>,
    /// Where they stand.
    pub span: Span,
}

/// The contacts of a relay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Contacts {
    /// A make contact (form A).
    Make,
    /// A break contact (form B).
    Break,
    /// A changeover contact (form C).
    Changeover,
}

impl Contacts {
    /// Whether there is such a side.
    #[must_use]
    pub fn has(self, side: Side) -> bool {
        match self {
            Self::Make => side == Side::Closing,
            Self::Break => side == Side::Opening,
            Self::Changeover => true,
        }
    }
}

pub(crate) const CONTACTS: &[(&str, Contacts)] =
    &[("make", Contacts::Make), ("break", Contacts::Break), ("changeover", Contacts::Changeover)];

/// The limits of a band, in ohms or in volts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Whether the limits are voltages at the input.
    pub volts: bool,
    /// The lower limit; none for `below`.
    pub low: Option<f64>,
    /// The upper limit; none for `above`.
    pub high: Option<f64>,
}

/// A band of an input: what the controller takes a reading for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Its name.
    pub name: BandName,
    /// Its limits.
    pub limits: Limits,
    /// Where it stands.
    pub span: Span,
}

/// What a reading is taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BandName {
    /// The contact is closed.
    Closed,
    /// The contact is open.
    Open,
    /// The zone is at rest.
    Resting,
    /// The zone is active.
    Active,
    /// The tamper contact has moved.
    Tamper,
    /// The wires touch.
    Shorted,
    /// A wire is cut.
    Cut,
}

pub(crate) const BANDS: &[(&str, BandName)] = &[
    ("closed", BandName::Closed),
    ("open", BandName::Open),
    ("resting", BandName::Resting),
    ("active", BandName::Active),
    ("tamper", BandName::Tamper),
    ("shorted", BandName::Shorted),
    ("cut", BandName::Cut),
];

impl BandName {
    /// The word that is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        word_for(BANDS, self)
    }
}

/// How the inputs read.
#[derive(Clone, Debug, Default)]
pub struct InputSpec {
    /// Voltage of the pull-up, V.
    pub pull_up: Option<Spanned<f64>>,
    /// Tolerance of that voltage, a ratio.
    pub pull_up_tolerance: Option<Spanned<f64>>,
    /// Resistance of the pull-up, ohm.
    pub resistance: Option<Spanned<f64>>,
    /// Tolerance of that resistance, a ratio.
    pub resistance_tolerance: Option<Spanned<f64>>,
    /// The bands.
    pub bands: Vec<Band>,
    /// Where the line stands.
    pub span: Span,
}

impl InputSpec {
    /// Two bands that share more than a limit: a reading in both is taken for either. The one that
    /// begins lower comes first.
    #[must_use]
    pub fn overlap(&self) -> Option<(Band, Band)> {
        let low = |band: &Band| band.limits.low.unwrap_or(f64::NEG_INFINITY);
        let high = |band: &Band| band.limits.high.unwrap_or(f64::INFINITY);
        let mut bands = self.bands.clone();
        bands.sort_by(|a, b| low(a).total_cmp(&low(b)).then(high(a).total_cmp(&high(b))));
        let mut furthest = *bands.first()?;
        for band in bands.into_iter().skip(1) {
            // Limits in ohms and in volts cannot be held against each other.
            let same_unit = band.limits.volts == furthest.limits.volts;
            if same_unit && low(&band) < high(&furthest) {
                return Some((furthest, band));
            }
            if high(&band) > high(&furthest) {
                furthest = band;
            }
        }
        None
    }
}

/// How long an output stays on after a registration.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnTime {
    /// The lockout and then the hold time: 2 s and 3 s give 5 s.
    LockoutThenHold,
    /// The hold time from the registration.
    HoldFromRegistration,
    /// The longer of lockout and hold time.
    LongerOfBoth,
    /// The hold time from the latest registration.
    HoldRetriggered,
}

/// What a controller does while a zone stays active.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Repeats {
    /// It registers again each time the on-time has run out.
    WhileActive,
    /// One activation registers once.
    OnceAnActivation,
    /// Each zone says which.
    AsTheZoneSays,
}

/// A controller part.
#[derive(Clone, Debug, Default)]
pub struct Controller {
    /// Inputs, with their commons.
    pub inputs: Vec<Terminals>,
    /// Common terminals that belong to no input alone.
    pub commons: Vec<Terminals>,
    /// How inputs read.
    pub input: Option<InputSpec>,
    /// The state that inputs take for rest until a zone says otherwise.
    pub input_rests: Option<Spanned<Rest>>,
    /// What an activation has to outlast to be seen, ms.
    pub settles: Option<Spanned<u64>>,
    /// What it does while a zone stays active.
    pub repeats: Option<Spanned<Repeats>>,
    /// Relay terminals.
    pub relays: Vec<Terminals>,
    /// What the relays carry.
    pub relay: Vec<Rating>,
    /// Terminals that feed others.
    pub outlets: Vec<Terminals>,
    /// How long outputs stay on.
    pub on_time: Option<Spanned<OnTime>>,
    /// Camera channels.
    pub channels: Vec<Terminals>,
    /// What it draws.
    pub draws: Option<Draw>,
}

impl Phrase<'_, '_> {
    /// `in1 to in4, in7`
    fn terminals(&mut self, what: &str) -> Option<Terminals> {
        let start = self.rest();
        let names: Vec<_> = self.list(|p| {
            let first = p.name(what)?;
            let last = if p.eat("to") { Some(p.name(what)?) } else { None };
            Some((first, last))
        })?;
        let span = Span::new(
            start.start,
            names.last().map_or(start.end, |(a, b)| b.unwrap_or(*a).span.end),
        );
        Some(Terminals { names, common: None, contacts: None, most: None, span })
    }

    fn input_spec(&mut self) -> Option<InputSpec> {
        let mut spec = InputSpec { span: self.line(), ..InputSpec::default() };
        loop {
            if self.eat("pull-up") {
                let (voltage, tolerance) = self.quantity_and_tolerance(Dimension::Voltage)?;
                spec.pull_up = Some(voltage);
                spec.pull_up_tolerance = tolerance;
                let (ohms, tolerance) = self.quantity_and_tolerance(Dimension::Resistance)?;
                spec.resistance = Some(ohms);
                spec.resistance_tolerance = tolerance;
            } else {
                let name = self.one_of(BANDS)?;
                let (limits, span) = self.limits()?;
                spec.bands.push(Band { name: name.value, limits, span: name.span.to(span) });
            }
            if !self.comma() {
                return Some(spec);
            }
        }
    }

    fn limits(&mut self) -> Option<(Limits, Span)> {
        let side = self.perhaps_one_of(&[("below", true), ("above", false)]);
        let volts = self.is_quantity(Dimension::Voltage);
        let dimension = if volts { Dimension::Voltage } else { Dimension::Resistance };
        let (low, high, span) = match side {
            Some(side) => {
                let limit = self.positive(dimension)?;
                let value = Some(limit.value);
                let (low, high) = if side.value { (None, value) } else { (value, None) };
                (low, high, limit.span)
            }
            None => {
                let range = self.interval(dimension)?;
                (Some(range.value.low), Some(range.value.high), range.span)
            }
        };
        Some((Limits { volts, low, high }, span))
    }
}

pub(crate) static FORM: BlockForm<Controller> = BlockForm {
    thing: "a controller part",
    forms: &[
        many(
            "inputs",
            "NAMES [common NAME]",
            "its input terminals and the common that they return to",
            |part, p| {
                let mut terminals = p.terminals("the name of an input")?;
                if p.eat("common") {
                    terminals.common = Some(p.name("the name of the common terminal")?);
                }
                part.inputs.push(terminals);
                Some(())
            },
        ),
        many("commons", "NAMES", "terminals that any contact may return to", |part, p| {
            let terminals = p.terminals("the name of a common")?;
            part.commons.push(terminals);
            Some(())
        }),
        many(
            "input",
            "PULL-UP|BAND, ... | rests open|closed",
            "how an input reads, or the state that it takes for rest",
            |part, p| {
                if p.eat("rests") {
                    part.input_rests = Some(p.one_of(RESTS)?);
                    return Some(());
                }
                let spec = p.input_spec()?;
                if let Some(first) = &part.input {
                    let first = first.span;
                    let span = p.line();
                    p.fault(crate::FaultKind::SaidTwice { word: "input", first }, span);
                    return None;
                }
                part.input = Some(spec);
                Some(())
            },
        ),
        once("settles", "in TIME", "what an activation has to outlast to be seen", |part, p| {
            p.need("in")?;
            part.settles = Some(p.time()?);
            Some(())
        }),
        once(
            "repeats",
            "while active | once an activation | as the zone says",
            "what it does while a zone stays active",
            |part, p| {
                let span = p.line();
                let value = if p.eat_two("while", "active") {
                    Repeats::WhileActive
                } else if p.eat_two("once", "an") {
                    p.need("activation")?;
                    Repeats::OnceAnActivation
                } else if p.eat_two("as", "the") {
                    p.need("zone")?;
                    p.need("says")?;
                    Repeats::AsTheZoneSays
                } else {
                    return p
                        .expected("`while active`, `once an activation` or `as the zone says`");
                };
                part.repeats = Some(Spanned { value, span });
                Some(())
            },
        ),
        many(
            "relays",
            "NAMES make|break|changeover",
            "its relay terminals and their contacts",
            |part, p| {
                let mut terminals = p.terminals("the name of a relay")?;
                terminals.contacts = Some(p.one_of(CONTACTS)?.value);
                part.relays.push(terminals);
                Some(())
            },
        ),
        once(
            "relay",
            "CURRENT at VOLTAGE dc|ac [LOAD-KIND], ...",
            "what each of its relays carries",
            |part, p| {
                part.relay = p.list(|p| p.rating())?;
                Some(())
            },
        ),
        many(
            "outlets",
            "NAMES [at most CURRENT]",
            "terminals from which it feeds others",
            |part, p| {
                let mut terminals = p.terminals("the name of an outlet")?;
                if !p.done() {
                    terminals.most = Some(p.at_most(Dimension::Current)?);
                }
                part.outlets.push(terminals);
                Some(())
            },
        ),
        once(
            "on-time",
            "lockout then hold | hold from registration | longer of lockout and hold | hold retriggered",
            "how long an output stays on",
            |part, p| {
                let span = p.line();
                let value = if p.eat_two("lockout", "then") {
                    p.need("hold")?;
                    OnTime::LockoutThenHold
                } else if p.eat_two("hold", "from") {
                    p.need("registration")?;
                    OnTime::HoldFromRegistration
                } else if p.eat_two("hold", "retriggered") {
                    OnTime::HoldRetriggered
                } else if p.eat_two("longer", "of") {
                    p.need("lockout")?;
                    p.need("and")?;
                    p.need("hold")?;
                    OnTime::LongerOfBoth
                } else {
                    return p.expected("`lockout then hold`, `hold from registration`, `longer of lockout and hold` or `hold retriggered`");
                };
                part.on_time = Some(Spanned { value, span });
                Some(())
            },
        ),
        many("channels", "NAMES", "its camera channels", |part, p| {
            let terminals = p.terminals("the name of a channel")?;
            part.channels.push(terminals);
            Some(())
        }),
        once("draws", DRAW, "what it draws", |part, p| {
            part.draws = Some(p.draw()?);
            Some(())
        }),
    ],
    other: None,
};
