//! Words that the language does not have.

use crate::rule::{Family, Findings, Rule};
use crate::words::{article, did_you_mean};
use curtilage_diagnostic::{Diagnostic, Fix, Level};
use curtilage_facts::{Facts, Hours};
use curtilage_syntax::{Fault, FaultKind, only_nearest};
use curtilage_text::{FileId, Place, Span, TextFaultKind};
use std::collections::HashSet;

pub(crate) static RULE: Rule = Rule {
    name: "syntax",
    family: Family::Text,
    level: Level::Error,
    about: "words that the language does not have",
    page: include_str!("syntax.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let Some(root) = facts.model.root() else { return };
    let mut marks = HashSet::new();
    for fault in &root.parsed.faults {
        if let Some(mark) = conflict(&root.text, fault.span) {
            if marks.insert(mark.start) {
                out.push(left(Place::new(root.file, mark)));
            }
        } else if let Some(finding) = word(root.file, &root.text, fault) {
            out.push(finding);
        }
    }
}

/// The mark of a merge conflict in whose line a fault begins: seven signs at the start of the line,
/// with nothing or a blank behind them.
fn conflict(source: &str, fault: Span) -> Option<Span> {
    let before = source.get(..fault.start as usize)?;
    let start = before.rfind('\n').map_or(0, |end| end + 1);
    let line = source.get(start..)?.lines().next()?.trim_end();
    let rest = ["<<<<<<<", "|||||||", "=======", ">>>>>>>"]
        .into_iter()
        .find_map(|mark| line.strip_prefix(mark))?;
    let offset = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let ends = rest.is_empty() || rest.starts_with(' ');
    ends.then(|| Span::new(offset(start), offset(start + line.len())))
}

/// The line of a time zone whose name has a sign that only quotes can hold: `Etc/GMT+5`.
fn zone_in_quotes(source: &str, fault: Span) -> Option<String> {
    let start = source.get(..fault.start as usize)?.rfind('\n').map_or(0, |end| end + 1);
    let line = source.get(start..)?.lines().next()?.split('#').next()?;
    let name = line.trim().strip_prefix("timezone")?.trim();
    Hours::unknown_zone(name).is_none().then(|| format!("timezone  \"{name}\""))
}

fn left(at: Place) -> Diagnostic {
    RULE.finds("a merge conflict was left here", at, "a mark of the conflict")
        .with_why("both versions stand in the file, and which of them is meant is not known")
        .with_help("keep one of the two versions, and take the lines of the marks out")
}

/// What is written in place of a character that has no meaning.
fn instead(stray: &str) -> &'static str {
    match stray {
        "-" | "\u{2013}" | "\u{2014}" => "from one end to the other is `to`: `08:00 to 16:00`",
        "." => "a date is written `2026-12-25`; otherwise take it out",
        _ => "take it out",
    }
}

fn word(file: FileId, source: &str, fault: &Fault) -> Option<Diagnostic> {
    let written = fault.span.of(source);
    let at = Place::new(file, fault.span);
    Some(match &fault.kind {
        FaultKind::Text(kind) => text(at, *kind),
        FaultKind::StrayCharacter => RULE
            .finds(
                format!("`{}` has no meaning here", written.escape_debug()),
                at,
                "starts no word",
            )
            .with_help(
                zone_in_quotes(source, fault.span).unwrap_or_else(|| instead(written).to_owned()),
            ),
        FaultKind::OpenText => RULE
            .finds("this quote is not closed on its line", at, "starts here")
            .with_help("put `\"` at the end of the title"),
        FaultKind::TooDeep => RULE.finds("nested too deep", at, "more than 64 levels"),
        FaultKind::MissingBrace { ends } => {
            let end = Place::new(file, *ends);
            RULE.finds("this block is not closed", at, "opens here")
                .with_other(end, "a `}` is missing before here")
                .with_why("what follows would belong to this block")
                .with_help("type `}` before the marked place")
                .with_fix(close(file, source, ends.start))
        }
        FaultKind::StrayBrace => RULE
            .finds("this brace belongs to no block", at, "no block is open here")
            .with_help("take it out, or give the block its first line"),
        FaultKind::StrayGroup => {
            RULE.finds("this parenthesis has no partner on its line", at, "no partner")
        }
        FaultKind::Expected { what, found } => {
            let found = found.as_ref().map(|found| format!("`{}`", shorten(found)));
            let instead = found.as_deref().unwrap_or("the end of the line");
            let headline = format!("expected {what}, found {instead}");
            let near = only_nearest(written, words_of(what));
            did_you_mean(RULE.finds(headline, at, format!("expected {what}")), near, at)
        }
        FaultKind::Surplus { word, pattern } => {
            let finding = RULE.finds(
                format!("`{}` is more than the statement takes", shorten(written)),
                at,
                "not part of the statement",
            );
            if pattern.is_empty() {
                return Some(finding.with_help("the word stands alone on its line"));
            }
            let first = first_word(written);
            // What may follow is in brackets, behind a word of its own: `[over LENGTH of CABLE]`.
            let words = pattern.split('[').skip(1).map(first_word);
            let words = words.filter(|word| word.starts_with(|c: char| c.is_ascii_lowercase()));
            let end = fault.span.start + u32::try_from(first.len()).unwrap_or(0);
            let one = Place::new(file, Span::new(fault.span.start, end));
            did_you_mean(finding, only_nearest(first, words), one)
                .with_help(format!("it is written: {}", format!("{word} {pattern}").trim()))
        }
        FaultKind::UnknownStatement { block, word, nearest } => {
            unknown_statement(at, block, word, *nearest)
        }
        FaultKind::Block { expected: true, thing } => {
            RULE.finds(format!("{thing} needs a block"), at, "`{` is missing here")
        }
        FaultKind::Block { expected: false, thing } => {
            RULE.finds(format!("{thing} takes no block"), at, "take this out")
        }
        FaultKind::TooMany { left, .. } => RULE
            .finds(format!("{left} more faults are not told"), at, "and so on, from here")
            .with_help("is this a site file?"),
        FaultKind::SaidTwice { .. }
        | FaultKind::WrongDimension { .. }
        | FaultKind::NoUnit { .. }
        | FaultKind::UnknownUnit { .. }
        | FaultKind::BadValue { .. } => return None,
    })
}

