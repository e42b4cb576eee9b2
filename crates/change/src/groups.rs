//! Changes put together, so that a person reads one line where many figures moved for one reason.

use crate::compare::Change;
use crate::figure::{Aspect, Value};
use crate::findings::FindingChange;
use crate::sheet::{moment, moments};
use crate::thing::{Thing, ThingKind};
use crate::weight::Weight;
use curtilage_facts::Uncovered;
use std::collections::BTreeMap;

/// Changes of one weight that say the same thing for the same reason.
#[derive(Clone, Debug)]
pub struct Group {
    /// How much they matter.
    pub weight: Weight,
    /// The changes, by index; never empty.
    pub members: Vec<usize>,
    /// The lines that they come from, by index.
    pub causes: Vec<usize>,
    /// All of it in one sentence, names in backticks.
    pub headline: String,
    /// Whether every figure of it moves by less than 1 % on its side of a limit.
    pub slight: bool,
    /// The finding that says the same of the same thing, by index.
    pub finding: Option<usize>,
}

/// A meter shows no smaller share of a reading (common practice, no source).
const SLIGHT: f64 = 0.01;

/// Whether a figure moves by less, and its limit with it: what is left between the two counts too.
fn is_slight(change: &Change) -> bool {
    let limit = |told: &Option<crate::compare::Told>| match told.as_ref().map(|told| &told.value) {
        Some(Value::Number { limit: Some(limit), .. }) => Some(limit.value),
        _ => None,
    };
    let nearly =
        |was: f64, is: f64, of: f64| was == is || of.is_finite() && (is - was).abs() <= SLIGHT * of;
    matches!(change.weight, Weight::Thinner | Weight::Thicker)
        && numbers(change).is_some_and(|(was, is, _)| {
            let most = was.abs().max(is.abs());
            let left = match (limit(&change.before), limit(&change.after)) {
                // What is left below a limit that stays moves as far as the figure.
                (Some(old), Some(new)) if old == new => true,
                (Some(old), Some(new)) => {
                    let of = old.abs().max(new.abs());
                    nearly(old, new, of) && nearly(was - old, is - new, most.min(of))
                }
                (None, None) => true,
                _ => false,
            };
            left && nearly(was, is, most)
        })
}

/// So many names are told before the rest is counted.
const NAMES: usize = 4;

pub(crate) fn groups(changes: &[Change], findings: &[FindingChange]) -> Vec<Group> {
    // Causes that gain or lose the same effects are told together.
    let mut effects: BTreeMap<(Weight, &Thing), String> = BTreeMap::new();
    for change in changes.iter().filter(|change| change.aspect == Aspect::Effect) {
        let all = effects.entry((change.weight, &change.thing)).or_default();
        all.push_str(&effect(change));
    }
    let mut found: BTreeMap<(Weight, usize), Vec<usize>> = BTreeMap::new();
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for (index, change) in changes.iter().enumerate() {
        let lead = *first.entry(key(change, &effects)).or_insert(index);
        found.entry((change.weight, lead)).or_default().push(index);
    }
    let mut out = Vec::new();
    for ((weight, _), members) in found {
        let of: Vec<&Change> = members.iter().filter_map(|index| changes.get(*index)).collect();
        let Some(lead) = of.first() else { continue };
        let mut causes: Vec<usize> = Vec::new();
        for cause in of.iter().flat_map(|change| &change.causes) {
            if !causes.contains(cause) {
                causes.push(*cause);
            }
        }
        let headline = if of.len() == 1 { alone(lead) } else { together(&of) };
        let slight = of.iter().all(|change| is_slight(change));
        let finding = findings.iter().position(|finding| says_it(finding, weight, &of, &causes));
        out.push(Group { weight, members, causes, headline, slight, finding });
    }
    out
}

/// Whether a finding says what a group says: about the same figure, of the same weight, of the same
/// things or from the same lines.
fn says_it(finding: &FindingChange, weight: Weight, of: &[&Change], causes: &[usize]) -> bool {
    let about = of.iter().all(|change| rules(change.aspect).contains(&finding.rule));
    let named = of.iter().all(|change| {
        let names = change.thing.name.names();
        finding.about.iter().any(|name| names.contains(name))
    });
    let same = !causes.is_empty()
        && causes.len() == finding.causes.len()
        && causes.iter().all(|cause| finding.causes.contains(cause));
    finding.weight == weight && about && (named || same)
}

