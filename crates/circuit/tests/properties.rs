//! Properties that hold for every network, loop and battery.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "tests"
)]

mod random;

use curtilage_circuit::Interval;
use curtilage_circuit::battery::{Duty, Kinetic, Lasts, Rated, peukert_exponent};
use curtilage_circuit::conductor::{Class, Conductor, Leg, iec60228_sizes, out_and_back};
use curtilage_circuit::ends::{
    Condition, Divider, EndNetworkBuilder, EndPart, Gauge, Loop, PartId, Position,
};
use curtilage_circuit::network::{Load, NetworkBuilder, Outcome, Solver, Supply};
use proptest::prelude::*;
use random::Random;

/// A tree as plain data: each node's parent and edge, then the loads.
#[derive(Debug, Clone)]
struct Tree {
    emf: f64,
    internal: f64,
    edges: Vec<(usize, f64)>,
    loads: Vec<(usize, char, f64)>,
}

fn load(kind: char, x: f64) -> Load {
    match kind {
        'I' => Load::ConstantCurrent(x),
        'P' => Load::ConstantPower(x),
        _ => Load::Resistance(x),
    }
}

fn one_load(n: usize) -> impl Strategy<Value = (usize, char, f64)> {
    let scale = -2.0..0.6f64;
    (0..n, prop_oneof![Just('I'), Just('P'), Just('R')], scale).prop_map(|(n, kind, s)| {
        let x = 10f64.powf(s);
        let value = match kind {
            'I' => 0.1 * x,
            'P' => 2.0 * x,
            _ => 60.0 / x,
        };
        (n, kind, value)
    })
}

fn tree() -> impl Strategy<Value = Tree> {
    (2..20usize).prop_flat_map(|n| {
        let ohm = prop_oneof![
            9 => (-2.0..0.8f64).prop_map(|e| 10f64.powf(e)),
            1 => Just(0.0),
        ];
        let edges = prop::collection::vec((0.0..1.0f64, ohm), n - 1);
        let loads = prop::collection::vec(one_load(n), 0..8);
        (10.0..28.0f64, 0.0..0.5f64, edges, loads).prop_map(|(emf, internal, edges, loads)| Tree {
            emf,
            internal,
            edges: edges
                .into_iter()
                .enumerate()
                .map(|(k, (at, r))| (((at * (k + 1) as f64) as usize).min(k), r))
                .collect(),
            loads,
        })
    })
}

/// Voltages by node, or none on collapse.
fn solve(t: &Tree) -> Option<Vec<f64>> {
    let supply = Supply { volts: t.emf, ohm: t.internal };
    let (mut b, root) = NetworkBuilder::new(supply).unwrap();
    let mut ids = vec![root];
    for &(parent, ohm) in &t.edges {
        ids.push(b.tap(ids[parent], ohm).unwrap().0);
    }
    for &(n, kind, x) in &t.loads {
        b.load(ids[n], load(kind, x)).unwrap();
    }
    let net = b.build().unwrap();
    let mut solver = Solver::new();
    match solver.solve(&net).unwrap() {
        Outcome::Solved(s) => Some(ids.iter().map(|n| s.volts(*n).unwrap()).collect()),
        Outcome::Collapsed(_) => None,
    }
}

