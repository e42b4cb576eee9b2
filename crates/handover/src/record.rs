//! From a filled sheet back into the site file: meter readings as lines of `measured` blocks. The
//! rest of the file, its comments and their order stay byte for byte as they are.

use crate::csv;
use curtilage_syntax::tree::{Date, Item, measured};
use curtilage_syntax::{Parsed, parse};
use curtilage_text::Span;
use curtilage_units::Dimension;
use std::collections::HashMap;

/// A reading of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The line of the sheet.
    pub line: usize,
    /// Where the meter was put: a terminal, an output, a controller or a supply.
    pub at: String,
    /// In which condition, in the word of the language.
    pub condition: String,
    /// The reading as it is written into the site file: `4.71 kohm`.
    pub value: String,
    /// Its day, when the sheet gives one.
    pub date: Option<Date>,
}

/// A line of the sheet that cannot be taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// The line.
    pub line: usize,
    /// Why.
    pub why: String,
}

/// What a sheet holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Filled {
    /// The names of the sites that it names, each once.
    pub sites: Vec<String>,
    /// Its readings.
    pub entries: Vec<Entry>,
    /// What cannot be taken.
    pub refused: Vec<Refused>,
    /// How many readings are not filled in yet.
    pub open: usize,
    /// What was filled in where nothing is measured.
    pub remarks: Vec<Remark>,
}

/// Something in the column of readings of a test without a meter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// The line.
    pub line: usize,
    /// What stands there.
    pub text: String,
}

/// The places of the columns that matter.
struct Columns {
    at: usize,
    condition: usize,
    reading: usize,
    unit: Option<usize>,
    date: Option<usize>,
    site: Option<usize>,
}

/// Reads a sheet.
///
/// # Errors
/// When it has no line with the heads `at`, `condition` and `reading`.
pub fn read(text: &str) -> Result<Filled, String> {
    let rows = csv::read(text);
    let found = rows.iter().enumerate().find_map(|(at, (_, row))| Some((at, columns(row)?)));
    let Some((head, columns)) = found else {
        return Err("there is no line with the heads `at`, `condition` and `reading`".to_owned());
    };
    let mut out = Filled::default();
    for (line, row) in rows.iter().skip(head + 1) {
        let cell = |at: usize| row.get(at).map_or("", String::as_str);
        let perhaps = |at: Option<usize>| at.map_or("", cell);
        let site = perhaps(columns.site);
        if !site.is_empty() && !out.sites.iter().any(|known| known == site) {
            out.sites.push(site.to_owned());
        }
        let (at, reading) = (cell(columns.at), cell(columns.reading));
        if at.is_empty() {
            if !reading.is_empty() {
                out.remarks.push(Remark { line: *line, text: shown(reading) });
            }
            continue;
        }
        if reading.is_empty() {
            out.open += 1;
            continue;
        }
        let day = match perhaps(columns.date) {
            "" => Ok(None),
            text => date(text).map(Some),
        };
        let value = value(reading, perhaps(columns.unit));
        match (condition(cell(columns.condition)), word(at), value, day) {
            (Ok(condition), Ok(at), Ok(value), Ok(date)) => {
                out.entries.push(Entry { line: *line, at, condition, value, date });
            }
            (condition, at, value, day) => {
                let whys = [condition.err(), at.err(), value.err(), day.err()];
                let why: Vec<String> = whys.into_iter().flatten().collect();
                out.refused.push(Refused { line: *line, why: why.join("; ") });
            }
        }
    }
    Ok(out)
}

fn columns(row: &[String]) -> Option<Columns> {
    let find = |name: &str| row.iter().position(|cell| cell.eq_ignore_ascii_case(name));
    Some(Columns {
        at: find("at")?,
        condition: find("condition")?,
        reading: find("reading")?,
        unit: find("unit"),
        date: find("date"),
        site: find("site"),
    })
}

fn date(text: &str) -> Result<Date, String> {
    Date::from_text(text).ok_or_else(|| format!("`{text}` is no date such as 2026-12-25"))
}

