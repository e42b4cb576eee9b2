//! Formatting changes white space only, and a second time changes nothing.

use curtilage_format::{FormatError, format};
use curtilage_syntax::{Kind, Tokens, parse};

/// Formats the text.
pub fn holds(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let formatted = match format(text) {
        Ok(formatted) => formatted,
        Err(FormatError::HasFaults(faults)) => return assert!(!faults.is_empty()),
        Err(FormatError::WouldChange) => panic!("a text in order is formatted"),
    };
    // The byte order mark at the start goes; a second one is a fault.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    assert_eq!(words(text), words(&formatted), "something but white space changed");
    assert_eq!(format(&formatted).as_ref(), Ok(&formatted), "a second time");
    assert_eq!(tree(text), tree(&formatted), "the tree changed");
}

/// Every token but blanks and line ends. The end of a comment may lose its blanks; those that stand
/// between a line and its brace go behind the brace, which stands on the line.
fn words(text: &str) -> Vec<(Kind, &str)> {
    let tokens = Tokens::new(text);
    let mut out: Vec<(Kind, &str)> = Vec::new();
    for (index, token) in (0u32..).zip(tokens.list()) {
        if matches!(token.kind, Kind::Space | Kind::Newline) {
            continue;
        }
        let word = (token.kind, tokens.span(index).of(text).trim_end());
        let notes = out.iter().rev().take_while(|(kind, _)| *kind == Kind::Comment).count();
        let at = if token.kind == Kind::Open { out.len() - notes } else { out.len() };
        out.insert(at, word);
    }
    out
}

/// The statements without their places: the words of each, and how deep it stands.
fn tree(text: &str) -> Vec<(usize, String)> {
    fn put(
        text: &str,
        list: &[curtilage_syntax::Statement],
        depth: usize,
        out: &mut Vec<(usize, String)>,
    ) {
        for statement in list {
            let atoms: Vec<String> = statement
                .atoms
                .iter()
                .map(|atom| words(atom.span.of(text)).iter().map(|(_, word)| *word).collect())
                .collect();
            out.push((depth, atoms.join(" ")));
            put(
                text,
                statement
                    .block
                    .iter()
                    .flat_map(|block| &block.statements)
                    .cloned()
                    .collect::<Vec<_>>()
                    .as_slice(),
                depth + 1,
                out,
            );
        }
    }
    let mut out = Vec::new();
    put(text, parse(text, &[]).statements(text), 0, &mut out);
    out
}
