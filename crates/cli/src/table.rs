//! A table in plain text: columns as wide as their widest cell, two blanks between them.

use curtilage_handover::{Cell, Table};
use std::fmt::Write as _;

/// Writes a table, its notes and an empty line; nothing when it has no rows.
pub(crate) fn write(table: &Table, out: &mut String) {
    if table.rows.is_empty() {
        return;
    }
    let _ = writeln!(out, "{}", lower(&table.title));
    let head: Vec<&str> = table.head.iter().map(String::as_str).collect();
    let with_head = head.iter().any(|cell| !cell.is_empty());
    let rows = table.rows.iter().map(|row| row.iter().map(text).collect::<Vec<&str>>());
    let lines: Vec<Vec<&str>> = with_head.then_some(head).into_iter().chain(rows).collect();
    let widths: Vec<usize> = (0..table.head.len())
        .map(|at| {
            let cells = lines.iter().filter_map(|line| line.get(at));
            cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
        })
        .collect();
    for line in lines {
        let mut text = String::from("   ");
        for (cell, width) in line.iter().zip(&widths) {
            let _ = write!(text, " {cell:<width$} ", width = *width);
        }
        let _ = writeln!(out, "{}", text.trim_end());
    }
    if !table.notes.is_empty() {
        out.push('\n');
    }
    for note in &table.notes {
        let _ = writeln!(out, "    {}", note.text);
    }
    out.push('\n');
}

fn text(cell: &Cell) -> &str {
    &cell.text
}

/// A title as it stands in a terminal: its first letter small.
fn lower(title: &str) -> String {
    let mut letters = title.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::{Cell, Table, write};
    use curtilage_handover::Shape;

    #[test]
    fn columns_are_as_wide_as_their_widest_cell() {
        let row = |cells: [&str; 2]| cells.map(Cell::from).into();
        let table = Table {
            id: String::new(),
            title: "Loads".to_owned(),
            about: String::new(),
            shape: Shape::Plain,
            head: vec!["load".to_owned(), "draws".to_owned()],
            rows: vec![row(["horn", "0.45 A"]), row(["yard-strobe", "1 A"])],
            notes: vec!["1.45 A in all".into()],
        };
        let mut out = String::new();
        write(&table, &mut out);
        let lines: Vec<&str> = out.lines().collect();
        assert_eq!(
            lines,
            [
                "loads",
                "    load         draws",
                "    horn         0.45 A",
                "    yard-strobe  1 A",
                "",
                "    1.45 A in all",
                "",
            ]
        );
    }
}
