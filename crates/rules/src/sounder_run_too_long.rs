//! A sounder that runs longer at a stretch than the policy allows.

use crate::rule::{Family, Findings, Rule};
use crate::sounding::runs;
use crate::words::{time, times};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_facts::events::rests_on;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "sounder-run-too-long",
    family: Family::Behaviour,
    level: Level::Warning,
    about: "a sounder runs longer at a stretch than the policy allows",
    page: include_str!("sounder_run_too_long.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let Some(policy) = &model.policy else { return };
    let Some(limit) = policy.tree.sounder_run else { return };
    let most = limit.value.value;
    let limit_at = Place::new(policy.file, limit.line);
    for (id, output) in model.outputs_by_id() {
        let sounds = output.loads.iter().flatten().any(|(_, load)| load.sheet.loudness.is_some());
        // A timer of its own that cuts out in time is enough.
        let cut_off = output.tree.most.is_some_and(|own| own.value <= most);
        // One that sounds at rest is on for as long as nobody switches it off, which is meant.
        if !sounds || cut_off || rests_on(model, id) || facts.doubt.holds(output.name.at) {
            continue;
        }
        // One that stays on for good is longer than any limit.
        let runs = runs(facts, id);
        let worst = runs.iter().max_by_key(|run| run.length.unwrap_or(u64::MAX));
        let Some(worst) = worst else { continue };
        let name = output.name.text;
        // A timer of its own that cuts out too late still ends it.
        let own = output.tree.most.map(|own| own.value);
        let length = [worst.length, own].into_iter().flatten().min();
        let (headline, label) = match length {
            None => (
                format!(
                    "`{name}` sounds until somebody stops it, at most {} is allowed",
                    time(most)
                ),
                "no end is given".to_owned(),
            ),
            Some(length) if length > most => (
                format!("`{name}` sounds for {}, at most {} is allowed", time(length), time(most)),
                match (worst.held, worst.before.as_slice()) {
                    (Some(held), _) => {
                        let (each, times) = (time(held.each), times(held.times));
                        format!("on for {each}, {times} without a pause")
                    }
                    (None, []) => format!("on for {}", time(length)),
                    (None, _) => format!("on for {}, with what comes before it", time(length)),
                },
            ),
            _ => continue,
        };
        let mut finding = RULE
            .finds(headline, worst.line, label)
            .with_other(limit_at, format!("at most {}", time(most)));
        for before in &worst.before {
            finding =
                finding.with_other(*before, "before it, by the same event and without a pause");
        }
        if let Some(held) = worst.held
            && let Some(zone) = model.zone(held.zone)
            && let Some(limit) = zone.tree.repeats
        {
            let (name, times) = (zone.name.text, times(held.times));
            let at = Place::new(zone.name.at.file, limit.span);
            finding =
                finding.with_other(at, format!("`{name}` registers {times} if it stays active"));
        }
        finding = finding
            .with_why("neighbours and the by-law decide how long a sounder may sound, and a hand that reaches for it first");
        if let Some(help) = worst.shorter(model, id, most) {
            finding = finding.with_help(help);
        }
        if let Some(held) = worst.held
            && let Some(zone) = model.zone(held.zone)
            && let Some(fewer) = most.checked_div(held.each).filter(|fewer| *fewer > 0)
        {
            let name = zone.name.text;
            finding =
                finding.with_help(format!("repeats  at most {fewer} per arming    (in `{name}`)"));
        }
        let timer = format!(
            "runs  at most {}    (in the output, where it has a timer of its own)",
            time(most)
        );
        out.push(finding.with_help(timer).with_about(name));
    }
}
