//! Answers that hold for every story, not just for those that somebody thought of.
//!
//! The contacts may change at any millisecond, in any order, together or apart. The search keeps,
//! for each set of facts that are not times, the set of all remaining times that can go with it,
//! as bounds on the times and their differences. A step is the player's own transition function.
//! As that never compares two timers, one run of it stands for every story with the same order of
//! events, however long the timers are; and as every bound is a whole number of milliseconds, the
//! sets are exact and not merely safe.
//!
//! Each question is first searched with rounded bounds and with sensors that do what they like. That
//! is quick and allows too much, so only its "no" counts; where it leaves a doubt the exact search
//! follows, cheapest in inputs first. What costs is not the length of timers but how many different
//! orders of events they allow: many timers at once, and times of very different length.
//!
//! Parts of a system that cannot influence a question are left out of it. Equal parts are searched
//! once.

mod bounds;
mod cone;
mod deaf;
mod endless;
mod most;
mod orbit;
mod path;
mod regime;
mod search;

pub use deaf::{Deaf, WhyDeaf};
pub use endless::{Endless, Loop};
pub use most::Most;

use std::collections::HashMap;
use std::rc::Rc;

use crate::Ms;
use crate::graph::Graph;
use crate::player::Story;
use crate::system::{System, ZoneId};

/// An answer for every story.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer<T> {
    /// It can happen; the story in it shows it when played.
    Yes(T),
    /// It cannot happen, whatever the contacts do.
    No(Proof),
    /// The question is open.
    NotKnown {
        /// Why.
        reason: Reason,
        /// How many sets of states had been looked at.
        states: usize,
    },
}

impl<T> Answer<T> {
    /// What can happen, if it can.
    pub fn yes(self) -> Option<T> {
        match self {
            Self::Yes(what) => Some(what),
            Self::No(_) | Self::NotKnown { .. } => None,
        }
    }

    fn map<U>(self, change: impl FnOnce(T) -> U) -> Answer<U> {
        match self {
            Self::Yes(what) => Answer::Yes(change(what)),
            Self::No(proof) => Answer::No(proof),
            Self::NotKnown { reason, states } => Answer::NotKnown { reason, states },
        }
    }
}

/// Why something cannot happen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Proof {
    /// The zone is never armed.
    NeverArmed,
    /// It registers only when its contact changes, and no output reaches that contact.
    NeedsChange,
    /// It has a limit for each arming.
    Limit,
    /// Its contact cannot stay active for ever, and no output reaches it.
    CannotStay,
    /// No output comes back to anything that it depends on, and none keeps a contact active.
    NoFeedback,
    /// Every moment is covered, by interval arithmetic.
    Covered,
    /// No first activation is heard and does something; [`Explorer::deaf`] says when and why.
    NeverHeard,
    /// Every reachable state was looked at.
    Searched {
        /// How many sets of states there are.
        states: usize,
    },
}

/// Why a question is open.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Reason {
    /// There are more sets of states than [`Bounds::states`].
    TooManyStates {
        /// Contacts that the question depends on.
        contacts: usize,
        /// Zones that the question depends on.
        zones: usize,
    },
    /// More contacts act on it together than [`Bounds::contacts`].
    TooManyContacts(usize),
    /// More timers ran at once than [`Bounds::timers`]: a delay is much longer than a lockout.
    TooManyTimers,
    /// This story never settles in an instant: outputs come back without delay.
    NeverSettles(Story),
    /// It is possible if arming could change at any time; whether the schedules allow it was not
    /// found out.
    ArmingChanges,
    /// It begins while the schedules stay as they are, but they change before it repeats.
    ArmedTooShort,
    /// A candidate was found, but no story that plays it within [`Bounds::instants`].
    NotPlayed,
    /// An output reaches the contact, so that an activation may not be a change.
    OutputReachesContact,
    /// Another response can switch its outputs off.
    SwitchedOff,
    /// The id is not of this system.
    UnknownId,
}

/// How much work one question may be. Past these the answer is [`Answer::NotKnown`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bounds {
    /// Sets of states in one search.
    pub states: usize,
    /// Contacts in one search; up to 2^contacts changes are tried in each instant.
    pub contacts: usize,
    /// Timers that run at once.
    pub timers: usize,
    /// Instants played to find out how a story goes on, and inputs in one story.
    pub instants: usize,
}

impl Default for Bounds {
    /// Twice the sets that the hardest question of our examples and tests needs, and about a second.
    fn default() -> Self {
        Self { states: 10_000, contacts: 8, timers: 24, instants: 100_000 }
    }
}

/// A part, how its schedules stand and for how long, the zone asked about, and how roughly.
type Question = (System, regime::Regimes, Option<Ms>, ZoneId, Option<u32>);

/// Asks questions about one system; remembers what it has searched.
#[derive(Debug)]
pub struct Explorer<'a> {
    system: &'a System,
    bounds: Bounds,
    /// [`System::influence`], turned round.
    influenced_by: Graph,
    /// Whether an output comes back to itself.
    has_loops: bool,
    searched: HashMap<Question, Rc<search::Searched>>,
    /// In the part's own names.
    counted: HashMap<most::Count, Most>,
    days: HashMap<most::Pressed, Vec<most::Day>>,
}

impl<'a> Explorer<'a> {
    /// An explorer of this system.
    #[must_use]
    pub fn new(system: &'a System, bounds: Bounds) -> Self {
        Self {
            system,
            bounds,
            influenced_by: system.influence().reversed(),
            has_loops: cone::comes_back(system),
            searched: HashMap::new(),
            counted: HashMap::new(),
            days: HashMap::new(),
        }
    }

    /// How many sets of states all searches so far have looked at, equal parts counted once.
    #[must_use]
    pub fn states(&self) -> usize {
        self.searched.values().map(|searched| searched.states).sum()
    }
}
