//! Which column says what: by its heading, matched forgivingly, and where the heading says nothing,
//! by what stands in it.

use crate::cells;
use crate::sheet::{Row, Sheet};
use crate::{Sure, Told};
use curtilage_syntax::nearest;
use std::collections::BTreeSet;

/// What a column can say of a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Field {
    Name,
    Title,
    Purpose,
    Part,
    Area,
    Controller,
    Input,
    Length,
    Cable,
    Rest,
    Ends,
    Armed,
    Lockout,
    Settle,
    Entry,
    Exit,
}

/// What the name is called in a report.
const NAME: &str = "the name of the zone";

/// Each field, what it is called in a report, and the headings that mean it: as designers write
/// them, in the languages in which we have seen such tables (common practice, no source).
const FIELDS: &[(Field, &str, &[&str])] = &[
    (
        Field::Name,
        NAME,
        &[
            "zone",
            "zone no",
            "zone number",
            "zone name",
            "zone id",
            "no",
            "nr",
            "number",
            "name",
            "id",
            "ref",
            "reference",
            "tag",
            "point",
            "detector no",
            "detector number",
            "detector id",
            "zona",
            "numero",
            "melder nr",
            "meldernummer",
            "nummer",
            "zonen nr",
            "linie",
        ],
    ),
    (
        Field::Title,
        "the title of the zone",
        &[
            "description",
            "descriptor",
            "zone description",
            "title",
            "text",
            "zone text",
            "label",
            "what",
            "designation",
            "bezeichnung",
            "beschreibung",
            "descripcion",
            "descricao",
            "omschrijving",
            "libelle",
        ],
    ),
    (
        Field::Purpose,
        "what the zone is for",
        &[
            "purpose",
            "type",
            "zone type",
            "function",
            "alarm type",
            "category",
            "kind",
            "use",
            "zweck",
            "funktion",
            "tipo",
            "funcion",
            "funcao",
            "fonction",
        ],
    ),
    (
        Field::Part,
        "the part",
        &[
            "part",
            "device",
            "device type",
            "detector type",
            "detector",
            "melder",
            "sensor",
            "sensor type",
            "model",
            "equipment",
            "product",
            "article",
            "gerat",
            "meldertyp",
            "sensortyp",
            "dispositivo",
            "equipo",
            "appareil",
            "contact type",
        ],
    ),
    (
        Field::Area,
        "the area",
        &[
            "area",
            "room",
            "location",
            "where",
            "place",
            "partition",
            "floor",
            "building",
            "raum",
            "bereich",
            "ort",
            "ubicacion",
            "local",
            "piece",
            "lieu",
            "sala",
        ],
    ),
    (
        Field::Controller,
        "the controller",
        &[
            "controller",
            "panel",
            "control panel",
            "board",
            "expander",
            "module",
            "unit",
            "node",
            "zentrale",
            "central",
            "centrale",
            "modul",
            "rio",
        ],
    ),
    (
        Field::Input,
        "the input",
        &[
            "input",
            "input no",
            "terminal",
            "terminals",
            "connected to",
            "wired to",
            "port",
            "in",
            "eingang",
            "klemme",
            "entrada",
            "borne",
            "entree",
        ],
    ),
    (
        Field::Length,
        "the length of the cable",
        &[
            "length",
            "cable length",
            "run",
            "cable run",
            "distance",
            "metres",
            "meters",
            "m",
            "lange",
            "kabellange",
            "longitud",
            "comprimento",
            "longueur",
        ],
    ),
    (
        Field::Cable,
        "the cable",
        &["cable", "cable type", "wire", "wire type", "kabel", "kabeltyp", "cabo", "tipo de cable"],
    ),
    (
        Field::Rest,
        "how the contact rests",
        &[
            "rest",
            "rests",
            "contact",
            "no nc",
            "nc no",
            "normally",
            "normal state",
            "rest state",
            "ruhelage",
            "reposo",
        ],
    ),
    (
        Field::Ends,
        "the end-of-line network",
        &[
            "ends",
            "eol",
            "end of line",
            "eol resistor",
            "resistor",
            "resistors",
            "abschluss",
            "widerstand",
            "resistencia",
        ],
    ),
    (
        Field::Armed,
        "when the zone is armed",
        &[
            "armed",
            "arming",
            "schedule",
            "when",
            "armed when",
            "set",
            "hours",
            "scharf",
            "zeitplan",
            "horario",
        ],
    ),
    (Field::Lockout, "the lockout", &["lockout", "lock out", "dead time", "sperrzeit"]),
    (
        Field::Settle,
        "the settle time",
        &["settle", "debounce", "response time", "pulse time", "loop response"],
    ),
    (
        Field::Entry,
        "the entry time",
        &[
            "entry",
            "entry time",
            "entry delay",
            "delay",
            "entrance delay",
            "eingangszeit",
            "retardo de entrada",
        ],
    ),
    (
        Field::Exit,
        "the exit time",
        &["exit", "exit time", "exit delay", "ausgangszeit", "retardo de salida"],
    ),
];

