//! How much a change matters.

use crate::figure::Aspect;
use crate::figure::{Better, Figure, Value};
use crate::thing::ThingKind;
use curtilage_facts::limit::{above, below};
use std::collections::BTreeSet;

/// How much a change matters, the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// The site protects less than it did.
    Lost,
    /// A limit is crossed that was kept.
    Crossed,
    /// A margin is smaller.
    Thinner,
    /// Something is different, neither better nor worse.
    Changed,
    /// A margin is larger.
    Thicker,
    /// A limit is kept that was crossed.
    Mended,
    /// The site protects more than it did.
    Gained,
}

impl Weight {
    /// All weights, the gravest first.
    pub const ALL: [Self; 7] = [
        Self::Lost,
        Self::Crossed,
        Self::Thinner,
        Self::Changed,
        Self::Thicker,
        Self::Mended,
        Self::Gained,
    ];

    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Lost => "lost",
            Self::Crossed => "crossed",
            Self::Thinner => "thinner",
            Self::Changed => "changed",
            Self::Thicker => "thicker",
            Self::Mended => "mended",
            Self::Gained => "gained",
        }
    }

    /// What the word means, as a heading.
    #[must_use]
    pub fn heading(self) -> &'static str {
        match self {
            Self::Lost => "protection lost",
            Self::Crossed => "limits crossed",
            Self::Thinner => "margins thinner",
            Self::Changed => "different",
            Self::Thicker => "margins thicker",
            Self::Mended => "limits kept again",
            Self::Gained => "protection gained",
        }
    }

    /// The weight of the same change turned round.
    #[must_use]
    pub fn turned(self) -> Self {
        match self {
            Self::Lost => Self::Gained,
            Self::Crossed => Self::Mended,
            Self::Thinner => Self::Thicker,
            Self::Changed => Self::Changed,
            Self::Thicker => Self::Thinner,
            Self::Mended => Self::Crossed,
            Self::Gained => Self::Lost,
        }
    }
}

/// What it weighs that a figure is there no more; that it came is the same turned round.
pub(crate) fn of_one(figure: &Figure, commands: bool) -> Weight {
    let protects = matches!(
        (figure.aspect, figure.thing.kind),
        (Aspect::Fitted, ThingKind::Zone | ThingKind::Output | ThingKind::Camera)
            | (Aspect::Effect | Aspect::Kept | Aspect::Armed, _)
    );
    let well = match &figure.value {
        Value::Words { fine, .. } => *fine != Some(false),
        other => margin(other).and_then(|margin| margin.within) != Some(false),
    };
    if figure.aspect == Aspect::Band {
        // A state that the input told apart is seen no more: an opened cover, a cut wire.
        let told_apart = matches!(figure.value, Value::Words { fine: Some(true), .. });
        return if told_apart { Weight::Thinner } else { Weight::Changed };
    }
    if figure.aspect == Aspect::Timing {
        return of_no_time(figure);
    }
    match (protects, well) {
        // A key switch protects nothing: it commands.
        (true, _) if commands => Weight::Changed,
        (true, true) => Weight::Lost,
        (true, false) => Weight::Changed,
        (false, false) => Weight::Mended,
        (false, true) if matches!(figure.aspect, Aspect::Rehearsal | Aspect::Asked) => {
            Weight::Thinner
        }
        (false, true) => Weight::Changed,
    }
}

/// What it weighs that a time of a zone is given no more: without one it is 0 s, and it registers
/// any number of times. Its settle time is not known then.
fn of_no_time(figure: &Figure) -> Weight {
    match &figure.value {
        Value::Number { value, better: Better::Less, .. } if *value > 0.0 => {
            let known = figure.detail.bare() != "settle";
            if known { Weight::Thicker } else { Weight::Changed }
        }
        Value::Number { better: Better::More, .. } => Weight::Thicker,
        _ => Weight::Changed,
    }
}

/// What a policy asks in words: fewer of them ask less.
fn of_demands(old: &str, new: &str) -> Weight {
    let each = |text: &str| text.split(", ").map(str::to_owned).collect::<BTreeSet<_>>();
    let (old, new) = (each(old), each(new));
    if new.is_subset(&old) {
        Weight::Thinner
    } else if old.is_subset(&new) {
        Weight::Thicker
    } else {
        Weight::Changed
    }
}

/// What the change from one value to another weighs.
pub(crate) fn of_values(aspect: Aspect, old: &Value, new: &Value) -> Weight {
    match (old, new) {
        (Value::Words { text: old, .. }, Value::Words { text: new, .. })
            if aspect == Aspect::Asked =>
        {
            of_demands(&old.bare(), &new.bare())
        }
        (Value::Words { fine: Some(old), .. }, Value::Words { fine: Some(new), .. })
            if old != new =>
        {
            let worse = match aspect {
                Aspect::Mode | Aspect::Effect => Weight::Lost,
                _ => Weight::Crossed,
            };
            if *new { worse.turned() } else { worse }
        }
        _ => match (margin(old), margin(new)) {
            (Some(old), Some(new)) => by_margin(old, new),
            _ => Weight::Changed,
        },
    }
}

/// How far a value is on the good side, and whether it is within its limit.
struct Margin {
    good: f64,
    within: Option<bool>,
}

fn margin(value: &Value) -> Option<Margin> {
    match value {
        Value::Number { value, better, limit, .. } => {
            let (sign, beyond): (f64, fn(f64, f64) -> bool) = match better {
                Better::More => (1.0, below),
                Better::Less => (-1.0, above),
                Better::Neither => return None,
            };
            let limit = limit.as_ref().map(|limit| limit.value);
            let within = limit.map(|limit| !beyond(*value, limit));
            let good = if value.is_finite() || limit.is_none() {
                sign * (value - limit.unwrap_or(0.0))
            } else {
                sign * value
            };
            Some(Margin { good, within })
        }
        Value::Window { margin, .. } => {
            margin.map(|margin| Margin { good: margin, within: Some(margin >= 0.0) })
        }
        _ => None,
    }
}

fn by_margin(old: Margin, new: Margin) -> Weight {
    match (old.within, new.within) {
        (Some(true), Some(false)) => Weight::Crossed,
        (Some(false), Some(true)) => Weight::Mended,
        _ if nearly(old.good, new.good) => Weight::Changed,
        _ if new.good < old.good => Weight::Thinner,
        _ => Weight::Thicker,
    }
}

/// Whether two figures differ by rounding alone; of two without an end none is more.
fn nearly(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

#[cfg(test)]
mod tests {
    use super::{Weight, of_values};
    use crate::figure::{Aspect, Better, Value};

    /// A battery whose alarm draws nothing, under a limit that is raised, and the same turned round.
    #[test]
    fn what_has_no_end_has_no_more_room_under_another_limit() {
        let under = |limit: f64| {
            Value::number(f64::INFINITY, "h", "for ever".to_owned(), Better::More)
                .with_limit(Some((limit, format!("{limit} h"))))
        };
        for (old, new) in [(12.0, 24.0), (24.0, 12.0)] {
            assert_eq!(of_values(Aspect::Lasts, &under(old), &under(new)), Weight::Changed);
        }
    }
}
