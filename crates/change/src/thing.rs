//! What a figure is about.

use crate::words::{NewNames, Words};

macro_rules! kinds {
    ($($kind:ident $word:literal $plural:literal),* $(,)?) => {
        /// The kind of a thing, in the order in which things are told.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum ThingKind {
            $(#[doc = $word] $kind),*
        }

        impl ThingKind {
            /// The kind in words.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$kind => $word),* }
            }

            /// The kind in words, for several.
            #[must_use]
            pub fn plural(self) -> &'static str {
                match self { $(Self::$kind => $plural),* }
            }
        }
    };
}

kinds! {
    Site "site" "sites",
    Policy "policy" "policies",
    Zone "zone" "zones",
    Cause "cause" "causes",
    Output "output" "outputs",
    Contact "contact" "contacts",
    Relay "relay" "relays",
    Controller "controller" "controllers",
    Supply "supply" "supplies",
    Cable "cable" "cables",
    Camera "camera" "cameras",
    Recorder "recorder" "recorders",
    Rehearsal "rehearsal" "rehearsals",
    Area "area" "areas",
    People "people" "people",
    Schedule "schedule" "schedules",
    Part "part" "parts",
}

impl ThingKind {
    /// The word with which its item begins in a file; empty when it has none.
    pub(crate) fn item(self) -> &'static str {
        match self {
            Self::Cause => "response",
            Self::Recorder => "recording",
            Self::Contact | Self::Area | Self::People => "",
            other => other.word(),
        }
    }
}

/// A thing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Thing {
    /// Its kind.
    pub kind: ThingKind,
    /// Its name: for a cause the words of the cause, for a contact those of the contact.
    pub name: Words,
}

impl Thing {
    pub(crate) fn new(kind: ThingKind, name: Words) -> Self {
        Self { kind, name }
    }

    pub(crate) fn mapped(&self, names: &NewNames) -> Self {
        Self { kind: self.kind, name: self.name.mapped(names) }
    }
}

impl std::fmt::Display for Thing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.kind {
            // The words of a cause say what it is.
            ThingKind::Cause => write!(f, "{}", self.name),
            kind => write!(f, "{} {}", kind.word(), self.name),
        }
    }
}
