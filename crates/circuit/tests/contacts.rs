//! Contact loads: verdicts, rows, chains.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "tests"
)]

use curtilage_circuit::contact::{
    Category, ContactLoad, Covered, Current, Duty, LoadKind, NotRated, RatingRow, Relay, Verdict,
    check, interposing_chain, worst,
};

fn row(volts: f64, current: Current, duty: Duty, amps: f64) -> RatingRow {
    RatingRow::new(volts, current, duty, amps, None).unwrap()
}

fn dc(volts: f64, kind: LoadKind, amps: f64) -> ContactLoad {
    ContactLoad::new(volts, Current::Dc, kind, amps).unwrap()
}

const DC13: Duty = Duty::Category(Category::Dc13);

#[test]
fn a_row_covers_lower_voltages_and_nothing_is_interpolated() {
    let rows = [
        row(24.0, Current::Dc, Duty::Resistive, 5.0),
        row(110.0, Current::Dc, Duty::Resistive, 0.4),
    ];
    let v = |volts, amps| check(&rows, &dc(volts, LoadKind::Resistive, amps));
    assert!(matches!(v(12.0, 4.0), Verdict::Within { row: 0, used, .. } if used == 0.8));
    assert!(matches!(v(24.0, 5.0), Verdict::Within { row: 0, used: 1.0, .. }));
    assert!(matches!(v(24.0, 5.001), Verdict::Exceeds { row: 0, .. }));
    // At 25 V only the row for 110 V holds, though 5 A would be almost allowed at 24 V.
    assert!(matches!(v(25.0, 0.4), Verdict::Within { row: 1, .. }));
    assert!(matches!(v(25.0, 0.8), Verdict::Exceeds { row: 1, factor: 2.0, by: Covered::Running }));
    assert!(matches!(v(220.0, 0.1), Verdict::OverVoltage { row: 1, factor: 2.0 }));
}

#[test]
fn a_rating_says_nothing_about_other_kinds() {
    let why = |rows: &[RatingRow], load: &ContactLoad| match check(rows, load) {
        Verdict::NotRated(why) => why,
        other => panic!("{other:?}"),
    };
    let coil = dc(24.0, LoadKind::Inductive, 0.1);
    assert_eq!(why(&[], &coil), NotRated::NoRows);
    let ac = [row(230.0, Current::Ac, Duty::Resistive, 10.0)];
    assert_eq!(why(&ac, &coil), NotRated::OtherCurrent);
    let plain = [row(24.0, Current::Dc, Duty::Resistive, 10.0), ac[0]];
    assert_eq!(why(&plain, &coil), NotRated::OtherLoad);
    assert_eq!(why(&plain, &dc(24.0, LoadKind::Lamp, 0.1)), NotRated::OtherLoad);
    // A category under the wrong kind of current is no promise.
    let odd = [row(24.0, Current::Dc, Duty::Category(Category::Ac15), 10.0)];
    assert_eq!(why(&odd, &coil), NotRated::OtherCurrent);
    // A row for a coil covers a plain resistance.
    let coil_row = [row(24.0, Current::Dc, DC13, 1.0)];
    assert!(check(&coil_row, &dc(24.0, LoadKind::Resistive, 1.0)).is_within());
    assert!(check(&coil_row, &coil).is_within());
}

#[test]
fn making_limits_follow_the_category() {
    let at = |duty, running: f64, inrush: f64| {
        let load = ContactLoad::new(230.0, Current::Ac, LoadKind::Inductive, running)
            .unwrap()
            .with_inrush(inrush)
            .unwrap();
        check(&[row(240.0, Current::Ac, duty, 1.0)], &load)
    };
    let ac15 = Duty::Category(Category::Ac15);
    assert!(at(ac15, 1.0, 10.0).is_within());
    assert!(matches!(
        at(ac15, 0.5, 12.0),
        Verdict::Exceeds { by: Covered::Inrush, factor, .. } if (factor - 1.2).abs() < 1e-12
    ));
    assert!(matches!(at(Duty::Inductive, 0.5, 1.5), Verdict::Exceeds { by: Covered::Inrush, .. }));
    // AC-14 ends at 72 VA.
    let ac14 = Duty::Category(Category::Ac14);
    assert!(at(ac14, 0.3, 1.5).is_within());
    assert!(matches!(
        at(ac14, 0.4, 1.5),
        Verdict::NotRated(NotRated::AboveAc14 { va }) if (va - 92.0).abs() < 1e-9
    ));
    let load = ContactLoad::new(230.0, Current::Ac, LoadKind::Inductive, 0.5)
        .unwrap()
        .with_inrush(12.0)
        .unwrap();
    for (amps, im, x, xp) in [(1.0, 10.0, 0.5, 1.2), (2.0, 20.0, 0.25, 0.6)] {
        let rows = [row(240.0, Current::Ac, ac15, amps)];
        let verdict = check(&rows, &load);
        let steps = verdict.explain(&rows, &load);
        assert_eq!(
            steps.iter().map(|s| (s.symbol, s.result)).collect::<Vec<_>>(),
            [("Im", im), ("x", x), ("xp", xp)]
        );
        assert_eq!(steps[0].source.mark.letter(), 'S');
    }
}

