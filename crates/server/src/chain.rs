//! The chain of cause and effect, as the call hierarchy of the protocol: what a thing sets off is
//! what it calls.

use crate::backend::Ask;
use crate::context::Context;
use curtilage_ide::{self as ide, ChainLink, ChainStep, LinkKind};
use curtilage_text::{FileId, Place};
use lsp_types::{
    CallHierarchyIncomingCall, CallHierarchyItem, CallHierarchyOutgoingCall, Range, SymbolKind,
    TextDocumentPositionParams, Uri,
};
use serde::{Deserialize, Serialize};
use std::str::FromStr;
use tower_lsp::jsonrpc::{Error, Result};

/// What finds an item again: the site in which the chain is looked at.
#[derive(Serialize, Deserialize)]
struct Origin {
    site: String,
}

pub(crate) fn prepare(
    ask: &Ask,
    params: &TextDocumentPositionParams,
) -> Result<Option<Vec<CallHierarchyItem>>> {
    let (context, offset) = Context::at(ask, params)?;
    let site = params.text_document.uri.as_str();
    let link = ide::chain_at(context.view(), offset);
    Ok(link.and_then(|link| item(&context, site, link)).map(|item| vec![item]))
}

pub(crate) fn incoming(
    ask: &Ask,
    asked: &CallHierarchyItem,
) -> Result<Option<Vec<CallHierarchyIncomingCall>>> {
    let (context, site, at) = again(ask, asked)?;
    let call = |step: ChainStep| {
        let from_ranges = ranges(&context, &step.written, step.link.at.file);
        Some(CallHierarchyIncomingCall { from: item(&context, &site, step.link)?, from_ranges })
    };
    Ok(Some(ide::chain_back(context.view(), at).into_iter().filter_map(call).collect()))
}

pub(crate) fn outgoing(
    ask: &Ask,
    asked: &CallHierarchyItem,
) -> Result<Option<Vec<CallHierarchyOutgoingCall>>> {
    let (context, site, at) = again(ask, asked)?;
    let call = |step: ChainStep| {
        let from_ranges = ranges(&context, &step.written, at.file);
        Some(CallHierarchyOutgoingCall { to: item(&context, &site, step.link)?, from_ranges })
    };
    Ok(Some(ide::chain_onward(context.view(), at).into_iter().filter_map(call).collect()))
}

/// The site of an item, and the item's place in it.
fn again<'a>(ask: &'a Ask, item: &CallHierarchyItem) -> Result<(Context<'a>, String, Place)> {
    let lost = || Error::invalid_params("the item is not one of ours");
    let data = item.data.clone().ok_or_else(lost)?;
    let Origin { site } = serde_json::from_value(data).map_err(|_| lost())?;
    let context = Context::new(ask, &Uri::from_str(&site).map_err(|_| lost())?)?;
    let path = ask.snapshot.path(&item.uri).ok_or_else(lost)?;
    let shown = context.loader.shown(&path);
    let source = context.analysis.files().iter().find(|source| source.path == shown);
    let source = source.ok_or_else(lost)?;
    let lines = context.places().lines(source.file).ok_or_else(lost)?;
    let at = Place::new(source.file, lines.span(item.selection_range));
    Ok((context, site, at))
}

fn ranges(context: &Context<'_>, written: &[Place], file: FileId) -> Vec<Range> {
    let places = context.places();
    let here = written.iter().filter(|place| place.file == file);
    here.filter_map(|place| Some(places.lines(file)?.range(place.span))).collect()
}

fn item(context: &Context<'_>, site: &str, link: ChainLink) -> Option<CallHierarchyItem> {
    let places = context.places();
    let name = places.location(link.at)?;
    let whole = places.location(Place::new(link.at.file, link.whole))?.range;
    // The protocol wants the name inside the whole.
    let holds = whole.start <= name.range.start && name.range.end <= whole.end;
    Some(CallHierarchyItem {
        name: link.name,
        kind: match link.kind {
            LinkKind::Zone => SymbolKind::VARIABLE,
            LinkKind::Response => SymbolKind::EVENT,
            LinkKind::Output => SymbolKind::FUNCTION,
            LinkKind::Camera => SymbolKind::OBJECT,
            LinkKind::People => SymbolKind::FIELD,
            LinkKind::Supply => SymbolKind::INTERFACE,
            LinkKind::Schedule => SymbolKind::ENUM,
            LinkKind::Controller => SymbolKind::MODULE,
        },
        tags: None,
        detail: (!link.detail.is_empty()).then_some(link.detail),
        uri: name.uri,
        range: if holds { whole } else { name.range },
        selection_range: name.range,
        data: serde_json::to_value(Origin { site: site.to_owned() }).ok(),
    })
}
