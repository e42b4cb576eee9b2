//! Formatting: of a document, of a range, and of what was just typed. A text that cannot be taken
//! apart is left alone; its faults are told as diagnostics.

use crate::backend::Ask;
use crate::context::Context;
use curtilage_diagnostic::Edit;
use curtilage_ide as ide;
use lsp_types::{DocumentOnTypeFormattingParams, Range, TextEdit, Uri};
use tower_lsp::jsonrpc::Result;

type Edits = Result<Option<Vec<TextEdit>>>;

pub(crate) fn document(ask: &Ask, uri: &Uri) -> Edits {
    let context = Context::new(ask, uri)?;
    let edits = ide::format(context.view()).ok();
    Ok(edits.map(|edits| texts(&context, edits)))
}

pub(crate) fn range(ask: &Ask, uri: &Uri, range: Range) -> Edits {
    let context = Context::new(ask, uri)?;
    let edits = ide::format_range(context.view(), context.span(range)).ok();
    Ok(edits.map(|edits| texts(&context, edits)))
}

pub(crate) fn typed(ask: &Ask, params: &DocumentOnTypeFormattingParams) -> Edits {
    let (context, offset) = Context::at(ask, &params.text_document_position)?;
    let Some(typed) = params.ch.chars().next() else { return Ok(None) };
    Ok(Some(texts(&context, ide::format_on_type(context.view(), offset, typed))))
}

fn texts(context: &Context<'_>, edits: Vec<Edit>) -> Vec<TextEdit> {
    let text = |edit: Edit| TextEdit { range: context.range(edit.at.span), new_text: edit.text };
    edits.into_iter().map(text).collect()
}
