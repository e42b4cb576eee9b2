//! The one style of a site file: [`format()`] gives the text as it should stand. Pure, no options.
//!
//! Only blanks and line ends change. No word, number, sign, text or comment is touched, added or
//! dropped; before a text is handed out it is parsed again and compared.
//!
//! * `style`: the columns, by kind of block. Nothing depends on the lines that happen to be there,
//!   so a new line never moves its neighbours.
//! * `gap`: what stands between two tokens: comments and line ends.
//! * `print`: one walk over tokens and statements.
//! * `check`: whether two texts say the same.

mod check;
mod error;
mod gap;
mod print;
mod style;

pub use error::{FormatError, hinders};

use curtilage_syntax::{Parsed, parse};

/// Formats `source`. Formatting the result again gives the same text.
///
/// ```
/// let text = curtilage_format::format("zone door is reed{lockout 2s}\n")?;
/// assert_eq!(text, "zone door is reed {\n    lockout    2 s\n}\n");
/// # Ok::<(), curtilage_format::FormatError>(())
/// ```
///
/// # Errors
///
/// [`FormatError::HasFaults`] when braces, quotes, parentheses or characters are not in order;
/// [`FormatError::WouldChange`] when the result would not say the same.
pub fn format(source: &str) -> Result<String, FormatError> {
    // A byte order mark means nothing here.
    let source = source.strip_prefix('\u{feff}').unwrap_or(source);
    format_parsed(source, &parse(source, &[]))
}

/// Formats `source`, of which `parsed` is the reading. Use this for text decoded from bytes: the
/// faults of decoding are then known, and a file that is not UTF-8 is left alone.
///
/// # Errors
///
/// As [`format()`].
pub fn format_parsed(source: &str, parsed: &Parsed) -> Result<String, FormatError> {
    let faults: Vec<_> =
        parsed.faults.iter().filter(|fault| hinders(&fault.kind)).cloned().collect();
    if !faults.is_empty() {
        return Err(FormatError::HasFaults(faults));
    }
    let text = print::print(source, parsed);
    if text != source && !check::same(source, parsed, &text, &parse(&text, &[])) {
        return Err(FormatError::WouldChange);
    }
    Ok(text)
}
