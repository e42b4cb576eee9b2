//! Figures that stand at an edge: minus zero, a limit met by one load alone, a curve that rises.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::panic, reason = "tests")]

use curtilage_circuit::Interval;
use curtilage_circuit::battery::{BatteryError, Duty, Kinetic, Lasts, Rated};
use curtilage_circuit::network::{
    CollapseReason, Curve, Load, NetworkBuilder, Outcome, Solver, Supply, allowed_loop_ohm,
};

/// Its reciprocal has to be plus infinity.
#[test]
fn minus_zero_becomes_zero() {
    let zero = Interval::new(-0.0, -0.0).unwrap();
    assert!(zero.lo().is_sign_positive() && zero.hi().is_sign_positive());
}

/// Zero over zero, infinity over infinity and nothing beside nothing are no numbers by themselves.
#[test]
fn open_and_short_circuits_give_numbers_in_every_pair() {
    let open = f64::INFINITY;
    let ends = [(0.0, 0.0), (0.0, 5.0), (3.0, 5.0), (0.0, open), (3.0, open), (open, open)];
    let all = ends.map(|(lo, hi)| Interval::new(lo, hi).unwrap());
    for a in all {
        for b in all {
            for c in [a.plus(b), a.parallel(b), a.share_below(b), a.hull(b)] {
                assert!(c.lo() >= 0.0 && c.lo() <= c.hi(), "{a:?} {b:?} {c:?}");
            }
            assert!(a.gap(b) >= 0.0 && a.width() >= 0.0 && a.middle() >= 0.0);
        }
    }
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

/// Where the working point lies on one straight part of a curve, Newton is there with its first step;
/// two more see that nothing changes.
#[test]
fn a_straight_part_of_a_curve_takes_no_more_than_three_steps() {
    let (mut net, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 1.0 }).unwrap();
    let curve = Curve::new(&[(10.0, 0.5), (20.0, 0.6)]).unwrap();
    net.load(root, Load::Curve(curve)).unwrap();
    let net = net.build().unwrap();
    let mut solver = Solver::new();
    let solution = solver.solve(&net).unwrap().solution().unwrap();
    // 12 - V = 0.5 + 0.01 (V - 10).
    assert!((solution.lowest().1 - 11.6 / 1.01).abs() < 1e-12);
    assert!(solution.steps() <= 3, "{}", solution.steps());
}

/// Behind 1 ohm at 12 V there are 36 W at most. Newton's steps from 12 V, worked by hand: with 37 W
/// they go to 7.85, 6.44 and 4.73 V, which is below the square root of 37, where the current rises
/// faster than the line can bring it; with 100 W the first one goes to -15 V.
#[test]
fn a_power_that_is_not_there_says_how_it_was_seen() {
    for (watts, reason, step) in
        [(37.0, CollapseReason::NoLongerStable, 4), (100.0, CollapseReason::VoltageGone, 1)]
    {
        let (mut net, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 1.0 }).unwrap();
        net.load(root, Load::ConstantPower(watts)).unwrap();
        let net = net.build().unwrap();
        let mut solver = Solver::new();
        let Outcome::Collapsed(collapse) = solver.solve(&net).unwrap() else { panic!("solved") };
        assert_eq!((collapse.reason, collapse.step), (reason, step), "{watts} W");
    }
}

/// Two like loads behind two like cables lose their voltage together; the first is named.
#[test]
fn of_nodes_that_collapse_together_the_first_is_named() {
    for (load, reason) in [
        (Load::ConstantCurrent(20.0), CollapseReason::ConstantCurrentsAlone),
        (Load::ConstantPower(30.0), CollapseReason::VoltageGone),
    ] {
        let (mut net, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 1.0 }).unwrap();
        let (first, _) = net.tap(root, 1.0).unwrap();
        let (second, _) = net.tap(root, 1.0).unwrap();
        net.load(first, load.clone()).unwrap();
        net.load(second, load).unwrap();
        let net = net.build().unwrap();
        let mut solver = Solver::new();
        let Outcome::Collapsed(collapse) = solver.solve(&net).unwrap() else { panic!("solved") };
        assert_eq!((collapse.reason, collapse.node), (reason, first));
    }
}

/// Without loads every node is at the supply's voltage; of equals the first is named.
#[test]
fn of_equally_low_nodes_the_first_is_named() {
    let (mut net, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 1.0 }).unwrap();
    let (near, _) = net.tap(root, 1.0).unwrap();
    let (far, _) = net.tap(near, 1.0).unwrap();
    let mut solver = Solver::new();
    let still = net.clone().build().unwrap();
    assert_eq!(solver.solve(&still).unwrap().solution().unwrap().lowest(), (root, 12.0));
    // 1 A at the middle node: the last one has no drop of its own.
    net.load(near, Load::ConstantCurrent(1.0)).unwrap();
    let _ = net.tap(far, 1.0).unwrap();
    let loaded = net.build().unwrap();
    assert_eq!(solver.solve(&loaded).unwrap().solution().unwrap().lowest(), (near, 10.0));
}

/// A battery that the standby just uses up has nothing for the alarm. With half of the charge
/// available both sides of the balance are the same number.
#[test]
fn a_battery_that_the_standby_just_uses_up_gives_no_alarm() {
    for (amps, hours) in [(0.1, 24.0), (0.35, 12.0), (0.02, 72.0)] {
        let standby = Duty::new(amps, hours, 1.5, 0.0).unwrap();
        let family = Kinetic::new(0.5, 0.7, 1.0).unwrap();
        let just = family.scaled(family.needed_factor(&standby)).unwrap();
        assert_eq!(just.needed_factor(&standby), 1.0);
        assert_eq!(just.lasts(&standby), Ok(Lasts::Alarm(0.0)));
        let just = Rated::new(2.0 * 24.0, 1.2).unwrap();
        let standby = Duty::new(2.0, 24.0, 1.5, 0.0).unwrap();
        assert_eq!(just.lasts(&standby), Ok(Lasts::Alarm(0.0)));
    }
}

/// Half of a battery has half of its charge, and its exponent.
#[test]
fn a_rated_battery_is_scaled_by_its_charge() {
    let half = Rated::new(7.0, 1.2).unwrap().scaled(0.5).unwrap();
    assert_eq!((half.ah(), half.exponent()), (3.5, 1.2));
}

/// A battery that gives less than a tenth of its charge in half of the time: the equations have a
/// solution, but with a share of the charge that is none.
#[test]
fn capacities_that_no_two_wells_give_fit_nothing() {
    for (q10, q1) in [(0.8, 0.1), (0.8, 0.3), (0.5, 0.2)] {
        assert_eq!(Kinetic::from_three_rates(10.0, q10, q1), Err(BatteryError::NoFit));
    }
}
