//! `handover` and `record` as a shell sees them: the papers in a folder, and readings taken back.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

#[track_caller]
fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_curtilage"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

const DAY: &str = "--date=2026-11-25";

/// The files below a folder, by their path from it.
fn files(folder: &Path) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    let mut todo = vec![folder.to_path_buf()];
    while let Some(at) = todo.pop() {
        for entry in fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                todo.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
                out.insert(name, fs::read_to_string(&path).unwrap());
            }
        }
    }
    out
}

/// The papers of a site, and how the run ended.
#[track_caller]
fn papers(site: &str) -> (i32, BTreeMap<String, String>) {
    let out = tempfile::tempdir().unwrap();
    let folder = out.path().join("papers");
    let (code, _, err) = run(&root(), &["handover", DAY, site, "--out", folder.to_str().unwrap()]);
    assert_eq!(err, "");
    (code, files(&folder))
}

/// A workspace of its own with the parts and policies of the examples, and one site.
fn workspace(site: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("workspace.site"), "").unwrap();
    for part in ["parts/general.site", "policy/house.site"] {
        let to = folder.path().join(part);
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::copy(root().join("examples").join(part), to).unwrap();
    }
    fs::create_dir(folder.path().join("sites")).unwrap();
    fs::write(folder.path().join("sites/a.site"), site).unwrap();
    folder
}

/// The figures with units in a text: `1.35 A`, `4 h 46 min`, `22.5 %`.
fn figures(text: &str) -> Vec<String> {
    const UNITS: [&str; 14] =
        ["V", "A", "mA", "ohm", "kohm", "Mohm", "Ah", "h", "min", "s", "d", "%", "GB", "TB"];
    let words: Vec<&str> =
        text.split([' ', ',', ':', '(', ')', ';']).filter(|word| !word.is_empty()).collect();
    let pairs =
        words.windows(2).filter(|pair| pair[0].parse::<f64>().is_ok() && UNITS.contains(&pair[1]));
    pairs.map(|pair| format!("{} {}", pair[0], pair[1])).collect()
}

#[test]
fn every_figure_of_check_stands_in_the_table_that_it_is_about() {
    // The file and its rule, the table of the facts, and how many figures the finding has at least.
    for (rule, table, least) in [
        ("contact-overload", "contacts", 2),
        ("undervoltage", "supply-|drop-", 3),
        ("overvoltage", "supply-", 2),
        ("supply-overload", "supply-", 2),
        ("standby-too-short", "battery-", 3),
        ("recharge-too-slow", "battery-", 2),
        ("retention-too-short", "footage-", 1),
        ("loop-out-of-band", "loops", 2),
        ("reading-out-of-window", "loops", 2),
        ("conductor-overcurrent", "drop-", 1),
        ("counted-twice", "zones", 2),
    ] {
        let site = format!("examples/faulty/{rule}.site");
        let (_, json, _) = run(&root(), &["check", "--format", "json", DAY, &site]);
        let json: Value = serde_json::from_str(&json).unwrap();
        let (_, files) = papers(&site);
        let wanted: Vec<String> = table.split('|').map(|table| format!("tables/{table}")).collect();
        let is_it = |name: &str| wanted.iter().any(|wanted| name.starts_with(wanted));
        let tables = files.iter().filter(|(name, _)| is_it(name));
        let text: String = tables.map(|(_, text)| text.as_str()).collect();
        let mut seen = 0;
        for finding in json["findings"].as_array().unwrap() {
            let headline = finding["headline"].as_str().unwrap();
            if finding["rule"] != rule {
                continue;
            }
            // What was measured, and what the policy wants, stand elsewhere.
            let told = headline.split("can only be").last().unwrap();
            let told = told.split("footage has to").next().unwrap();
            let told = told.split("the policy").next().unwrap();
            for figure in figures(told) {
                assert!(text.contains(&figure), "{rule}: {figure} is not in {table}: {text}");
                seen += 1;
            }
        }
        assert!(seen >= least, "{rule}: {seen} figures");
    }
}

