//! What was taken for granted, each with where it comes from.

use crate::table::{Table, cells};
use crate::words::{self, ohms, percent};
use curtilage_facts::{Facts, assumed};
use curtilage_units::significant;

/// (C) confirmed, (X) calculated, (M) from memory: see the notes below the table.
const MARKS: &str = "C: read in the source. X: calculated from what was read there. S: second-hand. M: from memory, not confirmed. common practice: no source.";

pub(crate) fn table(facts: &Facts<'_, '_>) -> Table {
    let head = ["what was assumed", "where it comes from"];
    let mut table = Table::new("assumptions", "What was assumed", &head);
    let practice = "common practice, no source";
    for (what, source) in [
        ("the site is wired as the file says, with the parts that it names, and each part is as its sheet says".to_owned(), "the site file and its parts"),
        ("resistance of copper at 20 degC: the most that IEC 60228 allows for a size and class; a size without a class counts as class 5; a size that is not in it as ideal copper, 1/58 ohm mm2/m".to_owned(), "IEC 60228, IEC 60028 (C)"),
        ("gauge sizes: d = 0.127 mm x 92^((36 - n) / 39)".to_owned(), "ASTM B258 (C)"),
        ("copper changes by 0.393 % a degree; conductors have the ambient temperature, their own heat is left out".to_owned(), "IEC 60028 (C)"),
        ("a real cable may have less resistance than the most of its standard: windows begin at none".to_owned(), practice),
        (format!("a closed contact has 0 ohm to {} when its sheet does not say", ohms(assumed::CLOSED_CONTACT)), practice),
        ("a resistor without a tolerance is exact".to_owned(), "the file says no more"),
        (format!("a meter is right to {}, and its leads have {}", percent(assumed::METER), ohms(assumed::LEADS)), practice),
        ("the worst case of a supply: end of discharge, hottest conductors, all on that can be on together; the best: highest voltage, coldest conductors, nothing on that is off at rest".to_owned(), practice),
        ("a rating of a contact says nothing about another kind of load".to_owned(), "Handbook for Sound Engineers, 13.2.3 (C)"),
        ("a battery with capacities over 20 h, 10 h and 1 h has two wells of charge (kinetic model); with one capacity it follows Peukert's law in its rated form".to_owned(), "calculated (X); Peukert: fxsolver.com (C)"),
        (format!("the cold makes a battery smaller: factor {} at 25 degC, {} at 10 degC", factor(25.0), factor(10.0)), "IEEE 485 table 1 (M)"),
        (format!("a battery is larger for its old age by {}, unless the policy says otherwise", significant(assumed::AGEING_FACTOR, 3)), "IEEE 485 (M)"),
        (format!("{} times of what was taken out is put back", significant(assumed::CHARGE_FACTOR, 3)), practice),
        ("footage: bit/s x s / 8, SI prefixes; events are not counted, since nobody knows how many come".to_owned(), "IEC 80000-13 (M)"),
        ("symbols of the drawings".to_owned(), "strokes after IEC 60617, clauses 02, 04, 05, 06, 07, 08, drawn by ourselves (C)"),
        ("schedules hold in an ordinary week; holidays and other dates stand in the site file".to_owned(), "the site file"),
    ] {
        table.row(cells![what, source]);
    }
    if let Some(policy) = &facts.model.policy {
        policy_rows(facts, policy, &mut table);
    }
    for allow in &facts.model.allows {
        let on = allow.on.map_or_else(String::new, |on| format!(" on {}", on.text));
        let until = allow.until.value;
        let until = format!("{:04}-{:02}-{:02}", until.year, until.month, until.day);
        let what = format!("exception: {}{on} is not told until {until}", allow.rule.text);
        table.row(cells![what, allow.because]);
    }
    table.note(MARKS);
    table
}

/// The factor of the table at a temperature.
fn factor(celsius: f64) -> String {
    let table = assumed::TEMPERATURE_FACTORS;
    let found = table.iter().find(|(at, _)| *at == celsius);
    found.map_or_else(|| "as the table says".to_owned(), |(_, factor)| significant(*factor, 4))
}

type Show = fn(f64) -> String;

/// The limits of the policy, with their sources.
fn policy_rows(facts: &Facts<'_, '_>, policy: &curtilage_model::Policy<'_>, table: &mut Table) {
    let model = facts.model;
    let tree = policy.tree;
    for (what, limit) in [
        ("limit: standby at least", tree.standby),
        ("limit: alarm after standby at least", tree.alarm_time),
        ("limit: a sounder runs at most", tree.sounder_run),
        ("limit: recharge at most", tree.recharge),
        ("limit: footage lasts at least", tree.retention),
    ] {
        if let Some(limit) = limit {
            let what = format!("{what} {}", words::time(limit.value.value));
            table.row(cells![what, words::source(model, &limit)]);
        }
    }
    let plain = |value: f64| significant(value, 4);
    let shows: [(&str, _, Show); 6] = [
        ("limit: spare of every supply at least", tree.spare, percent),
        ("factor of age", tree.ageing, plain),
        ("Peukert's exponent", tree.peukert, plain),
        ("factor of the plain sum", tree.plain_sum, plain),
        ("waste of cable", tree.waste, percent),
        ("resistance of a joint", tree.joint, ohms),
    ];
    for (what, limit, show) in shows {
        if let Some(limit) = limit {
            let what = format!("{what} {}", show(limit.value.value));
            table.row(cells![what, words::source(model, &limit)]);
        }
    }
    for (what, limit) in [("panic zones", tree.panic), ("tamper zones", tree.tamper)] {
        if let Some(limit) = limit {
            let mut demands = Vec::new();
            if limit.value.value.supervised {
                demands.push("supervised");
            }
            if limit.value.value.always {
                demands.push("armed always");
            }
            let what = format!("limit: {what} are {}", demands.join(" and "));
            table.row(cells![what, words::source(model, &limit)]);
        }
    }
}
