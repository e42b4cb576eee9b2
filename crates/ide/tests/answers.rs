//! The answers of every feature, drawn on the source. One helper a feature.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "tests")]

mod support;

use curtilage_ide::{self as ide, View};
use curtilage_text::{Place, Span};
use std::fmt::Write as _;
use support::{Case, here, page, plain, trim_lines};

#[test]
fn hover() {
    page("hover.md", |case| {
        case.with(|facts, _| match ide::hover(View::new(facts, case.file), case.cursor()) {
            Some(hover) => {
                let drawn = case.draw(&plain([here(case.file, hover.span)]));
                trim_lines(&format!("{drawn}\n{}", hover.markdown))
            }
            None => "(nothing)\n".to_owned(),
        })
    });
}

#[test]
fn completion() {
    page("completion.md", |case| {
        case.with(|facts, _| {
            let list = ide::complete(View::new(facts, case.file), case.cursor());
            let text = &case.source(case.file).text;
            let mut out = String::new();
            let mut shown = 0;
            for item in &list {
                let typed = item.replace.of(text);
                if !item.label.starts_with(typed.trim_start()) {
                    continue;
                }
                shown += 1;
                if shown > 14 && !case.info.contains("whole") {
                    continue;
                }
                let kind = format!("{:?}", item.kind).to_lowercase();
                writeln!(out, "{:24} {kind:9} {}", item.label, item.detail).unwrap();
                if item.snippet {
                    for line in item.insert.lines() {
                        writeln!(out, "    > {line}").unwrap();
                    }
                }
                if case.info.contains("pages") {
                    out.push_str(&item.documentation);
                    out.push('\n');
                }
            }
            if shown > 14 && !case.info.contains("whole") {
                writeln!(out, "... {} more", shown - 14).unwrap();
            }
            trim_lines(&out)
        })
    });
}

#[test]
fn form() {
    page("form.md", |case| {
        case.with(|facts, _| {
            let Some(help) = ide::form_help(View::new(facts, case.file), case.cursor()) else {
                return "(nothing)\n".to_owned();
            };
            let mut out = format!("{}\n", help.label);
            if let Some(span) = help.active.and_then(|active| help.slots.get(active)) {
                let (start, end) = (span.start as usize, span.end as usize);
                writeln!(out, "{}{}", " ".repeat(start), "^".repeat(end - start)).unwrap();
            }
            writeln!(out, "{}", help.about).unwrap();
            out
        })
    });
}

#[test]
fn definition() {
    page("definition.md", |case| {
        case.with(|facts, _| {
            let view = View::new(facts, case.file);
            let mut marks = Vec::new();
            if let Some(target) = ide::definition(view, case.cursor()) {
                marks.push((here(case.file, target.from), "from".to_owned()));
                marks.push((target.to, "definition".to_owned()));
            }
            if let Some(target) = ide::declaration(view, case.cursor())
                && marks.last().is_none_or(|(at, _)| *at != target.to)
            {
                marks.push((target.to, "declaration".to_owned()));
            }
            case.draw(&marks)
        })
    });
}

#[test]
fn references() {
    page("references.md", |case| {
        case.with(|facts, models| {
            let view = View::new(facts, case.file);
            let all = ide::references(models, view, case.cursor(), true);
            let used = ide::references(models, view, case.cursor(), false);
            let words = |at: &Place| if used.contains(at) { "" } else { "given" };
            let marks: Vec<_> = all.iter().map(|at| (*at, words(at).to_owned())).collect();
            case.draw(&marks)
        })
    });
}

#[test]
fn highlight() {
    page("highlight.md", |case| {
        case.with(|facts, _| {
            let found = ide::highlights(View::new(facts, case.file), case.cursor());
            let marks: Vec<_> = found
                .into_iter()
                .map(|(span, access)| {
                    (here(case.file, span), format!("{access:?}").to_lowercase())
                })
                .collect();
            case.draw(&marks)
        })
    });
}

#[test]
fn rename() {
    page("rename.md", |case| {
        let new = case.info.split(' ').find_map(|word| word.strip_prefix("to=")).unwrap();
        case.with(|facts, models| {
            match ide::rename(models, View::new(facts, case.file), case.cursor(), new) {
                Ok(edits) => {
                    let marks: Vec<_> =
                        edits.into_iter().map(|edit| (edit.at, edit.text)).collect();
                    case.draw(&marks)
                }
                Err(refusal) => {
                    let other = refusal.other.map(|at| case.draw(&plain([at])));
                    format!("refused: {}\n{}", refusal.why, other.unwrap_or_default())
                }
            }
        })
    });
}

fn tree(symbols: &[ide::Symbol], depth: usize, out: &mut String) {
    for symbol in symbols {
        let kind = format!("{:?}", symbol.kind).to_lowercase();
        let indent = "  ".repeat(depth);
        writeln!(out, "{indent}{} [{kind}] {}", symbol.name, symbol.detail).unwrap();
        tree(&symbol.children, depth + 1, out);
    }
}

#[test]
fn symbols() {
    page("symbols.md", |case| {
        case.with(|facts, models| {
            let mut out = String::new();
            let query = case.info.split(' ').find_map(|word| word.strip_prefix("query="));
            if let Some(query) = query {
                for found in ide::workspace_symbols(models, query).iter().take(8) {
                    let path = &found.path;
                    writeln!(out, "{}  ({}) in {path}", found.name, found.detail).unwrap();
                }
            } else {
                tree(&ide::document_symbols(View::new(facts, case.file)), 0, &mut out);
            }
            trim_lines(&out)
        })
    });
}

#[expect(dead_code, reason = "used by the features that are drawn by span alone")]
fn spans(case: &Case, list: impl IntoIterator<Item = Span>) -> String {
    case.draw(&plain(list.into_iter().map(|span| here(case.file, span))))
}