/// Whether the site file would read this place and value as one reading, and as nothing else: tried
/// by reading the line.
fn reads_as(at: &str, value: &str) -> bool {
    let line = format!("measured 2026-01-01 {{\n{at} resting {value}\n}}\n");
    let tried = parse(&line, &[]);
    let [Item::Measured(measured)] = tried.file.items.as_slice() else { return false };
    let [reading] = measured.readings.as_slice() else { return false };
    tried.faults.is_empty()
        && reading.at.span().of(&line) == at
        && reading.value.span.of(&line) == value
}

/// A name that cannot change the file around it.
fn word(text: &str) -> Result<String, String> {
    if reads_as(text, "1 ohm") {
        return Ok(text.to_owned());
    }
    Err(format!("`{}` is no name of a terminal, an output or a supply", shown(text)))
}

fn condition(text: &str) -> Result<String, String> {
    let words: Vec<&str> = CONDITIONS.iter().map(|condition| condition.word()).collect();
    if words.contains(&text) {
        return Ok(text.to_owned());
    }
    Err(format!("`{}` is no condition: {}", shown(text), words.join(", ")))
}

const CONDITIONS: [measured::Condition; 8] = [
    measured::Condition::Resting,
    measured::Condition::Active,
    measured::Condition::Tamper,
    measured::Condition::Cut,
    measured::Condition::Shorted,
    measured::Condition::Running,
    measured::Condition::Floating,
    measured::Condition::Battery,
];

/// A text in a message: not too long, and on one line.
fn shown(text: &str) -> String {
    text.chars().take(60).map(crate::plain).collect()
}

/// A reading as the site file has it: a number with a point and a unit.
fn value(text: &str, unit: &str) -> Result<String, String> {
    let open = ["ol", "o.l.", "0l", "open", "inf", "infinite", "over", "\u{221e}"];
    if open.contains(&text.to_lowercase().as_str()) {
        return Err("an open circuit has no figure: measure volts with the wires on".to_owned());
    }
    let text: String = text
        .chars()
        .map(|letter| if matches!(letter, '\u{a0}' | '\u{202f}') { ' ' } else { letter })
        .collect();
    let end =
        text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ',')).unwrap_or(text.len());
    let (number, own) = text.split_at(end);
    let own = own.trim();
    let commas = number.matches(',').count();
    let points = number.matches('.').count();
    // A decimal comma is a point; what could also part thousands is not guessed.
    let ambiguous = commas + points > 1;
    let number = number.replace(',', ".");
    let number = match number.strip_prefix('.') {
        Some(rest) => format!("0.{rest}"),
        None => number,
    };
    let number = number.strip_suffix('.').unwrap_or(&number);
    if ambiguous || number.is_empty() {
        return Err(format!("`{}` is no reading such as 4.71 kohm", shown(&text)));
    }
    let unit = if own.is_empty() { unit } else { own };
    if unit.is_empty() {
        return Err(format!("`{}` has no unit", shown(&text)));
    }
    let known = curtilage_units::lookup(unit);
    let measured = [Dimension::Resistance, Dimension::Voltage, Dimension::Current];
    let Some(known) = known.filter(|known| measured.contains(&known.dimension)) else {
        return Err(format!("`{}` is no unit of a meter reading", shown(unit)));
    };
    let value = format!("{number} {}", known.text);
    if reads_as("a", &value) {
        return Ok(value);
    }
    Err(format!("`{}` is no reading such as 4.71 kohm", shown(&text)))
}

