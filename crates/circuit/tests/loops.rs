//! The 100 supervised loops of `circuit_loops.json`: every corner solved by ngspice and
//! by hand, both outside this repository's code.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "tests"
)]

use curtilage_circuit::Interval;
use curtilage_circuit::ends::{
    Condition, ContactId, Divider, EndNetworkBuilder, Loop, PartId, Position, confusions, gaps,
};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Spec {
    id: String,
    supply: Supply,
    pullup: PullUp,
    cable: Cable,
    leak_min: Option<f64>,
    contact: Contact,
    #[serde(rename = "loop")]
    network: Expr,
    states: BTreeMap<String, BTreeMap<String, String>>,
    expect: Expect,
}
#[derive(Deserialize)]
struct Supply {
    vmin: f64,
    vmax: f64,
}
#[derive(Deserialize)]
struct PullUp {
    r: f64,
    tol: f64,
}
#[derive(Deserialize)]
struct Cable {
    rmin: f64,
    rmax: f64,
}
#[derive(Deserialize)]
struct Contact {
    closed: [f64; 2],
    open: f64,
}
#[derive(Deserialize)]
#[serde(untagged)]
enum Expr {
    Resistor { r: f64, tol: f64 },
    Contact { contact: String },
    Series { series: Vec<Expr> },
    Parallel { parallel: Vec<Expr> },
}
#[derive(Deserialize)]
struct Expect {
    states: BTreeMap<String, Window>,
    gaps: Vec<Gap>,
    separable: bool,
}
#[derive(Deserialize)]
struct Window {
    ratio_min: f64,
    ratio_max: f64,
    v_min: f64,
    v_max: f64,
}
#[derive(Deserialize)]
struct Gap {
    below: String,
    above: String,
    gap: f64,
}

/// The oracle floors cable and closed contact at 1 milliohm, for ngspice's sake.
const FLOOR: f64 = 1e-3;

fn add(
    b: &mut EndNetworkBuilder,
    e: &Expr,
    contact: &Contact,
    ids: &mut BTreeMap<String, ContactId>,
) -> PartId {
    match e {
        Expr::Resistor { r, tol } => b.resistor(*r, *tol).unwrap(),
        Expr::Contact { contact: name } => {
            let id = *ids.entry(name.clone()).or_insert_with(|| {
                let [lo, hi] = contact.closed;
                let closed = Interval::new(lo.max(FLOOR), hi.max(FLOOR)).unwrap();
                b.contact(closed, Interval::point(contact.open).unwrap()).unwrap()
            });
            b.pole(id).unwrap()
        }
        Expr::Series { series } => {
            let parts: Vec<PartId> = series.iter().map(|c| add(b, c, contact, ids)).collect();
            b.series(&parts).unwrap()
        }
        Expr::Parallel { parallel } => {
            let parts: Vec<PartId> = parallel.iter().map(|c| add(b, c, contact, ids)).collect();
            b.parallel(&parts).unwrap()
        }
    }
}

#[test]
fn all_loops_agree_with_the_oracle() {
    let text = include_str!("../../../tests/fixtures/circuit_loops.json");
    let specs: Vec<Spec> = serde_json::from_str(text).unwrap();
    assert_eq!(specs.len(), 100);
    let (mut worst, mut worst_gap, mut states, mut alike) = (0.0f64, 0.0f64, 0, 0);
    for s in &specs {
        let mut b = EndNetworkBuilder::new();
        let mut ids = BTreeMap::new();
        let root = add(&mut b, &s.network, &s.contact, &mut ids);
        let cable = Interval::new(s.cable.rmin.max(FLOOR), s.cable.rmax.max(FLOOR)).unwrap();
        let l = Loop::new(b.finish(root).unwrap(), cable, s.leak_min).unwrap();
        let d = Divider::new(
            Interval::new(s.supply.vmin, s.supply.vmax).unwrap(),
            Interval::with_tolerance(s.pullup.r, s.pullup.tol).unwrap(),
        )
        .unwrap();
        let mut names = Vec::new();
        let mut shares = Vec::new();
        assert_eq!(s.states.len(), s.expect.states.len());
        for (name, contacts) in &s.states {
            let mut positions = vec![Position::Open; ids.len()];
            for (contact, state) in contacts {
                positions[ids[contact].index()] = match state.as_str() {
                    "closed" => Position::Closed,
                    "open" => Position::Open,
                    other => panic!("state {other}"),
                };
            }
            let r = l.resistance(&Condition::healthy(&positions)).unwrap();
            let (share, volts) = (d.share(r), d.volts(r));
            let want = &s.expect.states[name];
            for (got, want) in [
                (share.lo(), want.ratio_min),
                (share.hi(), want.ratio_max),
                (volts.lo(), want.v_min),
                (volts.hi(), want.v_max),
            ] {
                worst = worst.max((got / want - 1.0).abs());
            }
            // Rounded outwards: the oracle's corners lie inside to a last digit.
            assert!(share.lo() <= want.ratio_min * (1.0 + 1e-15), "{}", s.id);
            assert!(share.hi() >= want.ratio_max * (1.0 - 1e-15), "{}", s.id);
            names.push(name.clone());
            shares.push(share);
            states += 1;
        }
        let found = gaps(&shares);
        assert_eq!(found.len(), s.expect.gaps.len());
        for (&(below, above, space), want) in found.iter().zip(&s.expect.gaps) {
            assert_eq!((&names[below], &names[above]), (&want.below, &want.above));
            worst_gap = worst_gap.max((space - want.gap).abs());
        }
        let separable = confusions(&shares).is_empty();
        assert_eq!(separable, s.expect.separable, "{}", s.id);
        alike += usize::from(!separable);
    }
    println!(
        "loops: {states} states, largest relative deviation {worst:.2e}, gaps {worst_gap:.2e}; \
         {alike} loops cannot be told apart"
    );
    assert_eq!(alike, 5);
    assert!(worst <= 1e-9, "{worst}");
    assert!(worst_gap <= 1e-9, "{worst_gap}");
}