#[test]
fn every_finding_and_every_step_of_its_working_stands_in_the_papers() {
    let mut steps = 0;
    for entry in fs::read_dir(root().join("examples/faulty")).unwrap() {
        let path = entry.unwrap().path();
        let is_site = path.extension().is_some_and(|end| end == "site");
        let text = if is_site { fs::read_to_string(&path).unwrap() } else { String::new() };
        if !text.contains("\nsite ") {
            continue;
        }
        let shown = path.strip_prefix(root()).unwrap().to_str().unwrap();
        let (_, json, _) = run(&root(), &["check", "--format", "json", DAY, shown]);
        let json: Value = serde_json::from_str(&json).unwrap();
        let (code, files) = papers(shown);
        let findings = json["findings"].as_array().unwrap();
        let own: Vec<&Value> = findings.iter().filter(|one| one["at"]["path"] == shown).collect();
        let errors = own.iter().filter(|finding| finding["level"] == "error").count();
        assert_eq!(code, i32::from(errors > 0), "{shown}");
        let all: String = files.values().map(String::as_str).collect();
        for finding in own {
            let quoted = |text: &Value| text.as_str().unwrap().replace('"', "\"\"");
            let headline = quoted(&finding["headline"]);
            assert!(all.contains(headline.lines().next().unwrap()), "{shown}: {headline}");
            for step in finding["working"].as_array().unwrap() {
                assert!(all.contains(&quoted(&step["result"])), "{shown}: {step}");
                steps += 1;
            }
        }
    }
    assert!(steps > 60, "{steps}");
}

#[test]
fn what_figures_prints_stands_in_the_papers() {
    let site = "examples/sites/museum.site";
    let (_, out, _) = run(&root(), &["figures", DAY, site]);
    let (_, files) = papers(site);
    let all: String = files.values().map(String::as_str).collect();
    let mut count = 0;
    // What holds for every sequence of activations is not in the papers.
    let out = out.split("zones, whatever happens").next().unwrap();
    for line in out.lines() {
        for cell in line.split("  ").map(str::trim).filter(|cell| !figures(cell).is_empty()) {
            assert!(all.contains(cell), "{cell}");
            count += 1;
        }
    }
    assert!(count > 800, "{count}");
}

#[test]
fn the_same_site_gives_the_same_bytes_and_no_day_unless_asked() {
    let folder = tempfile::tempdir().unwrap();
    let site = "examples/sites/saltmarsh-creamery.site";
    let write = |name: &str, more: &[&str]| {
        let out = folder.path().join(name);
        let mut arguments = vec!["handover", site, "--out", out.to_str().unwrap()];
        arguments.extend(more);
        assert_eq!(run(&root(), &arguments).0, 0);
        files(&out)
    };
    assert_eq!(write("a", &[]), write("b", &[]));
    // Exceptions apart, the day changes one line of the page and one of the text.
    let (with, without) = (write("c", &[DAY]), write("d", &[]));
    let differs: Vec<&String> =
        with.keys().filter(|name| with.get(*name) != without.get(*name)).collect();
    assert_eq!(differs, ["papers.html", "papers.md", "papers.sha256"]);
    let day = "2026-11-25";
    assert!(with["papers.html"].contains(day) && !without["papers.html"].contains(day));
    // A second run into the same folder has nothing to do.
    let out = folder.path().join("a");
    let (code, told, _) = run(&root(), &["handover", site, "--out", out.to_str().unwrap()]);
    assert_eq!(code, 0);
    assert!(told.contains(": 0 written"), "{told}");
}

#[test]
fn every_section_of_the_papers_is_there() {
    let (code, files) = papers("examples/sites/saltmarsh-creamery.site");
    assert_eq!(code, 0);
    for table in [
        "site",
        "zones",
        "cause-and-effect",
        "terminals-head",
        "terminals-desk",
        "cables",
        "loops",
        "outputs",
        "contacts",
        "supply-main",
        "fuses-main",
        "drop-main",
        "working-main",
        "battery-main",
        "battery-working-main",
        "schedules",
        "armed",
        "recording",
        "footage-1-head",
        "materials",
        "cable-totals",
        "labels",
        "walk",
        "assumptions",
    ] {
        let name = format!("tables/{table}.csv");
        let csv = files.get(&name).unwrap_or_else(|| panic!("{name}: {:?}", files.keys()));
        assert!(csv.lines().count() > 1, "{name}");
    }
    for drawing in [
        "wiring-head",
        "wiring-desk",
        "cause-and-effect-graph",
        "week",
        "rehearsal-1",
        "rehearsal-2",
        "hangs-on-main",
    ] {
        let svg = &files[&format!("drawings/{drawing}.svg")];
        assert!(svg.contains("<title") && svg.contains("<desc"), "{drawing}");
    }
    assert!(!files["papers.html"].contains("<script") && !files["papers.html"].contains("(!)"));
    // 42 m, 35 m, 20 m, 34 m, 18 m, 46 m of loops and 18 m, 14 m of the detectors' cable, 10 % more.
    let totals = &files["tables/cable-totals.csv"];
    assert!(totals.contains("six-core-0.22,8,227 m,10 %,250 m"), "{totals}");
}

