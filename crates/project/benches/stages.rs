//! Where the time of one analysis goes: a large site and the longest of the examples, stage by
//! stage, the best and the middle of many runs. `cargo bench -p curtilage-project --bench stages`

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a benchmark")]

use curtilage_facts::{Facts, Options};
use curtilage_project::{Loader, scope};
use curtilage_syntax::parse;
use curtilage_testkit::{TODAY, large_site, root};
use std::time::{Duration, Instant};

const RUNS: usize = 200;

fn main() {
    for (name, path, text) in [
        ("large site", "examples/large.site", large_site("large", "parts/general.site", 5000)),
        ("small site", "examples/small.site", large_site("small", "parts/general.site", 200)),
        ("museum", "examples/sites/museum.site", read("examples/sites/museum.site")),
    ] {
        let path = root().join(path);
        println!("{name}: {} lines, {} kB", text.lines().count(), text.len() / 1000);
        stage("decode", || curtilage_text::decode(text.clone().into_bytes()));
        stage("lines", || curtilage_text::LineIndex::new(&text));
        stage("tokens", || curtilage_syntax::Tokens::new(&text));
        stage("parse, tokens included", || parse(&text, &[]));
        let mut loader = Loader::new(root());
        loader.overlay(path.clone(), text.clone());
        stage("scope, parsed already", || scope(&loader, &path).unwrap());
        let scope = scope(&loader, &path).unwrap();
        stage("model", || curtilage_model::build(&scope));
        let model = curtilage_model::build(&scope);
        let options = Options { today: TODAY };
        stage("facts", || Facts::new(&model, options));
        let facts = Facts::new(&model, options);
        stage("rules, first asking", || curtilage_rules::check(&Facts::new(&model, options)));
        stage("rules, asked again", || curtilage_rules::check(&facts));
        assert_eq!(curtilage_rules::check(&facts), [], "the site is clean");
    }
}

fn read(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap()
}

fn stage<T>(name: &str, work: impl Fn() -> T) {
    let mut times: Vec<Duration> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            let made = work();
            let time = start.elapsed();
            drop(made);
            time
        })
        .collect();
    times.sort();
    let ms = |time: Duration| time.as_secs_f64() * 1e3;
    println!(
        "  {name:24} {:8.3} ms at best, {:8.3} ms in the middle",
        ms(times[0]),
        ms(times[RUNS / 2])
    );
}
