//! What one cell says. A reading gives the words of a statement and whether they say all that the
//! cell says; where they do not, the cell is kept as a comment as well.

/// A cell as words of the language.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Reading {
    /// The words.
    pub(crate) words: String,
    /// Whether the words say everything that the cell says.
    pub(crate) whole: bool,
    /// Whether the cell, or its heading, gives the unit.
    pub(crate) unit_said: bool,
}

impl Reading {
    fn new(words: impl Into<String>, whole: bool) -> Self {
        Self { words: words.into(), whole, unit_said: true }
    }
}

/// Whether a text is a unit of length, time or resistance that can stand in a heading.
pub(crate) fn is_unit(text: &str) -> bool {
    length_unit(text).is_some() || time_unit(text).is_some() || resistance_unit(text).is_some()
}

fn length_unit(text: &str) -> Option<&'static str> {
    match text.trim_end_matches('.').to_lowercase().as_str() {
        "m" | "mtr" | "mtrs" | "metre" | "metres" | "meter" | "meters" | "metros" => Some("m"),
        "km" => Some("km"),
        "cm" => Some("cm"),
        "ft" | "feet" | "foot" | "'" => Some("ft"),
        _ => None,
    }
}

fn time_unit(text: &str) -> Option<&'static str> {
    match text.trim_end_matches('.').to_lowercase().as_str() {
        "ms" | "msec" => Some("ms"),
        "s" | "sec" | "secs" | "second" | "seconds" | "sek" | "seg" => Some("s"),
        "min" | "mins" | "minute" | "minutes" => Some("min"),
        "h" | "hr" | "hrs" | "hour" | "hours" => Some("h"),
        _ => None,
    }
}

fn resistance_unit(text: &str) -> Option<&'static str> {
    match text {
        "k" | "K" | "kohm" | "kOhm" | "KOhm" | "kΩ" | "KΩ" | "kOHM" => Some("kohm"),
        "R" | "ohm" | "Ohm" | "ohms" | "Ω" | "OHM" => Some("ohm"),
        "M" | "Mohm" | "MΩ" => Some("Mohm"),
        _ => None,
    }
}

/// A decimal number, with a point or a comma, and what follows it. A number that could have
/// thousands as well as a fraction (`1.200`) is none: nobody can tell which it is.
fn number(text: &str) -> Option<(String, &str)> {
    let end =
        text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',').unwrap_or(text.len());
    let (digits, rest) = text.split_at_checked(end)?;
    let marks = digits.matches(['.', ',']).count();
    let (whole, part) = digits.split_once(['.', ',']).unwrap_or((digits, ""));
    let odd = marks > 1 || whole.is_empty() || (marks == 1 && part.is_empty());
    if odd || part.len() == 3 || whole.len() > 9 || part.len() > 9 {
        return None;
    }
    let number = if marks == 1 { format!("{whole}.{part}") } else { whole.to_owned() };
    Some((number, rest.trim()))
}

/// A length. `unit` is what the heading gives.
pub(crate) fn length(cell: &str, unit: Option<&str>) -> Option<Reading> {
    measured(cell, unit, length_unit, "m")
}

/// A time.
pub(crate) fn time(cell: &str, unit: Option<&str>) -> Option<Reading> {
    measured(cell, unit, time_unit, "s").or_else(|| times(cell))
}

/// A time of several parts, each with its unit, the longest first: `1 h 30 min`.
fn times(cell: &str) -> Option<Reading> {
    const LONGEST_FIRST: [&str; 4] = ["h", "min", "s", "ms"];
    let mut parts: Vec<String> = Vec::new();
    let mut units = LONGEST_FIRST.iter();
    let mut rest = cell.trim();
    while !rest.is_empty() {
        let (number, behind) = number(rest)?;
        let end = behind.find(|c: char| !c.is_alphabetic() && c != '.').unwrap_or(behind.len());
        let (word, behind) = behind.split_at_checked(end)?;
        let unit = time_unit(word)?;
        units.find(|one| **one == unit)?;
        parts.push(format!("{number} {unit}"));
        rest = behind.trim_start();
    }
    let words = parts.join(" ");
    let whole = compact(&words) == compact(cell);
    (!parts.is_empty()).then(|| Reading::new(words, whole))
}

