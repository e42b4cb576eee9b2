//! Loops as a fitter meets them: faults, readings explained, values that fit.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "tests"
)]

use curtilage_circuit::Interval;
use curtilage_circuit::ends::{
    Cause, Condition, Confusion, Divider, EndNetworkBuilder, EndsError, Gauge, Line, Loop,
    PartFault, PartId, Placement, Position, Requirement, Series, confusions, explain_reading,
    nearest_cause, place, preferred_values, propose,
};

fn iv(lo: f64, hi: f64) -> Interval {
    Interval::new(lo, hi).unwrap()
}

struct Double {
    l: Loop,
    /// The resistor across the contact.
    across: PartId,
    /// The resistor at the far end.
    far: PartId,
}

/// A break contact bridged by `across`, in series with `far`, both 1 %.
fn double(across: f64, far: f64, cable: Interval) -> Double {
    let mut b = EndNetworkBuilder::new();
    let c = b.contact(iv(0.0, 2.0), iv(1e7, f64::INFINITY)).unwrap();
    let pole = b.pole(c).unwrap();
    let across = b.resistor(across, 0.01).unwrap();
    let bridged = b.parallel(&[pole, across]).unwrap();
    let far = b.resistor(far, 0.01).unwrap();
    let root = b.series(&[bridged, far]).unwrap();
    Double { l: Loop::new(b.finish(root).unwrap(), cable, None).unwrap(), across, far }
}

const REST: Position = Position::Closed;
const ACTIVE: Position = Position::Open;

fn states() -> Vec<Vec<Position>> {
    vec![vec![REST], vec![ACTIVE]]
}

fn causes(d: &Double, ohm: f64) -> Vec<Cause> {
    let reading = Interval::with_tolerance(ohm, 0.005).unwrap();
    explain_reading(&d.l, &Gauge::Ohms, &states(), reading)
        .unwrap()
        .into_iter()
        .map(|m| {
            // What is reported can be computed again from the condition.
            assert_eq!(d.l.resistance(&m.condition).unwrap(), m.window);
            m.cause
        })
        .collect()
}

#[test]
fn each_reading_names_its_cause() {
    let d = double(2200.0, 4700.0, iv(3.0, 5.0));
    let part = |state, part, fault| Cause::Part { state, part, fault };
    use PartFault::{Open, Short};
    // At rest the bridged resistor carries nothing: missing or not, it reads the same.
    assert_eq!(
        causes(&d, 4704.0),
        [
            Cause::State(0),
            part(0, d.across, Open),
            part(0, d.across, Short),
            part(1, d.across, Short),
        ]
    );
    assert_eq!(causes(&d, 6904.0), [Cause::State(1)]);
    // Reads like the far resistor is bridged, contact open.
    assert_eq!(causes(&d, 2204.0), [part(1, d.far, Short)]);
    // Nothing but the cable: wires shorted, or the far resistor bridged at rest.
    assert_eq!(causes(&d, 4.0), [Cause::Line(Line::Shorted), part(0, d.far, Short)]);
    // Nothing conducts: the wire is cut, or the far resistor is missing.
    assert_eq!(
        causes(&d, 1e12),
        [part(1, d.across, Open)],
        "an open contact with no bridge is seen through its insulation"
    );
    let open = explain_reading(&d.l, &Gauge::Ohms, &states(), Interval::OPEN).unwrap();
    assert_eq!(
        open.iter().map(|m| m.cause).collect::<Vec<_>>(),
        [
            Cause::Line(Line::Cut),
            part(0, d.far, Open),
            part(1, d.across, Open),
            part(1, d.far, Open),
        ]
    );
    // Nothing reads 3 kohm; the nearest is named with its distance.
    assert_eq!(causes(&d, 3000.0), []);
    let reading = Interval::with_tolerance(3000.0, 0.005).unwrap();
    let miss = nearest_cause(&d.l, &Gauge::Ohms, &states(), reading).unwrap().unwrap();
    assert_eq!(miss.cause, part(1, d.far, Short));
    assert!((miss.distance - (3000.0 * 0.995 - (2222.0 + 5.0))).abs() < 0.3);
    // 4600 ohm lies just below four windows that begin alike: the state is named, not a fault.
    assert_eq!(causes(&d, 4600.0), []);
    let reading = Interval::with_tolerance(4600.0, 0.005).unwrap();
    let miss = nearest_cause(&d.l, &Gauge::Ohms, &states(), reading).unwrap().unwrap();
    assert_eq!(miss.cause, Cause::State(0));
}

