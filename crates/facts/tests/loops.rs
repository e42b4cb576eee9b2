//! Loops and readings, against the reference's section 7. Marks as in the reference.
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

mod support;

use curtilage_facts::{Facts, Like, Loop, LoopFault, StateName};
use support::{near, with, with_parts};

fn site(input: &str, ends: &str, sensor: &str, more: &str) -> String {
    format!(
        "site barn {{ timezone Europe/London\n ambient 20 degC to 20 degC\n }}
part box is controller {{ inputs in1\n {input}\n }}
part contact is sensor {{ rests {sensor}\n active until restored\n contact 0.1 A at 24 V dc resistive, 1 mohm\n }}
part flex is cable {{ resistance 90 ohm/km }}
supply main is source
part source is supply {{ gives 12 V dc }}
controller head is box {{ fed from main }}
zone door is contact {{ purpose intrusion\n wired to head.in1\n {ends}\n armed always\n }}
{more}\n"
    )
}

#[track_caller]
fn seen<'f, 'a>(facts: &'f Facts<'_, 'a>) -> &'f Loop<'a> {
    facts.loops[0].as_ref().unwrap()
}

/// `csv/eol_states.csv` of the reference (X): 5 V behind 4.7 kohm. One resistor: 0 V, 2.5 V, 5 V.
/// Two resistors on a contact that rests closed: 0 V, 2.5 V, 3.333 V, 5 V.
#[test]
fn one_and_two_end_resistors_in_volts_x() {
    let input = "input pull-up 5 V 4.7 kohm, closed below 3 V, open above 3.1 V";
    let volts =
        |facts: &Facts<'_, '_>, name| seen(facts).state(name).unwrap().nominal_volts.unwrap();
    with(&[&site(input, "ends across 4.7 kohm", "open", "")], |facts| {
        near(volts(facts, StateName::Resting), 2.5, 1e-9);
        near(volts(facts, StateName::Cut), 5.0, 1e-12);
        assert!(volts(facts, StateName::Shorted).abs() < 1e-12);
    });
    with(&[&site(input, "ends across 4.7 kohm, in 4.7 kohm", "closed", "")], |facts| {
        near(volts(facts, StateName::Resting), 2.5, 1e-6);
        near(volts(facts, StateName::Active), 10.0 / 3.0, 1e-9);
        near(volts(facts, StateName::Cut), 5.0, 1e-12);
        assert_eq!(seen(facts).fault(), None);
    });
}

/// The zone table of SIA CP-01, draft of 2009 (S): 0 to 120, 190 to 3000 and 7800 ohm or more.
#[test]
fn the_zone_table_of_cp_01_s() {
    let input = "input shorted below 120 ohm, closed 190 ohm to 3 kohm, cut above 7.8 kohm, open 3.5 kohm to 7 kohm";
    let fault = |ends: &str| with(&[&site(input, ends, "closed", "")], |facts| seen(facts).fault());
    assert_eq!(fault("ends across 2.2 kohm, in 2.2 kohm"), None);
    // A loop of 150 ohm lies in the gap, one without a resistor looks like a short.
    assert_eq!(
        fault("ends across 4.7 kohm, in 150 ohm"),
        Some(LoopFault::OutOfBand(StateName::Resting))
    );
    assert_eq!(
        fault("ends none"),
        Some(LoopFault::Overlap(StateName::Resting, StateName::Shorted))
    );
}

/// A plain input tells no cut wire, and that is no fault.
#[test]
fn a_plain_input_has_nothing_to_tell_apart_but_open_and_closed() {
    let input = "input closed below 1 kohm, open above 20 kohm";
    for rests in ["open", "closed"] {
        with(&[&site(input, "", rests, "")], |facts| assert_eq!(seen(facts).fault(), None));
    }
    with(&[&site(input, "ends in 470 ohm", "closed", "")], |facts| {
        assert_eq!(seen(facts).fault(), None);
    });
    with(&[&site(input, "ends across 100 ohm", "closed", "")], |facts| {
        assert_eq!(seen(facts).fault(), Some(LoopFault::NeverActive(0)));
    });
}

