//! `--since` never leaves out a file whose findings a change has touched: random edits in a
//! workspace under git, and each way in which one file depends on another.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use curtilage_facts::Options;
use curtilage_project::{Affected, Loader, Since, check_only, discover, workspace_root};
use curtilage_syntax::tree::Date;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

const OPTIONS: Options = Options { today: Date { year: 2026, month: 11, day: 25 } };

const BASE: &str = "use \"cable.site\"
part reed is sensor {
    rests      closed
    active     until restored
    contact    0.5 A at 24 V dc resistive, 0.15 ohm
}
part panel is controller {
    inputs    in1 to in4 common gnd
    input     rests closed
    settles   in 100 ms
    repeats   once an activation
    relays    relay1 changeover
    relay     1 A at 30 V dc resistive
    on-time   hold from registration
    draws     90 mA at 9 V to 15 V dc
}
part horn is load {
    draws      0.45 A at 9 V to 14 V dc, constant current
    inductive  suppressed
}
part box is supply {
    gives    13.5 V to 13.8 V dc, at most 2 A
    empty    at 10.5 V
}
";

const CABLE: &str = "part pair is cable {
    cores       2
    conductor   0.75 mm2 class 5
}
";

const POLICY: &str = "policy house {
    sounder-run  at most 20 min from \"a by-law\"
    level        idle-output hint
}
";

const CALENDAR: &str = "BEGIN:VCALENDAR\r
VERSION:2.0\r
BEGIN:VEVENT\r
DTSTART;VALUE=DATE:20261208\r
SUMMARY:Feast day\r
END:VEVENT\r
END:VCALENDAR\r
";

fn site(name: &str, uses: &[&str], holidays: bool) -> String {
    let uses: String = uses.iter().map(|path| format!("use \"{path}\"\n")).collect();
    let holidays = if holidays { "    holidays  from \"holidays.ics\"\n" } else { "" };
    format!(
        "{uses}site {name} {{
    timezone  Europe/Lisbon
    ambient   -5 to 40 degC
{holidays}    people    owner
}}
schedule selling {{
    Mon to Sat  09:00 to 19:00
    except      holidays
}}
schedule shut is not selling
supply main is box
controller head is panel {{
    fed   from main over 1 m of pair
}}
zone hatch is reed {{
    purpose    intrusion
    wired      to head.in1 over 6 m of pair
    armed      shut
    lockout    5 s
}}
output horns drives 3 of horn {{
    through  head.relay1 closing
    fed      from main over 8 m of pair
    fuse     1 A
}}
response to hatch {{
    close   horns for 30 min
    tell    owner
}}
"
    )
}

struct Workspace {
    folder: tempfile::TempDir,
}

impl Workspace {
    /// Six sites that share parts, a policy and a calendar in different ways.
    fn new() -> Self {
        let one = Self { folder: tempfile::tempdir().unwrap() };
        let both = ["../parts/base.site", "../policy/house.site"];
        one.write("parts/base.site", BASE);
        one.write("parts/cable.site", CABLE);
        one.write("parts/lonely.site", "part spare is sensor {\n    rests open\n}\n");
        one.write("policy/house.site", POLICY);
        one.write("sites/holidays.ics", CALENDAR);
        one.write("sites/a.site", &site("a", &both, true));
        one.write("sites/b.site", &site("b", &both[..1], false));
        one.write("sites/c.site", &site("c", &both, false));
        one.write("sites/deep/d.site", &site("d", &["../../parts/base.site"], false));
        one.write("sites/e.site", &site("e", &["../parts/bsae.site"], false));
        one.write("sites/f.site", "site f {\n    timezone Europe/Lisbon\n}\n");
        one.git(&["init", "-q"]);
        one.commit();
        one
    }

    fn root(&self) -> PathBuf {
        self.folder.path().canonicalize().unwrap()
    }

    fn at(&self, path: &str) -> PathBuf {
        self.root().join(path)
    }

    fn write(&self, path: &str, text: &str) {
        std::fs::create_dir_all(self.at(path).parent().unwrap()).unwrap();
        std::fs::write(self.at(path), text).unwrap();
    }

