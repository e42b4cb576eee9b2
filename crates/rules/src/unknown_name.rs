//! A name that nothing has, or that something of another kind has.

use crate::RULES;
use crate::choices::things;
use crate::rule::{Family, Findings, Rule};
use crate::words::did_you_mean;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Facts, Hours};
use curtilage_model::{Fault, FaultKind, Kind};
use curtilage_syntax::nearest;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "unknown-name",
    family: Family::Text,
    level: Level::Error,
    about: "a name that nothing has",
    page: include_str!("unknown_name.md"),
    from_absence: false,
    check,
};

/// What is not known may be what a statement says that could not be read, when that one mentions it; what
/// else stands in the same item is judged by itself, so that a line that is just being typed hides no other.
fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let mut found = Findings::default();
    names(facts, &mut found);
    let doubt = &facts.doubt;
    found.list.retain(|finding| {
        !doubt.unread(finding.at.at) && !finding.about.iter().any(|name| doubt.mentions(name))
    });
    out.list.append(&mut found.list);
}

fn names(facts: &Facts<'_, '_>, out: &mut Findings) {
    for fault in &facts.model.faults {
        if let Some(finding) = word(facts, fault) {
            out.push(finding);
        }
    }
    let model = facts.model;
    if let Some(zone) = model.site.as_ref().and_then(|site| site.timezone)
        && let Some(near) = Hours::unknown_zone(zone.text)
    {
        let headline = format!("there is no time zone `{}`", zone.text);
        let finding = RULE.finds(headline, zone.at, "not in the IANA time zone database");
        // A sign stands in quotes alone.
        let near = near.map(|near| if near.contains('+') { format!("\"{near}\"") } else { near });
        out.push(did_you_mean(finding, near.as_deref(), zone.at));
    }
    let mut rules = Vec::new();
    rules.extend(model.allows.iter().map(|allow| (allow.rule.text, allow.rule.at)));
    if let Some(policy) = model.policy.as_ref().filter(|policy| policy.file == model.root_file()) {
        for said in &policy.tree.levels {
            let at = Place::new(policy.file, said.rule.span);
            rules.push((model.text(at), at));
        }
    }
    for (name, at) in rules {
        if crate::rule(name).is_none() {
            let near = nearest(name, RULES.iter().map(|rule| rule.name));
            let finding = RULE.finds(format!("there is no rule `{name}`"), at, "no such rule");
            out.push(did_you_mean(finding, near, at));
        }
    }
    let on = || model.allows.iter().filter_map(|allow| allow.on);
    let names = if on().next().is_some() { model.names() } else { Vec::new() };
    for on in on() {
        if !names.contains(&on.text) {
            let near = nearest(on.text, names.iter().copied());
            let headline = format!("nothing is called `{}`", on.text);
            let finding = RULE.finds(headline, on.at, "not known").with_about(on.text);
            out.push(did_you_mean(finding, near, on.at));
        }
    }
}

fn what_there_is(
    facts: &Facts<'_, '_>,
    finding: Diagnostic,
    wanted: Kind,
    at: Place,
) -> Diagnostic {
    match things(facts, wanted, at) {
        Some(help) => finding.with_help(help),
        None => finding,
    }
}

fn word(facts: &Facts<'_, '_>, fault: &Fault) -> Option<Diagnostic> {
    let shared = |kind: Kind| matches!(kind, Kind::Schedule) || kind.noun().ends_with("part");
    match &fault.kind {
        FaultKind::UnknownName { name, wanted, nearest } => {
            let said_in = match wanted {
                Kind::Area | Kind::AreaOrZone | Kind::People | Kind::Actor => Some("site"),
                Kind::Preset => Some("camera"),
                _ => None,
            };
            let unread = said_in.is_some_and(|word| facts.doubt.about_any(word));
            if unread || facts.doubt.missing_file() && shared(*wanted) {
                return None;
            }
            let verb = if *wanted == Kind::People { "are" } else { "is" };
            let headline = format!("`{name}` is not known; {} {verb} wanted here", wanted.words());
            let finding = RULE.finds(headline, fault.at, "not known").with_about(name.as_str());
            Some(match nearest {
                Some((near, place)) => {
                    let finding = did_you_mean(finding, Some(near), fault.at);
                    match place {
                        Some(place) => finding.with_other(*place, "named here"),
                        None => finding,
                    }
                }
                None if *wanted == Kind::People => {
                    finding.with_help(format!("people  {name}    (in the site)"))
                }
                None if shared(*wanted) => {
                    finding.with_help("is the file that has it taken with `use \"FILE\"`?")
                }
                None => what_there_is(facts, finding, *wanted, fault.at),
            })
        }
        FaultKind::WrongKind { name, wanted, is, defined } => {
            let headline = format!("`{name}` is {}; {} is wanted here", is.words(), wanted.words());
            let finding = RULE
                .finds(headline, fault.at, is.words())
                .with_other(*defined, "named here")
                .with_about(name.as_str());
            Some(what_there_is(facts, finding, *wanted, fault.at))
        }
        FaultKind::UnknownTap { .. } if facts.doubt.about_any("cable") => None,
        FaultKind::UnknownTap { cable, tap, known } => {
            if let Some(below) = below(facts, cable, tap) {
                let headline = format!("tap `{tap}` of cable `{cable}` stands below this one");
                let help = format!("put the line of `tap  {tap}` above: taps are read in order");
                return Some(
                    RULE.finds(headline, fault.at, "starts from a tap that comes later")
                        .with_other(below, "stands here")
                        .with_help(help)
                        .with_about(cable.as_str())
                        .with_about(tap.as_str()),
                );
            }
            let headline = if tap.is_empty() {
                format!("cable `{cable}` needs a tap here")
            } else {
                format!("cable `{cable}` has no tap `{tap}`")
            };
            let near = nearest(tap, known.iter().map(String::as_str));
            let label = if tap.is_empty() {
                format!("name a tap of `{cable}`")
            } else {
                "no such tap".to_owned()
            };
            let finding = RULE
                .finds(headline, fault.at, label)
                .with_about(cable.as_str())
                .with_about(tap.as_str());
            Some(match near {
                Some(near) => finding.with_help(format!("did you mean `{cable}.{near}`?")),
                None if known.is_empty() => finding,
                None => finding.with_help(format!("its taps: {}", known.join(", "))),
            })
        }
        _ => None,
    }
}

/// Where a cable has a tap of this name, below the line that starts from it.
fn below(facts: &Facts<'_, '_>, cable: &str, tap: &str) -> Option<Place> {
    let cable = facts.model.cables.iter().find(|one| one.name.text == cable)?;
    Some(cable.taps.iter().find(|one| one.name.text == tap)?.name.at)
}
