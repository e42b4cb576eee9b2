//! Tables as CSV (RFC 4180) and back.
//!
//! A cell that a spreadsheet would take for a formula gets an apostrophe in front, which
//! spreadsheets do not show; reading takes it off again. What comes back from a spreadsheet may have
//! a byte order mark, semicolons or tabs, and other line ends.

use crate::table::{Cell, Kind, Table};
use std::borrow::Cow;

/// A table as CSV. A line before the head says when the site is not fit for work.
#[must_use]
pub fn write(table: &Table, unfit: Option<&str>) -> String {
    let mut out = String::new();
    if let Some(unfit) = unfit {
        line(&mut out, std::iter::once(unfit));
    }
    line(&mut out, table.head.iter().map(String::as_str));
    for row in &table.rows {
        let cells: Vec<Cow<'_, str>> = row.iter().map(marked).collect();
        line(&mut out, cells.iter().map(AsRef::as_ref));
    }
    for note in &table.notes {
        line(&mut out, std::iter::once(marked(note).as_ref()));
    }
    out
}

/// The text of a cell, with a sign where something is missing or wrong.
fn marked(cell: &Cell) -> Cow<'_, str> {
    match cell.kind {
        Kind::Hole => Cow::Owned(format!("(!) {}", cell.text)),
        _ => Cow::Borrowed(&cell.text),
    }
}

fn line<'t>(out: &mut String, cells: impl Iterator<Item = &'t str>) {
    let mut first = true;
    for text in cells {
        if !std::mem::take(&mut first) {
            out.push(',');
        }
        cell(out, text);
    }
    out.push_str("\r\n");
}

fn cell(out: &mut String, text: &str) {
    let text: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let text = if is_formula(&text) { format!("'{text}") } else { text };
    if text.contains([',', '"', ';', '\'']) || text != text.trim() {
        out.push('"');
        out.push_str(&text.replace('"', "\"\""));
        out.push('"');
    } else {
        out.push_str(&text);
    }
}

/// What a spreadsheet may take for a formula: also behind blanks, and in the wide forms of the signs.
fn is_formula(text: &str) -> bool {
    let text = text.trim_start();
    let signs = ['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}', '\u{2212}'];
    // An apostrophe of the text's own is doubled, so that reading takes off only ours.
    text.starts_with(signs) || text.starts_with('\'')
}

/// A row of a CSV file, with the number of its line.
pub(crate) type Row = (usize, Vec<String>);

/// The rows of a CSV file. Any text gives rows; a quote that never ends runs to the end.
pub(crate) fn read(text: &str) -> Vec<Row> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let separator = separator(text);
    let mut rows: Vec<Row> = Vec::new();
    let mut row: Vec<String> = Vec::new();
    let mut cell = String::new();
    let (mut line, mut first_line, mut quoted) = (1, 1, false);
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        if letter == '\n' {
            line += 1;
        }
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cell.push('"');
            }
            '"' if quoted => quoted = false,
            '"' if cell.trim().is_empty() => {
                cell.clear();
                quoted = true;
            }
            other if quoted => cell.push(other),
            '\r' if letters.peek() == Some(&'\n') => {}
            '\r' | '\n' => {
                row.push(std::mem::take(&mut cell));
                rows.push((first_line, std::mem::take(&mut row)));
                if letter == '\r' {
                    line += 1;
                }
                first_line = line;
            }
            other if other == separator => row.push(std::mem::take(&mut cell)),
            other => cell.push(other),
        }
    }
    if !cell.is_empty() || !row.is_empty() {
        row.push(cell);
        rows.push((first_line, row));
    }
    for (_, row) in &mut rows {
        for cell in row {
            let trimmed = cell.trim();
            *cell = match trimmed.strip_prefix('\'') {
                Some(inside) if is_formula(inside) => inside.to_owned(),
                _ => trimmed.to_owned(),
            };
        }
    }
    rows
}

/// What parts the cells: whatever the line with the heads has most of, outside quotes.
fn separator(text: &str) -> char {
    let head = text.lines().find(|line| line.contains("reading")).unwrap_or(text);
    let head = head.lines().next().unwrap_or("");
    let count = |separator: char| {
        let mut quoted = false;
        head.chars()
            .filter(|letter| {
                quoted ^= *letter == '"';
                !quoted && *letter == separator
            })
            .count()
    };
    let by = [',', ';', '\t'].map(|separator| (count(separator), separator));
    // The first of those that are equal is the comma.
    by.into_iter().rev().max_by_key(|(count, _)| *count).map_or(',', |(_, separator)| separator)
}

#[cfg(test)]
mod tests {
    use super::{read, write};
    use crate::table::{Cell, Table, cells};
    use proptest::prelude::*;

    fn texts(csv: &str) -> Vec<Vec<String>> {
        read(csv).into_iter().map(|(_, row)| row).collect()
    }

    #[test]
    fn formulas_are_tamed_and_come_back_as_they_were() {
        let mut table = Table::new("a", "a", &["x", "reading"]);
        for formula in ["=1+1", "+1", "-2", "@sum", "  =hidden()", "\u{ff1d}wide", "'quoted"] {
            table.row(cells![formula, "b, \"c\""]);
        }
        let csv = write(&table, None);
        for line in csv.lines().skip(1) {
            assert!(line.starts_with("\"'"), "{line}");
        }
        let back = texts(&csv);
        assert_eq!(back[1], ["=1+1", "b, \"c\""]);
        assert_eq!(back[7][0], "'quoted");
    }

    #[test]
    fn what_is_missing_is_marked() {
        let mut table = Table::new("a", "a", &["x", "reading"]);
        table.row(cells![Cell::hole("not known"), Cell::fill()]);
        table.note(Cell::hole("too much"));
        assert_eq!(write(&table, None), "x,reading\r\n(!) not known,\r\n(!) too much\r\n");
    }

    #[test]
    fn what_spreadsheets_write_is_read() {
        let wanted = [["at", "reading"], ["a.in1", "4,7"]];
        for csv in [
            "at,reading\r\na.in1,\"4,7\"\r\n",
            "\u{feff}at;reading\na.in1;4,7\n",
            "at\treading\ra.in1\t4,7",
        ] {
            assert_eq!(texts(csv), wanted, "{csv:?}");
        }
    }

    #[test]
    fn lines_are_counted_where_a_row_begins() {
        let rows = read("at,reading\n\"a\nb\",1\nc,2\n");
        let lines: Vec<usize> = rows.iter().map(|(line, _)| *line).collect();
        assert_eq!(lines, [1, 2, 4]);
    }

    proptest! {
        #[test]
        fn any_cells_come_back(cells in prop::collection::vec("\\PC*", 2..5)) {
            let cells: Vec<String> = cells.into_iter().map(|cell| cell.trim().to_owned()).collect();
            prop_assume!(cells.iter().any(|cell| !cell.is_empty()));
            let head: Vec<&str> = vec!["reading"; cells.len()];
            let mut table = Table::new("a", "a", &head);
            table.row(cells.iter().map(crate::Cell::from).collect());
            let back = texts(&write(&table, None));
            prop_assert_eq!(&back[1], &cells);
        }

        #[test]
        fn any_text_is_read(text in any::<String>()) {
            let _ = read(&text);
        }
    }
}
