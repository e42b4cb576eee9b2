//! A table in plain text: columns as wide as their widest cell, two blanks between them.

use std::fmt::Write as _;

/// A table with a title and a head.
pub(crate) struct Table {
    title: String,
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub(crate) fn new(title: impl Into<String>, head: &[&str]) -> Self {
        let head = head.iter().map(|cell| (*cell).to_owned()).collect();
        Self { title: title.into(), head, rows: Vec::new() }
    }

    pub(crate) fn row<const N: usize>(&mut self, cells: [&str; N]) {
        self.rows.push(cells.iter().map(|cell| (*cell).to_owned()).collect());
    }

    /// Writes the table and an empty line; nothing when it has no rows.
    pub(crate) fn write(&self, out: &mut String) {
        if self.rows.is_empty() {
            return;
        }
        let _ = writeln!(out, "{}", self.title);
        let with_head = self.head.iter().any(|cell| !cell.is_empty());
        let lines = with_head.then_some(&self.head).into_iter().chain(&self.rows);
        let lines: Vec<&Vec<String>> = lines.collect();
        let columns = self.head.len();
        let widths: Vec<usize> = (0..columns)
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
        out.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::Table;

    #[test]
    fn columns_are_as_wide_as_their_widest_cell() {
        let mut table = Table::new("loads", &["load", "draws"]);
        table.row(["horn", "0.45 A"]);
        table.row(["yard-strobe", "1 A"]);
        let mut out = String::new();
        table.write(&mut out);
        let lines: Vec<&str> = out.lines().collect();
        assert_eq!(
            lines,
            [
                "loads",
                "    load         draws",
                "    horn         0.45 A",
                "    yard-strobe  1 A",
                "",
            ]
        );
    }
}