    fn git(&self, arguments: &[&str]) {
        let who =
            ["-c", "user.name=a", "-c", "user.email=a@b.example", "-c", "core.autocrlf=false"];
        let mut git = Command::new("git");
        git.args(who).args(arguments).current_dir(self.root());
        for name in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX"] {
            git.env_remove(name);
        }
        let output = git.output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    }

    fn commit(&self) {
        self.git(&["add", "-A", "-f"]);
        self.git(&["commit", "-q", "-m", "state"]);
    }

    /// All site files, by the root of their workspace.
    fn roots(&self) -> BTreeMap<PathBuf, Vec<PathBuf>> {
        let mut roots: BTreeMap<PathBuf, Vec<PathBuf>> = BTreeMap::new();
        for file in discover(&[self.root()]).files {
            roots.entry(workspace_root(&file).unwrap()).or_default().push(file);
        }
        roots
    }

    /// What is found in each file, places included, in words that do not depend on the run.
    fn findings(&self) -> BTreeMap<PathBuf, Vec<String>> {
        let mut all = BTreeMap::new();
        for (root, files) in self.roots() {
            let loader = Loader::new(root);
            for file in files {
                let shown = loader.shown(&file);
                let checked = check_only(&loader, std::slice::from_ref(&file), OPTIONS);
                let place = |at: curtilage_text::Place| {
                    let path = &checked.sources[&at.file].path;
                    format!("{path}:{:?}", at.span)
                };
                let told = checked.findings.iter().map(|finding| {
                    // Baselines count on it.
                    assert_eq!(checked.sources[&finding.at.at.file].path, shown);
                    let others: Vec<String> =
                        finding.others.iter().map(|other| place(other.at) + &other.text).collect();
                    format!(
                        "{} {} {} {} {others:?} {:?} {:?}",
                        place(finding.at.at),
                        finding.rule,
                        finding.level.word(),
                        finding.headline,
                        finding.help,
                        finding.about
                    )
                });
                all.insert(file, told.collect());
            }
        }
        all
    }

    fn affected(&self) -> Affected {
        let mut all = Affected::default();
        for (root, files) in self.roots() {
            let since = Since::new(&root, "HEAD").unwrap();
            let part = since.affected(&Loader::new(root), &files).unwrap();
            all.touched.extend(part.touched);
            all.untouched.extend(part.untouched);
        }
        all
    }

    fn untouched(&self) -> Vec<String> {
        let name = |path: &PathBuf| {
            path.strip_prefix(self.root()).unwrap().to_string_lossy().replace('\\', "/")
        };
        self.affected().untouched.iter().map(name).collect()
    }
}

#[test]
fn nothing_changed_leaves_out_all_but_what_leads_nowhere() {
    let one = Workspace::new();
    let mut left = one.untouched();
    left.sort();
    assert_eq!(
        left,
        [
            "parts/base.site",
            "parts/cable.site",
            "parts/lonely.site",
            "policy/house.site",
            "sites/a.site",
            "sites/b.site",
            "sites/c.site",
            "sites/deep/d.site",
            "sites/f.site",
        ]
    );
}