fn below(t: &Tree, node: usize) -> Vec<usize> {
    let mut under = vec![false; t.edges.len() + 1];
    under[node] = true;
    for (k, (parent, _)) in t.edges.iter().enumerate() {
        under[k + 1] |= under[*parent];
    }
    (0..under.len()).filter(|k| under[*k]).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn adding_a_load_never_raises_a_voltage(t in tree(), extra in one_load(2)) {
        let mut more = t.clone();
        let (n, kind, x) = extra;
        more.loads.push((n * (t.edges.len() / 2).max(1), kind, x));
        match (solve(&t), solve(&more)) {
            (Some(a), Some(b)) => for (a, b) in a.iter().zip(&b) {
                prop_assert!(*b <= a * (1.0 + 1e-12), "{a} {b}");
            },
            (None, Some(_)) => prop_assert!(false, "a load mended a collapse"),
            _ => {}
        }
    }

    #[test]
    fn lengthening_a_cable_never_raises_a_far_voltage(t in tree(), at in 0.0..1.0f64, more in 1.0..4.0f64) {
        let k = ((at * t.edges.len() as f64) as usize).min(t.edges.len() - 1);
        let mut longer = t.clone();
        longer.edges[k].1 *= more;
        match (solve(&t), solve(&longer)) {
            (Some(a), Some(b)) => for n in below(&t, k + 1) {
                prop_assert!(b[n] <= a[n] * (1.0 + 1e-12), "{} {}", a[n], b[n]);
            },
            (None, Some(_)) => prop_assert!(false, "length mended a collapse"),
            _ => {}
        }
    }

    #[test]
    fn scaling_ohms_and_amperes_keeps_the_voltages(t in tree(), e in -3i32..=3) {
        // Powers of two: the scaling itself is exact, so is the result.
        let f = 2f64.powi(e);
        let mut s = t.clone();
        s.internal *= f;
        for edge in &mut s.edges { edge.1 *= f; }
        for l in &mut s.loads { if l.1 == 'R' { l.2 *= f } else { l.2 /= f } }
        prop_assert_eq!(solve(&t), solve(&s));
    }

    #[test]
    fn scaling_volts_and_amperes_scales_the_voltages(t in tree(), e in -3i32..=3) {
        let f = 2f64.powi(e);
        let mut s = t.clone();
        s.emf *= f;
        for l in &mut s.loads {
            match l.1 { 'I' => l.2 *= f, 'P' => l.2 *= f * f, _ => {} }
        }
        let scaled = solve(&t).map(|v| v.into_iter().map(|x| x * f).collect::<Vec<_>>());
        prop_assert_eq!(scaled, solve(&s));
    }

    #[test]
    fn the_order_of_loads_changes_nothing(t in tree()) {
        let mut r = t.clone();
        r.loads.reverse();
        match (solve(&t), solve(&r)) {
            (Some(a), Some(b)) => for (a, b) in a.iter().zip(&b) {
                prop_assert!((a / b - 1.0).abs() < 1e-9);
            },
            (a, b) => prop_assert_eq!(a, b),
        }
    }

    #[test]
    fn no_voltage_is_above_the_supply_or_its_parent(t in tree()) {
        if let Some(v) = solve(&t) {
            prop_assert!(v[0] <= t.emf);
            for (k, (parent, _)) in t.edges.iter().enumerate() {
                prop_assert!(v[k + 1] <= v[*parent] * (1.0 + 1e-14));
                prop_assert!(v[k + 1] > 0.0);
            }
        }
    }

    #[test]
    fn what_a_battery_needs_is_what_it_lasts(
        q in 1.0..50.0f64, r10 in 0.91..0.96f64, r1 in 0.55..0.66f64,
        standby in 0.0..0.5f64, hours in 0.0..72.0f64, alarm in 0.01..5.0f64, alarm_h in 0.01..2.0f64,
        k in 1.0..1.4f64,
    ) {
        let duty = Duty::new(standby, hours, alarm, alarm_h).unwrap();
        // Some triples fit no pair of wells: that is an error, not an answer.
        if let Ok(b) = Kinetic::from_three_rates(q, q * r10, q * r1) {
            let factor = b.needed_factor(&duty);
            let fit = b.scaled(factor).unwrap();
            // A hair more, so that rounding does not end it in standby.
            let lasts = fit.scaled(1.0 + 1e-9).unwrap().lasts(&duty).unwrap();
            prop_assert!(lasts.alarm_hours().unwrap() >= alarm_h * (1.0 - 1e-6));
            let less = fit.scaled(0.999).unwrap().lasts(&duty).unwrap();
            prop_assert!(less.alarm_hours().unwrap() < alarm_h);
            // Never more than the charge there is.
            prop_assert!(b.ampere_hours(alarm).unwrap() <= b.q());
        }
        let p = Rated::new(q, k).unwrap();
        let need = p.needed_ah(&duty);
        prop_assert!(need >= (standby * hours + alarm * alarm_h) * (1.0 - 1e-12));
        let fit = Rated::new(need * (1.0 + 1e-9), k).unwrap().lasts(&duty).unwrap();
        prop_assert!(fit.alarm_hours().unwrap() >= alarm_h * (1.0 - 1e-6));
        let less = Rated::new(need * 0.999, k).unwrap().lasts(&duty).unwrap();
        prop_assert!(less.alarm_hours().unwrap() < alarm_h);
        prop_assert!(p.hours(alarm).unwrap() * alarm <= q * (1.0 + 1e-12));
    }

    #[test]
    fn a_kinetic_battery_gives_back_its_three_rates(
        q in 1.0..50.0f64, r10 in 0.91..0.96f64, r1 in 0.55..0.66f64,
    ) {
        if let Ok(b) = Kinetic::from_three_rates(q, q * r10, q * r1) {
            for (hours, ah) in [(20.0, q), (10.0, q * r10), (1.0, q * r1)] {
                prop_assert!((b.hours(ah / hours).unwrap() / hours - 1.0).abs() < 1e-9);
                prop_assert!((b.ampere_hours(ah / hours).unwrap() / ah - 1.0).abs() < 1e-9);
            }
        }
    }

    /// Any two discharges of a battery, both faster than its 20 h rate.
    #[test]
    fn two_points_of_a_rated_battery_give_back_its_exponent(
        q in 1.0..50.0f64, k in 1.01..1.9f64, slow in 1.1..5.0f64, ratio in 1.5..20.0f64,
    ) {
        let b = Rated::new(q, k).unwrap();
        let point = |rates: f64| {
            let amps = rates * q / 20.0;
            let hours = b.hours(amps).unwrap();
            (hours, hours * amps)
        };
        let ((h1, ah1), (h2, ah2)) = (point(slow), point(slow * ratio));
        prop_assert!((peukert_exponent(h1, ah1, h2, ah2).unwrap() - k).abs() < 1e-9);
        prop_assert!((peukert_exponent(h2, ah2, h1, ah1).unwrap() - k).abs() < 1e-9);
    }

    /// The range is wider than what plain arithmetic gives, on both sides; no cable has no range.
    #[test]
    fn the_resistance_of_a_cable_is_rounded_outwards(
        length in 0.1..500.0f64, t in -20.0..60.0f64, joint in 0.001..0.01f64,
    ) {
        for c in iec60228_sizes(Class::Five) {
            let at = Interval::signed(t, t).unwrap();
            let leg = Leg::new(c, length).unwrap();
            let (range, ohm) = (leg.ohm_range(at).unwrap(), leg.ohm(t).unwrap());
            prop_assert!(range.lo() < ohm && ohm < range.hi());
            prop_assert!(range.width() < 1e-14 * ohm);
            let none = Leg::new(c, 0.0).unwrap();
            prop_assert_eq!(none.ohm_range(at).unwrap(), Interval::ZERO);
            let joint = Interval::point(joint).unwrap();
            let joined = none.with_joints(1, joint).unwrap();
            prop_assert_eq!(joined.ohm_range(at).unwrap(), joint);
        }
    }

    /// Two like conductors side by side have half of the resistance, in the range too.
    #[test]
    fn conductors_side_by_side_share_the_range(length in 0.1..500.0f64, t in -20.0..60.0f64) {
        for c in iec60228_sizes(Class::Five) {
            let at = Interval::signed(t, t).unwrap();
            let leg = Leg::new(c, length).unwrap().with_parallel(2).unwrap();
            let (range, ohm) = (leg.ohm_range(at).unwrap(), leg.ohm(t).unwrap());
            prop_assert!(range.lo() < ohm && ohm < range.hi());
        }
    }

    #[test]
    fn longer_hotter_or_thinner_is_never_better(
        length in 0.0..500.0f64, more in 0.0..100.0f64, t in -20.0..60.0f64, dt in 0.0..20.0f64,
    ) {
        let mut before = f64::INFINITY;
        for c in iec60228_sizes(Class::Five) {
            let r = |l, t| Leg::new(c, l).unwrap().ohm(t).unwrap();
            prop_assert!(r(length + more, t) >= r(length, t));
            prop_assert!(r(length, t + dt) >= r(length, t));
            prop_assert!(r(length, t) <= before);
            before = r(length, t);
            let leg = Leg::new(c, length).unwrap();
            let range = Interval::signed(t, t + dt).unwrap();
            let loop_ohm = out_and_back(&leg, &leg, range).unwrap();
            for share in [0.0, 0.3, 1.0] {
                prop_assert!(loop_ohm.contains(2.0 * r(length, t + share * dt)));
            }
            let two = leg.with_parallel(2).unwrap().ohm(t).unwrap();
            prop_assert!((two * 2.0 - r(length, t)).abs() <= 1e-12 * two);
        }
    }
}