/// The rules that speak of a figure.
fn rules(aspect: Aspect) -> &'static [&'static str] {
    match aspect {
        Aspect::LowestVolts => &["undervoltage", "voltage-collapse"],
        Aspect::HighestVolts => &["overvoltage"],
        Aspect::Load => &["contact-overload", "contact-over-voltage"],
        Aspect::MostAmps => &["supply-overload", "spare-too-small"],
        Aspect::Lasts | Aspect::Capacity => &["standby-too-short"],
        Aspect::Recharge => &["recharge-too-slow"],
        Aspect::StoreDays => &["retention-too-short"],
        Aspect::Reading | Aspect::Window | Aspect::Band => {
            &["loop-out-of-band", "loop-states-overlap"]
        }
        Aspect::RestState => &["rest-state-mismatch"],
        Aspect::Held => &["endless-retrigger", "feedback"],
        Aspect::Rehearsal => &["rehearsal-fails"],
        _ => &[],
    }
}

/// What is told in one sentence has one key.
fn key(change: &Change, effects: &BTreeMap<(Weight, &Thing), String>) -> String {
    let mut causes = change.causes.clone();
    causes.sort_unstable();
    let family = match change.aspect {
        Aspect::Reading | Aspect::Window | Aspect::Band => "loop",
        other => other.word(),
    };
    let base = format!("{:?} {family} {:?}", change.weight, change.thing.kind);
    let shown = |told: &Option<crate::compare::Told>| {
        told.as_ref().map_or_else(String::new, |told| told.value.shown())
    };
    match change.aspect {
        Aspect::Effect => {
            let all = effects.get(&(change.weight, &change.thing));
            format!("{base} {}", all.map_or("", String::as_str))
        }
        _ if seen(change).is_some() => format!("{base} {:?} {causes:?}", seen(change)),
        Aspect::Reading | Aspect::Window | Aspect::Band => format!("{base} {causes:?}"),
        Aspect::Armed | Aspect::Kept => {
            let hours = change.hours.as_ref().map_or_else(String::new, |hours| {
                format!("{} {} {:?}", hours.gone, hours.week, hours.dates)
            });
            format!("{base} {} {hours} {causes:?}", change.detail)
        }
        Aspect::Fitted if change.before.is_none() || change.after.is_none() => base,
        Aspect::LowestVolts
        | Aspect::HighestVolts
        | Aspect::Deaf
        | Aspect::Held
        | Aspect::Most
        | Aspect::LongestOn
        | Aspect::Again => format!("{:?} {family} {} {causes:?}", change.weight, is_slight(change)),
        _ => format!(
            "{base} {} {} {} {causes:?}",
            change.detail,
            shown(&change.before),
            shown(&change.after)
        ),
    }
}

/// One change as a sentence.
pub(crate) fn alone(change: &Change) -> String {
    let thing = &change.thing;
    let detail = &change.detail;
    let (was, is) = (&change.before, &change.after);
    if let Some(hours) = &change.hours {
        return match thing.kind {
            ThingKind::Site => format!("the site {}", hours_words(change, hours)),
            _ => format!("{thing} {}", hours_words(change, hours)),
        };
    }
    if let Some(seen) = seen(change) {
        return format!("{thing}: {seen}");
    }
    match (change.aspect, was, is) {
        (Aspect::Fitted, Some(was), None) => format!("{thing} is gone ({})", was.value.shown()),
        (Aspect::Fitted, None, Some(is)) => format!("{thing} is new ({})", is.value.shown()),
        (Aspect::Effect, _, _) => format!("{thing} {}", effect(change)),
        (Aspect::Kept, Some(was), None) => {
            format!("{thing}: {detail} footage is kept no more ({})", was.value.shown())
        }
        (Aspect::Kept, None, Some(is)) => {
            format!("{thing}: {detail} footage is kept now ({})", is.value.shown())
        }
        (Aspect::Comes, Some(was), Some(is)) => {
            let both = (&was.value, &is.value);
            comes(both).map_or_else(|| sides_of(change), |comes| format!("{thing} {comes}"))
        }
        (Aspect::Rehearsal, None, Some(is)) => format!("{thing} is new and {}", is.value.shown()),
        (Aspect::Rehearsal, Some(_), None) => format!("{thing} is gone"),
        (Aspect::Rehearsal, _, Some(is)) => format!("{thing} {} now", is.value.shown()),
        _ => sides_of(change),
    }
}

