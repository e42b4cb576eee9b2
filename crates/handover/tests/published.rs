//! Worked examples from books and standards, as sites: the papers show the published figures.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test")]

use curtilage_facts::{Facts, Options};
use curtilage_handover::{Papers, Table};
use curtilage_project::{Loader, scope};
use curtilage_syntax::tree::Date;

/// The tables of the papers of a site, by the name of their file.
fn tables(site: &str) -> Vec<Table> {
    let folder = std::path::PathBuf::from("/nowhere");
    let path = folder.join("a.site");
    let mut loader = Loader::new(folder);
    loader.overlay(path.clone(), site.as_bytes().to_vec());
    let scope = scope(&loader, &path).unwrap();
    let model = curtilage_model::build(&scope);
    let today = Date { year: 2026, month: 11, day: 25 };
    let papers = Papers::new(&Facts::new(&model, Options { today }), None).unwrap();
    papers.sections.into_iter().flat_map(|section| section.tables).collect()
}

/// The cells of the row of a table that begins with a text.
#[track_caller]
fn row(tables: &[Table], table: &str, first: &str) -> Vec<String> {
    let found = tables.iter().find(|one| one.id == table);
    let found = found.unwrap_or_else(|| {
        panic!("{table}: {:?}", tables.iter().map(|table| &table.id).collect::<Vec<_>>())
    });
    let row = found.rows.iter().find(|row| row[0].text == first);
    let row = row.unwrap_or_else(|| panic!("{first} in {:#?}", found.rows));
    row.iter().map(|cell| cell.text.clone()).collect()
}

#[track_caller]
fn noted(tables: &[Table], table: &str, note: &str) {
    let found = tables.iter().find(|one| one.id == table).unwrap();
    assert!(found.notes.iter().any(|one| one.text == note), "{:#?}", found.notes);
}

/// NFPA 72, secondary supply: (Isb x 24 h + Ial x 5 min) x factor; with 0.42 A and 3.8 A
/// 10.3967 Ah before the factor, 12.476 Ah with 1.20 (to 2019), 12.9958 Ah with 1.25 (from 2022)
/// (open-exam-prep.com, C; recalculated, X).
#[test]
fn standby_arithmetic_of_nfpa_72() {
    for (factor, wanted) in [("1.2", "12.48 Ah"), ("1.25", "13 Ah"), ("1", "10.4 Ah")] {
        let tables = tables(&format!(
            "policy p {{\n    standby at least 24 h\n    alarm-time at least 5 min\n    plain-sum factor {factor}\n}}
part psu is supply {{\n    gives 12 V to 12 V dc, at most 8 A\n    empty at 10.5 V\n    charges at most 1 A\n}}
part cell is battery {{\n    holds 18 Ah over 20 h\n    voltage 12 V\n    peukert 1.2\n}}
part panel is controller {{\n    relays r1 make\n    relay 8 A at 30 V dc resistive\n    on-time hold from registration\n    draws 0.42 A at 9 V to 15 V dc, constant current\n    inputs in1 common c\n    repeats once an activation\n}}
part bells is load {{\n    draws 3.38 A at 9 V to 15 V dc, constant current\n    resistive\n}}
part push is sensor {{\n    rests open\n    active while held\n}}
site s {{\n    ambient 20 to 20 degC\n}}
supply main is psu {{\n    battery cell\n}}
controller head is panel {{\n    fed from main\n}}
zone z is push {{\n    wired to head.in1\n    armed always\n}}
output all drives bells {{\n    through head.r1\n    fed from main\n}}
response to z {{\n    close all for 5 min\n}}\n"
        ));
        let cell = |first| row(&tables, "battery-main", first)[1].clone();
        assert_eq!(cell("current at rest"), "0.42 A");
        assert_eq!(cell("current in alarm"), "3.8 A");
        assert_eq!(cell("plain sum of ampere-hours"), wanted, "factor {factor}");
    }
}