impl Random {
    /// Either end, or between them.
    fn within(&mut self, lo: f64, hi: f64) -> f64 {
        match self.below(3) {
            0 => lo,
            1 => hi,
            _ => lo + (hi - lo) * self.next(),
        }
    }
}

/// The plain resistance of a part, by recursion and plain arithmetic.
fn sample(
    parts: &[EndPart],
    id: usize,
    positions: &[Position],
    closed: (f64, f64),
    open: f64,
    r: &mut Random,
) -> f64 {
    match &parts[id] {
        EndPart::Resistor { ohm, tolerance } => {
            r.within(ohm * (1.0 - tolerance), ohm * (1.0 + tolerance))
        }
        EndPart::Pole(c) => match positions[c.index()] {
            Position::Closed => r.within(closed.0, closed.1),
            Position::Open => open,
        },
        EndPart::Series(m) => {
            m.iter().map(|p| sample(parts, p.index(), positions, closed, open, r)).sum()
        }
        EndPart::Parallel(m) => {
            let g: f64 =
                m.iter().map(|p| 1.0 / sample(parts, p.index(), positions, closed, open, r)).sum();
            1.0 / g
        }
    }
}

/// 60 random networks, 10,000 samples of corners and inner points each: none lies
/// outside the interval, and the samples come close to both ends.
#[test]
fn interval_results_contain_ten_thousand_sampled_corners() {
    let mut r = Random(0xfeed_5eed);
    let (mut samples, mut reached) = (0u32, 0u32);
    for _ in 0..60 {
        let mut b = EndNetworkBuilder::new();
        let closed = (0.0, r.next() * 50.0);
        let open = 1e9;
        let contacts = 1 + r.below(3);
        let mut free: Vec<PartId> = Vec::new();
        for _ in 0..contacts {
            let c = b
                .contact(Interval::new(closed.0, closed.1).unwrap(), Interval::point(open).unwrap())
                .unwrap();
            free.push(b.pole(c).unwrap());
        }
        for _ in 0..1 + r.below(4) {
            let tolerance = [0.0, 0.01, 0.05, 0.1][r.below(4)];
            free.push(b.resistor(100.0 + 1e4 * r.next(), tolerance).unwrap());
        }
        while free.len() > 1 {
            let x = free.swap_remove(r.below(free.len()));
            let y = free.swap_remove(r.below(free.len()));
            let group = if r.below(2) == 0 { b.series(&[x, y]) } else { b.parallel(&[x, y]) };
            free.push(group.unwrap());
        }
        let net = b.finish(free[0]).unwrap();
        let parts: Vec<EndPart> = net.parts().map(|p| p.1.clone()).collect();
        let cable = (r.next() * 10.0, 10.0 + r.next() * 200.0);
        let leak = [None, Some(2e4), Some(1e6)][r.below(3)];
        let l = Loop::new(net, Interval::new(cable.0, cable.1).unwrap(), leak).unwrap();
        let positions: Vec<Position> =
            (0..contacts).map(|_| [Position::Closed, Position::Open][r.below(2)]).collect();
        let window = l.resistance(&Condition::healthy(&positions)).unwrap();
        let d = Divider::new(
            Interval::new(4.75, 5.25).unwrap(),
            Interval::with_tolerance(2200.0, 0.01).unwrap(),
        )
        .unwrap();
        let (share, volts) = (d.share(window), d.volts(window));
        let (mut low, mut high) = (f64::INFINITY, 0.0f64);
        for _ in 0..10_000 {
            let net = sample(&parts, parts.len() - 1, &positions, closed, open, &mut r);
            let wires = r.within(cable.0, cable.1) + net;
            let ohm = match leak {
                Some(k) if r.below(2) == 0 => 1.0 / (1.0 / wires + 1.0 / k),
                _ => wires,
            };
            // Plain arithmetic rounds either way: allow it its last digits.
            let inside = |i: Interval, x: f64| {
                Interval::new(x * (1.0 - 1e-14), x * (1.0 + 1e-14)).unwrap().overlap(i).is_some()
            };
            assert!(inside(window, ohm), "{ohm} {window:?}");
            let pull = r.within(2200.0 * 0.99, 2200.0 * 1.01);
            let supply = r.within(4.75, 5.25);
            assert!(inside(share, ohm / (ohm + pull)));
            assert!(inside(volts, supply * ohm / (ohm + pull)));
            low = low.min(ohm);
            high = high.max(ohm);
            samples += 1;
        }
        let span = window.hi() - window.lo();
        reached += u32::from(low - window.lo() < 0.1 * span && window.hi() - high < 0.1 * span);
    }
    println!(
        "{samples} sampled corners inside; {reached} of 60 windows reached within a tenth at both ends"
    );
    assert_eq!(samples, 600_000);
    assert!(reached >= 55, "{reached}: the windows are too wide");
}

