//! Times the tree solver on networks of 1,000 loads, beside a dense solver (Newton with
//! LU) of the same network in the same run.
//!
//! `cargo bench -p curtilage-circuit --bench solve`
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_types,
    clippy::disallowed_methods,
    reason = "a benchmark reads the clock"
)]

#[path = "../tests/random/mod.rs"]
mod random;

use curtilage_circuit::network::{Load, Network, NetworkBuilder, NodeId, Solver, Supply};
use random::Random;
use std::hint::black_box;
use std::time::Instant;

const LOADS: usize = 1000;
const EMF: f64 = 24.0;
const INTERNAL: f64 = 0.05;

/// One load a node: parent, edge resistance, load.
struct Plan {
    name: &'static str,
    parent: Vec<usize>,
    ohm: Vec<f64>,
    load: Vec<Load>,
}

fn plan(
    name: &'static str,
    power_only: bool,
    ohm: f64,
    parent: impl Fn(usize, &mut Random) -> usize,
) -> Plan {
    let mut r = Random(0x9e37_79b9_7f4a_7c15);
    let mut p = Plan { name, parent: vec![0], ohm: vec![0.0], load: Vec::new() };
    for k in 1..=LOADS {
        p.parent.push(parent(k, &mut r));
        p.ohm.push(ohm * (0.5 + r.next()));
        let x = 0.5 + r.next();
        p.load.push(match k % 3 {
            _ if power_only => Load::ConstantPower(0.02 * x),
            0 => Load::ConstantCurrent(0.001 * x),
            1 => Load::ConstantPower(0.02 * x),
            _ => Load::Resistance(20_000.0 * x),
        });
    }
    p
}

fn network(p: &Plan) -> (Network, Vec<NodeId>) {
    let supply = Supply { volts: EMF, ohm: INTERNAL };
    let (mut b, root) = NetworkBuilder::new(supply).unwrap();
    let mut ids = vec![root];
    for k in 1..=LOADS {
        let (node, _) = b.tap(ids[p.parent[k]], p.ohm[k]).unwrap();
        b.load(node, p.load[k - 1].clone()).unwrap();
        ids.push(node);
    }
    (b.build().unwrap(), ids)
}

/// `a x = b` by LU with partial pivoting, rows of `n`.
fn lu(a: &mut [f64], b: &mut [f64], n: usize) {
    for k in 0..n {
        let best =
            (k..n).max_by(|&i, &j| a[i * n + k].abs().total_cmp(&a[j * n + k].abs())).unwrap();
        if best != k {
            for j in 0..n {
                a.swap(k * n + j, best * n + j);
            }
            b.swap(k, best);
        }
        let (top, below) = a.split_at_mut((k + 1) * n);
        let row = &top[k * n..];
        for i in k + 1..n {
            let line = &mut below[(i - k - 1) * n..(i - k) * n];
            let f = line[k] / row[k];
            if f != 0.0 {
                for (x, y) in line[k..].iter_mut().zip(&row[k..]) {
                    *x -= f * y;
                }
                b[i] -= f * b[k];
            }
        }
    }
    for k in (0..n).rev() {
        let s: f64 = (k + 1..n).map(|j| a[k * n + j] * b[j]).sum();
        b[k] = (b[k] - s) / a[k * n + k];
    }
}

/// Newton from above with a dense matrix; the voltages and the steps.
fn dense(p: &Plan) -> (Vec<f64>, usize) {
    let n = LOADS + 1;
    let mut v = vec![EMF; n];
    for step in 0..50 {
        let mut a = vec![0.0; n * n];
        let mut b = vec![0.0; n];
        a[0] += 1.0 / INTERNAL;
        b[0] += EMF / INTERNAL;
        for k in 1..n {
            let (q, g) = (p.parent[k], 1.0 / p.ohm[k]);
            a[k * n + k] += g;
            a[q * n + q] += g;
            a[k * n + q] -= g;
            a[q * n + k] -= g;
            match p.load[k - 1] {
                Load::ConstantCurrent(i) => b[k] -= i,
                Load::Resistance(r) => a[k * n + k] += 1.0 / r,
                Load::ConstantPower(w) if step > 0 => {
                    a[k * n + k] -= w / v[k] / v[k];
                    b[k] -= 2.0 * w / v[k];
                }
                _ => {}
            }
        }
        lu(&mut a, &mut b, n);
        let change = v.iter().zip(&b).fold(0.0f64, |m, (x, y)| m.max((x - y).abs()));
        v = b;
        if step > 0 && change < 1e-10 * EMF {
            return (v, step);
        }
    }
    panic!("the dense solver did not settle");
}

fn main() {
    // `cargo test --benches` only checks that it builds and runs.
    let short = !std::env::args().any(|a| a == "--bench");
    // Each pair: a light load, and one that pulls the far end down towards collapse.
    let random = |k: usize, r: &mut Random| ((r.next() * k as f64) as usize).min(k - 1);
    let chain = |k: usize, _: &mut Random| k - 1;
    let star = |_: usize, _: &mut Random| 0;
    let plans = [
        plan("random tree, mixed, light", false, 0.005, random),
        plan("random tree, mixed, heavy", false, 5.0, random),
        plan("random tree, power, light", true, 0.005, random),
        plan("random tree, power, heavy", true, 4.0, random),
        plan("chain, power, light", true, 0.001, chain),
        plan("chain, power, heavy", true, 0.0125, chain),
        plan("star, power, heavy", true, 2500.0, star),
    ];
    println!("{LOADS} loads a network");
    for p in &plans {
        let (net, ids) = network(p);
        let mut solver = Solver::new();
        let rounds = if short { 1 } else { 2000 };
        let mut times = Vec::with_capacity(rounds);
        let mut steps = 0;
        for _ in 0..rounds {
            let start = Instant::now();
            let outcome = solver.solve(black_box(&net)).unwrap();
            let solution = outcome.solution().expect("no collapse");
            times.push(start.elapsed().as_secs_f64());
            steps = black_box(solution.steps());
        }
        times.sort_by(f64::total_cmp);
        let tree = times[times.len() / 2];
        if short {
            continue;
        }
        let start = Instant::now();
        let (v, dense_steps) = dense(p);
        let lu = start.elapsed().as_secs_f64();
        let s = solver.solve(&net).unwrap().solution().unwrap();
        let worst = ids
            .iter()
            .zip(&v)
            .map(|(id, v)| (s.volts(*id).unwrap() / v - 1.0).abs())
            .fold(0.0f64, f64::max);
        assert!(worst < 1e-9, "{worst}");
        println!(
            "{:<28} {:6.1} us median, {:6.1} us best ({steps} steps, lowest {:.2} V); dense LU {:7.1} ms ({dense_steps} steps); ratio {:.0}; largest relative difference {worst:.1e}",
            p.name,
            tree * 1e6,
            times[0] * 1e6,
            s.lowest().1,
            lu * 1e3,
            lu / tree,
        );
    }
}
