//! What is shown beside the text: figures at the ends of lines, lenses, folds, and what a selection
//! grows to.

use crate::backend::Ask;
use crate::commands;
use crate::context::Context;
use curtilage_ide::{self as ide, FoldKind, LensCommand};
use lsp_types::{
    CodeLens, Command, FoldingRange, FoldingRangeKind, InlayHint, InlayHintLabel, InlayHintTooltip,
    Position, Range, SelectionRange, Uri,
};
use serde_json::json;
use tower_lsp::jsonrpc::Result;

pub(crate) fn hints(ask: &Ask, uri: &Uri, range: Range) -> Result<Option<Vec<InlayHint>>> {
    let context = Context::new(ask, uri)?;
    let wanted = ide::inlays(context.view(), context.span(range)).into_iter();
    let wanted = wanted.filter(|inlay| ask.snapshot.settings.hint(inlay.kind.word()));
    let Some(lines) = context.lines() else { return Ok(None) };
    let hint = |inlay: ide::Inlay| InlayHint {
        position: lines.position(inlay.at),
        label: InlayHintLabel::String(inlay.text),
        kind: None,
        text_edits: None,
        tooltip: Some(InlayHintTooltip::String(inlay.about)),
        padding_left: Some(true),
        padding_right: None,
        data: None,
    };
    Ok(Some(wanted.map(hint).collect()))
}

/// Kinds: `rehearsals` runs them, `tests` shows what must be tested again.
pub(crate) fn lenses(ask: &Ask, uri: &Uri) -> Result<Option<Vec<CodeLens>>> {
    let context = Context::new(ask, uri)?;
    let lens = |lens: ide::Lens| {
        let (kind, command, arguments) = match lens.command {
            // The words are those of the command line; the server is the program, and knows the
            // file and the title by them.
            LensCommand::Run(words) => {
                let title = words.get(3).cloned();
                let mut arguments = vec![json!(uri), json!(title)];
                // Two may have one title: it is the one below this lens.
                let at = title.map(|_| json!(context.range(lens.span).start));
                arguments.extend(at);
                ("rehearsals", commands::REHEARSE, arguments)
            }
            LensCommand::Show(spans) => {
                let ranges: Vec<Range> = spans.iter().map(|span| context.range(*span)).collect();
                ("tests", commands::SHOW, vec![json!(uri), json!(ranges)])
            }
        };
        ask.snapshot.settings.lens(kind).then(|| CodeLens {
            range: context.range(lens.span),
            command: Some(Command::new(lens.title, command.to_owned(), Some(arguments))),
            data: None,
        })
    };
    Ok(Some(ide::lenses(context.view()).into_iter().filter_map(lens).collect()))
}

pub(crate) fn folds(ask: &Ask, uri: &Uri) -> Result<Option<Vec<FoldingRange>>> {
    let context = Context::new(ask, uri)?;
    let fold = |fold: ide::Fold| {
        let range = context.range(fold.span);
        FoldingRange {
            start_line: range.start.line,
            start_character: Some(range.start.character),
            end_line: range.end.line,
            end_character: Some(range.end.character),
            kind: match fold.kind {
                FoldKind::Block => Some(FoldingRangeKind::Region),
                FoldKind::Comment => Some(FoldingRangeKind::Comment),
                FoldKind::Use => Some(FoldingRangeKind::Imports),
            },
            collapsed_text: None,
        }
    };
    Ok(Some(ide::folds(context.view()).into_iter().map(fold).collect()))
}

pub(crate) fn selections(
    ask: &Ask,
    uri: &Uri,
    positions: &[Position],
) -> Result<Option<Vec<SelectionRange>>> {
    let context = Context::new(ask, uri)?;
    let one = |position: &Position| {
        let spans = ide::selections(context.view(), context.offset(*position));
        let grown = spans.into_iter().rev().fold(None, |parent, span| {
            let parent = parent.map(Box::new);
            Some(SelectionRange { range: context.range(span), parent })
        });
        // Each position must have its answer.
        let empty = Range { start: *position, end: *position };
        grown.unwrap_or(SelectionRange { range: empty, parent: None })
    };
    Ok(Some(positions.iter().map(one).collect()))
}