/// Corners by hand: 2.2 kohm and 4.7 kohm of 1 %, 50 m of 90 ohm/km out and back, which may have
/// anything up to 9 ohm, and a contact of up to 1 mohm.
#[test]
fn windows_go_from_corner_to_corner() {
    let input = "input closed below 2 kohm, open above 4 kohm";
    let text = site(input, "ends in 2.2 kohm +-1 %, across 4.7 kohm +-1 %", "open", "");
    let text = text
        .replace("wired to head.in1", "wired to head.in1 over 50 m of flex, 2 joints of 0.1 ohm");
    with(&[&text], |facts| {
        let rest = seen(facts).state(StateName::Resting).unwrap();
        near(rest.ohms.lo(), 4653.0, 1e-12);
        near(rest.ohms.hi(), 4747.0 + 9.0 + 0.2, 1e-12);
        near(rest.nominal, 4709.2, 1e-12);
        let active = seen(facts).state(StateName::Active).unwrap();
        near(active.ohms.lo(), 2178.0 * 4653.0 / (2178.0 + 4653.0), 1e-12);
        let (a, b) = (2222.001, 4747.0);
        near(active.ohms.hi(), a * b / (a + b) + 9.2, 1e-12);
    });
}

/// Without a tolerance a resistor counts as exact, and the working says so.
#[test]
fn an_exact_resistor_is_said_to_be_taken_as_exact() {
    let input = "input closed below 2 kohm, open above 4 kohm";
    with(&[&site(input, "ends in 1 kohm", "closed", "")], |facts| {
        let seen = seen(facts);
        let steps = seen.working(facts.model, seen.state(StateName::Resting).unwrap());
        let inputs: Vec<&str> =
            steps.iter().flat_map(|step| &step.inputs).map(|input| input.value.as_str()).collect();
        assert!(inputs.contains(&"1000 ohm, taken as exact: no tolerance given"), "{inputs:?}");
    });
}

/// A joint without a resistance has that of the policy.
#[test]
fn joints_come_from_the_policy() {
    let text = site("input closed below 2 kohm", "", "closed", "policy house { joint 20 mohm }")
        .replace("wired to head.in1", "wired to head.in1 over 10 m of flex, 3 joints");
    with(&[&text], |facts| near(seen(facts).seen().cable().hi(), 1.8 + 0.06, 1e-12));
}

/// The tamper contact in the loop of the language guide: 2.2, 4.4, 6.9 and 9.1 kohm. Of the 2 ohm that it
/// has at most, half is counted.
#[test]
fn a_tamper_contact_in_the_loop() {
    let site = r#"
site barn { timezone Europe/London
    ambient 10 to 30 degC
}
supply main is boxed-supply-12v-5a
controller head is panel-16-in-6-out { fed from main }
zone rail is foot-rail { purpose panic
    wired to head.in1
    ends across 2.2 kohm +-1 %, in (tamper across 4.7 kohm +-1 %), in 2.2 kohm +-1 %
    armed always
}
"#;
    with_parts(site, |facts| {
        let seen = seen(facts);
        let nominal = |name| seen.state(name).unwrap().nominal;
        near(nominal(StateName::Resting), 2200.0, 6e-4);
        near(nominal(StateName::Active), 4400.0, 6e-4);
        near(nominal(StateName::Tamper), 6900.0, 6e-4);
        near(nominal(StateName::ActiveTamper), 9100.0, 6e-4);
        assert_eq!(seen.fault(), None);
    });
}

/// What is proposed fits.
#[test]
fn what_is_proposed_fits() {
    let input = "input shorted below 400 ohm, closed 1.2 kohm to 1.8 kohm, open 4 kohm to 5.6 kohm, cut above 15 kohm";
    for (ends, rests) in [
        ("ends in 1 kohm +-1 %, across 10 kohm +-1 %", "open"),
        ("ends in 2.2 kohm +-1 %, across 3.3 kohm +-5 %", "closed"),
        ("", "open"),
        ("", "closed"),
    ] {
        let fit = with(&[&site(input, ends, rests, "")], |facts| {
            assert!(seen(facts).fault().is_some(), "{ends}");
            seen(facts).fit(facts.model, facts.model.zones[0].tree.ends.as_ref()).unwrap().text
        });
        with(&[&site(input, &fit, rests, "")], |facts| {
            assert_eq!(seen(facts).fault(), None, "{fit}");
        });
    }
}