#[test]
fn a_reading_in_volts_names_its_cause() {
    let d = double(2200.0, 4700.0, iv(3.0, 5.0));
    let divider = Divider::new(iv(4.9, 5.1), Interval::with_tolerance(4700.0, 0.01).unwrap());
    let g = Gauge::Volts(divider.unwrap());
    let found = explain_reading(&d.l, &g, &states(), iv(2.95, 3.0)).unwrap();
    assert_eq!(found[0].cause, Cause::State(1));
    assert_eq!(found.len(), 1);
    let found = explain_reading(&d.l, &g, &states(), iv(4.99, 5.0)).unwrap();
    assert_eq!(found[0].cause, Cause::Line(Line::Cut));
    let steps = d.l.explain(&Condition::healthy(&[ACTIVE]), Some(&divider.unwrap())).unwrap();
    assert_eq!(
        steps.iter().map(|s| s.symbol).collect::<Vec<_>>(),
        ["Rmin", "Rmax", "Umin", "Umax"]
    );
    // The printed formula gives the printed result from the printed inputs.
    for s in &steps[2..] {
        let [us, r, rp] = [s.inputs[0].value, s.inputs[1].value, s.inputs[2].value];
        assert!((us * r / (r + rp) / s.result - 1.0).abs() < 1e-14);
    }
    for s in &steps[..2] {
        let sum: f64 = s.inputs.iter().map(|q| q.value).sum();
        assert!((sum / s.result - 1.0).abs() < 1e-14);
    }
}

#[test]
fn cable_faults_and_double_faults() {
    let d = double(2200.0, 4700.0, iv(3.0, 5.0));
    let r = |c: &Condition| d.l.resistance(c).unwrap();
    let rest = Condition::healthy(&[REST]);
    assert_eq!(r(&rest.clone().with_line(Line::Cut)), Interval::OPEN);
    assert_eq!(r(&rest.clone().with_line(Line::ShortedNear)), Interval::ZERO);
    assert_eq!(r(&rest.clone().with_line(Line::ShortedFar)), iv(3.0, 5.0));
    assert_eq!(r(&rest.clone().with_line(Line::Shorted)), iv(0.0, 5.0));
    // What a meter is to show: a short anywhere on the cable, half of it.
    for (line, ohm) in [
        (Line::Cut, f64::INFINITY),
        (Line::ShortedNear, 0.0),
        (Line::ShortedFar, 4.0),
        (Line::Shorted, 2.0),
    ] {
        assert_eq!(d.l.nominal(&rest.clone().with_line(line)), Ok(ohm), "{line:?}");
    }
    // A cut hides an open contact; so does a short.
    for line in [Line::Cut, Line::ShortedNear, Line::ShortedFar] {
        let active = Condition::healthy(&[ACTIVE]).with_line(line);
        assert_eq!(r(&active), r(&rest.clone().with_line(line)));
    }
    // Active, and the far resistor bridged: the other resistor and the cable remain.
    let both = Condition::healthy(&[ACTIVE]).with_part(d.far, PartFault::Short);
    let w = r(&both);
    assert!((w.lo() - (2178.0 + 3.0)).abs() < 0.5 && (w.hi() - (2222.0 + 5.0)).abs() < 1e-9);
    // With leakage a cut is no longer infinite.
    let leaky = Loop::new(d.l.network().clone(), iv(3.0, 5.0), Some(1e5)).unwrap();
    let cut = leaky.resistance(&rest.clone().with_line(Line::Cut)).unwrap();
    assert_eq!(cut, iv(1e5, f64::INFINITY));
    assert!(leaky.resistance(&rest).unwrap().lo() < r(&rest).lo());
    assert_eq!(leaky.resistance(&rest).unwrap().hi(), r(&rest).hi());
}

#[test]
fn which_states_look_alike() {
    // A break contact in series with its resistor: open and cut are the same.
    let mut b = EndNetworkBuilder::new();
    let c = b.contact(Interval::ZERO, Interval::OPEN).unwrap();
    let pole = b.pole(c).unwrap();
    let r = b.resistor(4700.0, 0.01).unwrap();
    let root = b.series(&[pole, r]).unwrap();
    let l = Loop::new(b.finish(root).unwrap(), Interval::ZERO, None).unwrap();
    let windows: Vec<Interval> = [
        Condition::healthy(&[REST]),
        Condition::healthy(&[ACTIVE]),
        Condition::healthy(&[REST]).with_line(Line::Cut),
        Condition::healthy(&[REST]).with_line(Line::Shorted),
    ]
    .iter()
    .map(|c| l.resistance(c).unwrap())
    .collect();
    assert_eq!(confusions(&windows), [Confusion { first: 1, second: 2, shared: Interval::OPEN }]);
}