/// What a change does, and which files it must leave to be checked.
type Case = (&'static str, fn(&Workspace), &'static [&'static str]);

#[test]
fn each_way_to_depend_on_a_file_is_seen() {
    let with_base = &["sites/a.site", "sites/b.site", "sites/c.site", "sites/deep/d.site"];
    let cases: &[Case] = &[
        ("a site", |w| w.write("sites/f.site", "site f {\n}\n"), &["sites/f.site"]),
        ("a part", |w| w.write("parts/base.site", &BASE.replace("1 A", "2 A")), with_base),
        (
            "a part of a part",
            |w| w.write("parts/cable.site", &CABLE.replace("0.75", "1.5")),
            with_base,
        ),
        ("a policy", |w| w.write("policy/house.site", ""), &["sites/a.site", "sites/c.site"]),
        (
            "a calendar",
            |w| w.write("sites/holidays.ics", &CALENDAR.replace("1208", "1209")),
            &["sites/a.site"],
        ),
        ("a lost part", |w| std::fs::remove_file(w.at("parts/cable.site")).unwrap(), with_base),
        (
            "a renamed part",
            |w| std::fs::rename(w.at("parts/base.site"), w.at("parts/basis.site")).unwrap(),
            with_base,
        ),
        (
            "a mark of a workspace below",
            |w| w.write("sites/deep/workspace.site", ""),
            &["sites/deep/d.site"],
        ),
        ("a mark of the workspace above", |w| w.write("workspace.site", "\n"), with_base),
        ("a neighbour of a misspelt part", |w| w.write("parts/bsea.site", ""), &["sites/e.site"]),
        (
            "a change that the index is told not to see",
            |w| {
                w.git(&["update-index", "--assume-unchanged", "parts/cable.site"]);
                w.write("parts/cable.site", &CABLE.replace("0.75", "1.5"));
            },
            with_base,
        ),
        (
            "a part that git ignores",
            |w| {
                w.write(".gitignore", "extra.site\n");
                w.write("parts/extra.site", CABLE);
                w.write("parts/base.site", &BASE.replace("cable.site", "extra.site"));
            },
            with_base,
        ),
        #[cfg(unix)]
        (
            "a link in the way",
            |w| {
                std::fs::rename(w.at("policy"), w.at("rules")).unwrap();
                std::os::unix::fs::symlink("rules", w.at("policy")).unwrap();
            },
            &["sites/a.site", "sites/c.site"],
        ),
    ];
    for (what, change, wanted) in cases {
        let one = Workspace::new();
        change(&one);
        let left = one.untouched();
        let missed: Vec<_> =
            wanted.iter().filter(|path| left.iter().any(|one| one == *path)).collect();
        assert!(missed.is_empty(), "{what}: {missed:?} would be left out");
    }
}

#[test]
fn what_git_cannot_answer_is_told() {
    let one = Workspace::new();
    let told = Since::new(&one.root(), "no-such-branch").unwrap_err().to_string();
    assert_eq!(told, "there is no commit `no-such-branch`");
    assert!(Since::new(&one.root(), "--all").is_err());
    assert!(Since::new(&one.root(), "").is_err());
    one.commit_empty();
    let shallow = tempfile::tempdir().unwrap();
    let from = format!("file://{}", one.root().display());
    let to = shallow.path().join("clone");
    one.git(&["clone", "-q", "--depth", "1", &from, to.to_str().unwrap()]);
    let told = Since::new(&to, "HEAD~1").unwrap_err().to_string();
    assert!(told.contains("only part of the history"), "{told}");
    let bare = tempfile::tempdir().unwrap();
    let told = Since::new(bare.path(), "HEAD").unwrap_err().to_string();
    assert!(told.contains("is in no git repository"), "{told}");
}

impl Workspace {
    fn commit_empty(&self) {
        self.git(&["commit", "-q", "--allow-empty", "-m", "one more"]);
    }
}

/// One random edit of the workspace.
#[derive(Clone, Debug)]
enum Edit {
    Line(usize, usize, usize),
    Drop(usize),
    Rename(usize, usize),
    Copy(usize, usize),
    Restore,
    Stage,
}

const FILES: &[&str] = &[
    "parts/base.site",
    "parts/cable.site",
    "parts/lonely.site",
    "policy/house.site",
    "sites/holidays.ics",
    "sites/a.site",
    "sites/b.site",
    "sites/c.site",
    "sites/deep/d.site",
    "sites/e.site",
    "sites/f.site",
];

const NAMES: &[&str] = &[
    "parts/bsae.site",
    "sites/g.site",
    "workspace.site",
    "sites/deep/workspace.site",
    "parts/x.site",
];

fn edit() -> impl Strategy<Value = Edit> {
    let file = 0..FILES.len();
    prop_oneof![
        6 => (file.clone(), 0..64usize, 0..6usize).prop_map(|(f, l, k)| Edit::Line(f, l, k)),
        1 => file.clone().prop_map(Edit::Drop),
        1 => (file.clone(), 0..NAMES.len()).prop_map(|(f, n)| Edit::Rename(f, n)),
        1 => (file, 0..NAMES.len()).prop_map(|(f, n)| Edit::Copy(f, n)),
        1 => Just(Edit::Restore),
        1 => Just(Edit::Stage),
    ]
}

fn apply(one: &Workspace, edit: &Edit) {
    match *edit {
        Edit::Line(file, line, kind) => {
            let Ok(text) = std::fs::read_to_string(one.at(FILES[file])) else { return };
            let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
            let at = line % lines.len().max(1);
            match kind {
                0 => drop((at < lines.len()).then(|| lines.remove(at))),
                1 => lines.insert(at, "# a remark".to_owned()),
                2 => lines.insert(at, "}".to_owned()),
                3 => lines.insert(0, "use \"../parts/lonely.site\"".to_owned()),
                4 => lines.iter_mut().for_each(|line| *line = line.replace('1', "2")),
                _ => lines.iter_mut().for_each(|line| *line = line.replace("0.", "1.")),
            }
            one.write(FILES[file], &(lines.join("\n") + "\n"));
        }
        Edit::Drop(file) => drop(std::fs::remove_file(one.at(FILES[file]))),
        Edit::Rename(file, name) => drop(std::fs::rename(one.at(FILES[file]), one.at(NAMES[name]))),
        Edit::Copy(file, name) => drop(std::fs::copy(one.at(FILES[file]), one.at(NAMES[name]))),
        Edit::Restore => one.git(&["checkout", "-q", "HEAD", "--", "."]),
        Edit::Stage => one.git(&["add", "-A"]),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_left_out_is_found_as_before(edits in prop::collection::vec(edit(), 1..4)) {
        let one = Workspace::new();
        let before = one.findings();
        for edit in &edits {
            apply(&one, edit);
        }
        let after = one.findings();
        let Affected { touched, untouched } = one.affected();
        let mut all: Vec<&PathBuf> = touched.iter().chain(&untouched).collect();
        all.sort();
        prop_assert_eq!(all, after.keys().collect::<Vec<_>>(), "every file is in one list");
        for path in &untouched {
            prop_assert_eq!(before.get(path), after.get(path), "{}", path.display());
        }
    }
}

/// The property above would hold as well if nothing were ever left out, or if no edit changed a
/// finding.
#[test]
fn edits_change_findings_and_leave_others_out() {
    let one = Workspace::new();
    let before = one.findings();
    apply(&one, &Edit::Line(0, 0, 4));
    let after = one.findings();
    let changed = |path: &Path| before.get(path) != after.get(path);
    assert!(changed(&one.at("sites/a.site")));
    assert_eq!(one.untouched().len(), 4);
    assert!(before.values().flatten().count() > 5, "{before:?}");
}
