//! Every page of `cases` holds: its block `before` gives its block `after`, and `after` gives
//! itself; or the text is refused with what the block `refused` names.
//!
//! What one cannot see is written as a sign: `␠` blank, `⇥` tab, `⍽` no-break blank, `␍` CR;
//! `␄` ends the block before its line end.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test reads its cases")]

use curtilage_format::{FormatError, format};
use std::path::Path;

/// The text of the block that opens with this word after the fence.
fn block(page: &str, word: &str) -> Option<String> {
    let (_, rest) = page.split_once(&format!("```{word}\n"))?;
    let (text, _) = rest.split_once("```")?;
    let text = text.replace('␠', " ").replace('⇥', "\t").replace('⍽', "\u{a0}");
    Some(text.replace('␍', "\r").replace("␄\n", ""))
}

/// What a refusal names: the kinds of the faults.
fn named(error: &FormatError) -> String {
    match error {
        FormatError::WouldChange => "WouldChange\n".to_owned(),
        FormatError::HasFaults(faults) => {
            let kinds = faults.iter().map(|fault| {
                let kind = format!("{:?}", fault.kind);
                kind.split([' ', '{']).next().unwrap().to_owned()
            });
            kinds.collect::<Vec<_>>().join(", ") + "\n"
        }
    }
}

#[track_caller]
fn check(name: &str, page: &str) {
    assert!(page.starts_with("# "), "{name}: a page opens with its title");
    let before = block(page, "before").unwrap();
    let wanted = block(page, "after");
    let refused = block(page, "refused");
    match format(&before) {
        Ok(text) => {
            assert_eq!(Some(&text), wanted.as_ref(), "{name}");
            assert_eq!(format(&text), Ok(text), "{name}: a second time");
        }
        Err(error) => assert_eq!(Some(named(&error)), refused, "{name}"),
    }
}

#[test]
fn every_page_holds() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut files: Vec<_> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    assert!(files.len() >= 30);
    for file in files {
        check(&file.display().to_string(), &std::fs::read_to_string(&file).unwrap());
    }
}
