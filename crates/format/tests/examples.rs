//! Every example site: formatting it twice is formatting it once, and it says what it said.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test reads the examples")]

mod says;

use curtilage_format::{FormatError, format};
use curtilage_syntax::{Fault, parse};
use says::{says, well_formed};
use std::path::{Path, PathBuf};

fn sites(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sites(&path, out);
        } else if path.extension().is_some_and(|ending| ending == "site") {
            out.push(path);
        }
    }
}

/// The kinds of the faults, as text: places move, kinds do not.
fn kinds(source: &str) -> Vec<String> {
    let name = |fault: &Fault| {
        let kind = format!("{:?}", fault.kind);
        kind.split([' ', '{', '(']).next().unwrap_or_default().to_owned()
    };
    parse(source, &[]).faults.iter().map(name).collect()
}

#[test]
fn every_example_keeps_what_it_says() {
    let mut files = Vec::new();
    sites(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples"), &mut files);
    files.sort();
    assert!(!files.is_empty());
    for file in files {
        let name = file.display();
        let source = std::fs::read_to_string(&file).unwrap();
        match format(&source) {
            Ok(text) => {
                assert_eq!(says(&text), says(&source), "{name}");
                assert_eq!(kinds(&text), kinds(&source), "{name}");
                well_formed(&text);
                assert_eq!(format(&text), Ok(text), "{name}: a second time");
            }
            // A faulty twin may be about a syntax fault; it says so on the line.
            Err(FormatError::HasFaults(_)) => assert!(source.contains("<- syntax"), "{name}"),
            Err(FormatError::WouldChange) => panic!("{name} would change"),
        }
    }
}
