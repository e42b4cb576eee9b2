//! Symbols of a document and of the workspace, and the links of a document.

use crate::address;
use crate::backend::Ask;
use crate::context::{Context, Root, models, roots};
use crate::diagnose::Places;
use curtilage_ide::{self as ide, Symbol, SymbolKind as Kind};
use curtilage_model::Model;
use lsp_types::{
    DocumentLink, DocumentSymbol, DocumentSymbolResponse, Location, OneOf, SymbolInformation,
    SymbolKind, Uri, WorkspaceSymbol,
};
use std::collections::HashMap;
use std::path::PathBuf;
use tower_lsp::jsonrpc::Result;

pub(crate) fn document(ask: &Ask, uri: &Uri) -> Result<Option<DocumentSymbolResponse>> {
    let context = Context::new(ask, uri)?;
    let symbols = ide::document_symbols(context.view());
    if ask.snapshot.features.nested_symbols {
        let nested = symbols.into_iter().map(|symbol| nested(&context, symbol)).collect();
        return Ok(Some(DocumentSymbolResponse::Nested(nested)));
    }
    let mut flat = Vec::new();
    symbols.into_iter().for_each(|symbol| flatten(&context, uri, symbol, None, &mut flat));
    Ok(Some(DocumentSymbolResponse::Flat(flat)))
}

#[expect(deprecated, reason = "a field of the protocol that must be filled")]
fn nested(context: &Context<'_>, symbol: Symbol) -> DocumentSymbol {
    let children: Vec<_> =
        symbol.children.into_iter().map(|child| nested(context, child)).collect();
    DocumentSymbol {
        name: symbol.name,
        detail: (!symbol.detail.is_empty()).then_some(symbol.detail),
        kind: kind(symbol.kind),
        tags: None,
        deprecated: None,
        range: context.range(symbol.whole),
        selection_range: context.range(symbol.at),
        children: (!children.is_empty()).then_some(children),
    }
}

#[expect(deprecated, reason = "what clients of older versions understand")]
fn flatten(
    context: &Context<'_>,
    uri: &Uri,
    symbol: Symbol,
    within: Option<&str>,
    out: &mut Vec<SymbolInformation>,
) {
    out.push(SymbolInformation {
        name: symbol.name.clone(),
        kind: kind(symbol.kind),
        tags: None,
        deprecated: None,
        location: Location { uri: uri.clone(), range: context.range(symbol.whole) },
        container_name: within.map(str::to_owned),
    });
    for child in symbol.children {
        flatten(context, uri, child, Some(&symbol.name), out);
    }
}

fn kind(kind: Kind) -> SymbolKind {
    match kind {
        Kind::Site => SymbolKind::NAMESPACE,
        Kind::Schedule => SymbolKind::ENUM,
        Kind::Part => SymbolKind::CLASS,
        Kind::Power => SymbolKind::INTERFACE,
        Kind::Controller => SymbolKind::MODULE,
        Kind::Zone => SymbolKind::VARIABLE,
        Kind::Output => SymbolKind::FUNCTION,
        Kind::Camera => SymbolKind::OBJECT,
        Kind::Response => SymbolKind::EVENT,
        Kind::Story => SymbolKind::METHOD,
        Kind::Policy => SymbolKind::CONSTANT,
        Kind::File => SymbolKind::FILE,
        Kind::Field => SymbolKind::FIELD,
        Kind::Line => SymbolKind::PROPERTY,
    }
}

/// Symbols of all workspaces that the client has open.
pub(crate) fn workspace(
    ask: &Ask,
    query: &str,
) -> Result<Option<OneOf<Vec<SymbolInformation>, Vec<WorkspaceSymbol>>>> {
    let mut out = Vec::new();
    for loader in ask.snapshot.spaces.values() {
        let roots: Vec<Root> = models(ask, loader, &roots(ask, loader));
        let models: Vec<&Model<'_>> = roots.iter().map(Root::model).collect();
        let mut places = Places::new(&ask.snapshot, loader.root(), &[]);
        roots.iter().for_each(|root| places.extend(root.files()));
        for found in ide::workspace_symbols(&models, query) {
            let Some(location) = places.location(found.at) else { continue };
            out.push(WorkspaceSymbol {
                name: found.name,
                kind: kind(found.kind),
                tags: None,
                container_name: Some(found.detail),
                location: OneOf::Left(location),
                data: None,
            });
        }
    }
    Ok(Some(OneOf::Right(out)))
}

pub(crate) fn links(ask: &Ask, uri: &Uri) -> Result<Option<Vec<DocumentLink>>> {
    let context = Context::new(ask, uri)?;
    let open: HashMap<&PathBuf, &Uri> =
        ask.snapshot.documents.iter().map(|(path, document)| (path, &document.uri)).collect();
    let link = |link: ide::Link| {
        let path = context.loader.root().join(&link.path);
        let target = open.get(&path).map(|uri| (*uri).clone()).or_else(|| address::uri(&path))?;
        Some(DocumentLink {
            range: context.range(link.span),
            target: Some(target),
            tooltip: Some(link.about.to_owned()),
            data: None,
        })
    };
    Ok(Some(ide::links(context.view()).into_iter().filter_map(link).collect()))
}
