//! Networks beyond the fixtures: rings, curves, the fold, bad input, size.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "tests"
)]

mod dense;
mod random;

use curtilage_circuit::BadInput;
use curtilage_circuit::network::{
    CollapseReason, Curve, Load, MOST_RINGS, Network, NetworkBuilder, NetworkError, NodeId,
    Outcome, Solver, Supply, allowed_loop_ohm, explain_most_power, most_power_w,
};
use dense::Plain;
use random::Random;

fn build(p: &Plain) -> (Network, Vec<NodeId>) {
    let supply = Supply { volts: p.emf, ohm: p.internal };
    let (mut b, root) = NetworkBuilder::new(supply).unwrap();
    let mut ids = vec![root];
    for _ in 1..p.nodes {
        ids.push(b.node().unwrap());
    }
    for &(x, y, r) in &p.edges {
        b.edge(ids[x], ids[y], r).unwrap();
    }
    for (n, l) in &p.loads {
        b.load(ids[*n], l.clone()).unwrap();
    }
    (b.build().unwrap(), ids)
}

fn one_load(emf: f64, ohm: f64, load: Load) -> (Network, NodeId) {
    let (mut b, root) = NetworkBuilder::new(Supply { volts: emf, ohm: 0.0 }).unwrap();
    let (far, _) = b.tap(root, ohm).unwrap();
    b.load(far, load).unwrap();
    (b.build().unwrap(), far)
}

/// One constant-power load: `V = (E + sqrt(E^2 - 4 R P)) / 2`, collapse from
/// `E^2 / 4R` on (X).
#[test]
fn one_power_load_near_the_fold() {
    let (e, r) = (24.0, 2.0);
    let most = most_power_w(e, r).unwrap();
    assert_eq!(most, 72.0);
    assert_eq!(explain_most_power(e, r).unwrap().result, 72.0);
    let mut solver = Solver::new();
    let (mut worst, mut worst_near, mut worst_margin) = (0.0f64, 0.0f64, 0.0f64);
    for below in [0.9, 0.5, 0.1, 1e-2, 1e-3, 1e-4, 1e-6, 1e-8, 1e-10] {
        let p = most * (1.0 - below);
        let (net, far) = one_load(e, r, Load::ConstantPower(p));
        let s = solver.solve(&net).unwrap().solution().expect("below the fold");
        let root = (e * e - 4.0 * r * p).sqrt();
        let want = (e + root) / 2.0;
        let d = (s.volts(far).unwrap() / want - 1.0).abs();
        // G^-1 J = 1 - R P / V^2.
        let margin = 1.0 - r * p / want / want;
        if margin < 0.01 {
            worst_near = worst_near.max(d);
        } else {
            worst = worst.max(d);
            worst_margin = worst_margin.max((s.margin().unwrap() - margin).abs());
        }
    }
    for above in [1e-10, 1e-6, 0.01, 1.0, 1e6] {
        let (net, far) = one_load(e, r, Load::ConstantPower(most * (1.0 + above)));
        let c = solver.solve(&net).unwrap().collapse().expect("above the fold");
        assert_eq!(c.node, far);
    }
    // The same at magnitudes far apart: the verdict turns at E^2 / 4R and nowhere else.
    let mut random = Random(77);
    for _ in 0..20_000 {
        let mut wild = || 10f64.powf(24.0 * random.next() - 12.0);
        let (e, r) = (wild(), wild());
        let most = e * e / 4.0 / r;
        let factor = 10f64.powf(2.0 * random.next() - 1.0);
        let power = most * factor;
        if !(1e-14..1e14).contains(&power) || (factor - 1.0).abs() < 1e-9 {
            continue;
        }
        let (net, far) = one_load(e, r, Load::ConstantPower(power));
        match solver.solve(&net).unwrap() {
            Outcome::Solved(s) => {
                assert!(factor < 1.0, "{e} {r} {power}");
                let want = (e + (e * e - 4.0 * r * power).sqrt()) / 2.0;
                assert!((s.volts(far).unwrap() / want - 1.0).abs() < 1e-9);
            }
            Outcome::Collapsed(_) => assert!(factor > 1.0, "{e} {r} {power}"),
        }
    }
    println!(
        "fold, closed form: {worst:.2e} relative, {worst_near:.2e} within margin 0.01, margin {worst_margin:.2e}"
    );
    assert!(worst < 1e-12 && worst_near < 1e-6 && worst_margin < 1e-9);
}