/// One column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Column {
    /// Its heading, as it is written.
    pub(crate) heading: String,
    /// What it says; none when that is not known.
    pub(crate) field: Option<Field>,
    /// A unit in its heading: `Length (m)`.
    pub(crate) unit: Option<String>,
}

/// How the table is laid out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Layout {
    /// Rows above the headings.
    pub(crate) above: usize,
    /// The first row below the headings.
    pub(crate) body: usize,
    pub(crate) columns: Vec<Column>,
}

impl Layout {
    /// The column of a field.
    pub(crate) fn column(&self, field: Field) -> Option<(usize, &Column)> {
        self.columns.iter().enumerate().find(|(_, column)| column.field == Some(field))
    }
}

/// Finds the headings and what each column says.
pub(crate) fn find(sheet: &Sheet, told: &mut Vec<Told>) -> Layout {
    let width = sheet.rows.iter().map(|row| row.cells.len()).max().unwrap_or(0);
    // The first of the rows near the top in which most cells are headings.
    let count = |row: &Row| row.filled().filter(|(_, cell)| by_words(cell).is_some()).count();
    let near = sheet.rows.iter().take(20).enumerate();
    let best =
        near.map(|(at, row)| (count(row), at)).max_by_key(|(count, at)| (*count, usize::MAX - at));
    let header = best.filter(|(count, _)| *count > 0).map(|(_, at)| at);
    let Some(header) = header else {
        told.push(Told::of_file(
            Sure::Guess,
            "no row says what the columns are; every cell is kept as a comment of its zone, \
             as far as it tells nothing by itself",
        ));
        let mut columns = vec![Column { heading: String::new(), field: None, unit: None }; width];
        by_content(sheet.rows.as_slice(), &mut columns, told);
        return Layout { above: 0, body: 0, columns };
    };
    let Some(row) = sheet.rows.get(header) else {
        return Layout { above: 0, body: 0, columns: Vec::new() };
    };
    if header > 0 {
        told.push(Told::of_file(Sure::Likely, format!("the headings are in row {}", row.number)));
    }
    let mut columns: Vec<Column> = (0..width)
        .map(|at| {
            let heading = row.cell(at).to_owned();
            Column { field: None, unit: unit(&heading), heading }
        })
        .collect();
    let body = sheet.rows.get(header + 1..).unwrap_or_default();
    claim(body, &mut columns, told);
    by_content(body, &mut columns, told);
    Layout { above: header, body: header + 1, columns }
}

/// Headings over what is fitted; over its numbers, where no other column has those.
const DETECTOR: [&str; 2] = ["detector", "melder"];

/// How well a heading means a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Fit {
    /// It is nearly spelled like it.
    Near,
    /// It has its words among others.
    Holds,
    /// It is exactly it, and may be another one too.
    Either,
    /// It is exactly it.
    Is,
}

