//! One figure of a site: what it is about, what it says, and which lines it depends on.

use crate::thing::Thing;
use crate::words::Words;
use curtilage_facts::Covered;
use curtilage_text::Place;
use std::borrow::Cow;
use std::sync::Arc;

macro_rules! aspects {
    ($($aspect:ident $word:literal $says:literal),* $(,)?) => {
        /// What is said of a thing, in the order in which it is told.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Aspect {
            $(#[doc = $says] $aspect),*
        }

        impl Aspect {
            /// The word for programs.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$aspect => $word),* }
            }

            /// What it is, for people.
            #[must_use]
            pub fn says(self) -> &'static str {
                match self { $(Self::$aspect => $says),* }
            }
        }
    };
}

aspects! {
    Fitted "fitted" "is",
    Armed "armed" "armed",
    Landed "terminal" "lands on",
    Contact "contact" "switched through",
    RestState "rest-state" "rest",
    Cable "cable" "wired over",
    Ends "ends" "end-of-line network",
    Setting "setting" "says",
    Timing "timing" "time",
    Mode "mode" "mode",
    Effect "effect" "does",
    Comes "comes" "comes",
    Reading "reading" "meter reads",
    Window "window" "seen by the input",
    Band "band" "taken for",
    Again "registers-again" "registers again after",
    Held "held" "while one sensor stays active",
    Most "most-in-an-hour" "most registrations in an hour",
    Deaf "comes-to-nothing" "comes to nothing",
    LongestOn "longest-in-a-day" "driven, most in a day",
    Carries "carries" "carries",
    Load "load-of-rating" "load against rating",
    LowestVolts "lowest-voltage" "least voltage",
    HighestVolts "highest-voltage" "most voltage",
    RestAmps "current-at-rest" "current at rest",
    MostAmps "most-current" "most current",
    Lasts "standby" "battery lasts",
    Capacity "capacity-needed" "capacity that is needed",
    Recharge "recharge" "recharge from flat",
    Kept "kept" "footage kept",
    Footage "footage" "footage a day",
    StoreDays "store-days" "store lasts",
    Rehearsal "rehearsal" "rehearsal",
    Asked "asked" "the policy asks",
    Said "said" "says",
}

impl Aspect {
    /// Whether it is worked out from several lines; otherwise one line says it.
    pub(crate) fn is_worked_out(self) -> bool {
        !matches!(
            self,
            Self::Fitted
                | Self::Landed
                | Self::Contact
                | Self::Cable
                | Self::Ends
                | Self::Setting
                | Self::Timing
                | Self::Mode
                | Self::Asked
                | Self::Said
        )
    }
}

/// Which way a number is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Better {
    /// More is better.
    More,
    /// Less is better.
    Less,
    /// Neither.
    Neither,
}

/// A limit of a number.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// The limit, in the unit of the number.
    pub value: f64,
    /// The limit as people read it.
    pub shown: String,
}

/// What a figure says.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Words; `fine` tells whether all is well, where that can be told.
    Words {
        /// The words.
        text: Words,
        /// Whether all is well.
        fine: Option<bool>,
    },
    /// A number.
    Number {
        /// The number, in its unit; infinite when there is no end.
        value: f64,
        /// The unit.
        unit: &'static str,
        /// The number as people read it, with its unit.
        shown: String,
        /// Which way it is better.
        better: Better,
        /// Its limit: the least when more is better, else the most.
        limit: Option<Limit>,
    },
    /// A number that lies between two.
    Window {
        /// The least.
        low: f64,
        /// The most.
        high: f64,
        /// The unit.
        unit: &'static str,
        /// The window as people read it.
        shown: String,
        /// The distance to the nearest edge of its band, in the unit; below zero outside.
        margin: Option<f64>,
        /// The band, as people read it.
        band: Option<String>,
    },
    /// Hours.
    Hours {
        /// The hours.
        covered: Covered,
        /// The hours as people read them.
        shown: String,
    },
    /// Not known, and why.
    NotKnown(Cow<'static, str>),
}

impl Value {
    /// Words without a judgement.
    pub(crate) fn words(text: Words) -> Self {
        Self::Words { text, fine: None }
    }

    /// Words with one.
    pub(crate) fn judged(text: Words, fine: bool) -> Self {
        Self::Words { text, fine: Some(fine) }
    }

    /// A number without a limit.
    pub(crate) fn number(value: f64, unit: &'static str, shown: String, better: Better) -> Self {
        Self::Number { value, unit, shown, better, limit: None }
    }

    /// The same number with a limit.
    pub(crate) fn with_limit(mut self, of: Option<(f64, String)>) -> Self {
        if let Self::Number { limit, .. } = &mut self {
            *limit = of.map(|(value, shown)| Limit { value, shown });
        }
        self
    }

    /// The value as people read it, names in backticks.
    #[must_use]
    pub fn shown(&self) -> String {
        match self {
            Self::Words { text, .. } => text.to_string(),
            Self::Number { shown, .. } | Self::Window { shown, .. } | Self::Hours { shown, .. } => {
                shown.clone()
            }
            Self::NotKnown(why) => format!("not known: {why}"),
        }
    }

    /// The limit as people read it, if it has one.
    #[must_use]
    pub fn limit(&self) -> Option<String> {
        match self {
            Self::Number { better: Better::More, limit: Some(limit), .. } => {
                Some(format!("at least {}", limit.shown))
            }
            Self::Number { limit: Some(limit), .. } => Some(format!("at most {}", limit.shown)),
            Self::Window { band: Some(band), .. } => Some(format!("band {band}")),
            _ => None,
        }
    }
}

/// Lines on which a figure depends.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Need {
    /// The word of the item.
    pub(crate) item: &'static str,
    /// Its name; empty for every item of that word.
    pub(crate) name: String,
    /// The first words of its lines; empty for all. The item's own first line is always among them.
    pub(crate) lines: &'static [&'static str],
}

/// One figure of a site.
#[derive(Clone, Debug)]
pub struct Figure {
    /// What it is about.
    pub thing: Thing,
    /// What is said of it.
    pub aspect: Aspect,
    /// Which of several: a state, an effect, a statement. Empty where there is one.
    pub detail: Words,
    /// What it says.
    pub value: Value,
    /// The words that say it, or the name of the thing.
    pub at: Option<Place>,
    pub(crate) needs: Arc<[Need]>,
}