/// Keeps one entry for each place, condition, day and dimension: the last one of the sheet. What says
/// something else is given back, with the line that counts instead of it.
#[must_use]
pub fn last_ones(entries: Vec<Entry>, today: Date) -> (Vec<Entry>, Vec<Refused>) {
    let mut kept: Vec<Entry> = Vec::new();
    let mut refused = Vec::new();
    let mut seen: HashMap<_, usize> = HashMap::new();
    for entry in entries {
        let Some(slot) = seen.get(&place(&entry, today)).and_then(|at| kept.get_mut(*at)) else {
            seen.insert(place(&entry, today), kept.len());
            kept.push(entry);
            continue;
        };
        let before = std::mem::replace(slot, entry);
        if amount(&before.value) != amount(&slot.value) {
            let Entry { at, condition, value, .. } = &before;
            let why = format!(
                "`{at} {condition} {value}` gives way to line {}, which has {} for it",
                slot.line, slot.value
            );
            refused.push(Refused { line: before.line, why });
        }
    }
    (kept, refused)
}

/// What of two readings has to differ for both to be kept.
fn place(entry: &Entry, today: Date) -> (Date, String, String, Option<Dimension>) {
    let day = entry.date.unwrap_or(today);
    (day, entry.at.clone(), entry.condition.clone(), dimension(&entry.value))
}

fn amount(value: &str) -> Option<f64> {
    curtilage_units::parse(value).ok().map(|quantity| quantity.value)
}

/// What became of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// It is a new line.
    Added,
    /// It took the place of another figure of the same day.
    Replaced,
    /// It stood there already.
    Known,
}

/// A site file with the readings in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The new text.
    pub text: String,
    /// What became of each entry, in order.
    pub changes: Vec<Change>,
}

/// Puts readings into the text of a site file, one for each place (see [`last_ones`]). Those without a
/// day are of `today`.
#[must_use]
pub fn take(text: &str, parsed: &Parsed, entries: &[Entry], today: Date) -> Taken {
    let line_end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let mut changes = vec![Change::Added; entries.len()];
    let mut edits: Vec<(Span, String)> = Vec::new();
    let mut tail = String::new();
    let mut days: Vec<Date> = entries.iter().map(|entry| entry.date.unwrap_or(today)).collect();
    days.sort_unstable();
    days.dedup();
    for day in days {
        let of_day = entries.iter().enumerate();
        let of_day = of_day.filter(|(_, entry)| entry.date.unwrap_or(today) == day);
        let blocks = blocks(text, parsed, day);
        let mut lines: Vec<String> = Vec::new();
        for (at, entry) in of_day {
            let known = blocks.iter().flat_map(|(readings, _)| *readings).find(|reading| {
                reading.at.span().of(text) == entry.at
                    && reading.condition.value.word() == entry.condition
                    && same_dimension(reading, entry)
            });
            let change = match known {
                Some(reading) if reading.value.span.of(text) == entry.value => Change::Known,
                Some(reading) => {
                    edits.push((reading.value.span, entry.value.clone()));
                    Change::Replaced
                }
                None => {
                    let line = format!(
                        "    {:<14}{} {}",
                        format!("{} ", entry.at),
                        entry.condition,
                        entry.value
                    );
                    lines.push(line);
                    Change::Added
                }
            };
            if let Some(slot) = changes.get_mut(at) {
                *slot = change;
            }
        }
        if lines.is_empty() {
            continue;
        }
        let lines = lines.join(line_end);
        match blocks.last().and_then(|(_, block)| *block) {
            Some(block) => edits.push(before_brace(text, block, &lines, line_end)),
            None => {
                let day = format!("{:04}-{:02}-{:02}", day.year, day.month, day.day);
                tail.push_str(&format!(
                    "{line_end}measured {day} {{{line_end}{lines}{line_end}}}{line_end}"
                ));
            }
        }
    }
    let mut out = text.to_owned();
    edits.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    for (span, new) in edits {
        let range = span.start as usize..span.end as usize;
        if out.get(range.clone()).is_some() {
            out.replace_range(range, &new);
        }
    }
    if !tail.is_empty() {
        if !out.is_empty() && !out.ends_with('\n') {
            out.push_str(line_end);
        }
        out.push_str(&tail);
    }
    Taken { text: out, changes }
}

type Block<'p> = (&'p [measured::Reading], Option<Span>);

