//! The networks of supplies, against examples worked by hand or in a named book. The marks are
//! those of the reference: C confirmed, X calculated, S secondary, M from memory.
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

mod support;

use curtilage_facts::Consumer;
use curtilage_model::ReadingAt;
use curtilage_syntax::tree::measured::Condition;
use curtilage_units::Dimension;
use support::{near, power, volts, with, with_parts};

/// Kuphaldt, Lessons In Electric Circuits, DC, "Conductor resistance" (C at 20 degC, X at 35 degC
/// with 0.00393/K): 14 V, 15 ohm a wire, a load of 250 ohm. At 20 degC 50 mA, 0.75 V a wire, 12.5 V
/// at the load. At 35 degC 15.884 ohm a wire.
#[test]
fn kuphaldt_250_ohm_behind_15_ohm_a_wire_c() {
    let site = r#"
site barn { timezone Europe/London
    ambient 20 to 35 degC
}
part source is supply { gives 14 V dc, at most 1 A }
part wire is cable { resistance 15 ohm/km }
part lamp-box is controller { draws 56 mA at 6 V to 14 V dc, resistive }
supply main is source
controller lamp is lamp-box { fed from main over 1000 m of wire }
"#;
    with(&[site], |facts| {
        let (low, high) = volts(facts, "main", "lamp");
        near(high, 12.5, 1e-12);
        let per_wire = 15.0 * (1.0 + 0.003_93 * 15.0);
        near(per_wire, 15.884_25, 1e-9);
        near(low, 14.0 * 250.0 / (250.0 + 2.0 * per_wire), 1e-12);
        let best = power(facts, "main").best.as_ref().unwrap();
        near(best.amps(0).unwrap(), 0.05, 1e-12);
    });
}

/// The reference's example for 12 V (X): 0.5 mm2 class 5, 30 m, 0.4 A: 2.34 ohm, 0.936 V, 7.8 %.
#[test]
fn half_a_square_millimetre_over_30_m_x() {
    let site = r#"
site barn { timezone Europe/London
    ambient 20 degC to 20 degC
}
part source is supply { gives 12 V dc }
part flex is cable { conductor 0.5 mm2 class 5 }
part box is controller { draws 0.4 A at 9 V to 14 V dc }
supply main is source
controller head is box { fed from main over 30 m of flex }
"#;
    with(&[site], |facts| {
        let power = power(facts, "main");
        near(power.branches[0].ohm(20.0), 2.34, 1e-12);
        let (low, _) = volts(facts, "main", "head");
        near(12.0 - low, 0.936, 1e-12);
        near((12.0 - low) / 12.0, 0.078, 1e-12);
    });
}

/// The end of discharge counts with a battery only, and acts behind the internal resistance.
#[test]
fn the_lowest_voltage_is_the_end_of_discharge_behind_the_internal_resistance() {
    let site = |battery: &str| {
        format!(
            "site barn {{ timezone Europe/London\n ambient 10 to 30 degC\n }}
supply main is boxed-supply-12v-5a {{ {battery} }}
controller head is recorder-4-in-2-out {{ fed from main }}\n"
        )
    };
    with_parts(&site("battery sealed-17ah"), |facts| {
        // 10.5 V - 0.9 A * 40 mohm, 13.8 V - 0.9 A * 40 mohm.
        let (low, high) = volts(facts, "main", "head");
        near(low, 10.464, 1e-12);
        near(high, 13.764, 1e-12);
    });
    with_parts(&site(""), |facts| near(volts(facts, "main", "head").0, 13.464, 1e-12));
}

/// The highest voltage is that at which least is drawn: a lock that is held at rest is let go.
#[test]
fn the_highest_voltage_is_that_with_a_held_lock_let_go() {
    let site = r#"
site barn { timezone Europe/London
    ambient 10 to 30 degC
}
supply main is boxed-supply-12v-5a { battery sealed-17ah }
controller head is recorder-4-in-2-out { fed from main }
zone button is door-reed { purpose command
    wired to head.in1
    armed always
}
output lock drives magnetic-lock-12v { through head.relay1 opening
    fed from main
}
"#;
    // Nothing opens the lock: 13.8 V behind 40 mohm with the lock, which draws about 0.5 A, beside 0.9 A.
    with_parts(site, |facts| assert!(volts(facts, "main", "head").1 < 13.75));
    let opened = format!("{site}response to button {{ open lock for 10 s }}\n");
    // 13.8 V - 0.9 A * 40 mohm.
    with_parts(&opened, |facts| near(volts(facts, "main", "head").1, 13.764, 1e-12));
}