#[test]
fn an_inrush_of_electronics_counts_on_every_row() {
    let load = dc(12.0, LoadKind::Resistive, 0.5).with_inrush(10.0).unwrap();
    for duty in [Duty::Resistive, Duty::Lamp, DC13] {
        let v = check(&[row(30.0, Current::Dc, duty, 2.0)], &load);
        assert!(
            matches!(v, Verdict::Exceeds { by: Covered::Inrush, factor: 5.0, .. }),
            "{duty:?} {v:?}"
        );
    }
}

#[test]
fn the_best_row_is_used_and_the_worst_verdict_kept() {
    let rows = [row(48.0, Current::Dc, DC13, 0.5), row(24.0, Current::Dc, DC13, 2.0)];
    let within = check(&rows, &dc(24.0, LoadKind::Inductive, 1.0));
    assert_eq!(within, Verdict::Within { row: 1, by: Covered::Running, used: 0.5 });
    let over = check(&rows, &dc(30.0, LoadKind::Inductive, 1.0));
    assert!(matches!(over, Verdict::Exceeds { row: 0, factor: 2.0, .. }));
    assert_eq!(worst(within, over), over);
    assert_eq!(worst(over, within), over);
    let unknown = Verdict::NotRated(NotRated::OtherLoad);
    assert_eq!(worst(unknown, within), unknown);
    assert_eq!(worst(unknown, over), over);
}

#[test]
fn of_equals_the_first_is_named() {
    // Two rows for the same voltage, both too low: the first.
    let rows = [row(24.0, Current::Dc, DC13, 0.5), row(24.0, Current::Dc, DC13, 2.0)];
    let over = check(&rows, &dc(30.0, LoadKind::Inductive, 0.1));
    assert_eq!(over, Verdict::OverVoltage { row: 0, factor: 1.25 });
    // Two rows with the same room: the first.
    let rows = [row(30.0, Current::Dc, DC13, 2.0), row(24.0, Current::Dc, DC13, 2.0)];
    let within = check(&rows, &dc(24.0, LoadKind::Inductive, 0.5));
    assert_eq!(within, Verdict::Within { row: 0, by: Covered::Running, used: 0.25 });
    // Two verdicts that are as bad: the first.
    let other = Verdict::Within { row: 1, by: Covered::Inrush, used: 0.25 };
    assert_eq!((worst(within, other), worst(other, within)), (within, other));
    let [load, current] = [NotRated::OtherLoad, NotRated::OtherCurrent].map(Verdict::NotRated);
    assert_eq!((worst(load, current), worst(current, load)), (load, current));
}

#[test]
fn the_shortest_chain_of_relays() {
    let weak = [row(30.0, Current::Dc, DC13, 0.05)];
    let small = [row(30.0, Current::Dc, DC13, 1.0)];
    let large = [row(30.0, Current::Dc, DC13, 16.0)];
    let relay = |coil: f64, contact| Relay { coil: dc(13.8, LoadKind::Inductive, coil), contact };
    let siren = dc(13.8, LoadKind::Inductive, 6.0);
    let relays = [relay(0.5, &large[..]), relay(0.04, &small[..])];
    let carries = |rows: &[RatingRow]| check(rows, &siren).is_within();
    assert_eq!(interposing_chain(&large, carries, &relays, 3), Some(vec![]));
    assert_eq!(interposing_chain(&small, carries, &relays, 3), Some(vec![0]));
    assert_eq!(interposing_chain(&weak, carries, &relays, 3), Some(vec![1, 0]));
    assert_eq!(interposing_chain(&weak, carries, &relays, 1), None);
    assert_eq!(interposing_chain(&weak, carries, &relays[..1], 3), None);
    let direct = [relays[0], relays[1], relay(0.03, &large[..])];
    assert_eq!(interposing_chain(&weak, carries, &direct, 3), Some(vec![2]));
}

#[test]
fn bad_figures_are_refused() {
    assert!(RatingRow::new(0.0, Current::Dc, Duty::Resistive, 1.0, None).is_err());
    assert!(RatingRow::new(24.0, Current::Dc, Duty::Resistive, f64::NAN, None).is_err());
    assert!(RatingRow::new(24.0, Current::Dc, Duty::Lamp, 1.0, Some(-1.0)).is_err());
    assert!(ContactLoad::new(24.0, Current::Dc, LoadKind::Lamp, 0.0).is_err());
    let load = dc(24.0, LoadKind::Lamp, 1.0);
    assert!(load.with_inrush(f64::INFINITY).is_err());
    assert_eq!(load.with_inrush(0.5).unwrap().inrush_amps(), 1.0);
    assert!(load.with_time_constant(0.0).is_err());
}
