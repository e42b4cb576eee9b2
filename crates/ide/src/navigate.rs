//! From a name to what it stands for, and back to every place that writes it.

use crate::View;
use crate::exception::{Meant, meant};
use crate::form::Quoted;
use crate::line::Cursor;
use crate::mention::{self, Identity, IdentityOf, Mention, What, mentions_of};
use crate::names::{Names, item_at};
use crate::view::source;
use curtilage_facts::{Facts, Options};
use curtilage_model::{Kind, Model};
use curtilage_rules::detect;
use curtilage_text::{Place, Span};
use std::collections::{BTreeSet, HashSet};

/// Where a name leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Target {
    /// The words under the cursor.
    pub from: Span,
    /// The name of what they stand for.
    pub to: Place,
    /// The whole line or block of it.
    pub whole: Place,
}

/// What the name under a cursor stands for, with the words there.
#[must_use]
pub fn identify(view: View<'_>, offset: u32) -> Option<(Span, Identity)> {
    let mention = mention_at(view, offset)?;
    let (model, names) = (view.model(), Names::of(view.model()));
    let found = mention.identity(model, &names, view.file)?;
    let meant = meant(model, &names, view.source()?, &mention, |rule| detect(rule, view.facts()));
    let of = |at| names.list.iter().find(|known| known.at == at).map(|known| known.kind);
    let identity = match meant {
        Meant::One(at) => match of(at) {
            Some(kind) => Identity { at, kind: kind.noun(), of: IdentityOf::Thing(kind), ..found },
            None => found,
        },
        Meant::Plainly | Meant::Any(_) => found,
    };
    Some((mention.span, identity))
}

pub(crate) fn mention_at<'a>(view: View<'a>, offset: u32) -> Option<Mention<'a>> {
    let source = view.source()?;
    let line = Cursor::at(source, offset)?.line?;
    mention::at(source, line, offset)
}

/// Where the thing under a cursor is defined; for a `use` line, the file.
#[must_use]
pub fn definition(view: View<'_>, offset: u32) -> Option<Target> {
    let mention = mention_at(view, offset)?;
    if mention.what == What::File(Quoted::File) {
        let path = crate::links::resolve(&view.source()?.path, inside(mention.text))?;
        let all = view.model().sources();
        let to = all.iter().find(|source| source.path == path)?;
        let to = Place::new(to.file, Span::default());
        return Some(Target { from: mention.span, to, whole: to });
    }
    let names = Names::of(view.model());
    let identity = mention.identity(view.model(), &names, view.file)?;
    let whole = whole(view.model(), &identity);
    Some(Target { from: mention.span, to: identity.at, whole })
}

/// Where the part behind the thing under a cursor is given; for a part, a schedule or a terminal the
/// thing itself.
#[must_use]
pub fn declaration(view: View<'_>, offset: u32) -> Option<Target> {
    let (from, identity) = identify(view, offset)?;
    let model = view.model();
    let names = Names::of(model);
    let part = part_of(model, &names, &identity).unwrap_or(identity);
    Some(Target { from, to: part.at, whole: whole(model, &part) })
}

/// The part that the first line of a thing names.
pub(crate) fn part_of(
    model: &Model<'_>,
    names: &Names<'_>,
    identity: &Identity,
) -> Option<Identity> {
    let IdentityOf::Thing(kind) = identity.of else { return None };
    if matches!(kind, Kind::Tap | Kind::Preset | Kind::Area | Kind::People) {
        return None;
    }
    let source = source(model, identity.at.file)?;
    let item = item_at(source, identity.at.span)?;
    let mut list = Vec::new();
    let line = crate::line::Line { block: "a file", item, statement: item };
    mention::of_line(source, line, &mut list);
    let part = list.into_iter().find(|mention| {
        let wants = match mention.what {
            What::Thing(kind) => crate::names::scope_of(kind) == crate::names::Scope::Parts,
            _ => false,
        };
        wants && !mention.declares
    })?;
    part.identity(model, names, source.file)
}

