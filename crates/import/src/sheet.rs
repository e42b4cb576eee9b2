//! Rows of cells, from separated text or from a workbook. A cell is its text, nothing is reckoned:
//! what begins with `=` is text like any other.

use crate::decode::decode;
use crate::{ImportError, Sure, Told};
use calamine::{Data, DataRef, Reader, Xlsx};
use std::collections::BTreeMap;
use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// One row that has something in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Row {
    /// Its number in the table, from 1.
    pub(crate) number: usize,
    /// Its cells, from the first column.
    pub(crate) cells: Vec<String>,
}

impl Row {
    /// The text of a cell, without blanks around it.
    pub(crate) fn cell(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", |cell| cell.trim())
    }

    /// The cells that have something in them.
    pub(crate) fn filled(&self) -> impl Iterator<Item = (usize, &str)> {
        let cells = self.cells.iter().enumerate().map(|(at, cell)| (at, cell.trim()));
        cells.filter(|(_, cell)| !cell.is_empty())
    }
}

/// The table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Sheet {
    pub(crate) rows: Vec<Row>,
}

/// The most cells, rows and columns that are taken; a table of zones has far fewer.
const MOST_CELLS: usize = 500_000;
const MOST_ROWS: usize = 20_000;
const MOST_COLUMNS: usize = 1_000;

pub(crate) fn read(
    bytes: &[u8],
    sheet: Option<&str>,
    told: &mut Vec<Told>,
) -> Result<Sheet, ImportError> {
    let rows = if bytes.starts_with(b"PK\x03\x04") {
        // The library that reads workbooks is not ours: a workbook that is broken in a way that it
        // does not foresee is a broken workbook, not the end of the program.
        let read = catch_unwind(AssertUnwindSafe(|| workbook(bytes, sheet, told)));
        read.unwrap_or_else(|_| Err(ImportError::BrokenWorkbook("it makes no sense".to_owned())))?
    } else if bytes.starts_with(b"\xd0\xcf\x11\xe0") {
        return Err(ImportError::NotATable(
            "it is a workbook of the older kind (.xls); save it as .xlsx or .csv",
        ));
    } else if bytes.starts_with(b"%PDF") {
        return Err(ImportError::NotATable("it is a PDF; save the table as .xlsx or .csv"));
    } else {
        separated(&decode(bytes, told), told)
    };
    let rows: Vec<Row> = rows.into_iter().filter(|row| row.filled().next().is_some()).collect();
    let widest = rows.iter().map(|row| row.cells.len()).max().unwrap_or(0);
    if rows.len() > MOST_ROWS || widest > MOST_COLUMNS {
        return Err(ImportError::TooMany);
    }
    if rows.is_empty() { Err(ImportError::Empty) } else { Ok(Sheet { rows }) }
}

/// The rows of separated text.
fn separated(text: &str, told: &mut Vec<Told>) -> Vec<Row> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    // Some programs write down the separator in a first line.
    let first = text.split(['\r', '\n']).next().unwrap_or_default();
    let said = first.strip_prefix("sep=").filter(|rest| rest.len() == 1);
    let Some(said) = said.and_then(|rest| rest.bytes().next()) else {
        let (separator, sure) = separator(text);
        told.push(Told::of_file(sure, format!("cells are parted by {}", name(separator))));
        return records(text, separator, usize::MAX);
    };
    let what = format!("cells are parted by {}: `{first}`", name(said));
    told.push(Told::of_file(Sure::Sure, what));
    // A spreadsheet does not show this line: the rows are counted behind it.
    let body = text.get(first.len()..).unwrap_or_default();
    let end = ["\r\n", "\r", "\n"].into_iter().find(|end| body.starts_with(end));
    records(end.and_then(|end| body.strip_prefix(end)).unwrap_or(body), said, usize::MAX)
}

fn name(separator: u8) -> String {
    match separator {
        b'\t' => "tabs".to_owned(),
        other => format!("`{}`", char::from(other)),
    }
}

