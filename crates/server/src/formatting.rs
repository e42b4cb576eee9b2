//! Formatting: of a document, of a range, and of what was just typed.

use crate::address;
use crate::backend::{Ask, not_open};
use lsp_types::{TextEdit, Uri};
use tower_lsp::jsonrpc::Result;

/// Formats a whole document, as the fewest edits of whole lines.
pub(crate) fn document(ask: &Ask, uri: &Uri) -> Result<Option<Vec<TextEdit>>> {
    let snapshot = &ask.snapshot;
    let path = address::path(uri).ok_or_else(not_open)?;
    let document = snapshot.documents.get(&path).ok_or_else(not_open)?;
    let source = snapshot.loader(&path).and_then(|loader| loader.source(&path).ok());
    let Some(source) = source else { return Ok(None) };
    // A text that cannot be formatted is left alone; its faults are told as diagnostics.
    let Ok(text) = curtilage_format::format_parsed(&source.text, &source.parsed) else {
        return Ok(None);
    };
    let lines = document.lines(snapshot.features.encoding);
    let edits = crate::difference::edits(&document.text, &text);
    Ok(Some(
        edits
            .into_iter()
            .map(|(span, new_text)| TextEdit { range: lines.range(span), new_text })
            .collect(),
    ))
}