/// What it is and what it was.
fn sides_of(change: &Change) -> String {
    let (was, is) = (&change.before, &change.after);
    let shown = |told: &Option<crate::compare::Told>| {
        told.as_ref().map_or_else(String::new, |told| told.value.shown())
    };
    let what = subject(change);
    match (was, is) {
        (Some(_), None) => format!("{what}: no more ({})", shown(was)),
        (None, Some(told)) => {
            format!("{what}: {}{}, not so before", shown(is), limit(&told.value))
        }
        (Some(old), Some(told)) => {
            let mut out = format!("{what}: {}, was {}", shown(is), shown(was));
            let known = |told: &crate::compare::Told| !matches!(told.value, Value::NotKnown(_));
            if !(known(old) && known(told)) {
                // What is not known has no limit for that.
                return out;
            }
            out.push_str(&limits(&old.value, &told.value));
            out
        }
        (None, None) => what,
    }
}

/// The limit, and what it was where it moves.
fn limits(old: &Value, new: &Value) -> String {
    match (old.limit(), new.limit()) {
        (Some(old), Some(new)) if old != new => format!(" ({new}; was {old})"),
        (None, Some(new)) => format!(" ({new}; no limit before)"),
        (Some(old), None) => format!(" (no limit; was {old})"),
        _ => limit(new),
    }
}

/// `comes Mon to Fri 23:00, and no longer Mon to Fri 18:00`; none when a side is not known.
fn comes(values: (&Value, &Value)) -> Option<String> {
    let (Value::Hours { covered: was, .. }, Value::Hours { covered: is, .. }) = values else {
        return None;
    };
    let all = |left: Uncovered| {
        let week = (!left.week.is_empty()).then(|| moments(&left.week));
        let dates: Vec<String> = left.dates.iter().map(|span| span.to_string()).collect();
        let dates = dates.first().map(|first| match dates.len() {
            1 => format!("on {}", moment(first)),
            count => format!("on {count} dates ({} and more)", moment(first)),
        });
        let both: Vec<String> = week.into_iter().chain(dates).collect();
        (!both.is_empty()).then(|| both.join(" and "))
    };
    Some(match (all(is.minus(was)), all(was.minus(is))) {
        (Some(fresh), Some(gone)) => format!("comes {fresh}, and no longer {gone}"),
        (Some(fresh), None) => format!("also comes {fresh}"),
        (None, Some(gone)) => format!("comes no longer {gone}"),
        (None, None) => return None,
    })
}

/// A state of the loop that the input tells apart on one side only.
fn seen(change: &Change) -> Option<String> {
    let again = match (change.aspect, &change.before, &change.after) {
        (Aspect::Band, Some(_), None) => "is no longer seen",
        (Aspect::Band, None, Some(_)) => "is seen now",
        _ => return None,
    };
    let state = change.detail.bare();
    Some(match state.as_str() {
        "tamper" => format!("an opened cover {again}"),
        _ => format!("the state `{state}` {again}"),
    })
}

fn limit(value: &Value) -> String {
    value.limit().map_or_else(String::new, |limit| format!(" ({limit})"))
}

/// `zone `x`: meter reads, at rest`.
fn subject(change: &Change) -> String {
    let thing = if change.thing.name.is_empty() {
        change.thing.kind.word().to_owned()
    } else {
        change.thing.to_string()
    };
    match change.aspect {
        Aspect::Setting | Aspect::Timing | Aspect::Said => format!("{thing}: {}", change.detail),
        Aspect::Asked => format!("the policy asks, {}", change.detail),
        aspect if change.detail.is_empty() => format!("{thing}: {}", aspect.says()),
        aspect => format!("{thing}: {}, {}", aspect.says(), change.detail),
    }
}