/// Random graphs with up to eight rings against the dense solver, collapse included.
#[test]
fn rings_agree_with_the_dense_solver() {
    let mut r = Random(0x1234_5678_9abc_def1);
    let mut solver = Solver::new();
    let (mut worst, mut worst_law, mut ok, mut collapsed) = (0.0f64, 0.0f64, 0, 0);
    for _ in 0..600 {
        let nodes = 3 + r.below(20);
        let mut edges = Vec::new();
        for k in 1..nodes {
            edges.push((r.below(k), k, 10f64.powf(3.0 * r.next() - 1.8)));
        }
        for _ in 0..1 + r.below(8) {
            let (a, b) = (r.below(nodes), r.below(nodes));
            if a != b {
                edges.push((a, b, 10f64.powf(3.0 * r.next() - 1.8)));
            }
        }
        let scale = 10f64.powf(2.6 * r.next() - 1.0);
        let loads = (0..1 + r.below(10))
            .map(|_| {
                let n = 1 + r.below(nodes - 1);
                let l = match r.below(4) {
                    0 => Load::ConstantCurrent(0.1 * scale * r.next()),
                    1 => Load::Resistance(60.0 / scale * (0.2 + r.next())),
                    _ => Load::ConstantPower(3.0 * scale * r.next()),
                };
                (n, l)
            })
            .collect();
        let p = Plain { emf: 13.8, internal: 0.1, nodes, edges, loads };
        let (net, ids) = build(&p);
        match (solver.solve(&net).unwrap(), dense::solve(&p)) {
            (Outcome::Collapsed(_), None) => collapsed += 1,
            (Outcome::Solved(s), Some(v)) => {
                ok += 1;
                for (id, v) in ids.iter().zip(&v) {
                    worst = worst.max((s.volts(*id).unwrap() / v - 1.0).abs());
                }
                // Ohm's law on every edge, chords included.
                for k in 0..p.edges.len() {
                    let (a, b, ohm) = p.edges[k];
                    let id = edge_id(&p, k);
                    let drop = s.volts(ids[a]).unwrap() - s.volts(ids[b]).unwrap();
                    let i = s.edge_amps(id).unwrap();
                    worst_law = worst_law.max((drop - i * ohm).abs() / p.emf);
                }
            }
            (got, want) => panic!("{got:?}, dense {want:?}, {p:?}"),
        }
    }
    println!(
        "rings: {ok} solved, {collapsed} collapsed; largest relative deviation {worst:.2e}, Ohm's law {worst_law:.2e}"
    );
    assert!(ok > 300 && collapsed > 50, "{ok} {collapsed}");
    assert!(worst < 1e-9, "{worst}");
    assert!(worst_law < 1e-10, "{worst_law}");
}

/// Trees scaled to just below their own fold, where the fixtures do not reach: the
/// dense solver agrees below and above.
#[test]
fn trees_at_their_fold_agree_with_the_dense_solver() {
    let mut r = Random(0xf01d);
    let mut solver = Solver::new();
    let (mut worst, mut widest) = (0.0f64, 0.0f64);
    for _ in 0..60 {
        let nodes = 3 + r.below(12);
        let edges = (1..nodes).map(|k| (r.below(k), k, 10f64.powf(3.0 * r.next() - 2.0))).collect();
        let watts: Vec<(usize, f64)> =
            (0..1 + r.below(6)).map(|_| (1 + r.below(nodes - 1), 0.1 + r.next())).collect();
        let plain = |scale: f64| Plain {
            emf: 24.0,
            internal: 0.1,
            nodes,
            edges: Vec::clone(&edges),
            loads: watts.iter().map(|&(n, w)| (n, Load::ConstantPower(w * scale))).collect(),
        };
        let (mut good, mut bad) = (0.0, 1e6);
        for _ in 0..60 {
            let mid = (good + bad) / 2.0;
            let (net, _) = build(&plain(mid));
            match solver.solve(&net).unwrap() {
                Outcome::Solved(_) => good = mid,
                Outcome::Collapsed(_) => bad = mid,
            }
        }
        let p = plain(good * (1.0 - 1e-6));
        let (net, ids) = build(&p);
        let s = solver.solve(&net).unwrap().solution().unwrap();
        let v = dense::solve(&p).expect("below the fold");
        for (id, v) in ids.iter().zip(&v) {
            worst = worst.max((s.volts(*id).unwrap() / v - 1.0).abs());
        }
        widest = widest.max(s.margin().unwrap());
        assert!(dense::solve(&plain(bad * (1.0 + 1e-6))).is_none());
    }
    println!("trees at their fold: {worst:.2e} relative, margins up to {widest:.1e}");
    assert!(widest < 0.01, "{widest}");
    assert!(worst < 1e-6, "{worst}");
}