#[test]
fn placement_among_bands() {
    let bands = [iv(0.0, 100.0), iv(100.0, 200.0), iv(300.0, 400.0)];
    assert_eq!(place(iv(100.0, 150.0), &bands), Placement::Within(1));
    assert_eq!(place(iv(90.0, 110.0), &bands), Placement::Across(vec![0, 1]));
    assert_eq!(place(iv(190.0, 250.0), &bands), Placement::Across(vec![1]));
    assert_eq!(
        place(iv(210.0, 250.0), &bands),
        Placement::Outside { nearest: Some(1), distance: 10.0 }
    );
    assert_eq!(
        place(iv(50.0, 60.0), &[iv(0.0, 100.0), iv(40.0, 70.0)]),
        Placement::Across(vec![0, 1])
    );
    assert!(matches!(place(iv(1.0, 2.0), &[]), Placement::Outside { nearest: None, .. }));
}

fn required(active_band: usize) -> Vec<Requirement> {
    let rest = Condition::healthy(&[REST]);
    [
        (rest.clone(), 1),
        (Condition::healthy(&[ACTIVE]), active_band),
        (rest.clone().with_line(Line::Cut), 3),
        (rest.with_line(Line::Shorted), 0),
    ]
    .into_iter()
    .map(|(condition, band)| Requirement { condition, band })
    .collect()
}

/// Short, rest, active, cut.
fn bands() -> [Interval; 4] {
    [iv(0.0, 500.0), iv(800.0, 1300.0), iv(1700.0, 2600.0), iv(9000.0, f64::INFINITY)]
}

#[test]
fn values_that_fit_are_proposed() {
    // Values that fit are left alone.
    let d = double(1000.0, 1000.0, iv(0.0, 20.0));
    let p = propose(&d.l, &Gauge::Ohms, &bands(), &required(2)).unwrap().unwrap();
    assert!(p.values.is_empty() && p.margin > 0.1);

    // One is wrong: one is changed, to the E12 value of the widest margin.
    let d = double(1000.0, 4700.0, iv(0.0, 20.0));
    let p = propose(&d.l, &Gauge::Ohms, &bands(), &required(2)).unwrap().unwrap();
    assert_eq!(p.values, [(d.far, 1000.0)]);
    assert_eq!(p.series, Series::E12);

    // Both are wrong: both are changed, and the proposal fits indeed.
    let d = double(4700.0, 4700.0, iv(0.0, 20.0));
    let p = propose(&d.l, &Gauge::Ohms, &bands(), &required(2)).unwrap().unwrap();
    assert_eq!(p.values.len(), 2);
    let mut net = d.l.network().clone();
    for &(part, ohm) in &p.values {
        assert!(p.series.has(ohm));
        net = net.with_resistor(part, ohm).unwrap();
    }
    let mended = Loop::new(net, d.l.cable(), None).unwrap();
    for r in required(2) {
        let w = mended.resistance(&r.condition).unwrap();
        assert_eq!(place(w, &bands()), Placement::Within(r.band));
    }
    // No pair of the series does better.
    let mut best = 0.0f64;
    for a in preferred_values(Series::E12) {
        for b in preferred_values(Series::E12) {
            let margin = [
                (0.99 * b / 800.0, 1300.0 / (1.01 * b + 22.0)),
                (0.99 * (a + b) / 1700.0, 2600.0 / (1.01 * (a + b) + 20.0)),
            ]
            .iter()
            .fold(f64::INFINITY, |m, x| m.min(x.0.ln()).min(x.1.ln()));
            best = best.max(margin);
        }
    }
    assert!((p.margin - best).abs() < 2e-3, "{} {best}", p.margin);

    // A band too narrow for E12 is met from E24; one that nothing meets gives none.
    let narrow = |lo, hi| [iv(0.0, 500.0), iv(lo, hi), iv(2000.0, 4000.0), iv(9e3, f64::INFINITY)];
    let d = double(2200.0, 4700.0, iv(0.0, 1.0));
    let p = propose(&d.l, &Gauge::Ohms, &narrow(1060.0, 1140.0), &required(2)).unwrap().unwrap();
    assert_eq!((p.values, p.series), (vec![(d.far, 1100.0)], Series::E24));
    let none = propose(&d.l, &Gauge::Ohms, &narrow(1030.0, 1050.0), &required(2)).unwrap();
    assert_eq!(none, None);
    assert_eq!(
        propose(&d.l, &Gauge::Ohms, &bands()[..2], &required(2)),
        Err(EndsError::UnknownBand(2))
    );
}

