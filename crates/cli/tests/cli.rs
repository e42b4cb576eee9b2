//! The command line as a shell and a CI job see it: what is printed where, and how it ends.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

fn curtilage(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_curtilage"));
    command.args(arguments).current_dir(root()).env_remove("NO_COLOR");
    command
}

#[track_caller]
fn run(arguments: &[&str]) -> (i32, String, String) {
    told(curtilage(arguments).output().unwrap())
}

fn told(output: Output) -> (i32, String, String) {
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn with_input(arguments: &[&str], input: &[u8]) -> (i32, String, String) {
    let mut child = curtilage(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input).unwrap();
    told(child.wait_with_output().unwrap())
}

const DAY: &str = "--date=2026-11-25";

#[test]
fn a_clean_site_ends_with_0() {
    let (code, out, err) = run(&["check", DAY, "examples/sites/farm-shop.site"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(out.ends_with("nothing found\n"), "{out}");
}

#[test]
fn an_error_ends_with_1_and_a_hint_alone_does_not() {
    let (code, out, _) = run(&["check", DAY, "examples/faulty/contact-overload.site"]);
    assert_eq!(code, 1);
    assert!(out.contains("1 error\n"), "{out}");
    let hint = "examples/faulty/idle-output.site";
    assert_eq!(run(&["check", DAY, hint]).0, 0);
    assert_eq!(run(&["check", DAY, "--fail-on", "hint", hint]).0, 1);
    assert_eq!(run(&["check", DAY, "--fail-on", "error", "examples/faulty/silent-zone.site"]).0, 0);
}

#[test]
fn wrong_use_ends_with_2() {
    assert_eq!(run(&["chekc"]).0, 2);
    assert_eq!(run(&["check", "--fail-on", "disaster"]).0, 2);
    assert_eq!(run(&["check", "--date", "2026-02-30"]).0, 2);
    assert_eq!(run(&["check", "--stdin-path", "a.site"]).0, 2);
    let (code, _, err) = run(&["explain", "contact-overlaod"]);
    assert_eq!(code, 2);
    assert!(err.contains("did you mean `contact-overload`?"), "{err}");
}

#[test]
fn what_cannot_be_read_ends_with_3_and_the_rest_is_checked() {
    let (code, out, err) =
        run(&["check", DAY, "no-such.site", "examples/faulty/forced-output.site"]);
    assert_eq!(code, 3);
    assert!(err.contains("no-such.site"), "{err}");
    assert!(out.contains("rule  forced-output"), "{out}");
    let empty = tempfile::tempdir().unwrap();
    let (code, _, err) = run(&["check", empty.path().to_str().unwrap()]);
    assert_eq!(code, 3);
    assert!(err.contains("no site files"), "{err}");
}

#[test]
fn standard_input_stands_for_a_path() {
    let text = std::fs::read(root().join("examples/faulty/forced-output.site")).unwrap();
    let arguments = ["check", DAY, "-", "--stdin-path", "examples/faulty/unsaved.site"];
    let (code, out, err) = with_input(&arguments, &text);
    assert_eq!((code, err.as_str()), (1, ""), "{out}");
    assert!(out.contains("examples/faulty/unsaved.site:"), "{out}");
    assert_eq!(run(&["check", "-", "also.site"]).0, 2);
}

#[test]
fn bytes_that_are_no_text_are_told_at_their_place() {
    let arguments = ["check", DAY, "-", "--format", "json"];
    let (code, out, _) = with_input(&arguments, b"site a {\n    timezone \xff\xfe\n}\n");
    assert_eq!(code, 1);
    let document: serde_json::Value = serde_json::from_str(&out).unwrap();
    let first = &document["findings"][0];
    assert_eq!(first["headline"], "these bytes are not UTF-8 text", "{first}");
    assert_eq!(first["at"]["line"], 2);
}

#[test]
fn json_follows_its_schema_and_two_runs_are_the_same_bytes() {
    let schema = std::fs::read_to_string(root().join("docs/schema/findings-1.json")).unwrap();
    let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let arguments = ["check", DAY, "--format", "json", "examples"];
    let (_, out, _) = run(&arguments);
    let document: serde_json::Value = serde_json::from_str(&out).unwrap();
    let wrong: Vec<String> = validator
        .iter_errors(&document)
        .map(|error| format!("{error} at {}", error.instance_path()))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(document["findings"].as_array().unwrap().len() > 20);
    assert_eq!(run(&arguments).1, out);
    // The schema is able to say no.
    assert!(!validator.is_valid(&serde_json::json!({ "schema": 1 })));
}

#[test]
fn colour_is_for_terminals_unless_it_is_asked_for() {
    let file = "examples/faulty/idle-output.site";
    assert!(!run(&["check", DAY, file]).1.contains('\u{1b}'));
    assert!(run(&["check", DAY, file, "--color", "always"]).1.contains('\u{1b}'));
    let mut command = curtilage(&["check", DAY, file, "--color", "always"]);
    let forced = told(command.env("NO_COLOR", "1").output().unwrap());
    assert!(forced.1.contains('\u{1b}'), "what is asked for is done");
}

#[test]
fn a_pipe_that_closes_is_no_failure() {
    let mut child = curtilage(&["check", DAY, "examples"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
}

#[test]
fn the_workspace_is_checked_when_nothing_is_named() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("workspace.site"), "").unwrap();
    std::fs::create_dir(folder.path().join("inner")).unwrap();
    std::fs::write(folder.path().join("a.site"), "schedule a {\n}\n").unwrap();
    let mut command = curtilage(&["check", DAY]);
    let (code, out, _) = told(command.current_dir(folder.path().join("inner")).output().unwrap());
    assert_eq!(code, 1, "{out}");
    assert!(out.contains("a.site:1:10"), "{out}");
}

#[test]
fn rules_pages_completions_and_manuals_are_there() {
    let (code, page, _) = run(&["explain", "contact-overload"]);
    assert_eq!(code, 0);
    assert!(page.starts_with("# contact-overload\n"));
    let (_, list, _) = run(&["rules"]);
    assert!(list.contains("    contact-overload"), "{list}");
    for shell in ["bash", "fish", "zsh", "powershell", "elvish"] {
        assert!(run(&["completions", shell]).1.contains("curtilage"), "{shell}");
    }
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(run(&["manual", folder.path().to_str().unwrap()]).0, 0);
    let page = std::fs::read_to_string(folder.path().join("curtilage-check.1")).unwrap();
    assert!(page.contains("fail"), "{page}");
}

#[test]
fn figures_are_those_of_the_rules() {
    let (code, out, err) = run(&["figures", DAY, "examples/faulty/contact-overload.site"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    let row = out.lines().find(|line| line.contains("head.relay1")).unwrap();
    let cells: Vec<&str> = row.split("  ").map(str::trim).filter(|cell| !cell.is_empty()).collect();
    // Three horns of 0.45 A at the highest voltage of the supply, as `contact-overload` says.
    assert_eq!(cells[..5], ["head.relay1", "kennel-horns", "1.35 A", "1.35 A", "13.8 V"], "{row}");
    for title in [
        "when zones count",
        "loops, and the readings",
        "contacts",
        "supply `main`",
        "battery of `main`",
    ] {
        assert!(out.contains(title), "{title} is missing in {out}");
    }
}

#[test]
fn format_changes_a_file_whole_and_check_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.site");
    let shown = path.to_str().unwrap();
    let untidy = "schedule a {\n Mon   07:30   to 18:00 # early\n}\n";
    std::fs::write(&path, untidy).unwrap();
    let (code, out, _) = run(&["format", "--check", shown]);
    assert_eq!(code, 1);
    assert!(out.contains("would change"), "{out}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), untidy);
    assert_eq!(run(&["format", shown]).0, 0);
    let tidy = std::fs::read_to_string(&path).unwrap();
    assert!(tidy.contains("# early"), "{tidy}");
    assert_eq!(run(&["format", "--check", shown]).0, 0);
    assert_eq!(with_input(&["format", "-"], untidy.as_bytes()).1, tidy);
    // A file that cannot be read whole stays as it is.
    std::fs::write(&path, "schedule a {\n").unwrap();
    assert_eq!(run(&["format", shown]).0, 3);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "schedule a {\n");
}

#[test]
fn the_readme_shows_what_is_printed() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let shown = readme.split("```text\n").nth(1).unwrap().split("```").next().unwrap();
    let (code, out, _) = run(&["check", DAY, "examples/faulty/contact-overload.site"]);
    assert_eq!(code, 1);
    assert_eq!(shown, out);
}