/// The id of the k-th edge, from a builder that numbers the same way.
fn edge_id(p: &Plain, k: usize) -> curtilage_circuit::network::EdgeId {
    let (mut b, root) = NetworkBuilder::new(Supply { volts: 1.0, ohm: 0.0 }).unwrap();
    let mut ids = vec![root];
    for _ in 1..p.nodes {
        ids.push(b.node().unwrap());
    }
    let mut id = None;
    for &(x, y, r) in &p.edges[..=k] {
        id = Some(b.edge(ids[x], ids[y], r).unwrap());
    }
    id.unwrap()
}

/// The margin of a network with rings against the dense eigenvalue (power iteration).
#[test]
fn the_margin_of_a_ring_agrees_with_the_dense_eigenvalue() {
    let p = Plain {
        emf: 24.0,
        internal: 0.2,
        nodes: 5,
        edges: vec![(0, 1, 0.5), (1, 2, 0.7), (2, 3, 0.4), (3, 0, 0.9), (2, 4, 1.5), (4, 1, 1.1)],
        loads: vec![
            (2, Load::ConstantPower(20.0)),
            (3, Load::ConstantPower(9.0)),
            (4, Load::ConstantPower(15.0)),
            (4, Load::Resistance(80.0)),
        ],
    };
    let (net, ids) = build(&p);
    assert_eq!(net.rings(), 2);
    let mut solver = Solver::new();
    let s = solver.solve(&net).unwrap().solution().unwrap();
    let mut g = dense::conductances(&p);
    g[4][4] += 1.0 / 80.0;
    let inv = dense::inverse(&g).unwrap();
    let d: Vec<f64> = [0.0, 0.0, 20.0, 9.0, 15.0]
        .iter()
        .zip(&ids)
        .map(|(w, id)| w / s.volts(*id).unwrap().powi(2))
        .collect();
    let mut x = vec![1.0; 5];
    let mut top = 0.0;
    for _ in 0..500 {
        let dx: Vec<f64> = x.iter().zip(&d).map(|(a, b)| a * b).collect();
        x = dense::times(&inv, &dx);
        top = x.iter().fold(0.0f64, |m, v| m.max(*v));
        x.iter_mut().for_each(|v| *v /= top);
    }
    let margin = s.margin().unwrap();
    println!("ring margin {margin}, dense {}", 1.0 - top);
    assert!((margin - (1.0 - top)).abs() < 1e-9);
    assert!(margin < 0.95);
}