fn records(text: &str, separator: u8, most: usize) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut record = csv::StringRecord::new();
    let mut number = 0;
    // The text is UTF-8 and rows may be of any length: no record can be wrong.
    while rows.len() < most && reader.read_record(&mut record).unwrap_or(false) {
        let start = record.position().map_or(0, csv::Position::byte);
        number += blank_lines(text, usize::try_from(start).unwrap_or(usize::MAX)) + 1;
        rows.push(Row { number, cells: record.iter().map(str::to_owned).collect() });
    }
    rows
}

/// The blank lines from the end of a record to the next one, which are rows of the table too. A line
/// that ends in two characters is over with the first of them.
fn blank_lines(text: &str, start: usize) -> usize {
    let (before, rest) = text.split_at_checked(start).unwrap_or((text, ""));
    let rest = if before.ends_with('\r') { rest.strip_prefix('\n').unwrap_or(rest) } else { rest };
    let blank = rest.find(|c| !matches!(c, '\r' | '\n')).unwrap_or(rest.len());
    let blank = rest.get(..blank).unwrap_or_default();
    blank.matches(['\r', '\n']).count() - blank.matches("\r\n").count()
}

/// The separator that tears fewest texts out of their quotation marks; of those alike, the one that
/// gives most rows the same number of cells, and most cells; of those alike, the one named first.
/// One that parts nothing comes last.
fn separator(text: &str) -> (u8, Sure) {
    let score = |separator: u8| {
        let mut widths: BTreeMap<usize, usize> = BTreeMap::new();
        for row in records(text, separator, 50) {
            *widths.entry(row.cells.len()).or_insert(0) += 1;
        }
        let usual = widths.iter().filter(|(width, _)| **width > 1);
        usual.map(|(width, rows)| width * rows).max().unwrap_or(0)
    };
    let mut ranked = [b',', b';', b'\t', b'|'].map(|separator| (score(separator), separator));
    ranked.sort_by_cached_key(|(score, separator)| {
        (*score == 0, torn(text, *separator), std::cmp::Reverse(*score))
    });
    let [(best, separator), others @ ..] = ranked;
    let sure = match (best, others.map(|(score, _)| score).into_iter().max().unwrap_or(0)) {
        (0, _) => Sure::Guess,
        (_, 0) => Sure::Sure,
        (best, second) if best >= 2 * second => Sure::Likely,
        _ => Sure::Guess,
    };
    (separator, sure)
}

/// How many quotation marks stand where RFC 4180, section 2, has none: in a cell that does not begin
/// with one, before more of a cell that has ended, or before no other one at all.
fn torn(text: &str, separator: u8) -> usize {
    #[derive(Clone, Copy, PartialEq)]
    enum In {
        Start,
        Plain,
        Quoted,
        Closed,
    }
    let mut torn = 0;
    let mut now = In::Start;
    for byte in text.bytes() {
        let parts = byte == separator || matches!(byte, b'\r' | b'\n');
        now = match (now, byte) {
            (In::Start | In::Closed, b'"') => In::Quoted,
            (In::Quoted, b'"') => In::Closed,
            (In::Quoted, _) => In::Quoted,
            (_, _) if parts => In::Start,
            (before, byte) => {
                torn += usize::from(before == In::Closed || byte == b'"');
                In::Plain
            }
        };
    }
    torn + usize::from(now == In::Quoted)
}

