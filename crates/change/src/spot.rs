//! A place as people and programs read it.

use curtilage_model::Model;
use curtilage_text::Place;

/// Where some words stand. Lines and columns count from 1, columns in characters.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    /// The file, from the workspace root.
    pub path: String,
    /// The first line.
    pub line: u32,
    /// The first column.
    pub column: u32,
    /// The last line.
    pub end_line: u32,
    /// The column behind the last one.
    pub end_column: u32,
}

impl Spot {
    /// The spot of a place; none when the file is not in the model's scope.
    #[must_use]
    pub fn of(model: &Model<'_>, at: Place) -> Option<Self> {
        let source = model.sources().iter().find(|source| source.file == at.file)?;
        let start = source.lines().position_chars(&source.text, at.span.start);
        let end = source.lines().position_chars(&source.text, at.span.end);
        Some(Self {
            path: source.path.clone(),
            line: start.line + 1,
            column: start.column + 1,
            end_line: end.line + 1,
            end_column: end.column + 1,
        })
    }
}
