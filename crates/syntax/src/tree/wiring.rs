//! Cable runs, feeds, contact ratings, contact references and end-of-line networks.

use super::value::CURRENT_KINDS;
use super::{CurrentKind, Name, Path, Spanned};
use crate::phrase::{Phrase, word_for};
use curtilage_text::Span;
use curtilage_units::Dimension;
use smallvec::SmallVec;

/// `over 18 m of six-core-0.22, 2 cores each way, 2 joints of 10 mohm`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Length one way, m.
    pub length: Spanned<f64>,
    /// The cable part.
    pub cable: Name,
    /// How many cores lie in parallel each way.
    pub cores: Option<Spanned<u32>>,
    /// How many joints, each way together.
    pub joints: Option<Spanned<u32>>,
    /// Resistance of one joint, ohm.
    pub joint: Option<Spanned<f64>>,
}

/// `from main over 25 m of pair-0.75`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feed {
    /// A supply, a tap of a cable, or an outlet of a controller.
    pub from: Path,
    /// The cable; none when it is fed on the spot.
    pub run: Option<Run>,
}

/// Which side of a contact is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The make side: it closes when the relay pulls in.
    Closing,
    /// The break side.
    Opening,
}

impl Side {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        word_for(SIDES, self)
    }
}

/// `head.relay1 closing`, or a relay's name and a side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// The terminal of a controller, or a relay of its own.
    pub path: Path,
    /// The side; `closing` when it is not said.
    pub side: Option<Spanned<Side>>,
}

/// What a rating is given for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadKind {
    /// Resistive.
    Resistive,
    /// Inductive.
    Inductive,
    /// Filament lamps.
    Lamp,
    /// A utilization category of IEC 60947-5-1.
    Category(Category),
}

/// A utilization category of IEC 60947-5-1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Category {
    /// Resistive, ac.
    Ac12,
    /// Solid-state behind a transformer, ac.
    Ac13,
    /// Small electromagnets, ac.
    Ac14,
    /// Electromagnets, ac.
    Ac15,
    /// Resistive, dc.
    Dc12,
    /// Electromagnets, dc.
    Dc13,
    /// Electromagnets with economy resistors, dc.
    Dc14,
}

/// `1 A at 30 V dc resistive`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rating {
    /// A.
    pub current: Spanned<f64>,
    /// V, the highest voltage at which the current is allowed.
    pub voltage: Spanned<f64>,
    /// dc or ac.
    pub kind: CurrentKind,
    /// The load that it is given for.
    pub load: LoadKind,
    /// Where the rating stands.
    pub span: Span,
}

impl Rating {
    /// Whether its category is one of the other kind of current.
    #[must_use]
    pub fn contradicts(&self) -> bool {
        let LoadKind::Category(category) = self.load else { return false };
        let of = match category {
            Category::Ac12 | Category::Ac13 | Category::Ac14 | Category::Ac15 => CurrentKind::Ac,
            Category::Dc12 | Category::Dc13 | Category::Dc14 => CurrentKind::Dc,
        };
        of != self.kind
    }
}

/// An end-of-line network, from the contact outward.
#[derive(Clone, Debug, PartialEq)]
pub struct Ends {
    /// What is added, in order.
    pub steps: SmallVec<[EndStep; 2]>,
    /// Where the network stands.
    pub span: Span,
}

/// One part of an end-of-line network and how it joins what stands so far.
#[derive(Clone, Debug, PartialEq)]
pub struct EndStep {
    /// In series (`in`) or in parallel (`across`).
    pub series: bool,
    /// What is added.
    pub part: EndPart,
}

/// A part of an end-of-line network.
#[derive(Clone, Debug, PartialEq)]
pub enum EndPart {
    /// A resistor, ohm, with its tolerance as a ratio.
    Resistor(Spanned<f64>, Option<Spanned<f64>>),
    /// The sensor's tamper contact.
    Tamper(Span),
    /// A part with others joined to it.
    Group(Box<EndPart>, Vec<EndStep>),
}

impl Ends {
    /// Whether there is a resistor in it.
    #[must_use]
    pub fn has_resistor(&self) -> bool {
        self.steps.iter().any(|step| step.part.has_resistor())
    }

    /// Where the sensor's tamper contact stands in it.
    #[must_use]
    pub fn tamper(&self) -> Option<Span> {
        self.steps.iter().find_map(|step| step.part.tamper())
    }
}

impl EndPart {
    fn has_resistor(&self) -> bool {
        match self {
            Self::Resistor(..) => true,
            Self::Tamper(_) => false,
            Self::Group(first, steps) => {
                first.has_resistor() || steps.iter().any(|step| step.part.has_resistor())
            }
        }
    }

    fn tamper(&self) -> Option<Span> {
        match self {
            Self::Resistor(..) => None,
            Self::Tamper(at) => Some(*at),
            Self::Group(first, steps) => {
                first.tamper().or_else(|| steps.iter().find_map(|step| step.part.tamper()))
            }
        }
    }
}

