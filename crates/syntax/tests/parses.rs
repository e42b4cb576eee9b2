//! Every example site and every block of the language reference is free of syntax faults.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test reads the examples")]

use curtilage_syntax::parse;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn sites(folder: &Path, out: &mut Vec<PathBuf>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sites(&path, out);
        } else if path.extension().is_some_and(|ending| ending == "site") {
            out.push(path);
        }
    }
}

fn complain(name: &str, source: &str, complaints: &mut Vec<String>) {
    for fault in parse(source, &[]).faults {
        let line = source[..fault.span.start as usize].lines().count().max(1);
        let text = fault.span.of(source);
        complaints.push(format!("{name}:{line}: {:?} at `{text}`", fault.kind));
    }
}

#[test]
fn examples_have_no_syntax_faults() {
    let mut files = Vec::new();
    sites(&root().join("examples"), &mut files);
    files.sort();
    let mut complaints = Vec::new();
    for path in &files {
        // A faulty twin may be about a syntax fault; it says so on the line.
        let source = std::fs::read_to_string(path).unwrap();
        let about_text = ["syntax", "wrong-dimension", "said-twice", "impossible-value"];
        if !about_text.iter().any(|rule| source.contains(&format!("<- {rule}"))) {
            complain(&path.display().to_string(), &source, &mut complaints);
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn reference_blocks_have_no_syntax_faults() {
    let path = root().join("docs/language.md");
    let text = std::fs::read_to_string(&path).unwrap_or_default();
    let mut complaints = Vec::new();
    let mut block: Option<(usize, String)> = None;
    for (number, line) in text.lines().enumerate() {
        match &mut block {
            Some((start, source)) if line.starts_with("```") => {
                complain(&format!("language.md:{start}+"), source, &mut complaints);
                block = None;
            }
            Some((_, source)) => {
                source.push_str(line);
                source.push('\n');
            }
            None if line == "```site" => block = Some((number + 2, String::new())),
            None => {}
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn a_range_of_volts_may_leave_its_first_unit_to_the_second() {
    let source = "part p is controller {\n    input  closed 2 to 9 V\n}\n";
    assert_eq!(parse(source, &[]).faults, []);
}

/// As spreadsheets and meters write numbers, with or without a blank before the unit.
#[test]
fn a_number_may_have_an_exponent_wherever_a_quantity_stands() {
    let source = "
part p is controller {
    input  closed 2e0 to 9e+0 V
    draws  4E3mW at 0.9e+1 V to 14 V
}
part q is load {
    draws  2.5E+3 mW at 9 V to 14 V
}
part r is cable {
    conductor  1.8e1AWG
}
measured 2026-11-25 {
    head.in1 cut 1.2E4mV
    horn running 223E-3A
}
recording head {
    store  4e+0TB
}
";
    assert_eq!(parse(source, &[]).faults, []);
}
