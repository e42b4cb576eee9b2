//! What a finding tells, word for word: of every faulty site, of the page of every rule, and of the
//! cases in `tests/told`, each of which stands at an edge of a rule. `GOLDEN=write` writes it anew.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use curtilage_diagnostic::{Diagnostic, Input, Step};
use curtilage_facts::Options;
use curtilage_project::{Checked, Loader, check};
use curtilage_rules::RULES;
use curtilage_testkit::{Block, TODAY, Text, blocks, check_texts, root, site_files};
use curtilage_text::Place;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// `12:5 "siren-12v"`, with the file before it when it is not the one that is asked about.
fn place(checked: &Checked, own: &str, at: Place) -> String {
    let source = &checked.sources[&at.file];
    let position = source.lines().position(at.span.start);
    let file = if source.path == own { String::new() } else { format!("{}:", source.path) };
    let said = at.span.of(&source.text).lines().next().unwrap_or_default();
    format!("{file}{}:{} \"{said}\"", position.line + 1, position.column + 1)
}

fn step(checked: &Checked, own: &str, step: &Step) -> String {
    let Step { what, formula, inputs, result, source } = step;
    let mut out = format!("  working {what}: {formula} = {result} ({source})\n");
    for Input { name, value, at } in inputs {
        let at = at.map(|at| format!(", {}", place(checked, own, at))).unwrap_or_default();
        writeln!(out, "    {name} {value}{at}").unwrap();
    }
    out
}

fn told(checked: &Checked, own: &str, finding: &Diagnostic) -> String {
    let Diagnostic { rule, level, headline, at, others, why, help, working, fixes, about } =
        finding;
    let mut out = format!("{} {rule}: {headline}\n", level.word());
    for label in std::iter::once(at).chain(others) {
        writeln!(out, "  {}: {}", place(checked, own, label.at), label.text).unwrap();
    }
    if let Some(why) = why {
        writeln!(out, "  why {why}").unwrap();
    }
    for help in help {
        writeln!(out, "  do {}", help.replace('\n', "\n    ")).unwrap();
    }
    for one in working {
        out.push_str(&step(checked, own, one));
    }
    for fix in fixes {
        let asks = if fix.safe { "safe" } else { "asks" };
        writeln!(out, "  fix ({asks}) {}", fix.title).unwrap();
        for edit in &fix.edits {
            writeln!(out, "    {} -> {:?}", place(checked, own, edit.at), edit.text).unwrap();
        }
    }
    if !about.is_empty() {
        writeln!(out, "  about {}", about.join(", ")).unwrap();
    }
    out
}

fn all(checked: &Checked, own: &str) -> String {
    let told: Vec<String> =
        checked.findings.iter().map(|finding| told(checked, own, finding)).collect();
    if told.is_empty() { "nothing\n".to_owned() } else { told.join("\n") }
}

/// Keeps a text, or tells what is other than it was.
fn golden(path: &Path, text: &str, wrong: &mut Vec<String>) {
    if std::env::var_os("GOLDEN").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
        return;
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    if kept != text {
        let differs = kept.lines().zip(text.lines()).find(|(was, is)| was != is);
        wrong.push(format!("{}: {differs:?}", path.display()));
    }
}

fn here() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/told")
}

