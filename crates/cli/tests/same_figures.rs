//! What an editor shows is what the command line prints: the figures of hover and of line ends are
//! those of `curtilage figures` and of `curtilage check --format json`, on every example site.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test")]

use curtilage_facts::{Facts, Options};
use curtilage_ide::{self as ide, InlayKind, View};
use curtilage_project::{Loader, scope};
use curtilage_testkit::{TODAY, root, site_files};
use curtilage_text::{Place, Span};
use std::path::Path;
use std::process::Command;

fn printed(arguments: &[&str]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_curtilage"));
    let output = command.args(arguments).arg("--date=2026-11-25").current_dir(root()).output();
    String::from_utf8(output.unwrap().stdout).unwrap()
}

/// The rows of a table of `figures`, cut at two blanks or more; a row that goes on another begins
/// with an empty cell.
fn rows(printed: &str, head: &str) -> Vec<Vec<String>> {
    let lines = printed.lines().skip_while(|line| *line != head).skip(2);
    let rows = lines.take_while(|line| !line.is_empty());
    rows.map(|row| {
        let cells = row.trim_end().split("  ").map(str::trim);
        cells.filter(|cell| !cell.is_empty()).map(str::to_owned).collect()
    })
    .collect()
}

/// Hover at the name of each thing of a kind.
fn hover(view: View<'_>, at: Place) -> String {
    ide::hover(view, at.span.start).unwrap().markdown
}

