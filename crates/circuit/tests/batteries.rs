//! The 60 batteries of `battery.json`: a closed form in another language, and an
//! independent lead-acid model stepped by the minute.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "tests"
)]

use curtilage_circuit::battery::{Duty, Kinetic, Lasts, Rated, peukert_exponent};
use serde::Deserialize;

#[derive(Deserialize)]
struct Case {
    id: String,
    q20: f64,
    q10: f64,
    q1: f64,
    f_age: f64,
    #[serde(rename = "I")]
    amps: f64,
    kibam: Constants,
    kibam_hours: f64,
    #[serde(rename = "pysam_hours_20C")]
    pysam_hours: f64,
    #[serde(rename = "f_temp_at_T")]
    f_temp: f64,
    #[serde(rename = "pysam_hours_T")]
    pysam_hours_t: f64,
    peukert_k_20h_1h: f64,
    peukert_hours_no_ageing: f64,
    #[serde(rename = "I_below_20h_rate")]
    below_rate: bool,
    two_stage: Option<TwoStage>,
}
#[derive(Deserialize)]
struct Constants {
    c: f64,
    k_per_h: f64,
    qmax: f64,
}
#[derive(Deserialize)]
struct TwoStage {
    standby_h: f64,
    #[serde(rename = "I_alarm")]
    alarm_a: f64,
    alarm_hours_kibam: f64,
    alarm_hours_pysam: f64,
}

fn fixture() -> Vec<Case> {
    serde_json::from_str(include_str!("../../../tests/fixtures/battery.json")).unwrap()
}

fn off(got: f64, want: f64) -> f64 {
    if want == 0.0 { got.abs() } else { (got / want - 1.0).abs() }
}

#[test]
fn kinetic_hours_agree_with_both_oracles() {
    let cases = fixture();
    assert_eq!(cases.len(), 60);
    let (mut constants, mut own, mut minutes) = (0.0f64, 0.0f64, 0.0f64);
    let (mut two_own, mut two_minutes, mut two) = (0.0f64, 0.0f64, 0);
    for x in &cases {
        // Ageing scales all three capacities, so it scales the fitted battery.
        let fitted = Kinetic::from_three_rates(x.q20, x.q10, x.q1).unwrap();
        let b = fitted.scaled(x.f_age).unwrap();
        for (got, want) in [(b.c(), x.kibam.c), (b.k(), x.kibam.k_per_h), (b.q(), x.kibam.qmax)] {
            constants = constants.max(off(got, want));
        }
        let h = b.hours(x.amps).unwrap();
        own = own.max(off(h, x.kibam_hours));
        minutes = minutes.max((h - x.pysam_hours).abs() * 60.0);
        let Some(t) = &x.two_stage else { continue };
        two += 1;
        let duty = Duty::new(x.amps, t.standby_h, t.alarm_a, 1.0).unwrap();
        let lasts = b.lasts(&duty).unwrap();
        match lasts {
            Lasts::StandbyOnly(hours) => assert!(hours < t.standby_h, "{}", x.id),
            Lasts::Alarm(hours) => assert!(hours > 0.0, "{}", x.id),
            Lasts::ForEver => panic!("{}", x.id),
        }
        let hours = lasts.alarm_hours().unwrap();
        two_own = two_own.max(off(hours, t.alarm_hours_kibam));
        two_minutes = two_minutes.max((hours - t.alarm_hours_pysam).abs() * 60.0);

        // What it lasts is what it needs: the factor on itself is one.
        if hours > 0.0 {
            let duty = Duty::new(x.amps, t.standby_h, t.alarm_a, hours).unwrap();
            assert!((b.needed_factor(&duty) - 1.0).abs() < 1e-12, "{}", x.id);
        } else {
            let duty = Duty::new(x.amps, t.standby_h, t.alarm_a, 0.0).unwrap();
            assert!(b.needed_factor(&duty) > 1.0, "{}", x.id);
        }
    }
    println!(
        "battery: constants {constants:.2e}; hours {own:.2e} relative, {minutes:.2} min from the \
         independent model; two-stage ({two} cases) {two_own:.2e} relative, {two_minutes:.2} min"
    );
    assert_eq!(two, 42);
    assert!(constants <= 1e-6, "{constants}");
    assert!(own <= 1e-6 && two_own <= 1e-6, "{own} {two_own}");
    assert!(minutes <= 1.0 && two_minutes <= 1.0, "{minutes} {two_minutes}");
}

/// Scaling the capacity by temperature against the independent model, which removes
/// the charge that cold makes unusable from the wells as it goes.
#[test]
fn cold_scales_the_capacity() {
    let mut shares = Vec::new();
    for x in &fixture() {
        // The independent model starts full, so warmth above 20 degC adds nothing.
        let f = x.f_age * x.f_temp.min(1.0);
        let b = Kinetic::from_three_rates(x.q20, x.q10, x.q1).unwrap();
        let h = b.scaled(f).unwrap().hours(x.amps).unwrap();
        shares.push((h / x.pysam_hours_t, x.f_temp));
    }
    for factor in [1.04, 1.0, 0.8, 0.6] {
        let at = shares.iter().filter(|s| s.1 == factor);
        let (mut low, mut high, mut n) = (f64::INFINITY, 0.0f64, 0);
        for s in at {
            low = low.min(s.0);
            high = high.max(s.0);
            n += 1;
        }
        assert!(n >= 12, "{factor}: {n} cases");
        // Scaling is on the safe side, by less than one per cent.
        assert!(low > 0.99 && high < 1.0005, "{factor}: {low} {high}");
        println!(
            "battery, capacity factor {factor}: hours {low:.4} to {high:.4} of the independent model's over {n} cases"
        );
    }
}

#[test]
fn peukert_exponent_and_hours() {
    let (mut k_off, mut hours_off, mut at_rate, mut below) = (0.0f64, 0.0f64, 0, 0);
    for x in &fixture() {
        let k = peukert_exponent(20.0, x.q20, 1.0, x.q1).unwrap();
        k_off = k_off.max(off(k, x.peukert_k_20h_1h));
        let h = Rated::new(x.q20, k).unwrap().hours(x.amps).unwrap();
        if x.below_rate {
            // The fixture credits more than the rated capacity here; we never do.
            below += 1;
            assert!(h < x.peukert_hours_no_ageing, "{}", x.id);
            assert!(off(h, x.q20 / x.amps) < 1e-12, "{}", x.id);
        } else {
            at_rate += 1;
            hours_off = hours_off.max(off(h, x.peukert_hours_no_ageing));
        }
    }
    println!(
        "peukert: exponent {k_off:.2e}, hours {hours_off:.2e} relative over {at_rate} cases; \
         {below} below the 20 h rate credited with the rated capacity"
    );
    assert_eq!(at_rate + below, 60);
    assert!(at_rate > 20 && below > 20);
    assert!(k_off <= 1e-12 && hours_off <= 1e-12, "{k_off} {hours_off}");
}
