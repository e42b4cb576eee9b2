//! `curtilage rehearse` as a shell sees it.

#![allow(clippy::unwrap_used, reason = "a test")]

use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

#[track_caller]
fn rehearse(arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_curtilage"));
    command.arg("rehearse").args(arguments).current_dir(root());
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

const DAIRY: &str = "examples/sites/saltmarsh-creamery.site";
const FAULTY: &str = "examples/faulty/rehearsal-fails.site";

#[test]
fn all_rehearsals_of_the_examples_come_out_as_expected() {
    let (code, out, err) = rehearse(&["examples/sites"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    let last = out.lines().last().unwrap();
    assert!(last.ends_with("as expected") && !last.contains(','), "{last}");
    assert!(out.lines().all(|line| line.chars().count() <= 84), "readable at 80 columns");
}

#[test]
fn a_rehearsal_is_drawn_with_its_times() {
    let (code, out, _) = rehearse(&[DAIRY, "alarms three times"]);
    assert_eq!(code, 0);
    let expected = r#"
  as expected: "the dock door left open on a Saturday night alarms three times"
      dock-door   ######!#############!#############!#################..........
      yard-siren  ......########......########......########....................
"#;
    assert!(out.contains(expected.trim_start_matches('\n')), "{out}");
    assert!(out.contains("b 23:00:30.300  c 23:03:32.300"), "{out}");
    assert!(out.ends_with("1 rehearsal: 1 as expected\n"), "{out}");
}

#[test]
fn one_that_comes_out_otherwise_ends_with_1_and_says_how() {
    let (code, out, err) = rehearse(&[FAULTY]);
    assert_eq!((code, err.as_str()), (1, ""));
    assert!(out.contains("otherwise: \"the back door is found open at night\""), "{out}");
    assert!(out.contains("`back-door` registers 3 times (Sat 02:00:00.300,"), "{out}");
    assert!(out.contains("it is not armed then"), "{out}");
    assert!(out.contains("`keyholders` is people: they are told"), "{out}");
    assert!(out.ends_with("3 rehearsals: 3 otherwise\n"), "{out}");
}

#[test]
fn wrong_words_end_with_2_and_what_cannot_be_read_with_3() {
    let (code, _, err) = rehearse(&[DAIRY, "no such title"]);
    assert_eq!(code, 2);
    assert!(err.contains("no rehearsal here like `no such title`"), "{err}");
    let (code, out, err) = rehearse(&[DAIRY, "no/such.site", "three quick"]);
    assert_eq!(code, 2, "a file that is not there is not passed over: {out}");
    assert_eq!(err, "curtilage: there is no file and no rehearsal here like `no/such.site`\n");
    assert!(out.contains("as expected: \"three quick presses count once\""), "{out}");
    let (code, _, err) = rehearse(&["examples/parts"]);
    assert_eq!((code, err.as_str()), (2, "curtilage: there are no rehearsals here\n"));
    let folder = tempfile::tempdir().unwrap();
    let big = folder.path().join("big.site");
    std::fs::write(&big, vec![b'#'; 40 << 20]).unwrap();
    assert_eq!(rehearse(&[big.to_str().unwrap()]).0, 3);
}

#[test]
fn a_typed_story_is_played() {
    let line = "Sat 02:00 dock-door active until restored; Sat 02:20 dock-door restored";
    let (code, out, err) = rehearse(&[DAIRY, "--what-if", line]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    let expected = "\
Sat 02:00:00  dock-door active
Sat 02:00:30.300  dock-door registers
Sat 02:00:30.300  yard-siren closed
";
    assert!(out.starts_with(expected), "{out}");
    let (first, second) = line.split_once("; ").unwrap();
    let one_by_one = rehearse(&[DAIRY, "--what-if", first, "--what-if", second]);
    assert_eq!(one_by_one, (0, out, String::new()));
}

#[test]
fn a_typed_story_says_something_and_is_for_a_file() {
    for nothing in ["", " ; "] {
        let (code, out, err) = rehearse(&[DAIRY, "--what-if", nothing]);
        assert_eq!((code, out.as_str()), (2, ""));
        assert_eq!(err, "curtilage: `--what-if` says nothing that happens\n");
    }
    let line = "Sat 02:00 dock-door active for 1 s";
    let (code, _, err) = rehearse(&[DAIRY, "no/such.site", "--what-if", line]);
    assert_eq!(code, 2);
    assert_eq!(err, "curtilage: `--what-if` plays its own line, and `no/such.site` is no file\n");
}

#[test]
fn a_typed_story_can_expect_something() {
    let act = "Tue 10:00 dock-door active for 10 s";
    let (code, out, _) =
        rehearse(&[DAIRY, "--what-if", act, "--what-if", "expect dock-door registers"]);
    assert_eq!(code, 1);
    assert!(out.contains("dock-door does not register: it is not armed then"), "{out}");
    assert!(
        out.contains("otherwise: `dock-door` registers never, expected at least once"),
        "{out}"
    );
}

#[test]
fn a_typed_story_that_cannot_be_read_is_told() {
    for (line, why) in [
        ("Sat 02:00 dock-dor active", "`dock-dor` is not known"),
        ("Sat 0200 dock-door active", "expected a time of day"),
        ("Sat 02:00 yard-siren active", "`yard-siren` is an output"),
        ("Sat 02:00 dock-door active }", "this brace belongs to no block"),
        ("}", "this brace belongs to no block"),
    ] {
        let (code, out, err) = rehearse(&[DAIRY, "--what-if", line]);
        assert_eq!((code, out.as_str()), (2, ""), "{line}: {err}");
        assert!(err.contains(why), "{line}: {err}");
    }
    let (code, _, err) = rehearse(&["examples/sites", "--what-if", "Sat 02:00 dock-door active"]);
    assert_eq!(code, 2);
    assert!(err.contains("the one site file"), "{err}");
}

#[test]
fn a_picture_is_whole_says_its_times_and_leaves_nothing_beside_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.svg");
    let picture = path.to_str().unwrap();
    let (code, _, err) = rehearse(&[DAIRY, "alarms three times", "--picture", picture]);
    assert_eq!((code, err.as_str()), (0, ""));
    let svg = std::fs::read_to_string(&path).unwrap();
    assert!(svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""), "{svg}");
    assert!(svg.ends_with("</svg>\n"));
    assert!(
        svg.contains("<title>yard-siren closed from Sat 23:00:30.300 to Sat 23:03:32.300</title>")
    );
    assert!(svg.contains("<title>dock-door registers at Sat 23:00:30.300</title>"));
    assert!(svg.contains(">dock-door</text>"), "text stays text");
    assert_eq!(svg.matches("<title").count(), svg.matches("</title>").count());
    assert!(!svg.contains("href"), "nothing from elsewhere");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);

    let (code, _, err) = rehearse(&[DAIRY, "--picture", picture]);
    assert_eq!(code, 2);
    assert!(err.contains("draws one rehearsal"), "{err}");
    let (code, _, _) = rehearse(&[DAIRY, "alarms three times", "--picture", "/nowhere/a.svg"]);
    assert_eq!(code, 3);
    let line = "Sat 02:00 dock-door active for 5 s";
    assert_eq!(rehearse(&[DAIRY, "--what-if", line, "--picture", picture]).0, 0);
    assert!(std::fs::read_to_string(&path).unwrap().contains(line));
}