/// Every figure of a gauge keeps the order of resistances.
#[test]
fn gauges_rise_with_the_resistance() {
    let d = Divider::new(
        Interval::new(4.75, 5.25).unwrap(),
        Interval::with_tolerance(2200.0, 0.01).unwrap(),
    )
    .unwrap();
    let mut before = (0.0, 0.0);
    for k in 0..200 {
        let r = Interval::point(10f64.powf(-3.0 + f64::from(k) * 0.06)).unwrap();
        let v = Gauge::Volts(d).shows(r);
        assert!(v.lo() > before.0 && v.hi() > before.1);
        assert!(v.hi() <= 5.25_f64.next_up());
        before = (v.lo(), v.hi());
    }
}

#[test]
fn a_battery_that_is_not_used_lasts_for_ever() {
    let b = Kinetic::new(0.5, 0.5, 7.0).unwrap();
    let duty = Duty::new(0.0, 24.0, 0.0, 1.0).unwrap();
    assert_eq!(b.lasts(&duty), Ok(Lasts::ForEver));
    assert_eq!(b.needed_factor(&duty), 0.0);
    assert!(b.hours(0.0).is_err() && b.hours(f64::NAN).is_err());
    let p = Rated::new(7.0, 1.2).unwrap();
    assert_eq!(p.lasts(&duty), Ok(Lasts::ForEver));
    assert_eq!(p.needed_ah(&duty), 0.0);
    assert!(Kinetic::from_three_rates(7.0, 7.5, 4.0).is_err());
    assert!(Conductor::stated(0.0, 0.004).is_err());
}
