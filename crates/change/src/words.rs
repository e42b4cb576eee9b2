//! Words with names in them: a name knows that it is one, so that two texts can be compared through
//! a rename, and shown with their names set apart.

use std::collections::BTreeMap;
use std::fmt;

const OPEN: char = '\u{1}';
const CLOSE: char = '\u{2}';
/// Between the entries of a list, whose order means nothing.
const NEXT: char = '\u{3}';
/// Between what stands before a list and the list.
const THEN: char = '\u{4}';

/// In which list of names a name stands; the same word may be a part and a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Scope {
    /// Parts.
    Part,
    /// Schedules.
    Schedule,
    /// Everything that stands on the site.
    Thing,
}

impl Scope {
    fn sign(self) -> char {
        match self {
            Self::Part => 'p',
            Self::Schedule => 's',
            Self::Thing => 't',
        }
    }

    fn of(sign: char) -> Self {
        match sign {
            'p' => Self::Part,
            's' => Self::Schedule,
            _ => Self::Thing,
        }
    }
}

/// Old names and what they are called now.
pub(crate) type NewNames = BTreeMap<(Scope, String), String>;

/// A text in which names are marked.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Words(String);

impl Words {
    /// Plain words.
    pub(crate) fn new(text: &str) -> Self {
        Self(clean(text))
    }

    /// A name, or a name with what follows its dot.
    pub(crate) fn name(scope: Scope, name: &str) -> Self {
        Self(format!("{OPEN}{}{}{CLOSE}", scope.sign(), clean(name)))
    }

    /// A name of a thing.
    pub(crate) fn thing(name: &str) -> Self {
        Self::name(Scope::Thing, name)
    }

    /// A name of a part.
    pub(crate) fn part(name: &str) -> Self {
        Self::name(Scope::Part, name)
    }

    /// Adds plain words.
    pub(crate) fn say(mut self, text: &str) -> Self {
        self.0.push_str(&clean(text));
        self
    }

    /// Adds other words.
    pub(crate) fn and(mut self, other: &Self) -> Self {
        self.0.push_str(&other.0);
        self
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Several, of which the order means nothing.
    pub(crate) fn list(mut all: Vec<Self>) -> Self {
        all.sort();
        let all: Vec<String> = all.into_iter().map(|one| one.0).collect();
        Self(all.join(&NEXT.to_string()))
    }

    /// Words, and behind them a list.
    pub(crate) fn then(self, list: &Self) -> Self {
        Self(format!("{}{THEN}{}", self.0, list.0))
    }

    /// The text with its names bare.
    #[must_use]
    pub fn bare(&self) -> String {
        self.shown(|name, out| out.push_str(name))
    }

    /// The names in it, also without what follows a dot.
    pub(crate) fn names(&self) -> Vec<String> {
        let mut out = Vec::new();
        self.shown(|name, _| {
            // The dot may be one of the name, or stand before a terminal.
            out.extend(name.split_once('.').map(|(head, _)| head.to_owned()));
            out.push(name.to_owned());
        });
        out
    }

    fn shown(&self, mut name: impl FnMut(&str, &mut String)) -> String {
        let mut out = String::with_capacity(self.0.len());
        let mut rest = self.0.as_str();
        while let Some((before, after)) = rest.split_once(OPEN) {
            out.push_str(before);
            let (inside, tail) = after.split_once(CLOSE).unwrap_or((after, ""));
            let mut inside = inside.chars();
            inside.next();
            name(inside.as_str(), &mut out);
            rest = tail;
        }
        out.push_str(rest);
        out.replace(NEXT, ", ").replace(THEN, "")
    }

    /// The same with new names for old ones.
    pub(crate) fn mapped(&self, names: &NewNames) -> Self {
        if names.is_empty() || !self.0.contains(OPEN) {
            return self.clone();
        }
        if let Some((before, list)) = self.0.split_once(THEN) {
            let of = |text: &str| Self(text.to_owned()).mapped(names);
            return of(before).then(&of(list));
        }
        if self.0.contains(NEXT) {
            let each = self.0.split(NEXT).map(|one| Self(one.to_owned()).mapped(names));
            return Self::list(each.collect());
        }
        let mut out = String::with_capacity(self.0.len());
        let mut rest = self.0.as_str();
        while let Some((before, after)) = rest.split_once(OPEN) {
            out.push_str(before);
            let (inside, tail) = after.split_once(CLOSE).unwrap_or((after, ""));
            let mut letters = inside.chars();
            let sign = letters.next().unwrap_or('t');
            let whole = names.contains_key(&(Scope::of(sign), letters.as_str().to_owned()));
            let (head, dot) = match letters.as_str().split_once('.') {
                Some((head, terminal)) if !whole => (head, Some(terminal)),
                _ => (letters.as_str(), None),
            };
            let key = (Scope::of(sign), head.to_owned());
            out.push(OPEN);
            out.push(sign);
            out.push_str(names.get(&key).map_or(head, String::as_str));
            if let Some(terminal) = dot {
                out.push('.');
                out.push_str(terminal);
            }
            out.push(CLOSE);
            rest = tail;
        }
        out.push_str(rest);
        Self(out)
    }
}

/// The text with its names in backticks.
impl fmt::Display for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.shown(|name, out| {
            out.push('`');
            out.push_str(name);
            out.push('`');
        }))
    }
}

/// A text of a user cannot set marks of its own.
fn clean(text: &str) -> String {
    text.chars().filter(|sign| !matches!(*sign, OPEN | CLOSE | NEXT | THEN)).collect()
}

#[cfg(test)]
mod tests {
    use super::{NewNames, Scope, Words};

    #[test]
    fn a_name_is_renamed_and_a_word_is_not() {
        let names = NewNames::from([((Scope::Thing, "head".to_owned()), "panel".to_owned())]);
        let words = Words::new("head at ").and(&Words::thing("head.in1"));
        assert_eq!(words.mapped(&names).to_string(), "head at `panel.in1`");
        assert_eq!(words.bare(), "head at head.in1");
        let part = Words::part("head");
        assert_eq!(part.mapped(&names), part);
    }
}
