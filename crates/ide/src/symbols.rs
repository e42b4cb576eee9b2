//! The outline of a file, and the search for names in all files.

use crate::View;
use crate::hover::letters;
use crate::line::{block_in, first_word, name_of};
use crate::names::{declared_in, item_kind};
use curtilage_model::{Kind, Model, Source};
use curtilage_syntax::{AtomKind, Statement};
use curtilage_text::{Place, Span};
use std::collections::HashSet;

/// What an entry of the outline is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SymbolKind {
    /// The site.
    Site,
    /// A schedule.
    Schedule,
    /// A part.
    Part,
    /// A supply, a cable.
    Power,
    /// A controller, a relay.
    Controller,
    /// A zone.
    Zone,
    /// An output.
    Output,
    /// A camera, a recording plan.
    Camera,
    /// A response.
    Response,
    /// A rehearsal, readings.
    Story,
    /// A policy, an exception.
    Policy,
    /// A `use` line.
    File,
    /// An area, people, a tap, a terminal, a preset.
    Field,
    /// A line of a block.
    Line,
}

/// An entry of the outline.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// Its name.
    pub name: String,
    /// More in a few words.
    pub detail: String,
    /// What it is.
    pub kind: SymbolKind,
    /// All of it.
    pub whole: Span,
    /// The name.
    pub at: Span,
    /// What is inside.
    pub children: Vec<Symbol>,
}

/// The outline of a file.
#[must_use]
pub fn document_symbols(view: View<'_>) -> Vec<Symbol> {
    let Some(source) = view.source() else { return Vec::new() };
    source.statements().iter().filter_map(|item| symbol(view, source, item)).collect()
}

fn symbol(view: View<'_>, source: &Source, item: &Statement) -> Option<Symbol> {
    let word = first_word(source, item);
    let kind = match word {
        "use" => SymbolKind::File,
        "site" => SymbolKind::Site,
        "schedule" => SymbolKind::Schedule,
        "part" => SymbolKind::Part,
        "supply" | "cable" => SymbolKind::Power,
        "controller" | "relay" => SymbolKind::Controller,
        "zone" => SymbolKind::Zone,
        "output" => SymbolKind::Output,
        "camera" | "recording" => SymbolKind::Camera,
        "response" => SymbolKind::Response,
        "rehearsal" | "measured" => SymbolKind::Story,
        "policy" | "allow" => SymbolKind::Policy,
        _ => return None,
    };
    let second = item.atoms.get(1).map_or(item.line(), |atom| atom.span);
    let rest = Span::new(second.start, item.line().end.max(second.end));
    let named = item_kind(source, item).is_some();
    let (name, at) = if named || matches!(word, "use" | "rehearsal" | "recording" | "measured") {
        (letters(source.quoted(second)), second)
    } else {
        (one_line(source.text(rest)), rest)
    };
    if name.is_empty() {
        return None;
    }
    let detail = match crate::figures::of_name(view, Place::new(source.file, second)) {
        Some(figures) => format!("{word}: {figures}"),
        None => word.to_owned(),
    };
    Some(Symbol { name, detail, kind, whole: item.span, at, children: children(source, item) })
}

fn children(source: &Source, item: &Statement) -> Vec<Symbol> {
    let block = block_in(source, item).unwrap_or("");
    let lines = item.block.iter().flat_map(|block| &block.statements);
    let mut out = Vec::new();
    for line in lines {
        let word = first_word(source, line);
        let field = match (block, word) {
            ("a site", "area" | "people") | ("a cable", "tap") | ("a camera", "preset") => {
                Some(name_of(source, line))
            }
            _ => None,
        };
        let whole = line.line();
        if let (Some(name), Some(atom)) = (field, line.atoms.get(1)) {
            if name.is_empty() {
                continue;
            }
            let rest = Span::new(atom.span.end, whole.end);
            let detail = match line.atoms.get(2) {
                Some(title) if title.kind == AtomKind::Text => letters(source.quoted(title.span)),
                Some(_) => one_line(source.text(rest)),
                None => word.to_owned(),
            };
            let (kind, at) = (SymbolKind::Field, atom.span);
            out.push(Symbol { name: name.to_owned(), detail, kind, whole, at, children: vec![] });
            continue;
        }
        let shown =
            matches!(
                (block, word),
                ("a controller part", "inputs" | "commons" | "relays" | "outlets" | "channels")
            ) || matches!(block, "a response" | "a recording plan" | "a rehearsal" | "readings");
        if shown {
            let name = one_line(source.text(whole));
            let (kind, detail) = (SymbolKind::Line, String::new());
            out.push(Symbol { name, detail, kind, whole, at: whole, children: vec![] });
        }
    }
    out
}

