//! What can be wrong with names and facts, as data; the rules put it into words.

use crate::{Kind, TerminalKind};
use curtilage_text::Place;

/// One fault and its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What is wrong.
    pub kind: FaultKind,
    /// The words to change.
    pub at: Place,
}

/// What can be wrong with a `use` line or a file of holidays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ImportProblem {
    /// There is no such file.
    NotFound {
        /// The path as the workspace would write it.
        path: String,
        /// A file whose name is near.
        nearest: Option<String>,
    },
    /// The file cannot be read, or is too large.
    Unreadable {
        /// The path.
        path: String,
        /// Why.
        why: String,
    },
    /// The path leaves the workspace.
    Outside,
    /// The files use each other in a ring; the paths, from this file round to itself.
    Cycle(Vec<String>),
    /// The used file has a `site` of its own.
    IsSite {
        /// The path.
        path: String,
    },
    /// The file of holidays is not RFC 5545, or has something that cannot be read.
    BadCalendar {
        /// Why.
        why: String,
    },
}

/// The kinds of fault that building a model can find.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// A `use` line or a file of holidays.
    Import(ImportProblem),
    /// No thing of this kind has this name.
    UnknownName {
        /// The name.
        name: String,
        /// What it had to be.
        wanted: Kind,
        /// The nearest known name, and its place when somebody gave it.
        nearest: Option<(String, Option<Place>)>,
    },
    /// The name belongs to something else.
    WrongKind {
        /// The name.
        name: String,
        /// What it had to be.
        wanted: Kind,
        /// What it is.
        is: Kind,
        /// Where that is.
        defined: Place,
    },
    /// A second thing with the same name in the same scope.
    DuplicateName {
        /// The name.
        name: String,
        /// What the first one is.
        first: Kind,
        /// Where it is.
        first_at: Place,
        /// What the second one is.
        second: Kind,
    },
    /// A controller has no such terminal, or it is of another kind.
    UnknownTerminal {
        /// The controller.
        controller: String,
        /// The terminal; empty when none is written.
        terminal: String,
        /// What it had to be.
        wanted: TerminalKind,
        /// What it is, when the controller has it.
        is: Option<TerminalKind>,
        /// The terminals of the wanted kind, as the part declares them.
        known: String,
        /// The nearest of them.
        nearest: Option<String>,
        /// Where the part declares its terminals.
        declared: Place,
    },
    /// A cable has no such tap, or none is written.
    UnknownTap {
        /// The cable.
        cable: String,
        /// The tap; empty when none is written.
        tap: String,
        /// The taps that it has.
        known: Vec<String>,
    },
    /// Something that has to be said is not.
    MissingFact {
        /// The thing in words: "zone `dock-door`".
        thing: String,
        /// What is missing, as it is typed: "`wired to TERMINAL`".
        what: &'static str,
        /// What follows from that.
        consequence: &'static str,
        /// The name of the thing.
        name: String,
    },
    /// Schedules that are made of each other.
    ScheduleCycle(Vec<String>),
    /// Things that hang on each other; their names, from the first round to itself.
    Ring(RingOf, Vec<String>),
    /// A value that cannot be: a range of terminals that runs backwards, an unknown time zone.
    BadValue {
        /// Why, in words.
        why: String,
        /// What to do, with the text to type.
        help: String,
    },
    /// A name that looks like another one, or hides something.
    Confusable {
        /// Why, in words.
        why: String,
        /// The other name's place, if there is one.
        other: Option<Place>,
    },
    /// Something that is declared and that nothing uses.
    Unused {
        /// What it is.
        kind: Kind,
        /// The name.
        name: String,
    },
}

/// What a ring of things is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RingOf {
    /// Cables and controllers that feed each other.
    Feeds,
    /// Relays whose coils hang on each other's contacts.
    Relays,
}
