//! Names that look alike (UTS #39), mix scripts, or are not in NFC (UAX #15, #31), and control
//! characters that hide or turn text (UAX #9).

use crate::skeleton::skeleton;
use crate::{Fault, FaultKind, Named, Source};
use curtilage_text::{FileId, Place, Span};
use foldhash::fast::RandomState;
use std::cell::OnceCell;
use std::collections::{HashMap, HashSet};
use unicode_normalization::UnicodeNormalization;
use unicode_security::MixedScript;

/// The names of a scope, for what they look like.
#[derive(Debug, Default)]
pub(crate) struct Looks<'a> {
    names: Vec<Named<'a>>,
    /// By what it looks like, the first name that does; written out when somebody asks, once all names
    /// are there.
    firsts: OnceCell<HashMap<Vec<u8>, Named<'a>, RandomState>>,
}

impl<'a> Looks<'a> {
    /// No names, with room for so many.
    pub(crate) fn for_about(count: usize) -> Self {
        Self { names: Vec::with_capacity(count), firsts: OnceCell::new() }
    }

    pub(crate) fn add(&mut self, name: Named<'a>) {
        self.names.push(name);
    }

    /// Tells of each name of the root file that cannot be told apart from an earlier one, or is not
    /// sound in itself.
    pub(crate) fn tell(&self, root: FileId, faults: &mut Vec<Fault>) {
        let like_earlier = self.like_earlier();
        for (index, name) in self.names.iter().enumerate() {
            if name.at.file != root {
                continue;
            }
            let told = match like_earlier.get(&index) {
                Some(first) => Some((looks_like(name.text, first.text), Some(first.at))),
                None => unsound(name.text).map(|why| (why, None)),
            };
            faults.extend(told.map(|(why, other)| Fault {
                kind: FaultKind::Confusable { why, other },
                at: name.at,
            }));
        }
    }

    /// By its index, each name that looks like an earlier one, with the first that does.
    fn like_earlier(&self) -> HashMap<usize, Named<'a>> {
        // Two that look alike are rare: looks are written out only where their keys are no help.
        let room = HashSet::with_capacity_and_hasher(self.names.len(), RandomState::default());
        let mut keys: HashSet<u64, RandomState> = room;
        if self.names.iter().all(|name| keys.insert(Look::of(name.text).key())) {
            return HashMap::new();
        }
        let alike = self.names.iter().enumerate().filter_map(|(index, name)| {
            let first = self.first_like(name.text)?;
            (first.at != name.at).then_some((index, first))
        });
        alike.collect()
    }

    fn first_like(&self, name: &str) -> Option<Named<'a>> {
        let written_out = || {
            let mut firsts: HashMap<_, _, RandomState> = HashMap::default();
            for name in &self.names {
                firsts.entry(Look::of(name.text).bytes()).or_insert(*name);
            }
            firsts
        };
        self.firsts.get_or_init(written_out).get(&Look::of(name).bytes()).copied()
    }

    /// The known name that looks like `name`.
    pub(crate) fn like(&self, name: &str) -> Option<&'a str> {
        self.first_like(name).map(|known| known.text)
    }
}

fn looks_like(name: &str, other: &str) -> String {
    let odd = name.chars().find(|letter| !letter.is_ascii());
    let odd = odd.map(|letter| format!(": its `{letter}` is U+{:04X}", u32::from(letter)));
    format!("`{name}` looks like `{other}`{}", odd.unwrap_or_default())
}

/// What is wrong with the letters of a name.
fn unsound(name: &str) -> Option<String> {
    if name.is_ascii() {
        return None;
    }
    if name.nfc().ne(name.chars()) {
        return Some(format!("`{name}` is not written in NFC"));
    }
    (!name.is_single_script()).then(|| format!("`{name}` mixes letters of several scripts"))
}

/// The golden ratio as a fraction of 2^64: it spreads its factors over all bits (Knuth, The Art of
/// Computer Programming, volume 3, section 6.4) (S).
const ODD: u64 = 0x9e37_79b9_7f4a_7c15;

/// What a name looks like: the skeleton of UTS #39, which for ASCII is `1`, `I` and `l` as one,
/// `0` and `O` as one, and `m` as `rn`.
#[derive(Debug)]
enum Look<'a> {
    /// A name in ASCII. Most names are, and their skeletons need not be written out.
    Ascii(&'a str),
    /// The skeleton of another one.
    Other(String),
}

