//! What one side lacks and the other has: a file that cannot be read, a brace, a name that is not
//! there. What is worked out from that is neither better nor worse on that side: it is not known.

use crate::figure::{Aspect, Figure, Need};
use crate::lines::key;
use crate::words::{NewNames, Scope};
use curtilage_diagnostic::Diagnostic;
use curtilage_facts::Facts;
use curtilage_model::{FaultKind, Model, Source};
use curtilage_syntax::FaultKind as Unread;
use curtilage_syntax::tree::is_item_word;
use curtilage_text::Span;

/// What is missing on one side.
#[derive(Debug, Default)]
pub(crate) struct Missing {
    /// A used file could not be read.
    file: bool,
    /// Where a block ends is not known, nor what stands in it.
    block: bool,
    lines: Vec<Lost>,
}

/// A line that says less than was meant.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Lost {
    item: String,
    /// As the newer side calls it.
    name: String,
    /// Its first word; none when it may be meant for any.
    word: Option<String>,
}

const NO_FILE: &str = "a file that it uses could not be read";
const NO_BLOCK: &str = "where a block ends is not known";
const NO_NAME: &str = "a statement could not be read, or names something that is not there";

/// What each of two sides lacks, and the other does not.
pub(crate) fn missing(
    old: &Facts<'_, '_>,
    new: &Facts<'_, '_>,
    names: &NewNames,
) -> (Missing, Missing) {
    let (mut before, mut after) = (of(old, names), of(new, &NewNames::new()));
    let both: Vec<Lost> =
        before.lines.iter().filter(|line| after.lines.contains(line)).cloned().collect();
    let (file, block) = (before.file && after.file, before.block && after.block);
    for side in [&mut before, &mut after] {
        side.lines.retain(|line| !both.contains(line));
        side.file &= !file;
        side.block &= !block;
    }
    (before, after)
}

fn of(facts: &Facts<'_, '_>, names: &NewNames) -> Missing {
    let model = facts.model;
    let mut out = Missing { file: facts.doubt.missing_file(), ..Missing::default() };
    for source in model.sources() {
        for fault in &source.parsed.faults {
            out.block |= matches!(
                fault.kind,
                Unread::MissingBrace { .. }
                    | Unread::StrayBrace
                    | Unread::Block { .. }
                    | Unread::TooDeep
            );
            out.lines.extend(lost(source, fault.span, names, true));
        }
    }
    for fault in &model.faults {
        let names_nothing = matches!(
            fault.kind,
            FaultKind::UnknownName { .. }
                | FaultKind::WrongKind { .. }
                | FaultKind::UnknownTerminal { .. }
                | FaultKind::UnknownTap { .. }
        );
        let unread = matches!(fault.kind, FaultKind::Import(_));
        let source = model.sources().iter().find(|source| source.file == fault.at.file);
        if let Some(source) = source.filter(|_| names_nothing || unread) {
            let lost = lost(source, fault.at.span, names, false);
            // What cannot be read is a calendar of the site, or a file that is used, as told above.
            out.lines.extend(lost.filter(|lost| !unread || lost.item == "site"));
        }
    }
    out
}

/// The line of an item in which a fault lies.
fn lost(source: &Source, fault: Span, names: &NewNames, unread: bool) -> Option<Lost> {
    let touches = |span: Span| fault.start <= span.end && span.start <= fault.end;
    let statement = source.statements().iter().find(|statement| touches(statement.span))?;
    let (item, name) = key(source, statement)?;
    let inside = statement.block.iter().flat_map(|block| &block.statements);
    let line = inside.into_iter().find(|line| touches(line.line()));
    let first = line.unwrap_or(statement).atoms.first();
    let word = first.filter(|_| !unread).map(|first| first.span.of(&source.text).to_owned());
    let name = match item {
        "site" | "policy" => String::new(),
        _ => newer(names, item, &name).to_owned(),
    };
    Some(Lost { item: item.to_owned(), name, word })
}

/// What an item of the older side is called now.
fn newer<'n>(names: &'n NewNames, item: &str, name: &'n str) -> &'n str {
    let scope = match item {
        "part" => Scope::Part,
        "schedule" => Scope::Schedule,
        _ => Scope::Thing,
    };
    names.get(&(scope, name.to_owned())).map_or(name, String::as_str)
}

impl Missing {
    pub(crate) fn is_nothing(&self) -> bool {
        !self.file && !self.block && self.lines.is_empty()
    }

    /// Whether things of which nothing is said may be on this side all the same.
    pub(crate) fn hides_things(&self) -> bool {
        self.file || self.block
    }

    /// Why a figure is not known on this side, if what it is worked out from is missing there, or it
    /// is not told at all because of that. The figure is given as each side has it.
    pub(crate) fn why(
        &self,
        old: Option<&Figure>,
        new: Option<&Figure>,
        names: &NewNames,
        told: bool,
    ) -> Option<&'static str> {
        let aspect = old.or(new)?.aspect;
        if aspect == Aspect::Fitted || told && !aspect.is_worked_out() {
            return None;
        }
        // The hours of a schedule hang on its own lines.
        let whole = !matches!(aspect, Aspect::Armed | Aspect::Kept);
        if self.file && whole {
            return Some(NO_FILE);
        }
        if self.block && whole {
            return Some(NO_BLOCK);
        }
        let plain = NewNames::new();
        let of = |figure: Option<&Figure>, names: &NewNames| {
            figure.is_some_and(|figure| self.serves(figure, names))
        };
        (of(old, names) || of(new, &plain)).then_some(NO_NAME)
    }

    /// Whether a line that this side lacks is one on which a figure depends.
    fn serves(&self, figure: &Figure, names: &NewNames) -> bool {
        figure.needs.iter().any(|need| {
            let name = newer(names, need.item, &need.name);
            self.lines.iter().any(|line| line.serves(need, name))
        })
    }

    /// Whether a finding that the other side tells may be on this one all the same: an item at which
    /// it points, or a figure of what it is about, depends on what is missing here. The names are
    /// those that the other side's things have now.
    pub(crate) fn hides(
        &self,
        finding: &Diagnostic,
        model: &Model<'_>,
        figures: &[Figure],
        names: &NewNames,
    ) -> bool {
        // What cannot be read is itself looked for on each side.
        if finding.rule == "syntax" || self.is_nothing() {
            return false;
        }
        let points = || {
            let labels = std::iter::once(&finding.at).chain(&finding.others);
            labels.into_iter().any(|label| {
                let source = model.sources().iter().find(|source| source.file == label.at.file);
                let item = source.and_then(|source| lost(source, label.at.span, names, true));
                item.is_some_and(|item| {
                    self.lines
                        .iter()
                        .any(|line| (&line.item, &line.name) == (&item.item, &item.name))
                })
            })
        };
        let about = |figure: &&Figure| {
            let of = figure.thing.name.names();
            finding.about.iter().any(|name| of.contains(name))
        };
        self.hides_things()
            || points()
            || figures.iter().filter(about).any(|figure| self.serves(figure, names))
    }
}

impl Lost {
    fn serves(&self, need: &Need, name: &str) -> bool {
        // A block whose word begins no item may be meant for any.
        let item = need.item.is_empty() || need.item == self.item || !is_item_word(&self.item);
        let named = name.is_empty() || name == self.name;
        let line = need.lines.is_empty()
            || self
                .word
                .as_deref()
                .is_none_or(|word| word == self.item || need.lines.contains(&word));
        item && named && line
    }
}
