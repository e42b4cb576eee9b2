//! Comparisons through git: commits without a checkout, merge bases, shallow clones, and git calling
//! the program to show a difference.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test")]

use std::path::{Path, PathBuf};
use std::process::Command;

const DAY: &str = "--date=2026-11-25";

struct Repository {
    folder: tempfile::TempDir,
}

fn told(output: std::process::Output) -> (i32, String, String) {
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn git(folder: &Path, arguments: &[&str]) -> String {
    let output = Command::new("git")
        .args(["-c", "user.name=A Fitter", "-c", "user.email=fitter@example.invalid"])
        .args(["-c", "commit.gpgsign=false", "-c", "init.defaultBranch=main"])
        .args(arguments)
        .current_dir(folder)
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .output()
        .unwrap();
    let (code, out, err) = told(output);
    assert_eq!(code, 0, "git {arguments:?}: {err}");
    out
}

impl Repository {
    fn new() -> Self {
        let out = Self { folder: tempfile::tempdir().unwrap() };
        git(out.path(), &["init", "-q"]);
        out.put("parts/own.site", PARTS);
        out.put("sites/shop.site", SHOP);
        out.put("sites/days.ics", DAYS);
        out.commit("first");
        out
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn put(&self, path: &str, text: &str) {
        let path = self.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    fn edit(&self, path: &str, from: &str, to: &str) {
        let text = std::fs::read_to_string(self.path().join(path)).unwrap();
        assert!(text.contains(from), "{from}");
        self.put(path, &text.replace(from, to));
    }

    fn commit(&self, message: &str) {
        git(self.path(), &["add", "-A"]);
        git(self.path(), &["commit", "-q", "-m", message]);
    }

    fn compare(&self, arguments: &[&str]) -> (i32, String, String) {
        compare(self.path(), arguments)
    }
}

fn compare(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_curtilage"));
    command.args(["compare", DAY]).args(arguments).current_dir(folder);
    told(command.output().unwrap())
}

const PARTS: &str = r#"part reed is sensor {
    rests   closed
    active  until restored
}

part box is controller {
    inputs   in1 to in4 common gnd
    input    pull-up 12 V 10 kohm, closed below 1 kohm, open above 20 kohm
    input    rests closed
    settles  in 100 ms
    repeats  once an activation
    draws    0.2 A at 9 V to 15 V dc, constant current
}

part boxed is supply {
    gives  13.5 V to 13.8 V dc, at most 2 A
}
"#;

const SHOP: &str = r#"use "../parts/own.site"

site corner-shop "Corner Shop" {
    timezone  Europe/Lisbon
    ambient   0 to 35 degC
    holidays  from "days.ics"
    people    owner
}

schedule open-hours {
    Mon to Fri  09:00 to 18:00
    except      holidays
}
schedule closed is not open-hours

supply main is boxed

controller head is box {
    fed  from main
}

zone door is reed {
    purpose  intrusion
    wired    to head.in1
    ends     none
    armed    closed
    lockout  5 s
}

response to door {
    tell  owner
}
"#;

const DAYS: &str = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\nSUMMARY:Fair\r\nDTSTART;VALUE=DATE:20261201\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";

#[test]
fn a_commit_is_compared_with_the_work_tree_and_with_another() {
    let repository = Repository::new();
    let (code, out, err) = repository.compare(&["--git", "HEAD"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert_eq!(out, "HEAD -> the work tree: every site does what it did\n");
    repository.edit("sites/shop.site", "09:00 to 18:00", "08:00 to 18:00");
    let (code, dirty, _) = repository.compare(&["--git", "HEAD"]);
    assert_eq!(code, 1);
    assert!(dirty.contains("`door` is armed 5 h a week less"), "{dirty}");
    repository.commit("longer hours");
    let (code, out, _) = repository.compare(&["--git", "HEAD~1..HEAD"]);
    assert_eq!(code, 1);
    assert_eq!(out.lines().nth(3), dirty.lines().nth(3), "{out}");
    // And back.
    let (code, out, _) = repository.compare(&["--git", "HEAD..HEAD~1"]);
    assert_eq!(code, 0);
    assert!(out.contains("5 h a week more"), "{out}");
    assert_eq!(git(repository.path(), &["status", "--short"]), "");
}

#[test]
fn everything_comes_from_the_commit() {
    let repository = Repository::new();
    // Neither the calendar nor the parts of the work tree are seen by a commit.
    repository.edit("sites/days.ics", "20261201", "20261202");
    repository.edit("parts/own.site", "in 100 ms", "in 300 ms");
    let (_, out, err) = repository.compare(&["--git", "HEAD..HEAD"]);
    assert_eq!((out.as_str(), err.as_str()), ("HEAD -> HEAD: every site does what it did\n", ""));
    let (code, out, _) = repository.compare(&["--git", "HEAD"]);
    assert_eq!(code, 1);
    assert!(out.contains("Wed 2026-12-02 09:00 to 18:00"), "{out}");
    assert!(out.contains("holidays from \"days.ics\""), "{out}");
    std::fs::remove_file(repository.path().join("parts/own.site")).unwrap();
    let (code, out, _) = repository.compare(&["--git", "HEAD", "--fail-on", "never"]);
    assert!(
        out.contains("new error unreadable-file") || out.contains("cannot be compared"),
        "{out}"
    );
    assert_eq!(code, 0);
}

#[test]
fn a_branch_is_compared_from_where_it_parted() {
    let repository = Repository::new();
    git(repository.path(), &["checkout", "-q", "-b", "branch"]);
    repository.edit("sites/shop.site", "lockout  5 s", "lockout  9 s");
    repository.commit("deaf for longer");
    git(repository.path(), &["checkout", "-q", "main"]);
    repository.edit("sites/shop.site", "armed    closed", "armed    always");
    repository.commit("armed always");
    let lockout = "zone `door`: lockout: 9 s, was 5 s";
    let (_, plain, _) = repository.compare(&["--git", "main..branch"]);
    assert!(plain.contains(lockout) && plain.contains("armed"), "{plain}");
    for arguments in [&["--git", "main..branch", "--merge-base"][..], &["--git", "main...branch"]] {
        let (code, out, _) = repository.compare(arguments);
        assert_eq!(code, 0, "{out}");
        assert!(out.contains(lockout) && !out.contains("armed"), "{out}");
        assert!(out.contains("where main parted -> branch"), "{out}");
    }
}

#[test]
fn a_base_that_is_not_there_is_told() {
    let repository = Repository::new();
    let (code, out, err) = repository.compare(&["--git", "no-such-branch"]);
    assert_eq!((code, out.as_str()), (3, ""));
    assert_eq!(err, "curtilage: there is no commit `no-such-branch`\n");
    for nonsense in ["", "..", "--output=x", "HEAD..--all"] {
        let arguments = [format!("--git={nonsense}")];
        let (code, _, err) = repository.compare(&[&arguments[0]]);
        assert_eq!(code, 2, "{nonsense}: {err}");
    }
    let lonely = tempfile::tempdir().unwrap();
    let (code, _, err) = compare(lonely.path(), &["--git", "HEAD"]);
    assert_eq!(code, 3);
    assert!(err.contains("is in no git repository"), "{err}");
    let (code, _, err) = compare(lonely.path(), &["a.site", "b.site"]);
    assert_eq!((code, err.as_str()), (3, "curtilage: a.site: there is no such file\n"));
    assert_eq!(compare(lonely.path(), &["a.site"]).0, 2);
}

#[test]
fn a_shallow_clone_says_what_it_lacks() {
    let repository = Repository::new();
    let first = git(repository.path(), &["rev-parse", "HEAD"]).trim().to_owned();
    repository.edit("sites/shop.site", "lockout  5 s", "lockout  9 s");
    repository.commit("deaf for longer");
    let main = git(repository.path(), &["branch", "--show-current"]).trim().to_owned();
    git(repository.path(), &["checkout", "-q", "-b", "aside", &first]);
    repository.edit("sites/shop.site", "lockout  5 s", "lockout  7 s");
    repository.commit("deaf for a little longer");
    git(repository.path(), &["checkout", "-q", &main]);
    let folder = tempfile::tempdir().unwrap();
    let from = format!("file://{}", repository.path().display());
    git(folder.path(), &["clone", "-q", "--depth", "1", "--no-single-branch", &from, "clone"]);
    let clone = folder.path().join("clone");
    let (code, _, err) = compare(&clone, &["--git", &first]);
    assert_eq!(code, 3);
    assert!(err.contains("holds only part of the history"), "{err}");
    let (code, _, err) = compare(&clone, &["--git", "origin/aside...HEAD"]);
    assert_eq!(code, 3);
    assert!(err.contains("no common ancestor") && err.contains("--unshallow"), "{err}");
    // What is there can be compared.
    std::fs::write(clone.join("sites/shop.site"), SHOP).unwrap();
    let (_, out, err) = compare(&clone, &["--git", "HEAD"]);
    assert!(out.contains("lockout: 5 s, was 9 s"), "{out}{err}");
}

#[test]
fn sites_move_come_and_go() {
    let repository = Repository::new();
    repository.put("sites/kiosk.site", &SHOP.replace("corner-shop", "kiosk"));
    repository.commit("a kiosk");
    git(repository.path(), &["mv", "sites", "lisbon"]);
    repository.edit("lisbon/shop.site", "lockout  5 s", "lockout  9 s");
    std::fs::remove_file(repository.path().join("lisbon/kiosk.site")).unwrap();
    repository.put("lisbon/mill.site", &SHOP.replace("corner-shop", "mill"));
    let (code, out, _) = repository.compare(&["--git", "HEAD"]);
    assert_eq!(code, 1, "a site that is gone protects nothing: {out}");
    assert!(out.contains("lisbon/shop.site, was sites/shop.site"), "{out}");
    assert!(out.contains("lockout: 9 s, was 5 s"), "{out}");
    assert!(out.contains("sites/kiosk.site: Corner Shop is gone"), "{out}");
    assert!(out.contains("lisbon/mill.site: Corner Shop is new"), "{out}");
    // Only one folder is looked at when only one is asked for.
    let (_, out, _) = repository.compare(&["--git", "HEAD", "parts"]);
    assert!(!out.contains("kiosk"), "{out}");
}

#[test]
fn junk_and_links_are_told_and_the_rest_is_compared() {
    let repository = Repository::new();
    let junk: Vec<u8> = (0..4096u32).map(|n| u8::try_from(n * 7919 % 256).unwrap()).collect();
    std::fs::write(repository.path().join("sites/junk.site"), &junk).unwrap();
    repository.commit("junk");
    repository.edit("sites/shop.site", "lockout  5 s", "lockout  9 s");
    std::fs::write(repository.path().join("sites/junk.site"), &junk[1..]).unwrap();
    let (_, out, err) = repository.compare(&["--git", "HEAD"]);
    assert!(out.contains("lockout: 9 s, was 5 s"), "{out}{err}");
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("/etc/hostname", repository.path().join("sites/link.site"))
            .unwrap();
        repository.commit("a link out");
        let (code, _, err) = repository.compare(&["--git", "HEAD..HEAD"]);
        assert_eq!(code, 3);
        assert!(err.contains("sites/link.site"), "{err}");
        assert!(err.contains("a link that leads out of the workspace"), "{err}");
    }
}

#[test]
fn git_shows_what_a_change_does() {
    let repository = Repository::new();
    let program = env!("CARGO_BIN_EXE_curtilage");
    repository.put(".gitattributes", "*.site diff=curtilage\n");
    repository.commit("attributes");
    let command = format!("diff.curtilage.command={program} compare {DAY} --driver");
    let diff = |arguments: &[&str]| {
        let words = [&["-c", command.as_str(), "diff", "--ext-diff"], arguments].concat();
        git(repository.path(), &words)
    };
    repository.edit("sites/shop.site", "lockout  5 s", "lockout  9 s");
    let out = diff(&[]);
    assert!(out.contains("zone `door`: lockout: 9 s, was 5 s"), "{out}");
    assert!(!out.contains("unreadable-file"), "what it uses is found: {out}");
    git(repository.path(), &["checkout", "-q", "."]);
    // A shared file is shown by what it does to the sites.
    repository.edit("parts/own.site", "draws    0.2 A", "draws    2.5 A");
    let out = diff(&[]);
    assert!(out.contains("new error supply-overload"), "{out}");
    repository.commit("more current");
    let out = diff(&["HEAD~1", "HEAD"]);
    assert!(out.contains("new error supply-overload"), "{out}");
    // A file that is new or gone.
    repository.put("sites/new.site", SHOP);
    git(repository.path(), &["add", "-A"]);
    let out = diff(&["--cached"]);
    assert!(out.contains("sites/new.site: Corner Shop is new"), "{out}");
}

#[test]
fn git_shows_figures_as_text() {
    let repository = Repository::new();
    let program = env!("CARGO_BIN_EXE_curtilage");
    repository.put(".gitattributes", "*.site diff=curtilage\n");
    repository.commit("attributes");
    repository.edit("sites/shop.site", "09:00 to 18:00", "08:00 to 18:00");
    repository.commit("longer hours");
    let textconv = format!("diff.curtilage.textconv={program} figures {DAY} --textconv");
    let out = git(repository.path(), &["-c", &textconv, "diff", "HEAD~1", "HEAD"]);
    let removed = out.lines().find(|line| line.starts_with('-') && line.contains("door")).unwrap();
    assert!(removed.contains("123 h"), "{out}");
    assert!(out.contains("118 h"), "{out}");
    assert!(!out.contains("not known: its sensor"), "the parts are found: {out}");
    // A file of parts is shown as it is.
    repository.edit("parts/own.site", "in 100 ms", "in 300 ms");
    let out = git(repository.path(), &["-c", &textconv, "diff"]);
    assert!(out.contains("+    settles  in 300 ms"), "{out}");
}

#[test]
fn a_result_is_written_whole_or_not_at_all() {
    let repository = Repository::new();
    let out = repository.path().join("out.html");
    let (code, printed, _) =
        repository.compare(&["--git", "HEAD", "--format", "html", "--out", out.to_str().unwrap()]);
    assert_eq!((code, printed.as_str()), (0, ""));
    let page = std::fs::read_to_string(&out).unwrap();
    assert!(page.starts_with("<!doctype html>") && page.ends_with("</html>\n"));
    let missing: PathBuf = repository.path().join("none/out.html");
    let (code, _, err) = repository.compare(&["--git", "HEAD", "--out", missing.to_str().unwrap()]);
    assert_eq!(code, 3);
    assert!(err.contains("none/out.html"), "{err}");
}

/// A submodule that nobody touched does what it did, and a newer commit of it is compared with the one
/// that the repository had.
#[test]
fn a_submodule_is_seen_as_of_its_commit() {
    let module = Repository::new();
    let repository = Repository::new();
    let from = module.path().to_str().unwrap();
    let allow = ["-c", "protocol.file.allow=always"];
    let add = ["submodule", "--quiet", "add", from, "south/shops"];
    git(repository.path(), &[&allow[..], &add].concat());
    repository.commit("the shops of the south");
    let (code, out, err) = repository.compare(&["--git", "HEAD", "--fail-on", "changed"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(out.starts_with("HEAD -> the work tree: every site does what it did"), "{out}");
    repository.edit("south/shops/sites/shop.site", "lockout  5 s", "lockout  9 s");
    let told = "south/shops/sites/shop.site: Corner Shop\n";
    let (_, out, _) = repository.compare(&["--git", "HEAD"]);
    assert!(out.contains(told) && out.contains("lockout: 9 s, was 5 s"), "{out}");
    git(&repository.path().join("south/shops"), &["commit", "-q", "-a", "-m", "deaf for longer"]);
    repository.commit("the newer shops");
    let (_, out, _) = repository.compare(&["--git", "HEAD~1..HEAD"]);
    assert!(out.contains(told) && out.contains("lockout: 9 s, was 5 s"), "{out}");
    // A commit that the submodule does not hold is told.
    std::fs::remove_dir_all(repository.path().join("south/shops")).unwrap();
    std::fs::create_dir_all(repository.path().join("south/shops")).unwrap();
    git(&repository.path().join("south/shops"), &["init", "-q"]);
    let (code, _, err) = repository.compare(&["--git", "HEAD~1..HEAD"]);
    assert_eq!(code, 3, "{err}");
    assert!(err.contains("south/shops: this clone of the submodule does not hold"), "{err}");
}

/// Two workspaces may have files of the same name.
#[test]
fn the_path_of_a_workspace_further_down_is_told() {
    let repository = Repository::new();
    for folder in ["east", "west"] {
        repository.put(&format!("{folder}/workspace.site"), "");
        repository.put(&format!("{folder}/parts/own.site"), PARTS);
        repository.put(&format!("{folder}/sites/shop.site"), SHOP);
        repository.put(&format!("{folder}/sites/days.ics"), DAYS);
    }
    repository.commit("two workspaces");
    repository.edit("west/sites/shop.site", "lockout  5 s", "lockout  9 s");
    let (_, out, _) = repository.compare(&["--git", "HEAD"]);
    assert!(out.contains("west/sites/shop.site: Corner Shop\n"), "{out}");
    assert!(out.contains("\n        west/sites/shop.site:"), "{out}");
    git(repository.path(), &["mv", "east", "north"]);
    let (_, out, _) = repository.compare(&["--git", "HEAD", "east", "north"]);
    let moved = "east/sites/shop.site moved to north/sites/shop.site";
    assert!(out.contains(moved), "{out}");
}