const SWITCHED: &str = r#"
site barn { timezone Europe/London
    ambient 10 to 30 degC
}
supply main is boxed-supply-12v-5a { battery sealed-17ah }
controller head is recorder-4-in-2-out { fed from main }
controller expander is panel-8-in-4-out { fed from main }
zone door is door-reed { purpose intrusion
    wired to head.in1
    armed always
}
relay watch is relay-12v-16a { through expander.relay1 opening
    fed from main
}
# On while `watch` has let go, so only when the controller calls.
output call-horn drives horn-12v { through watch opening
    fed from main
}
# The two sides of one contact.
output lock drives magnetic-lock-12v { through head.relay1 opening
    fed from main
}
output flash drives strobe-12v { through head.relay1 closing
    fed from main
}
output idle drives horn-12v { through head.relay2 closing
    fed from main
}
output held drives sounder-12v { through expander.relay2 closing
    fed from main
    mode forced on
}
output silenced drives siren-12v-large { through expander.relay3 closing
    fed from main
    mode forced off
}
response to door { close call-horn for 3 min
    close flash for 3 min
    close silenced for 3 min
}
"#;

/// What is on at rest and in the worst case, with its amperes: a relay held at rest and its load,
/// the two sides of one contact, forced outputs, and one that nothing switches.
#[test]
fn what_can_be_on_together() {
    with_parts(SWITCHED, |facts| {
        let power = power(facts, "main");
        let on = |case: &curtilage_facts::Case| {
            let on = power.drawings.iter().filter(|drawing| case.scene.is_on(drawing));
            on.map(|drawing| drawing.of.name(facts.model).text.to_owned()).collect::<Vec<_>>()
        };
        let (quiet, worst) = (power.quiet.as_ref().unwrap(), power.worst.as_ref().unwrap());
        assert_eq!(on(quiet), ["head", "expander", "lock", "held", "watch"]);
        // The horn (0.45 A) outweighs the coil (75 mA); the lock outweighs the strobe.
        assert_eq!(on(worst), ["head", "expander", "call-horn", "lock", "held"]);
        // The strobe is on in a case of its own, and draws its 2 mA when it is off.
        let (low, _) = volts(facts, "main", "flash");
        assert!(low > 10.4 && low < 10.5, "{low}");
    });
}

/// A figure that is missing is told, and counted nowhere.
#[test]
fn a_missing_figure_is_not_guessed() {
    let site = r#"
site barn { timezone Europe/London
    ambient 10 to 30 degC
}
part mute is load { resistive }
supply main is boxed-supply-12v-5a
controller head is recorder-4-in-2-out { fed from main over 5 m of plain }
part plain is cable { cores 2 }
zone door is door-reed { purpose intrusion
    wired to head.in1
    armed always
}
output horn drives mute { through head.relay1 closing
    fed from main over 5 m of pair-1.0
}
response to door { close horn for 1 min
}
"#;
    with_parts(site, |facts| {
        let power = power(facts, "main");
        let (of, why) = &power.left_out[0];
        assert!(matches!(of, Consumer::Output(_)));
        assert_eq!(why.to_string(), "not known: the part `mute` gives no `draws`");
        // The current is known, the voltage behind a cable without a size is not.
        near(power.worst.as_ref().unwrap().source_amps().unwrap(), 0.9, 1e-12);
        let why = power.lowest(&power.drawings[0]).unwrap_err();
        assert_eq!(why.because, "the part `plain` gives neither `conductor` nor `resistance`");
    });
}

/// A law turns the figure of one voltage into that of another: without the first there is none.
#[test]
fn a_law_without_its_voltage_is_in_no_sum() {
    let site = |draws: &str| {
        format!(
            "site barn {{ timezone Europe/London\n ambient 10 to 30 degC\n }}
part fire is load {{ draws {draws}\n resistive\n }}
supply main is boxed-supply-12v-5a
controller head is recorder-4-in-2-out {{ fed from main }}
zone door is door-reed {{ purpose intrusion\n wired to head.in1\n armed always\n }}
output heater drives fire {{ through head.relay1 closing\n fed from main\n }}
response to door {{ close heater for 1 min\n }}
"
        )
    };
    for draws in
        ["2 A, resistive", "2 A, constant power", "20 W, resistive", "20 W, constant current"]
    {
        with_parts(&site(draws), |facts| {
            let power = power(facts, "main");
            let why: Vec<&str> =
                power.left_out.iter().map(|(_, why)| why.because.as_ref()).collect();
            assert_eq!(why, ["its sheet gives no voltage for what it draws"], "{draws}");
        });
    }
    for draws in
        ["2 A", "2 A, constant current", "20 W", "20 W, constant power", "2 A at 12 V, resistive"]
    {
        with_parts(&site(draws), |facts| {
            assert!(power(facts, "main").left_out.is_empty(), "{draws}");
        });
    }
}

