//! `policy`: limits, with where they come from. The only place that limits come from.

use super::{Name, Spanned};
use crate::form::{BlockForm, many, once};
use crate::phrase::Phrase;
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A limit, what it says and where it comes from.
#[derive(Clone, Copy, Debug)]
pub struct Limit<T> {
    /// The limit.
    pub value: Spanned<T>,
    /// Where it comes from, quotes included.
    pub source: Option<Span>,
    /// The whole statement.
    pub line: Span,
}

/// A policy.
#[derive(Clone, Debug)]
pub struct Policy {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// Standby time, ms, at least.
    pub standby: Option<Limit<u64>>,
    /// Alarm time after standby, ms, at least.
    pub alarm_time: Option<Limit<u64>>,
    /// A sounder's run, ms, at most.
    pub sounder_run: Option<Limit<u64>>,
    /// Recharge time, ms, at most.
    pub recharge: Option<Limit<u64>>,
    /// Retention of footage, ms, at least.
    pub retention: Option<Limit<u64>>,
    /// Spare current of each supply, a ratio, at least.
    pub spare: Option<Limit<f64>>,
    /// Ageing factor of batteries.
    pub ageing: Option<Limit<f64>>,
    /// Peukert's exponent where a battery part gives none.
    pub peukert: Option<Limit<f64>>,
    /// Factor of the plain ampere-hour sum, when that line is wanted.
    pub plain_sum: Option<Limit<f64>>,
    /// Waste allowance on cable, a ratio.
    pub waste: Option<Limit<f64>>,
    /// Resistance of a joint, ohm.
    pub joint: Option<Limit<f64>>,
    /// What panic zones have to be.
    pub panic: Option<Limit<Demands>>,
    /// What tamper zones have to be.
    pub tamper: Option<Limit<Demands>>,
    /// Levels of rules; `None` switches a rule off.
    pub levels: Vec<RuleLevel>,
}

/// What zones of a purpose have to be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Demands {
    /// With an end-of-line network.
    pub supervised: bool,
    /// Armed at all times.
    pub always: bool,
}

/// The level that a policy gives to a rule.
#[derive(Clone, Copy, Debug)]
pub struct RuleLevel {
    /// The rule.
    pub rule: Name,
    /// The level.
    pub level: Spanned<LevelWord>,
    /// The whole statement.
    pub line: Span,
}

/// A level as a policy writes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LevelWord {
    /// Not reported.
    Off,
    /// A hint.
    Hint,
    /// A warning.
    Warning,
    /// An error.
    Error,
}

fn source(p: &mut Phrase<'_, '_>) -> Option<Option<Span>> {
    if p.eat("from") {
        return Some(Some(p.quoted("where the limit comes from, in quotes")?));
    }
    Some(None)
}

fn limit<T>(p: &mut Phrase<'_, '_>, value: Spanned<T>) -> Option<Option<Limit<T>>> {
    let source = source(p)?;
    Some(Some(Limit { value, source, line: p.line() }))
}

fn bounded(p: &mut Phrase<'_, '_>, word: &'static str) -> Option<Option<Limit<u64>>> {
    p.need("at")?;
    p.need(word)?;
    let time = p.time()?;
    limit(p, time)
}

fn factor(p: &mut Phrase<'_, '_>) -> Option<Option<Limit<f64>>> {
    let value = p.factor("a number, such as `1.25`")?;
    if value.value < 1.0 || value.value > 10.0 {
        return p.bad(
            value.span,
            "a factor lies between 1 and 10",
            "write a factor, such as `1.25`",
        );
    }
    limit(p, value)
}

fn demands(p: &mut Phrase<'_, '_>) -> Option<Option<Limit<Demands>>> {
    let span = p.rest();
    let mut value = Demands::default();
    loop {
        if p.eat("supervised") {
            value.supervised = true;
        } else if p.eat_two("armed", "always") {
            value.always = true;
        } else {
            return p.expected("`supervised` or `armed always`");
        }
        if !p.comma() {
            break;
        }
    }
    limit(p, Spanned { value, span })
}

