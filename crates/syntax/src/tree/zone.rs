//! `zone ... is PART`: one contact, where it lands, when it counts.

use super::part::Rest;
use super::wiring::{Ends, Feed, Run};
use super::{Name, Path, Spanned};
use crate::form::{BlockForm, once};
use crate::phrase::word_for;
use curtilage_text::Span;
use curtilage_units::Dimension;

/// What a zone is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Somebody calls for help.
    Panic,
    /// Somebody comes in.
    Intrusion,
    /// Somebody meddles with the equipment.
    Tamper,
    /// Something technical: mains, temperature, water.
    Technical,
    /// A person or a machine gives a command: a key switch, a bell push.
    Command,
}

const PURPOSES: &[(&str, Purpose)] = &[
    ("panic", Purpose::Panic),
    ("intrusion", Purpose::Intrusion),
    ("tamper", Purpose::Tamper),
    ("technical", Purpose::Technical),
    ("command", Purpose::Command),
];

impl Purpose {
    /// The word that is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        word_for(PURPOSES, self)
    }
}

/// Where a zone's contact lands.
#[derive(Clone, Copy, Debug)]
pub struct Wired {
    /// The input.
    pub to: Path,
    /// The terminal that it returns to, when it is said.
    pub common: Option<Path>,
    /// The cable; none when it is wired on the spot.
    pub run: Option<Run>,
    /// The whole statement.
    pub line: Span,
}

/// A zone.
#[derive(Clone, Debug)]
pub struct Zone {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// Its sensor part.
    pub part: Name,
    /// What it is for.
    pub purpose: Option<Spanned<Purpose>>,
    /// Where it is.
    pub area: Option<Name>,
    /// Where its contact lands.
    pub wired: Option<Wired>,
    /// Where its tamper contact lands, when it has an input of its own.
    pub tamper: Option<Box<Wired>>,
    /// The state that its input takes for rest.
    pub input: Option<Spanned<Rest>>,
    /// Its end-of-line network.
    pub ends: Option<Ends>,
    /// When it counts.
    pub armed: Option<Name>,
    /// What an activation has to outlast to be seen, ms, where the controller lets it be set.
    pub settle: Option<Spanned<u64>>,
    /// How long it is deaf after a registration, ms.
    pub lockout: Option<Spanned<u64>>,
    /// The most registrations in one arming.
    pub repeats: Option<Spanned<u32>>,
    /// Time to disarm after coming in, ms.
    pub entry: Option<Spanned<u64>>,
    /// Time to leave after arming, ms.
    pub exit: Option<Spanned<u64>>,
    /// The zone that has to confirm it, and the time, ms.
    pub confirmed: Option<(Name, Spanned<u64>)>,
    /// Whether it registers again while active; true for level, false for edge.
    pub registers: Option<Spanned<bool>>,
    /// The output whose contact moves it.
    pub follows: Option<Name>,
    /// What feeds the sensor.
    pub fed: Option<Box<Feed>>,
    /// The fuse of that feed, A.
    pub fuse: Option<Spanned<f64>>,
}

fn wired(p: &mut crate::phrase::Phrase<'_, '_>) -> Option<Wired> {
    p.need("to")?;
    let to = p.path("an input terminal, such as `head.in1`")?;
    let common = if p.eat("and") {
        Some(p.path("the terminal that it returns to, such as `head.gnd`")?)
    } else {
        None
    };
    let run = if p.word() == Some("over") { Some(p.run()?) } else { None };
    Some(Wired { to, common, run, line: p.line() })
}

pub(crate) static FORM: BlockForm<Zone> = BlockForm {
    thing: "a zone",
    forms: &[
        once(
            "purpose",
            "panic | intrusion | tamper | technical | command",
            "what it is for",
            |zone, p| {
                zone.purpose = Some(p.one_of(PURPOSES)?);
                Some(())
            },
        ),
        once("area", "AREA", "where it is", |zone, p| {
            zone.area = Some(p.name("the name of an area")?);
            Some(())
        }),
        once(
            "wired",
            "to INPUT [and COMMON] [over LENGTH of CABLE]",
            "where its contact lands",
            |zone, p| {
                zone.wired = Some(wired(p)?);
                Some(())
            },
        ),
        once(
            "tamper",
            "to INPUT [and COMMON] [over LENGTH of CABLE]",
            "where its tamper contact lands",
            |zone, p| {
                zone.tamper = Some(wired(p)?.into());
                Some(())
            },
        ),
        once(
            "input",
            "rests open | rests closed",
            "the state that its input takes for rest",
            |zone, p| {
                p.need("rests")?;
                zone.input = Some(p.one_of(super::part::RESTS)?);
                Some(())
            },
        ),
        once(
            "ends",
            "none | in|across END-PART, ...",
            "its end-of-line network, from the contact outward",
            |zone, p| {
                zone.ends = Some(p.ends()?);
                Some(())
            },
        ),
        once("armed", "SCHEDULE", "when it counts", |zone, p| {
            zone.armed = Some(p.name("the name of a schedule")?);
            Some(())
        }),
        once("settle", "TIME", "what an activation has to outlast to be seen", |zone, p| {
            zone.settle = Some(p.time()?);
            Some(())
        }),
        once("lockout", "TIME", "how long it is deaf after it has registered", |zone, p| {
            zone.lockout = Some(p.time()?);
            Some(())
        }),
        once(
            "repeats",
            "at most NUMBER per arming",
            "the most registrations in one arming",
            |zone, p| {
                p.need("at")?;
                p.need("most")?;
                zone.repeats = Some(p.count(1, "a number of registrations")?);
                p.need("per")?;
                p.need("arming")?;
                Some(())
            },
        ),
        once("entry", "TIME", "time to disarm after coming in", |zone, p| {
            zone.entry = Some(p.time()?);
            Some(())
        }),
        once("exit", "TIME", "time to leave after arming", |zone, p| {
            zone.exit = Some(p.time()?);
            Some(())
        }),
        once(
            "confirmed",
            "by ZONE within TIME",
            "the second zone that has to register before it counts",
            |zone, p| {
                p.need("by")?;
                let other = p.name("the name of a zone")?;
                p.need("within")?;
                zone.confirmed = Some((other, p.time()?));
                Some(())
            },
        ),
        once(
            "registers",
            "while active | once an activation",
            "whether it registers again while it stays active",
            |zone, p| {
                let span = p.line();
                let value = if p.eat_two("while", "active") {
                    true
                } else if p.eat_two("once", "an") {
                    p.need("activation")?;
                    false
                } else {
                    return p.expected("`while active` or `once an activation`");
                };
                zone.registers = Some(Spanned { value, span });
                Some(())
            },
        ),
        once("follows", "OUTPUT", "the output whose contact moves it", |zone, p| {
            zone.follows = Some(p.name("the name of an output")?);
            Some(())
        }),
        once("fed", "from PLACE [over LENGTH of CABLE]", "what feeds the sensor", |zone, p| {
            zone.fed = Some(p.feed()?.into());
            Some(())
        }),
        once("fuse", "CURRENT", "the fuse of that feed", |zone, p| {
            zone.fuse = Some(p.positive(Dimension::Current)?);
            Some(())
        }),
    ],
    other: None,
};
