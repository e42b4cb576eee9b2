//! Why a file is not formatted.

use curtilage_syntax::{Fault, FaultKind};
use curtilage_text::TextFaultKind;

/// Why a file is not formatted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FormatError {
    /// The text cannot be taken apart safely; these faults must be mended first.
    HasFaults(Vec<Fault>),
    /// The formatted text would not say the same. A mistake of the formatter, or a text that only
    /// its line breaks hold together; the file stays as it is.
    WouldChange,
}

impl std::fmt::Display for FormatError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::HasFaults(faults) if faults.len() == 1 => {
                f.write_str("a syntax fault must be mended before the file can be formatted")
            }
            Self::HasFaults(faults) => {
                let count = faults.len();
                write!(f, "{count} syntax faults must be mended before the file can be formatted")
            }
            Self::WouldChange => {
                f.write_str("formatting would change what the file says, so it is left as it is")
            }
        }
    }
}

impl std::error::Error for FormatError {}

/// Whether a fault makes it unsafe to print the text anew. Faults of a statement's words do not:
/// a file is formatted while it is written.
#[must_use]
pub fn hinders(kind: &FaultKind) -> bool {
    match kind {
        FaultKind::Text(TextFaultKind::NotUtf8)
        | FaultKind::StrayCharacter
        | FaultKind::OpenText
        | FaultKind::TooDeep
        | FaultKind::MissingBrace { .. }
        | FaultKind::StrayBrace
        | FaultKind::TooMany { broken: true, .. }
        | FaultKind::StrayGroup => true,
        // Outside a comment or a quoted text, an unusual break is a stray character as well.
        FaultKind::Text(TextFaultKind::LoneCarriageReturn | TextFaultKind::UnusualLineBreak)
        | FaultKind::Expected { .. }
        | FaultKind::TooMany { broken: false, .. }
        | FaultKind::Surplus { .. }
        | FaultKind::UnknownStatement { .. }
        | FaultKind::Block { .. }
        | FaultKind::SaidTwice { .. }
        | FaultKind::WrongDimension { .. }
        | FaultKind::NoUnit { .. }
        | FaultKind::UnknownUnit { .. }
        | FaultKind::BadValue { .. } => false,
    }
}
