//! The papers as one HTML document that needs nothing from elsewhere and no script.

use crate::draw::{Figure, escaped};
use crate::papers::{Papers, Section};
use crate::table::{Cell, Kind, Shape, Table};
use std::fmt::Write as _;

const STYLE: &str = include_str!("papers.css");
const DRAWING: &str = include_str!("draw/drawing.css");

/// A matrix has at most so many columns beside its causes; a wider one goes on below.
const COLUMNS: usize = 14;

/// A table with so many rows is never parted between pages.
const SHORT: usize = 14;
/// A word that is longer than this may be broken anywhere.
const LONGEST: usize = 28;

/// The whole document.
pub(crate) fn document(papers: &Papers) -> String {
    let title = escaped(&papers.title);
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n<title>Papers: {title}</title>\n<style>\n{STYLE}{DRAWING}</style>\n</head>\n<body>\n<a class=\"skip\" href=\"#main\">To the papers</a>\n<header>\n<p class=\"kicker\">Handover papers</p>\n<h1 dir=\"auto\">{title}</h1>\n"
    );
    if let Some(date) = &papers.date {
        let _ = writeln!(out, "<p>As of <time datetime=\"{date}\">{date}</time></p>");
    }
    banner(&mut out, papers.unfit.as_deref());
    out.push_str("<nav aria-label=\"Sections\">\n<ol>\n");
    for section in &papers.sections {
        let _ = writeln!(
            out,
            "<li><a href=\"#section-{}\">{}</a></li>",
            section.id,
            escaped(section.title)
        );
    }
    out.push_str("</ol>\n</nav>\n</header>\n<main id=\"main\">\n");
    for (at, section) in papers.sections.iter().enumerate() {
        let unfit = papers.unfit.as_deref().filter(|_| at > 0);
        self::section(&mut out, section, unfit);
    }
    out.push_str("</main>\n</body>\n</html>\n");
    out
}

fn banner(out: &mut String, unfit: Option<&str>) {
    if let Some(unfit) = unfit {
        let _ = writeln!(out, "<p class=\"unfit-banner\"><strong>{}</strong></p>", escaped(unfit));
    }
}

fn section(out: &mut String, section: &Section, unfit: Option<&str>) {
    let id = format!("section-{}", section.id);
    let fresh = if section.fresh { " class=\"fresh\"" } else { "" };
    let _ = writeln!(out, "<section{fresh} aria-labelledby=\"{id}\">");
    let _ = writeln!(out, "<h2 id=\"{id}\">{}</h2>", escaped(section.title));
    banner(out, unfit);
    for text in &section.intro {
        let _ = writeln!(out, "<p>{}</p>", rich(text));
    }
    for caution in &section.cautions {
        let _ =
            writeln!(out, "<p class=\"caution\"><strong>Caution.</strong> {}</p>", rich(caution));
    }
    for table in &section.tables {
        self::table(out, table);
    }
    for figure in &section.figures {
        self::figure(out, figure);
    }
    out.push_str("</section>\n");
}

/// Escaped text in which words in backticks are set as code, line by line.
fn rich(text: &str) -> String {
    let lines: Vec<String> = text.lines().map(line).collect();
    lines.join("<br>")
}

fn line(text: &str) -> String {
    let pieces: Vec<&str> = text.split('`').collect();
    if pieces.len().is_multiple_of(2) {
        return escaped(text);
    }
    let mut out = String::new();
    for (at, piece) in pieces.iter().enumerate() {
        let piece = escaped(piece);
        if at % 2 == 1 {
            let _ = write!(out, "<code>{piece}</code>");
        } else {
            out.push_str(&piece);
        }
    }
    out
}

fn table(out: &mut String, table: &Table) {
    let id = &table.id;
    // What is short stays on one page.
    let small = if table.rows.len() <= SHORT { " small" } else { "" };
    let _ = writeln!(out, "<div class=\"sheet{small}\">");
    let _ = writeln!(out, "<h3 id=\"{id}\">{}</h3>", rich(&table.title));
    if !table.about.is_empty() {
        let _ = writeln!(out, "<p>{}</p>", rich(&table.about));
    }
    if !table.rows.is_empty() {
        for (number, columns) in columns(table).iter().enumerate() {
            grid(out, table, columns, number);
        }
    }
    if !table.notes.is_empty() {
        out.push_str("<ul class=\"notes\">\n");
        for note in &table.notes {
            let _ = writeln!(out, "<li>{}</li>", inside(note));
        }
        out.push_str("</ul>\n");
    }
    out.push_str("</div>\n");
}

