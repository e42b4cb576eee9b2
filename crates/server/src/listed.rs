//! The findings of one file as they are sent. They are written once, by the thread that found them, and
//! kept as one piece of memory, where the values of the protocol are hundreds.

use lsp_types::Diagnostic;
use serde::{Serialize, Serializer};
use serde_json::value::{RawValue, to_raw_value};

/// A list of diagnostics, written; none when there are no findings.
#[derive(Debug, Default)]
pub(crate) struct Listed(Option<Box<RawValue>>);

impl Listed {
    pub(crate) fn new(items: &[Diagnostic]) -> Self {
        let written = (!items.is_empty()).then(|| to_raw_value(items)).transpose();
        Self(written.unwrap_or_else(lost))
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_none()
    }

    /// Read back, for an answer that is made of values.
    pub(crate) fn values(&self) -> Vec<Diagnostic> {
        let read = self.0.as_deref().map(|raw| serde_json::from_str(raw.get())).transpose();
        read.unwrap_or_else(lost).unwrap_or_default()
    }
}

/// What is left of findings that cannot be written or read back, which would be a mistake of ours: a line
/// for whoever looks.
fn lost<T>(error: serde_json::Error) -> Option<T> {
    crate::log(&format!("findings are lost: {error}"));
    None
}

impl PartialEq for Listed {
    fn eq(&self, other: &Self) -> bool {
        let [one, other] = [self, other].map(|list| list.0.as_deref().map(RawValue::get));
        one == other
    }
}

impl Serialize for Listed {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match &self.0 {
            Some(raw) => raw.serialize(to),
            None => [(); 0].serialize(to),
        }
    }
}