#[test]
fn every_faulty_site_is_told_as_it_was() {
    let mut wrong = Vec::new();
    for path in site_files("examples/faulty") {
        let loader = Loader::new(root());
        let checked = check(&loader, std::slice::from_ref(&path), Options { today: TODAY });
        let kept = path.strip_prefix(root().join("examples")).unwrap().with_extension("txt");
        golden(&here().join(kept), &all(&checked, &loader.shown(&path)), &mut wrong);
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// The faulty site of a rule's page, behind the base when it brings no site of its own, and every
/// file that it can use.
fn of_page(page: &[Block]) -> Vec<Text> {
    let (base, parts) = beside();
    let faulty = page.iter().find(|block| block.info.starts_with("site faulty")).unwrap();
    let own = faulty.info.contains("shared");
    let mut out = vec![whole(&base, &faulty.text, own)];
    out.push(Text { path: "parts.site".to_owned(), text: parts });
    for file in page {
        if let Some(path) = file.info.strip_prefix("site file ") {
            out.push(Text { path: path.to_owned(), text: file.text.clone() });
        }
    }
    out
}

#[test]
fn every_page_is_told_as_it_was() {
    let mut wrong = Vec::new();
    for rule in RULES {
        let checked = check_texts(&of_page(&blocks(rule.page)));
        let kept = here().join(format!("pages/{}.txt", rule.name));
        golden(&kept, &all(&checked, "example.site"), &mut wrong);
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// The site in which the examples of the rules' pages stand, and the parts that it uses.
fn beside() -> (String, String) {
    let read = |path| std::fs::read_to_string(root().join(path)).unwrap();
    (read("docs/rules/base.site"), read("examples/parts/general.site"))
}

/// A site behind the base, unless it brings its own.
fn whole(base: &str, site: &str, alone: bool) -> Text {
    let own = alone || site.lines().any(|line| line.starts_with("site "));
    let text = if own { site.to_owned() } else { format!("{base}\n{site}") };
    Text { path: "example.site".to_owned(), text }
}

/// A page of cases: a block `site` each, which stands in the site of the rules' pages unless it
/// brings its own, and after it a block `told`. Blocks `site file NAME` before it are files that it can use.
fn page(path: &Path, wrong: &mut Vec<String>) -> usize {
    let (base, parts) = beside();
    let text = std::fs::read_to_string(path).unwrap();
    let (mut out, mut site, mut block) = (String::new(), String::new(), None);
    let mut files: Vec<Text> = Vec::new();
    let mut cases = 0;
    for line in text.lines() {
        match (block, line) {
            (None, "```site") => {
                site.clear();
                block = Some("site");
            }
            (None, info) if info.starts_with("```site file ") => {
                let path = info.trim_start_matches("```site file ").to_owned();
                files.push(Text { path, text: String::new() });
                block = Some("file");
            }
            (None, "```told") => {
                cases += 1;
                let parts = Text { path: "parts.site".to_owned(), text: parts.clone() };
                let mut texts = vec![whole(&base, &site, false), parts];
                texts.append(&mut files);
                let checked = check_texts(&texts);
                write!(out, "```told\n{}```\n", all(&checked, "example.site")).unwrap();
                block = Some("told");
                continue;
            }
            (Some("told"), "```") => {
                block = None;
                continue;
            }
            (Some("told"), _) => continue,
            (Some(_), "```") => block = None,
            (Some("file"), _) => {
                let file = files.last_mut().unwrap();
                file.text.push_str(line);
                file.text.push('\n');
            }
            (Some(_), _) => {
                site.push_str(line);
                site.push('\n');
            }
            (None, _) => {}
        }
        out.push_str(line);
        out.push('\n');
    }
    golden(path, &out, wrong);
    cases
}

#[test]
fn every_case_is_told_as_it_was() {
    let mut wrong = Vec::new();
    let mut cases = 0;
    for entry in std::fs::read_dir(here()).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|extension| extension == "md") {
            cases += page(&path, &mut wrong);
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    assert!(cases >= 1, "no cases");
}

/// An exception counts in its own file. A shared file is checked by itself, and the sites that use
/// it keep their findings.
#[test]
fn an_exception_in_a_shared_file_is_told_where_it_excepts_nothing() {
    let shared = |active: &str, rule: &str| Text {
        path: "shared.site".to_owned(),
        text: format!(
            "part reed is sensor {{\n    rests   closed\n{active}}}\n\n\
             allow {rule} until 2027-01-01 because \"a trial\"\n"
        ),
    };
    let told = |texts: &[Text]| all(&check_texts(texts), &texts[0].path);
    let missing = told(&[shared("", "missing-fact")]);
    assert_eq!(missing, "nothing\n");
    let active = "    active  until restored\n";
    let silent = told(&[shared(active, "silent-zone")]);
    assert!(silent.contains("hint exception-unused: "), "{silent}");
    assert!(silent.contains("why an exception counts in the file in which it stands"), "{silent}");
    assert!(silent.contains("do put the line into the site that it is for"), "{silent}");
    let (base, parts) = beside();
    let zone =
        "zone a is reed {\n    purpose  technical\n    wired  to head.in1\n    armed  always\n}\n";
    let site = Text {
        path: "example.site".to_owned(),
        text: format!("use \"shared.site\"\n{base}\n{zone}"),
    };
    let parts = Text { path: "parts.site".to_owned(), text: parts };
    let user = told(&[site, shared(active, "silent-zone"), parts]);
    assert!(user.contains("warning silent-zone: zone `a` sets off nothing"), "{user}");
}

/// The cases of the pages bring a site or are given one.
#[test]
fn a_file_of_things_without_a_site_is_told_so_once() {
    let text = "zone a is reed {\n}\n\nzone b is reed {\n}\n".to_owned();
    let checked = check_texts(&[Text { path: "example.site".to_owned(), text }]);
    let told = all(&checked, "example.site");
    assert_eq!(told.matches("missing-fact").count(), 1, "{told}");
    assert!(told.starts_with("error missing-fact: this file has no `site`\n"), "{told}");
    assert!(told.contains("1:6 \"a\": zone `a` needs one"), "{told}");
}
