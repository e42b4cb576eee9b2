//! What a text says, for comparison: its tokens and its comments, read off its tokens alone.

use curtilage_syntax::{Kind, Tokens};

/// What a text says, blanks and line ends apart.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Says {
    /// The tokens that count.
    pub(crate) tokens: Vec<(Kind, String)>,
    /// The comments, in order.
    pub(crate) comments: Vec<String>,
}

/// What `source` says.
pub(crate) fn says(source: &str) -> Says {
    let mut says = Says { tokens: Vec::new(), comments: Vec::new() };
    let tokens = Tokens::new(source);
    for (index, token) in (0u32..).zip(tokens.list()) {
        let text = tokens.span(index).of(source);
        match token.kind {
            Kind::Space | Kind::Newline => {}
            Kind::Comment => {
                says.comments.push(text.trim_end_matches([' ', '\t', '\u{a0}']).to_owned());
            }
            kind => says.tokens.push((kind, text.to_owned())),
        }
    }
    says
}

/// Fails unless `text` has the form that every formatted text has.
#[track_caller]
pub(crate) fn well_formed(text: &str) {
    assert!(text.is_empty() || text.ends_with('\n'), "no line feed at the end: {text:?}");
    assert!(!text.ends_with("\n\n"), "a blank line at the end: {text:?}");
    assert!(!text.starts_with('\n'), "a blank line at the start: {text:?}");
    assert!(!text.contains("\n\n\n"), "two blank lines: {text:?}");
    assert!(!text.contains('\r'), "a carriage return: {text:?}");
    for line in text.lines() {
        assert_eq!(line, line.trim_end_matches([' ', '\t', '\u{a0}']), "blanks at the end");
    }
}
