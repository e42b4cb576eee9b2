//! A battery that does not last as long as the policy asks for.

use crate::rule::{Family, Findings, Rule};
use crate::words::{amps, charge, charge_up, hours_apart, hours_of, policy_source};
use curtilage_circuit::battery::Lasts;
use curtilage_diagnostic::Level;
use curtilage_facts::{Facts, Power, SECOND_H, Standby, Wells};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "standby-too-short",
    family: Family::Power,
    level: Level::Error,
    about: "a battery does not last as long as the policy asks for",
    page: include_str!("standby_too_short.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for (power, standby) in facts.power.iter().zip(&facts.standby) {
        if let Some(standby) = standby {
            finding(facts, power, standby, out);
        }
    }
}

fn finding<'a>(
    facts: &Facts<'_, 'a>,
    power: &Power<'a>,
    standby: &Standby<'a>,
    out: &mut Findings,
) {
    let Some(policy) = &facts.model.policy else { return };
    let Some(supply) = facts.model.supply(standby.supply) else { return };
    let (Ok(lasts), Ok(resting), Ok(alarm)) = (&standby.lasts, &standby.resting, &standby.alarm)
    else {
        return;
    };
    let name = supply.name.text;
    let (what, limit_at, asked, source) = match (*lasts, standby.standby, standby.alarm_time) {
        (Lasts::StandbyOnly(lasts), Some((wanted, at)), _) if lasts < wanted - SECOND_H => {
            let (lasts, wanted) = hours_apart(lasts, wanted);
            let what = format!("lasts {lasts} at {}", amps(*resting));
            let source = policy.tree.standby.and_then(|limit| limit.source);
            (what, at, wanted, source)
        }
        (Lasts::Alarm(lasts), before, Some((wanted, at))) if lasts < wanted - SECOND_H => {
            let after = match before {
                Some((standby, _)) => format!(" after {} of standby", hours_of(standby)),
                None => String::new(),
            };
            let (lasts, wanted) = hours_apart(lasts, wanted);
            let what = format!("lasts {lasts} of alarm at {}{after}", amps(*alarm));
            let source = policy.tree.alarm_time.and_then(|limit| limit.source);
            (what, at, wanted, source)
        }
        _ => return,
    };
    let battery = match supply.tree.battery {
        Some((count, part)) => {
            let span = count.map_or(part.span, |count| count.span.to(part.span));
            Place::new(supply.name.at.file, span)
        }
        None => supply.name.at,
    };
    let headline = format!("the battery of `{name}` {what}, the policy asks for {asked}");
    let model = match standby.wells {
        Ok(Wells::Kinetic(..)) => "the kinetic model",
        _ => "Peukert's law",
    };
    let rated = standby.rated_ah().map_or_else(|_| String::new(), charge);
    let mut finding = RULE
        .finds(headline, battery, format!("{rated}, by {model}"))
        .with_other(limit_at, format!("asks for {asked}{}", policy_source(facts, source)))
        .with_why("when the mains fails for longer, nothing watches and nothing sounds")
        .with_working(standby.working(facts.model, power))
        .with_about(name);
    if let Some(holds) = standby.battery.sheet.holds.first() {
        let at = standby.battery.place(holds.0.span);
        finding = finding.with_other(at, "its capacity");
    }
    let needed = standby.needed.as_ref().ok().copied().flatten();
    let enough = standby.enough(facts.model).map(|(count, part)| {
        let part = facts.model.part_name(part);
        if count == 1 { format!("battery  {part}") } else { format!("battery  {count} of {part}") }
    });
    let plain = standby.plain_sum.map_or_else(String::new, |sum| {
        format!("; the plain sum of ampere-hours alone would be {}", charge(sum))
    });
    finding = finding.with_help(match (enough, needed) {
        (Some(line), Some(needed)) => format!("{line}\n{} is needed{plain}", charge_up(needed)),
        (Some(line), None) => line,
        (None, Some(needed)) => {
            format!("a battery of {} over 20 h, or fewer loads{plain}", charge_up(needed))
        }
        (None, None) => "a larger battery, or fewer loads".to_owned(),
    });
    for (who, why) in &power.left_out {
        let text = format!("not counted: {}", why.because);
        finding = finding.with_other(who.name(facts.model).at, text);
    }
    out.push(finding);
}