fn each_site(ask: impl Fn(View<'_>, &str)) {
    let mut sites = 0;
    for path in site_files("examples/sites") {
        let loader = Loader::new(root());
        let scope = scope(&loader, &path).unwrap();
        let model = curtilage_model::build(&scope);
        if model.site.is_none() {
            continue;
        }
        let facts = Facts::new(&model, Options { today: TODAY });
        let shown = loader.shown(&path);
        ask(View::root(&facts), &printed(&["figures", &shown]));
        sites += 1;
    }
    assert!(sites > 5, "only {sites} sites");
}

#[test]
fn hours_and_readings_of_zones() {
    each_site(|view, printed| {
        for row in rows(printed, "when zones count") {
            let zone = view.model().zones.iter().find(|zone| zone.name.text == row[0]).unwrap();
            let shown = hover(view, zone.name.at);
            assert!(
                shown.contains(&format!("armed `{}`: **{}** a week", row[1], row[2])),
                "{shown}"
            );
        }
        let mut zone = None;
        for row in rows(printed, "loops, and the readings to expect") {
            let named = view.model().zones.iter().find(|zone| zone.name.text == row[0]);
            zone = named.or(zone);
            let shown = hover(view, zone.unwrap().name.at);
            // The cells behind the state: the meter, the window.
            let state = row.iter().position(|cell| STATES.contains(&cell.as_str()));
            let Some(state) = state else { continue };
            let cells = format!("| **{}** | {} |", row[state + 1], row[state + 2]);
            assert!(shown.contains(&cells), "{cells}\n{shown}");
        }
    });
}

const STATES: [&str; 6] =
    ["at rest", "active", "tamper", "active, tamper", "wire cut", "wires shorted"];

#[test]
fn loads_and_voltages_of_outputs() {
    each_site(|view, printed| {
        let end = u32::try_from(view.source().unwrap().text.len()).unwrap();
        let inlays = ide::inlays(view, Span::new(0, end));
        for row in rows(printed, "contacts") {
            let first = row[1].split(", ").next().unwrap();
            let Some(output) = view.model().outputs.iter().find(|output| output.name.text == first)
            else {
                continue;
            };
            let shown = hover(view, output.name.at);
            assert!(
                shown.contains(&format!("`{}` carries **{}", row[0], row[2])),
                "{row:?}\n{shown}"
            );
            let load = inlays
                .iter()
                .any(|inlay| inlay.kind == InlayKind::Load && inlay.text.starts_with(&row[2]));
            assert!(load, "{row:?}");
        }
        for supply in &view.model().supplies {
            let head = format!("supply `{}`", supply.name.text);
            for row in rows(printed, &head) {
                let output = view.model().outputs.iter().find(|o| o.name.text == row[0]);
                let Some(output) = output else { continue };
                let shown = hover(view, output.name.at);
                if row[3].starts_with("not known") {
                    continue;
                }
                let ends = if row[3] == "never on" {
                    "never on, from".to_owned()
                } else if row[3] == row[4] {
                    format!("**{}** at the far end", row[3])
                } else {
                    format!("**{} to {}** at the far end", row[3], row[4])
                };
                assert!(shown.contains(&ends), "{ends}\n{shown}");
            }
        }
        for row in rows(printed, "outputs, whatever happens in an ordinary week") {
            let output = view.model().outputs.iter().find(|o| o.name.text == row[0]).unwrap();
            let shown = hover(view, output.name.at);
            let words = format!("driven at most **{}** in any day", row[1]);
            assert!(shown.contains(&words) || row[1].starts_with("not known"), "{words}\n{shown}");
        }
    });
}

#[test]
fn supplies_and_batteries() {
    each_site(|view, printed| {
        for supply in &view.model().supplies {
            let shown = hover(view, supply.name.at);
            let own = printed.split(&format!("supply `{}`\n", supply.name.text)).nth(1).unwrap();
            let own = own.split("\nsupply `").next().unwrap();
            let line = |start: &str| own.lines().find_map(|line| line.trim().strip_prefix(start));
            for case in ["at rest", "with all on that can be on together"] {
                let known = line(&format!("{case}, at its lowest voltage: "));
                let words = match known.and_then(|known| known.split_once(" at ")) {
                    Some((current, at)) => format!("{case}: **{current}** at {at}"),
                    None => format!("{case}: {}", line(&format!("{case}: ")).unwrap()),
                };
                assert!(shown.contains(&words), "{words}\n{shown}");
            }
            if let Some(lasts) = line("it lasts, old and cold") {
                // Where no standby is asked for, the editor speaks of none.
                let then = lasts.trim().trim_start_matches("the standby, then ");
                let words = format!("{then}**");
                assert!(shown.contains(&words) || lasts.contains("not known"), "{words}\n{shown}");
            }
            if let Some(needed) = line("capacity that is needed") {
                assert!(shown.contains(&format!("{} is needed", needed.trim())), "{shown}");
            }
        }
    });
}

/// The headline of a finding says the figures that hover says.
#[test]
fn findings_say_what_hover_says() {
    let path = root().join("examples/faulty/contact-overload.site");
    let loader = Loader::new(root());
    let scope = scope(&loader, Path::new(&path)).unwrap();
    let model = curtilage_model::build(&scope);
    let facts = Facts::new(&model, Options { today: TODAY });
    let json = printed(&["check", "--format", "json", "examples/faulty/contact-overload.site"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let headline = json["findings"][0]["headline"].as_str().unwrap();
    let output = &model.outputs[0];
    let shown = hover(View::root(&facts), output.name.at);
    // "`x` draws 1.35 A through `head.relay1`, 1.35 times its rating of 1 A"
    let words: Vec<&str> = headline.split(' ').collect();
    let draws = words.iter().position(|word| word.starts_with("draw")).unwrap();
    let (load, rating) = (words[draws + 1], words[words.len() - 2]);
    assert!(shown.contains(&format!("**{load} A of {rating} A**")), "{headline}\n{shown}");
}

/// Logarithms and powers come with the program, not with the machine: two machines whose libraries round
/// the last digit otherwise still show one figure.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
#[test]
fn the_machine_s_library_of_mathematics_is_not_asked() {
    let program = std::fs::read(env!("CARGO_BIN_EXE_curtilage")).unwrap();
    let names = |library: &[u8]| program.windows(library.len()).any(|words| words == library);
    assert!(names(b"libc.so"), "the names of libraries stand in the program");
    assert!(!names(b"libm.so"), "`f64::ln`, `powf` and their like ask it; the crate libm does not");
}