#[test]
fn a_site_with_errors_gives_papers_that_say_so_everywhere() {
    let (code, files) = papers("examples/faulty/contact-overload.site");
    assert_eq!(code, 1);
    for (name, text) in files.iter().filter(|(name, _)| *name != "papers.sha256") {
        assert!(text.contains("NOT FIT FOR WORK"), "{name}");
    }
    let sections = files["papers.html"].matches("<section").count();
    let banners = files["papers.html"].matches("class=\"unfit-banner\"").count();
    assert_eq!(sections, banners);
    assert!(files["papers.html"].contains("(!)"));
}

#[test]
fn a_file_that_cannot_be_read_well_still_gives_papers() {
    let site = "use \"../parts/general.site\"\nsite a \"A\" {\n    timezone Europe/Lisbon\n}\nzone x is door-reed {\n    wired to\n    armed alw\u{1}ays\n";
    let folder = workspace(site);
    let out = folder.path().join("out");
    let (code, told, _) =
        run(folder.path(), &["handover", "sites/a.site", "--out", out.to_str().unwrap()]);
    assert_eq!(code, 1);
    assert!(told.contains("NOT FIT FOR WORK"), "{told}");
    assert!(files(&out)["papers.html"].contains("not known"));
}

#[test]
fn names_and_titles_stay_texts() {
    let site = "use \"../parts/general.site\"\nsite a \"</title><script>alert(1)</script> =1+1 | `x` *y* [z](javascript:0)\" {\n    timezone Europe/Lisbon\n    ambient 0 to 30 degC\n    people b \"=cmd|' /C calc'!A0\"\n}\nsupply main \"@SUM(A1)\" is boxed-supply-12v-5a {\n}\ncontroller head \"<img src=x onerror=alert(1)>\" is recorder-4-in-2-out {\n    fed from main\n}\nzone x \"+1&\u{5e9}\u{5dc}\u{5d5}\u{5dd}\" is door-reed {\n    purpose intrusion\n    wired to head.in1\n    input rests closed\n    armed always\n}\n";
    let folder = workspace(site);
    let out = folder.path().join("out");
    run(folder.path(), &["handover", "sites/a.site", "--out", out.to_str().unwrap()]);
    for (name, text) in files(&out) {
        if name.ends_with(".html") || name.ends_with(".svg") || name.ends_with(".md") {
            assert!(!text.contains("<script") && !text.contains("<img"), "{name}");
        }
        if name.ends_with(".csv") {
            for line in text.lines() {
                let cells = line.split(",\"").map(|cell| cell.trim_start_matches('"'));
                for cell in cells {
                    assert!(!cell.starts_with(['=', '+', '@']), "{name}: {line}");
                }
            }
        }
        if name.ends_with(".md") {
            assert!(text.contains("\\`x\\` \\*y\\* \\[z\\]"), "{text}");
        }
    }
}