fn reading(line: &str) -> (bool, Vec<String>) {
    let input = "input pull-up 12 V 4.7 kohm, shorted below 400 ohm, closed 1.2 kohm to 1.8 kohm, open 4 kohm to 5.6 kohm, cut above 15 kohm";
    let ends = "ends in 2.2 kohm +-1 %, across 4.7 kohm +-1 %";
    let measured = format!("measured 2026-11-02 {{\n head.in1 {line}\n }}");
    with(&[&site(input, ends, "open", &measured)], |facts| {
        let held = &facts.readings[0];
        let like = held.like.iter().map(|like| match like {
            Like::State(name) => format!("{name:?}"),
            Like::Line(line) => format!("{line:?}"),
            Like::Resistor(resistor, fault) => format!("{} {fault:?}", resistor.ohm),
            Like::InLine(name, more) => format!("{name:?} and {more:.1} ohm"),
            Like::Nearest(name) => format!("near {name:?}"),
        });
        (held.outside, like.collect())
    })
}

/// Readings and the single fault that each reads like, by hand: 2.2 kohm in the line, 4.7 kohm
/// across, a contact that rests open.
#[test]
fn readings_and_what_they_read_like() {
    let fits = (false, Vec::new());
    assert_eq!(reading("resting 4.71 kohm"), fits);
    // Half a per cent below the window is within the meter's error.
    assert_eq!(reading("resting 4.63 kohm"), fits);
    assert_eq!(reading("cut 4 Mohm"), fits);
    assert_eq!(reading("shorted 0.4 ohm"), fits);
    assert_eq!(reading("active 5.1 V"), (true, vec!["near Resting".to_owned()]));
    assert_eq!(reading("resting 6 V"), fits);
    let like = |line: &str| {
        let (outside, like) = reading(line);
        assert!(outside, "{line}");
        like
    };
    assert_eq!(like("resting 1.5 kohm"), ["Active"]);
    assert_eq!(like("resting 8 Mohm"), ["Cut", "4700 Open"]);
    assert_eq!(like("active 2.2 kohm"), ["4700 Open"]);
    assert!(like("active 4.7 kohm").contains(&"2200 Open".to_owned()));
    assert!(like("active 4.7 kohm").contains(&"Resting".to_owned()));
    assert_eq!(like("resting 3 kohm"), ["near Active"]);
}

/// Supplies, controllers and outputs: 10.5 V to 13.8 V on battery, 13.5 V to 13.8 V on mains less the
/// internal drop.
#[test]
fn voltages_of_the_network() {
    let outside = |lines: &str| {
        let site = format!(
            "site barn {{ timezone Europe/London\n ambient 10 to 30 degC\n }}
supply main is boxed-supply-12v-5a {{ battery sealed-17ah }}
controller head is recorder-4-in-2-out {{ fed from main over 20 m of pair-1.0 }}
measured 2026-11-02 {{\n{lines}\n}}\n"
        );
        with_parts(&site, |facts| {
            facts.readings.iter().map(|held| held.outside).collect::<Vec<_>>()
        })
    };
    let lines = "main floating 13.6 V\n main floating 12.4 V\n main on-battery 12.4 V\n main on-battery 9 V\n head resting 12.9 V\n head resting 11.8 V\n head on-battery 10.6 V";
    assert_eq!(outside(lines), [false, true, false, true, false, true, false]);
}

/// On battery a supply has what the network leaves it: 10.5 V - 0.9 A x 40 mohm = 10.464 V, and not what
/// its rated 5 A would; of one that has to give 2.5 A, rated 2 A, 10.5 V - 2.5 A x 60 mohm = 10.35 V. A meter
/// is right to 1 %. Where it is not known what is drawn, the rated current counts.
#[test]
fn a_supply_on_battery_against_its_network() {
    let outside = |part: &str, load: &str, volts: f64| {
        let site = format!(
            "site barn {{ timezone Europe/London\n ambient 10 to 30 degC\n }}
part box is controller {{ {load}\n }}
supply main is {part} {{ battery sealed-17ah }}
controller head is box {{ fed from main }}
measured 2026-11-02 {{\n main on-battery {volts} V\n}}\n"
        );
        with_parts(&site, |facts| facts.readings[0].outside)
    };
    let (large, small) = ("boxed-supply-12v-5a", "boxed-supply-12v-2a");
    let draws = |amps: &str| format!("draws {amps} at 9 V to 15 V dc");
    assert!(!outside(large, &draws("0.9 A"), 10.464 / 1.01 + 0.001));
    assert!(outside(large, &draws("0.9 A"), 10.464 / 1.01 - 0.001));
    assert!(!outside(small, &draws("2.5 A"), 10.35 / 1.01 + 0.001));
    assert!(outside(small, &draws("2.5 A"), 10.35 / 1.01 - 0.001));
    assert!(!outside(large, "settles in 10 ms", 10.3 / 1.01 + 0.001));
}
