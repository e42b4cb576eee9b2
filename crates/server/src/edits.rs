//! Edits of several files as the client wants them.

use crate::diagnose::Places;
use curtilage_diagnostic::Edit;
use lsp_types::{
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, TextDocumentEdit, TextEdit,
    Uri, WorkspaceEdit,
};
use std::collections::BTreeMap;

/// One edit of all these places. A document that is open is changed in the version that was looked
/// at, so that a client that has gone on can refuse.
pub(crate) fn workspace_edit(places: &Places<'_>, edits: &[Edit]) -> WorkspaceEdit {
    let mut files: BTreeMap<Uri, (Option<i32>, Vec<TextEdit>)> = BTreeMap::new();
    for edit in edits {
        let Some(location) = places.location(edit.at) else { continue };
        let entry =
            files.entry(location.uri).or_insert_with(|| (places.version(edit.at.file), vec![]));
        entry.1.push(TextEdit { range: location.range, new_text: edit.text.clone() });
    }
    if places.snapshot().features.document_changes {
        let one = |(uri, (version, edits)): (Uri, (Option<i32>, Vec<TextEdit>))| TextDocumentEdit {
            text_document: OptionalVersionedTextDocumentIdentifier { uri, version },
            edits: edits.into_iter().map(OneOf::Left).collect(),
        };
        let changes = DocumentChanges::Edits(files.into_iter().map(one).collect());
        return WorkspaceEdit { document_changes: Some(changes), ..WorkspaceEdit::default() };
    }
    #[expect(clippy::mutable_key_type, reason = "the protocol's type; an address does not change")]
    let changes = files.into_iter().map(|(uri, (_, edits))| (uri, edits)).collect();
    WorkspaceEdit::new(changes)
}
