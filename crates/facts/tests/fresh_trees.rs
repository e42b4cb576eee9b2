//! Networks of other programs, written as site files and solved by way of their facts: parser,
//! names, cables with taps, feeds and loads all stand between the numbers and the answer.
//!
//! The committed networks were solved by ngspice and by a dense Newton solver. Where
//! `CURTILAGE_FRESH` names a folder (`tests/oracles/ngspice_trees.py` made `trees.json` in it),
//! those are solved too.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    reason = "tests"
)]

mod support;

use curtilage_facts::{Came, Consumer};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write as _;

#[derive(Deserialize)]
struct Net {
    id: String,
    source: Source,
    root: String,
    edges: Vec<Edge>,
    loads: Vec<Load>,
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
struct Load {
    node: String,
    kind: String,
    value: f64,
}

#[derive(Deserialize)]
struct Expect {
    status: String,
    v: Option<BTreeMap<String, f64>>,
    margin: Option<f64>,
    near: Option<bool>,
}

impl Expect {
    /// Whether the network stands so near to its collapse that two solvers may differ.
    fn is_near(&self) -> bool {
        self.near.unwrap_or(false) || self.margin.is_some_and(|margin| margin < 0.01)
    }
}

/// The network as a site: one cable with a tap for each node, a controller for each load. The wire
/// has 10 ohm/km, so 1 ohm out and back is 50 m. None when a figure cannot be written: a run of no
/// length, a load that draws nothing.
fn site(net: &Net) -> Option<String> {
    let mut parts = String::new();
    let mut taps = String::new();
    let mut controllers = String::new();
    let mut placed = vec![net.root.clone()];
    let mut left: Vec<&Edge> = net.edges.iter().collect();
    while !left.is_empty() {
        let ready = left.iter().position(|edge| placed.contains(&edge.from))?;
        let edge = left.remove(ready);
        let ohm = edge.r + edge.r_return.unwrap_or(edge.r);
        if ohm <= 0.0 {
            return None;
        }
        let from = if edge.from == net.root { "start".to_owned() } else { tap(&edge.from) };
        let metres = ohm / 0.02;
        writeln!(taps, "    tap {} at {metres:.17} m from {from}", tap(&edge.to)).unwrap();
        placed.push(edge.to.clone());
    }
    for (index, load) in net.loads.iter().enumerate() {
        if load.value <= 0.0 {
            return None;
        }
        let value = load.value;
        let draws = match load.kind.as_str() {
            "I" => format!("{value:.17} A at 1 V to 1000 V dc, constant current"),
            "P" => format!("{value:.17} W at 1 V to 1000 V dc, constant power"),
            // 1 V / R at 1 V.
            "R" => format!("{:.17} A at 0.5 V to 1 V dc, resistive", 1.0 / value),
            other => panic!("{other}"),
        };
        writeln!(parts, "part kind-{index} is controller {{ draws {draws} }}").unwrap();
        let place = if load.node == net.root {
            "main".to_owned()
        } else {
            format!("trunk.{}", tap(&load.node))
        };
        writeln!(controllers, "controller load-{index} is kind-{index} {{ fed from {place} }}")
            .unwrap();
    }
    let inside =
        if net.source.r > 0.0 { format!("inside {:.17} ohm", net.source.r) } else { String::new() };
    Some(format!(
        "site trial {{ timezone Europe/London\n ambient 20 degC to 20 degC\n }}
part source is supply {{ gives {:.17} V dc\n {inside}\n }}
part wire is cable {{ resistance 10 ohm/km }}
{parts}supply main is source
cable trunk is wire {{ from main\n{taps}}}
{controllers}",
        net.source.v
    ))
}

fn tap(node: &str) -> String {
    format!("tap-{}", node.to_lowercase().replace(['_', '.'], "-"))
}

/// How many networks agree, how many collapse, and the largest relative difference of a voltage.
fn solve_all(nets: &[Net], most: f64) -> (usize, usize, f64) {
    let (mut count, mut collapsed, mut worst) = (0, 0, 0.0_f64);
    for net in nets {
        let Some(text) = site(net) else { continue };
        support::with(&[&text], |facts| {
            let power = support::power(facts, "main");
            assert_eq!(power.drawings.len(), net.loads.len(), "{}", net.id);
            let case = power.worst.as_ref().unwrap();
            match (&*case.came, net.expect.status.as_str()) {
                _ if net.expect.is_near() => return,
                (Came::Collapsed(_), "collapse") => collapsed += 1,
                (Came::Solved { .. }, "ok") => {
                    let want = net.expect.v.as_ref().unwrap();
                    for drawing in &power.drawings {
                        let Consumer::Controller(id) = drawing.of else { panic!() };
                        let volts = case.volts(drawing.branch).unwrap();
                        let want = want[&net.loads[id.index()].node];
                        let off = (volts - want).abs() / want;
                        assert!(off < most, "{}: {volts}, wanted {want}", net.id);
                        worst = worst.max(off);
                    }
                }
                (came, status) => panic!("{}: {came:?}, wanted {status}", net.id),
            }
            count += 1;
        });
    }
    (count, collapsed, worst)
}

/// The committed networks, to 1e-9 (X: two solvers that are not ours).
#[test]
fn committed_networks_by_way_of_a_site_x() {
    let text = include_str!("../../../tests/fixtures/circuit_trees.json");
    let nets: Vec<Net> = serde_json::from_str(text).unwrap();
    let (count, collapsed, worst) = solve_all(&nets, 1e-9);
    println!(
        "{count} of {} networks, {collapsed} collapse, largest difference {worst:.2e}",
        nets.len()
    );
    assert!(count > 500 && collapsed > 50, "{count} {collapsed}");
}

/// Networks that ngspice has solved just now, to 1e-7, where there are any.
#[test]
fn fresh_networks_by_way_of_a_site() {
    let Ok(folder) = std::env::var("CURTILAGE_FRESH") else { return };
    let Ok(text) = std::fs::read_to_string(folder + "/trees.json") else { return };
    let nets: Vec<Net> = serde_json::from_str(&text).unwrap();
    let (count, collapsed, worst) = solve_all(&nets, 1e-7);
    println!(
        "{count} of {} fresh networks, {collapsed} collapse, largest difference {worst:.2e}",
        nets.len()
    );
    assert!(count * 10 > nets.len() * 8);
}
