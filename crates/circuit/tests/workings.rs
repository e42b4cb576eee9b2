//! Each printed formula gives the printed result from the printed inputs; and what
//! mends a cable.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "tests"
)]

use curtilage_circuit::battery::{
    Duty, Kinetic, Rated, explain_ampere_hours, explain_recharge, explain_sized,
    explain_temperature_factor, recharge_hours,
};
use curtilage_circuit::conductor::{
    Class, Conductor, ConductorError, Leg, Size, awg_sizes, iec60228_sizes, longest_run,
    longest_run_within, smallest_size,
};
use curtilage_circuit::network::{
    Load, NetworkBuilder, NetworkError, Solver, Supply, allowed_loop_ohm,
};
use curtilage_circuit::working::{Mark, Step};
use curtilage_circuit::{BadInput, Interval};

/// The inputs of a step by name.
#[track_caller]
fn input(step: &Step, name: &str) -> f64 {
    let found = step.inputs.iter().find(|q| q.name == name);
    found.unwrap_or_else(|| panic!("no {name} in {step:?}")).value
}

#[track_caller]
fn same(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-12 * b.abs(), "{a} {b}");
}

#[test]
fn a_cable_shows_its_working() {
    let joint = Interval::new(0.001, 0.002).unwrap();
    let leg =
        |c| Leg::new(c, 40.0).unwrap().with_parallel(2).unwrap().with_joints(3, joint).unwrap();
    for (c, mark) in [
        (Conductor::iec60228(0.75, Class::Five).unwrap(), Mark::Confirmed),
        (Conductor::awg(22).unwrap(), Mark::Calculated),
        (Conductor::ideal(0.22).unwrap(), Mark::Calculated),
        (Conductor::stated(95.0, 0.004).unwrap(), Mark::Confirmed),
    ] {
        let steps = leg(c).explain(45.0).unwrap();
        let [first, heat, run] = steps.as_slice() else {
            panic!("{steps:?}");
        };
        assert_eq!(first.source.mark, mark);
        same(first.result, c.ohm_per_m_at_20() * 1000.0);
        let t = input(heat, "R20") * (1.0 + input(heat, "a") * (input(heat, "T") - 20.0));
        same(heat.result, t);
        let r = input(run, "R(T)") * input(run, "L") / input(run, "n")
            + input(run, "j") * input(run, "Rj");
        same(run.result, r);
        same(run.result, leg(c).ohm(45.0).unwrap());
    }
    let awg = Conductor::awg(22).unwrap().explain(20.0).unwrap();
    let d = 0.127 * 92f64.powf((36.0 - input(&awg[0], "n")) / 39.0);
    same(awg[0].result, 1000.0 * input(&awg[0], "rho") / (std::f64::consts::FRAC_PI_4 * d * d));
    assert!(Leg::new(awg_conductor(), -1.0).is_err());
    assert!(Leg::new(awg_conductor(), 1.0).unwrap().with_parallel(0).is_err());
    assert_eq!(Leg::new(awg_conductor(), 0.0).unwrap().ohm(20.0), Ok(0.0));
    assert!(matches!(
        awg_conductor().ohm_per_m(f64::NAN),
        Err(ConductorError::Input(BadInput::NotFinite { .. }))
    ));
}

fn awg_conductor() -> Conductor {
    Conductor::awg(22).unwrap()
}