#[test]
fn a_folder_that_is_not_ours_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let site = "examples/sites/saltmarsh-creamery.site";
    let out = folder.path().to_str().unwrap();
    fs::write(folder.path().join("papers.html"), "mine").unwrap();
    fs::write(folder.path().join("notes.txt"), "mine too").unwrap();
    let (code, _, err) = run(&root(), &["handover", DAY, site, "--out", out]);
    assert_eq!(code, 2);
    assert!(err.contains("nothing was written") && err.contains("papers.html"), "{err}");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    fs::remove_file(folder.path().join("papers.html")).unwrap();
    assert_eq!(run(&root(), &["handover", DAY, site, "--out", out]).0, 0);
    assert_eq!(fs::read_to_string(folder.path().join("notes.txt")).unwrap(), "mine too");
    // A sheet that has been filled in is not emptied by the next run.
    let sheet = folder.path().join("commissioning.csv");
    let filled = fs::read_to_string(&sheet).unwrap() + "remark\r\n";
    fs::write(&sheet, &filled).unwrap();
    let other = "examples/sites/museum.site";
    let (code, _, err) = run(&root(), &["handover", DAY, other, "--out", out]);
    assert_eq!(code, 2);
    assert!(err.contains("commissioning.csv"), "{err}");
    assert_eq!(fs::read_to_string(&sheet).unwrap(), filled);
}

#[test]
fn wrong_use_and_what_cannot_be_written_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("file");
    fs::write(&file, "").unwrap();
    let site = "examples/sites/saltmarsh-creamery.site";
    let out = file.to_str().unwrap();
    let (code, _, err) = run(&root(), &["handover", site, "--out", out]);
    assert_eq!(code, 2, "{err}");
    assert!(err.contains(&format!("{out} is a file")), "{err}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "");
    let out = folder.path().join("out");
    let out = out.to_str().unwrap();
    for (path, wanted) in
        [("examples/sites", 2), ("examples/parts/general.site", 2), ("no-such.site", 3)]
    {
        let (code, _, err) = run(&root(), &["handover", path, "--out", out]);
        assert_eq!(code, wanted, "{path}: {err}");
        assert!(err.contains(path), "{err}");
    }
    assert!(!Path::new(out).exists());
}

const SITE: &str = "# The site of a test.\nuse \"../parts/general.site\"\nuse \"../policy/house.site\"\n\nsite a \"A\" {\n    timezone  Europe/Lisbon\n    ambient   0 to 30 degC\n    people    keeper\n}\n\nsupply main is boxed-supply-12v-5a {\n    battery  sealed-17ah\n}\n\ncontroller head is io-expander-4-in-3-out {\n    fed   from main over 2 m of pair-1.0\n}\n\n# It sticks in winter.\nzone desk is panic-button {\n    purpose    panic\n    wired      to head.in1 over 18 m of six-core-0.22  # blue cores\n    ends       in 2.2 kohm +-1 %, across 4.7 kohm +-1 %\n    armed      always\n    lockout    5 s\n}\n\nresponse to desk {\n    tell    keeper\n}\n";

#[test]
fn a_filled_sheet_comes_back_as_readings_and_check_holds_them_against_the_windows() {
    let folder = workspace(SITE);
    let (code, told, _) = run(folder.path(), &["handover", DAY, "sites/a.site", "--out", "out"]);
    assert_eq!(code, 0, "{told}");
    let sheet = fs::read_to_string(folder.path().join("out/commissioning.csv")).unwrap();
    let fills = [
        (",head.in1,resting", "\"4,71\""),
        (",head.in1,active", "2.9"),
        (",main,floating", "13.65 V"),
    ];
    let fill = |line: &str| {
        let found = fills.iter().find(|(end, _)| line.ends_with(end));
        found.map_or_else(
            || line.to_owned(),
            |(_, reading)| line.replacen(",,,,,a,", &format!(",{reading},yes,ab,2026-11-02,a,"), 1),
        )
    };
    let lines: Vec<String> = sheet.lines().map(fill).collect();
    let filled = lines.join("\r\n");
    assert_eq!(filled.matches(",yes,ab,").count(), 3, "{sheet}");
    fs::write(folder.path().join("readings.csv"), filled).unwrap();
    let (code, told, err) = run(folder.path(), &["record", "readings.csv"]);
    assert_eq!((code, err.as_str()), (1, ""), "{told}");
    assert!(
        told.contains("added: head.in1 resting 4.71 kohm, within 4.607 kohm to 4.798 kohm\n"),
        "{told}"
    );
    assert!(told.contains("3 added, 0 replaced, 0 known; 1 outside"), "{told}");
    let wanted = format!(
        "{SITE}\nmeasured 2026-11-02 {{\n    head.in1      resting 4.71 kohm\n    head.in1      active 2.9 kohm\n    main          floating 13.65 V\n}}\n"
    );
    let path = folder.path().join("sites/a.site");
    assert_eq!(fs::read_to_string(&path).unwrap(), wanted);
    let (code, found, _) = run(folder.path(), &["check", DAY, "sites/a.site"]);
    assert_eq!(code, 1);
    assert!(found.contains("reading-out-of-window") && found.contains("2.9 kohm"), "{found}");
    // Once more changes nothing.
    let (_, told, _) = run(folder.path(), &["record", "readings.csv"]);
    assert!(told.contains("0 added, 0 replaced, 3 known"), "{told}");
    assert_eq!(fs::read_to_string(&path).unwrap(), wanted);
    // And the file stands in the one style still.
    assert_eq!(run(folder.path(), &["format", "--check", "sites/a.site"]).0, 0);
}

