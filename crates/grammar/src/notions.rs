//! What the capitals of the notation stand for.

use curtilage_units::Dimension;

/// What a [`crate::Node::Value`] stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Notion {
    /// A new name.
    Name,
    /// The name of something that is said elsewhere.
    Reference,
    /// A name, or a thing and one of its terminals parted by a dot.
    Path,
    /// A number without a unit.
    Number,
    /// A number with a unit of this dimension.
    Quantity(Dimension),
    /// The same, with a tolerance when there is one.
    Tolerant(Dimension),
    /// `2026-12-25`
    Date,
    /// `12-25`
    MonthDay,
    /// `07:30`
    Clock,
    /// Another pattern.
    Pattern(&'static str),
}

use Notion::{Name, Number, Path, Pattern, Quantity, Reference, Tolerant};

/// Every word in capitals that a pattern uses.
pub(crate) const NOTIONS: &[(&str, Notion)] = &[
    ("NAME", Name),
    ("NAMES", Pattern("NAME-RANGE, ...")),
    ("NAME-RANGE", Pattern("NAME [to NAME]")),
    ("NUMBER", Number),
    // Things that are said elsewhere.
    ("AREA", Reference),
    ("CABLE", Pattern("PART [, NUMBER cores each way | , NUMBER joints|joint [of RESISTANCE]]...")),
    ("CAMERA", Reference),
    ("CAMERAS", Pattern("CAMERA, ...")),
    ("CONTROLLER", Reference),
    ("OUTPUT", Reference),
    ("PART", Reference),
    ("PEOPLE", Pattern("THING, ...")),
    ("PRESET", Reference),
    ("RULE", Reference),
    ("SCHEDULE", Reference),
    ("TAP", Reference),
    ("THING", Reference),
    ("ZONE", Reference),
    ("CHANNEL", Path),
    ("COMMON", Path),
    ("CONTACT", Path),
    ("INPUT", Path),
    ("PLACE", Path),
    ("TERMINAL", Path),
    // Quantities.
    ("BIT-RATE", Quantity(Dimension::BitRate)),
    ("CHARGE", Quantity(Dimension::Charge)),
    ("CROSS-SECTION", Quantity(Dimension::Area)),
    ("CURRENT", Quantity(Dimension::Current)),
    ("DATA", Quantity(Dimension::Data)),
    ("GAUGE", Quantity(Dimension::Gauge)),
    ("LENGTH", Quantity(Dimension::Length)),
    ("LEVEL", Quantity(Dimension::SoundLevel)),
    ("PERCENTAGE", Quantity(Dimension::Ratio)),
    ("POWER", Quantity(Dimension::Power)),
    ("RESISTANCE", Quantity(Dimension::Resistance)),
    ("RESISTANCE-PER-LENGTH", Quantity(Dimension::ResistancePerLength)),
    ("TEMPERATURE", Quantity(Dimension::Temperature)),
    ("TIME", Quantity(Dimension::Time)),
    ("VOLTAGE", Quantity(Dimension::Voltage)),
    ("TOLERANT-RESISTANCE", Tolerant(Dimension::Resistance)),
    ("TOLERANT-VOLTAGE", Tolerant(Dimension::Voltage)),
    // Dates and times.
    ("CLOCK", Notion::Clock),
    ("DATE", Notion::Date),
    ("DAY-OF-YEAR", Notion::MonthDay),
    ("DATE-RANGE", Pattern("DATE [to DATE] | every DAY-OF-YEAR [to DAY-OF-YEAR]")),
    ("DATES", Pattern("DATE-RANGE, ...")),
    ("DAY", Pattern("Mon | Tue | Wed | Thu | Fri | Sat | Sun")),
    ("DAYS", Pattern("DAY-RANGE, ...")),
    ("DAY-RANGE", Pattern("DAY [to DAY]")),
    ("MOMENT", Pattern("DAY|DATE CLOCK")),
    ("TIME-ZONE", Pattern("PLACE | \"TIME-ZONE\"")),
    // Phrases.
    (
        "BAND",
        Pattern(
            "BAND-NAME below|above LIMIT | BAND-NAME RESISTANCE to RESISTANCE | BAND-NAME VOLTAGE to VOLTAGE",
        ),
    ),
    ("BAND-NAME", Pattern("closed | open | resting | active | tamper | shorted | cut")),
    ("CAUSE", Pattern("THING | loss|tamper|start|end of THING")),
    ("CAUSES", Pattern("[any of] CAUSE-LIST | all of CAUSE-LIST within TIME")),
    ("CAUSE-LIST", Pattern("CAUSE, ...")),
    ("COMBINATION", Pattern("OPERAND [plus|minus|within OPERAND]...")),
    ("OPERAND", Pattern("[not]... SCHEDULE | [not]... ( COMBINATION )")),
    (
        "CONDITION",
        Pattern("resting | active | tamper | cut | shorted | running | floating | on-battery"),
    ),
    ("DEMAND", Pattern("supervised | armed always")),
    (
        "END-PART",
        Pattern("TOLERANT-RESISTANCE | tamper | ( END-PART [[,] in|across END-PART]... )"),
    ),
    (
        "KIND",
        Pattern("sensor | controller | supply | battery | load | relay | cable | camera | store"),
    ),
    ("LAW", Pattern("constant current | constant power | resistive")),
    ("LIMIT", Pattern("RESISTANCE | VOLTAGE")),
    ("LOADS", Pattern("LOAD, ...")),
    ("LOAD", Pattern("[NUMBER of] PART")),
    (
        "LOAD-KIND",
        Pattern(
            "resistive | inductive | lamp | AC-12 | AC-13 | AC-14 | AC-15 | DC-12 | DC-13 | DC-14",
        ),
    ),
    ("PULL-UP", Pattern("pull-up TOLERANT-VOLTAGE TOLERANT-RESISTANCE")),
];

/// What a word in capitals stands for.
#[must_use]
pub fn notion(value: &str) -> Option<Notion> {
    NOTIONS.iter().find(|(name, _)| *name == value).map(|(_, notion)| *notion)
}

pub(crate) fn is_quantity(value: &str) -> bool {
    matches!(notion(value), Some(Notion::Quantity(_)))
}
