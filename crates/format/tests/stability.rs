//! A new line never moves another: in a formatted block, one more statement is one more line.

#![allow(clippy::unwrap_used, reason = "a test of texts that it writes itself")]

use curtilage_format::format;
use curtilage_syntax::vocabulary;

/// A head for each kind of block of the vocabulary.
fn head(block: &str) -> String {
    let thing = block.trim_start_matches("an ").trim_start_matches("a ");
    match thing {
        "recording plan" => "recording head {".to_owned(),
        "readings" => "measured 2026-11-02 {".to_owned(),
        "rehearsal" => "rehearsal \"a story\" {".to_owned(),
        _ => match thing.strip_suffix(" part") {
            Some(kind) => format!("part x is {kind} {{"),
            None => format!("{thing} x {{"),
        },
    }
}

/// Statements for a block: its words, the lines that begin with a value, and an unknown word.
fn statements(block: &str) -> Vec<String> {
    let words = vocabulary();
    let own = words.iter().filter(|entry| entry.block == block && !entry.word.is_empty());
    let mut out: Vec<String> = own.map(|entry| format!("{} 5 s", entry.word)).collect();
    let others: &[&str] = match block {
        "a schedule" => &["Mon to Fri 07:30 to 18:00", "Mon, Wed, Fri to Sun 07:30 to 18:00"],
        "a rehearsal" => &["Mon 10:00 x active", "2026-12-25 10:00:00.200 x active"],
        "readings" => &["head.in1 resting 4.7 kohm", "a-very-long-name.in1 resting 4.7 kohm"],
        _ => &[],
    };
    out.extend(others.iter().map(|line| (*line).to_owned()));
    out.push("some-word-that-nobody-knows 1, 2".to_owned());
    out.push("x 1 m, # more\n 2 m".to_owned());
    out
}

/// `lines` as a formatted block.
fn formatted(block: &str, lines: &[String]) -> Vec<String> {
    let text = format(&(head(block) + "\n" + &lines.join("\n") + "\n}\n")).unwrap();
    text.lines().map(str::to_owned).collect()
}

/// Fails unless `after` is `before` with `added` more lines in one place.
#[track_caller]
fn only_adds(before: &[String], after: &[String], added: usize) {
    assert_eq!(after.len(), before.len() + added, "{after:#?}");
    let same = before.iter().zip(after).take_while(|(one, other)| one == other).count();
    assert!(after.iter().skip(same + added).eq(before.iter().skip(same)), "{after:#?}");
}

#[test]
fn one_more_statement_is_one_more_line() {
    let words = vocabulary();
    let mut blocks: Vec<_> = words.iter().map(|entry| entry.block).collect();
    blocks.dedup();
    for block in blocks.into_iter().filter(|block| *block != "a file") {
        let all = statements(block);
        let whole = formatted(block, &all);
        for missing in 0..all.len() {
            let mut fewer = all.clone();
            let added = fewer.remove(missing).lines().count();
            only_adds(&formatted(block, &fewer), &whole, added);
        }
    }
}

#[test]
fn one_more_entry_of_a_broken_list_is_one_more_line() {
    let list =
        |entries: &[&str]| formatted("a response", &[format!("record {}", entries.join(",\n"))]);
    only_adds(&list(&["a", "b", "d"]), &list(&["a", "b", "c", "d"]), 1);
}

#[test]
fn one_more_comment_is_one_more_line() {
    let lines = |text: &[&str]| {
        let lines: Vec<String> = text.iter().map(|line| (*line).to_owned()).collect();
        formatted("a zone", &lines)
    };
    only_adds(
        &lines(&["purpose panic # a", "lockout 5 s # b"]),
        &lines(&["purpose panic # a", "# c", "lockout 5 s # b"]),
        1,
    );
}
