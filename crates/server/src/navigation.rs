//! Where names lead, where they are used, and other names for them.

use crate::address;
use crate::backend::Ask;
use crate::context::{Context, Root, refused};
use crate::edits::workspace_edit;
use curtilage_ide::{self as ide, Access, Target};
use curtilage_model::Model;
use lsp_types::{
    DocumentHighlight, DocumentHighlightKind, GotoDefinitionResponse, Location, LocationLink,
    PrepareRenameResponse, Range, ReferenceParams, RenameParams, TextDocumentPositionParams,
    WorkspaceEdit,
};
use tower_lsp::jsonrpc::Result;

pub(crate) fn definition(
    ask: &Ask,
    params: &TextDocumentPositionParams,
) -> Result<Option<GotoDefinitionResponse>> {
    let (context, offset) = Context::at(ask, params)?;
    let target = ide::definition(context.view(), offset);
    let found = target.and_then(|target| leads_to(&context, &target));
    Ok(found.or_else(|| named_file(&context, offset)))
}

/// A file that is named and is no site file: holidays.
fn named_file(context: &Context<'_>, offset: u32) -> Option<GotoDefinitionResponse> {
    let mut links = ide::links(context.view()).into_iter();
    let link = links.find(|link| link.span.touches(offset))?;
    let path = context.loader.root().join(&link.path);
    let uri = address::uri(&path).filter(|_| path.is_file())?;
    let start = Range::default();
    if !context.ask.snapshot.features.definition_links {
        return Some(GotoDefinitionResponse::Scalar(Location { uri, range: start }));
    }
    Some(GotoDefinitionResponse::Link(vec![LocationLink {
        origin_selection_range: Some(context.range(link.span)),
        target_uri: uri,
        target_range: start,
        target_selection_range: start,
    }]))
}

pub(crate) fn declaration(
    ask: &Ask,
    params: &TextDocumentPositionParams,
) -> Result<Option<GotoDefinitionResponse>> {
    let (context, offset) = Context::at(ask, params)?;
    Ok(ide::declaration(context.view(), offset).and_then(|target| leads_to(&context, &target)))
}

fn leads_to(context: &Context<'_>, target: &Target) -> Option<GotoDefinitionResponse> {
    let places = context.places();
    let name = places.location(target.to)?;
    if !context.ask.snapshot.features.definition_links {
        return Some(GotoDefinitionResponse::Scalar(name));
    }
    let whole = places.location(target.whole).map_or(name.range, |whole| whole.range);
    Some(GotoDefinitionResponse::Link(vec![LocationLink {
        origin_selection_range: Some(context.range(target.from)),
        target_uri: name.uri,
        target_range: whole,
        target_selection_range: name.range,
    }]))
}

/// The root files, apart from the one that is looked at, that may write the name at an offset.
fn others(context: &Context<'_>, offset: u32) -> Vec<Root> {
    let given = ide::identify(context.view(), offset);
    let file = given.and_then(|(_, identity)| context.places().path(identity.at.file));
    file.map(|file| context.who_see(&file)).unwrap_or_default()
}

pub(crate) fn references(ask: &Ask, params: &ReferenceParams) -> Result<Option<Vec<Location>>> {
    let (context, offset) = Context::at(ask, &params.text_document_position)?;
    let others = others(&context, offset);
    let models: Vec<&Model<'_>> = others.iter().map(Root::model).collect();
    let with_declaration = params.context.include_declaration;
    let found = ide::references(&models, context.view(), offset, with_declaration);
    let mut places = context.places();
    others.iter().for_each(|root| places.extend(root.files()));
    Ok(Some(found.into_iter().filter_map(|at| places.location(at)).collect()))
}

pub(crate) fn highlights(
    ask: &Ask,
    params: &TextDocumentPositionParams,
) -> Result<Option<Vec<DocumentHighlight>>> {
    let (context, offset) = Context::at(ask, params)?;
    let found = ide::highlights(context.view(), offset).into_iter();
    let highlight = |(span, access)| DocumentHighlight {
        range: context.range(span),
        kind: Some(match access {
            Access::Read => DocumentHighlightKind::READ,
            Access::Write => DocumentHighlightKind::WRITE,
        }),
    };
    Ok(Some(found.map(highlight).collect()))
}

pub(crate) fn prepare_rename(
    ask: &Ask,
    params: &TextDocumentPositionParams,
) -> Result<Option<PrepareRenameResponse>> {
    let (context, offset) = Context::at(ask, params)?;
    match ide::prepare_rename(context.view(), offset) {
        Ok((span, placeholder)) => Ok(Some(PrepareRenameResponse::RangeWithPlaceholder {
            range: context.range(span),
            placeholder,
        })),
        Err(refusal) => Err(refused(refusal.why)),
    }
}

pub(crate) fn rename(ask: &Ask, params: &RenameParams) -> Result<Option<WorkspaceEdit>> {
    let (context, offset) = Context::at(ask, &params.text_document_position)?;
    let others = others(&context, offset);
    let models: Vec<&Model<'_>> = others.iter().map(Root::model).collect();
    let edits = ide::rename(&models, context.view(), offset, &params.new_name)
        .map_err(|refusal| refused(refusal.why))?;
    let mut places = context.places();
    others.iter().for_each(|root| places.extend(root.files()));
    Ok(Some(workspace_edit(&places, &edits)))
}
