//! Standard input, output and error: colour or not, pipes that close, and text that must not move a cursor.

use crate::arguments::Color;
use crate::lines::one_line;
use crate::plain::plain;
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

/// What comes on standard input, unless it is more than a file may have.
pub(crate) fn input() -> io::Result<Vec<u8>> {
    let read = curtilage_project::read_all(io::stdin().lock());
    read.map_err(|problem| io::Error::other(format!("standard input: {problem}")))
}

/// Writes to standard output in one go.
pub(crate) fn print(text: &[u8]) -> io::Result<()> {
    let mut out = io::stdout().lock();
    let written = out.write_all(text).and_then(|()| out.flush());
    written.map_err(|error| at("standard output", &error))
}

/// Tells people something on standard output; a title or a path in it must not move their cursor.
pub(crate) fn tell(text: &str) -> io::Result<()> {
    print(plain(text).as_bytes())
}

/// Tells on standard error, on one line, what could not be done.
pub(crate) fn complain(text: &str) {
    // Nobody is left to tell when standard error is closed.
    let _ = writeln!(io::stderr(), "curtilage: {}", one_line(text));
}

/// An error with the place where it happened.
pub(crate) fn at(place: impl std::fmt::Display, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{place}: {error}"))
}
