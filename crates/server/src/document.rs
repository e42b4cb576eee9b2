//! A text that the client holds, and the changes to it.

use crate::position::{Encoding, Lines};
use curtilage_text::LineIndex;
use lsp_types::{TextDocumentContentChangeEvent, Uri};
use std::sync::Arc;

/// An open document.
#[derive(Clone, Debug)]
pub(crate) struct Document {
    /// Its address as the client writes it.
    pub(crate) uri: Uri,
    pub(crate) version: i32,
    pub(crate) text: Arc<String>,
    pub(crate) lines: Arc<LineIndex>,
}

impl Document {
    pub(crate) fn new(uri: Uri, version: i32, text: String) -> Self {
        let lines = Arc::new(LineIndex::new(&text));
        Self { uri, version, text: Arc::new(text), lines }
    }

    /// Makes changes, one after the other, as LSP 3.17 tells: each speaks of the text that the one
    /// before it left.
    pub(crate) fn change(
        &mut self,
        version: i32,
        changes: Vec<TextDocumentContentChangeEvent>,
        encoding: Encoding,
    ) {
        self.version = version;
        for change in changes {
            let Some(range) = change.range else {
                self.lines = Arc::new(LineIndex::new(&change.text));
                self.text = Arc::new(change.text);
                continue;
            };
            let span = self.lines(encoding).span(range);
            let (start, end) = (span.start as usize, span.end as usize);
            match Arc::get_mut(&mut self.text) {
                Some(text) => text.replace_range(start..end, &change.text),
                // Somebody looks at the version before: it is copied once, with the change.
                None => {
                    let (before, after) = (self.text.get(..start), self.text.get(end..));
                    let parts = [before, Some(&*change.text), after].map(Option::unwrap_or_default);
                    self.text = Arc::new(parts.concat());
                }
            }
            let inserted = u32::try_from(change.text.len()).unwrap_or(u32::MAX);
            Arc::make_mut(&mut self.lines).follow(&self.text, span, inserted);
        }
    }

    pub(crate) fn lines(&self, encoding: Encoding) -> Lines<'_> {
        Lines { text: &self.text, index: &self.lines, encoding }
    }
}
