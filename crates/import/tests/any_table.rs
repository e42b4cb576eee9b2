//! Any bytes end in a site file that reads, or in a clear refusal; and no cell's text is lost.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    reason = "a test"
)]

use curtilage_import::{ImportError, Imported, KnownPart, PartKind, Request, Sure, import};
use curtilage_syntax::parse;
use curtilage_testkit::{Text, check_texts};
use proptest::prelude::*;

fn request(bytes: &[u8]) -> Request<'_> {
    Request { bytes, file: "zones.csv", sheet: None, title: "Old mill", uses: &[], parts: &[] }
}

/// What every import keeps: the text has no fault, and formatting it again changes nothing.
#[track_caller]
fn sound(imported: &Imported) {
    let faults = parse(&imported.text, &[]).faults;
    assert!(faults.is_empty(), "{faults:?}\n{}", imported.text);
    assert_eq!(curtilage_format::format(&imported.text).as_ref(), Ok(&imported.text));
}

/// What is found in it is what is missing, never a mistake of ours.
#[track_caller]
fn no_mistake_of_ours(imported: &Imported) {
    let text = Text { path: "a.site".to_owned(), text: imported.text.clone() };
    let ours = [
        "syntax",
        "duplicate-name",
        "said-twice",
        "unknown-name",
        "unknown-terminal",
        "wrong-dimension",
    ];
    let checked = check_texts(&[text]);
    let wrong: Vec<&str> = checked
        .findings
        .iter()
        .filter(|finding| ours.contains(&finding.rule))
        .map(|finding| finding.headline.as_str())
        .collect();
    assert!(wrong.is_empty(), "{wrong:?}\n{}", imported.text);
}

/// The pieces of a cell that can stand in a file as they are, without white space.
fn pieces(cell: &str) -> Vec<String> {
    let odd = |c: char| {
        c.is_control()
            || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}'
                | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    let parts = cell.split(odd).map(|part| part.chars().filter(|c| !c.is_whitespace()).collect());
    parts.filter(|part: &String| !part.is_empty()).collect()
}

fn quoted(cell: &str) -> String {
    format!("\"{}\"", cell.replace('"', "\"\""))
}

fn cell() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => "[ -~]{0,12}",
        2 => "\\PC{0,8}",
        1 => "(?s).{0,8}",
        4 => prop::sample::select(vec![
            "1", "2", "Front door", "hall", "Door contact", "NC", "NO", "2k2", "none", "22 m", "22,5", "1.200",
            "panel.in1", "in3", "24h", "nights", "always", "Fire", "panic", "Hold-up", "30", "30 s", "=1+1", "@x", "+1",
            "-1", "#", "}", "{", "\"", "\\", "zone a is b {", "# <- x", "site", "use \"x\"", "a.b.c", "\u{202e}x", "a\nb",
            "a\r\nb", "\u{0}", "\u{feff}", "é", "ﬁ", "１２", "²", "°", "·", "never", "part", "is", "to", "holidays",
        ]).prop_map(str::to_owned),
    ]
}

/// Names that mean the same thing in several places, and different things of one name.
#[test]
fn one_name_is_one_thing() {
    let text = "Zone;Device;Room;Panel;Input;Armed;NO/NC\n\
                hall;hall;Hall;hall;1;hall;NC\nhall;hall;hall;hall;2;hall;NO\nalways;x;y;z;1;24h;NC\n";
    let imported = import(&request(text.as_bytes())).unwrap();
    sound(&imported);
    no_mistake_of_ours(&imported);
    assert_eq!(imported.zones, 3);
}

fn known(name: &str, kind: PartKind) -> KnownPart {
    KnownPart { name: name.to_owned(), title: None, kind }
}

/// The text of a table with parts that are there, and what is told of its rows.
#[track_caller]
fn imported(text: &str, parts: &[KnownPart]) -> (String, Vec<String>) {
    let imported = import(&Request { parts, ..request(text.as_bytes()) }).unwrap();
    sound(&imported);
    let rows = imported.told.iter().filter(|told| told.row.is_some());
    (imported.text.clone(), rows.map(ToString::to_string).collect())
}

#[test]
fn a_part_that_is_there_is_known_by_its_very_name() {
    let parts = [
        known("six-core-0.22", PartKind::Cable),
        known("door-reed", PartKind::Sensor),
        known("panel-8-in-4-out", PartKind::Controller),
    ];
    let table = "Zone,Device,Panel,Input,Cable,Length\n\
                 a,door-reed,panel-8-in-4-out,in1,six-core-0.22,12 m\n\
                 b,Door reed,panel-8-in-4-out,in2,Six-Core-0.22,12 m\n";
    let (text, told) = imported(table, &parts);
    assert!(!text.contains("\npart "), "{text}");
    assert_eq!(text.matches("of six-core-0.22\n").count(), 2, "{text}");
    let head = "controller panel-8-in-4-out-2 \"panel-8-in-4-out\" is panel-8-in-4-out {";
    assert!(text.contains(head), "{text}");
    let wanted = "row 2, column C: `panel-8-in-4-out` is the part `panel-8-in-4-out`: \
                  the controller of this part is `panel-8-in-4-out-2` (guess)";
    assert_eq!(told.iter().filter(|told| *told == wanted).count(), 1, "{told:#?}");
}