/// A curve load against the highest crossing of its curve with the cable's line, found
/// by looking at every voltage from the top.
#[test]
fn curves_find_the_highest_crossing() {
    let shapes: [&[(f64, f64)]; 6] = [
        // A converter: constant power with an undervoltage lock-out.
        &[(8.9, 0.0), (9.0, 1.6), (12.0, 1.2), (24.0, 0.6)],
        // A lamp: steep, then flat.
        &[(0.0, 0.0), (2.0, 0.7), (12.0, 1.0), (24.0, 1.2)],
        // A hump below the working point.
        &[(4.0, 0.1), (6.0, 3.0), (8.0, 0.2), (24.0, 0.4)],
        // A bump that the line only just touches or misses.
        &[(0.0, 0.0), (10.0, 0.2), (16.0, 2.0), (20.0, 0.1), (30.0, 0.1)],
        &[(5.0, 1.0), (6.0, 1.0)],
        &[(1.0, 3.0), (2.0, 0.1), (3.0, 3.0), (4.0, 0.0)],
    ];
    let mut solver = Solver::new();
    let (mut solved, mut collapsed, mut most_steps, mut worst) = (0, 0, 0, 0.0f64);
    for points in shapes {
        let curve = Curve::new(points).unwrap();
        for k in 1..=200 {
            let (e, r) = (24.0, 0.15 * f64::from(k));
            // h(v) = (v - e) / r + I(v) rises through the highest root.
            let h = |v: f64| (v - e) / r + curve.amps(v);
            let n = 240_000;
            let mut want = None;
            let mut above = e;
            for j in (1..n).rev() {
                let v = e * f64::from(j) / f64::from(n);
                if h(v) <= 0.0 {
                    let (mut lo, mut hi) = (v, above);
                    for _ in 0..80 {
                        let mid = (lo + hi) / 2.0;
                        if h(mid) <= 0.0 { lo = mid } else { hi = mid }
                    }
                    want = Some(hi);
                    break;
                }
                above = v;
            }
            let (net, far) = one_load(e, r, Load::Curve(curve.clone()));
            match (solver.solve(&net).unwrap(), want) {
                (Outcome::Solved(s), Some(v)) => {
                    let d = (s.volts(far).unwrap() / v - 1.0).abs();
                    worst = worst.max(d);
                    assert!(d < 1e-9, "{points:?} r {r}: {} {v}", s.volts(far).unwrap());
                    most_steps = most_steps.max(s.steps());
                    solved += 1;
                }
                (Outcome::Collapsed(_), None) => collapsed += 1,
                (got, want) => panic!("{points:?} r {r}: {got:?}, wanted {want:?}"),
            }
        }
    }
    println!(
        "curves: {solved} solved, {collapsed} collapsed, {worst:.2e} relative, at most {most_steps} steps"
    );
    assert!(solved > 500 && collapsed > 30, "{solved} {collapsed}");
}

/// A curve through P / V agrees with constant power to the fineness of its points.
#[test]
fn a_fine_curve_is_constant_power() {
    let points: Vec<(f64, f64)> =
        (0..=4000).map(|k| 4.0 + 0.006 * f64::from(k)).map(|v| (v, 20.0 / v)).collect();
    let mut solver = Solver::new();
    let mut volts = |load| {
        let (net, far) = one_load(24.0, 2.0, load);
        let s = solver.solve(&net).unwrap().solution().unwrap();
        (s.volts(far).unwrap(), s.margin().unwrap())
    };
    let (v, m) = volts(Load::ConstantPower(20.0));
    let (w, n) = volts(Load::Curve(Curve::new(&points).unwrap()));
    assert!((v - w).abs() < 1e-5 && (m - n).abs() < 1e-3, "{v} {w} {m} {n}");
    assert!(v != w);
}

#[test]
fn a_chain_of_ten_thousand_taps() {
    let n = 10_000;
    let (mut b, root) = NetworkBuilder::new(Supply { volts: 24.0, ohm: 0.0 }).unwrap();
    let (mut here, mut first, mut last) = (root, None, None);
    for _ in 0..n {
        let (next, edge) = b.tap(here, 1e-5).unwrap();
        last = Some(b.load(next, Load::ConstantCurrent(1e-3)).unwrap());
        first = first.or(Some(edge));
        here = next;
    }
    let net = b.build().unwrap();
    let mut solver = Solver::new();
    let s = solver.solve(&net).unwrap().solution().unwrap();
    // Drops add up to r i (1 + 2 + ... + n).
    let n = f64::from(n);
    let want = 24.0 - 1e-5 * 1e-3 * n * (n + 1.0) / 2.0;
    assert!((s.volts(here).unwrap() / want - 1.0).abs() < 1e-12);
    assert!((s.edge_amps(first.unwrap()).unwrap() / (n * 1e-3) - 1.0).abs() < 1e-12);
    assert_eq!(s.explain(here).unwrap().len(), 10_001);
    assert_eq!(s.lowest(), (here, s.volts(here).unwrap()));
    assert_eq!(s.load_volts(last.unwrap()), s.volts(here));

    let mut net = net.clone();
    net.set_load(last.unwrap(), Load::ConstantPower(1e6)).unwrap();
    assert!(solver.solve(&net).unwrap().collapse().is_some());
}

#[test]
fn zero_ohm_and_zero_length_are_ordinary() {
    let (mut b, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 0.0 }).unwrap();
    let (x, e) = b.tap(root, 0.0).unwrap();
    let (y, f) = b.tap(x, 0.0).unwrap();
    b.load(y, Load::ConstantPower(24.0)).unwrap();
    let net = b.build().unwrap();
    let mut solver = Solver::new();
    let s = solver.solve(&net).unwrap().solution().unwrap();
    assert_eq!(s.volts(y).unwrap(), 12.0);
    assert_eq!(s.edge_amps(e).unwrap(), 2.0);
    assert_eq!(s.edge_amps(f).unwrap(), 2.0);
    assert_eq!(s.supply_amps(), 2.0);
}

