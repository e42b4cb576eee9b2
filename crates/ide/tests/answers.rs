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
                let begun = Span::new(item.replace.start, case.cursor()).of(text);
                if !item.label.starts_with(begun.trim_start()) {
                    continue;
                }
                shown += 1;
                if shown > 14 && !case.info.contains("whole") {
                    continue;
                }
                let kind = format!("{:?}", item.kind).to_lowercase();
                writeln!(out, "{:24} {kind:9} {}", item.label, item.detail).unwrap();
                if item.replace.end > case.cursor() {
                    writeln!(out, "    for `{typed}`").unwrap();
                }
                if let Some(insert) = item.insert.with_stops() {
                    for line in insert.lines() {
                        writeln!(out, "    > {line}").unwrap();
                    }
                } else if item.insert.plain() != item.label {
                    writeln!(out, "    > {}", item.insert.plain()).unwrap();
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
                .map(|(span, access)| (here(case.file, span), format!("{access:?}").to_lowercase()))
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

fn spans(case: &Case, list: impl IntoIterator<Item = Span>) -> String {
    case.draw(&plain(list.into_iter().map(|span| here(case.file, span))))
}

/// The case's own lines: those before the base site.
fn own(case: &Case) -> Span {
    let text = &case.source(case.file).text;
    let end = match case.info.split(' ').any(|word| word == "base") {
        true => case.cursors[0] as usize,
        false => text.len(),
    };
    Span::new(0, u32::try_from(end).unwrap())
}

#[test]
fn tokens() {
    page("tokens.md", |case| {
        case.with(|facts, _| {
            let list = ide::tokens(View::new(facts, case.file), Some(own(case)));
            let mut out = String::new();
            let source = case.source(case.file);
            let mut line = usize::MAX;
            for token in list.iter().filter(|token| token.span.start < own(case).end) {
                let at = support::position(source, token.span.start).0;
                if at != line {
                    writeln!(out, "{}", source.text.lines().nth(at).unwrap().trim_start()).unwrap();
                }
                line = at;
                let words = [
                    (token.modifiers.declares, " declares"),
                    (token.modifiers.shared, " shared"),
                    (token.modifiers.given, " given"),
                    (token.modifiers.unknown, " unknown"),
                ];
                let more: String = words.iter().filter(|(on, _)| *on).map(|(_, w)| *w).collect();
                let kind = format!("{:?}", token.kind).to_lowercase();
                writeln!(out, "    {:24} {kind}{more}", token.span.of(&source.text)).unwrap();
            }
            trim_lines(&out)
        })
    });
}

#[test]
fn inlay() {
    page("inlay.md", |case| {
        case.with(|facts, _| {
            let source = case.source(case.file);
            let end = u32::try_from(source.text.len()).unwrap();
            let range = match case.cursors[0] {
                0 => Span::new(0, end),
                _ => own(case),
            };
            let mut out = String::new();
            for inlay in ide::inlays(View::new(facts, case.file), range) {
                let line = support::position(source, inlay.at).0;
                let line = source.text.lines().nth(line).unwrap().trim();
                let kind = inlay.kind.word();
                writeln!(out, "{line:56} | {} [{kind}] {}", inlay.text, inlay.about).unwrap();
            }
            trim_lines(&out)
        })
    });
}

#[test]
fn lens() {
    page("lens.md", |case| {
        case.with(|facts, _| {
            let mut out = String::new();
            for lens in ide::lenses(View::new(facts, case.file)) {
                let line = lens.span.of(&case.source(case.file).text);
                write!(out, "{line}\n    {}", lens.title).unwrap();
                match lens.command {
                    ide::LensCommand::Run(words) => writeln!(out, ": {}", words.join(" ")).unwrap(),
                    ide::LensCommand::Show(at) => {
                        out.push('\n');
                        out.push_str(&spans(case, at));
                    }
                }
            }
            trim_lines(&out)
        })
    });
}

/// The text after some edits.
fn edited(case: &Case, edits: &[curtilage_diagnostic::Edit]) -> String {
    let mut text = case.source(case.file).text.to_string();
    let mut edits = edits.to_vec();
    edits.sort_by_key(|edit| std::cmp::Reverse((edit.at.span.start, edit.at.span.end)));
    for edit in edits {
        assert_eq!(edit.at.file, case.file);
        let range = edit.at.span.start as usize..edit.at.span.end as usize;
        text.replace_range(range, &edit.text);
    }
    text
}

/// The lines of a text that another does not have at this place.
fn changed(old: &str, new: &str) -> String {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let same = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let tail = old[same..].iter().rev().zip(new[same..].iter().rev());
    let tail = tail.take_while(|(a, b)| a == b).count();
    let mut out = String::new();
    for line in &old[same..old.len() - tail] {
        writeln!(out, "    - {line}").unwrap();
    }
    for line in &new[same..new.len() - tail] {
        writeln!(out, "    + {line}").unwrap();
    }
    out
}

#[test]
fn actions() {
    page("actions.md", |case| {
        case.with(|facts, _| {
            let findings = curtilage_rules::check(facts);
            let last = *case.cursors.last().unwrap();
            let range = Span::new(case.cursor(), last);
            let mut out = String::new();
            if case.info.split(' ').any(|word| word == "all") {
                let edits = ide::fix_all(View::new(facts, case.file), &findings);
                return trim_lines(&changed(&case.source(case.file).text, &edited(case, &edits)));
            }
            for action in ide::actions(View::new(facts, case.file), range, &findings) {
                let kind = format!("{:?}", action.kind).to_lowercase();
                let safe = if action.safe { ", safe" } else { "" };
                writeln!(out, "{} [{kind}{safe}]", action.title).unwrap();
                let new = edited(case, &action.edits);
                out.push_str(&changed(&case.source(case.file).text, &new));
            }
            trim_lines(&out)
        })
    });
}

#[test]
fn folding() {
    page("folding.md", |case| {
        case.with(|facts, _| {
            let source = case.source(case.file);
            let mut out = String::new();
            for fold in ide::folds(View::new(facts, case.file)) {
                let line = |at: u32| support::position(source, at).0 + 1;
                let (first, last) = (line(fold.span.start), line(fold.span.end));
                let text = source.text.lines().nth(first - 1).unwrap().trim();
                let kind = format!("{:?}", fold.kind).to_lowercase();
                writeln!(out, "{first:3} to {last:3}  {kind:8} {text}").unwrap();
            }
            trim_lines(&out)
        })
    });
}

#[test]
fn selection() {
    page("selection.md", |case| {
        case.with(|facts, _| {
            let mut out = String::new();
            for span in ide::selections(View::new(facts, case.file), case.cursor()) {
                let text = span.of(&case.source(case.file).text);
                let lines = text.lines().count();
                let first = text.lines().next().unwrap();
                match lines {
                    1 => writeln!(out, "{first}").unwrap(),
                    more => writeln!(out, "{first} ... ({more} lines)").unwrap(),
                }
            }
            trim_lines(&out)
        })
    });
}

#[test]
fn links() {
    page("links.md", |case| {
        case.with(|facts, _| {
            let list = ide::links(View::new(facts, case.file));
            let marks: Vec<_> = list
                .into_iter()
                .map(|link| (here(case.file, link.span), format!("{} ({})", link.path, link.about)))
                .collect();
            case.draw(&marks)
        })
    });
}

#[test]
fn paths() {
    page("paths.md", |case| {
        case.with(|facts, _| {
            let files = ["mill.site", "lib/a.site", "lib/b.site", "parts/general.site", "h.ics"];
            let list = ide::complete_paths(View::new(facts, case.file), case.cursor(), &files);
            let text = &case.source(case.file).text;
            let shown = |item: ide::Completion| {
                let replaced = item.replace.of(text);
                format!("{} as `{}` for `{replaced}`\n", item.label, item.insert.plain())
            };
            let all: Vec<String> = list.into_iter().map(shown).collect();
            trim_lines(&all.concat())
        })
    });
}

#[test]
fn calls() {
    page("calls.md", |case| {
        case.with(|facts, _| {
            let view = View::new(facts, case.file);
            let Some(link) = ide::chain_at(view, case.cursor()) else {
                return "(nothing)\n".to_owned();
            };
            let say = |link: &ide::ChainLink| {
                let kind = format!("{:?}", link.kind).to_lowercase();
                format!("{} [{kind}] {}", link.name, link.detail)
            };
            let mut out = String::new();
            let step = |out: &mut String, sign: &str, step: &ide::ChainStep| {
                writeln!(out, "    {sign} {}", say(&step.link)).unwrap();
                for line in case.draw(&plain(step.written.iter().copied())).lines() {
                    writeln!(out, "        {line}").unwrap();
                }
            };
            writeln!(out, "{}", say(&link)).unwrap();
            for back in ide::chain_back(view, link.at) {
                step(&mut out, "<-", &back);
            }
            for onward in ide::chain_onward(view, link.at) {
                step(&mut out, "->", &onward);
            }
            trim_lines(&out)
        })
    });
}

#[test]
fn format() {
    page("format.md", |case| {
        case.with(|facts, _| {
            let view = View::new(facts, case.file);
            let typed = case.info.split(' ').find_map(|word| word.strip_prefix("type="));
            let edits = match typed {
                Some("newline") => ide::format_on_type(view, case.cursor(), '\n'),
                Some(_) => ide::format_on_type(view, case.cursor(), '}'),
                None if case.info == "all" => ide::format(view).unwrap_or_default(),
                None => {
                    let range = Span::new(case.cursors[0], case.cursors[1]);
                    ide::format_range(view, range).unwrap_or_default()
                }
            };
            let mut out = format!("{} edits\n", edits.len());
            out.push_str(&edited(case, &edits));
            out
        })
    });
}
