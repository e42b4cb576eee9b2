//! Formatting: of a document, of a range, and of what was just typed. All three are the same: the
//! whole text in the one style, of which only the edits are sent that are asked for.

use crate::address;
use crate::backend::{Ask, not_open};
use crate::document::Document;
use lsp_types::{Range, TextDocumentPositionParams, TextEdit, Uri};
use std::sync::Arc;
use tower_lsp::jsonrpc::Result;

type Edits = Result<Option<Vec<TextEdit>>>;

/// The whole document.
pub(crate) fn document(ask: &Ask, uri: &Uri) -> Edits {
    edits(ask, uri, |_, _| true)
}

/// The lines that a range touches.
pub(crate) fn range(ask: &Ask, uri: &Uri, range: Range) -> Edits {
    // A range that ends at the start of a line does not mean that line.
    let last = match range.end.character {
        0 if range.end.line > range.start.line => range.end.line - 1,
        _ => range.end.line,
    };
    edits(ask, uri, |_, edit| edit.start.line <= last && range.start.line <= edit.last)
}

/// After `}`: the block that it closes. After a new line: the line before it.
pub(crate) fn typed(ask: &Ask, params: &TextDocumentPositionParams) -> Edits {
    let line = params.position.line;
    edits(ask, &params.text_document.uri, |document, edit| {
        let lines = document.lines(ask.snapshot.features.encoding);
        let offset = lines.offset(params.position) as usize;
        let before = document.text.get(..offset).unwrap_or_default();
        let first = match before.strip_suffix('}') {
            Some(before) => block_start(before),
            None => line.saturating_sub(1),
        };
        let last = if before.ends_with('}') { line } else { line.saturating_sub(1) };
        edit.start.line <= last && first <= edit.last
    })
}

/// The line on which the block begins whose text ends here.
fn block_start(before: &str) -> u32 {
    let mut depth = 0usize;
    let open = before.bytes().enumerate().rev().find(|(_, byte)| {
        match byte {
            b'}' => depth += 1,
            b'{' if depth == 0 => return true,
            b'{' => depth -= 1,
            _ => {}
        }
        false
    });
    let head = open.and_then(|(at, _)| before.get(..at)).unwrap_or_default();
    u32::try_from(head.bytes().filter(|byte| *byte == b'\n').count()).unwrap_or(0)
}

/// An edit, by the lines that it touches.
struct Touched {
    start: lsp_types::Position,
    last: u32,
}

/// The edits of whole lines that are wanted. A text that cannot be formatted is left alone: its
/// faults are told as diagnostics.
fn edits(ask: &Ask, uri: &Uri, wanted: impl Fn(&Document, &Touched) -> bool) -> Edits {
    let snapshot = &ask.snapshot;
    let path = address::path(uri).ok_or_else(not_open)?;
    let document: &Arc<Document> = snapshot.documents.get(&path).ok_or_else(not_open)?;
    let source = snapshot.loader(&path).and_then(|loader| loader.source(&path).ok());
    let Some(source) = source else { return Ok(None) };
    let Ok(text) = curtilage_format::format_parsed(&source.text, &source.parsed) else {
        return Ok(None);
    };
    let lines = document.lines(snapshot.features.encoding);
    let all = crate::difference::edits(&document.text, &text).into_iter();
    let edit = |(span, new_text)| TextEdit { range: lines.range(span), new_text };
    let touched = |edit: &TextEdit| {
        let (start, end) = (edit.range.start, edit.range.end);
        let last = if end.line > start.line { end.line - 1 } else { end.line };
        wanted(document, &Touched { start, last })
    };
    Ok(Some(all.map(edit).filter(touched).collect()))
}