/// The fields that a heading can mean, the best first.
fn fits(heading: &str) -> Vec<(Fit, usize, Field, &'static str, &'static str)> {
    let text = words(heading);
    let all = text.join(" ");
    if all.is_empty() {
        return Vec::new();
    }
    let mut fits = Vec::new();
    for (field, about, headings) in FIELDS {
        let mut best: Option<(Fit, usize, &'static str)> = None;
        for known in *headings {
            let parts: Vec<&str> = known.split(' ').collect();
            let either = DETECTOR.contains(known);
            let fit = if all == *known {
                Some(if either { Fit::Either } else { Fit::Is })
            } else if text.windows(parts.len()).any(|window| window == parts)
                && known.len() > 2
                && !either
            {
                Some(Fit::Holds)
            } else if known.len() > 3 && nearest(&all, [*known]).is_some() {
                Some(Fit::Near)
            } else {
                None
            };
            if let Some(fit) = fit {
                best = best.max(Some((fit, known.len(), known)));
            }
        }
        if let Some((fit, length, known)) = best {
            fits.push((fit, length, *field, *about, known));
        }
    }
    fits.sort_by_key(|(fit, length, field, ..)| (std::cmp::Reverse((*fit, *length)), *field));
    fits
}

fn by_words(heading: &str) -> Option<Field> {
    fits(heading).first().map(|(_, _, field, ..)| *field)
}

/// Gives each column the field that its heading fits best, each field once.
fn claim(body: &[Row], columns: &mut [Column], told: &mut Vec<Told>) {
    let named = columns.iter().any(|column| by_words(&column.heading) == Some(Field::Name));
    let mut claims = Vec::new();
    for (at, column) in columns.iter().enumerate() {
        for (fit, length, field, about, known) in fits(&column.heading) {
            // What is fitted comes again in most tables, and another column names the zones.
            let names = fit == Fit::Either && !named && all_differ(body, at);
            let (field, about) = if names { (Field::Name, NAME) } else { (field, about) };
            claims.push((fit, length, at, field, about, known));
        }
    }
    claims.sort_by_key(|(fit, length, at, field, ..)| {
        (std::cmp::Reverse((*fit, *length)), *at, *field)
    });
    let mut taken: Vec<Field> = Vec::new();
    let mut notes: Vec<(usize, Told)> = Vec::new();
    for (fit, _, at, field, about, known) in claims {
        let Some(column) = columns.get_mut(at) else { continue };
        if column.field.is_some() || taken.contains(&field) {
            continue;
        }
        column.field = Some(field);
        taken.push(field);
        let heading = &column.heading;
        let (sure, what) = match fit {
            Fit::Is => (Sure::Sure, format!("`{heading}` is {about}")),
            Fit::Either if field == Field::Name => (
                Sure::Guess,
                format!("`{heading}` is {about}: no other column is, and no cell comes twice"),
            ),
            Fit::Holds | Fit::Either => {
                (Sure::Likely, format!("`{heading}` is {about}: it says `{known}`"))
            }
            Fit::Near => (Sure::Guess, format!("`{heading}` is {about}: it reads like `{known}`")),
        };
        notes.push((at, Told { row: None, column: Some(at + 1), sure, what }));
    }
    // A number names the zones in many tables, and a column beside it what they are called.
    let called = |column: &Column| {
        column.field.is_none()
            && by_words(&column.heading) == Some(Field::Name)
            && words(&column.heading).last().is_some_and(|word| word == "name")
    };
    if !taken.contains(&Field::Title)
        && let Some((at, column)) = columns.iter_mut().enumerate().find(|(_, one)| called(one))
    {
        column.field = Some(Field::Title);
        let what =
            format!("`{}` is the title of the zone: another column is its name", column.heading);
        notes.push((at, Told { row: None, column: Some(at + 1), sure: Sure::Likely, what }));
    }
    for (at, column) in columns.iter().enumerate() {
        if column.field.is_none() && !column.heading.is_empty() {
            let what = match fits(&column.heading).first() {
                Some((_, _, _, about, _)) => format!(
                    "`{}` is kept as comments: another column is {about} already",
                    column.heading
                ),
                None => format!("`{}` is not known, and is kept as comments", column.heading),
            };
            notes.push((at, Told { row: None, column: Some(at + 1), sure: Sure::Kept, what }));
        }
    }
    notes.sort_by_key(|(at, _)| *at);
    told.extend(notes.into_iter().map(|(_, note)| note));
}

/// Whether no cell of a column comes twice.
fn all_differ(body: &[Row], at: usize) -> bool {
    let mut seen = BTreeSet::new();
    body.iter()
        .map(|row| row.cell(at))
        .filter(|cell| !cell.is_empty())
        .all(|cell| seen.insert(cell))
}

/// Columns without a heading tell by their cells, where the cells leave no choice.
fn by_content(body: &[Row], columns: &mut [Column], told: &mut Vec<Told>) {
    for at in 0..columns.len() {
        let silent = columns.get(at).is_some_and(|c| c.field.is_none() && c.heading.is_empty());
        if !silent {
            continue;
        }
        let cells: Vec<&str> =
            body.iter().map(|row| row.cell(at)).filter(|cell| !cell.is_empty()).collect();
        if cells.len() < 2 {
            continue;
        }
        let all = |test: &dyn Fn(&str) -> bool| cells.iter().all(|cell| test(cell));
        let found = if all(&|cell| cells::rest(cell).is_some()) {
            Some((Field::Rest, "how the contact rests", "every cell is NO, NC or the like"))
        } else if all(&|cell| cells::length(cell, None).is_some_and(|read| read.unit_said)) {
            Some((Field::Length, "the length of the cable", "every cell is a length"))
        } else {
            None
        };
        let Some((field, about, why)) = found else { continue };
        if columns.iter().any(|column| column.field == Some(field)) {
            continue;
        }
        if let Some(column) = columns.get_mut(at) {
            column.field = Some(field);
            let what = format!("it is {about}: it has no heading, and {why}");
            told.push(Told { row: None, column: Some(at + 1), sure: Sure::Guess, what });
        }
    }
}

/// The words of a heading, in small letters and without accents; what stands in parentheses or
/// brackets is a remark.
fn words(heading: &str) -> Vec<String> {
    let outside = heading.split(['(', '[']).next().unwrap_or_default();
    let outside = if outside.trim().is_empty() { heading } else { outside };
    let plain: String = outside.chars().flat_map(char::to_lowercase).map(bare).collect();
    let parts = plain.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    parts.map(str::to_owned).collect()
}

/// A letter without its accent, for the accents that such headings have.
fn bare(letter: char) -> char {
    match letter {
        'á' | 'à' | 'â' | 'ã' | 'ä' => 'a',
        'é' | 'è' | 'ê' | 'ë' => 'e',
        'í' | 'ì' | 'î' | 'ï' => 'i',
        'ó' | 'ò' | 'ô' | 'õ' | 'ö' => 'o',
        'ú' | 'ù' | 'û' | 'ü' => 'u',
        'ç' => 'c',
        'ñ' => 'n',
        other => other,
    }
}

/// A unit that a heading gives in parentheses or brackets: `Length (m)`, `Lockout [s]`.
fn unit(heading: &str) -> Option<String> {
    let from = heading.find(['(', '['])?;
    let inside = heading.get(from + 1..)?;
    let to = inside.find([')', ']'])?;
    let unit = inside.get(..to)?.trim();
    cells::is_unit(unit).then(|| unit.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layout(lines: &[&str]) -> (Layout, Vec<Told>) {
        let rows = lines.iter().enumerate().map(|(at, line)| Row {
            number: at + 1,
            cells: line.split(';').map(str::to_owned).collect(),
        });
        let mut told = Vec::new();
        let found = find(&Sheet { rows: rows.collect() }, &mut told);
        (found, told)
    }

    #[track_caller]
    fn fields(heading: &str) -> Vec<Option<Field>> {
        layout(&[heading]).0.columns.into_iter().map(|column| column.field).collect()
    }

    #[test]
    fn headings_are_matched_forgivingly() {
        use Field::*;
        let wanted = |list: &[Field]| list.iter().copied().map(Some).collect::<Vec<_>>();
        assert_eq!(
            fields("Zone No.;Description;Type;Device;Room;Cable Length (m);NO/NC;EOL"),
            wanted(&[Name, Title, Purpose, Part, Area, Length, Rest, Ends])
        );
        assert_eq!(
            fields("Melder-Nr;BEZEICHNUNG;Raum;Eingang;Kabellänge [m]")[1..],
            wanted(&[Title, Area, Input, Length])
        );
        assert_eq!(
            fields("zone;descripton;lenght;Entry delay s")[1..],
            wanted(&[Title, Length, Entry])
        );
        assert_eq!(fields("zone;Colour of the box"), [Some(Name), None]);
    }

    #[test]
    fn guesses_say_how_sure_they_are_and_why() {
        let (_, told) = layout(&["zone;lenght;zone text;remarks"]);
        let told: Vec<String> = told.iter().map(ToString::to_string).collect();
        assert_eq!(
            told,
            [
                "column A: `zone` is the name of the zone (sure)",
                "column B: `lenght` is the length of the cable: it reads like `length` (guess)",
                "column C: `zone text` is the title of the zone (sure)",
                "column D: `remarks` is not known, and is kept as comments (kept)",
            ]
        );
    }

    #[test]
    fn a_detector_is_what_is_fitted_where_something_else_names_the_zones() {
        let (name, part) = (Some(Field::Name), Some(Field::Part));
        let columns = |lines: &[&str]| -> Vec<Option<Field>> {
            layout(lines).0.columns.into_iter().map(|column| column.field).collect()
        };
        assert_eq!(columns(&["Zone;Detector", "1;PIR", "2;reed"]), [name, part]);
        assert_eq!(columns(&["Detector;Zone", "PIR;1", "PIR;2"]), [part, name]);
        assert_eq!(columns(&["Nr;Melder", "1;PIR"]), [name, part]);
        assert_eq!(columns(&["Detector;Room", "PIR;shop", "PIR;yard"])[0], part);
        assert_eq!(columns(&["Detector;Room", "D1;shop", "D2;yard"])[0], name);
        assert_eq!(columns(&["Detector;Device", "D1;PIR", "D2;PIR"]), [name, part]);
        assert_eq!(columns(&["Detector;Device;Zone", "x;PIR;1"]), [None, part, name]);
        assert_eq!(columns(&["Detector No.;Detector", "1;PIR"]), [name, part]);
        assert_eq!(columns(&["Detector location", "shop"]), [Some(Field::Area)]);
        let told = |lines: &[&str]| layout(lines).1[0].to_string();
        assert_eq!(
            told(&["Detector;Room", "D1;shop", "D2;yard"]),
            "column A: `Detector` is the name of the zone: no other column is, and no cell comes twice (guess)"
        );
        assert_eq!(
            told(&["Detector;Zone", "D1;shop", "D2;yard"]),
            "column A: `Detector` is the part: it says `detector` (likely)"
        );
    }

    #[test]
    fn headings_may_stand_below_a_title_and_columns_may_have_none() {
        let (found, _) =
            layout(&["Our works;;", ";;", "Zone;Device;;", "a;reed;NC;12 m", "b;reed;NO;3,5 m"]);
        assert_eq!((found.above, found.body), (2, 3));
        assert_eq!(found.columns[2].field, Some(Field::Rest));
        assert_eq!(found.columns[3].field, Some(Field::Length));
        assert_eq!(layout(&["Zone;Length (ft)"]).0.columns[1].unit.as_deref(), Some("ft"));
    }
}