/// A coil needs the greater of the least voltage at which it works and that at which it pulls in.
#[test]
fn a_coil_has_to_pull_in() {
    for (range, pulls_in, least) in [("6 V to 15 V", 9.0, 9.0), ("10 V to 15 V", 9.0, 10.0)] {
        let site = format!(
            "site barn {{ timezone Europe/London\n ambient 10 to 30 degC\n }}
part late is relay {{ coil 50 mA at {range} dc\n pulls in at {pulls_in} V\n contacts make\n contact 5 A at 30 V dc\n }}
supply main is boxed-supply-12v-5a
controller head is recorder-4-in-2-out {{ fed from main }}
relay one is late {{ through head.relay1 closing\n fed from main\n }}
zone door is door-reed {{ purpose intrusion\n wired to head.in1\n armed always\n }}
output horn drives horn-12v {{ through one closing\n fed from main\n }}
response to door {{ close horn for 1 min\n }}
"
        );
        with_parts(&site, |facts| {
            let power = power(facts, "main");
            let coil = power.drawings.iter().find(|one| matches!(one.of, Consumer::Coil(_)));
            let needs = coil.unwrap().least().unwrap();
            near(needs.volts, least, 1e-12);
            assert_eq!(needs.pulls_in, least == pulls_in);
        });
    }
}

/// What is forced off has no voltage because it never is on, and no other for a cable of 40 km.
#[test]
fn why_an_output_has_no_voltage() {
    for (mode, metres, why) in [
        ("mode forced off", 5, "it never is on"),
        ("mode forced off", 40_000, "it never is on"),
        ("mode automatic", 40_000, "its voltage collapses"),
    ] {
        let site = format!(
            r#"
site barn {{ timezone Europe/London
    ambient 10 to 30 degC
}}
supply main is boxed-supply-12v-5a
controller head is recorder-4-in-2-out {{ fed from main over 5 m of pair-1.0 }}
zone door is door-reed {{ purpose intrusion
    wired to head.in1
    armed always
}}
output horn drives horn-12v {{ through head.relay1 closing
    fed from main over {metres} m of pair-1.0
    {mode}
}}
response to door {{ close horn for 1 min
}}
"#
        );
        with_parts(&site, |facts| {
            let (horn, _) = facts.model.outputs_by_id().next().unwrap();
            let at = ReadingAt::Output(horn);
            let found = facts.expected(at, Condition::Running, Dimension::Voltage);
            assert_eq!(found.unwrap_err().because, why, "{mode}, {metres} m");
        });
    }
}

/// A tapped cable, an outlet and what hangs on them: Kirchhoff by hand.
#[test]
fn taps_and_outlets_add_up() {
    let site = r#"
site barn { timezone Europe/London
    ambient 20 degC to 20 degC
}
part source is supply { gives 12 V dc }
part box is controller { draws 0.3 A at 9 V to 14 V dc
    outlets aux at most 0.2 A
}
part wire is cable { resistance 100 ohm/km
    carries at most 1 A
}
part eye is sensor { rests closed
    active for 1 s
    draws 0.1 A at 9 V to 14 V dc
}
supply main is source { fuse 1 A }
cable trunk is wire { from main
    fuse 0.5 A
    tap near at 10 m from start
    tap far at 20 m from near
}
controller head is box { fed from trunk.near }
zone one is eye { purpose intrusion
    armed always
    fed from trunk.far over 5 m of wire, 2 cores each way, 2 joints of 50 mohm
}
zone two is eye { purpose intrusion
    armed always
    fed from head.aux
}
"#;
    with(&[site], |facts| {
        let (near_volts, _) = volts(facts, "main", "head");
        near(near_volts, 12.0 - 0.5 * 2.0, 1e-12);
        near(volts(facts, "main", "two").0, near_volts, 1e-12);
        // 4 ohm of cable, then 0.5 ohm of two cores each way and 0.1 ohm of joints.
        near(volts(facts, "main", "one").0, near_volts - 0.1 * 4.0 - 0.1 * 0.6, 1e-12);
        let power = power(facts, "main");
        let fuses = power.fuses(facts.model);
        near(fuses[0].flows.unwrap(), 0.5, 1e-12);
        near(fuses[1].flows.unwrap(), 0.5, 1e-12);
        // The supply's fuse protects nothing that the trunk's does not; the outlet limits itself.
        assert!(fuses[0].protects.is_empty());
        assert_eq!(fuses[1].protects.len(), 5);
        let outlet = power.branches.iter().find(|b| b.limit().is_some_and(|(a, _)| a == 0.2));
        assert!(outlet.is_some());
    });
}