#[test]
fn a_battery_shows_its_working() {
    let (q20, q10, q1) = (7.0, 6.6, 4.5);
    let b = Kinetic::from_three_rates(q20, q10, q1).unwrap();
    let steps = Kinetic::explain_three_rates(q20, q10, q1).unwrap();
    let [k, c, q] = steps.as_slice() else {
        panic!("{steps:?}");
    };
    same(k.result, b.k());
    let (f, e1, e2) = (input(c, "F"), input(c, "e1"), input(c, "e2"));
    let (t1, t2, kk) = (input(c, "t1"), input(c, "t2"), input(c, "k"));
    let top = f * e1 * t2 - e2 * t1;
    assert!((top / (top - kk * f * t1 * t2 + kk * t1 * t2) / c.result - 1.0).abs() < 1e-9);
    let kct = input(q, "k") * input(q, "c") * input(q, "t2");
    same(q.result, q20 * (input(q, "e2") * (1.0 - input(q, "c")) + kct) / kct);

    let f = |t: f64| b.c() * t + (1.0 - b.c()) * (1.0 - (-b.k() * t).exp()) / b.k();
    let duty = Duty::new(0.1, 24.0, 1.5, 0.5).unwrap();
    let s = &b.explain_lasts(&duty).unwrap()[0];
    let t = s.result;
    same(
        input(s, "c") * input(s, "Q"),
        input(s, "Is") * (f(input(s, "Ts") + t) - f(t)) + input(s, "Ia") * f(t),
    );
    let s = &b.explain(0.5).unwrap()[0];
    same(b.c() * b.q(), input(s, "I") * f(s.result));
    let steps = b.explain_needed(&duty);
    let s = steps.last().unwrap();
    let after = input(s, "Is") * (input(s, "f(Ts+Ta)") - input(s, "f(Ta)"))
        + input(s, "Ia") * input(s, "f(Ta)");
    let standby = input(s, "Is") * input(s, "f(Ts)");
    same(s.result, after.max(standby) / (input(s, "c") * input(s, "Q")));

    let p = Rated::new(7.0, 1.2).unwrap();
    let s = &p.explain(0.7).unwrap()[0];
    same(s.result, 20.0 * (input(s, "C") / (input(s, "I") * 20.0)).powf(input(s, "k")));
    let s = &p.explain(0.1).unwrap()[0];
    assert_eq!((s.formula, s.result), ("C / I", 70.0));
    assert_eq!(s.source.mark, Mark::CommonPractice);
    let steps = p.explain_lasts(&duty).unwrap();
    let s = steps.last().unwrap();
    same(s.result, (1.0 - 24.0 / 70.0) * p.hours(1.5).unwrap());
    same(s.result, (1.0 - input(s, "u")) * input(s, "t(Ia)"));
    assert_eq!(steps.iter().map(|s| s.symbol).collect::<Vec<_>>(), ["t", "t", "t"]);
    // Without a standby current nothing is used up before the alarm.
    let idle = Duty::new(0.0, 24.0, 1.5, 0.5).unwrap();
    let steps = p.explain_lasts(&idle).unwrap();
    let [alarm, s] = steps.as_slice() else {
        panic!("{steps:?}");
    };
    assert_eq!((input(s, "u"), input(s, "t(Ia)"), s.result), (0.0, alarm.result, alarm.result));
    let s = &p.explain_needed(&duty)[0];
    let need = Rated::new(s.result, 1.2).unwrap();
    same(24.0 / need.hours(0.1).unwrap() + 0.5 / need.hours(1.5).unwrap(), 1.0);

    let s = explain_ampere_hours(&duty, 1.25).unwrap();
    same(s.result, (0.1 * 24.0 + 1.5 * 0.5) * 1.25);
    assert_eq!(explain_sized(10.0, 1.19, 1.25, 1.1).unwrap().result, 10.0 * 1.19 * 1.25 * 1.1);
    assert_eq!(explain_temperature_factor(10.0).unwrap().result, 1.19);
    let s = explain_recharge(5.6, 0.4, 1.2).unwrap();
    same(s.result, input(&s, "Q") * input(&s, "f") / input(&s, "I"));
    same(s.result, 16.8);
    assert!(recharge_hours(5.6, 0.0, 1.2).is_err() && recharge_hours(5.6, 0.4, 0.9).is_err());
}