/// The columns of each piece of a table; the first column leads each of them.
fn columns(table: &Table) -> Vec<Vec<usize>> {
    let all: Vec<usize> = (1..table.head.len()).collect();
    if table.shape != Shape::Matrix {
        return vec![(0..table.head.len()).collect()];
    }
    // Pieces of equal width, rather than a last one with a single column.
    let pieces = all.len().div_ceil(COLUMNS).max(1);
    let width = all.len().div_ceil(pieces).max(1);
    all.chunks(width)
        .map(|chunk| std::iter::once(0).chain(chunk.iter().copied()).collect())
        .collect()
}

fn grid(out: &mut String, table: &Table, columns: &[usize], number: usize) {
    let matrix = table.shape == Shape::Matrix;
    let class = if matrix { " class=\"matrix\"" } else { "" };
    let id = &table.id;
    let part = if number > 0 { format!(", continued {number}") } else { String::new() };
    let _ = writeln!(
        out,
        "<div class=\"scroll\" role=\"group\" aria-label=\"{}{part}\" tabindex=\"0\">\n<table{class} aria-labelledby=\"{id}\">",
        escaped(&table.title)
    );
    let heads: Vec<&str> =
        columns.iter().filter_map(|at| table.head.get(*at)).map(String::as_str).collect();
    if heads.iter().any(|head| !head.is_empty()) {
        out.push_str("<thead><tr>");
        for head in heads {
            let head = escaped(head);
            if matrix {
                let _ = write!(out, "<th scope=\"col\"><span>{head}</span></th>");
            } else {
                let _ = write!(out, "<th scope=\"col\">{head}</th>");
            }
        }
        out.push_str("</tr></thead>\n");
    }
    out.push_str("<tbody>\n");
    for row in &table.rows {
        // A row of a matrix that is empty in this piece says nothing here.
        let cells = || columns.iter().filter_map(|at| row.get(*at));
        if matrix && cells().skip(1).all(|cell| cell.text.is_empty()) {
            continue;
        }
        out.push_str("<tr>");
        for (at, cell) in cells().enumerate() {
            self::cell(out, cell, at == 0);
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n</div>\n");
}

fn cell(out: &mut String, cell: &Cell, first: bool) {
    let leads = first && !cell.text.is_empty();
    let (open, close) = if leads { ("th scope=\"row\"", "th") } else { ("td", "td") };
    let words = cell.text.split([' ', '-']);
    let long = words.map(|word| word.chars().count()).max().unwrap_or(0) > LONGEST;
    let class = match cell.kind {
        Kind::Plain if is_figure(&cell.text) => " class=\"keep\"",
        Kind::Plain if long => " class=\"long\"",
        Kind::Plain => "",
        Kind::Hole if long => " class=\"hole-cell long\"",
        Kind::Hole => " class=\"hole-cell\"",
        Kind::Fill => " class=\"fill\"",
    };
    // Text of another script finds its own direction.
    let dir = if cell.text.is_ascii() { "" } else { " dir=\"auto\"" };
    let _ = write!(out, "<{open}{class}{dir}>{}</{close}>", inside(cell));
}

/// Whether a cell is a single figure, which is not parted from its unit.
fn is_figure(text: &str) -> bool {
    text.len() <= 14 && text.starts_with(|c: char| c.is_ascii_digit()) && text.contains(' ')
}

fn inside(cell: &Cell) -> String {
    match cell.kind {
        Kind::Plain => rich(&cell.text),
        Kind::Hole => format!("<strong class=\"sign\">(!)</strong> {}", rich(&cell.text)),
        Kind::Fill => "<span class=\"unseen\">to be filled in</span>".to_owned(),
    }
}

fn figure(out: &mut String, figure: &Figure) {
    let count = figure.parts.len();
    for number in 0..count {
        let part =
            if count > 1 { format!(", part {} of {count}", number + 1) } else { String::new() };
        let _ = writeln!(
            out,
            "<figure>\n<figcaption dir=\"auto\">{}{part}</figcaption>\n<div class=\"scroll\" role=\"group\" aria-label=\"{}{part}\" tabindex=\"0\">\n{}</div>\n</figure>",
            escaped(&figure.title),
            escaped(&figure.title),
            figure.inline(number)
        );
    }
}