/// The blocks of a day: their readings, and their braces.
fn blocks<'p>(text: &str, parsed: &'p Parsed, day: Date) -> Vec<Block<'p>> {
    let items = parsed.file.items.iter().filter_map(|item| match item {
        Item::Measured(measured) if measured.date.value == day => Some(measured),
        _ => None,
    });
    items
        .map(|measured| {
            let statement = parsed.statements(text).iter().find(|one| {
                one.span.start <= measured.line.start && measured.line.end <= one.span.end
            });
            let block = statement.and_then(|one| one.block.as_ref()).map(|block| block.span);
            (measured.readings.as_slice(), block)
        })
        .collect()
}

fn dimension(value: &str) -> Option<Dimension> {
    curtilage_units::parse(value).ok().map(|quantity| quantity.dimension)
}

fn same_dimension(reading: &measured::Reading, entry: &Entry) -> bool {
    dimension(&entry.value) == Some(reading.dimension)
}

/// Lines in front of a closing brace, which keeps a line of its own.
fn before_brace(text: &str, block: Span, lines: &str, line_end: &str) -> (Span, String) {
    let brace = block.end.saturating_sub(1);
    let before = text.get(..brace as usize).unwrap_or("");
    let line = before.rfind('\n').map_or(0, |at| at + 1);
    let alone = before.get(line..).is_some_and(|rest| rest.trim().is_empty());
    if alone {
        let at = u32::try_from(line).unwrap_or(brace);
        (Span::at(at), format!("{lines}{line_end}"))
    } else {
        (Span::at(brace), format!("{line_end}{lines}{line_end}"))
    }
}

#[cfg(test)]
mod tests {
    use super::{Change, Entry, Refused, Remark, last_ones, read, take};
    use curtilage_syntax::parse;
    use curtilage_syntax::tree::Date;

    const DAY: Date = Date { year: 2026, month: 11, day: 25 };

    fn entry(at: &str, condition: &str, value: &str) -> Entry {
        let (at, condition) = (at.to_owned(), condition.to_owned());
        Entry { line: 2, at, condition, value: value.to_owned(), date: None }
    }

    #[track_caller]
    fn taken(text: &str, entries: &[Entry], wanted: &str) -> Vec<Change> {
        let taken = take(text, &parse(text, &[]), entries, DAY);
        assert_eq!(taken.text, wanted);
        // A second time there is nothing left to do.
        let again = take(wanted, &parse(wanted, &[]), entries, DAY);
        assert_eq!(again.text, wanted);
        assert!(again.changes.iter().all(|change| *change == Change::Known));
        taken.changes
    }

    #[test]
    fn a_new_day_is_a_new_block_at_the_end() {
        taken(
            "# a\nsupply main is box",
            &[entry("main", "floating", "13.6 V")],
            "# a\nsupply main is box\n\nmeasured 2026-11-25 {\n    main          floating 13.6 V\n}\n",
        );
    }

    #[test]
    fn a_day_that_is_there_goes_on_and_its_comments_stay() {
        let changes = taken(
            "measured 2026-11-25 { # van\n    main          floating 13 V  # old meter\n    # end\n}\n# tail\n",
            &[entry("main", "floating", "13.6 V"), entry("main", "on-battery", "12 V")],
            "measured 2026-11-25 { # van\n    main          floating 13.6 V  # old meter\n    # end\n    main          on-battery 12 V\n}\n# tail\n",
        );
        assert_eq!(changes, [Change::Replaced, Change::Added]);
    }

    #[test]
    fn a_block_on_one_line_is_opened_and_line_ends_are_kept() {
        taken(
            "measured 2026-11-25 { main floating 13 V }\r\n",
            &[entry("a.in1", "resting", "4.7 kohm")],
            "measured 2026-11-25 { main floating 13 V \r\n    a.in1         resting 4.7 kohm\r\n}\r\n",
        );
    }