/// `no longer closes `siren` (for 3 min)`.
fn effect(change: &Change) -> String {
    let detail = &change.detail;
    match (&change.before, &change.after) {
        (Some(was), None) => format!("no longer {detail} ({})", was.value.shown()),
        (None, Some(is)) => format!("now {detail} ({})", is.value.shown()),
        (Some(was), Some(is)) => {
            format!("{detail} {}, was {}", is.value.shown(), was.value.shown())
        }
        (None, None) => detail.to_string(),
    }
}

fn hours_words(change: &Change, hours: &crate::compare::HoursChange) -> String {
    let what = match change.aspect {
        Aspect::Kept => format!("keeps {} footage", change.detail),
        Aspect::Setting => format!("is {}", change.detail),
        _ => "is armed".to_owned(),
    };
    let less = if hours.gone { "less" } else { "more" };
    let show = curtilage_units::hours;
    let week = (hours.week_minutes > 0)
        .then(|| format!("{} a week {less} ({})", show(u64::from(hours.week_minutes)), hours.week));
    let dates = (hours.dated_minutes > 0).then(|| {
        let count = hours.dates.len();
        let days = if count == 1 { "stretch" } else { "stretches" };
        let first = hours.dates.first().map(String::as_str).unwrap_or_default();
        let more = if count > 1 { " and more" } else { "" };
        let dated = show(hours.dated_minutes);
        format!("{dated} {less} in {count} {days} on dates ({first}{more})")
    });
    let both: Vec<String> = week.into_iter().chain(dates).collect();
    format!("{what} {}", both.join(", and "))
}

/// Several changes as one sentence.
fn together(of: &[&Change]) -> String {
    let Some(lead) = of.first() else { return String::new() };
    let mut things: Vec<String> = Vec::new();
    for change in of {
        let name = change.thing.name.to_string();
        if !things.contains(&name) {
            things.push(name);
        }
    }
    let kind = lead.thing.kind;
    let one_kind = of.iter().all(|change| change.thing.kind == kind);
    let noun = if one_kind { kind.plural() } else { "things" };
    let names = names(&things);
    let who = match things.len() {
        1 => lead.thing.to_string(),
        count => format!("{count} {noun} ({names})"),
    };
    if let Some(hours) = &lead.hours {
        let words = hours_words(lead, hours);
        let words = words.replacen("is armed", "are armed", 1).replacen("keeps", "keep", 1);
        return format!("{who} {words}");
    }
    if let Some(seen) = seen(lead) {
        return format!("{who}: {seen}");
    }
    match lead.aspect {
        Aspect::Effect => {
            let mut each: Vec<String> = Vec::new();
            for change in of {
                let says = effect(change);
                if !each.contains(&says) {
                    each.push(says);
                }
            }
            let who = if things.len() > 1 { format!("{who}:") } else { who };
            format!("{who} {}", each.join("; "))
        }
        Aspect::Fitted if lead.before.is_none() => {
            format!("{} new {noun}: {names}", things.len())
        }
        Aspect::Fitted if lead.after.is_none() => {
            format!("{} {noun} gone: {names}", things.len())
        }
        Aspect::Reading | Aspect::Window | Aspect::Band => {
            let such = tightest(of).map_or_else(String::new, |change| {
                let whose = match things.len() {
                    1 => String::new(),
                    _ => format!(" of {}", change.thing.name),
                };
                let of = if change.detail.is_empty() {
                    String::new()
                } else {
                    format!(", {}", change.detail)
                };
                format!(", such as {}{whose}{of}:{}", change.aspect.says(), sides(change))
            });
            format!("{who}: what the input sees of the loop{such}")
        }
        Aspect::Armed | Aspect::Kept => format!("{who}: {}", lead.aspect.says()),
        _ => {
            let nearest = nearest(of).map_or_else(String::new, |change| {
                format!("; nearest to its limit: {}", alone(change))
            });
            let mut what = lead.aspect.says().to_owned();
            if !lead.detail.is_empty() {
                what = match lead.aspect {
                    Aspect::Setting | Aspect::Timing | Aspect::Said => lead.detail.to_string(),
                    _ => format!("{what}, {}", lead.detail),
                };
            }
            let alike = of.iter().all(|change| {
                let shown = |change: &Change| {
                    let told = |told: &Option<crate::compare::Told>| {
                        told.as_ref().map(|told| (told.value.shown(), told.value.limit()))
                    };
                    (told(&change.before), told(&change.after))
                };
                shown(change) == shown(lead)
            });
            match alike {
                true => format!("{who}: {what}{}", sides(lead)),
                false => format!("{who}: {what}{}{nearest}", moved(of)),
            }
        }
    }
}