#[test]
fn a_sheet_that_does_not_fit_changes_nothing() {
    let folder = workspace(SITE);
    let path = folder.path().join("sites/a.site");
    for (sheet, code, why) in [
        ("a,b\n1,2\n", 3, "no line with the heads"),
        ("at,condition,reading\nhead.in1,resting,\n", 2, "no reading is filled in yet"),
        ("at,condition,reading,site\nhead.in9,resting,4 kohm,a\n", 1, "nothing `head.in9`"),
        ("at,condition,reading,site\nhead.in1,resting,4 kohm,b\n", 2, "no site `b` around here"),
        (
            "at,condition,reading,site\nhead.in1 }\nallow,resting,4 kohm,a\n",
            2,
            "`allow` is no name",
        ),
        (
            "at,condition,reading,site\n\"head.in1 }\",resting,4 kohm,a\n",
            2,
            "no name of a terminal",
        ),
        ("at,condition,reading,site\nhead.in1,asleep,4 kohm,a\n", 2, "`asleep` is no condition"),
        ("at,condition,reading,site\nhead.in1,cut,OL,a\n", 2, "measure volts"),
    ] {
        fs::write(folder.path().join("readings.csv"), sheet).unwrap();
        let (ended, _, err) = run(folder.path(), &["record", "readings.csv"]);
        assert_eq!(ended, code, "{sheet}: {err}");
        assert!(err.contains(why), "{sheet}: {err}");
        assert_eq!(fs::read_to_string(&path).unwrap(), SITE);
    }
    fs::write(folder.path().join("readings.csv"), [0xff, 0xfe, b'a', 0]).unwrap();
    assert_eq!(run(folder.path(), &["record", "readings.csv"]).0, 3);
}

/// The terminals of one site are not those of another, whatever they are called.
#[test]
fn a_sheet_of_another_site_is_not_taken() {
    let folder = workspace(SITE);
    let path = folder.path().join("sites/a.site");
    let sheet =
        |site: &str| format!("at,condition,reading,site\nhead.in1,resting,4.7 kohm,{site}\n");
    let record = |text: String| {
        fs::write(folder.path().join("readings.csv"), text).unwrap();
        run(folder.path(), &["record", "readings.csv", "--site", "sites/a.site", DAY])
    };
    let (code, _, err) = record(sheet("b"));
    assert_eq!(code, 2, "{err}");
    assert!(err.contains("the sheet is of site `b`, and sites/a.site is site `a`"), "{err}");
    assert_eq!(fs::read_to_string(&path).unwrap(), SITE);
    let (code, _, err) = record(sheet("a"));
    assert_eq!(code, 0, "{err}");
    assert_ne!(fs::read_to_string(&path).unwrap(), SITE);
}

