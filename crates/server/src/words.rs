//! What is shown at the cursor: hover, the form of a statement, and what may stand there.

use crate::backend::Ask;
use crate::context::{Context, roots};
use crate::plain;
use crate::position::Encoding;
use curtilage_ide::{self as ide, Completion, CompletionKind};
use curtilage_syntax::tree::Item;
use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionResponse, CompletionTextEdit, Documentation,
    Hover, HoverContents, InsertTextFormat, MarkupContent, MarkupKind, ParameterInformation,
    ParameterLabel, SignatureHelp, SignatureInformation, TextDocumentPositionParams, TextEdit,
};
use std::path::Path;
use tower_lsp::jsonrpc::Result;

fn markup(markdown_wanted: bool, markdown: String) -> MarkupContent {
    if markdown_wanted {
        return MarkupContent { kind: MarkupKind::Markdown, value: markdown };
    }
    MarkupContent { kind: MarkupKind::PlainText, value: plain::text(&markdown) }
}

pub(crate) fn hover(ask: &Ask, params: &TextDocumentPositionParams) -> Result<Option<Hover>> {
    let (context, offset) = Context::at(ask, params)?;
    Ok(ide::hover(context.view(), offset).map(|hover| Hover {
        range: Some(context.range(hover.span)),
        contents: HoverContents::Markup(markup(
            ask.snapshot.features.hover_markdown,
            hover.markdown,
        )),
    }))
}

/// The form of the statement under the cursor, as a signature whose parameters are its words and
/// slots.
pub(crate) fn signature(
    ask: &Ask,
    params: &TextDocumentPositionParams,
) -> Result<Option<SignatureHelp>> {
    let (context, offset) = Context::at(ask, params)?;
    let Some(help) = ide::form_help(context.view(), offset) else { return Ok(None) };
    // Offsets into the label are UTF-16 whatever the positions are (LSP 3.17, SignatureHelp).
    let units = |to: u32| Encoding::Utf16.length(help.label.get(..to as usize).unwrap_or_default());
    let features = &ask.snapshot.features;
    let slots = help.slots.iter().map(|slot| ParameterInformation {
        label: if features.label_offsets {
            ParameterLabel::LabelOffsets([units(slot.start), units(slot.end)])
        } else {
            ParameterLabel::Simple(slot.of(&help.label).to_owned())
        },
        documentation: None,
    });
    let active = help.active.and_then(|active| u32::try_from(active).ok());
    let signature = SignatureInformation {
        parameters: Some(slots.collect()),
        documentation: Some(Documentation::MarkupContent(markup(
            features.form_markdown,
            help.about.clone(),
        ))),
        active_parameter: active,
        label: help.label.clone(),
    };
    Ok(Some(SignatureHelp {
        signatures: vec![signature],
        active_signature: Some(0),
        active_parameter: active,
    }))
}

pub(crate) fn completion(
    ask: &Ask,
    params: &TextDocumentPositionParams,
) -> Result<Option<CompletionResponse>> {
    let (context, offset) = Context::at(ask, params)?;
    let mut found = ide::complete(context.view(), offset);
    if found.is_empty() {
        let sites = roots(ask, context.loader);
        let mut files: Vec<String> = sites.iter().map(|path| context.loader.shown(path)).collect();
        let calendars = ask.shelf.calendars();
        let inside = calendars.iter().filter(|path| path.starts_with(context.loader.root()));
        files.extend(inside.map(|path| context.loader.shown(path)));
        let list: Vec<&str> = files.iter().map(String::as_str).collect();
        found = ide::complete_paths(context.view(), offset, &list);
        // A file that has a `site` is used by none, and one that marks the workspace has nothing.
        found.retain(|one| {
            let mut all = files.iter().zip(&sites);
            let site = all.find(|(shown, _)| **shown == one.detail).map(|(_, path)| path);
            site.is_none_or(|path| !is_used_by_none(&context, path))
        });
    }
    let items = found.into_iter().enumerate();
    let items = items.map(|(place, one)| item(&context, place, one)).collect();
    Ok(Some(CompletionResponse::Array(items)))
}

/// Whether a file has a `site`, or is an empty `workspace.site`; one that cannot be read is neither.
fn is_used_by_none(context: &Context<'_>, path: &Path) -> bool {
    let Ok(source) = context.loader.source(path) else { return false };
    if source.statements().is_empty() && path.ends_with("workspace.site") {
        return true;
    }
    let has = source.parsed.file.items.iter().any(|item| matches!(item, Item::Site(_)));
    // As in `context::models`: a root of its own is not kept for this.
    if has && !context.ask.snapshot.documents.contains_key(path) {
        context.loader.release(path);
    }
    has
}

fn item(context: &Context<'_>, place: usize, one: Completion) -> CompletionItem {
    let features = &context.ask.snapshot.features;
    let stops = one.insert.with_stops().filter(|_| features.snippets);
    let (format, new_text) = match stops {
        Some(stops) => (InsertTextFormat::SNIPPET, stops),
        None => (InsertTextFormat::PLAIN_TEXT, one.insert.plain()),
    };
    let new_text = new_text.to_owned();
    let documentation = (!one.documentation.is_empty())
        .then(|| Documentation::MarkupContent(markup(features.list_markdown, one.documentation)));
    CompletionItem {
        label: one.label,
        kind: Some(kind(one.kind)),
        detail: (!one.detail.is_empty()).then_some(one.detail),
        documentation,
        // The order is ours: the likeliest first.
        sort_text: Some(format!("{place:05}")),
        insert_text_format: Some(format),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit {
            range: context.range(one.replace),
            new_text,
        })),
        ..CompletionItem::default()
    }
}

fn kind(kind: CompletionKind) -> CompletionItemKind {
    match kind {
        CompletionKind::Statement => CompletionItemKind::PROPERTY,
        CompletionKind::Snippet => CompletionItemKind::SNIPPET,
        CompletionKind::Word => CompletionItemKind::KEYWORD,
        CompletionKind::Name => CompletionItemKind::VARIABLE,
        CompletionKind::Part => CompletionItemKind::CLASS,
        CompletionKind::Schedule => CompletionItemKind::EVENT,
        CompletionKind::Terminal => CompletionItemKind::FIELD,
        CompletionKind::Unit => CompletionItemKind::UNIT,
        CompletionKind::Value => CompletionItemKind::VALUE,
        CompletionKind::Rule => CompletionItemKind::REFERENCE,
        CompletionKind::File => CompletionItemKind::FILE,
    }
}