#[test]
fn a_zero_ohm_chord_is_solved_but_a_zero_ohm_ring_is_not() {
    let ring = |last: f64, first: f64| {
        let (mut b, root) = NetworkBuilder::new(Supply { volts: 12.0, ohm: 0.0 }).unwrap();
        let (x, _) = b.tap(root, first).unwrap();
        let (y, _) = b.tap(x, 0.0).unwrap();
        b.load(y, Load::ConstantCurrent(1.0)).unwrap();
        let chord = b.edge(y, root, last).unwrap();
        (b.build().unwrap(), y, chord)
    };
    let mut solver = Solver::new();
    let (net, y, chord) = ring(0.0, 1.0);
    let s = solver.solve(&net).unwrap().solution().unwrap();
    assert_eq!(s.volts(y).unwrap(), 12.0);
    assert_eq!(s.edge_amps(chord).unwrap(), -1.0);
    let (net, _, _) = ring(0.0, 0.0);
    assert!(matches!(solver.solve(&net), Err(NetworkError::ZeroOhmRing(_))));
}

/// Random graphs of zero ohm and other cables: a ring is told exactly where the cables of zero ohm
/// alone make one, whatever else hangs on them.
#[test]
fn a_zero_ohm_ring_is_told_wherever_it_is() {
    let mut r = Random(0x0_0e_0e);
    let mut solver = Solver::new();
    let (mut told, mut solved) = (0, 0);
    for _ in 0..2000 {
        let nodes = 3 + r.below(12);
        let mut edges = Vec::new();
        let ohm = |r: &mut Random| match r.below(3) {
            0 => 0.0,
            _ => 10f64.powf(6.0 * r.next() - 4.0),
        };
        for k in 1..nodes {
            edges.push((r.below(k), k, ohm(&mut r)));
        }
        for _ in 0..r.below(8) {
            let (a, b) = (r.below(nodes), r.below(nodes));
            if a != b {
                edges.push((a, b, ohm(&mut r)));
            }
        }
        // Cables of zero ohm that join two nodes already joined by others.
        let mut group: Vec<usize> = (0..nodes).collect();
        let mut ring = false;
        for &(a, b, _) in edges.iter().filter(|e| e.2 == 0.0) {
            let (old, new) = (group[a], group[b]);
            ring |= old == new;
            group.iter_mut().filter(|g| **g == old).for_each(|g| *g = new);
        }
        let loads = (0..3)
            .map(|_| (1 + r.below(nodes - 1), Load::ConstantPower(0.01 * r.next())))
            .collect();
        let internal = [0.0, 0.1][r.below(2)];
        let (net, _) = build(&Plain { emf: 24.0, internal, nodes, edges, loads });
        match solver.solve(&net) {
            Err(NetworkError::ZeroOhmRing(_)) => {
                assert!(ring);
                told += 1;
            }
            other => {
                assert!(!ring, "{other:?}");
                solved += u32::from(other.unwrap().solution().is_some());
            }
        }
    }
    assert!(told > 300 && solved > 1000, "{told} {solved}");
}

/// Changing a cable of a ring changes which cable closes it; loads and ids stay.
#[test]
fn a_changed_cable_gives_the_same_as_a_new_network() {
    let plan = |first: f64, last: f64| Plain {
        emf: 24.0,
        internal: 0.1,
        nodes: 5,
        edges: vec![(0, 1, first), (1, 2, 1.0), (2, 3, 1.0), (3, 4, 1.0), (4, 0, last)],
        loads: vec![
            (1, Load::ConstantPower(5.0)),
            (2, Load::ConstantCurrent(0.7)),
            (4, Load::Resistance(30.0)),
        ],
    };
    let mut solver = Solver::new();
    let (mut net, ids) = build(&plan(0.5, 9.0));
    let edges = [0, 4].map(|k| edge_id(&plan(0.5, 9.0), k));
    for (first, last) in [(0.5, 9.0), (8.0, 0.2), (3.0, 3.0), (0.0, 0.4), (0.4, 0.0)] {
        net.set_edge(edges[0], first).unwrap();
        net.set_edge(edges[1], last).unwrap();
        let s = solver.solve(&net).unwrap().solution().unwrap();
        let changed: Vec<f64> = ids.iter().map(|n| s.volts(*n).unwrap()).collect();
        let amps = edges.map(|e| s.edge_amps(e).unwrap());
        let (new, ids) = build(&plan(first, last));
        let s = solver.solve(&new).unwrap().solution().unwrap();
        let fresh: Vec<f64> = ids.iter().map(|n| s.volts(*n).unwrap()).collect();
        assert_eq!(changed, fresh);
        assert_eq!(amps, edges.map(|e| s.edge_amps(e).unwrap()));
        // Both feed the ring: one forwards, the other against its naming.
        assert!(amps[0] > 0.0 && amps[1] < 0.0);
    }
}

