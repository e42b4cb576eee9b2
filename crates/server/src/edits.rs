//! Edits of several files as the client wants them.

use crate::diagnose::Places;
use curtilage_diagnostic::Edit;
use curtilage_text::FileId;
use lsp_types::{
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, TextDocumentEdit, TextEdit,
    Uri, WorkspaceEdit,
};
use std::collections::BTreeMap;

/// One edit of all these places. A document that is open is changed in the version that was looked
/// at, so that a client that has gone on can refuse.
pub(crate) fn workspace_edit(places: &Places<'_>, edits: &[Edit]) -> WorkspaceEdit {
    let mut files: BTreeMap<FileId, (Uri, Vec<TextEdit>)> = BTreeMap::new();
    for edit in edits {
        let Some(location) = places.location(edit.at) else { continue };
        let new = || (location.uri.clone(), Vec::new());
        let (_, list) = files.entry(edit.at.file).or_insert_with(new);
        list.push(TextEdit { range: location.range, new_text: edit.text.clone() });
    }
    if places.snapshot().features.document_changes {
        let one = |(file, (uri, edits)): (FileId, (Uri, Vec<TextEdit>))| TextDocumentEdit {
            text_document: OptionalVersionedTextDocumentIdentifier {
                uri,
                version: places.version(file),
            },
            edits: edits.into_iter().map(OneOf::Left).collect(),
        };
        let changes = DocumentChanges::Edits(files.into_iter().map(one).collect());
        return WorkspaceEdit { document_changes: Some(changes), ..WorkspaceEdit::default() };
    }
    #[expect(clippy::mutable_key_type, reason = "the protocol's type; an address does not change")]
    let changes = files.into_values().collect();
    WorkspaceEdit::new(changes)
}
