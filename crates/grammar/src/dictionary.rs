//! The words of the language as a dictionary for fuzzing: each is put into texts whole.

use crate::{COMMAND, Words};
use std::collections::BTreeSet;

/// Words of a table's and a message's headings, and signs, which no table of the parser lists.
const OTHERS: &[&str] = &[
    "{",
    "}",
    "(",
    ")",
    ",",
    "\n",
    "\n\n",
    "    ",
    "# ",
    "\"\"",
    "+-",
    "%",
    "07:30",
    "24:00",
    "2026-11-25",
    "12-25",
    "Mon to Fri",
    "\n====\n",
    "\r\n",
    "\u{a0}",
    "\u{2028}",
    "\u{feff}",
    "é",
];

/// The dictionary.
pub(crate) fn text(words: &Words) -> String {
    let all: BTreeSet<&str> =
        words.all().map(String::as_str).chain(OTHERS.iter().copied()).collect();
    let mut out = format!("# Made by `{COMMAND}`.\n");
    for word in all.into_iter().filter(|word| !word.is_empty()) {
        out.push('"');
        for byte in word.bytes() {
            match byte {
                b'"' | b'\\' => out.extend(['\\', char::from(byte)]),
                b' '..=b'~' => out.push(char::from(byte)),
                other => out.push_str(&format!("\\x{other:02x}")),
            }
        }
        out.push_str("\"\n");
    }
    out
}