/// The rows of one sheet of a workbook. Cells are read one by one: a sheet may claim to have
/// thousands of millions of them.
fn workbook(
    bytes: &[u8],
    wanted: Option<&str>,
    told: &mut Vec<Told>,
) -> Result<Vec<Row>, ImportError> {
    let broken = |error: &dyn std::fmt::Display| ImportError::BrokenWorkbook(error.to_string());
    if unfolded(bytes) > 32 * crate::MAX_BYTES {
        return Err(ImportError::TooLarge);
    }
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let names = book.sheet_names();
    let candidates: Vec<String> = match wanted {
        Some(wanted) => {
            let found = names.iter().find(|name| name.eq_ignore_ascii_case(wanted));
            let found = found.ok_or_else(|| ImportError::NoSheet(names.clone()))?;
            vec![found.clone()]
        }
        None => names.clone(),
    };
    for name in candidates {
        let rows = sheet_rows(&mut book, &name)?;
        if rows.iter().any(|row| row.filled().next().is_some()) {
            let others: Vec<&str> =
                names.iter().filter(|other| **other != name).map(String::as_str).collect();
            let rest = if others.is_empty() {
                String::new()
            } else {
                format!("; not read: {}; `--sheet` takes another", others.join(", "))
            };
            told.push(Told::of_file(Sure::Sure, format!("the sheet is `{name}`{rest}")));
            return Ok(rows);
        }
    }
    Err(ImportError::Empty)
}