#[test]
fn a_node_shows_its_working() {
    let (mut b, root) = NetworkBuilder::new(Supply { volts: 13.8, ohm: 0.2 }).unwrap();
    let (x, _) = b.tap(root, 1.0).unwrap();
    let (y, _) = b.tap(x, 2.0).unwrap();
    b.load(x, Load::ConstantPower(3.0)).unwrap();
    b.load(y, Load::Resistance(40.0)).unwrap();
    let net = b.build().unwrap();
    let mut solver = Solver::new();
    let s = solver.solve(&net).unwrap().solution().unwrap();
    let steps = s.explain(y).unwrap();
    assert_eq!(steps.len(), 3);
    same(steps[0].result, input(&steps[0], "E") - input(&steps[0], "I") * input(&steps[0], "Ri"));
    for (step, before) in steps[1..].iter().zip(&steps) {
        assert_eq!(input(step, "U"), before.result);
        same(step.result, input(step, "U") - input(step, "I") * input(step, "R"));
    }
    assert_eq!(steps[2].result, s.volts(y).unwrap());
}

/// The longest run and the smallest size from the solver agree with the closed form.
#[test]
fn what_mends_a_cable() {
    let load = Load::ConstantPower(6.0);
    let (emf, least, hot) = (11.5, 10.5, 40.0);
    let works = |c: &Conductor, length: f64| -> Result<bool, NetworkError> {
        let r = 2.0 * Leg::new(*c, length).unwrap().ohm(hot).unwrap();
        let (mut b, root) = NetworkBuilder::new(Supply { volts: emf, ohm: 0.0 })?;
        let (far, _) = b.tap(root, r)?;
        b.load(far, load.clone())?;
        let net = b.build()?;
        let mut solver = Solver::new();
        let outcome = solver.solve(&net)?.solution();
        outcome.map_or(Ok(false), |s| Ok(s.volts(far)? >= least))
    };
    let c = Conductor::iec60228(0.5, Class::Five).unwrap();
    let budget = allowed_loop_ohm(emf, least, &load).unwrap().unwrap();
    let exact = longest_run_within(&c, budget, 0.0, hot).unwrap();
    let mut asked = 0;
    let found = longest_run(1000.0, 0.5, |l| {
        asked += 1;
        works(&c, l)
    });
    assert_eq!(found.unwrap(), Some((exact / 0.5).floor() * 0.5));
    assert!(asked < 15, "{asked}");
    assert!((15.0..25.0).contains(&exact), "{exact}");

    // 1.75 ohm allowed over 120 m at 40 degC: 1.5 mm2 has 1.72, 1 mm2 has 2.52.
    let size = smallest_size(iec60228_sizes(Class::Five), |c| works(c, 60.0)).unwrap();
    assert_eq!(size.unwrap().size(), Size::Mm2 { area: 1.5, class: Class::Five });
    assert!(!works(&Conductor::iec60228(1.0, Class::Five).unwrap(), 60.0).unwrap());
    let none = smallest_size(iec60228_sizes(Class::Five), |c| works(c, 60_000.0)).unwrap();
    assert_eq!(none, None);

    // All of it works; none of it does; joints use the budget up.
    let whole = longest_run::<BadInput>(100.0, 0.5, |_| Ok(true)).unwrap();
    assert_eq!(whole, Some(100.0));
    assert_eq!(longest_run::<BadInput>(100.0, 0.5, |_| Ok(false)).unwrap(), None);
    assert!(longest_run::<BadInput>(0.0, 0.5, |_| Ok(true)).is_err());
    assert_eq!(longest_run_within(&c, 1.0, 2.0, hot).unwrap(), 0.0);
    let sizes: Vec<Conductor> = iec60228_sizes(Class::One).collect();
    for pair in sizes.windows(2) {
        assert_eq!(pair[0].next_size_up(), Some(pair[1]));
    }
    assert_eq!(sizes.last().unwrap().next_size_up(), None);
    // 4/0 is the thickest gauge.
    assert_eq!(awg_sizes().last().unwrap().next_size_up(), None);
}
