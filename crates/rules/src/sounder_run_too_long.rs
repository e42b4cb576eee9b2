//! A sounder that runs longer at a stretch than the policy allows.

use crate::rule::{Family, Findings, Rule};
use crate::words::time;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
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
        if !sounds || cut_off || facts.doubt.holds(output.name.at) {
            continue;
        }
        let drives = facts.registering.iter().flat_map(|zone| &zone.drives);
        let of_output = drives.filter(|driven| driven.output == id);
        // One that stays on for good is longer than any limit.
        let worst = of_output.max_by_key(|driven| {
            if driven.latched { u64::MAX } else { driven.length.unwrap_or(0) }
        });
        let Some(worst) = worst else { continue };
        let name = output.name.text;
        let (headline, label) = match worst.length {
            _ if worst.latched => (
                format!(
                    "`{name}` sounds until somebody stops it, at most {} is allowed",
                    time(most)
                ),
                "no end is given".to_owned(),
            ),
            Some(length) if length > most => (
                format!("`{name}` sounds for {}, at most {} is allowed", time(length), time(most)),
                format!("on for {}", time(length)),
            ),
            _ => continue,
        };
        out.push(
            RULE.finds(headline, worst.line, label)
                .with_other(limit_at, format!("at most {}", time(most)))
                .with_why("neighbours and the by-law decide how long a sounder may sound, and a hand that reaches for it first")
                .with_help(format!("close  {name} for {}", time(most)))
                .with_help(format!("runs  at most {}    (in the output, where it has a timer of its own)", time(most)))
                .with_about(name),
        );
    }
}