#[test]
fn bad_networks_are_typed_errors() {
    let supply = Supply { volts: 12.0, ohm: 0.1 };
    for volts in [0.0, -12.0, f64::NAN, f64::INFINITY, 1e16] {
        assert!(matches!(
            NetworkBuilder::new(Supply { volts, ohm: 0.1 }),
            Err(NetworkError::Input(_))
        ));
    }
    let (mut b, root) = NetworkBuilder::new(supply).unwrap();
    assert_eq!(b.edge(root, root, 1.0), Err(NetworkError::SelfEdge(root)));
    assert!(b.tap(root, -1.0).is_err() && b.tap(root, f64::NAN).is_err());
    let (far, edge) = b.tap(root, 1.0).unwrap();
    let zero = BadInput::Zero { quantity: "load resistance" };
    assert_eq!(b.load(far, Load::Resistance(0.0)), Err(NetworkError::Input(zero)));
    for bad in [f64::NAN, f64::INFINITY, -1.0, 1e16] {
        assert!(b.load(far, Load::ConstantCurrent(bad)).is_err());
        assert!(b.load(far, Load::ConstantPower(bad)).is_err());
        assert!(b.load(far, Load::Resistance(bad)).is_err());
    }
    let load = b.load(far, Load::ConstantCurrent(1.0)).unwrap();

    // Disconnected: both nodes are named.
    let mut lost = b.clone();
    let x = lost.node().unwrap();
    let (y, _) = lost.tap(x, 1.0).unwrap();
    lost.load(y, Load::ConstantCurrent(1.0)).unwrap();
    assert_eq!(lost.build().unwrap_err(), NetworkError::Disconnected(vec![x, y]));

    let mut rings = b.clone();
    for _ in 0..MOST_RINGS {
        rings.edge(root, far, 1.0).unwrap();
    }
    assert!(rings.clone().build().is_ok());
    rings.edge(root, far, 1.0).unwrap();
    assert_eq!(rings.build().unwrap_err(), NetworkError::TooManyRings { rings: MOST_RINGS + 1 });

    // Nodes of another network, the first that this one lacks and a later one.
    for stranger in [x, y] {
        let unknown = NetworkError::UnknownNode(stranger);
        assert_eq!(b.edge(root, stranger, 1.0), Err(unknown.clone()));
        assert_eq!(b.edge(stranger, root, 1.0), Err(unknown.clone()));
        assert_eq!(b.tap(stranger, 1.0), Err(unknown.clone()));
        assert_eq!(b.load(stranger, Load::ConstantCurrent(1.0)), Err(unknown));
    }

    let other = x;
    let mut net = b.build().unwrap();
    assert!(net.set_edge(edge, -1.0).is_err() && net.set_edge(edge, 0.5).is_ok());
    assert!(net.set_load(load, Load::Resistance(0.0)).is_err());
    assert!(net.set_supply(Supply { volts: 0.0, ohm: 0.0 }).is_err());
    let mut solver = Solver::new();
    let s = solver.solve(&net).unwrap().solution().unwrap();
    assert_eq!(s.volts(other), Err(NetworkError::UnknownNode(other)));
    assert!((s.volts(far).unwrap() - 11.4).abs() < 1e-12);
}

#[test]
fn constant_currents_alone_can_take_the_voltage_away() {
    let (net, far) = one_load(12.0, 10.0, Load::ConstantCurrent(1.2));
    let mut solver = Solver::new();
    let c = solver.solve(&net).unwrap().collapse().unwrap();
    assert_eq!((c.reason, c.node, c.step), (CollapseReason::ConstantCurrentsAlone, far, 0));
    let (net, far) = one_load(12.0, 10.0, Load::ConstantCurrent(1.1));
    let s = solver.solve(&net).unwrap().solution().unwrap();
    assert!((s.volts(far).unwrap() - 1.0).abs() < 1e-12);
}

