//! Times every question that can be asked about each example site, and about one that is hard, beside
//! the reading of that site in the same run.
//!
//! `cargo bench -p curtilage-project --bench questions`
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_types,
    clippy::disallowed_methods,
    reason = "a benchmark reads the clock"
)]

use curtilage_facts::{Facts, Options};
use curtilage_project::{Loader, scope};
use curtilage_testkit::{TODAY, root, site_files};
use std::time::Instant;

fn main() {
    let hard = root().join("crates/project/benches/half-written.txt");
    for path in site_files("examples/sites").into_iter().chain([hard]) {
        let start = Instant::now();
        let scope = scope(&Loader::new(root()), &path).unwrap();
        let model = curtilage_model::build(&scope);
        let reading = start.elapsed().as_secs_f64();
        let facts = Facts::new(&model, Options { today: TODAY });
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let timed = |what: &str, ask: &dyn Fn() -> String| {
            let start = Instant::now();
            let said = ask();
            let took = start.elapsed().as_secs_f64();
            let ratio = took / reading;
            println!("{name:<24} {what:<22} {:>9.3} ms {ratio:>7.2} x reading  {said}", took * 1e3);
        };
        timed("system", &|| {
            let system = &facts.plant().unwrap().system;
            let (contacts, zones) = (system.contacts().count(), system.zones().count());
            let (outputs, ways) = (system.outputs().count(), system.feedback().count());
            format!("{contacts} contacts, {zones} zones, {outputs} outputs, {ways} ways back")
        });
        timed("rehearsals", &|| facts.rehearsed().len().to_string());
        timed("rings", &|| format!("{} rings", facts.feedback().len()));
        timed("held for ever", &|| {
            let all = facts.model.zones_by_id().map(|(id, _)| facts.held_for_ever(id));
            let (mut yes, mut no, mut open, mut states) = (0, 0, 0, 0);
            for answer in all {
                match answer {
                    Ok(Some(keeps)) => (yes, states) = (yes + 1, states + keeps.states),
                    Ok(None) => no += 1,
                    Err(_) => open += 1,
                }
            }
            format!("{yes} yes, {no} no, {open} not known, {states} sets of states for yes")
        });
        timed("most in an hour", &|| {
            let all = facts.model.zones_by_id().map(|(id, _)| facts.most_in_an_hour(id));
            format!(
                "{} known",
                all.filter(|most| most.as_ref().is_ok_and(|m| m.at_least == m.at_most)).count()
            )
        });
        timed("longest in a day", &|| {
            let all = facts.model.outputs_by_id().map(|(id, _)| facts.longest_in_a_day(id));
            format!(
                "{} exact",
                all.filter(|most| most.as_ref().is_ok_and(|m| m.at_least == m.at_most)).count()
            )
        });
        timed("deaf", &|| {
            let all = facts.model.zones_by_id().map(|(id, _)| facts.deaf(id));
            format!("{} known", all.filter(Result::is_ok).count())
        });
    }
}
