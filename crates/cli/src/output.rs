//! Standard output and error: colour or not, and pipes that close.

use crate::arguments::Color;
use std::io::{self, IsTerminal, Write};

/// Whether to colour what goes to standard output. `NO_COLOR` (no-color.org) speaks for `auto`
/// only.
pub(crate) fn colored(color: Color) -> bool {
    match color {
        Color::Always => true,
        Color::Never => false,
        Color::Auto => {
            let unwanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
            !unwanted && io::stdout().is_terminal()
        }
    }
}

/// Writes to standard output in one go.
pub(crate) fn print(text: &[u8]) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text)?;
    out.flush()
}

/// Tells on standard error what could not be done.
pub(crate) fn complain(text: &str) {
    // Nobody is left to tell when standard error is closed.
    let _ = writeln!(io::stderr(), "curtilage: {text}");
}