/// Magnitudes from 1e-12 to 1e12 in every mixture: a typed error, a collapse, or
/// finite figures that obey Ohm's and Kirchhoff's laws.
#[test]
fn absurd_magnitudes_never_give_a_nan() {
    let mut r = Random(0x0dd_ba11);
    let mut solver = Solver::new();
    let (mut ok, mut collapsed, mut errors) = (0, 0, 0);
    for _ in 0..20_000 {
        let wild = |r: &mut Random| 10f64.powf(24.0 * r.next() - 12.0);
        let nodes = 2 + r.below(8);
        let mut edges = Vec::new();
        for k in 1..nodes {
            edges.push((r.below(k), k, wild(&mut r)));
        }
        if r.below(3) == 0 {
            edges.push((0, nodes - 1, wild(&mut r)));
        }
        let loads = (0..r.below(6))
            .map(|_| {
                let x = wild(&mut r);
                let l = match r.below(3) {
                    0 => Load::ConstantCurrent(x),
                    1 => Load::Resistance(x),
                    _ => Load::ConstantPower(x),
                };
                (1 + r.below(nodes - 1), l)
            })
            .collect();
        let p = Plain { emf: wild(&mut r), internal: wild(&mut r), nodes, edges, loads };
        let (net, ids) = build(&p);
        match solver.solve(&net) {
            Err(e) => {
                assert!(!e.to_string().contains("NaN"));
                errors += 1;
            }
            Ok(Outcome::Collapsed(_)) => collapsed += 1,
            Ok(Outcome::Solved(s)) => {
                ok += 1;
                let margin = s.margin().unwrap_or(0.0);
                assert!((0.0..=1.0).contains(&margin), "{margin}");
                assert!(s.supply_amps().is_finite());
                for (k, &(a, b, ohm)) in p.edges.iter().enumerate() {
                    let drop = s.volts(ids[a]).unwrap() - s.volts(ids[b]).unwrap();
                    let i = s.edge_amps(edge_id(&p, k)).unwrap();
                    assert!((drop - i * ohm).abs() <= 2e-6 * p.emf, "{p:?}");
                }
                for id in &ids {
                    let v = s.volts(*id).unwrap();
                    assert!(v > 0.0 && v <= p.emf * (1.0 + 1e-9), "{v} {p:?}");
                    for step in s.explain(*id).unwrap() {
                        assert!(step.result.is_finite());
                        assert!(step.inputs.iter().all(|q| q.value.is_finite()));
                    }
                }
            }
        }
    }
    println!("absurd magnitudes: {ok} solved, {collapsed} collapsed, {errors} errors");
    assert!(ok > 5000 && collapsed > 1000);
}

#[test]
fn allowed_resistance_of_each_kind() {
    let r = |load: Load| allowed_loop_ohm(12.0, 10.0, &load).unwrap();
    assert_eq!(r(Load::ConstantCurrent(0.5)), Some(4.0));
    assert_eq!(r(Load::Resistance(50.0)), Some(10.0));
    assert_eq!(r(Load::ConstantPower(5.0)), Some(4.0));
    assert_eq!(r(Load::ConstantCurrent(0.0)), None);
    let deep = allowed_loop_ohm(12.0, 1.0, &Load::ConstantPower(5.0)).unwrap();
    assert!((deep.unwrap() - 144.0 / 20.0).abs() < 1e-12);
    let none = allowed_loop_ohm(9.0, 10.0, &Load::ConstantCurrent(0.5)).unwrap();
    assert_eq!(none, Some(0.0));
    // The solver agrees: just inside is well, just outside is not.
    let mut solver = Solver::new();
    for load in [Load::ConstantCurrent(0.5), Load::Resistance(50.0), Load::ConstantPower(5.0)] {
        let ohm = r(load.clone()).unwrap();
        for (factor, well) in [(1.0 - 1e-9, true), (1.0 + 1e-9, false)] {
            let (net, far) = one_load(12.0, ohm * factor, load.clone());
            let s = solver.solve(&net).unwrap().solution().unwrap();
            assert_eq!(s.volts(far).unwrap() >= 10.0, well, "{load:?}");
        }
    }
}
