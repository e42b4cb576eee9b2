//! The 1,000 tree networks of `circuit_trees.json`: solved by ngspice and by a dense
//! Newton solver, both outside this repository's code.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "tests"
)]

use curtilage_circuit::network::{Load, Network, NetworkBuilder, NodeId, Outcome, Solver, Supply};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Net {
    id: String,
    source: Source,
    root: String,
    edges: Vec<Edge>,
    loads: Vec<NetLoad>,
    expect: Expect,
}
#[derive(Deserialize)]
struct Source {
    v: f64,
    r: f64,
}
#[derive(Deserialize)]
struct Edge {
    from: String,
    to: String,
    r: f64,
    r_return: Option<f64>,
}
#[derive(Deserialize)]
struct NetLoad {
    node: String,
    kind: String,
    value: f64,
}
#[derive(Deserialize)]
struct Expect {
    status: String,
    v: Option<BTreeMap<String, f64>>,
    margin: Option<f64>,
}

fn fixture() -> Vec<Net> {
    serde_json::from_str(include_str!("../../../tests/fixtures/circuit_trees.json")).unwrap()
}

/// The network, edges in the fixture's order or reversed, loads likewise.
fn build(x: &Net, reversed: bool) -> (Network, BTreeMap<String, NodeId>) {
    let supply = Supply { volts: x.source.v, ohm: x.source.r };
    let (mut b, root) = NetworkBuilder::new(supply).unwrap();
    let mut ids = BTreeMap::from([(x.root.clone(), root)]);
    let mut edges: Vec<&Edge> = x.edges.iter().collect();
    let mut loads: Vec<&NetLoad> = x.loads.iter().collect();
    if reversed {
        edges.reverse();
        loads.reverse();
    }
    for e in edges {
        for name in [&e.from, &e.to] {
            if !ids.contains_key(name) {
                ids.insert(name.clone(), b.node().unwrap());
            }
        }
        let ohm = e.r + e.r_return.unwrap_or(e.r);
        let (from, to) =
            if reversed { (ids[&e.to], ids[&e.from]) } else { (ids[&e.from], ids[&e.to]) };
        b.edge(from, to, ohm).unwrap();
    }
    for l in loads {
        let load = match l.kind.as_str() {
            "I" => Load::ConstantCurrent(l.value),
            "P" => Load::ConstantPower(l.value),
            "R" => Load::Resistance(l.value),
            other => panic!("kind {other}"),
        };
        b.load(ids[&l.node], load).unwrap();
    }
    (b.build().unwrap(), ids)
}

#[test]
fn all_networks_agree_with_the_oracle() {
    let nets = fixture();
    assert_eq!(nets.len(), 1000);
    let mut solver = Solver::new();
    let (mut worst, mut worst_near, mut worst_margin) = (0.0f64, 0.0f64, 0.0f64);
    let (mut ok, mut collapsed, mut near) = (0, 0, 0);
    for x in &nets {
        for reversed in [false, true] {
            let (net, ids) = build(x, reversed);
            match (solver.solve(&net).unwrap(), x.expect.status.as_str()) {
                (Outcome::Collapsed(_), "collapse") => collapsed += 1,
                (Outcome::Solved(s), "ok") => {
                    ok += 1;
                    let want = x.expect.v.as_ref().unwrap();
                    assert_eq!(want.len(), net.nodes());
                    let margin = x.expect.margin.unwrap();
                    for (name, v) in want {
                        let d = (s.volts(ids[name]).unwrap() / v - 1.0).abs();
                        if margin < 0.01 {
                            near += 1;
                            worst_near = worst_near.max(d);
                        } else {
                            worst = worst.max(d);
                        }
                    }
                    worst_margin = worst_margin.max((s.margin().unwrap() - margin).abs());
                }
                (got, want) => panic!("{}: {got:?}, the oracle says {want}", x.id),
            }
        }
    }
    println!(
        "trees: {ok} solved, {collapsed} collapsed (each network twice); largest relative \
         deviation {worst:.2e}; near the fold {worst_near:.2e} over {near} voltages; margin {worst_margin:.2e}"
    );
    assert_eq!((ok, collapsed), (2 * 936, 2 * 64));
    assert!(worst <= 1e-9, "{worst}");
    assert!(worst_near <= 1e-6, "{worst_near}");
    assert!(worst_margin <= 1e-9, "{worst_margin}");
}

/// Kirchhoff's current law at every node, from the reported currents alone.
#[test]
fn currents_balance_at_every_node() {
    let mut solver = Solver::new();
    let mut worst = 0.0f64;
    let mut checked = 0;
    for x in &fixture() {
        let supply = Supply { volts: x.source.v, ohm: x.source.r };
        let (mut b, root) = NetworkBuilder::new(supply).unwrap();
        let mut ids = BTreeMap::from([(x.root.clone(), root)]);
        let mut edges = Vec::new();
        for e in &x.edges {
            let ohm = e.r + e.r_return.unwrap_or(e.r);
            let (to, id) = b.tap(ids[&e.from], ohm).unwrap();
            ids.insert(e.to.clone(), to);
            edges.push((ids[&e.from], to, id, ohm));
        }
        let mut loads = Vec::new();
        for l in &x.loads {
            let load = match l.kind.as_str() {
                "I" => Load::ConstantCurrent(l.value),
                "P" => Load::ConstantPower(l.value),
                _ => Load::Resistance(l.value),
            };
            loads.push((ids[&l.node], b.load(ids[&l.node], load).unwrap()));
        }
        let net = b.build().unwrap();
        let Some(s) = solver.solve(&net).unwrap().solution() else {
            continue;
        };
        let mut sum: BTreeMap<NodeId, f64> = BTreeMap::from([(root, s.supply_amps())]);
        for (from, to, id, ohm) in edges {
            let i = s.edge_amps(id).unwrap();
            *sum.entry(from).or_default() -= i;
            *sum.entry(to).or_default() += i;
            let drop = s.volts(from).unwrap() - s.volts(to).unwrap();
            worst = worst.max((drop - i * ohm).abs() / x.source.v);
        }
        for (node, id) in loads {
            *sum.entry(node).or_default() -= s.load_amps(id).unwrap();
        }
        let drop = x.source.v - s.volts(root).unwrap() - s.supply_amps() * x.source.r;
        worst = worst.max(drop.abs() / x.source.v);
        for (_, i) in sum {
            worst = worst.max(i.abs() / s.supply_amps());
        }
        checked += 1;
    }
    println!("currents: {checked} networks, largest residual {worst:.2e}");
    assert_eq!(checked, 936);
    assert!(worst <= 1e-12, "{worst}");
}