/// Words with one blank between them, at most eighty characters.
pub(crate) fn one_line(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    let line = words.join(" ");
    if line.chars().count() <= 80 {
        return line;
    }
    line.chars().take(79).chain(['…']).collect()
}

/// A name that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// The name.
    pub name: String,
    /// What it is in words, with its title.
    pub detail: String,
    /// The kind of the outline.
    pub kind: SymbolKind,
    /// Where it is given.
    pub at: Place,
    /// The path of the file.
    pub path: String,
}

/// Names in all files whose letters hold those of the query in order, the best first. A query that
/// no name holds is taken for a misspelling.
#[must_use]
pub fn workspace_symbols(models: &[&Model<'_>], query: &str) -> Vec<Found> {
    let mut seen = HashSet::new();
    let mut all = Vec::new();
    for model in models {
        for source in model.sources() {
            if seen.insert(source.file) {
                all.extend(declared_in(source).into_iter().map(|known| (source, known)));
            }
        }
    }
    let mut found: Vec<_> = all
        .iter()
        .filter_map(|(source, known)| {
            let title = known.title.unwrap_or("");
            let score = score(query, known.name).or_else(|| score(query, title).map(|s| s + 50));
            Some((score?, *source, known))
        })
        .collect();
    if found.is_empty()
        && let Some(near) = curtilage_syntax::nearest(query, all.iter().map(|(_, k)| k.name))
    {
        let near = all.iter().filter(|(_, known)| known.name == near);
        found = near.map(|(source, known)| (0, *source, known)).collect();
    }
    found.sort_by(|a, b| (a.0, a.2.name, &a.1.path).cmp(&(b.0, b.2.name, &b.1.path)));
    found.truncate(MOST_FOUND);
    found
        .into_iter()
        .map(|(_, source, known)| Found {
            name: known.name.to_owned(),
            detail: match known.title {
                Some(title) => format!("{}: {}", known.kind.noun(), letters(title)),
                None => known.kind.noun().to_owned(),
            },
            kind: kind_of(known.kind),
            at: known.at,
            path: source.path.clone(),
        })
        .collect()
}

/// More than this nobody reads.
const MOST_FOUND: usize = 500;

fn kind_of(kind: Kind) -> SymbolKind {
    match kind {
        Kind::Site => SymbolKind::Site,
        Kind::Schedule => SymbolKind::Schedule,
        Kind::Supply | Kind::Cable => SymbolKind::Power,
        Kind::Controller | Kind::Relay => SymbolKind::Controller,
        Kind::Zone => SymbolKind::Zone,
        Kind::Output => SymbolKind::Output,
        Kind::Camera => SymbolKind::Camera,
        Kind::Response => SymbolKind::Response,
        Kind::Policy => SymbolKind::Policy,
        Kind::Area | Kind::People | Kind::Tap | Kind::Preset => SymbolKind::Field,
        _ => SymbolKind::Part,
    }
}

/// How well a name holds a query: the letters that lie between and before; none when it does not.
fn score(query: &str, name: &str) -> Option<usize> {
    let mut letters = name.chars().flat_map(char::to_lowercase).enumerate();
    let mut score = 0;
    let mut last: Option<usize> = None;
    for wanted in query.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase) {
        let (at, _) = letters.find(|(_, letter)| *letter == wanted)?;
        score += match last {
            Some(last) => at - last - 1,
            None => at,
        };
        last = Some(at);
    }
    Some(score)
}
