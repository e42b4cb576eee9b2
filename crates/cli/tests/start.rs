//! `new` and `import` as a shell sees them: what they write, and what they leave alone.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use std::path::Path;
use std::process::{Command, Stdio};

#[track_caller]
fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_curtilage"));
    command.args(arguments).current_dir(folder).stdin(Stdio::null());
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn workspace() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("workspace.site"), "").unwrap();
    folder
}

fn read(folder: &Path, path: &str) -> String {
    std::fs::read_to_string(folder.join(path)).unwrap()
}

/// Whatever is answered, the first site is formatted and nothing is found in it.
#[test]
fn a_first_site_is_clean() {
    let ten = (1..=10).map(|at| format!("Door {at}")).collect::<Vec<_>>().join(", ");
    let cases: &[&[&str]] = &[
        &[],
        &["--timezone", "Etc/GMT+5"],
        &["--open", "Mon to Fri 08:00 to 18:00; except 2026-12-24;"],
        &["--timezone", "\"Etc/GMT-3\""],
        &["--doors", "-", "--detectors", "-", "--panic", "-"],
        &["--title", "Corner shop", "--panic", "till, office", "--timezone", "Europe/Dublin"],
        &["--doors", "-", "--panic", "-", "--detectors", "Hall"],
        &["--doors", &ten, "--detectors", &ten, "--panic", &ten],
        &["--doors", "Hall, hall, HALL!, 7, siren, always", "--siren", "no"],
        &["--title", "12", "--doors", "a"],
        &["--title", "Power", "--doors", "\"quoted\" \\ door"],
        &[
            "--title",
            "Café Ürün",
            "--open",
            "Mon to Sun 07:00 to 23:30",
            "--doors",
            "-",
            "--detectors",
            "-",
            "--panic",
            "bar",
        ],
    ];
    for case in cases {
        let folder = workspace();
        let (code, out, err) = run(folder.path(), &[&["new", "first.site"], *case].concat());
        assert_eq!((code, err.as_str()), (0, ""), "{case:?}\n{out}");
        let (code, out, _) = run(folder.path(), &["check", "--fail-on", "hint", "first.site"]);
        assert_eq!(code, 0, "{case:?}\n{out}\n{}", read(folder.path(), "first.site"));
        let (code, out, _) = run(folder.path(), &["format", "--check", "first.site"]);
        assert_eq!(code, 0, "{case:?} {out}");
    }
}

#[test]
fn a_first_site_is_never_written_over_another() {
    let folder = workspace();
    let arguments = ["new", "--title", "Corner shop"];
    assert_eq!(run(folder.path(), &arguments).0, 0);
    let before = read(folder.path(), "corner-shop.site");
    let (code, _, err) = run(folder.path(), &[&arguments[..], &["--siren", "no"]].concat());
    assert_eq!(code, 2);
    assert!(err.contains("corner-shop.site is there already"), "{err}");
    assert_eq!(read(folder.path(), "corner-shop.site"), before);
}

#[test]
fn an_answer_that_cannot_be_taken_is_told() {
    let folder = workspace();
    for (flag, answer) in [
        ("--open", "in the morning"),
        ("--open", ""),
        ("--open", "except holidays"),
        ("--timezone", "Mars/GMT+5"),
        ("--open", "Mon 08:00 to 09:00\n}"),
        ("--timezone", "{"),
        ("--timezone", "Mars/City"),
        ("--title", " "),
        ("--siren", "perhaps"),
        ("--doors", "1,2,3,4,5,6,7,8,9,10,11"),
    ] {
        assert_eq!(run(folder.path(), &["new", "a.site", flag, answer]).0, 2, "{flag} {answer}");
    }
    assert!(!folder.path().join("a.site").exists());
    let (code, _, err) = run(folder.path(), &["new", "no/such/folder.site"]);
    assert_eq!(code, 3);
    assert_eq!(err, "curtilage: no/such/folder.site: there is no folder `no/such`\n");
}

#[test]
fn a_table_becomes_a_site_beside_it() {
    let folder = workspace();
    std::fs::write(folder.path().join("zones.csv"), "Zone;Description\n1;Front door\n").unwrap();
    let (code, out, err) = run(folder.path(), &["import", "zones.csv"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(out.contains("column A: `Zone` is the name of the zone (sure)"), "{out}");
    assert!(
        out.ends_with("zones.site written: 1 zone; `curtilage check` tells what is missing\n"),
        "{out}"
    );
    let first = read(folder.path(), "zones.site");
    assert!(first.contains("zone front-door \"Front door\" is contact {"), "{first}");
    std::fs::write(folder.path().join("zones.csv"), "Zone\nyard\n").unwrap();
    assert_eq!(run(folder.path(), &["import", "zones.csv"]).0, 2);
    assert_eq!(read(folder.path(), "zones.site"), first, "it is left as it is");
    assert_eq!(run(folder.path(), &["import", "zones.csv", "--force"]).0, 0);
    assert!(read(folder.path(), "zones.site").contains("zone yard is contact"));
    let (code, out, err) =
        run(folder.path(), &["import", "zones.csv", "--out", "-", "--title", "Yard"]);
    assert_eq!(code, 0);
    assert!(out.contains("site yard-2 \"Yard\"") && err.contains("column A"), "{out}{err}");
}

#[test]
fn parts_that_are_there_are_used() {
    let folder = workspace();
    std::fs::create_dir(folder.path().join("parts")).unwrap();
    std::fs::create_dir(folder.path().join("sites")).unwrap();
    let reed = "part reed \"Door contact\" is sensor {\n    rests      closed\n    active     until restored\n}\n";
    std::fs::write(folder.path().join("parts/all.site"), reed).unwrap();
    std::fs::write(folder.path().join("t.csv"), "Zone,Device\nyard,Door contact\n").unwrap();
    let arguments = ["import", "t.csv", "--out", "sites/t.site", "--use", "parts/all.site"];
    assert_eq!(run(folder.path(), &arguments).0, 0);
    let text = read(folder.path(), "sites/t.site");
    assert!(
        text.contains("use \"../parts/all.site\"") && text.contains("zone yard is reed"),
        "{text}"
    );
    assert!(!text.contains("is sensor"), "{text}");
}

#[test]
fn what_is_no_table_is_told() {
    let folder = workspace();
    std::fs::write(folder.path().join("a.csv"), "\n\n").unwrap();
    std::fs::write(folder.path().join("b.xlsx"), "PK\u{3}\u{4}junk").unwrap();
    for (path, why) in [
        ("a.csv", "there is nothing in it"),
        ("b.xlsx", "the workbook cannot be read"),
        ("c.csv", "No such file"),
        (".", "it is a folder"),
    ] {
        let (code, _, err) = run(folder.path(), &["import", path, "--out", "x.site"]);
        assert_eq!(code, 3, "{path}");
        assert!(err.contains(why), "{path}: {err}");
    }
    assert!(!folder.path().join("x.site").exists());
}