#[test]
fn what_cannot_be_taken_is_told_with_its_line_and_the_others_are_taken() {
    let folder = workspace(SITE);
    let sheet = "at,condition,reading,site\nhead.in9,resting,4 kohm,a\nhead.in1,resting,4.5 kohm,a\nhead.in1,cut,OL,a\n,,12.5,a\nhead.in1,resting,4.7 kohm,a\nmain,floating,13.6 V,a\nmain,floating,13.6 V,a\n";
    fs::write(folder.path().join("readings.csv"), sheet).unwrap();
    let (code, told, err) = run(folder.path(), &["record", "readings.csv", DAY]);
    assert_eq!(code, 1, "{told}");
    let lines = err.lines().map(|line| line.trim_start_matches("curtilage: "));
    assert_eq!(
        lines.collect::<Vec<_>>(),
        [
            "readings.csv, line 4: an open circuit has no figure: measure volts with the wires on",
            "readings.csv, line 3: `head.in1 resting 4.5 kohm` gives way to line 6, which has 4.7 kohm for it",
            "readings.csv, line 5: `12.5` is not taken: nothing is measured there",
            "readings.csv, line 2: the site has nothing `head.in9` that could be measured",
        ]
    );
    assert!(told.contains("sites/a.site: 2 added, 0 replaced, 0 known; 0 outside"), "{told}");
    let wanted = format!(
        "{SITE}\nmeasured 2026-11-25 {{\n    head.in1      resting 4.7 kohm\n    main          floating 13.6 V\n}}\n"
    );
    assert_eq!(fs::read_to_string(folder.path().join("sites/a.site")).unwrap(), wanted);
}

#[test]
fn a_reading_is_within_the_window_that_is_printed_beside_it() {
    let folder = workspace(SITE);
    assert_eq!(run(folder.path(), &["handover", DAY, "sites/a.site", "--out", "out"]).0, 0);
    let paper = fs::read_to_string(folder.path().join("out/commissioning.csv")).unwrap();
    // Beyond 4.75 kohm, what the loop can have, by less than the meter's 1 % and its leads' half ohm.
    let sheet =
        "at,condition,reading,site\nhead.in1,resting,4.79 kohm,a\nhead.in1,shorted,0.3 ohm,a\n";
    fs::write(folder.path().join("readings.csv"), sheet).unwrap();
    let (code, told, _) = run(folder.path(), &["record", "readings.csv", DAY]);
    assert_eq!(code, 0, "{told}");
    for (reading, window) in [
        ("head.in1 resting 4.79 kohm", "within 4.607 kohm to 4.798 kohm"),
        ("head.in1 shorted 0.3 ohm", "within 0 ohm to 3.981 ohm"),
    ] {
        assert!(told.contains(&format!("{reading}, {window}\n")), "{told}");
        assert!(paper.contains(&format!(", {window}; ")), "{window}: {paper}");
    }
}

#[test]
fn a_reading_is_not_put_into_a_file_that_it_would_break() {
    // The last brace is missing: a block behind it would belong to the response.
    let broken = SITE.trim_end().trim_end_matches('}');
    let folder = workspace(broken);
    let sheet = "at,condition,reading,site\nhead.in1,resting,4.7 kohm,a\n";
    fs::write(folder.path().join("readings.csv"), sheet).unwrap();
    let (code, _, err) = run(folder.path(), &["record", "readings.csv", DAY]);
    assert_eq!(code, 1);
    assert!(err.contains("mend it first"), "{err}");
    let path = folder.path().join("sites/a.site");
    assert_eq!(fs::read_to_string(&path).unwrap(), broken);
}

/// The drawings that the documentation shows are those of the example, written anew when they are
/// not: `cargo test -p curtilage-cli --test papers pictures`.
#[test]
fn pictures_of_the_documentation_are_those_of_the_example() {
    let (_, files) = papers("examples/sites/saltmarsh-creamery.site");
    let folder = root().join("docs/pictures");
    let mut stale = Vec::new();
    for name in ["wiring-head", "wiring-desk", "cause-and-effect-graph", "week", "rehearsal-2"] {
        let drawn = &files[&format!("drawings/{name}.svg")];
        let path = folder.join(format!("creamery-{name}.svg"));
        if fs::read_to_string(&path).ok().as_ref() != Some(drawn) {
            fs::create_dir_all(&folder).unwrap();
            fs::write(&path, drawn).unwrap();
            stale.push(name);
        }
    }
    assert!(stale.is_empty(), "written anew: {stale:?}");
}

#[test]
fn a_folder_that_cannot_be_made_is_named_once() {
    let folder = workspace(SITE);
    let arguments = ["handover", DAY, "sites/a.site", "--out", "sites/a.site/papers"];
    let (code, _, err) = run(folder.path(), &arguments);
    assert_eq!(code, 3);
    let wanted =
        "curtilage: sites/a.site/papers: Not a directory (os error 20); nothing was changed\n";
    assert_eq!(err, wanted);
}
