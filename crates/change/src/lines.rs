//! The lines that changed, item by item, whatever their order, their place and their spacing. They
//! are no changes of the site by themselves: they are what a change of a figure is put down to.

use crate::figure::Need;
use crate::names::Names;
use crate::spot::Spot;
use crate::words::{NewNames, Scope, Words};
use curtilage_model::{Model, Response, Source};
use curtilage_syntax::{Atom, AtomKind, Statement};
use curtilage_text::{Place, Span};
use std::collections::BTreeMap;

/// One line of an item, on one side.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Line {
    /// Its words, with single blanks.
    pub text: String,
    /// Where it stands.
    pub spot: Spot,
}

/// A line that is new, gone or different.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineChange {
    /// The word of its item: `zone`.
    pub item: String,
    /// The name of its item, as the newer side that has it says it.
    pub name: String,
    /// The name on the older side, when the item is there.
    pub(crate) old_name: Option<String>,
    pub(crate) new_name: Option<String>,
    /// The first word of the line; that of the item for its own first line.
    pub word: String,
    /// The line before.
    pub before: Option<Line>,
    /// The line after.
    pub after: Option<Line>,
    /// Whether it stands in a file that sites share.
    pub shared: bool,
}

impl LineChange {
    /// Whether it is the first line of an item that is on one side only.
    pub(crate) fn is_head(&self) -> bool {
        self.word == self.item && self.is_one_sided()
    }

    /// Whether its item is on one side only.
    pub(crate) fn is_one_sided(&self) -> bool {
        self.old_name.is_none() || self.new_name.is_none()
    }

    /// Whether a figure that has a need of one side depends on this line.
    pub(crate) fn serves(&self, need: &Need, old: bool) -> bool {
        let name = if old { &self.old_name } else { &self.new_name };
        let Some(name) = name else { return false };
        let item = need.item.is_empty() || need.item == self.item;
        let named = need.name.is_empty() || need.name == *name;
        let line = need.lines.is_empty()
            || self.word == self.item
            || need.lines.contains(&self.word.as_str());
        item && named && line
    }
}

/// The items of one side: word and name, as the other side names it, with the lines.
pub(crate) type Items<'a> = BTreeMap<(String, String), Item<'a>>;

pub(crate) struct Item<'a> {
    source: &'a Source,
    name: String,
    shared: bool,
    /// First word, the words to compare, and the place.
    pub(crate) lines: Vec<(String, Words, Span)>,
}

/// The lines that differ between two models, once old names are put as the new ones.
pub(crate) fn changed(old: &Model<'_>, new: &Model<'_>, names: &NewNames) -> Vec<LineChange> {
    let (mut before, mut after) = (items(old, names), items(new, &NewNames::new()));
    pair_unnamed(&mut before, &mut after);
    let keys: std::collections::BTreeSet<_> = before.keys().chain(after.keys()).cloned().collect();
    let mut out = Vec::new();
    for key in keys {
        item(old, new, &key, before.get(&key), after.get(&key), &mut out);
    }
    holidays(old, new, &mut out);
    out.sort_by(|a, b| place(a).cmp(&place(b)));
    out
}

fn place(change: &LineChange) -> (Option<&Spot>, &str) {
    let line = change.after.as_ref().or(change.before.as_ref());
    (line.map(|line| &line.spot), &change.word)
}

pub(crate) fn items<'a>(model: &Model<'a>, names: &NewNames) -> Items<'a> {
    let known = Names::of(model);
    let mut out = Items::new();
    for (index, source) in model.sources().iter().enumerate() {
        for statement in source.statements() {
            let Some((word, name)) = key(source, statement) else { continue };
            // What another file keeps for its own site is nobody's business here.
            if index > 0 && !matches!(word, "part" | "schedule" | "policy" | "use") {
                continue;
            }
            let scope = match word {
                "part" => Scope::Part,
                "schedule" => Scope::Schedule,
                _ => Scope::Thing,
            };
            let mapped = Words::name(scope, &name).mapped(names).bare();
            let mapped = if matches!(word, "site" | "policy") { String::new() } else { mapped };
            let name = if matches!(word, "site" | "policy") { String::new() } else { name };
            let head = statement.atoms.get(1..).unwrap_or_default();
            // The name is the key, and no part of what is compared.
            let skip = usize::from(!matches!(word, "use" | "allow" | "response"));
            let head = head.get(skip..).unwrap_or_default();
            let mut lines = vec![(
                word.to_owned(),
                normal(source, head, &known, (word, word)).mapped(names),
                statement.line(),
            )];
            for line in statement.block.iter().flat_map(|block| &block.statements) {
                let first = line.atoms.first().map_or("", |atom| atom.span.of(&source.text));
                let words = normal(source, &line.atoms, &known, (word, first)).mapped(names);
                lines.push((first.to_owned(), words, line.line()));
            }
            let item = Item { source, name, shared: index > 0, lines };
            out.entry((word.to_owned(), mapped)).or_insert(item);
        }
    }
    out
}