fn sheet_rows(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<Vec<Row>, ImportError> {
    let broken = |error: calamine::XlsxError| ImportError::BrokenWorkbook(error.to_string());
    let mut cells: BTreeMap<(u32, u32), String> = BTreeMap::new();
    let mut reader = book.worksheet_cells_reader(name).map_err(broken)?;
    while let Some(cell) = reader.next_cell().map_err(broken)? {
        let text = shown(cell.get_value());
        if !text.is_empty() {
            cells.insert(cell.get_position(), text);
        }
        if cells.len() > MOST_CELLS {
            return Err(ImportError::TooMany);
        }
    }
    drop(reader);
    // A formula is kept beside its value; where it has no value, in its place.
    let mut reader = book.worksheet_cells_reader(name).map_err(broken)?;
    while let Some(cell) = reader.next_formula().map_err(broken)? {
        let formula = cell.get_value();
        if !formula.is_empty() {
            let text = cells.entry(cell.get_position()).or_default();
            let gap = if text.is_empty() { "" } else { "  " };
            text.push_str(&format!("{gap}={formula}"));
        }
        if cells.len() > MOST_CELLS {
            return Err(ImportError::TooMany);
        }
    }
    let mut rows: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    for ((row, column), text) in cells {
        let column = column as usize;
        if column >= MOST_COLUMNS {
            return Err(ImportError::TooMany);
        }
        let row = rows.entry(row).or_default();
        row.resize(column, String::new());
        row.push(text);
    }
    Ok(rows.into_iter().map(|(number, cells)| Row { number: number as usize + 1, cells }).collect())
}

/// A value as the sheet shows it, as far as that can be known.
fn shown(value: &DataRef<'_>) -> String {
    match value {
        DataRef::Empty => String::new(),
        DataRef::String(text) => text.clone(),
        DataRef::SharedString(text) => (*text).to_owned(),
        DataRef::Bool(value) => value.to_string(),
        DataRef::Int(number) => number.to_string(),
        DataRef::Float(number) => float(*number),
        DataRef::DateTime(date) if date.is_datetime() => {
            let (year, month, day, hour, minute, second, _) = date.to_ymd_hms_milli();
            let day = format!("{year:04}-{month:02}-{day:02}");
            if (hour, minute, second) == (0, 0, 0) {
                day
            } else {
                format!("{day} {hour:02}:{minute:02}:{second:02}")
            }
        }
        other => Data::from(other.clone()).to_string(),
    }
}

/// A number with the fifteen digits that a workbook shows: what it holds beyond them is how such
/// numbers are stored, as in 12.499999999999998.
fn float(number: f64) -> String {
    let shown: f64 = format!("{number:.14e}").parse().unwrap_or(number);
    shown.to_string()
}

/// The bytes that a zip archive says it unfolds to: the sum over its central directory (APPNOTE
/// 4.3.12: signature, uncompressed size at 24).
fn unfolded(bytes: &[u8]) -> usize {
    let mut sum: usize = 0;
    let mut rest = bytes;
    while let Some(at) = rest.windows(4).position(|four| four == b"PK\x01\x02") {
        let entry = rest.get(at..).unwrap_or_default();
        if let Some(&[a, b, c, d]) = entry.get(24..28) {
            let size = u32::from_le_bytes([a, b, c, d]);
            sum = sum.saturating_add(usize::try_from(size).unwrap_or(usize::MAX));
        }
        rest = entry.get(4..).unwrap_or_default();
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<Vec<String>> {
        let mut told = Vec::new();
        let sheet = read(text.as_bytes(), None, &mut told).unwrap();
        sheet.rows.into_iter().map(|row| row.cells).collect()
    }

    #[test]
    fn the_separator_is_found() {
        for separator in [",", ";", "\t", "|"] {
            let text = ["zone", "length", "note"].join(separator)
                + "\n"
                + &["a", "\"22,5; x|y\tz\"", "b"].join(separator)
                + "\n";
            assert_eq!(cells(&text)[1], ["a", "22,5; x|y\tz", "b"], "{separator}");
        }
        assert_eq!(cells("zone;m\na;22,5\nb;3,5\n")[1], ["a", "22,5"]);
        assert_eq!(cells("\"zone\";\",!\"")[0], ["zone", ",!"]);
        assert_eq!(cells("\"zone\";\"a, b, c\"")[0], ["zone", "a, b, c"]);
        assert_eq!(cells("zone\n\"\"\"\";\"0,\"")[1], ["\"", "0,"]);
        assert_eq!(
            cells("zone;note\n1;19\" rack, left\n2;15\", \"x\", right")[2],
            ["2", "15\", \"x\", right"]
        );
        assert_eq!(cells("sep=|\na,b|c\n")[0], ["a,b", "c"]);
    }

    #[test]
    fn rows_have_the_numbers_that_a_spreadsheet_gives_them() {
        let numbers = |text: &str| {
            let sheet = read(text.as_bytes(), None, &mut Vec::new()).unwrap();
            sheet.rows.iter().map(|row| row.number).collect::<Vec<_>>()
        };
        for (text, wanted) in [
            ("zone,m\na,1\n\nb,2\n,\nc,3", vec![1, 2, 4, 6]),
            ("zone,m\n\"a\n1\",1\nb,2\n", vec![1, 2, 3]),
            ("\n\nzone,m\na,1\n", vec![3, 4]),
            ("sep=,\nzone,m\na,1\n", vec![1, 2]),
        ] {
            assert_eq!(numbers(text), wanted, "{text:?}");
            for end in ["\r\n", "\r"] {
                let text = text.replace('\n', end);
                assert_eq!(numbers(&text), wanted, "{text:?}");
            }
        }
    }

    #[test]
    fn a_number_has_the_digits_that_its_sheet_shows() {
        for (number, wanted) in [
            (12.499999999999998, "12.5"),
            (0.1 + 0.2, "0.3"),
            (22.0, "22"),
            (1234.5678, "1234.5678"),
        ] {
            assert_eq!(float(number), wanted);
        }
    }

    #[test]
    fn what_is_no_table_is_told() {
        let error = |bytes: &[u8]| read(bytes, None, &mut Vec::new()).unwrap_err();
        assert_eq!(error(b""), ImportError::Empty);
        assert_eq!(error(b" , ,\n\n"), ImportError::Empty);
        assert!(matches!(error(b"PK\x03\x04 nonsense"), ImportError::BrokenWorkbook(_)));
        assert!(matches!(error(b"\xd0\xcf\x11\xe0"), ImportError::NotATable(_)));
        assert_eq!(error("a\n".repeat(MOST_ROWS + 1).as_bytes()), ImportError::TooMany);
        assert_eq!(error(",a".repeat(MOST_COLUMNS).as_bytes()), ImportError::TooMany);
        let bomb = [&b"PK\x03\x04"[..], b"PK\x01\x02", &[0; 20], &[0xff; 4]].concat();
        assert_eq!(error(&bomb), ImportError::TooLarge);
    }
}
