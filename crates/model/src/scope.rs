//! The names in scope: parts, schedules, and everything that is on the site.

use crate::confusable::Looks;
use crate::{Fault, FaultKind, Kind, Named};
use curtilage_syntax::nearest;
use curtilage_text::{FileId, Place};
use foldhash::fast::RandomState;
use std::cell::Cell;
use std::collections::{HashMap, hash_map};

/// The schedules that every site has.
const EVERY_SITE: [&str; 2] = ["always", "never"];

/// A declared name.
#[derive(Debug)]
pub(crate) struct Entry {
    pub(crate) kind: Kind,
    /// The index in the list of its kind.
    pub(crate) index: usize,
    pub(crate) at: Place,
    pub(crate) used: Cell<bool>,
}

/// The names of one scope.
#[derive(Debug, Default)]
pub(crate) struct Names<'a> {
    entries: HashMap<&'a str, Entry, RandomState>,
    looks: Looks<'a>,
}

impl<'a> Names<'a> {
    /// No names, with room for so many.
    pub(crate) fn for_about(count: usize) -> Self {
        Self {
            entries: HashMap::with_capacity_and_hasher(count, RandomState::default()),
            looks: Looks::for_about(count),
        }
    }

    /// Declares a name. A second thing of that name is told. Returns whether the name is new.
    pub(crate) fn declare(
        &mut self,
        name: Named<'a>,
        kind: Kind,
        index: usize,
        faults: &mut Vec<Fault>,
    ) -> bool {
        match self.entries.entry(name.text) {
            hash_map::Entry::Occupied(first) => {
                let first = first.get();
                faults.push(Fault {
                    kind: FaultKind::DuplicateName {
                        name: name.text.to_owned(),
                        first: first.kind,
                        first_at: first.at,
                        second: kind,
                    },
                    at: name.at,
                });
                return false;
            }
            hash_map::Entry::Vacant(new) => {
                new.insert(Entry { kind, index, at: name.at, used: Cell::new(false) });
            }
        }
        self.looks.add(name);
        true
    }

    /// The thing of a name, of one of the kinds that are wanted; otherwise it is told why not.
    pub(crate) fn find(
        &self,
        name: Named<'_>,
        wanted: Kind,
        kinds: &[Kind],
        faults: &mut Vec<Fault>,
    ) -> Option<&Entry> {
        let Some(entry) = self.entries.get(name.text) else {
            let candidates = self.entries.iter().filter(|(_, entry)| kinds.contains(&entry.kind));
            let everywhere = if wanted == Kind::Schedule { &EVERY_SITE[..] } else { &[] };
            let known = candidates.map(|(known, _)| *known).chain(everywhere.iter().copied());
            let near = nearest(name.text, known);
            let near = near.or_else(|| self.looks.like(name.text));
            let nearest = near.map(|near| {
                let entry = self.entries.get(near);
                entry.inspect(|entry| entry.used.set(true));
                (near.to_owned(), entry.map(|entry| entry.at))
            });
            let name_text = name.text.to_owned();
            faults.push(Fault {
                kind: FaultKind::UnknownName { name: name_text, wanted, nearest },
                at: name.at,
            });
            return None;
        };
        entry.used.set(true);
        if kinds.contains(&entry.kind) {
            return Some(entry);
        }
        faults.push(Fault {
            kind: FaultKind::WrongKind {
                name: name.text.to_owned(),
                wanted,
                is: entry.kind,
                defined: entry.at,
            },
            at: name.at,
        });
        None
    }

    /// Tells of the declared names of the root file whose letters mislead.
    pub(crate) fn looks(&self, root: FileId, faults: &mut Vec<Fault>) {
        self.looks.tell(root, faults);
    }

    /// The declared names that nothing has used, of some kinds, in the root file, in order.
    pub(crate) fn unused(&self, kinds: &[Kind], root: FileId, faults: &mut Vec<Fault>) {
        let mut found: Vec<_> = self
            .entries
            .iter()
            .filter(|(_, entry)| {
                !entry.used.get() && entry.at.file == root && kinds.contains(&entry.kind)
            })
            .collect();
        found.sort_by_key(|(_, entry)| entry.at);
        faults.extend(found.into_iter().map(|(name, entry)| Fault {
            kind: FaultKind::Unused { kind: entry.kind, name: (*name).to_owned() },
            at: entry.at,
        }));
    }
}
