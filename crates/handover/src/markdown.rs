//! The papers as Markdown (CommonMark with tables).

use crate::papers::{Papers, Section};
use crate::table::{Cell, Kind, Table};
use std::fmt::Write as _;

/// The whole document.
pub(crate) fn document(papers: &Papers) -> String {
    let mut out = format!("# {}\n\n", escaped(&papers.title));
    if let Some(date) = &papers.date {
        let _ = writeln!(out, "As of {date}\n");
    }
    if let Some(unfit) = &papers.unfit {
        let _ = writeln!(out, "> **{}**\n", escaped(unfit));
    }
    for section in &papers.sections {
        self::section(&mut out, section, papers.unfit.as_deref());
    }
    out
}

fn section(out: &mut String, section: &Section, unfit: Option<&str>) {
    let _ = writeln!(out, "## {}\n", escaped(section.title));
    if let Some(unfit) = unfit {
        let _ = writeln!(out, "> **{}**\n", escaped(unfit));
    }
    for text in &section.intro {
        let _ = writeln!(out, "{}\n", escaped(text));
    }
    for caution in &section.cautions {
        let _ = writeln!(out, "> **Caution:** {}\n", escaped(caution));
    }
    for table in &section.tables {
        self::table(out, table);
    }
    for figure in &section.figures {
        let title = escaped(&figure.title);
        let _ = writeln!(out, "![{title}](drawings/{}.svg)\n", figure.id);
    }
}

fn table(out: &mut String, table: &Table) {
    let _ = writeln!(out, "### {}\n", escaped(&table.title));
    if !table.about.is_empty() {
        let _ = writeln!(out, "{}\n", escaped(&table.about));
    }
    if !table.rows.is_empty() {
        let head: Vec<String> = table.head.iter().map(|head| escaped(head)).collect();
        let _ = writeln!(out, "| {} |", head.join(" | "));
        let _ = writeln!(out, "|{}", "---|".repeat(head.len()));
        for row in &table.rows {
            let cells: Vec<String> = row.iter().map(cell).collect();
            let _ = writeln!(out, "| {} |", cells.join(" | "));
        }
        out.push('\n');
    }
    for note in &table.notes {
        let _ = writeln!(out, "- {}", cell(note));
    }
    if !table.notes.is_empty() {
        out.push('\n');
    }
}

fn cell(cell: &Cell) -> String {
    match cell.kind {
        Kind::Plain => escaped(&cell.text),
        Kind::Hole => format!("**(!) {}**", escaped(&cell.text)),
        Kind::Fill => "\\_\\_\\_\\_".to_owned(),
    }
}

/// Text that means nothing to Markdown or HTML.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '#' | '|' | '!' | '~' | '$' => {
                out.push('\\');
                out.push(letter);
            }
            other => out.push(crate::plain(other)),
        }
    }
    out
}
