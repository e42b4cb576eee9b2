//! A table of zones, as designers keep it in a spreadsheet, becomes a site file. Nothing is lost:
//! what is not understood stands as a comment beside its zone, and every guess is told with its
//! reason. No IO: bytes in, text out.
//!
//! * `decode`: bytes to text, whatever program wrote them.
//! * `sheet`: text or a workbook to rows of cells.
//! * `columns`: which column says what.
//! * `cells`: what one cell says.
//! * `zones`: rows to statements, each of which is parsed before it is taken.
//! * `write`: the whole file, through the formatter.

mod cells;
mod columns;
mod decode;
mod sheet;
mod write;
mod zones;

use std::fmt;

/// The largest table that is read.
pub const MAX_BYTES: usize = 8 * 1024 * 1024;

/// What is to be read, and how it is to be called.
#[derive(Clone, Copy, Debug)]
pub struct Request<'a> {
    /// The bytes of the file.
    pub bytes: &'a [u8],
    /// Its name, for the comment at the top.
    pub file: &'a str,
    /// The sheet of a workbook; the first that has something on it when none is given.
    pub sheet: Option<&'a str>,
    /// The title of the site.
    pub title: &'a str,
    /// Files that the site is to use.
    pub uses: &'a [String],
    /// The parts in those files.
    pub parts: &'a [KnownPart],
}

/// A part that is there already.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownPart {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: Option<String>,
    /// What kind of part it is.
    pub kind: PartKind,
}

/// The kinds of parts that a table of zones can name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartKind {
    /// What a zone is.
    Sensor,
    /// Where it lands.
    Controller,
    /// Over what.
    Cable,
}

impl PartKind {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Sensor => "sensor",
            Self::Controller => "controller",
            Self::Cable => "cable",
        }
    }
}

/// A site file made from a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Imported {
    /// Its text, formatted.
    pub text: String,
    /// How many zones it has.
    pub zones: usize,
    /// What was read how, in the order of the table.
    pub told: Vec<Told>,
}

/// How sure a reading is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sure {
    /// The table says so.
    Sure,
    /// It very probably means so.
    Likely,
    /// It may mean so: look at it.
    Guess,
    /// It was not understood, and stands as a comment.
    Kept,
}

impl Sure {
    /// The word for lists.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Sure => "sure",
            Self::Likely => "likely",
            Self::Guess => "guess",
            Self::Kept => "kept",
        }
    }
}

/// How something in the table was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// The row, from 1, when it is about one.
    pub row: Option<usize>,
    /// The column, from 1, when it is about one.
    pub column: Option<usize>,
    /// How sure it is.
    pub sure: Sure,
    /// What was taken for what, and why.
    pub what: String,
}

impl Told {
    pub(crate) fn of_file(sure: Sure, what: impl Into<String>) -> Self {
        Self { row: None, column: None, sure, what: what.into() }
    }
}

/// On one line: a line end in a cell begins no line that looks like ours.
impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(row) = self.row {
            write!(f, "row {row}, ")?;
        }
        if let Some(column) = self.column {
            write!(f, "column {}: ", letters(column))?;
        }
        let what = self.what.replace("\r\n", " ").replace(['\n', '\r'], " ");
        write!(f, "{what} ({})", self.sure.word())
    }
}

/// The letters that a spreadsheet gives a column: A, B ... Z, AA.
fn letters(column: usize) -> String {
    let mut out = Vec::new();
    let mut rest = column;
    while rest > 0 {
        rest -= 1;
        out.push(char::from(b'A' + u8::try_from(rest % 26).unwrap_or(0)));
        rest /= 26;
    }
    out.iter().rev().collect()
}

/// Why a table cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ImportError {
    /// It has more than [`MAX_BYTES`], or would unfold to far more.
    TooLarge,
    /// It has more rows, columns or cells than any table of zones has.
    TooMany,
    /// It is a workbook, and the workbook is broken.
    BrokenWorkbook(String),
    /// It is a workbook of an older kind, or no table at all.
    NotATable(&'static str),
    /// The workbook has no sheet of this name; it has these.
    NoSheet(Vec<String>),
    /// It has no row with anything in it.
    Empty,
}

impl fmt::Display for ImportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLarge => write!(f, "it is larger than {} MiB", MAX_BYTES / 1024 / 1024),
            Self::TooMany => f.write_str("it has too many rows or columns for a table of zones"),
            Self::BrokenWorkbook(why) => write!(f, "the workbook cannot be read: {why}"),
            Self::NotATable(what) => f.write_str(what),
            Self::NoSheet(names) => {
                write!(f, "there is no such sheet; there is: {}", names.join(", "))
            }
            Self::Empty => f.write_str("there is nothing in it"),
        }
    }
}

impl std::error::Error for ImportError {}

/// Reads a table of zones: `.csv` with any of the usual separators and encodings, or `.xlsx`.
///
/// # Errors
/// [`ImportError`].
pub fn import(request: &Request<'_>) -> Result<Imported, ImportError> {
    if request.bytes.len() > MAX_BYTES {
        return Err(ImportError::TooLarge);
    }
    let mut told = Vec::new();
    let sheet = sheet::read(request.bytes, request.sheet, &mut told)?;
    let layout = columns::find(&sheet, &mut told);
    let zones = zones::read(&sheet, &layout, request.parts, &mut told);
    let count = zones.list.len();
    let text = write::site(request, &sheet, &layout, zones);
    Ok(Imported { text, zones: count, told })
}

#[cfg(test)]
mod tests {
    #[test]
    fn columns_have_the_letters_of_a_spreadsheet() {
        assert_eq!([1, 26, 27, 52, 703].map(super::letters), ["A", "Z", "AA", "AZ", "AAA"]);
    }
}
