//! The order of items in a site file changes no figure.
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

mod support;

use curtilage_facts::Facts;
use std::collections::BTreeMap;

/// The items of a text: blocks and lone lines, with the comments before them left out.
fn items(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut open = 0usize;
    let mut more = false;
    for line in
        text.lines().filter(|line| !line.trim().is_empty() && !line.trim_start().starts_with('#'))
    {
        if open == 0 && !more {
            out.push(String::new());
        }
        let last = out.last_mut().unwrap();
        last.push_str(line);
        last.push('\n');
        let code = line.split('#').next().unwrap();
        open = open + code.matches('{').count() - code.matches('}').count();
        more = code.trim_end().ends_with(',');
    }
    out
}

/// Every figure by name, rounded to what a change of order may do to a sum.
fn figures(facts: &Facts<'_, '_>) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    let show = |value: f64| format!("{value:.9e}");
    for (power, standby) in facts.power.iter().zip(&facts.standby) {
        let name = facts.model.supply(power.supply).unwrap().name.text;
        for (index, drawing) in power.drawings.iter().enumerate() {
            // Two draws of one output differ by their place in the sheet.
            let same = power.drawings[..index].iter().filter(|one| one.of == drawing.of).count();
            let key = format!("{name} {} {same}", drawing.of.name(facts.model).text);
            let low = power.lowest(drawing).map(|found| found.map(|(volts, _)| show(volts)));
            let high = power.highest(drawing).map(|found| found.map(|(volts, _)| show(volts)));
            out.insert(key, format!("{low:?} {high:?}"));
        }
        let most = power.most_source_amps().map(|(amps, _)| show(amps));
        out.insert(format!("{name} amps"), format!("{most:?} {}", power.left_out.len()));
        if let Some(standby) = standby {
            let lasts = standby.lasts.as_ref().map(|lasts| lasts.alarm_hours().map(show));
            let (needed, recharge) = (&standby.needed, &standby.recharge);
            let needed = needed.as_ref().map(|needed| needed.map(show));
            let recharge = recharge.as_ref().map(|hours| show(*hours));
            out.insert(format!("{name} standby"), format!("{lasts:?} {needed:?} {recharge:?}"));
        }
    }
    for (zone, seen) in facts.model.zones.iter().zip(&facts.loops) {
        let states = seen.as_ref().map(|seen| {
            seen.states().iter().map(|s| format!("{:?} {:?}", s.name, s.ohms)).collect::<Vec<_>>()
        });
        let fault = seen.as_ref().map(|seen| seen.fault());
        out.insert(format!("zone {}", zone.name.text), format!("{states:?} {fault:?}"));
    }
    let outside = facts.readings.iter().filter(|held| held.outside).count();
    out.insert("readings".to_owned(), format!("{} {outside}", facts.readings.len()));
    out
}

#[test]
fn the_order_of_items_changes_no_figure() {
    let museum = include_str!("../../../examples/sites/museum.site");
    let warehouse = include_str!("../../../examples/sites/warehouse.site");
    let parts = include_str!("../../../examples/parts/general.site");
    let strict = include_str!("../../../examples/policy/strict.site");
    for site in [museum, warehouse] {
        let mut items = items(site);
        let want = support::with(&[&items.concat(), parts, strict], figures);
        assert!(want.len() > 30, "{}", want.len());
        let mut state = 20_261_125u64;
        for _ in 0..20 {
            // Fisher and Yates with a 64-bit linear congruential generator.
            for index in (1..items.len()).rev() {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                let other = usize::try_from(state >> 33).unwrap() % (index + 1);
                items.swap(index, other);
            }
            let got = support::with(&[&items.concat(), parts, strict], figures);
            for (key, value) in &want {
                assert_eq!(got.get(key), Some(value), "{key}");
            }
        }
    }
}
