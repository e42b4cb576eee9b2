//! Names that look alike (UTS #39), mix scripts, or are not in NFC (UAX #15, #31), and control
//! characters that hide or turn text (UAX #9).

use crate::skeleton::skeleton;
use crate::{Fault, FaultKind, Named, Source};
use curtilage_text::{Place, Span};
use foldhash::fast::RandomState;
use std::collections::HashMap;
use std::hash::{Hash, Hasher};
use unicode_normalization::UnicodeNormalization;
use unicode_security::MixedScript;

/// The names of a scope by what they look like.
#[derive(Debug, Default)]
pub(crate) struct Looks<'a> {
    by_look: HashMap<Look<'a>, Named<'a>, RandomState>,
}

impl<'a> Looks<'a> {
    /// No names, with room for so many.
    pub(crate) fn for_about(count: usize) -> Self {
        Self { by_look: HashMap::with_capacity_and_hasher(count, RandomState::default()) }
    }

    /// Adds a name; tells when it cannot be told apart from one that is there, or is not sound in
    /// itself.
    pub(crate) fn add(&mut self, name: Named<'a>) -> Option<Fault> {
        let tell = |why: String, other: Option<Place>| {
            Some(Fault { kind: FaultKind::Confusable { why, other }, at: name.at })
        };
        let other = *self.by_look.entry(Look::of(name.text)).or_insert(name);
        if other.text != name.text {
            let odd = name.text.chars().find(|letter| !letter.is_ascii());
            let odd = odd.map(|letter| format!(": its `{letter}` is U+{:04X}", u32::from(letter)));
            let odd = odd.unwrap_or_default();
            let why = format!("`{}` looks like `{}`{odd}", name.text, other.text);
            return tell(why, Some(other.at));
        }
        if name.text.is_ascii() {
            return None;
        }
        let composed: String = name.text.nfc().collect();
        if composed != name.text {
            return tell(format!("`{}` is not written in NFC", name.text), None);
        }
        if !name.text.is_single_script() {
            return tell(format!("`{}` mixes letters of several scripts", name.text), None);
        }
        None
    }

    /// The known name that looks like `name`.
    pub(crate) fn like(&self, name: &str) -> Option<&'a str> {
        self.by_look.get(&Look::of(name)).map(|known| known.text)
    }
}

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

    fn bytes(&self) -> Vec<u8> {
        let mut out = Vec::new();
        self.each(|byte| out.push(byte));
        out
    }
}

impl PartialEq for Look<'_> {
    fn eq(&self, other: &Self) -> bool {
        matches!((self, other), (Self::Ascii(a), Self::Ascii(b)) if a == b)
            || self.bytes() == other.bytes()
    }
}

impl Eq for Look<'_> {}

impl Hash for Look<'_> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        // In pieces of one size, so that equal bytes are equal pieces.
        let (mut piece, mut filled) = (0u64, 0);
        self.each(|byte| {
            piece = piece << 8 | u64::from(byte);
            filled += 1;
            if filled == size_of_val(&piece) {
                state.write_u64(piece);
                (piece, filled) = (0, 0);
            }
        });
        state.write_u64(piece);
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
    use super::{Look, skeleton};
    use foldhash::fast::FixedState;
    use proptest::prelude::*;
    use std::hash::BuildHasher;

    proptest! {
        /// A name in ASCII has the skeleton of the library, without writing it out, also as a key.
        #[test]
        fn a_name_looks_like_its_skeleton(name in "[a-zA-Z0-9_-]{0,80}") {
            let look = Look::of(&name);
            let written = Look::Other(skeleton(&name));
            prop_assert_eq!(look.bytes(), skeleton(&name).into_bytes());
            prop_assert!(look == written);
            let hash = |look: &Look<'_>| FixedState::default().hash_one(look);
            prop_assert_eq!(hash(&look), hash(&written));
        }
    }
}
