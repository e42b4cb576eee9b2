//! Terminals of controllers. A part declares them in groups, often as a numbered range; a written
//! one is matched against the groups, so nothing is listed that nobody asks for.

use crate::ControllerId;
use curtilage_syntax::tree::Name;
use curtilage_syntax::tree::part::{self, Contacts, Terminals};
use curtilage_text::{FileId, Place, Span};

/// What a terminal is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TerminalKind {
    /// An input.
    Input,
    /// The common of some inputs.
    Common,
    /// A relay.
    Relay,
    /// An outlet that feeds others.
    Outlet,
    /// A camera channel.
    Channel,
}

impl TerminalKind {
    /// The kind in words, with its article.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Input => "an input",
            Self::Common => "a common",
            Self::Relay => "a relay",
            Self::Outlet => "an outlet",
            Self::Channel => "a channel",
        }
    }

    /// The kind in one word, without the article.
    #[must_use]
    pub fn noun(self) -> &'static str {
        let words = self.words();
        words.strip_prefix("an ").or(words.strip_prefix("a ")).unwrap_or(words)
    }
}

/// A terminal that a controller part offers.
#[derive(Clone, Debug)]
pub struct Offered<'a> {
    /// What it is.
    pub kind: TerminalKind,
    /// Its name.
    pub name: String,
    /// The words that give the name: one word, or a whole numbered range.
    pub given: Span,
    /// Whether those words are a range.
    pub ranged: bool,
    /// The declaration.
    pub group: &'a Terminals,
}

/// All terminals of a part, in the order of its sheet, commons of inputs behind those of their own.
/// `text` gives the words of the part's file.
pub(crate) fn offered<'a>(
    part: &'a part::Controller,
    text: impl Fn(Span) -> &'a str,
) -> Vec<Offered<'a>> {
    let mut out: Vec<Offered<'a>> = Vec::new();
    for (kind, groups) in groups(part) {
        for group in groups {
            for pair in &group.names {
                let given = pair.1.map_or(pair.0.span, |last| pair.0.span.to(last.span));
                let ranged = pair.1.is_some();
                let names = names_of(*pair, &text).into_iter();
                out.extend(names.map(|name| Offered { kind, name, given, ranged, group }));
            }
        }
    }
    for group in &part.inputs {
        let Some(common) = group.common else { continue };
        let (name, kind) = (text(common.span).to_owned(), TerminalKind::Common);
        if !out.iter().any(|known| known.kind == kind && known.name == name) {
            out.push(Offered { kind, name, given: common.span, ranged: false, group });
        }
    }
    out
}

/// A terminal of a controller of the site.
#[derive(Clone, Copy, Debug)]
pub struct Terminal<'a> {
    /// The controller.
    pub controller: ControllerId,
    /// Its name.
    pub name: &'a str,
    /// What it is.
    pub kind: TerminalKind,
    /// The declaration in the part.
    pub group: &'a Terminals,
    /// The file of the declaration.
    pub file: FileId,
}

impl Terminal<'_> {
    /// Where the part declares it.
    #[must_use]
    pub fn declared(&self) -> Place {
        Place::new(self.file, self.group.span)
    }

    /// The contacts of a relay terminal.
    #[must_use]
    pub fn contacts(&self) -> Option<Contacts> {
        self.group.contacts
    }

    /// Whether two terminals are the same screw.
    #[must_use]
    pub fn is(&self, other: &Self) -> bool {
        self.controller == other.controller && self.name == other.name
    }
}

/// The terminals of a part as they are declared, to look written ones up in.
pub(crate) struct Offers<'a> {
    list: Vec<Offer<'a>>,
}

/// One name that a part gives, or a range of names.
struct Offer<'a> {
    kind: TerminalKind,
    group: &'a Terminals,
    first: &'a str,
    last: Option<&'a str>,
    /// The common beginning and the numbers of a range that has such.
    range: Option<(&'a str, u32, u32)>,
}

impl<'a> Offers<'a> {
    /// Those of `part`; `text` gives the words of its file.
    pub(crate) fn of(part: &'a part::Controller, text: impl Fn(Span) -> &'a str) -> Self {
        let mut list = Vec::new();
        for (kind, groups) in groups(part) {
            for group in groups {
                list.extend(group.names.iter().map(|(first, last)| {
                    let (first, last) = (text(first.span), last.map(|last| text(last.span)));
                    let range = last.and_then(|last| numbers(first, last));
                    Offer { kind, group, first, last, range }
                }));
                let common = group.common.filter(|_| kind == TerminalKind::Input);
                list.extend(common.map(|common| {
                    let (kind, first) = (TerminalKind::Common, text(common.span));
                    Offer { kind, group, first, last: None, range: None }
                }));
            }
        }
        Self { list }
    }

    /// The group that has a terminal of this name, and what it is.
    pub(crate) fn find(&self, name: &str) -> Option<(TerminalKind, &'a Terminals)> {
        let found = self.list.iter().find(|offer| offer.holds(name))?;
        Some((found.kind, found.group))
    }
}

impl Offer<'_> {
    /// Whether a name is the first one, or lies in the range from the first to the last.
    fn holds(&self, name: &str) -> bool {
        let Some((prefix, low, high)) = self.range else {
            return self.first == name || self.last == Some(name);
        };
        name.strip_prefix(prefix)
            .filter(|digits| digits.bytes().all(|byte| byte.is_ascii_digit()))
            .filter(|digits| {
                !digits.starts_with('0') || digits.len() == self.first.len() - prefix.len()
            })
            .and_then(|digits| digits.parse::<u32>().ok())
            .is_some_and(|number| (low..=high).contains(&number))
    }
}

pub(crate) fn groups(part: &part::Controller) -> [(TerminalKind, &[Terminals]); 5] {
    [
        (TerminalKind::Common, &part.commons),
        (TerminalKind::Input, &part.inputs),
        (TerminalKind::Relay, &part.relays),
        (TerminalKind::Outlet, &part.outlets),
        (TerminalKind::Channel, &part.channels),
    ]
}

/// The common beginning and the numbers of `in1 to in4`, if it is such a range.
pub(crate) fn numbers<'a>(first: &'a str, last: &'a str) -> Option<(&'a str, u32, u32)> {
    let cut = |name: &'a str| {
        let digits = name.bytes().rev().take_while(u8::is_ascii_digit).count();
        name.split_at(name.len() - digits)
    };
    let ((prefix, low), (other, high)) = (cut(first), cut(last));
    let (low, high) = (low.parse().ok()?, high.parse().ok()?);
    (prefix == other && low <= high && high - low < MOST_IN_RANGE).then_some((prefix, low, high))
}

/// A range of terminals has at most so many.
const MOST_IN_RANGE: u32 = 4096;

/// All names of a group, in order.
pub(crate) fn names<'a>(group: &'a Terminals, text: impl Fn(Span) -> &'a str) -> Vec<String> {
    group.names.iter().flat_map(|pair| names_of(*pair, &text)).collect()
}

/// The names that a word, or a range of words, gives.
fn names_of<'a>(pair: (Name, Option<Name>), text: &impl Fn(Span) -> &'a str) -> Vec<String> {
    let first = text(pair.0.span);
    match pair.1.and_then(|last| numbers(first, text(last.span))) {
        Some((prefix, low, high)) => {
            let width = first.len() - prefix.len();
            (low..=high).map(|n| format!("{prefix}{n:0width$}")).collect()
        }
        None => vec![first.to_owned()],
    }
}
