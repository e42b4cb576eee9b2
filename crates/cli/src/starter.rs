//! The text of a first site: small, whole, and with remarks that teach.

use curtilage_syntax::parse;
use curtilage_syntax::tree::Item;
use curtilage_syntax::tree::schedule::Body;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// What a first site is made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Answers {
    pub(crate) title: String,
    /// As the language writes it.
    pub(crate) timezone: String,
    /// Hours, one line each.
    pub(crate) open: Vec<String>,
    pub(crate) doors: Vec<String>,
    pub(crate) detectors: Vec<String>,
    pub(crate) panic: Vec<String>,
    pub(crate) siren: bool,
}

impl Answers {
    /// Whether there is a zone.
    fn watches(&self) -> bool {
        [&self.doors, &self.detectors, &self.panic].iter().any(|list| !list.is_empty())
    }
}

/// The most zones of one kind: a first site is small.
pub(crate) const MOST: usize = 10;

/// A name made of some words; none when there is no letter to begin with.
pub(crate) fn name(words: &str) -> Option<String> {
    let mut out = String::new();
    for letter in words.trim().chars().flat_map(char::to_lowercase) {
        if letter.is_alphanumeric() {
            out.push(letter);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-').to_owned();
    let reads = parse(&format!("site {out} {{\n}}\n"), &[]).faults.is_empty();
    (out.starts_with(char::is_alphabetic) && reads).then_some(out)
}

/// The lines of some hours, parted by `;`; none when they are not written like hours, or give no
/// weekday any.
pub(crate) fn hours(text: &str) -> Option<Vec<String>> {
    if text.contains(['{', '}', '#', '\n']) {
        return None;
    }
    let lines = text.split(';').map(str::trim).filter(|line| !line.is_empty());
    let lines: Vec<String> = lines.map(str::to_owned).collect();
    let parsed = parse(&format!("schedule a {{\n    {}\n}}\n", lines.join("\n    ")), &[]);
    let of_days = |item: &Item| match item {
        Item::Schedule(schedule) => {
            matches!(&schedule.body, Body::Written(written) if !written.weekly.is_empty())
        }
        _ => false,
    };
    let reads = parsed.faults.is_empty() && parsed.file.items.iter().any(of_days);
    reads.then_some(lines)
}

/// A time zone as the language writes it, in quotes where it has to be; none when it is not written
/// like one. There may be none of that name.
pub(crate) fn timezone(words: &str) -> Option<String> {
    let bare = words.trim().trim_matches('"');
    let reads = |written: &String| {
        parse(&format!("site a {{\n    timezone {written}\n}}\n"), &[]).faults.is_empty()
    };
    let written = [bare.to_owned(), format!("\"{bare}\"")].into_iter().find(reads)?;
    let plain = |c: char| c.is_ascii_alphanumeric() || "/+-_".contains(c);
    (!bare.is_empty() && bare.chars().all(plain)).then_some(written)
}

/// Words as a title.
fn title(words: &str) -> String {
    let line: String = words.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    format!("\"{}\"", line.trim().replace('\\', "\\\\").replace('"', "\\\""))
}

/// The file. Every name and line in the answers has to have been tried.
pub(crate) fn site(answers: &Answers) -> String {
    let mut out = String::new();
    let mut taken: BTreeSet<String> = TAKEN.iter().map(|name| (*name).to_owned()).collect();
    head(answers, &mut out);
    out.push_str(POWER);
    let zones = zones(answers, &mut taken, &mut out);
    answer(answers, &zones, &mut out);
    parts(answers, &zones, &mut out);
    // A file that the formatter does not take would be a mistake of this one: it is told by the
    // check that follows.
    curtilage_format::format(&out).unwrap_or(out)
}

/// Names that the file uses itself.
const TAKEN: &[&str] = &[
    "keyholder",
    "open-hours",
    "closed",
    "power",
    "panel",
    "siren",
    "help",
    "intruder",
    "door-contact",
    "detector",
    "panic-button",
    "small-panel",
    "outdoor-siren",
    "boxed-supply",
    "standby-battery",
    "power-pair",
    "signal-cable",
    "always",
    "never",
];

fn head(answers: &Answers, out: &mut String) {
    let name = name(&answers.title).unwrap_or_else(|| "first-site".to_owned());
    let people =
        if answers.watches() { "    people    keyholder \"Who has the keys\"\n" } else { "" };
    // A site may be called like a thing in it.
    let name = if TAKEN.contains(&name.as_str()) { format!("{name}-site") } else { name };
    let _ = write!(
        out,
        "# A first site. A line says one fact; what follows a `#` is for people. The order of the
# lines means nothing.
#
# Look at every figure: the lengths are placeholders, and the parts at the end are
# invented. `curtilage check` tells what does not hold, `curtilage figures` what the site
# amounts to, `curtilage rehearse` plays what happens.

site {name} {} {{
    timezone  {}
    # The temperatures at which everything has to work.
    ambient   0 to 35 degC
{people}    # holidays  2026-12-25, every 01-01
    occupied  open-hours
}}

# When people are there. Doors and detectors count when nobody is.
schedule open-hours {{
",
        title(&answers.title),
        answers.timezone,
    );
    for line in &answers.open {
        let _ = writeln!(out, "    {line}");
    }
    out.push_str("    # except  holidays\n}\n");
    if !answers.doors.is_empty() || !answers.detectors.is_empty() {
        out.push_str("schedule closed is not open-hours\n");
    }
    out.push('\n');
}

const POWER: &str = "# ---- What feeds it ----

supply power \"Supply with its battery\" is boxed-supply {
    battery  standby-battery
}

# `fed ... over LENGTH of CABLE`: one way; the way back is counted by the checker.
controller panel is small-panel {
    fed   from power over 1 m of power-pair
}

# ---- What is watched ----

";

/// A zone that was written.
struct Zone {
    name: String,
    kind: Kind,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Door,
    Detector,
    Panic,
}

fn zones(answers: &Answers, taken: &mut BTreeSet<String>, out: &mut String) -> Vec<Zone> {
    let kinds = [
        (Kind::Door, &answers.doors),
        (Kind::Detector, &answers.detectors),
        (Kind::Panic, &answers.panic),
    ];
    let mut zones: Vec<Zone> = Vec::new();
    for (kind, list) in kinds {
        for words in list {
            let base = name(words).unwrap_or_else(|| format!("zone-{}", zones.len() + 1));
            let base = match kind {
                Kind::Door => base,
                Kind::Detector => format!("{base}-detector"),
                Kind::Panic => format!("panic-{base}"),
            };
            let mut name = base.clone();
            let mut count = 2;
            while !taken.insert(name.clone()) {
                name = format!("{base}-{count}");
                count += 1;
            }
            zone(&name, words, kind, &zones, out);
            zones.push(Zone { name, kind });
        }
    }
    zones
}

fn zone(name: &str, words: &str, kind: Kind, before: &[Zone], out: &mut String) {
    let first = !before.iter().any(|zone| zone.kind == kind);
    let input = before.len() + 1;
    let (part, purpose, label) = match kind {
        Kind::Door => ("door-contact", "intrusion", words.to_owned()),
        Kind::Detector => ("detector", "intrusion", format!("Detector, {words}")),
        Kind::Panic => ("panic-button", "panic", format!("Panic button, {words}")),
    };
    let _ = writeln!(out, "zone {name} {} is {part} {{\n    purpose {purpose}", title(&label));
    let _ = writeln!(out, "    wired to panel.in{input} over 15 m of signal-cable");
    if first && kind == Kind::Door {
        out.push_str("    # From the contact outward: one resistor across it, one in the line.\n");
    }
    out.push_str("    ends across 2.2 kohm +-1 %, in 2.2 kohm +-1 %\n");
    match kind {
        Kind::Panic => {
            if first {
                out.push_str("    # Somebody calls for help: at any hour.\n");
            }
            out.push_str("    armed always\n");
        }
        Kind::Door | Kind::Detector => out.push_str("    armed closed\n"),
    }
    if before.is_empty() {
        out.push_str("    # Deaf for so long after it has registered.\n");
    }
    out.push_str("    lockout 5 s\n");
    if first && kind == Kind::Door {
        out.push_str("    # Time to disarm after coming in.\n    entry 30 s\n");
    }
    if kind == Kind::Detector {
        out.push_str("    fed from panel.aux1 over 15 m of signal-cable\n");
    }
    out.push_str("}\n\n");
}

/// What is done about it.
fn answer(answers: &Answers, zones: &[Zone], out: &mut String) {
    out.push_str("# ---- What is done ----\n\n");
    if answers.siren && answers.watches() {
        out.push_str(
            "output siren \"Siren outside\" drives outdoor-siren {
    # `closing`: the contact closes, and current flows, when the panel acts.
    through  panel.relay1 closing
    fed      from power over 20 m of power-pair
    fuse     1 A
    runs     at most 15 min
}

",
        );
    }
    let siren = if answers.siren { "    close siren for 3 min\n" } else { "" };
    let names = |panic: bool| {
        let of = zones.iter().filter(|zone| (zone.kind == Kind::Panic) == panic);
        of.map(|zone| zone.name.as_str()).collect::<Vec<_>>()
    };
    for (word, list) in [("intruder", names(false)), ("help", names(true))] {
        if !list.is_empty() {
            let list = wrapped(&list, 12 + word.len());
            let _ = writeln!(out, "response {word} to {list} {{\n{siren}    tell keyholder\n}}\n");
        }
    }
    if let Some(zone) = zones.first() {
        let _ = write!(
            out,
            "# A story with what is expected of it; take the `#` away and play it with
# `curtilage rehearse`.
# rehearsal \"somebody comes at night\" {{
#     Sun 03:00:00  {} active until restored
#     expect  {} registers once
#     expect  keyholder told once
# }}

",
            zone.name, zone.name
        );
    }
}

/// Names with commas between them; a line that ends in a comma goes on in the next.
fn wrapped(names: &[&str], from: usize) -> String {
    let mut out = String::new();
    let mut column = from;
    for (at, name) in names.iter().enumerate() {
        if at > 0 {
            out.push(',');
            column += name.len() + 2;
            if column > 90 {
                out.push_str("\n        ");
                column = 8 + name.len();
            } else {
                out.push(' ');
            }
        } else {
            column += name.len();
        }
        out.push_str(name);
    }
    out
}

/// The parts that the site uses, and no other.
fn parts(answers: &Answers, zones: &[Zone], out: &mut String) {
    out.push_str(
        "# ---- Parts: what their data sheets say ----
#
# Every figure here is invented. Write down what the sheets of your parts say, in a file of
# its own that all your sites take in with `use \"parts.site\"`.

",
    );
    let has = |kind| zones.iter().any(|zone| zone.kind == kind);
    if has(Kind::Door) {
        out.push_str(
            "part door-contact \"Magnet contact\" is sensor {
    rests closed
    active until restored
    contact 0.5 A at 24 V dc resistive, 0.15 ohm
}

",
        );
    }
    if has(Kind::Detector) {
        out.push_str(
            "part detector \"Movement detector\" is sensor {
    rests closed
    active for 2 s to 3 s
    contact 0.1 A at 24 V dc resistive, 1.2 ohm
    draws 15 mA at 8.5 V to 16 V dc, constant current
}

",
        );
    }
    if has(Kind::Panic) {
        out.push_str(
            "part panic-button \"Button that stays in until it is reset\" is sensor {
    rests closed
    active until restored
    contact 0.5 A at 30 V dc resistive, 0.1 ohm
}

",
        );
    }
    let inputs = zones.len().max(8).next_multiple_of(4);
    let _ = write!(
        out,
        "# Its inputs tell a quiet contact from an active one, and both from a cut or a short.
part small-panel is controller {{
    inputs in1 to in{inputs} common gnd
    input pull-up 5 V +-2 % 4.7 kohm +-1 %,
        shorted below 400 ohm,
        resting 1.8 kohm to 2.8 kohm,
        active 3.8 kohm to 5.4 kohm,
        cut above 20 kohm
    input rests closed
    settles in 100 ms
    repeats once an activation
    relays relay1, relay2 changeover
    relay 3 A at 30 V dc resistive, 1.5 A at 30 V dc inductive
    outlets aux1 at most 0.5 A
    on-time hold from registration
    draws 120 mA at 9 V to 15 V dc, constant current
}}

",
    );
    if answers.siren && answers.watches() {
        out.push_str(
            "part outdoor-siren is load {
    draws 0.45 A at 9 V to 14 V dc, constant current
    inductive suppressed
    loudness 112 dB at 1 m
    gives sound
}

",
        );
    }
    out.push_str(
        "part boxed-supply \"12 V, in a box with its battery\" is supply {
    gives 13.5 V to 13.8 V dc, at most 2 A
    empty at 10.5 V
    inside 60 mohm
    charges at most 0.7 A
}

part standby-battery \"Sealed, 12 V\" is battery {
    holds 7 Ah over 20 h, 6.47 Ah over 10 h, 4.5 Ah over 1 h
    voltage 12 V
    inside 25 mohm
}

part power-pair is cable {
    cores 2
    conductor 1 mm2 class 5
    carries at most 10 A
}

",
    );
    if !zones.is_empty() {
        out.push_str(
            "part signal-cable is cable {
    cores 6
    conductor 0.22 mm2
    resistance 92 ohm/km
    carries at most 1 A
}
",
        );
    }
}
