//! What can be done about the words under the cursor: the fixes of rules, and all safe ones at once.

use crate::backend::Ask;
use crate::context::Context;
use crate::diagnose;
use crate::edits::workspace_edit;
use curtilage_diagnostic::{Diagnostic as Finding, Edit, Fix};
use curtilage_text::Span;
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
    let mut out = Vec::new();
    if wanted(&CodeActionKind::QUICKFIX) {
        for finding in touched(&context, span) {
            out.extend(finding.fixes.iter().map(|fix| quick_fix(&context, finding, fix)));
        }
    }
    // All at once is offered where it is asked for: it is about the file, not about the cursor.
    if only.is_some() && wanted(&CodeActionKind::SOURCE_FIX_ALL) {
        out.extend(fix_all(&context));
    }
    Ok(Some(out.into_iter().map(CodeActionOrCommand::CodeAction).collect()))
}

/// Whether a kind is asked for by this one: itself or a kind above it.
fn holds(asked: &CodeActionKind, kind: &CodeActionKind) -> bool {
    let (asked, kind) = (asked.as_str(), kind.as_str());
    asked.is_empty()
        || kind == asked
        || kind.strip_prefix(asked).is_some_and(|rest| rest.starts_with('.'))
}

/// The findings of the file whose words a span touches.
fn touched<'c>(context: &'c Context<'_>, span: Span) -> impl Iterator<Item = &'c Finding> {
    let root = context.analysis.model().root_file();
    context.analysis.findings().iter().filter(move |finding| {
        let at = finding.at.at;
        at.file == root && at.span.start <= span.end && span.start <= at.span.end
    })
}

fn quick_fix(context: &Context<'_>, finding: &Finding, fix: &Fix) -> CodeAction {
    let places = context.places();
    let root = context.analysis.model().root_file();
    let told = diagnose::diagnostic(finding, &places, root, context.ask.shelf.pages());
    CodeAction {
        title: fix.title.clone(),
        kind: Some(CodeActionKind::QUICKFIX),
        diagnostics: told.map(|told| vec![told]),
        edit: Some(workspace_edit(&places, &fix.edits)),
        is_preferred: fix.safe.then_some(true),
        ..CodeAction::default()
    }
}

/// The safe fixes of the file, as far as they do not touch each other.
fn fix_all(context: &Context<'_>) -> Option<CodeAction> {
    let mut edits: Vec<Edit> = Vec::new();
    for finding in context.analysis.findings() {
        let Some(fix) = finding.fixes.iter().find(|fix| fix.safe) else { continue };
        let apart = |new: &Edit| {
            edits.iter().all(|old| {
                let (a, b) = (old.at.span, new.at.span);
                old.at.file != new.at.file || a.end < b.start || b.end < a.start
            })
        };
        if fix.edits.iter().all(apart) {
            edits.extend(fix.edits.iter().cloned());
        }
    }
    (!edits.is_empty()).then(|| CodeAction {
        title: "make every safe fix of this file".to_owned(),
        kind: Some(CodeActionKind::SOURCE_FIX_ALL),
        edit: Some(workspace_edit(&context.places(), &edits)),
        ..CodeAction::default()
    })
}