#[test]
fn what_the_table_does_not_say_is_told_too() {
    let table = "Zone;Title;Device;Input;Length\n1;Door;reed;1;12 m\n1;Gate;;IN 2;9 m\n\
                 3;Hatch;reed;;5 m\nSumme;;;;26 m\n";
    let (text, told) = imported(table, &[]);
    for wanted in [
        "row 3, column A: `1` stands in row 2 too (guess)",
        "row 3, no device is named: it is `contact` (guess)",
        "row 3, column D: `IN 2` is the terminal `panel.in2` (likely)",
        "row 4, column E: the length `5 m` is kept: nothing says where it lands (kept)",
        "row 5, `Summe` begins a row of sums: it is no zone (guess)",
    ] {
        assert!(told.iter().any(|told| told == wanted), "{wanted}\n{told:#?}");
    }
    assert!(!text.contains("zone summe") && text.contains("# ---- Summe | 26 m ----"), "{text}");
    let imported = import(&request(table.as_bytes())).unwrap();
    let of_file = imported.told.iter().filter(|told| told.row.is_none());
    let cables: Vec<String> =
        of_file.map(ToString::to_string).filter(|told| told.contains("line-cable")).collect();
    assert_eq!(cables, ["no column names a cable: each is `line-cable` (guess)"]);
}

#[test]
fn a_cable_that_begins_with_a_figure_is_a_cable_of_its_own() {
    let table = "Zone,Input,Length,Cable\nfront,1,10 m,CAT5\nback,2,12 m,\nside,3,5 m,22 AWG\nyard,4,6 m,?\n";
    let (text, told) = imported(table, &[]);
    for wanted in ["10 m of cat5", "12 m of line-cable", "5 m of cable-22-awg", "6 m of line-cable"]
    {
        assert!(text.contains(wanted), "{wanted}\n{text}");
    }
    assert!(text.contains("part cable-22-awg \"22 AWG\" is cable"), "{text}");
    assert!(text.contains("part line-cable is cable"), "{text}");
    for wanted in [
        "row 4, column D: `22 AWG` is the part `cable-22-awg`: a name begins with a letter (likely)",
        "row 5, column D: `?` is no name: it is `line-cable` (kept)",
        "row 3, no cable is named: it is `line-cable` (guess)",
    ] {
        assert!(told.iter().any(|told| told == wanted), "{wanted}\n{told:#?}");
    }
}

#[test]
fn a_point_between_figures_stays_in_a_name() {
    let table = "Zone,Input,Length,Cable,Device\nfront,1,10 m,Core 6x0.22,PIR 2.4 m\nback,2,12 m,6x0.22,Reed.\n";
    let (text, _) = imported(table, &[]);
    for wanted in ["of core-6x0.22\n", "of cable-6x0.22\n", "is pir-2.4-m {", "is reed {"] {
        assert!(text.contains(wanted), "{wanted}\n{text}");
    }
}

#[test]
fn a_row_of_sums_is_no_zone() {
    let table = "Zone,Input,Length,Cable\nfront,1,10 m,CAT5\nsum,2,5 m,CAT5\nTotal,,27 m,\nTotals,3,,\nGrand total,3 zones,,\nSubtotal,3,27,\nSub-total: 3,3,,\nTotal zones,3,,\n";
    let (text, told) = imported(table, &[]);
    assert_eq!(text.matches("\nzone ").count(), 2, "{text}");
    let sums = told.iter().filter(|told| told.contains("begins a row of sums")).count();
    assert_eq!(sums, 6, "{told:#?}");
    assert!(text.contains("# ---- Grand total | 3 zones ----"), "{text}");
}

#[test]
fn a_name_beside_a_number_is_the_title() {
    let table = "Zone,Name,Input\n1,Front door,1\n2,Yard gate,2\n";
    let imported = import(&request(table.as_bytes())).unwrap();
    sound(&imported);
    assert!(imported.text.contains("zone front-door \"Front door\" is"), "{}", imported.text);
    assert!(imported.text.contains("zone yard-gate \"Yard gate\" is"), "{}", imported.text);
    let wanted = "column B: `Name` is the title of the zone: another column is its name (likely)";
    assert!(imported.told.iter().any(|told| told.to_string() == wanted), "{:#?}", imported.told);
    // A title of its own stays the title.
    let table = "Zone,Name,Description,Input\n1,Front door,The oak one,1\n";
    let imported = import(&request(table.as_bytes())).unwrap();
    assert!(imported.text.contains("\"The oak one\" is"), "{}", imported.text);
    assert!(imported.text.contains("# Name: Front door\n"), "{}", imported.text);
}