/// Three resistors, none of which fits, within a search of 216,000 sets.
#[test]
fn three_values_are_proposed() {
    let mut b = EndNetworkBuilder::new();
    let mut resistors = Vec::new();
    let mut stages = Vec::new();
    for _ in 0..2 {
        let c = b.contact(iv(0.0, 2.0), Interval::OPEN).unwrap();
        let pole = b.pole(c).unwrap();
        let r = b.resistor(330.0, 0.01).unwrap();
        resistors.push(r);
        stages.push(b.parallel(&[pole, r]).unwrap());
    }
    let far = b.resistor(330.0, 0.01).unwrap();
    resistors.push(far);
    stages.push(far);
    let root = b.series(&stages).unwrap();
    let l = Loop::new(b.finish(root).unwrap(), iv(0.0, 10.0), None).unwrap();
    let bands =
        [iv(4000.0, 5500.0), iv(6000.0, 8000.0), iv(14_000.0, 16_000.0), iv(16_500.0, 18_500.0)];
    let wanted: Vec<Requirement> = [[REST, REST], [ACTIVE, REST], [REST, ACTIVE], [ACTIVE, ACTIVE]]
        .iter()
        .enumerate()
        .map(|(band, p)| Requirement { condition: Condition::healthy(p), band })
        .collect();
    let p = propose(&l, &Gauge::Ohms, &bands, &wanted).unwrap().unwrap();
    let parts: Vec<PartId> = p.values.iter().map(|v| v.0).collect();
    assert_eq!(parts, resistors);
    let ohms: Vec<f64> = p.values.iter().map(|v| v.1).collect();
    // With 2200 the sum of all three would lie 1.4 % from its edge, with 2700 4 %.
    assert_eq!(ohms, [2700.0, 10_000.0, 4700.0]);
}

/// Two contacts, each bridged by its resistor, and one or two more resistors, in series.
fn stages(ends: &[f64]) -> Loop {
    let mut b = EndNetworkBuilder::new();
    let mut stages = Vec::new();
    for _ in 0..2 {
        let c = b.contact(iv(0.0, 2.0), Interval::OPEN).unwrap();
        let (pole, r) = (b.pole(c).unwrap(), b.resistor(330.0, 0.01).unwrap());
        stages.push(b.parallel(&[pole, r]).unwrap());
    }
    stages.extend(ends.iter().map(|ohm| b.resistor(*ohm, 0.01).unwrap()));
    let root = b.series(&stages).unwrap();
    Loop::new(b.finish(root).unwrap(), iv(0.0, 10.0), None).unwrap()
}

/// Three are changed where there are just three, and then in E12 alone.
#[test]
fn three_of_four_values_are_not_changed() {
    let wanted = |bands: [Interval; 4]| {
        let states = [[REST, REST], [ACTIVE, REST], [REST, ACTIVE], [ACTIVE, ACTIVE]];
        let wanted = states.iter().enumerate();
        let wanted: Vec<Requirement> = wanted
            .map(|(band, p)| Requirement { condition: Condition::healthy(p), band })
            .collect();
        (bands, wanted)
    };
    let (bands, required) = wanted([
        iv(4000.0, 5500.0),
        iv(6000.0, 8000.0),
        iv(14_000.0, 16_000.0),
        iv(16_500.0, 18_500.0),
    ]);
    let three = propose(&stages(&[330.0]), &Gauge::Ohms, &bands, &required).unwrap();
    assert_eq!(three.map(|p| p.values.len()), Some(3));
    let four = propose(&stages(&[330.0, 10.0]), &Gauge::Ohms, &bands, &required).unwrap();
    assert_eq!(four, None);
    // 5.1, 2 and 11 kohm of E24 would fit.
    let (bands, required) = wanted([
        iv(5000.0, 5200.0),
        iv(6900.0, 7250.0),
        iv(15_800.0, 16_400.0),
        iv(17_600.0, 18_600.0),
    ]);
    let none = propose(&stages(&[330.0]), &Gauge::Ohms, &bands, &required).unwrap();
    assert_eq!(none, None);
}