/// A ring of feeds is told, not followed for ever.
#[test]
fn a_ring_is_not_followed() {
    let site = r#"
site barn { timezone Europe/London
    ambient 10 to 30 degC
}
supply main is boxed-supply-12v-5a
cable one is pair-1.0 { from two.b
    tap a at 1 m from start
}
cable two is pair-1.0 { from one.a
    tap b at 1 m from start
}
controller head is recorder-4-in-2-out { fed from one.a }
"#;
    with_parts(site, |facts| assert!(power(facts, "main").drawings.is_empty()));
}

/// Loads on an alternating supply; the text of their sheet but for what they draw.
fn on_alternating(loads: &str, drives: &str) -> String {
    format!(
        "site barn {{ timezone Europe/London\n ambient 20 to 20 degC\n }}
{loads}
part fine is cable {{ cores 2\n resistance 50 ohm/km\n }}
part box is controller {{ inputs in1\n relays relay1 make\n repeats once an activation\n draws 0.1 A at 9 V to 15 V dc }}
part reed is sensor {{ rests closed\n active until restored\n }}
part round is supply {{ gives 24 V ac, at most 1.5 A\n inside 1 ohm\n }}
supply bell is round
supply main is boxed-supply-12v-5a
controller head is box {{ fed from main }}
zone door is reed {{ purpose intrusion\n wired to head.in1\n armed always\n }}
output lamp drives {drives} {{ through head.relay1 closing\n fed from bell over 10 m of fine\n }}
response to door {{ close lamp for 3 min\n }}
"
    )
}

/// Without the phase of a current no sum of an alternating one is known.
#[test]
fn alternating_current_out_of_phase_is_not_known() {
    let lamp =
        "part bulb is load { draws 0.5 A at 20 V to 28 V ac, constant current\n resistive\n }";
    let coil = "part coil is load { draws 0.5 A at 20 V to 28 V ac, resistive\n inductive\n }";
    let bare = "part bare is load { draws 0.5 A at 20 V to 28 V ac, resistive\n }";
    let loads = format!("{lamp}\n{coil}\n{bare}");
    for drives in ["coil", "bulb, coil", "bare"] {
        with_parts(&on_alternating(&loads, drives), |facts| {
            let why = power(facts, "bell").worst.as_ref().unwrap_err();
            assert!(why.because.contains("alternating current"), "{drives}");
        });
    }
}

/// Effective values of resistive loads add up as those of a direct current: 2 x 0.5 A make 24 V - 1 A x
/// (1 ohm + 2 x 10 m x 50 ohm/km) = 22 V, and a filament of 24 ohm with them 24 V / (1 + 1 + 24) ohm.
#[test]
fn resistive_loads_on_alternating_current_are_summed() {
    let loads =
        "part bulb is load { draws 0.5 A at 20 V to 28 V ac, constant current\n resistive\n }
part filament is load { draws 1 A at 20 V to 24 V ac, resistive\n lamp\n }";
    for (drives, amps, volts) in
        [("2 of bulb", 1.0, 22.0), ("filament", 24.0 / 26.0, 24.0 * 24.0 / 26.0)]
    {
        with_parts(&on_alternating(loads, drives), |facts| {
            let bell = power(facts, "bell");
            near(bell.most_source_amps().unwrap().0, amps, 1e-9);
            let drawing = &bell.drawings[0];
            near(bell.lowest(drawing).unwrap().unwrap().0, volts, 1e-9);
        });
    }
}

/// One voltage alone in a sheet is what it was measured at: no load works at 12.000 V only.
#[test]
fn one_voltage_alone_is_no_range() {
    let site = r#"
site barn { timezone Europe/London
    ambient 10 to 30 degC
}
part box is controller { draws 0.4 A at 12 V dc }
supply main is boxed-supply-12v-5a
controller head is box { fed from main over 5 m of pair-1.0 }
"#;
    with_parts(site, |facts| assert_eq!(power(facts, "main").drawings[0].works, None));
}