/// The words of which one had to stand, if it had to be one of a few: "`while active` or `never`".
fn words_of(what: &str) -> impl Iterator<Item = &str> {
    let literal = what.starts_with('`') && !what.contains("such as");
    let quoted = what.split('`').skip(1).step_by(2).filter(move |_| literal);
    quoted.map(first_word)
}

/// The first word of a text.
fn first_word(text: &str) -> &str {
    text.split(|c: char| c.is_whitespace() || matches!(c, ',' | '(' | ')')).next().unwrap_or(text)
}

/// A `}` on a line of its own behind the last line of a block that ends before a place. Comments
/// that stand at the margin above it are those of the next item.
fn close(file: FileId, source: &str, ends: u32) -> Fix {
    let mut before = source.get(..ends as usize).unwrap_or_default().trim_end();
    while let Some((above, line)) = before.rsplit_once('\n')
        && line.starts_with('#')
    {
        before = above.trim_end();
    }
    let rest = source.get(before.len()..).unwrap_or_default();
    let text = if rest.trim().is_empty() && !rest.contains('\n') { "\n}\n" } else { "\n}" };
    let at = Place::new(file, Span::at(u32::try_from(before.len()).unwrap_or(ends)));
    Fix::one("close the block", at, text, false)
}

fn unknown_statement(at: Place, block: &str, word: &str, near: Option<&'static str>) -> Diagnostic {
    let word = shorten(word);
    let finding = RULE.finds(format!("{block} has no statement `{word}`"), at, "not known here");
    let blocks = if block == "a file" { blocks_that_say(&word) } else { Vec::new() };
    match (near, blocks.as_slice()) {
        (Some(_), _) => did_you_mean(finding, near, at),
        (None, [others @ .., last]) => {
            let others = others.join(", ");
            let or = if others.is_empty() { "" } else { " or " };
            finding.with_help(format!("`{word}` stands in the block of {others}{or}{last}"))
        }
        (None, []) => {
            let noun = block.split_once(' ').map_or(block, |(_, noun)| noun);
            finding.with_help(format!("the reference lists what {} {noun} can say", article(noun)))
        }
    }
}

/// The blocks that have a statement with this word.
fn blocks_that_say(word: &str) -> Vec<&'static str> {
    let known = curtilage_syntax::vocabulary().into_iter();
    known.filter(|known| known.word == word).map(|known| known.block).collect()
}

fn text(at: Place, kind: TextFaultKind) -> Diagnostic {
    match kind {
        TextFaultKind::NotUtf8 => RULE
            .finds("these bytes are not UTF-8 text", at, "not readable")
            .with_help("save the file as UTF-8"),
        TextFaultKind::LoneCarriageReturn => RULE
            .finds("a carriage return stands alone", at, "some editors do not break the line here")
            .with_help("save the file with line feeds"),
        TextFaultKind::UnusualLineBreak => RULE
            .finds("an unusual line break", at, "some editors break the line here, others do not")
            .with_help("break the line with a line feed"),
    }
}

/// At most 40 characters of what stands there, on one line.
fn shorten(text: &str) -> String {
    let line = text.split(['\n', '\r']).next().unwrap_or("");
    let mut short: String = line.chars().take(40).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

#[cfg(test)]
mod tests {
    use super::shorten;

    #[test]
    fn what_is_quoted_ends_with_its_line() {
        let all = ["door", "door,\n gate", "door,\r\n gate", "door,\r gate"].map(shorten);
        assert_eq!(all, ["door", "door,…", "door,…", "door,…"]);
    }
}
