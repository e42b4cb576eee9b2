//! The forms of reports for programs, and what a gate leaves out: a baseline, a commit, a number.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

#[track_caller]
fn run_in(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_curtilage"));
    command.args(["check", "--date=2026-11-25"]).args(arguments).current_dir(folder);
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// `tests/golden` holds each form of the report of three small sites. `GOLDEN=write` writes it anew.
#[test]
fn each_form_reads_as_it_did() {
    let sites = ["contact-overload", "idle-output", "end-resistor-not-preferred"]
        .map(|name| format!("examples/faulty/{name}.site"));
    let sites: Vec<&str> = sites.iter().map(String::as_str).collect();
    let mut wrong = Vec::new();
    for form in ["lines", "junit", "quality", "workflow", "section", "sarif"] {
        let (_, mut out, _) = run_in(&root(), &[&["--format", form], &sites[..]].concat());
        if form == "sarif" {
            // The rules' pages have their own tests.
            let log: serde_json::Value = serde_json::from_str(&out).unwrap();
            let rules = log["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
            assert!(
                rules.iter().all(|rule| rule["help"]["markdown"].as_str().unwrap().len() > 200)
            );
            out = serde_json::to_string_pretty(&log["runs"][0]["results"]).unwrap() + "\n";
        }
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/golden/{form}.txt"));
        if std::env::var_os("GOLDEN").is_some() {
            std::fs::write(&path, &out).unwrap();
        } else if std::fs::read_to_string(&path).unwrap_or_default() != out {
            wrong.push(format!("{form} is now\n{out}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

struct Workspace(tempfile::TempDir);

impl Workspace {
    /// Two sites with one finding each, and one that is clean.
    fn new() -> Self {
        let one = Self(tempfile::tempdir().unwrap());
        for folder in ["parts", "sites"] {
            std::fs::create_dir(one.0.path().join(folder)).unwrap();
        }
        for (from, to) in [
            ("parts/general.site", "parts/general.site"),
            ("faulty/contact-overload.site", "sites/kennels.site"),
            ("faulty/idle-output.site", "sites/idle.site"),
        ] {
            std::fs::copy(root().join("examples").join(from), one.0.path().join(to)).unwrap();
        }
        one.write("workspace.site", "");
        one
    }

    fn write(&self, path: &str, text: &str) {
        std::fs::write(self.0.path().join(path), text).unwrap();
    }

    fn read(&self, path: &str) -> String {
        std::fs::read_to_string(self.0.path().join(path)).unwrap()
    }

    fn edit(&self, path: &str, from: &str, to: &str) {
        let text = self.read(path);
        assert!(text.contains(from), "{path} has no {from}");
        self.write(path, &text.replacen(from, to, 1));
    }

    #[track_caller]
    fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        run_in(self.0.path(), arguments)
    }
}

/// Makes the workspace fail again in a new way.
fn second_fault(one: &Workspace) {
    one.edit("sites/kennels.site", "output kennel-horns", "output yard-horns drives 3 of horn-12v {\n    through  head.relay2 closing\n    fed      from main over 16 m of pair-1.0\n    fuse     2 A\n}\n\noutput kennel-horns");
}

#[test]
fn a_baseline_holds_back_what_is_known_and_only_that() {
    let one = Workspace::new();
    assert_eq!(one.run(&[]).0, 1);
    assert_eq!(one.run(&["--baseline", "known.txt"]).0, 3, "there is none yet");
    let (code, out, _) = one.run(&["--baseline", "known.txt", "--adopt"]);
    assert_eq!(code, 0, "{out}");
    let (code, out, err) = one.run(&["--baseline", "known.txt"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert_eq!(out, "4 files checked: nothing found; 2 known\n");
    // Lines may come and go above a finding, and figures of other parts may move.
    let text = one.read("sites/kennels.site");
    one.write("sites/kennels.site", &format!("# a remark\n\n{text}"));
    assert_eq!(one.run(&["--baseline", "known.txt"]).0, 0);
    second_fault(&one);
    let (code, out, _) = one.run(&["--baseline", "known.txt", "--format", "lines"]);
    assert_eq!(code, 1);
    assert!(out.lines().all(|line| line.contains("yard-horns")), "{out}");
    assert!(out.contains("[contact-overload]"), "{out}");
}

#[test]
fn a_baseline_shrinks_and_grows_only_when_it_is_told() {
    let one = Workspace::new();
    one.run(&["--baseline", "known.txt", "--adopt"]);
    let before = one.read("known.txt");
    assert_eq!(one.run(&["--baseline", "known.txt", "--adopt"]).0, 2, "never over one");
    second_fault(&one);
    one.run(&["--baseline", "known.txt", "--shrink"]);
    assert_eq!(one.read("known.txt"), before, "what is new is not taken in");
    one.run(&["--baseline", "known.txt", "--grow"]);
    assert!(one.read("known.txt").lines().count() > before.lines().count());
    one.write("known.txt", &before);
    one.edit(
        "sites/kennels.site",
        "drives 3 of horn-12v {\n    through  head.relay1",
        "drives horn-12v {\n    through  head.relay1",
    );
    let (_, _, err) = one.run(&["--baseline", "known.txt"]);
    assert!(err.contains("1 of its findings no longer occurs; `--shrink`"), "{err}");
    assert_eq!(one.read("known.txt"), before, "a check alone writes nothing");
    one.run(&["--baseline", "known.txt", "--shrink"]);
    let after = one.read("known.txt");
    assert!(after.lines().all(|line| before.lines().any(|old| old == line)), "{after}");
    assert_eq!(after.lines().count() + 1, before.lines().count());
}

#[test]
fn a_file_that_cannot_be_read_takes_nothing_out_of_a_baseline() {
    let one = Workspace::new();
    one.run(&["--baseline", "known.txt", "--adopt"]);
    let before = one.read("known.txt");
    one.write("sites/kennels.site", &(one.read("sites/kennels.site") + "zone x is y {\n"));
    one.edit("sites/kennels.site", "through  head.relay1 closing", "through  head.relay1 clossing");
    let (code, _, _) = one.run(&["--baseline", "known.txt", "--shrink"]);
    assert_eq!(code, 1);
    assert_eq!(one.read("known.txt"), before);
    // Neither does a check of another file.
    let one = Workspace::new();
    one.run(&["--baseline", "known.txt", "--adopt"]);
    one.run(&["--baseline", "known.txt", "--shrink", "sites/idle.site"]);
    assert_eq!(one.read("known.txt"), before);
}

/// What is not found in a file of which something is not known may be there all the same.
#[test]
fn a_file_that_is_known_in_part_takes_nothing_out_of_a_baseline() {
    let (kennels, parts) = ("sites/kennels.site", "parts/general.site");
    let through = "through  head.relay1 closing";
    for (path, from, to, more) in [
        // The sheet of what hangs on the contact.
        (parts, "is load {\n    draws", "is load {\n    drawss", ""),
        // Another kind of fault than one of syntax.
        (kennels, through, "through  12 m", ""),
        (kennels, through, "through  head.relay9 closing", ""),
        // A fault that nobody is told of.
        (
            kennels,
            through,
            "through  head.relay1 clossing",
            "\nallow syntax until 2027-01-01 because \"to be mended with the next visit\"\n",
        ),
    ] {
        let one = Workspace::new();
        one.run(&["--baseline", "known.txt", "--adopt"]);
        let before = one.read("known.txt");
        one.edit(path, from, to);
        one.write(path, &(one.read(path) + more));
        let (_, out, err) = one.run(&["--baseline", "known.txt", "--shrink"]);
        assert!(!out.contains("[contact-overload]"), "{to}: {out}");
        assert_eq!(one.read("known.txt"), before, "{to}: {out}{err}");
    }
}

#[test]
fn a_baseline_that_is_none_is_told_at_its_line() {
    let one = Workspace::new();
    one.write("known.txt", "# curtilage baseline 1\nabc\n");
    let (code, _, err) = one.run(&["--baseline", "known.txt"]);
    assert_eq!(code, 3);
    assert!(err.contains("known.txt: line 2:"), "{err}");
}

#[test]
fn known_findings_stay_visible_to_programs() {
    let one = Workspace::new();
    one.run(&["--baseline", "known.txt", "--adopt"]);
    let (_, out, _) = one.run(&["--baseline", "known.txt", "--format", "sarif"]);
    let log: serde_json::Value = serde_json::from_str(&out).unwrap();
    let results = log["runs"][0]["results"].as_array().unwrap();
    assert_eq!(results.len(), 2);
    assert!(results.iter().all(|one| one["suppressions"][0]["kind"] == "external"));
    let (_, out, _) = one.run(&["--baseline", "known.txt", "--format", "junit"]);
    assert_eq!(out.matches("<skipped").count(), 2, "{out}");
}

#[test]
fn fewer_are_printed_and_all_are_counted() {
    let one = Workspace::new();
    let (code, out, _) = one.run(&["--max", "0"]);
    assert_eq!(code, 1);
    assert_eq!(out, "4 files checked: 1 error, 1 hint; 0 of them printed\n");
    // What is not printed is no case that passes.
    let (code, out, _) = one.run(&["--max", "0", "--format", "junit"]);
    assert_eq!(code, 1);
    assert!(out.contains("tests=\"4\" failures=\"1\""), "{out}");
    assert_eq!(out.matches("nothing found").count(), 2, "{out}");
    let (_, out, _) = one.run(&["--max", "1", "--format", "lines"]);
    assert!(out.contains(": error: ") && out.lines().count() == 1, "the gravest first: {out}");
    let (code, out, _) = one.run(&["--quiet", "--format", "lines"]);
    assert_eq!((code, out.lines().count()), (1, 1), "{out}");
    let (code, out, err) = one.run(&["--quiet", "sites/idle.site"]);
    assert_eq!((code, out.as_str(), err.as_str()), (0, "", ""));
    let (_, _, err) = one.run(&["--verbose"]);
    assert!(err.contains("checked: sites/kennels.site"), "{err}");
    assert_eq!(one.run(&["--quiet", "--verbose"]).0, 2);
    assert_eq!(one.run(&["--adopt"]).0, 2, "it needs `--baseline`");
}

#[test]
fn since_a_commit_only_what_it_can_touch_is_checked() {
    let one = Workspace::new();
    let git = |arguments: &[&str]| {
        let mut git = Command::new("git");
        git.args(["-c", "user.name=a", "-c", "user.email=a@b.example"]).args(arguments);
        for name in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX"] {
            git.env_remove(name);
        }
        assert!(git.current_dir(one.0.path()).output().unwrap().status.success());
    };
    assert_eq!(one.run(&["--since", "HEAD"]).0, 3, "no repository");
    git(&["init", "-q"]);
    git(&["add", "-A"]);
    git(&["commit", "-q", "-m", "one"]);
    let (code, out, _) = one.run(&["--since", "HEAD"]);
    assert_eq!(
        (code, out.as_str()),
        (0, "0 files checked, 4 untouched since HEAD: nothing found\n")
    );
    let (_, out, _) = one.run(&["--since", "HEAD", "--format", "junit"]);
    assert_eq!(out.matches("no change since HEAD can affect it").count(), 4, "{out}");
    one.edit("sites/idle.site", "timezone", "# a remark\n    timezone");
    let (_, out, _) = one.run(&["--since", "HEAD", "--format", "lines"]);
    assert!(out.contains("idle.site") && !out.contains("kennels.site"), "{out}");
    let (code, _, err) = one.run(&["--since", "no-such"]);
    assert_eq!(code, 3);
    assert_eq!(err, "curtilage: --since: there is no commit `no-such`\n");
    assert_eq!(one.run(&["--since", "HEAD", "-"]).0, 2);
    // A marked line moves, its fingerprint does not.
    let mark = |out: &str| {
        let list: serde_json::Value = serde_json::from_str(out).unwrap();
        list[0]["fingerprint"].clone()
    };
    let before = mark(&one.run(&["--format", "quality", "sites/kennels.site"]).1);
    one.write("sites/kennels.site", &format!("#\n#\n{}", one.read("sites/kennels.site")));
    assert_eq!(mark(&one.run(&["--format", "quality", "sites/kennels.site"]).1), before);
}

fn git_in(folder: &Path, arguments: &[&str]) {
    let mut git = Command::new("git");
    git.args(["-c", "user.name=a", "-c", "user.email=a@b.example"]);
    git.args(["-c", "protocol.file.allow=always"]).args(arguments);
    for name in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX"] {
        git.env_remove(name);
    }
    let output = git.current_dir(folder).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

/// A commit that takes the last site away breaks nothing; a folder in which there never was one is a slip.
#[test]
fn the_last_site_may_go() {
    let one = Workspace::new();
    let folder = one.0.path();
    git_in(folder, &["init", "-q"]);
    std::fs::write(folder.join("notes.txt"), "").unwrap();
    git_in(folder, &["add", "-A"]);
    git_in(folder, &["commit", "-q", "-m", "one"]);
    git_in(folder, &["rm", "-r", "-q", "parts", "sites", "workspace.site"]);
    let none = "curtilage: there are no site files here (*.site)\n";
    let (code, out, err) = one.run(&["--since", "HEAD"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert_eq!(out, "0 files checked, 0 untouched since HEAD: nothing found\n");
    assert_eq!(one.run(&["--since", "HEAD", "--quiet"]), (0, String::new(), String::new()));
    for form in ["json", "lines", "sarif", "junit", "quality", "workflow", "section"] {
        assert_eq!(one.run(&["--since", "HEAD", "--format", form]).0, 0, "{form}");
    }
    assert_eq!(one.run(&[]), (3, String::new(), none.to_owned()));
    std::fs::create_dir(folder.join("photos")).unwrap();
    assert_eq!(one.run(&["--since", "HEAD", "photos"]), (3, String::new(), none.to_owned()));
    git_in(folder, &["commit", "-q", "-m", "two"]);
    assert_eq!(one.run(&["--since", "HEAD"]), (3, String::new(), none.to_owned()));
    assert_eq!(one.run(&["--since", "HEAD~1"]).0, 0);
}

/// A workspace further down that is a submodule: the commit is that of the repository in which one asks.
#[test]
fn a_submodule_is_held_against_the_commit_that_the_repository_above_had() {
    let (parts, one) = (tempfile::tempdir().unwrap(), Workspace::new());
    for folder in [parts.path(), one.0.path()] {
        git_in(folder, &["init", "-q"]);
    }
    std::fs::write(parts.path().join("spare.site"), "part spare is sensor {\n    rests  open\n}\n")
        .unwrap();
    std::fs::write(parts.path().join("other.site"), "").unwrap();
    git_in(parts.path(), &["add", "-A"]);
    git_in(parts.path(), &["commit", "-q", "-m", "one"]);
    std::fs::remove_file(one.0.path().join("workspace.site")).unwrap();
    git_in(one.0.path(), &["submodule", "add", "-q", parts.path().to_str().unwrap(), "lib"]);
    git_in(one.0.path(), &["add", "-A"]);
    git_in(one.0.path(), &["commit", "-q", "-m", "one"]);
    let (_, out, _) = one.run(&["--since", "HEAD"]);
    assert_eq!(out, "0 files checked, 5 untouched since HEAD: nothing found\n");
    let lib = one.0.path().join("lib");
    std::fs::write(lib.join("spare.site"), "part spare is sensor {\n    rests  opne\n}\n").unwrap();
    git_in(&lib, &["commit", "-q", "-a", "-m", "two"]);
    // Its own commit holds the file as it is; the one above holds an older commit.
    let (code, out, err) = one.run(&["--since", "HEAD", "--format", "lines"]);
    assert!(out.contains("lib/spare.site:2:12: error") && !out.contains("other"), "{out}{err}");
    assert_eq!(code, 1);
    let (_, out, _) = run_in(&lib, &["--since", "HEAD"]);
    assert_eq!(out, "0 files checked, 2 untouched since HEAD: nothing found\n");
}

/// What is wrong with a folder is told with its path.
#[test]
fn what_cannot_be_read_is_named() {
    let one = Workspace::new();
    let (code, _, err) = one.run(&["--baseline", "nowhere/known.txt", "--adopt"]);
    assert_eq!(code, 3, "{err}");
    assert!(err.contains("nowhere: "), "{err}");
    let (code, _, err) = one.run(&["-", "--stdin-path", "nowhere/x.site"]);
    assert_eq!(code, 3, "{err}");
    assert!(err.contains("nowhere: "), "{err}");
    let (code, _, err) = one.run(&["-", "--stdin-path", ".."]);
    assert_eq!(code, 2, "{err}");
}

/// A file that a site uses, or a calendar, is named in the site: that it is not there is a finding.
#[test]
fn what_a_site_names_and_is_not_there_is_a_finding() {
    let one = Workspace::new();
    assert_eq!(one.run(&["--fail-on", "error", "sites/idle.site"]).0, 0);
    one.edit("sites/idle.site", "    ambient", "    holidays  from \"days.ics\"\n    ambient");
    let (code, out, _) = one.run(&["sites/idle.site", "--format", "lines"]);
    assert_eq!(code, 1, "{out}");
    assert!(out.contains("there is no file"), "{out}");
    one.edit("sites/kennels.site", "general.site", "genera.site");
    assert_eq!(one.run(&["sites/kennels.site"]).0, 1);
}

/// A file in a workspace of its own that a file of the workspace around it uses is told once.
#[test]
fn a_file_of_a_nested_workspace_is_told_once() {
    let folder = tempfile::tempdir().unwrap();
    let write = |path: &str, text: &str| std::fs::write(folder.path().join(path), text).unwrap();
    std::fs::create_dir(folder.path().join("sub")).unwrap();
    write("workspace.site", "");
    write("sub/workspace.site", "");
    write("sub/p.site", "part x is sensor {\n    rests  sideways\n}\n");
    write(
        "a.site",
        "use \"sub/p.site\"\nsite a {\n    timezone  Europe/Lisbon\n    ambient   5 to 35 degC\n}\n",
    );
    let wanted = "sub/p.site:2:12: error: expected `open` or `closed`, found `sideways` [syntax]\n";
    for paths in [&[][..], &["a.site"], &["sub"], &["a.site", "sub/p.site"]] {
        let (code, out, _) = run_in(folder.path(), &[&["--format", "lines"], paths].concat());
        assert_eq!((code, out.as_str()), (1, wanted), "{paths:?}");
    }
    let (_, out, err) = run_in(folder.path(), &["--verbose"]);
    assert!(out.ends_with("\n4 files checked: 1 error\n"), "{out}");
    let wanted = ["a.site", "workspace.site", "sub/p.site", "sub/workspace.site"];
    let wanted: String = wanted.map(|path| format!("curtilage: checked: {path}\n")).concat();
    assert_eq!(err, wanted, "paths are as seen from here");
    let (_, _, err) = run_in(&folder.path().join("sub"), &["--verbose", "../a.site"]);
    assert_eq!(err, "curtilage: checked: ../a.site\ncurtilage: checked: p.site\n");
}