/// A number with a unit from the cell, from the heading, or the usual one.
fn measured(
    cell: &str,
    heading: Option<&str>,
    known: fn(&str) -> Option<&'static str>,
    usual: &'static str,
) -> Option<Reading> {
    let (number, rest) = number(cell.trim())?;
    let own = if rest.is_empty() { None } else { Some(known(rest)?) };
    let of_heading = heading.and_then(known);
    let unit = own.or(of_heading).unwrap_or(usual);
    let words = format!("{number} {unit}");
    let whole = compact(&words) == compact(cell) || (own.is_none() && number == cell.trim());
    Some(Reading { words, whole, unit_said: own.or(of_heading).is_some() })
}

/// How a contact rests: `open` or `closed`.
pub(crate) fn rest(cell: &str) -> Option<Reading> {
    let plain: String =
        cell.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
    let word = match plain.as_str() {
        "nc" | "nf" | "normallyclosed" | "closed" | "break" | "restsclosed" | "offner"
        | "öffner" | "cerrado" | "fechado" => "closed",
        "no" | "na" | "normallyopen" | "open" | "make" | "restsopen" | "schliesser"
        | "schließer" | "abierto" | "aberto" => "open",
        _ => return None,
    };
    Some(Reading::new(word, word == cell))
}

/// One end-of-line resistor in the line, or none at all. Of two resistors nobody can tell from a
/// cell how they are joined. `unit` is what the heading gives.
pub(crate) fn ends(cell: &str, unit: Option<&str>) -> Option<Reading> {
    let text = cell.trim();
    let text = ["EOL", "eol"].iter().fold(text, |text, word| {
        let behind = text.strip_suffix(word).filter(|rest| rest.ends_with(' '));
        let before = text.strip_prefix(word).filter(|rest| rest.starts_with(' '));
        behind.or(before).map_or(text, str::trim)
    });
    match text.to_lowercase().as_str() {
        "none" | "no" | "-" | "n/a" | "without" | "0" => {
            return Some(Reading::new("none", text == "none"));
        }
        _ => {}
    }
    // 2k2, 4K7, 5R6: the letter stands for the point (IEC 60062).
    let letter = text.find(['k', 'K', 'R', 'M']);
    if let Some((whole, rest)) = letter.and_then(|at| text.split_at_checked(at)) {
        let mut letters = rest.chars();
        let unit = letters.next().map(String::from).unwrap_or_default();
        let part = letters.as_str();
        let digits = |text: &str| {
            !text.is_empty() && text.len() < 5 && text.bytes().all(|b| b.is_ascii_digit())
        };
        if digits(whole) && digits(part) {
            let unit = resistance_unit(&unit)?;
            return Some(Reading::new(format!("in {whole}.{part} {unit}"), false));
        }
    }
    let (number, rest) = number(text)?;
    let unit = if rest.is_empty() { unit? } else { rest };
    let unit = resistance_unit(unit)?;
    Some(Reading::new(format!("in {number} {unit}"), false))
}

/// Whether a cell names more than one resistor: whether more than one number stands in it that is no
/// tolerance.
pub(crate) fn several(cell: &str) -> bool {
    let inside = |c: char| c.is_alphanumeric() || matches!(c, '.' | ',' | 'Ω');
    let mut numbers = 0;
    let mut rest = cell;
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        let from = rest.get(at..).unwrap_or_default();
        let end = from.find(|c: char| !inside(c)).unwrap_or(from.len());
        rest = from.get(end..).unwrap_or_default();
        numbers += usize::from(!rest.trim_start().starts_with('%'));
    }
    numbers > 1
}

/// What a zone is for. `None` where the words say nothing, or say something that this language does
/// not cover.
pub(crate) fn purpose(cell: &str) -> Option<Reading> {
    const WORDS: &[(&str, &[&str])] = &[
        (
            "panic",
            &[
                "panic",
                "hold-up",
                "holdup",
                "hold up",
                "pa",
                "duress",
                "personal attack",
                "überfall",
                "panico",
                "pánico",
            ],
        ),
        ("tamper", &["tamper", "anti-tamper", "sabotage", "cover", "sabotaje"]),
        (
            "technical",
            &[
                "technical",
                "flood",
                "water",
                "leak",
                "mains",
                "mains fail",
                "battery",
                "freezer",
                "temperature",
                "technik",
            ],
        ),
        (
            "command",
            &[
                "command",
                "key switch",
                "keyswitch",
                "exit button",
                "push to exit",
                "request to exit",
                "rex",
                "bell",
            ],
        ),
        (
            "intrusion",
            &[
                "intrusion",
                "intruder",
                "burglary",
                "burglar",
                "perimeter",
                "interior",
                "entry",
                "entry/exit",
                "instant",
                "delay",
                "delayed",
                "motion",
                "door",
                "window",
                "einbruch",
                "intrusao",
                "intrusão",
                "robo",
                "follower",
            ],
        ),
    ];
    let text = cell.trim().to_lowercase();
    let (purpose, _) = WORDS.iter().find(|(_, words)| words.contains(&text.as_str()))?;
    Some(Reading::new(*purpose, *purpose == cell.trim()))
}

