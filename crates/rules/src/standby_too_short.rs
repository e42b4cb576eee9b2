//! A battery that does not last as long as the policy asks for.

use crate::rule::{Family, Findings, Rule};
use crate::words::{amps, charge, charge_up, hours_apart, hours_of, policy_source};
use curtilage_circuit::battery::Lasts;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Consumer, Facts, Power, SECOND_H, Standby, Wells};
use curtilage_model::{Named, Supply};
use curtilage_syntax::tree::{CurrentKind, part};
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
        match standby {
            Some(standby) => finding(facts, power, standby, out),
            None => out.list.extend(no_battery(facts, power)),
        }
    }
}

/// A supply without a battery, where the policy wants a standby and something that watches is fed
/// from it. One that feeds loads alone may stay without on purpose, and to one of alternating
/// current no battery can be said.
fn no_battery(facts: &Facts<'_, '_>, power: &Power<'_>) -> Option<Diagnostic> {
    let policy = facts.model.policy.as_ref()?;
    let supply = facts.model.supply(power.supply)?;
    let name = supply.name;
    if supply.tree.battery.is_some()
        || power.kind != Some(CurrentKind::Dc)
        || may_be_unread(facts, name)
    {
        return None;
    }
    let (standby, alarm) = (policy.tree.standby, policy.tree.alarm_time);
    let limit = standby.or(alarm)?;
    #[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
    let hours = limit.value.value as f64 / 3.6e6;
    let asked = hours_of(hours);
    let watches = |of: &Consumer| matches!(of, Consumer::Controller(_) | Consumer::Sensor(_));
    let draws = power.drawings.iter().map(|drawing| drawing.of);
    let mut watching = draws.chain(power.left_out.iter().map(|(of, _)| *of)).filter(watches);
    let first = watching.next()?.name(facts.model);
    let others = match watching.count() {
        0 => String::new(),
        more => format!(", and {more} more"),
    };
    let what = if standby.is_some() { "standby" } else { "alarm" };
    let headline = format!("`{}` has no battery, the policy asks for {asked} of {what}", name.text);
    let mut help = "battery  NUMBER of PART".to_owned();
    let resting = power.quiet.as_ref().ok().and_then(|case| case.source_amps());
    if let (Some(resting), Some(_), true) = (resting, standby, power.left_out.is_empty()) {
        let (drawn, sum) = (amps(resting), charge(resting * hours));
        help += &format!(
            "\n{drawn} at rest for {asked} are {sum} at least; cold, age and the alarm come on top"
        );
    }
    let at = Place::new(policy.file, limit.value.span);
    let finding = RULE
        .finds(headline, name.at, "no battery")
        .with_other(at, format!("asks for {asked}{}", policy_source(facts, limit.source)))
        .with_other(first.at, format!("is fed from it{others}"))
        .with_why("when the mains fails, nothing watches and nothing sounds")
        .with_help(help)
        .with_about(name.text);
    Some(finding)
}

/// Whether a statement that could not be read may be what gives a supply its battery: behind a brace
/// that is lost, it stands in no block.
fn may_be_unread(facts: &Facts<'_, '_>, supply: Named<'_>) -> bool {
    let doubt = &facts.doubt;
    let batteries =
        facts.model.parts.iter().filter(|part| matches!(part.body, part::Body::Battery(_)));
    doubt.holds(supply.at)
        || doubt.about_any("supply")
        || ["battery", supply.text].iter().any(|word| doubt.mentions(word))
        || batteries.map(|part| part.name.text).any(|name| doubt.mentions(name))
}

/// The words that name a supply's battery, or the supply.
pub(crate) fn battery_at(supply: &Supply<'_>) -> Place {
    supply.tree.battery.map_or(supply.name.at, |(count, part)| {
        let span = count.map_or(part.span, |count| count.span.to(part.span));
        Place::new(supply.name.at.file, span)
    })
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
    let headline = format!("the battery of `{name}` {what}, the policy asks for {asked}");
    let model = match standby.wells {
        Ok(Wells::Kinetic(..)) => "the kinetic model",
        _ => "Peukert's law",
    };
    let rated = standby.rated_ah().map_or_else(|_| String::new(), charge);
    let mut finding = RULE
        .finds(headline, battery_at(supply), format!("{rated}, by {model}"))
        .with_other(limit_at, format!("asks for {asked}{}", policy_source(facts, source)))
        .with_why("when the mains fails for longer, nothing watches and nothing sounds")
        .with_working(standby.working(facts.model, power))
        .with_about(name);
    if let Some(holds) = standby.battery.sheet.holds.first() {
        let at = standby.battery.place(holds.0.span);
        finding = finding.with_other(at, "its capacity");
    }
    let needed = standby.needed.as_ref().ok().copied().flatten();
    let enough = standby.enough(facts.model).map(|(count, part, needed)| {
        let part = facts.model.part_name(part);
        let line = if count == 1 { part.to_owned() } else { format!("{count} of {part}") };
        (format!("battery  {line}"), needed)
    });
    let plain = standby.plain_sum.map_or_else(String::new, |sum| {
        format!("; the plain sum of ampere-hours alone would be {}", charge(sum))
    });
    finding = finding.with_help(match (enough, needed) {
        (Some((line, of_it)), needed) => {
            // The working is that of the fitted one.
            let of_it = charge_up(of_it);
            let fitted = needed.map(charge_up).filter(|fitted| *fitted != of_it);
            match fitted {
                None => format!("{line}\n{of_it} is needed{plain}"),
                Some(fitted) => format!(
                    "{line}\n{of_it} of this one is needed; of the fitted one it would be {fitted}{plain}"
                ),
            }
        }
        (None, Some(needed)) => {
            let least = needed.max(standby.plain_sum.unwrap_or(0.0));
            format!("a battery of {} over 20 h, or fewer loads{plain}", charge_up(least))
        }
        (None, None) => "a larger battery, or fewer loads".to_owned(),
    });
    for (who, why) in &power.left_out {
        let text = format!("not counted: {}", why.because);
        finding = finding.with_other(who.name(facts.model).at, text);
    }
    out.push(finding);
}
