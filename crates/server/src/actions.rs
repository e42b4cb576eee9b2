//! What can be done about the words under the cursor.

use crate::backend::Ask;
use crate::context::Context;
use crate::diagnose;
use crate::edits::workspace_edit;
use curtilage_ide::{self as ide, Action, ActionKind};
use lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, CodeActionResponse,
};
use tower_lsp::jsonrpc::Result;

/// The kinds that are offered.
pub(crate) const KINDS: [CodeActionKind; 3] = [
    CodeActionKind::QUICKFIX,
    CodeActionKind::SOURCE_FIX_ALL,
    CodeActionKind::SOURCE_ORGANIZE_IMPORTS,
];

pub(crate) fn actions(ask: &Ask, params: &CodeActionParams) -> Result<Option<CodeActionResponse>> {
    if !ask.snapshot.features.action_literals {
        return Ok(None);
    }
    let context = Context::new(ask, &params.text_document.uri)?;
    let span = context.span(params.range);
    let only = params.context.only.as_deref();
    let wanted =
        |kind: &CodeActionKind| only.is_none_or(|only| only.iter().any(|o| holds(o, kind)));
    let offered = ide::actions(context.view(), span, context.analysis.findings());
    let mut out: Vec<CodeAction> = offered
        .into_iter()
        .filter(|action| wanted(&kind(action.kind)))
        .map(|action| code_action(&context, action))
        .collect();
    // All at once is offered where it is asked for: it is about the file, not about the cursor.
    if only.is_some() && wanted(&CodeActionKind::SOURCE_FIX_ALL) {
        out.extend(fix_all(&context));
    }
    Ok(Some(out.into_iter().map(CodeActionOrCommand::CodeAction).collect()))
}

/// Whether a kind is asked for by this one: itself or a kind above it.
fn holds(asked: &CodeActionKind, kind: &CodeActionKind) -> bool {
    let (asked, kind) = (asked.as_str(), kind.as_str());
    let below = kind.strip_prefix(asked);
    asked.is_empty() || below.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

fn kind(kind: ActionKind) -> CodeActionKind {
    match kind {
        ActionKind::Fix | ActionKind::Allow | ActionKind::Fill => CodeActionKind::QUICKFIX,
        ActionKind::Organise => CodeActionKind::SOURCE_ORGANIZE_IMPORTS,
    }
}

fn code_action(context: &Context<'_>, action: Action) -> CodeAction {
    let places = context.places();
    let root = context.analysis.model().root_file();
    let finding = action.finding.and_then(|index| context.analysis.findings().get(index));
    let pages = context.ask.shelf.pages();
    let told = finding.and_then(|finding| diagnose::diagnostic(finding, &places, root, pages));
    CodeAction {
        title: action.title,
        kind: Some(kind(action.kind)),
        diagnostics: told.map(|told| vec![told]),
        edit: Some(workspace_edit(&places, &action.edits)),
        is_preferred: (action.safe && action.kind == ActionKind::Fix).then_some(true),
        ..CodeAction::default()
    }
}

/// The safe fixes of the file.
fn fix_all(context: &Context<'_>) -> Option<CodeAction> {
    let edits = ide::fix_all(context.view(), context.analysis.findings());
    (!edits.is_empty()).then(|| CodeAction {
        title: "make every safe fix of this file".to_owned(),
        kind: Some(CodeActionKind::SOURCE_FIX_ALL),
        edit: Some(workspace_edit(&context.places(), &edits)),
        ..CodeAction::default()
    })
}