/// A site with one load at the end of one run.
fn one_run(volts: &str, ambient: &str, run: &str, cable: &str, load: &str) -> Vec<Table> {
    tables(&format!(
        "part psu is supply {{\n    gives {volts} to {volts} dc, at most 100 A\n}}
part wire is cable {{\n    cores 2\n    {cable}\n}}
part eye is camera {{\n    draws {load}\n}}
site s {{\n    ambient {ambient}\n}}
supply main is psu {{\n}}
part recorder is controller {{\n    channels c1\n    draws 0 A at 1 V to 300 V dc, constant current\n}}
controller head is recorder {{\n    fed from main\n}}
camera lamp is eye on head.c1 {{\n    fed from main over {run} of wire\n}}\n"
    ))
}

/// Kuphaldt, Lessons In Electric Circuits, volume DC, chapter on conductors (C): 14 V, 15 ohm each
/// way, a load of 250 ohm: 50 mA, 0.75 V lost in each wire, 12.5 V at the load at 20 degC; 12.42 V
/// at 35 degC.
#[test]
fn voltage_drop_of_lessons_in_electric_circuits() {
    let site = |ambient| {
        one_run(
            "14 V",
            ambient,
            "100 m",
            "resistance 150 ohm/km",
            "50 mA at 5 V to 12.5 V dc, resistive",
        )
    };
    let cold = site("20 to 20 degC");
    let drop = row(&cold, "drop-main", "feed of lamp");
    assert_eq!(drop[2..], ["30 ohm", "50 mA", "", "1.5 V", "12.5 V"]);
    let warm = site("35 to 35 degC");
    assert_eq!(row(&warm, "drop-main", "feed of lamp")[6], "12.42 V");
    assert_eq!(row(&warm, "supply-main", "lamp")[3], "12.42 V");
}

/// The same book: 2300 ft of 14 AWG, 5.651 ohm a wire, 11.301 ohm for both (C); 230 V and 0.2 ohm a
/// wire for 25 A leave 220 V.
#[test]
fn long_runs_of_lessons_in_electric_circuits() {
    let stated = "resistance 2.457 ohm/kft";
    let site = one_run(
        "230 V",
        "20 to 20 degC",
        "2300 ft",
        stated,
        "1 A at 100 V to 240 V dc, constant current",
    );
    assert_eq!(row(&site, "drop-main", "feed of lamp")[2], "11.3 ohm");
    let thick = "resistance 0.0869565217 ohm/kft";
    let site = one_run(
        "230 V",
        "20 to 20 degC",
        "2300 ft",
        thick,
        "25 A at 100 V to 240 V dc, constant current",
    );
    assert_eq!(
        row(&site, "drop-main", "feed of lamp")[2..],
        ["0.4 ohm", "25 A", "", "10 V", "220 V"]
    );
}

/// IEC 60228 class 5 (C): 0.5 mm2 has 39.0 ohm/km; 30 m out and back with 0.4 A lose 0.936 V (X).
#[test]
fn voltage_drop_of_a_standard_size() {
    let site = one_run(
        "12 V",
        "20 to 20 degC",
        "30 m",
        "conductor 0.5 mm2 class 5",
        "0.4 A at 9 V to 15 V dc, constant current",
    );
    assert_eq!(
        row(&site, "drop-main", "feed of lamp")[2..],
        ["2.34 ohm", "0.4 A", "", "0.936 V", "11.06 V"]
    );
}

/// Video storage (X, SI prefixes): 4 Mbit/s is 43.2 GB a day; 8 channels of it for 30 d are
/// 10.368 TB.
#[test]
fn storage_of_eight_channels() {
    let mut site = String::from(
        "part box is controller {\n    channels c1 to c8\n}\nsite s {\n}\ncontroller nvr is box {\n}\n",
    );
    for channel in 1..=8 {
        site.push_str(&format!(
            "camera k{channel} on nvr.c{channel} {{\n    bit-rate 4 Mbit/s\n}}\n"
        ));
    }
    site.push_str("recording nvr {\n    keep continuous of k1, k2, k3, k4, k5, k6, k7, k8\n    store 10.368 TB, at least 30 d\n}\n");
    let tables = tables(&site);
    assert_eq!(row(&tables, "footage-1-nvr", "k3")[4], "43.2 GB");
    noted(&tables, "footage-1-nvr", "345.6 GB a day in all");
    noted(&tables, "footage-1-nvr", "10.37 TB last 30 d");
    noted(&tables, "footage-1-nvr", "the plan wants at least 30 d");
}
