//! How long each answer takes on a large file, in milliseconds: half of the calls and 99 of 100
//! are faster. `cargo bench -p curtilage-ide --bench answers`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "a benchmark reads its files and the clock"
)]

use curtilage_facts::{Facts, Options};
use curtilage_ide::{self as ide, View};
use curtilage_project::{Loader, scope};
use curtilage_testkit::{TODAY, root};
use curtilage_text::Span;
use std::hint::black_box;
use std::time::Instant;

/// A site of about so many lines: the museum with more zones of the same kind.
fn large(lines: usize) -> String {
    let path = root().join("examples/sites/museum.site");
    let mut text = std::fs::read_to_string(path).unwrap();
    let mut number = 0;
    while text.lines().count() < lines {
        number += 1;
        text.push_str(&format!(
            "zone more-{number} \"More of the same\" is door-reed {{\n    purpose    intrusion\n    area       foyer\n    wired      to lower.in{} over 18 m of six-core-0.22\n    armed      shut\n    lockout    2 s\n    registers  once an activation\n}}\n\nresponse to more-{number} {{\n    tell    curator\n}}\n\n",
            number % 16 + 1
        ));
    }
    text
}

fn main() {
    for lines in [900, 5_000] {
        let text = large(lines);
        let path = root().join("examples/sites/museum.site");
        let mut loader = Loader::new(root());
        loader.overlay(path.clone(), text.clone());
        let scope = scope(&loader, &path).unwrap();
        let start = Instant::now();
        let model = curtilage_model::build(&scope);
        let facts = Facts::new(&model, Options { today: TODAY });
        println!("{} lines: model and facts {:.1} ms", text.lines().count(), ms(start));
        let view = View::root(&facts);
        let all = Span::new(0, u32::try_from(text.len()).unwrap());
        // Where people type: after a word, somewhere in the file.
        let step = text.len() / 400;
        let offsets: Vec<u32> = (0..400).map(|at| u32::try_from(at * step + 7).unwrap()).collect();
        let each = |name: &str, ask: &dyn Fn(u32)| {
            let mut times: Vec<f64> = offsets
                .iter()
                .map(|offset| {
                    let start = Instant::now();
                    ask(*offset);
                    ms(start)
                })
                .collect();
            times.sort_by(f64::total_cmp);
            println!("    {name:20} p50 {:7.3}  p99 {:7.3}", times[200], times[396]);
        };
        each("hover", &|at| drop(black_box(ide::hover(view, at))));
        let named = |kind: &str, list: Vec<u32>| {
            let mut times: Vec<f64> = list
                .iter()
                .map(|at| {
                    let start = Instant::now();
                    drop(black_box(ide::hover(view, *at)));
                    ms(start)
                })
                .collect();
            times.sort_by(f64::total_cmp);
            let last = times.len() - 1;
            println!("    hover, {kind:13} p50 {:7.3}  most {:6.3}", times[last / 2], times[last]);
        };
        named("zones", model.zones.iter().map(|thing| thing.name.at.span.start).collect());
        named("outputs", model.outputs.iter().map(|thing| thing.name.at.span.start).collect());
        named("supplies", model.supplies.iter().map(|thing| thing.name.at.span.start).collect());
        named("controllers", model.controllers.iter().map(|t| t.name.at.span.start).collect());
        each("completion", &|at| drop(black_box(ide::complete(view, at))));
        each("form", &|at| drop(black_box(ide::form_help(view, at))));
        each("definition", &|at| {
            black_box(ide::definition(view, at));
        });
        each("references", &|at| drop(black_box(ide::references(&[&model], view, at, true))));
        each("highlight", &|at| drop(black_box(ide::highlights(view, at))));
        each("tokens of the file", &|_| drop(black_box(ide::tokens(view, None))));
        each("tokens of a page", &|at| {
            drop(black_box(ide::tokens(view, Some(Span::new(at, at + 2_000)))));
        });
        each("line ends", &|_| drop(black_box(ide::inlays(view, all))));
        each("symbols", &|_| drop(black_box(ide::document_symbols(view))));
        each("folds", &|_| drop(black_box(ide::folds(view))));
        each("chain", &|at| {
            let link = ide::chain_at(view, at);
            black_box(link.map(|link| ide::chain_onward(view, link.at)));
        });
    }
}

fn ms(start: Instant) -> f64 {
    start.elapsed().as_secs_f64() * 1e3
}