/// Whether a cell speaks of life safety, which this language does not cover.
pub(crate) fn life_safety(cell: &str) -> bool {
    let text = cell.to_lowercase();
    let words = [
        "fire",
        "smoke",
        "brand",
        "rauch",
        "fuego",
        "incendio",
        "incêndio",
        "fumée",
        "gas",
        "co alarm",
    ];
    text.split(|c: char| !c.is_alphanumeric()).any(|word| words.contains(&word))
        || text.contains("carbon monoxide")
}

/// A schedule: `always`, or the name of one.
pub(crate) fn armed(cell: &str) -> Option<Reading> {
    let plain: String =
        cell.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect();
    if matches!(
        plain.as_str(),
        "always"
            | "24h"
            | "24hr"
            | "24hrs"
            | "24/7"
            | "24hour"
            | "24hours"
            | "immer"
            | "siempre"
            | "sempre"
    ) {
        return Some(Reading::new("always", cell.trim() == "always"));
    }
    let name = name(cell)?;
    Some(Reading { whole: name == cell.trim(), words: name, unit_said: true })
}

/// A name made of the letters and digits of a text: small letters, hyphens between words, a letter
/// first; a point between two digits stays. None when there is no letter to begin with.
pub(crate) fn name(text: &str) -> Option<String> {
    let digit = |c: char| c.is_ascii_digit();
    let mut out = String::new();
    let mut letters = text.trim().chars().flat_map(char::to_lowercase).peekable();
    while let Some(letter) = letters.next() {
        let point =
            letter == '.' && out.ends_with(digit) && letters.peek().copied().is_some_and(digit);
        if letter.is_alphanumeric() || point {
            out.push(letter);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
        if out.len() > 60 {
            break;
        }
    }
    let out = out.trim_end_matches(['-', '.']);
    out.starts_with(char::is_alphabetic).then(|| out.to_owned())
}

/// The name of a terminal: `3` and `IN 3` are `in3`.
pub(crate) fn terminal(text: &str) -> Option<String> {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if digits(text) {
        return Some(format!("in{text}"));
    }
    let name = name(text)?;
    let number = name.strip_prefix("in-").filter(|rest| digits(rest));
    Some(number.map_or_else(|| name.clone(), |number| format!("in{number}")))
}

/// A title in quotes, and whether it says all of the text.
pub(crate) fn title(text: &str) -> Reading {
    let text = text.trim();
    let line: String = text.chars().map(|c| if safe(c) { c } else { ' ' }).collect();
    let words = line.split_whitespace().collect::<Vec<_>>().join(" ");
    let whole = compact(&words) == compact(text) && !text.contains(['\n', '\r', '\\', '"']);
    let quoted = words.replace('\\', "\\\\").replace('"', "\\\"");
    Reading::new(format!("\"{quoted}\""), whole)
}

/// Text without white space, to compare what two texts say.
fn compact(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// Whether a character can stand in a comment or a title as it is: it breaks no line, moves no
/// cursor and turns no line round.
pub(crate) fn safe(character: char) -> bool {
    let turns = matches!(
        character,
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
    );
    let breaks = matches!(character, '\u{85}' | '\u{2028}' | '\u{2029}');
    !turns && !breaks && (character == '\t' || !character.is_control())
}

/// A line for a comment: what cannot stand there is written as its code.
pub(crate) fn comment(line: &str) -> String {
    let mut out = String::with_capacity(line.len());
    for character in line.chars() {
        if safe(character) {
            out.push(character);
        } else {
            out.push_str(&format!("\\u{{{:x}}}", u32::from(character)));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn words(reading: Option<Reading>) -> String {
        reading.map_or_else(
            || "-".to_owned(),
            |one| format!("{}{}", one.words, if one.whole { "" } else { " *" }),
        )
    }

    #[test]
    fn lengths_and_times() {
        for (cell, unit, wanted) in [
            ("22 m", None, "22 m"),
            ("22m", None, "22 m"),
            ("22", Some("m"), "22 m"),
            ("22", None, "22 m"),
            ("22,5", Some("m"), "22.5 m *"),
            ("3.5 metres", None, "3.5 m *"),
            ("60 ft", Some("m"), "60 ft"),
            ("1.200", Some("m"), "-"),
            ("1,200 m", None, "-"),
            ("ca. 20", None, "-"),
            ("20 m + 5 m", None, "-"),
            ("", None, "-"),
        ] {
            assert_eq!(words(length(cell, unit)), wanted, "{cell}");
        }
        assert_eq!(words(time("30 sec", None)), "30 s *");
        assert_eq!(words(time("30", Some("s"))), "30 s");
        assert_eq!(words(time("30 m", None)), "-");
        assert_eq!(words(time("2 min 30 s", None)), "2 min 30 s");
        assert_eq!(words(time("1h 30 mins", Some("s"))), "1 h 30 min *");
        for odd in ["30 s 2 min", "2 min 30", "2 min 1.5 s x", "2 min 2 min", "1 h 30 m"] {
            assert_eq!(words(time(odd, Some("min"))), "-", "{odd}");
        }
    }

    #[test]
    fn contacts_and_resistors() {
        for (cell, wanted) in
            [("NC", "closed *"), ("n.o.", "open *"), ("Normally Closed", "closed *"), ("?", "-")]
        {
            assert_eq!(words(rest(cell)), wanted);
        }
        for (cell, wanted) in [
            ("2k2", "in 2.2 kohm *"),
            ("4K7", "in 4.7 kohm *"),
            ("5.6 kΩ", "in 5.6 kohm *"),
            ("none", "none"),
            ("-", "none *"),
            ("1k/2k2", "-"),
            ("DEOL 4k7", "-"),
            ("4k7 EOL", "in 4.7 kohm *"),
            ("EOL 4k7", "in 4.7 kohm *"),
            ("2200", "-"),
            ("2.2", "-"),
            ("Open", "-"),
        ] {
            assert_eq!(words(ends(cell, None)), wanted, "{cell}");
        }
        assert_eq!(words(ends("2.2", Some("kΩ"))), "in 2.2 kohm *");
        assert_eq!(words(ends("2200", Some("ohm"))), "in 2200 ohm *");
        assert_eq!(words(ends("560 R", Some("kΩ"))), "in 560 ohm *");
        for (cell, wanted) in [
            ("2k2/4k7", true),
            ("2.2 kohm, 4.7 kohm", true),
            ("2k2 series + 4k7 parallel", true),
            ("2.2 kohm +-1 %", false),
            ("2k2 1%", false),
            ("2200", false),
            ("Open", false),
        ] {
            assert_eq!(several(cell), wanted, "{cell}");
        }
    }

    #[test]
    fn purposes_and_what_is_not_covered() {
        assert_eq!(words(purpose("Hold-up")), "panic *");
        assert_eq!(words(purpose("intrusion")), "intrusion");
        assert_eq!(words(purpose("Fire")), "-");
        assert!(
            life_safety("Fire alarm") && life_safety("smoke") && !life_safety("fireplace room")
        );
    }

    #[test]
    fn names_and_titles() {
        assert_eq!(name("Front door (east)").as_deref(), Some("front-door-east"));
        assert_eq!(name("Tür Küche").as_deref(), Some("tür-küche"));
        assert_eq!(name("6 core 0.22").as_deref(), None);
        assert_eq!(name("Cable 6x0.22 mm2").as_deref(), Some("cable-6x0.22-mm2"));
        assert_eq!(name("St. 2. floor, No.3 1.").as_deref(), Some("st-2-floor-no-3-1"));
        let long = format!("{}1.5", "a".repeat(59));
        assert_eq!(name(&long), Some("a".repeat(59) + "1"));
        assert_eq!(name("12"), None);
        for (cell, wanted) in [("3", "in3"), ("IN 2", "in2"), ("in4", "in4"), ("IN-A 2", "in-a-2")]
        {
            assert_eq!(terminal(cell).as_deref(), Some(wanted));
        }
        assert_eq!(words(Some(title("a \"b\"\n=c"))), "\"a \\\"b\\\" =c\" *");
        assert_eq!(comment("a\u{7}b\u{202e}"), "a\\u{7}b\\u{202e}");
    }
}
