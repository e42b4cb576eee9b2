//! A table as data: what every form of the papers is made from.

/// What a cell is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Something that is known.
    Plain,
    /// Something that is missing, with the reason.
    Hole,
    /// Left open, to be filled in by hand.
    Fill,
}

/// One cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// Its text.
    pub text: String,
    /// What it is.
    pub kind: Kind,
}

impl Cell {
    /// A cell that is left open.
    #[must_use]
    pub fn fill() -> Self {
        Self { text: String::new(), kind: Kind::Fill }
    }

    /// A cell that says why it holds nothing.
    #[must_use]
    pub fn hole(why: impl ToString) -> Self {
        Self { text: why.to_string(), kind: Kind::Hole }
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self { text: text.to_owned(), kind: Kind::Plain }
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self { text, kind: Kind::Plain }
    }
}

impl From<&String> for Cell {
    fn from(text: &String) -> Self {
        text.as_str().into()
    }
}

impl From<&&str> for Cell {
    fn from(text: &&str) -> Self {
        (*text).into()
    }
}

/// Makes a row of cells from anything that is a cell or a text.
macro_rules! cells {
    ($($cell:expr),* $(,)?) => { vec![$($crate::table::Cell::from($cell)),*] };
}
pub(crate) use cells;

/// How a table is laid out on paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shape {
    /// As wide as the page.
    #[default]
    Plain,
    /// Many narrow columns, with heads that stand on end.
    Matrix,
}

/// A table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// The name of its file, and its anchor.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What has to be known to read it.
    pub about: String,
    /// How it is laid out.
    pub shape: Shape,
    /// The heads of its columns.
    pub head: Vec<String>,
    /// Its rows, each as long as the head.
    pub rows: Vec<Vec<Cell>>,
    /// Lines below it.
    pub notes: Vec<Cell>,
}

impl Table {
    pub(crate) fn new(id: impl Into<String>, title: impl Into<String>, head: &[&str]) -> Self {
        Self {
            id: id.into(),
            title: title.into(),
            about: String::new(),
            shape: Shape::Plain,
            head: head.iter().map(|cell| (*cell).to_owned()).collect(),
            rows: Vec::new(),
            notes: Vec::new(),
        }
    }

    pub(crate) fn about(mut self, about: impl Into<String>) -> Self {
        self.about = about.into();
        self
    }

    /// Adds a row; one that is too short is filled up, so that a table always has whole rows.
    pub(crate) fn row(&mut self, mut cells: Vec<Cell>) {
        cells.resize(self.head.len(), Cell::from(""));
        self.rows.push(cells);
    }

    pub(crate) fn note(&mut self, note: impl Into<Cell>) {
        self.notes.push(note.into());
    }

    /// How many cells are holes.
    #[must_use]
    pub fn holes(&self) -> usize {
        let cells = self.rows.iter().flatten().chain(&self.notes);
        cells.filter(|cell| cell.kind == Kind::Hole).count()
    }
}
