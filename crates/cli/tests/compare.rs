//! What a change does, case by case: each file of `compare/` holds the files before and after, and
//! what is told of them. A result that is not what the file says is written into it, and the test
//! fails: look at the difference and run it again.
//!
//! A block `before PATH` or `after PATH` is a file of one side, `both PATH` of both; the first `text`
//! block is the result, its first line the arguments beside the two folders, after `$`.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test")]

use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

const DAY: &str = "--date=2026-11-25";

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

fn curtilage(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_curtilage"));
    let output = command.args(arguments).current_dir(folder).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

struct Block {
    info: String,
    /// Lines of the page, from and to.
    lines: (usize, usize),
    text: String,
}

fn blocks(page: &str) -> Vec<Block> {
    let mut out = Vec::new();
    let mut open: Option<(String, usize)> = None;
    let lines: Vec<&str> = page.lines().collect();
    for (index, line) in lines.iter().enumerate() {
        let Some(info) = line.strip_prefix("````").or(line.strip_prefix("```")) else { continue };
        match open.take() {
            Some((info, start)) => {
                let text = lines[start..index].iter().map(|line| format!("{line}\n")).collect();
                out.push(Block { info, lines: (start, index), text });
            }
            None => open = Some((info.trim().to_owned(), index + 1)),
        }
    }
    out
}

fn put(folder: &Path, path: &str, text: &str) {
    let path = folder.join(path);
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(path, text).unwrap();
}

/// The two folders of a case, with the parts and policies of the examples beside them.
fn folders(page: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for side in ["before", "after"] {
        put(folder.path(), &format!("{side}/workspace.site"), "");
        for shared in ["parts/general.site", "policy/house.site", "policy/strict.site"] {
            let text = std::fs::read_to_string(root().join("examples").join(shared)).unwrap();
            put(folder.path(), &format!("{side}/{shared}"), &text);
        }
    }
    for block in blocks(page) {
        let Some((side, path)) = block.info.split_once(' ') else { continue };
        for one in ["before", "after"] {
            if side == one || side == "both" {
                put(folder.path(), &format!("{one}/{path}"), &block.text);
            }
        }
    }
    folder
}

#[test]
fn each_case_tells_what_its_file_says() {
    let cases = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/compare");
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(&cases).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    assert!(paths.len() >= 10);
    let mut stale = Vec::new();
    for path in paths {
        let page = std::fs::read_to_string(&path).unwrap();
        let folder = folders(&page);
        let blocks = blocks(&page);
        let block = blocks.iter().find(|block| block.info == "text").unwrap();
        let call = block.text.lines().next().unwrap();
        let words: Vec<&str> = call.strip_prefix("$ compare").unwrap().split_whitespace().collect();
        let arguments = [&["compare", DAY, "before", "after"], words.as_slice()].concat();
        let (code, out, err) = curtilage(folder.path(), &arguments);
        assert!(!out.contains(folder.path().to_str().unwrap()), "{out}");
        let mut result = format!("{call}\n{out}");
        if !err.is_empty() {
            result.push_str(&err);
        }
        result.push_str(&format!("[{code}]\n"));
        if block.text != result {
            let lines: Vec<&str> = page.lines().collect();
            let (from, to) = block.lines;
            let whole = [
                lines[..from].join("\n"),
                "\n".into(),
                result,
                lines[to..].join("\n"),
                "\n".into(),
            ];
            std::fs::write(&path, whole.concat()).unwrap();
            stale.push(path.file_name().unwrap().to_string_lossy().into_owned());
        }
    }
    assert!(stale.is_empty(), "stale, and written anew: {stale:?}");
}

/// Every figure of one side as `figures` prints it.
fn figures(folder: &Path, side: &str) -> BTreeMap<String, Vec<Value>> {
    let (_, out, err) = curtilage(folder, &["figures", DAY, "--format", "json", side]);
    if err.contains("there is no site here") {
        return BTreeMap::new();
    }
    let document: Value = serde_json::from_str(&out).unwrap();
    schema("figures-1.json", &document);
    let sites = document["sites"].as_array().unwrap().iter();
    sites
        .map(|site| {
            (site["path"].as_str().unwrap().to_owned(), site["figures"].as_array().unwrap().clone())
        })
        .collect()
}

#[track_caller]
fn schema(name: &str, document: &Value) {
    let text = std::fs::read_to_string(root().join("docs/schema").join(name)).unwrap();
    let validator = jsonschema::validator_for(&serde_json::from_str(&text).unwrap()).unwrap();
    let errors: Vec<String> = validator
        .iter_errors(document)
        .map(|error| format!("{} {error}", error.instance_path()))
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

#[test]
fn every_figure_that_changed_is_the_figure_of_its_side() {
    let cases = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/compare");
    let mut seen = 0;
    for entry in std::fs::read_dir(cases).unwrap() {
        let path = entry.unwrap().path();
        let folder = folders(&std::fs::read_to_string(&path).unwrap());
        let arguments = ["compare", DAY, "before", "after", "--format", "json"];
        let (_, out, _) = curtilage(folder.path(), &arguments);
        let document: Value = serde_json::from_str(&out).unwrap();
        schema("compare-1.json", &document);
        let sides = [figures(folder.path(), "before"), figures(folder.path(), "after")];
        for site in document["sites"].as_array().unwrap() {
            for change in site["changes"].as_array().unwrap() {
                for (side, (name, path)) in
                    sides.iter().zip([("before", "old_path"), ("after", "new_path")])
                {
                    if change[name].is_null() {
                        continue;
                    }
                    let all = &side[site[path].as_str().unwrap()];
                    assert!(all.contains(&change[name]), "{path:?} {name}: {}", change[name]);
                    seen += 1;
                }
            }
            // A finding that is new or gone is one that `check` gives on that side, and only there.
            let checked = |side: &str| -> Vec<(String, String)> {
                let (_, out, _) =
                    curtilage(folder.path(), &["check", DAY, "--format", "json", side]);
                let document: Value = serde_json::from_str(&out).unwrap();
                let findings = document["findings"].as_array().unwrap().iter();
                let text = |value: &Value| value.as_str().unwrap().to_owned();
                findings.map(|one| (text(&one["rule"]), text(&one["headline"]))).collect()
            };
            let (was, is) = (checked("before"), checked("after"));
            for finding in site["findings"].as_array().unwrap() {
                let text = |name: &str| finding[name].as_str().unwrap().to_owned();
                let one = (text("rule"), text("headline"));
                let side = if finding["after"].is_null() { &was } else { &is };
                assert!(side.contains(&one), "{one:?}");
            }
        }
    }
    assert!(seen > 40, "{seen}");
}

/// Three merge requests on the museum: one that changes nothing, one that lets it grow, and one that
/// a lead should not let pass.
#[test]
fn the_demonstrations_read_as_they_should() {
    let mut stale = Vec::new();
    for (name, code) in [("refactoring", 0), ("growth", 0), ("regression", 1)] {
        let folder = root().join("examples/changes").join(name);
        let arguments = ["compare", DAY, "--format", "markdown", "before.site", "after.site"];
        let (ends, out, err) = curtilage(&folder, &arguments);
        assert_eq!((ends, err.as_str()), (code, ""), "{name}");
        let path = folder.join("expected.md");
        if std::fs::read_to_string(&path).unwrap_or_default() != out {
            std::fs::write(&path, out).unwrap();
            stale.push(name);
        }
    }
    assert!(stale.is_empty(), "stale, and written anew: {stale:?}");
}

/// The page needs nothing from outside, and is built so that it can be read without eyes or a mouse.
#[test]
fn the_page_stands_alone() {
    let case = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/compare/words.md");
    let folder = folders(&std::fs::read_to_string(case).unwrap());
    let arguments = ["compare", DAY, "--format", "html", "before", "after"];
    let (_, page, _) = curtilage(folder.path(), &arguments);
    // What a file says is text.
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"), "{page}");
    for markup in ["<script", "<b>Row", "javascript:", "@import", "url(", " src=", " on"] {
        let found = page.to_lowercase().match_indices(markup).count();
        let plain = if markup == " on" { page.matches(" on=").count() } else { found };
        assert_eq!(plain, 0, "{markup}");
    }
    let links: Vec<&str> = page.split("href=\"").skip(1).collect();
    assert!(links.iter().all(|link| link.starts_with('#')), "{links:?}");
    assert!(
        page.contains("<a class=\"skip\" href=\"#main\">") && page.contains("<main id=\"main\">")
    );
    assert_eq!(page.matches("<table>").count(), page.matches("<caption>").count());
    assert_eq!(page.matches("<th>").count(), 0, "a head says of what it is the head");
    // Every element that is opened is closed, in order.
    let mut open: Vec<String> = Vec::new();
    let body = page.split_once("<body>").unwrap().1.split_once("</body>").unwrap().0;
    for tag in body.split('<').skip(1) {
        let tag = tag.split('>').next().unwrap();
        let name = tag.split([' ', '/']).find(|word| !word.is_empty()).unwrap().to_owned();
        match (tag.starts_with('/'), tag.ends_with('/')) {
            (true, _) => assert_eq!(open.pop(), Some(name), "{tag}"),
            (false, false) => open.push(name),
            (false, true) => {}
        }
    }
    assert!(open.is_empty(), "{open:?}");
}

/// A terminal is not moved by what a file says.
#[test]
fn control_characters_do_not_reach_the_terminal() {
    let case = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/compare/words.md");
    let page = std::fs::read_to_string(case).unwrap().replace("[till]", "\u{1b}[2J\u{202e}");
    let folder = folders(&page);
    for form in ["text", "markdown", "html"] {
        let arguments = ["compare", DAY, "--all", "--format", form, "before", "after"];
        let (_, out, _) = curtilage(folder.path(), &arguments);
        assert!(!out.contains(['\u{1b}', '\u{202e}', '\u{1}', '\u{2}']), "{form}");
    }
}
