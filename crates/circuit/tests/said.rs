//! What goes in can be read back, and every error says what is wrong.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::float_cmp, reason = "tests")]

use curtilage_circuit::battery::{BatteryError, Rated};
use curtilage_circuit::conductor::{Class, Conductor, ConductorError, Leg};
use curtilage_circuit::contact::{ContactLoad, Current, Duty, LoadKind, RatingRow};
use curtilage_circuit::ends::{EndNetworkBuilder, EndsError};
use curtilage_circuit::network::{Curve, Load, NetworkBuilder, NetworkError, Solver, Supply};
use curtilage_circuit::{BadInput, Interval};
use std::fmt::Display;

#[test]
fn figures_can_be_read_back() {
    let rated = Rated::new(17.0, 1.2).unwrap();
    assert_eq!((rated.ah(), rated.exponent()), (17.0, 1.2));
    let conductor = Conductor::iec60228(0.75, Class::Five).unwrap();
    assert_eq!(Leg::new(conductor, 25.0).unwrap().length_m(), 25.0);
    let load = ContactLoad::new(13.8, Current::Dc, LoadKind::Lamp, 0.5).unwrap();
    assert_eq!((load.volts(), load.running_amps(), load.inrush_amps()), (13.8, 0.5, 0.5));
    let load = load.with_inrush(4.0).unwrap();
    assert_eq!((load.running_amps(), load.inrush_amps()), (0.5, 4.0));
    // Less than the running current counts as the running current.
    assert_eq!(load.with_inrush(0.2).unwrap().inrush_amps(), 0.5);
    let row = RatingRow::new(30.0, Current::Dc, Duty::Lamp, 2.0, Some(6.0)).unwrap();
    assert_eq!((row.volts(), row.amps(), row.making_limit()), (30.0, 2.0, Some(6.0)));
}

#[track_caller]
fn says(error: impl Display, words: &str) {
    assert_eq!(error.to_string(), words);
}

#[test]
fn a_bad_figure_is_named() {
    let quantity = "cable length";
    for (error, words) in [
        (BadInput::NotFinite { quantity }, "the cable length is not a finite number"),
        (BadInput::Negative { quantity, value: -1.5 }, "the cable length is negative: -1.5"),
        (BadInput::Zero { quantity }, "the cable length is zero"),
        (
            BadInput::OutOfRange { quantity, value: 7.0, min: 1.0, max: 5.0 },
            "the cable length is 7, outside 1 to 5",
        ),
        (BadInput::Reversed { lo: 3.0, hi: 2.0 }, "the range 3 to 2 is reversed"),
    ] {
        says(BatteryError::Input(error), words);
        says(ConductorError::Input(error), words);
        says(NetworkError::Input(error), words);
        says(error, words);
    }
}

#[test]
fn an_error_says_what_is_wrong() {
    says(BatteryError::NoFit, "the three capacities fit no kinetic battery");
    says(
        BatteryError::OutsideTable { celsius: 60.0 },
        "60 degC is outside the temperature table, -3.9 to 51.7 degC",
    );
    says(Conductor::iec60228(0.8, Class::Five).unwrap_err(), "0.8 mm2 is not a size of IEC 60228");
    says(Conductor::awg(99).unwrap_err(), "AWG 99 is outside 4/0 to 40");
    says(NetworkError::BadCurve, "a curve needs two points or more, voltages rising");
    let (mut net, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 0.0 }).unwrap();
    says(net.edge(root, root, 1.0).unwrap_err(), "node 0 is wired to itself");
}

/// Parts and contacts are named by their place.
#[test]
fn an_error_of_an_end_network_says_what_is_wrong() {
    let mut b = EndNetworkBuilder::new();
    let _ = b.contact(Interval::ZERO, Interval::OPEN).unwrap();
    let second = b.contact(Interval::ZERO, Interval::OPEN).unwrap();
    let part = b.resistor(1000.0, 0.01).unwrap();
    for (error, words) in [
        (BadInput::Zero { quantity: "cable length" }.into(), "the cable length is zero"),
        (EndsError::UnknownPart(part), "the network has no part 0"),
        (EndsError::UnknownContact(second), "the network has no contact 1"),
        (EndsError::PartUsedTwice(part), "part 0 is used twice"),
        (EndsError::PartUnused(part), "part 0 is in no group"),
        (EndsError::EmptyGroup, "a group has no members"),
        (EndsError::WrongNumberOfPositions { given: 1, contacts: 2 }, "1 positions for 2 contacts"),
        (EndsError::UnknownBand(3), "there is no band 3"),
    ] {
        says(error, words);
    }
}

#[test]
fn a_load_is_covered_where_its_curve_has_points() {
    for (volts, covered) in [(12.0, true), (5.0, false), (20.0, false)] {
        let curve = Curve::new(&[(9.0, 0.1), (14.0, 0.1)]).unwrap();
        let (mut net, root) = NetworkBuilder::new(Supply { volts, ohm: 0.0 }).unwrap();
        let curved = net.load(root, Load::Curve(curve)).unwrap();
        let plain = net.load(root, Load::ConstantCurrent(0.1)).unwrap();
        let net = net.build().unwrap();
        let mut solver = Solver::new();
        let solution = solver.solve(&net).unwrap().solution().unwrap();
        assert_eq!(solution.load_is_covered(curved), Ok(covered), "{volts} V");
        assert_eq!(solution.load_is_covered(plain), Ok(true));
        let shown = format!("{solution:?}");
        assert!(shown.contains("supply_amps: 0.2"), "{shown}");
    }
}