/// The whole item, or the line, of a thing.
pub(crate) fn whole(model: &Model<'_>, identity: &Identity) -> Place {
    let at = identity.at;
    let Some(source) = source(model, at.file) else { return at };
    let Some(item) = item_at(source, at.span) else { return at };
    if item.line().start <= at.span.start && at.span.end <= item.line().end {
        return Place::new(at.file, item.span);
    }
    let lines = item.block.iter().flat_map(|block| &block.statements);
    let mut lines = lines.map(curtilage_syntax::Statement::line).rev();
    let found = lines.find(|line| line.start <= at.span.start && at.span.end <= line.end);
    Place::new(at.file, found.unwrap_or(at.span))
}

/// The inside of a text in quotes.
pub(crate) fn inside(text: &str) -> &str {
    let text = text.strip_prefix('"').unwrap_or(text);
    text.strip_suffix('"').unwrap_or(text)
}

/// Every place, in all models, that writes the name under a cursor; in order.
#[must_use]
pub fn references(
    models: &[&Model<'_>],
    view: View<'_>,
    offset: u32,
    with_declaration: bool,
) -> Vec<Place> {
    let Some((_, identity)) = identify(view, offset) else { return Vec::new() };
    let mut all = every(models, view, &identity);
    if !with_declaration {
        all.retain(|written| !written.declares);
    }
    all.into_iter().map(|written| written.at).collect()
}

/// Where a name is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Written {
    pub(crate) at: Place,
    /// Whether it is given there.
    pub(crate) declares: bool,
    /// Whether it may stand there for another thing of the name.
    pub(crate) unsure: bool,
}

/// The places that write a name, in order. The own model is looked through too when it is not among
/// the models.
pub(crate) fn every(models: &[&Model<'_>], view: View<'_>, identity: &Identity) -> Vec<Written> {
    let own = view.model();
    let mut out = BTreeSet::new();
    let mut seen = HashSet::new();
    let mut through = |model: &Model<'_>| {
        // A model that does not see the file cannot mean it.
        if source(model, identity.at.file).is_none() || !seen.insert(model.root_file()) {
            return;
        }
        let names = Names::of(model);
        for source in model.sources() {
            for mention in mentions_of(source, &identity.name) {
                let meant = meant(model, &names, source, &mention, |rule| {
                    if model.root_file() == own.root_file() {
                        return detect(rule, view.facts());
                    }
                    detect(rule, &Facts::new(model, Options { today: view.today() }))
                });
                let unsure = matches!(meant, Meant::Any(_));
                let writes = match meant {
                    Meant::Plainly => {
                        let found = mention.identity(model, &names, source.file);
                        found.is_some_and(|found| found.at == identity.at)
                    }
                    Meant::One(at) => at == identity.at,
                    Meant::Any(list) => list.contains(&identity.at),
                };
                if writes {
                    let at = Place::new(source.file, mention.span);
                    out.insert(Written { at, declares: mention.declares, unsure });
                }
            }
        }
    };
    through(own);
    for model in models {
        through(model);
    }
    out.into_iter().collect()
}

/// How a name is used where it is highlighted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    /// Something is learned from the thing.
    Read,
    /// The thing is given, or made to do something.
    Write,
}

/// The other places in the same file that write the name under a cursor. An output that a response
/// switches, and a relay or input that something is wired to, is written; all else is read.
#[must_use]
pub fn highlights(view: View<'_>, offset: u32) -> Vec<(Span, Access)> {
    let Some((_, identity)) = identify(view, offset) else { return Vec::new() };
    let Some(source) = view.source() else { return Vec::new() };
    let names = Names::of(view.model());
    let mut out = Vec::new();
    for mention in mentions_of(source, &identity.name) {
        let found = mention.identity(view.model(), &names, source.file);
        if found.is_some_and(|found| found.at == identity.at) {
            let drives =
                mention.line.block == "a response" && mention.line.statement != mention.line.item;
            let wires = matches!(mention.what, What::Terminal(_))
                && !matches!(mention.line.block, "readings");
            let write = mention.declares || drives || wires;
            out.push((mention.span, if write { Access::Write } else { Access::Read }));
        }
    }
    out
}