#[test]
fn a_contact_that_is_not_understood_has_no_rest() {
    let table = "Zone,Input,Contact NO/NC\nz1,1,\u{d6}\nz2,2,NC\n";
    let (text, told) = imported(table, &[]);
    assert!(
        text.contains("zone z1 is contact-rests-unknown") && text.contains("zone z2 is contact {"),
        "{text}"
    );
    let rests = |line: &&str| line.split_whitespace().eq(["rests", "closed"]);
    assert_eq!(text.lines().filter(rests).count(), 1, "{text}");
    let wanted = "row 2, column C: `\u{d6}` is no contact that is known: this one is `contact-rests-unknown` (kept)";
    assert!(told.iter().any(|told| told == wanted), "{told:#?}");
    let (text, _) = imported("Zone,Input,Device,Contact\nz1,1,PIR,form A\n", &[]);
    assert!(text.contains("zone z1 is pir-rests-unknown {"), "{text}");
    assert!(!text.contains("part pir \"PIR\""), "no zone is that one: {text}");
}

#[test]
fn a_resistor_that_is_not_taken_has_its_own_reason() {
    let ends = |heading: &str, cell: &str| {
        let (text, told) = imported(&format!("Zone;{heading}\na;{cell}\nb;{cell}\n"), &[]);
        let line = text.lines().find_map(|line| line.trim().strip_prefix("ends"));
        line.map_or_else(
            || told.iter().find(|told| told.contains("column B")).cloned().unwrap_or_default(),
            |line| line.split_whitespace().collect::<Vec<_>>().join(" "),
        )
    };
    for (heading, cell, wanted) in [
        ("EOL", "in 2.2 kohm +-1 %", "in 2.2 kohm +-1 %"),
        ("EOL", "in 2.2 kohm, across 4.7 kohm", "in 2.2 kohm, across 4.7 kohm"),
        ("EOL", "4k7 EOL", "in 4.7 kohm"),
        ("EOL (k\u{3a9})", "2.2", "in 2.2 kohm"),
        ("EOL", "2200", "row 2, column B: `2200` has no unit, nor has its heading (kept)"),
        ("EOL", "Open", "row 2, column B: `Open` is no resistor that can be told (kept)"),
        (
            "EOL",
            "2k2/4k7",
            "row 2, column B: `2k2/4k7` names several resistors: how they are joined is not read (kept)",
        ),
    ] {
        assert_eq!(ends(heading, cell), wanted, "{heading}, {cell}");
    }
}

/// A line end in a heading or a cell makes no second line of what is told.
#[test]
fn what_is_told_is_one_line_each() {
    let text = "Zone;\"Colour\n\"\"old\"\"\";Armed\n1;red;\"nights\r\nrow 9: fine (sure)\"\n";
    let imported = import(&request(text.as_bytes())).unwrap();
    let told: Vec<String> = imported.told.iter().map(ToString::to_string).collect();
    assert!(told.iter().any(|told| told.contains("`Colour \"old\"` is not known")), "{told:?}");
    assert!(told.iter().all(|told| !told.contains(['\n', '\r'])), "{told:?}");
}

