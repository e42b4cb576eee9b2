//! Texts at random: the edits of formatting give what the formatter gives, and those of any part of a
//! text leave one that says the same.

#![allow(clippy::unwrap_used, reason = "tests")]

use curtilage_diagnostic::Edit;
use curtilage_facts::{Facts, Options};
use curtilage_ide::{self as ide, View};
use curtilage_project::{Loader, scope};
use curtilage_testkit::TODAY;
use curtilage_text::Span;
use proptest::prelude::*;
use std::path::{Path, PathBuf};

fn with<T>(text: &str, ask: impl FnOnce(View<'_>) -> T) -> T {
    let path = Path::new("/nowhere/x.site");
    let mut loader = Loader::new(PathBuf::from("/nowhere"));
    loader.overlay(path.to_path_buf(), text.to_owned());
    let scope = scope(&loader, path).unwrap();
    let model = curtilage_model::build(&scope);
    ask(View::root(&Facts::new(&model, Options { today: TODAY })))
}

fn edited(text: &str, edits: &[Edit]) -> String {
    let mut text = text.to_owned();
    let mut edits = edits.to_vec();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.at.span));
    for edit in edits {
        text.replace_range(edit.at.span.start as usize..edit.at.span.end as usize, &edit.text);
    }
    text
}

/// Fails unless the edits of all of a text, and those of its part from `from` to `to`, are right. A
/// part leaves the blank lines around it, so only what is said is compared, and the comments.
fn holds(text: &str, from: u32, to: u32) {
    with(text, |view| {
        let Ok(wanted) = curtilage_format::format(text) else {
            assert!(ide::format(view).is_err(), "{text:?}");
            return;
        };
        let edits = ide::format(view).unwrap();
        assert_eq!(edited(text, &edits), wanted, "{text:?}");
        // No client can say a place within the end of a line.
        let within = |at: u32| {
            let (before, behind) = text.split_at(at as usize);
            before.ends_with('\r') && behind.starts_with('\n')
        };
        let ends = edits.iter().flat_map(|edit| [edit.at.span.start, edit.at.span.end]);
        assert_eq!(ends.filter(|at| within(*at)).count(), 0, "{text:?}: {edits:?}");
        let part = edited(text, &ide::format_range(view, Span::new(from, to)).unwrap());
        let again = curtilage_format::format(&part).unwrap();
        let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        assert_eq!(words(&again), words(&wanted), "{text:?} from {from} to {to}: {part:?}");
    });
}

/// Statements, and what may stand between them.
const LINES: &[&str] = &["Mon 10:00 to  11:00", "lockout 5s", "record a,\n  b", "record a, # x\nb"];
const HEADS: &[&str] =
    &["schedule s", "policy  p", "response to a, # x\n  b", "zone z is a", "recording head # r"];
const GAPS: &[&str] = &[
    "",
    " ",
    "\n",
    "\r\n",
    "\n\n\n",
    " # why\n",
    "\n# own \n",
    " # a\n# b\n\n# a\n\t",
    "# b {\r\n",
    "# b }\n",
];

fn block() -> impl Strategy<Value = String> {
    let gap = || proptest::sample::select(GAPS);
    let lines = prop::collection::vec((proptest::sample::select(LINES), gap()), 0..3);
    (proptest::sample::select(HEADS), gap(), gap(), lines, gap()).prop_map(
        |(head, before, after, lines, behind)| {
            let lines: Vec<String> =
                lines.into_iter().map(|(line, gap)| format!("{line}{gap}\n")).collect();
            format!("{head}{before}{{{after}{}}}{behind}\n", lines.concat())
        },
    )
}

proptest! {
    #[test]
    fn any_blocks(blocks in prop::collection::vec(block(), 1..4), from in 0u32..90, long in 0u32..90) {
        holds(&blocks.concat(), from, from + long);
    }
}

#[test]
fn a_brace_goes_before_the_comment_and_the_next_block_has_its_own_edits() {
    let text = "schedule s # why\n{\n    Mon 10:00 to 11:00\n}\n\nschedule  t {\n}\n";
    with(text, |view| {
        let edits = ide::format(view).unwrap();
        assert!(edits.len() > 1, "{edits:?}");
        let typed = u32::try_from(text.find("}\n").unwrap()).unwrap() + 1;
        let after = edited(text, &ide::format_on_type(view, typed, '}'));
        assert!(after.starts_with("schedule s {  # why\n    Mon  "), "{after}");
        assert!(after.ends_with("\n\nschedule  t {\n}\n"), "{after}");
    });
}
