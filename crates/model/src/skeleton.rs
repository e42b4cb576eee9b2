//! The skeleton of UTS #39: two texts that look alike have the same one.

use unicode_normalization::UnicodeNormalization;

include!(concat!(env!("OUT_DIR"), "/looks.rs"));

/// The skeleton of a text.
pub(crate) fn skeleton(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.nfd() {
        match look(letter) {
            Some(look) => out.push_str(look),
            None => out.push(letter),
        }
    }
    out.nfd().collect()
}

/// What a letter looks like, which may be nothing; none when it looks like itself.
fn look(letter: char) -> Option<&'static str> {
    let index = LETTERS.binary_search(&letter).ok()?;
    let end = |index: usize| ENDS.get(index).map_or(0, |end| usize::from(*end));
    LOOKS.get(index.checked_sub(1).map_or(0, end)..end(index))
}

#[cfg(test)]
mod tests {
    use super::skeleton;
    use proptest::prelude::*;

    /// Every character there is, by the library from which the table is made.
    #[test]
    fn every_letter_looks_as_the_library_says() {
        for letter in '\0'..=char::MAX {
            let text = letter.to_string();
            let wanted: String = unicode_security::skeleton(&text).collect();
            assert_eq!(skeleton(&text), wanted, "U+{:04X}", u32::from(letter));
        }
    }

    proptest! {
        #[test]
        fn every_text_does(text in "\\PC{0,12}", marks in "[a-zа-я\u{301}\u{327}\u{5bf}\u{200d}ﬁ㎏ǆ]{0,12}") {
            for text in [text, marks] {
                let wanted: String = unicode_security::skeleton(&text).collect();
                prop_assert_eq!(skeleton(&text), wanted);
            }
        }
    }
}
