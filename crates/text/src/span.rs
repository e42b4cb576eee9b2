//! Byte spans, file ids, and a span together with its file.

/// A half-open range of byte offsets in one file.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// Offset of the first byte.
    pub start: u32,
    /// Offset after the last byte; never less than `start`.
    pub end: u32,
}

impl Span {
    /// A span from `start` to `end`; the ends are put in order.
    #[inline]
    #[must_use]
    pub fn new(start: u32, end: u32) -> Self {
        Self { start: start.min(end), end: start.max(end) }
    }

    /// The empty span at one offset.
    #[inline]
    #[must_use]
    pub fn at(offset: u32) -> Self {
        Self { start: offset, end: offset }
    }

    /// The smallest span that holds both.
    #[inline]
    #[must_use]
    pub fn to(self, other: Self) -> Self {
        Self { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// Whether no byte lies in the span.
    #[inline]
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.start == self.end
    }

    /// Whether `offset` lies in the span or at its end, as a cursor does.
    #[inline]
    #[must_use]
    pub fn touches(self, offset: u32) -> bool {
        self.start <= offset && offset <= self.end
    }

    /// The bytes of the span, none when it lies outside `source`.
    #[inline]
    #[must_use]
    pub fn bytes_of(self, source: &str) -> &[u8] {
        source.as_bytes().get(self.start as usize..self.end as usize).unwrap_or_default()
    }

    /// The text of the span, empty when the span does not lie on character boundaries of `source`.
    #[inline]
    #[must_use]
    pub fn of(self, source: &str) -> &str {
        source.get(self.start as usize..self.end as usize).unwrap_or_default()
    }
}

impl std::fmt::Debug for Span {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}..{}", self.start, self.end)
    }
}

/// A file of one workspace snapshot. The numbers are given by `project`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct FileId(pub u32);

/// A span together with the file in which it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Place {
    /// The file.
    pub file: FileId,
    /// Where in the file.
    pub span: Span,
}

impl Place {
    /// `span` in `file`.
    #[inline]
    #[must_use]
    pub fn new(file: FileId, span: Span) -> Self {
        Self { file, span }
    }
}
