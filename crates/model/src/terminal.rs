//! Terminals of controllers. A part declares them in groups, often as a numbered range; a written
//! one is matched against the groups, so nothing is listed that nobody asks for.

use crate::ControllerId;
use curtilage_syntax::tree::part::{self, Contacts, Terminals};
use curtilage_text::{FileId, Place};

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

/// The group of `part` that has a terminal of this name, and what it is. `text` gives the words of
/// the part's file.
pub(crate) fn find<'a>(
    part: &'a part::Controller,
    text: impl Fn(curtilage_text::Span) -> &'a str,
    name: &str,
) -> Option<(TerminalKind, &'a Terminals)> {
    for (kind, groups) in groups(part) {
        for group in groups {
            let named = group.names.iter().any(|(first, last)| {
                holds(text(first.span), last.map(|last| text(last.span)), name)
            });
            if named {
                return Some((kind, group));
            }
            if kind == TerminalKind::Input && group.common.is_some_and(|c| text(c.span) == name) {
                return Some((TerminalKind::Common, group));
            }
        }
    }
    None
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

/// Whether a name is the first one, or lies in the range from the first to the last.
fn holds(first: &str, last: Option<&str>, name: &str) -> bool {
    let Some(last) = last else { return first == name };
    let Some((prefix, low, high)) = numbers(first, last) else {
        return first == name || last == name;
    };
    name.strip_prefix(prefix)
        .filter(|digits| digits.bytes().all(|byte| byte.is_ascii_digit()))
        .filter(|digits| !digits.starts_with('0') || digits.len() == first.len() - prefix.len())
        .and_then(|digits| digits.parse::<u32>().ok())
        .is_some_and(|number| (low..=high).contains(&number))
}

/// The common beginning and the numbers of `in1 to in4`, if it is such a range.
pub(crate) fn numbers<'a>(first: &'a str, last: &'a str) -> Option<(&'a str, u32, u32)> {
    let cut = |name: &'a str| {
        let digits = name.len() - name.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        name.split_at(name.len() - digits)
    };
    let ((prefix, low), (other, high)) = (cut(first), cut(last));
    let (low, high) = (low.parse().ok()?, high.parse().ok()?);
    (prefix == other && low <= high && high - low < MOST_IN_RANGE).then_some((prefix, low, high))
}

/// A range of terminals has at most so many.
const MOST_IN_RANGE: u32 = 4096;

/// All names of a group, in order.
pub(crate) fn names<'a>(
    group: &'a Terminals,
    text: impl Fn(curtilage_text::Span) -> &'a str,
) -> Vec<String> {
    let mut out = Vec::new();
    for (first, last) in &group.names {
        let first = text(first.span);
        match last.and_then(|last| numbers(first, text(last.span))) {
            Some((prefix, low, high)) => {
                let width = first.len() - prefix.len();
                out.extend((low..=high).map(|n| format!("{prefix}{n:0width$}")));
            }
            None => out.push(first.to_owned()),
        }
    }
    out
}
