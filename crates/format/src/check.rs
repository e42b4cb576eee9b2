//! The safety net: whether two texts say the same in the same words.

use crate::error::hinders;
use crate::gap::comment;
use curtilage_syntax::{Atom, AtomKind, Kind, Parsed, Statement};

/// Whether the formatted text has the tokens, the comments and the statements of the source.
pub(crate) fn same(source: &str, before: &Parsed, text: &str, after: &Parsed) -> bool {
    !after.faults.iter().any(|fault| hinders(&fault.kind))
        && words(source, before).eq(words(text, after))
        && comments(source, before).eq(comments(text, after))
        && statements(source, before.statements(source), text, after.statements(text))
}

/// All tokens with their texts.
fn tokens<'a>(source: &'a str, parsed: &'a Parsed) -> impl Iterator<Item = (Kind, &'a str)> {
    let tokens = parsed.tokens(source);
    let all = (0u32..).zip(tokens.list());
    all.map(|(index, token)| (token.kind, tokens.span(index).of(source)))
}

fn words<'a>(source: &'a str, parsed: &'a Parsed) -> impl Iterator<Item = (Kind, &'a str)> {
    tokens(source, parsed).filter(|(kind, _)| !kind.is_trivia() && *kind != Kind::Newline)
}

fn comments<'a>(source: &'a str, parsed: &'a Parsed) -> impl Iterator<Item = &'a str> {
    tokens(source, parsed).filter(|(kind, _)| *kind == Kind::Comment).map(|(_, text)| comment(text))
}

fn statements(source: &str, before: &[Statement], text: &str, after: &[Statement]) -> bool {
    before.len() == after.len()
        && before.iter().zip(after).all(|(one, other)| {
            atoms(source, &one.atoms, text, &other.atoms)
                && match (&one.block, &other.block) {
                    (None, None) => true,
                    (Some(one), Some(other)) => {
                        statements(source, &one.statements, text, &other.statements)
                    }
                    _ => false,
                }
        })
}

fn atoms(source: &str, before: &[Atom], text: &str, after: &[Atom]) -> bool {
    before.len() == after.len()
        && before.iter().zip(after).all(|(one, other)| match (&one.kind, &other.kind) {
            (AtomKind::Group(inner), AtomKind::Group(after)) => atoms(source, inner, text, after),
            (AtomKind::Quantity { tolerance: a }, AtomKind::Quantity { tolerance: b }) => {
                a.is_some() == b.is_some()
                    && letters(one.span.of(source)).eq(letters(other.span.of(text)))
            }
            (kind, other_kind) => kind == other_kind && one.span.of(source) == other.span.of(text),
        })
}

/// The characters of a quantity without the blanks between its tokens.
fn letters(text: &str) -> impl Iterator<Item = char> {
    text.chars().filter(|character| !matches!(character, ' ' | '\t' | '\u{a0}'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use curtilage_syntax::parse;

    #[track_caller]
    fn differs(source: &str, text: &str) {
        assert!(!same(source, &parse(source, &[]), text, &parse(text, &[])), "{text:?}");
    }

    #[test]
    fn blanks_and_line_ends_make_no_difference() {
        let (source, text) = ("zone a{x 2m+-1% # b \r\n}", "zone a {\n\tx  2 m +-1 %\t# b\n}\n");
        assert!(same(source, &parse(source, &[]), text, &parse(text, &[])));
    }

    #[test]
    fn every_word_comment_and_line_makes_a_difference() {
        let source = "zone a {\n  x 2 m, (y 3) # b\n  # c\n  z\n}\n";
        differs(source, &source.replace("2 m", "2 ohm"));
        differs(source, &source.replace("y 3", "y"));
        differs(source, &source.replace("# b", ""));
        differs(source, &source.replace("# b", "# d"));
        differs(source, &source.replace("# b", "#  b"));
        differs(source, &source.replace("# b", "# c").replace("  # c", "  # b"));
        differs(source, &source.replace("(y", "(\ny"));
        differs(source, &source.replace("\n  z", " z"));
        differs(source, &(source.to_owned() + "}"));
        differs("a b\n", "a\nb\n");
        differs("a 2 m\n", "a 2\nm\n");
        differs("a { b }\n", "a { b { } }\n");
    }
}
