//! A filled commissioning sheet can be taken into any site whose braces are in order: what could be
//! read before can be read after, every word of it is still there, and a second time nothing
//! changes. The input is a site and a sheet with a line of `====` between them.

use crate::site::{TODAY, two};
use curtilage_format::hinders;
use curtilage_handover::{Change, last_ones, read_sheet, take};
use curtilage_syntax::{Kind, Tokens, parse};

const SITE: &str = include_str!("../../examples/sites/farm-shop.site");

/// Reads the sheet and takes it into the site.
pub fn holds(data: &[u8]) {
    let (first, second) = two(data);
    let (site, sheet) = match &second {
        Some(sheet) => (first.as_str(), sheet.as_str()),
        None => (SITE, first.as_str()),
    };
    let Ok(filled) = read_sheet(sheet) else { return };
    let before = parse(site, &[]);
    // As the command has it: a new block could land anywhere.
    if before.faults.iter().any(|fault| hinders(&fault.kind)) {
        return;
    }
    let (entries, _) = last_ones(filled.entries, TODAY);
    let taken = take(site, &before, &entries, TODAY);
    assert_eq!(taken.changes.len(), entries.len());
    let after = parse(&taken.text, &[]);
    if !taken.changes.contains(&Change::Replaced) {
        still_there(site, &taken.text);
    }
    // Behind a statement that cannot be read, a reading may be part of it; the command then tells
    // that the reading is lost, and writes the others.
    if before.faults.is_empty() {
        assert_eq!(after.faults, [], "{}", taken.text);
        let again = take(&taken.text, &after, &entries, TODAY);
        assert_eq!(again.text, taken.text, "a second time");
        assert!(again.changes.iter().all(|change| *change == Change::Known), "{:?}", again.changes);
    }
}

/// Every word and comment of the old text stands in the new one, in the same order.
fn still_there(old: &str, new: &str) {
    let mut left = words(new).into_iter();
    for word in words(old) {
        assert!(left.any(|other| other == word), "{word:?} is lost\n{new}");
    }
}

fn words(text: &str) -> Vec<&str> {
    let tokens = Tokens::new(text);
    let all = (0u32..).zip(tokens.list());
    all.filter(|(_, token)| !matches!(token.kind, Kind::Space | Kind::Newline))
        .map(|(index, _)| tokens.span(index).of(text))
        .collect()
}