fn sides(change: &Change) -> String {
    let shown = |told: &Option<crate::compare::Told>| {
        told.as_ref().map_or_else(|| "nothing".to_owned(), |told| told.value.shown())
    };
    let known = |told: &&crate::compare::Told| !matches!(told.value, Value::NotKnown(_));
    let both = change.before.as_ref().filter(known).zip(change.after.as_ref().filter(known));
    let limits = both.map_or_else(String::new, |(old, new)| limits(&old.value, &new.value));
    format!(" {}, was {}{limits}", shown(&change.after), shown(&change.before))
}

fn names(all: &[String]) -> String {
    let shown: Vec<&str> = all.iter().take(NAMES).map(String::as_str).collect();
    let more = all.len().saturating_sub(NAMES);
    match more {
        0 => shown.join(", "),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}

/// ` falls by up to 0.2 V`, for volts.
fn moved(of: &[&Change]) -> String {
    let mut most: Option<(f64, &'static str)> = None;
    for change in of {
        if let Some((was, is, unit)) = numbers(change)
            && unit == "V"
            && was != is
        {
            let by = is - was;
            if most.is_none_or(|(most, _)| by.abs() > most.abs()) {
                most = Some((by, unit));
            }
        }
    }
    most.map_or_else(String::new, |(by, unit)| {
        let word = if by < 0.0 { "falls" } else { "rises" };
        format!(" {word} by up to {} {unit}", curtilage_units::significant(by.abs(), 2))
    })
}

fn numbers(change: &Change) -> Option<(f64, f64, &'static str)> {
    let of = |told: &Option<crate::compare::Told>| match told.as_ref().map(|told| &told.value) {
        Some(Value::Number { value, unit, .. }) => Some((*value, *unit)),
        _ => None,
    };
    let ((was, unit), (is, _)) = (of(&change.before)?, of(&change.after)?);
    Some((was, is, unit))
}

/// The change of a loop that leaves the least to the edge of a band; else the first of a reading.
fn tightest<'c>(of: &[&'c Change]) -> Option<&'c Change> {
    let left = |change: &Change| match change.after.as_ref().map(|told| &told.value) {
        Some(Value::Window { margin: Some(margin), high, .. }) => {
            Some(margin / high.abs().max(1e-9))
        }
        _ => None,
    };
    let each = of.iter().filter_map(|change| Some((left(change)?, *change)));
    let least = each.reduce(|least, one| if one.0 < least.0 { one } else { least });
    let both = |change: &&&Change| change.before.is_some() && change.after.is_some();
    least.map(|one| one.1).or_else(|| of.iter().find(both).copied())
}

/// The change that leaves the least between a figure and its limit.
fn nearest<'c>(of: &[&'c Change]) -> Option<&'c Change> {
    let left = |change: &Change| match change.after.as_ref().map(|told| &told.value) {
        Some(Value::Number { value, limit: Some(limit), .. }) => {
            Some((value - limit.value).abs() / limit.value.abs().max(1e-9))
        }
        _ => None,
    };
    let each = of.iter().filter_map(|change| Some((left(change)?, *change)));
    let nearest = each.reduce(|least, one| if one.0 < least.0 { one } else { least })?;
    (nearest.1.thing.kind != ThingKind::Contact).then_some(nearest.1)
}