    #[test]
    fn the_last_of_two_lines_for_one_place_counts_and_another_figure_is_told() {
        let at = |line: usize, value: &str| Entry { line, ..entry("a.in1", "cut", value) };
        let (kept, refused) = last_ones(vec![at(2, "2 Mohm"), at(3, "3 Mohm")], DAY);
        assert_eq!(kept, [at(3, "3 Mohm")]);
        let why = "`a.in1 cut 2 Mohm` gives way to line 3, which has 3 Mohm for it".to_owned();
        assert_eq!(refused, [Refused { line: 2, why }]);
        // The same figure once more is no other one, however it is written.
        let (kept, refused) = last_ones(vec![at(2, "3 Mohm"), at(3, "3000 kohm")], DAY);
        assert_eq!((kept, refused), (vec![at(3, "3000 kohm")], vec![]));
        // Volts, another day and another condition are other readings.
        let day = Entry { date: Date::from_text("2026-11-02"), ..at(4, "2 Mohm") };
        let others = vec![at(2, "2 Mohm"), at(3, "12 V"), day, entry("a.in1", "resting", "1 kohm")];
        assert_eq!(last_ones(others.clone(), DAY), (others, vec![]));
    }

    #[test]
    fn ohms_and_volts_of_one_place_are_two_readings() {
        taken(
            "measured 2026-11-25 {\n    a.in1         cut 12 V\n}\n",
            &[entry("a.in1", "cut", "2 Mohm")],
            "measured 2026-11-25 {\n    a.in1         cut 12 V\n    a.in1         cut 2 Mohm\n}\n",
        );
    }

    #[track_caller]
    fn one(reading: &str, unit: &str) -> Result<String, String> {
        let sheet = format!("at,condition,unit,reading\na.in1,resting,{unit},\"{reading}\"\n");
        let filled = read(&sheet).unwrap();
        match (filled.entries.first(), filled.refused.first()) {
            (Some(entry), None) => Ok(entry.value.clone()),
            (None, Some(refused)) => Err(refused.why.clone()),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn readings_as_people_write_them() {
        for (reading, unit, wanted) in [
            ("4.71", "kohm", "4.71 kohm"),
            ("4,71", "kohm", "4.71 kohm"),
            ("4.71 k\u{2126}", "ohm", "4.71 kohm"),
            (".5", "ohm", "0.5 ohm"),
            ("13.6V", "", "13.6 V"),
            ("0", "ohm", "0 ohm"),
        ] {
            assert_eq!(one(reading, unit).as_deref(), Ok(wanted), "{reading} {unit}");
        }
        for (reading, unit) in [
            ("OL", "kohm"),
            ("4.71", ""),
            ("1,234.5", "ohm"),
            ("-3", "V"),
            ("4 m", "kohm"),
            ("13.6 V } allow", "V"),
            ("=4", "V"),
            ("ok", "V"),
            ("99999999999999999999", "V"),
        ] {
            assert!(one(reading, unit).is_err(), "{reading} {unit}");
        }
    }

    #[test]
    fn what_is_no_name_cannot_change_the_file() {
        let taken = |at: &str| {
            let filled = read(&format!("at,condition,reading\n\"{at}\",resting,1 ohm\n")).unwrap();
            (filled.entries.len(), filled.refused.len())
        };
        for at in ["main", "panel.in1", "panel.common-2", "größe.in1"] {
            assert_eq!(taken(at), (1, 0), "{at}");
        }
        for at in
            ["2", "4.7", "07:30", "2026-01-01", "zone", "a b", "a\nb", "a # b", "a }", ".", "(a)"]
        {
            assert_eq!(taken(at), (0, 1), "{at}");
        }
    }

    #[test]
    fn a_sheet_tells_its_site_and_what_is_open() {
        let filled = read("NOT FIT FOR WORK\nsite,at,condition,reading,date\ns,a.in1,resting,,\ns,a.in1,active,1 kohm,2026-11-02\ns,,,seen,\n").unwrap();
        assert_eq!((filled.sites, filled.open), (vec!["s".to_owned()], 1));
        assert_eq!(filled.remarks, [Remark { line: 5, text: "seen".to_owned() }]);
        assert_eq!(filled.entries[0].date, Date::from_text("2026-11-02"));
        assert!(read("a,b\n1,2\n").is_err());
    }
}