impl<'a> Look<'a> {
    fn of(name: &'a str) -> Self {
        if name.is_ascii() { Self::Ascii(name) } else { Self::Other(skeleton(name)) }
    }

    /// Gives the bytes of the skeleton, one after the other.
    fn each(&self, mut take: impl FnMut(u8)) {
        match self {
            Self::Ascii(name) => name.bytes().for_each(|byte| match byte {
                b'1' | b'I' => take(b'l'),
                b'0' => take(b'O'),
                b'm' => {
                    take(b'r');
                    take(b'n');
                }
                byte => take(byte),
            }),
            Self::Other(skeleton) => skeleton.bytes().for_each(take),
        }
    }

    /// Equal looks have equal keys, and hardly any others have.
    fn key(&self) -> u64 {
        let mut key = 0u64;
        self.each(|byte| key = (key.rotate_left(5) ^ u64::from(byte)).wrapping_mul(ODD));
        key
    }

    fn bytes(&self) -> Vec<u8> {
        let mut out = Vec::new();
        self.each(|byte| out.push(byte));
        out
    }
}

/// Bidirectional controls (UAX #9) and characters that are not seen (Default_Ignorable_Code_Point
/// of the Unicode Character Database), anywhere in the text, comments and titles included.
pub(crate) fn hidden_characters(source: &Source, faults: &mut Vec<Fault>) {
    if source.text.is_ascii() {
        return;
    }
    for (at, character) in source.text.char_indices() {
        let what = match character {
            '\u{61c}'
            | '\u{200e}'
            | '\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}' => "turns the direction of the text around it",
            '\u{ad}'
            | '\u{34f}'
            | '\u{115f}'
            | '\u{1160}'
            | '\u{17b4}'
            | '\u{17b5}'
            | '\u{180b}'..='\u{180f}'
            | '\u{200b}'..='\u{200d}'
            | '\u{2060}'..='\u{206f}'
            | '\u{3164}'
            | '\u{fe00}'..='\u{fe0f}'
            | '\u{feff}'
            | '\u{ffa0}'
            | '\u{fff0}'..='\u{fff8}'
            | '\u{e0000}'..='\u{e0fff}' => "is not seen",
            _ => continue,
        };
        let start = u32::try_from(at).unwrap_or(u32::MAX);
        let end = start + u32::try_from(character.len_utf8()).unwrap_or(1);
        let why = format!("the character U+{:04X} {what}", u32::from(character));
        faults.push(Fault {
            kind: FaultKind::Confusable { why, other: None },
            at: Place::new(source.file, Span::new(start, end)),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::{Look, Looks, skeleton};
    use crate::Named;
    use curtilage_text::{FileId, Place, Span};
    use proptest::prelude::*;

    proptest! {
        /// A name in ASCII has the skeleton of the library, without writing it out, also as a key.
        #[test]
        fn a_name_looks_like_its_skeleton(name in "[a-zA-Z0-9_-]{0,80}") {
            let look = Look::of(&name);
            let written = Look::Other(skeleton(&name));
            prop_assert_eq!(look.bytes(), skeleton(&name).into_bytes());
            prop_assert_eq!(look.key(), written.key());
        }

        /// Each name is told with the first that looks like it, whatever stands between.
        #[test]
        fn a_name_is_held_against_the_first_like_it(
            names in prop::collection::hash_set("[l1I0Omrn]{1,3}|о", 0..30),
        ) {
            let names: Vec<String> = names.into_iter().collect();
            let place = |at: usize| Place::new(FileId(0), Span::at(u32::try_from(at).unwrap()));
            let named = |at: usize| Named { text: &names[at], at: place(at) };
            let mut looks = Looks::default();
            (0..names.len()).for_each(|at| looks.add(named(at)));
            let first = |at: usize| {
                (0..at).find(|earlier| skeleton(&names[*earlier]) == skeleton(&names[at]))
            };
            let found = looks.like_earlier();
            for at in 0..names.len() {
                prop_assert_eq!(found.get(&at).copied(), first(at).map(named));
            }
        }
    }
}
