//! What is not as it should be: names that move a cursor, inputs that never end, outputs that are
//! full, links that lead out. `tests/robust` has the rest, with programs from outside.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, Output, Stdio};

const DAY: &str = "--date=2026-11-25";

fn curtilage(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_curtilage"));
    command.args(arguments).current_dir(folder).stdin(Stdio::null());
    command
}

fn told(output: Output) -> (i32, String, String) {
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[track_caller]
fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    told(curtilage(folder, arguments).output().unwrap())
}

#[test]
fn neither_a_title_nor_a_name_moves_the_cursor() {
    let folder = tempfile::tempdir().unwrap();
    let site = "site a \"t\u{1b}[2J\" {\n    timezone  Europe/Lisbon\n}\nrehearsal \"r\u{1b}[2J\" {\n    Mon 10:00:00  b active\n}\n";
    let name = "a\u{1b}[2J\r\u{202e}b.site";
    fs::write(folder.path().join(name), site).unwrap();
    for arguments in [
        &["check", DAY, "--verbose", "."][..],
        &["rehearse", DAY, "."],
        &["figures", DAY, "."],
        &["format", "--check", "."],
        &["handover", DAY, name, "--out", "\u{1b}papers"],
        &["new", name, "--no-questions"],
        &["check", "no\u{1b}such"],
        &["check", "--\u{1b}"],
        &["c\u{1b}"],
    ] {
        let (_, out, err) = run(folder.path(), arguments);
        assert!(!(out.clone() + &err).is_empty(), "{arguments:?}");
        let moves = |sign: char| sign == '\r' || sign == '\u{1b}' || sign == '\u{202e}';
        assert!(!out.contains(moves) && !err.contains(moves), "{arguments:?}: {out:?} {err:?}");
    }
}

#[test]
fn what_never_ends_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    for arguments in [&["check", "-"][..], &["format", "-"], &["record", "/dev/stdin"]] {
        let mut command = curtilage(folder.path(), arguments);
        command.stdin(File::open("/dev/zero").unwrap());
        let (code, _, err) = told(command.output().unwrap());
        assert_eq!(code, 3, "{arguments:?}");
        assert!(err.contains("larger than 16 MiB"), "{arguments:?}: {err}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn an_output_that_is_full_is_told() {
    let folder = tempfile::tempdir().unwrap();
    for arguments in [&["--help"][..], &["--version"], &["rules"]] {
        let mut command = curtilage(folder.path(), arguments);
        command.stdout(File::create("/dev/full").unwrap());
        let (code, _, err) = told(command.output().unwrap());
        assert_eq!(code, 3, "{arguments:?}");
        assert!(err.starts_with("curtilage: standard output: "), "{arguments:?}: {err}");
    }
}

#[test]
fn a_link_that_leads_out_is_neither_read_nor_formatted() {
    let (folder, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let target = other.path().join("a.site");
    let untidy = "schedule secret {\n Mon   07:30   to 18:00\n}\n";
    fs::write(&target, untidy).unwrap();
    std::os::unix::fs::symlink(&target, folder.path().join("a.site")).unwrap();
    for arguments in [&["check", DAY, "."][..], &["format", "."], &["figures", DAY, "."]] {
        let (code, out, err) = run(folder.path(), arguments);
        assert_eq!(code, 3, "{arguments:?}");
        assert!(err.contains("leads out of the workspace"), "{arguments:?}: {err}");
        assert!(!out.contains("secret"), "{arguments:?}: {out}");
    }
    assert_eq!(fs::read_to_string(&target).unwrap(), untidy);
}

#[test]
fn a_file_that_cannot_be_read_makes_the_figures_fail() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.site"), "site a {\n    timezone  Europe/Lisbon\n}\n").unwrap();
    fs::write(folder.path().join("b.site"), "#".repeat(17 << 20)).unwrap();
    let (code, out, err) = run(folder.path(), &["figures", DAY, "."]);
    assert_eq!(code, 3, "{err}");
    assert!(out.contains("a.site"), "{out}");
    assert!(err.contains("b.site: it is larger than 16 MiB"), "{err}");
}

#[test]
fn a_line_without_end_is_not_drawn() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.site"), "\n".to_owned() + &"{".repeat(1 << 20)).unwrap();
    let (code, out, _) = run(folder.path(), &["check", DAY, "a.site"]);
    assert_eq!(code, 1, "{out}");
    assert!(out.contains("  at    a.site:2:1: "), "{out}");
    assert!(out.len() < 200_000, "{} bytes are printed", out.len());
    fs::write(folder.path().join("b.site"), "\n".to_owned() + &"{".repeat(1_000)).unwrap();
    let (_, out, _) = run(folder.path(), &["check", DAY, "b.site"]);
    assert!(out.contains("[ b.site:2:1 ]") && !out.contains("  at    "), "{out}");
}
