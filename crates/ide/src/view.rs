//! What is looked at: one file in the scope of a model.

use curtilage_facts::{Asked, Facts};
use curtilage_model::{Model, Source};
use curtilage_syntax::tree::Date;
use curtilage_syntax::{Kind as TokenKind, Tokens};
use curtilage_text::{FileId, Place, Span};

/// A file, and the root file in whose scope it is seen.
#[derive(Clone, Copy)]
pub struct View<'a> {
    asked: &'a dyn Asked,
    /// The file: the root, or a file that it uses.
    pub file: FileId,
}

impl<'a> View<'a> {
    /// A file seen in the scope of a root file.
    #[must_use]
    pub fn new(asked: &'a dyn Asked, file: FileId) -> Self {
        Self { asked, file }
    }

    /// The root file itself.
    #[must_use]
    pub fn root(asked: &'a dyn Asked) -> Self {
        Self { asked, file: asked.model().root_file() }
    }

    /// The model.
    #[must_use]
    pub fn model(&self) -> &'a Model<'a> {
        self.asked.model()
    }

    /// The facts. They may have to be worked out first: ask for them where a figure is shown, and
    /// nowhere else.
    #[must_use]
    pub fn facts(&self) -> &'a Facts<'a, 'a> {
        self.asked.facts()
    }

    /// The day that counts as today.
    pub(crate) fn today(&self) -> Date {
        self.asked.options().today
    }

    /// The file's text and tree; none when the model does not see the file.
    #[must_use]
    pub fn source(&self) -> Option<&'a Source> {
        source(self.model(), self.file)
    }

    pub(crate) fn place(&self, span: Span) -> Place {
        Place::new(self.file, span)
    }
}

pub(crate) fn source<'a>(model: &Model<'a>, file: FileId) -> Option<&'a Source> {
    let all: &'a [std::sync::Arc<Source>] = model.sources();
    all.iter().find(|source| source.file == file).map(std::convert::AsRef::as_ref)
}

/// The nearest character boundary at or before an offset.
pub(crate) fn boundary(text: &str, offset: u32) -> u32 {
    let mut at = (offset as usize).min(text.len());
    while at > 0 && !text.is_char_boundary(at) {
        at -= 1;
    }
    u32::try_from(at).unwrap_or(u32::MAX)
}

/// The token that holds a byte. No token but a line end leaves its line, so the line is enough.
pub(crate) fn token_at(source: &Source, offset: u32) -> Option<(TokenKind, Span)> {
    let line = line_span(&source.text, offset);
    if offset >= line.end {
        return None;
    }
    let tokens = Tokens::new(line.of(&source.text));
    let after = tokens.list().partition_point(|token| line.start + token.start <= offset);
    let index = u32::try_from(after.checked_sub(1)?).ok()?;
    let span = tokens.span(index);
    Some((tokens.kind(index)?, Span::new(line.start + span.start, line.start + span.end)))
}

/// Whether an offset lies in a comment: behind its `#`, or at its end.
pub(crate) fn in_comment(source: &Source, offset: u32) -> bool {
    let before = offset.checked_sub(1).and_then(|before| token_at(source, before));
    before.is_some_and(|(kind, _)| kind == TokenKind::Comment)
}

/// The span of the line in which an offset lies, without its end.
pub(crate) fn line_span(text: &str, offset: u32) -> Span {
    let offset = boundary(text, offset) as usize;
    let breaks = ['\n', '\r'];
    let start = text.get(..offset).and_then(|before| before.rfind(breaks)).map_or(0, |at| at + 1);
    let rest = text.get(offset..).unwrap_or_default();
    let end = offset + rest.find(breaks).unwrap_or(rest.len());
    Span::new(u32::try_from(start).unwrap_or(0), u32::try_from(end).unwrap_or(0))
}
