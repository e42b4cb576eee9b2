//! What the words in capitals stand for, by the statement in which they are written.

use curtilage_model::{Kind, TerminalKind};
use curtilage_units::Dimension;

/// Something of a kind that stands in a statement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Slot {
    /// A new name.
    Declares(Declared),
    /// The name of something; with a dot perhaps one of its terminals or taps.
    Refers(Kind),
    /// A controller and one of its terminals.
    Terminal(TerminalKind),
    /// A number with a unit.
    Quantity(Dimension),
    /// A number alone.
    Number,
    /// `2026-12-25`
    Date,
    /// `12-25`
    MonthDay,
    /// `07:30`
    Clock,
    /// `Mon`
    Day,
    /// A text in quotes.
    Text(Quoted),
    /// An IANA time zone.
    TimeZone,
}

/// What a new name is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Declared {
    /// A thing; for a part the kind is that of its statement.
    Thing(Kind),
    /// A part of any kind.
    Part,
    /// A terminal.
    Terminal(TerminalKind),
}

/// What a text in quotes is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Quoted {
    Title,
    /// A site file.
    File,
    /// A file of holidays.
    Holidays,
    Reason,
    Source,
}

/// What a word in capitals is: one slot, or a form of its own.
pub(crate) enum Meaning {
    Slot(Slot),
    Form(&'static str),
}

/// The forms of the reference are written for people. Where they leave something to the reader,
/// this is what is read.
pub(crate) fn precise(block: &str, word: &str, pattern: &'static str) -> &'static str {
    match (block, word) {
        ("a file", "schedule") => "NAME [\"TITLE\"] [is COMBINATION]",
        ("a file", "output") => "NAME [\"TITLE\"] drives ([NUMBER of] PART, ...)",
        ("a site", "ambient") => "TEMPERATURE [to TEMPERATURE]",
        ("a schedule", "except") => "(holidays|DATE-SPAN, ...)",
        ("a schedule", "also") => "DATE-SPAN CLOCK to CLOCK",
        ("a schedule", "") => "DAYS (CLOCK to CLOCK, ...)",
        ("a sensor part", "disturbed") => "by (light|sound|motion|heat, ...)",
        ("a load part", "gives") => "light|sound|motion|heat, ...",
        (_, "draws") => "CURRENT|POWER [at VOLTAGE [to VOLTAGE] [dc|ac]] [, LAW]",
        (_, "coil") => "CURRENT|POWER at VOLTAGE [to VOLTAGE] [dc|ac] [, LAW]",
        ("a controller part", "input") => {
            "rests open|closed | ((pull-up VOLTAGE RESISTANCE | BAND LIMITS), ...)"
        }
        ("a controller part", "inputs") => "NAMES [common COMMON-NAME]",
        ("a controller part", "relays") => "NAMES make|break|changeover",
        ("a controller part", "outlets") => "NAMES [at most CURRENT]",
        ("a cable", "tap") => "NAME at LENGTH from start|TAP",
        ("a zone", "ends") => "none | (in|across RESISTANCE|tamper [,])*",
        ("a zone", "input") | ("a sensor part", "tamper") => "rests open|closed",
        ("an output", "reaches") => "AREA-OR-ZONE, ...",
        ("a recording plan", "keep") => "events|motion|continuous of CAMERAS [during SCHEDULE]",
        ("a recording plan", "store") => "DATA|PART [, at least TIME]",
        ("a response", "pulse") => "OUTPUT TIME on [,] TIME off [,] for TIME",
        ("a rehearsal", "expect") => {
            "ACTOR registers|closed|open|recorded|told [never|once|twice|(NUMBER times)] [from MOMENT] [at MOMENT] [for TIME]"
        }
        ("a rehearsal", "") => {
            "MOMENT ACTOR (active [for TIME | until restored] | restored | tampered | lost | returns)"
        }
        ("readings", "") => "TERMINAL CONDITION RESISTANCE|VOLTAGE|CURRENT",
        ("a policy", "panic" | "tamper") => "((supervised | armed always), ...) [from \"SOURCE\"]",
        _ => pattern,
    }
}

/// What a word in capitals means in a statement; `tail` is its place in the form.
pub(crate) fn meaning(block: &str, word: &str, slot: &str) -> Option<Meaning> {
    use Dimension as D;
    use Meaning::Form;
    let refers = |kind| Some(Meaning::Slot(Slot::Refers(kind)));
    let quantity = |dimension| Some(Meaning::Slot(Slot::Quantity(dimension)));
    let terminal = |kind| Some(Meaning::Slot(Slot::Terminal(kind)));
    let text = |quoted| Some(Meaning::Slot(Slot::Text(quoted)));
    match slot {
        "NAME" => declared(block, word).map(|declared| match declared {
            Ok(declared) => Meaning::Slot(Slot::Declares(declared)),
            Err(kind) => Meaning::Slot(Slot::Refers(kind)),
        }),
        "NAMES" => Some(Form("NAME [to NAME], ...")),
        "COMMON-NAME" => {
            Some(Meaning::Slot(Slot::Declares(Declared::Terminal(TerminalKind::Common))))
        }
        "PART" => refers(part_kind(block, word)?),
        "AREA" if block == "a cable part" => quantity(D::Area),
        "CROSS-SECTION" => quantity(D::Area),
        "TIME-ZONE" => Some(Meaning::Slot(Slot::TimeZone)),
        "THING" => refers(Kind::Anything),
        "AREA" => refers(Kind::Area),
        "SCHEDULE" => refers(Kind::Schedule),
        "CONTROLLER" => refers(Kind::Controller),
        "ZONE" if block == "a site" => Some(Meaning::Slot(Slot::TimeZone)),
        "ZONE" => refers(Kind::Zone),
        "OUTPUT" => refers(Kind::Output),
        "CAMERA" => refers(Kind::Camera),
        "CAMERAS" => Some(Form("CAMERA, ...")),
        "PERSON" => refers(Kind::People),
        "PEOPLE" => Some(Form("PERSON, ...")),
        "PRESET" => refers(Kind::Preset),
        "TAP" => refers(Kind::Tap),
        "CABLE" => Some(Form("CABLE-PART CORES*")),
        "CABLE-PART" => refers(Kind::CablePart),
        "PLACE" => refers(Kind::Source),
        "CONTACT" => refers(Kind::ContactSource),
        "AREA-OR-ZONE" => refers(Kind::AreaOrZone),
        "CAMERA-OR-SUPPLY" => refers(Kind::CameraOrSupply),
        "ACTOR" => refers(Kind::Actor),
        "TERMINAL" => refers(Kind::Measurable),
        "RULE" => refers(Kind::Rule),
        "INPUT" => terminal(TerminalKind::Input),
        "COMMON" => terminal(TerminalKind::Common),
        "CHANNEL" => terminal(TerminalKind::Channel),
        "COMBINATION" => Some(Form("not* SCHEDULE (plus|minus|within not* SCHEDULE)*")),
        "CAUSES" => {
            Some(Form("CAUSE, ... | any of (CAUSE, ...) | all of (CAUSE, ...) within TIME"))
        }
        "CAUSE" => Some(Form(
            "ZONE | loss of CAMERA-OR-SUPPLY | tamper of ZONE | start of SCHEDULE | end of SCHEDULE",
        )),
        "CORES" => Some(Form(", NUMBER cores each way | , NUMBER joints|joint [of RESISTANCE]")),
        "KIND" => Some(Form("sensor|controller|supply|battery|load|relay|cable|camera|store")),
        "LAW" => Some(Form("constant current | constant power | resistive")),
        "LOAD-KIND" => {
            Some(Form("resistive|inductive|lamp|AC-12|AC-13|AC-14|AC-15|DC-12|DC-13|DC-14"))
        }
        "BAND" => Some(Form("closed|open|resting|active|tamper|shorted|cut")),
        "LIMITS" => Some(Form(
            "below|above RESISTANCE|VOLTAGE | RESISTANCE [to RESISTANCE] | VOLTAGE [to VOLTAGE]",
        )),
        "CONDITION" => Some(Form("resting|active|tamper|cut|shorted|running|floating|on-battery")),
        "DATES" => Some(Form("DATE-SPAN, ...")),
        "DATE-SPAN" => Some(Form("DATE [to DATE] | every MONTH-DAY [to MONTH-DAY]")),
        "DAYS" => Some(Form("DAY [to DAY], ...")),
        "MOMENT" => Some(Form("DAY|DATE CLOCK")),
        "DAY" => Some(Meaning::Slot(Slot::Day)),
        "DATE" => Some(Meaning::Slot(Slot::Date)),
        "MONTH-DAY" => Some(Meaning::Slot(Slot::MonthDay)),
        "CLOCK" => Some(Meaning::Slot(Slot::Clock)),
        "NUMBER" => Some(Meaning::Slot(Slot::Number)),
        "TITLE" => text(Quoted::Title),
        "FILE" => text(Quoted::File),
        "FILE.ics" => text(Quoted::Holidays),
        "REASON" => text(Quoted::Reason),
        "SOURCE" => text(Quoted::Source),
        "LENGTH" => quantity(D::Length),
        "GAUGE" => quantity(D::Gauge),
        "RESISTANCE" => quantity(D::Resistance),
        "RESISTANCE-PER-LENGTH" => quantity(D::ResistancePerLength),
        "VOLTAGE" => quantity(D::Voltage),
        "CURRENT" => quantity(D::Current),
        "POWER" => quantity(D::Power),
        "CHARGE" => quantity(D::Charge),
        "TIME" => quantity(D::Time),
        "TEMPERATURE" => quantity(D::Temperature),
        "DATA" => quantity(D::Data),
        "BIT-RATE" => quantity(D::BitRate),
        "LEVEL" => quantity(D::SoundLevel),
        "PERCENTAGE" => quantity(D::Ratio),
        _ => None,
    }
}

/// What `NAME` is in a statement: a new name, or the name of something.
fn declared(block: &str, word: &str) -> Option<Result<Declared, Kind>> {
    let thing = |kind| Some(Ok(Declared::Thing(kind)));
    let terminal = |kind| Some(Ok(Declared::Terminal(kind)));
    match (block, word) {
        ("a file", "site") => thing(Kind::Site),
        ("a file", "schedule") => thing(Kind::Schedule),
        ("a file", "part") => Some(Ok(Declared::Part)),
        ("a file", "supply") => thing(Kind::Supply),
        ("a file", "controller") => thing(Kind::Controller),
        ("a file", "relay") => thing(Kind::Relay),
        ("a file", "cable") => thing(Kind::Cable),
        ("a file", "zone") => thing(Kind::Zone),
        ("a file", "output") => thing(Kind::Output),
        ("a file", "camera") => thing(Kind::Camera),
        ("a file", "response") => thing(Kind::Response),
        ("a file", "policy") => thing(Kind::Policy),
        ("a file", "allow") => Some(Err(Kind::Anything)),
        ("a site", "area") => thing(Kind::Area),
        ("a site", "people") => thing(Kind::People),
        ("a cable", "tap") => thing(Kind::Tap),
        ("a camera", "preset") => thing(Kind::Preset),
        ("a controller part", "inputs") => terminal(TerminalKind::Input),
        ("a controller part", "commons") => terminal(TerminalKind::Common),
        ("a controller part", "relays") => terminal(TerminalKind::Relay),
        ("a controller part", "outlets") => terminal(TerminalKind::Outlet),
        ("a controller part", "channels") => terminal(TerminalKind::Channel),
        _ => None,
    }
}

fn part_kind(block: &str, word: &str) -> Option<Kind> {
    Some(match (block, word) {
        ("a file", "supply") => Kind::SupplyPart,
        ("a file", "controller") => Kind::ControllerPart,
        ("a file", "relay") => Kind::RelayPart,
        ("a file", "cable") => Kind::CablePart,
        ("a file", "zone") => Kind::SensorPart,
        ("a file", "output") => Kind::LoadPart,
        ("a file", "camera") => Kind::CameraPart,
        ("a supply", "battery") => Kind::BatteryPart,
        ("a recording plan", "store") => Kind::StorePart,
        _ => return None,
    })
}