/// In a band without an upper edge the margin grows with the resistor; the last of E12 below 1 Mohm is
/// the greatest.
#[test]
fn of_a_band_without_an_end_the_greatest_resistor_is_proposed() {
    let mut b = EndNetworkBuilder::new();
    let r = b.resistor(330.0, 0.01).unwrap();
    let l = Loop::new(b.finish(r).unwrap(), iv(0.0, 10.0), None).unwrap();
    let wanted = [Requirement { condition: Condition::healthy(&[]), band: 0 }];
    let bands = [iv(100_000.0, f64::INFINITY)];
    let p = propose(&l, &Gauge::Ohms, &bands, &wanted).unwrap().unwrap();
    assert_eq!((p.values, p.series), (vec![(r, 820_000.0)], Series::E12));
}

#[test]
fn values_that_fit_in_volts_are_proposed() {
    // The zone example of the SIA CP-01-2009 draft behind 680 ohm.
    let divider = Divider::new(iv(5.0, 5.0), Interval::with_tolerance(680.0, 0.01).unwrap());
    let g = Gauge::Volts(divider.unwrap());
    let bands = [iv(0.0, 0.75), iv(1.1, 4.1), iv(4.6, 5.0)];
    let mut b = EndNetworkBuilder::new();
    let c = b.contact(iv(0.0, 2.0), Interval::OPEN).unwrap();
    let pole = b.pole(c).unwrap();
    let r = b.resistor(4700.0, 0.05).unwrap();
    let root = b.series(&[pole, r]).unwrap();
    let l = Loop::new(b.finish(root).unwrap(), iv(0.0, 50.0), None).unwrap();
    let rest = Condition::healthy(&[REST]);
    let wanted: Vec<Requirement> =
        [(rest.clone(), 1), (Condition::healthy(&[ACTIVE]), 2), (rest.with_line(Line::Shorted), 0)]
            .into_iter()
            .map(|(condition, band)| Requirement { condition, band })
            .collect();
    let p = propose(&l, &g, &bands, &wanted).unwrap().unwrap();
    // Half way between the edges in volts is 2.6 V, so about 737 ohm.
    assert_eq!(p.values, [(r, 680.0)]);
    assert_eq!(p.series, Series::E12);
}

#[test]
fn a_network_is_checked_while_it_is_built() {
    let mut b = EndNetworkBuilder::new();
    let r = b.resistor(1000.0, 0.01).unwrap();
    assert!(b.resistor(0.0, 0.01).is_err() && b.resistor(1.0, -0.1).is_err());
    assert_eq!(b.series(&[]), Err(EndsError::EmptyGroup));
    assert_eq!(b.series(&[r, r]), Err(EndsError::PartUsedTwice(r)));
    let s = b.series(&[r]).unwrap();
    assert_eq!(b.parallel(&[r]), Err(EndsError::PartUsedTwice(r)));
    let lone = b.resistor(1000.0, 0.0).unwrap();
    assert_eq!(b.clone().finish(s).unwrap_err(), EndsError::PartUnused(lone));
    assert_eq!(b.clone().finish(r).unwrap_err(), EndsError::PartUsedTwice(r));
    let whole = b.series(&[s, lone]).unwrap();
    let net = b.finish(whole).unwrap();
    assert_eq!(
        net.resistance(&[REST], &[]),
        Err(EndsError::WrongNumberOfPositions { given: 1, contacts: 0 })
    );
    assert!(net.resistance(&[], &[]).unwrap().contains(2000.0));
    assert!(net.clone().with_resistor(whole, 1.0).is_err());
    assert_eq!(net.contacts(), 0);
}

/// Two poles of one contact move together; a group of 10,000 parts in depth is no
/// trouble.
#[test]
fn poles_move_together_and_depth_is_free() {
    let mut b = EndNetworkBuilder::new();
    let c = b.contact(Interval::ZERO, Interval::OPEN).unwrap();
    let (p, q) = (b.pole(c).unwrap(), b.pole(c).unwrap());
    let (r, s) = (b.resistor(100.0, 0.0).unwrap(), b.resistor(200.0, 0.0).unwrap());
    let x = b.series(&[p, r]).unwrap();
    let y = b.series(&[q, s]).unwrap();
    let mut root = b.parallel(&[x, y]).unwrap();
    for _ in 0..10_000 {
        let r = b.resistor(1.0, 0.0).unwrap();
        root = b.series(&[root, r]).unwrap();
    }
    let net = b.finish(root).unwrap();
    assert_eq!(net.contacts(), 1);
    let closed = net.resistance(&[REST], &[]).unwrap();
    assert!((closed.middle() - (10_000.0 + 200.0 / 3.0)).abs() < 1e-6);
    assert_eq!(net.resistance(&[ACTIVE], &[]).unwrap(), Interval::OPEN);
    assert_eq!(net.nominal(&[ACTIVE], &[]), Ok(f64::INFINITY));
}