/// Responses without a name are known by their causes; when those change, the leftover ones are
/// paired in the order of the file.
fn pair_unnamed(before: &mut Items<'_>, after: &mut Items<'_>) {
    let unnamed = |items: &Items<'_>, other: &Items<'_>| {
        let mut keys: Vec<_> = items
            .iter()
            .filter(|(key, item)| {
                key.0 == "response" && item.name.starts_with("to ") && !other.contains_key(*key)
            })
            .map(|(key, item)| (item.lines.first().map(|line| line.2.start), key.clone()))
            .collect();
        keys.sort();
        keys.into_iter().map(|(_, key)| key).collect::<Vec<_>>()
    };
    let (old, new) = (unnamed(before, after), unnamed(after, before));
    if old.len() != new.len() {
        return;
    }
    for (old, new) in old.into_iter().zip(new) {
        if let Some(item) = before.remove(&old) {
            before.insert(new, item);
        }
    }
}

fn item(
    old: &Model<'_>,
    new: &Model<'_>,
    key: &(String, String),
    before: Option<&Item<'_>>,
    after: Option<&Item<'_>>,
    out: &mut Vec<LineChange>,
) {
    let lines = |item: Option<&Item<'_>>| -> Vec<(String, Words, Span)> {
        item.map(|item| item.lines.clone()).unwrap_or_default()
    };
    let (mut gone, mut fresh) = (lines(before), lines(after));
    gone.retain(|line| {
        let same = fresh.iter().position(|other| other.0 == line.0 && other.1 == line.1);
        same.map(|index| fresh.remove(index)).is_none()
    });
    let line = |model: &Model<'_>, item: Option<&Item<'_>>, span: Span| {
        let item = item?;
        let place = Place::new(item.source.file, span);
        let text = span.of(&item.source.text).split_whitespace().collect::<Vec<_>>().join(" ");
        Some(Line { text, spot: Spot::of(model, place)? })
    };
    let shared = after.or(before).is_some_and(|item| item.shared);
    let (old_name, new_name) = (before.map(|item| &item.name), after.map(|item| &item.name));
    let mut push = |word: &str, was: Option<Span>, is: Option<Span>| {
        out.push(LineChange {
            item: key.0.clone(),
            name: new_name.or(old_name).cloned().unwrap_or_default(),
            old_name: old_name.cloned(),
            new_name: new_name.cloned(),
            word: word.to_owned(),
            before: was.and_then(|span| line(old, before, span)),
            after: is.and_then(|span| line(new, after, span)),
            shared,
        });
    };
    for (word, _, span) in gone {
        let now = fresh.iter().position(|other| other.0 == word);
        let now = now.map(|index| fresh.remove(index).2);
        push(&word, Some(span), now);
    }
    for (word, _, span) in fresh {
        push(&word, None, Some(span));
    }
}

/// Dates that a holiday file gives are lines of it.
fn holidays(old: &Model<'_>, new: &Model<'_>, out: &mut Vec<LineChange>) {
    let dates = |model: &Model<'_>| {
        let files = model.site.as_ref().map_or(&[][..], |site| site.holiday_files);
        let mut dates: Vec<String> =
            files.iter().flat_map(|file| &file.dates).map(|event| format!("{event:?}")).collect();
        dates.sort();
        (dates, files.first().map(|file| file.at))
    };
    let ((was, was_at), (is, is_at)) = (dates(old), dates(new));
    if was == is {
        return;
    }
    let line = |model: &Model<'_>, at: Option<Place>| {
        let at = at?;
        let text = format!("holidays from {}", model.text(at));
        Some(Line { text, spot: Spot::of(model, at)? })
    };
    out.push(LineChange {
        item: "site".to_owned(),
        name: String::new(),
        old_name: Some(String::new()),
        new_name: Some(String::new()),
        word: "holidays".to_owned(),
        before: line(old, was_at),
        after: line(new, is_at),
        shared: false,
    });
}

/// The word of an item and the name under which it is known.
pub(crate) fn key<'a>(source: &'a Source, statement: &Statement) -> Option<(&'a str, String)> {
    let text = |atom: &Atom| atom.span.of(&source.text);
    let (word, rest) = statement.atoms.split_first()?;
    let word = text(word);
    let first = rest.first()?;
    let joined = || rest.iter().map(|atom| source.quoted(atom.span)).collect::<Vec<_>>().join(" ");
    let name = match word {
        "response" if text(first) == "to" => joined(),
        "allow" => joined(),
        _ => source.quoted(first.span).to_owned(),
    };
    Some((word, name))
}

/// The name under which a response is known: its own, or its causes.
pub(crate) fn response_name(model: &Model<'_>, response: &Response<'_>) -> String {
    if let Some(name) = response.name {
        return name.text.to_owned();
    }
    let Some(source) = model.sources().iter().find(|source| source.file == response.line.file)
    else {
        return String::new();
    };
    let start = response.line.span.start;
    let statement = source.statements().iter().find(|statement| statement.span.start == start);
    statement.and_then(|statement| key(source, statement)).map_or_else(String::new, |key| key.1)
}

/// Atoms of a line of an item as words, names marked, one blank between.
fn normal(source: &Source, atoms: &[Atom], names: &Names<'_>, of: (&str, &str)) -> Words {
    let mut out = Words::default();
    for atom in atoms {
        if !out.is_empty() {
            out = out.say(" ");
        }
        let text = atom.span.of(&source.text);
        out = match &atom.kind {
            AtomKind::Word => out.and(&names.mark(text, of.0, of.1)),
            AtomKind::Group(inner) => out.say("(").and(&normal(source, inner, names, of)).say(")"),
            _ => out.say(&text.split_whitespace().collect::<Vec<_>>().join(" ")),
        };
    }
    out
}