fn heading() -> impl Strategy<Value = String> {
    prop_oneof![
        8 => prop::sample::select(vec![
            "Zone", "Zone No.", "Description", "Type", "Device", "Room", "Panel", "Input", "Length", "Cable length (m)",
            "Cable", "NO/NC", "EOL", "Armed", "Lockout", "Settle", "Entry time [s]", "Exit", "Remarks", "", "lenght",
        ]).prop_map(str::to_owned),
        1 => cell(),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_end(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        if let Ok(imported) = import(&request(&bytes)) {
            sound(&imported);
        }
    }

    #[test]
    fn any_text_ends(text in "(?s)[ -~;,\t\n\"é]{0,300}") {
        if let Ok(imported) = import(&request(text.as_bytes())) {
            sound(&imported);
        }
    }

    #[test]
    fn no_text_of_a_cell_is_lost(
        head in prop::collection::vec(heading(), 1..8),
        rows in prop::collection::vec(prop::collection::vec(cell(), 1..8), 0..6),
    ) {
        let all: Vec<&Vec<String>> = std::iter::once(&head).chain(&rows).collect();
        let line = |row: &&Vec<String>| row.iter().map(|cell| quoted(cell)).collect::<Vec<_>>().join(";");
        let text = all.iter().map(line).collect::<Vec<_>>().join("\n");
        match import(&request(text.as_bytes())) {
            Ok(imported) => {
                sound(&imported);
                no_mistake_of_ours(&imported);
                // Inside quotes, a quotation mark and a backslash carry a backslash.
                let output: String = imported.text.chars().filter(|c| !c.is_whitespace()).collect();
                let plain = output.replace("\\\"", "\"").replace("\\\\", "\\");
                for piece in all.into_iter().flatten().flat_map(|cell| pieces(cell)) {
                    let there = output.contains(&piece) || plain.contains(&piece);
                    prop_assert!(there, "{piece:?} is lost\n{text}\n----\n{}", imported.text);
                }
            }
            Err(error) => prop_assert_eq!(error, ImportError::Empty),
        }
    }

    #[test]
    fn a_broken_workbook_is_refused_or_read(at in 0usize..8000, byte: u8, cut in 0usize..8000) {
        let mut bytes = workbook();
        if let Some(one) = bytes.get_mut(at) {
            *one = byte;
        }
        bytes.truncate(bytes.len() - cut.min(bytes.len()) / 4);
        if let Ok(imported) = import(&request(&bytes)) {
            sound(&imported);
        }
    }
}

/// A workbook with numbers, a formula, a date, a second sheet, and cells far out.
fn workbook() -> Vec<u8> {
    use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook};
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.set_name("Zones").unwrap();
    for (column, heading) in ["Zone", "Description", "Length (m)", "Remarks"].iter().enumerate() {
        sheet.write(1, u16::try_from(column).unwrap(), *heading).unwrap();
    }
    sheet.write(0, 0, "Old mill").unwrap();
    sheet.write(3, 0, 7.0).unwrap();
    sheet.write(3, 1, "Tür \"Küche\"").unwrap();
    sheet.write(3, 2, 22.5).unwrap();
    sheet.write(3, 3, Formula::new("=1+1").set_result("2")).unwrap();
    sheet.write(4, 0, "north-door").unwrap();
    sheet.write(4, 1, true).unwrap();
    let date = ExcelDateTime::parse_from_str("2026-11-25").unwrap();
    let format = Format::new().set_num_format("yyyy-mm-dd");
    sheet.write_with_format(4, 3, &date, &format).unwrap();
    let other = book.add_worksheet();
    other.set_name("Outputs").unwrap();
    other.write(0, 0, "siren").unwrap();
    book.save_to_buffer().unwrap()
}

#[test]
fn a_workbook_reads_like_a_table() {
    let bytes = workbook();
    let imported = import(&request(&bytes)).unwrap();
    sound(&imported);
    let told: Vec<String> = imported.told.iter().map(ToString::to_string).collect();
    assert!(told[0].contains("`Zones`; not read: Outputs"), "{told:?}");
    for text in [
        "Old mill",
        "Tür \\\"Küche\\\"",
        "Length (m): 22.5",
        "2  =1+1",
        "zone north-door \"true\"",
        "2026-11-25",
    ] {
        assert!(imported.text.contains(text), "{text}\n{}", imported.text);
    }
    let other = Request { sheet: Some("outputs"), ..request(&bytes) };
    assert!(import(&other).unwrap().text.contains("siren"));
    let none = Request { sheet: Some("Cables"), ..request(&bytes) };
    let names = vec!["Zones".to_owned(), "Outputs".to_owned()];
    assert_eq!(import(&none).unwrap_err(), ImportError::NoSheet(names));
}

/// `tests/mill.csv` gives `tests/mill.site` and tells `tests/mill.txt`. `GOLDEN=write` writes them.
#[test]
fn a_table_becomes_a_site() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let bytes = std::fs::read(folder.join("mill.csv")).unwrap();
    let uses = ["parts.site".to_owned()];
    let parts = [
        KnownPart {
            name: "pir".to_owned(),
            title: Some("Motion eye".to_owned()),
            kind: PartKind::Sensor,
        },
        KnownPart { name: "six-core".to_owned(), title: None, kind: PartKind::Cable },
    ];
    let request = Request { file: "mill.csv", uses: &uses, parts: &parts, ..request(&bytes) };
    let imported = import(&request).unwrap();
    sound(&imported);
    let told: String = imported.told.iter().map(|told| format!("{told}\n")).collect();
    for (name, text) in [("mill.site", &imported.text), ("mill.txt", &told)] {
        if std::env::var_os("GOLDEN").is_some() {
            std::fs::write(folder.join(name), text).unwrap();
        }
        assert_eq!(std::fs::read_to_string(folder.join(name)).unwrap_or_default(), *text, "{name}");
    }
    assert!(imported.told.iter().any(|told| told.sure == Sure::Kept));
    assert!(!imported.text.contains("pir is sensor"), "a part that is there is not written again");
}