const SIDES: &[(&str, Side)] = &[("closing", Side::Closing), ("opening", Side::Opening)];

/// The load kinds, with the categories of IEC 60947-5-1.
const LOAD_KINDS: &[(&str, LoadKind)] = &[
    ("resistive", LoadKind::Resistive),
    ("inductive", LoadKind::Inductive),
    ("lamp", LoadKind::Lamp),
    ("AC-12", LoadKind::Category(Category::Ac12)),
    ("AC-13", LoadKind::Category(Category::Ac13)),
    ("AC-14", LoadKind::Category(Category::Ac14)),
    ("AC-15", LoadKind::Category(Category::Ac15)),
    ("DC-12", LoadKind::Category(Category::Dc12)),
    ("DC-13", LoadKind::Category(Category::Dc13)),
    ("DC-14", LoadKind::Category(Category::Dc14)),
];

impl LoadKind {
    /// The word that is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        word_for(LOAD_KINDS, self)
    }
}

impl<'a> Phrase<'a, '_> {
    /// `over LENGTH of CABLE [, N cores each way] [, N joints [of OHM]]`
    pub(crate) fn run(&mut self) -> Option<Run> {
        self.need("over")?;
        let length = self.positive(Dimension::Length)?;
        self.need("of")?;
        let cable = self.name("the name of a cable part")?;
        let mut run = Run { length, cable, cores: None, joints: None, joint: None };
        while self.comma() {
            let count = self.count(1, "a number of cores or joints")?;
            if self.eat("cores") {
                self.need("each")?;
                self.need("way")?;
                run.cores = Some(count);
            } else if self.eat("joints") || self.eat("joint") {
                run.joints = Some(count);
                if self.eat("of") {
                    run.joint = Some(self.positive(Dimension::Resistance)?);
                }
            } else {
                return self.expected("`cores each way` or `joints`");
            }
        }
        Some(run)
    }

    /// `from PLACE [over ...]`
    pub(crate) fn feed(&mut self) -> Option<Feed> {
        self.need("from")?;
        let from = self.path("a supply, a tap or an outlet")?;
        let run = if self.word() == Some("over") { Some(self.run()?) } else { None };
        Some(Feed { from, run })
    }

    /// `TERMINAL|RELAY [closing|opening]`
    pub(crate) fn contact(&mut self) -> Option<Contact> {
        let path = self.path("a relay terminal, such as `head.relay1`, or a relay")?;
        Some(Contact { path, side: self.perhaps_one_of(SIDES) })
    }

    /// `CURRENT at VOLTAGE dc|ac [resistive|inductive|lamp|CATEGORY]`
    pub(crate) fn rating(&mut self) -> Option<Rating> {
        let current = self.positive(Dimension::Current)?;
        self.need("at")?;
        let voltage = self.positive(Dimension::Voltage)?;
        let kind = self.one_of(CURRENT_KINDS)?;
        let load = self.perhaps_one_of(LOAD_KINDS);
        let last = load.map_or(kind.span, |load| load.span);
        Some(Rating {
            current,
            voltage,
            kind: kind.value,
            load: load.map_or(LoadKind::Resistive, |load| load.value),
            span: current.span.to(last),
        })
    }

    /// `none`, or `in PART` and `across PART`, with commas.
    pub(crate) fn ends(&mut self) -> Option<Ends> {
        let span = self.rest();
        if self.eat("none") {
            return Some(Ends { steps: SmallVec::new(), span });
        }
        let steps = self.list(Self::end_step)?;
        Some(Ends { steps, span })
    }

    fn end_step(&mut self) -> Option<EndStep> {
        let series = self.one_of(&[("in", true), ("across", false)])?.value;
        Some(EndStep { series, part: self.end_part()? })
    }

    fn end_part(&mut self) -> Option<EndPart> {
        if let Some((atoms, span)) = self.perhaps_group() {
            return self.within(atoms, span, |inner| {
                let first = inner.end_part()?;
                let mut steps = Vec::new();
                while !inner.done() {
                    inner.comma();
                    steps.push(inner.end_step()?);
                }
                Some(EndPart::Group(Box::new(first), steps))
            });
        }
        if self.word() == Some("tamper") {
            return Some(EndPart::Tamper(self.need("tamper")?));
        }
        let (value, tolerance) = self.quantity_and_tolerance(Dimension::Resistance)?;
        if value.value < 0.0 {
            let why = "a resistance below zero cannot be";
            return self.bad(value.span, why, "write a resistance, such as `2.2 kohm`");
        }
        if value.value == 0.0 {
            let why = "a resistor has a resistance above zero; a wire is not written";
            return self.bad(
                value.span,
                why,
                "take it out; where nothing is left, write `ends  none`",
            );
        }
        Some(EndPart::Resistor(value, tolerance))
    }
}