pub(crate) static FORM: BlockForm<Policy> = BlockForm {
    thing: "a policy",
    forms: &[
        once(
            "standby",
            "at least TIME [from \"SOURCE\"]",
            "how long the site has to run on its battery",
            |policy, p| {
                policy.standby = bounded(p, "least")?;
                Some(())
            },
        ),
        once(
            "alarm-time",
            "at least TIME [from \"SOURCE\"]",
            "how long it has to alarm after that",
            |policy, p| {
                policy.alarm_time = bounded(p, "least")?;
                Some(())
            },
        ),
        once(
            "sounder-run",
            "at most TIME [from \"SOURCE\"]",
            "how long a sounder may sound at a stretch",
            |policy, p| {
                policy.sounder_run = bounded(p, "most")?;
                Some(())
            },
        ),
        once(
            "recharge",
            "at most TIME [from \"SOURCE\"]",
            "how long a flat battery may take to recharge",
            |policy, p| {
                policy.recharge = bounded(p, "most")?;
                Some(())
            },
        ),
        once(
            "retention",
            "at least TIME [from \"SOURCE\"]",
            "how long footage has to last",
            |policy, p| {
                policy.retention = bounded(p, "least")?;
                Some(())
            },
        ),
        once(
            "spare",
            "at least PERCENTAGE of every supply [from \"SOURCE\"]",
            "the current that stays unused",
            |policy, p| {
                let value = p.at_least(Dimension::Ratio)?;
                p.need("of")?;
                p.need("every")?;
                p.need("supply")?;
                if value.value >= 1.0 {
                    return p.bad(
                        value.span,
                        "less than 100 % can stay unused",
                        "write a share, such as `20 %`",
                    );
                }
                policy.spare = limit(p, value)?;
                Some(())
            },
        ),
        once(
            "ageing",
            "NUMBER [from \"SOURCE\"]",
            "the factor by which a battery is larger for its old age",
            |policy, p| {
                policy.ageing = factor(p)?;
                Some(())
            },
        ),
        once(
            "peukert",
            "NUMBER [from \"SOURCE\"]",
            "Peukert's exponent where a battery part gives none",
            |policy, p| {
                let exponent = p.factor("a number, such as `1.2`")?;
                if !(1.0..=2.0).contains(&exponent.value) {
                    let why = "Peukert's exponent lies between 1 and 2";
                    return p.bad(exponent.span, why, "write an exponent, such as `1.15`");
                }
                policy.peukert = limit(p, exponent)?;
                Some(())
            },
        ),
        once(
            "plain-sum",
            "factor NUMBER [from \"SOURCE\"]",
            "that the plain ampere-hour sum is wanted too, with this factor",
            |policy, p| {
                p.need("factor")?;
                policy.plain_sum = factor(p)?;
                Some(())
            },
        ),
        once(
            "waste",
            "PERCENTAGE [from \"SOURCE\"]",
            "what is added to cable lengths in the bill of materials",
            |policy, p| {
                let value = p.positive(Dimension::Ratio)?;
                policy.waste = limit(p, value)?;
                Some(())
            },
        ),
        once(
            "joint",
            "RESISTANCE [from \"SOURCE\"]",
            "the resistance of a joint that gives none",
            |policy, p| {
                let value = p.positive(Dimension::Resistance)?;
                policy.joint = limit(p, value)?;
                Some(())
            },
        ),
        once(
            "panic",
            "DEMAND, ... [from \"SOURCE\"]",
            "what panic zones have to be: `supervised`, `armed always`",
            |policy, p| {
                policy.panic = demands(p)?;
                Some(())
            },
        ),
        once(
            "tamper",
            "DEMAND, ... [from \"SOURCE\"]",
            "what tamper zones have to be: `supervised`, `armed always`",
            |policy, p| {
                policy.tamper = demands(p)?;
                Some(())
            },
        ),
        many(
            "level",
            "RULE off|hint|warning|error",
            "how grave a rule's findings are",
            |policy, p| {
                let rule = p.name("the name of a rule")?;
                let level = p.one_of(&[
                    ("off", LevelWord::Off),
                    ("hint", LevelWord::Hint),
                    ("warning", LevelWord::Warning),
                    ("error", LevelWord::Error),
                ])?;
                policy.levels.push(RuleLevel { rule, level, line: p.line() });
                Some(())
            },
        ),
    ],
    other: None,
};
