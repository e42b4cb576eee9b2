//! Figures that stand at an edge: minus zero, a limit met by one load alone, a curve that rises.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::panic, reason = "tests")]

use curtilage_circuit::Interval;
use curtilage_circuit::network::{
    CollapseReason, Curve, Load, NetworkBuilder, Outcome, Solver, Supply, allowed_loop_ohm,
};

/// Its reciprocal has to be plus infinity.
#[test]
fn minus_zero_becomes_zero() {
    let zero = Interval::new(-0.0, -0.0).unwrap();
    assert!(zero.lo().is_sign_positive() && zero.hi().is_sign_positive());
}

#[test]
fn a_curve_allows_no_resistance_in_closed_form() {
    let curve = Curve::new(&[(9.0, 0.5), (15.0, 0.5)]).unwrap();
    assert_eq!(allowed_loop_ohm(12.0, 10.0, &Load::Curve(curve)), Ok(None));
    // (E - V) / I = 2 V / 0.5 A.
    let same = Load::ConstantCurrent(0.5);
    assert_eq!(allowed_loop_ohm(12.0, 10.0, &same), Ok(Some(4.0)));
}

/// Ohm's law: 20 A through 1 ohm take 20 V of 12 V, whatever says that they are 20 A.
#[test]
fn a_curve_can_take_more_than_there_is_by_its_least_current() {
    let curve = Curve::new(&[(0.0, 20.0), (24.0, 25.0)]).unwrap();
    for load in [Load::ConstantCurrent(20.0), Load::Curve(curve)] {
        let (mut net, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 1.0 }).unwrap();
        net.load(root, load).unwrap();
        let net = net.build().unwrap();
        let mut solver = Solver::new();
        let Outcome::Collapsed(collapse) = solver.solve(&net).unwrap() else { panic!("solved") };
        assert_eq!((collapse.reason, collapse.step), (CollapseReason::ConstantCurrentsAlone, 0));
    }
}

/// A curve through zero with a steady slope is a resistor, in the voltage and in the margin:
/// `1 - D / G` with `D = P / V^2` and `G = 1 / Ri + 1 / R`.
#[test]
fn a_curve_that_rises_steadily_is_a_resistor() {
    let curve = Curve::new(&[(0.0, 0.0), (20.0, 5.0)]).unwrap();
    for load in [Load::Curve(curve), Load::Resistance(4.0)] {
        let (mut net, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 1.0 }).unwrap();
        net.load(root, load).unwrap();
        net.load(root, Load::ConstantPower(10.0)).unwrap();
        let net = net.build().unwrap();
        let mut solver = Solver::new();
        let solution = solver.solve(&net).unwrap().solution().unwrap();
        let volts = solution.lowest().1;
        // 12 - V = V / 4 + 10 / V, the upper root.
        let want = (12.0 + (144.0f64 - 4.0 * 1.25 * 10.0).sqrt()) / 2.5;
        assert!((volts - want).abs() < 1e-9, "{volts} {want}");
        let margin = 1.0 - 10.0 / volts / volts / 1.25;
        assert!((solution.margin().unwrap() - margin).abs() < 1e-9);
    }
}

/// Newton halves the distance at least; a straight network needs no step.
#[test]
fn steps_are_counted_where_loads_depend_on_the_voltage() {
    for (load, least, most) in
        [(Load::ConstantCurrent(1.0), 0, 0), (Load::ConstantPower(10.0), 2, 10)]
    {
        let (mut net, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 1.0 }).unwrap();
        net.load(root, load).unwrap();
        let net = net.build().unwrap();
        let mut solver = Solver::new();
        let steps = solver.solve(&net).unwrap().solution().unwrap().steps();
        assert!((least..=most).contains(&steps), "{steps}");
    }
}
