//! Paths of files, inside quotes.

use super::{Completion, CompletionKind};
use crate::form::{LeafKind, Quoted, Slot};
use crate::line::Cursor;
use crate::mention::{What, mentions};
use crate::navigate::inside;
use crate::{Snippet, View};
use curtilage_model::Source;
use curtilage_text::Span;

/// Paths that may stand in the quotes of a `use` line or behind `holidays from`, or where those
/// quotes are wanted. The files are paths from the workspace root; the caller knows them. What the
/// file names already is left out.
#[must_use]
pub fn complete_paths(view: View<'_>, offset: u32, files: &[&str]) -> Vec<Completion> {
    let Some(source) = view.source() else { return Vec::new() };
    let Some(wanted) = Wanted::at(source, offset) else { return Vec::new() };
    let ending = if wanted.quoted == Quoted::Holidays { ".ics" } else { ".site" };
    let said: Vec<String> = mentions(source)
        .into_iter()
        .filter(|mention| matches!(mention.what, What::File(_)) && !mention.span.touches(offset))
        .filter_map(|mention| crate::links::resolve(&source.path, inside(mention.text)))
        .collect();
    let fits = |file: &&&str| {
        file.ends_with(ending) && **file != source.path && !said.iter().any(|said| said == *file)
    };
    files
        .iter()
        .filter(fits)
        .map(|file| {
            let path = crate::links::relative(&source.path, file);
            Completion {
                insert: Snippet::of(&format!("{}{path}{}", wanted.before, wanted.behind)),
                label: path,
                kind: CompletionKind::File,
                detail: (*file).to_owned(),
                documentation: String::new(),
                replace: wanted.replace,
            }
        })
        .collect()
}

/// A place where a path is wanted.
struct Wanted {
    quoted: Quoted,
    replace: Span,
    /// The quotation marks that are missing.
    before: &'static str,
    behind: &'static str,
}

impl Wanted {
    fn at(source: &Source, offset: u32) -> Option<Self> {
        let cursor = Cursor::at(source, offset)?;
        let mut list = Vec::new();
        crate::mention::of_line(source, cursor.line?, &mut list);
        for mention in list {
            let What::File(quoted) = mention.what else { continue };
            if mention.span.touches(offset) {
                // Outside the quotation marks nothing is typed in their place.
                let replace = crate::links::inner(mention.text, mention.span);
                if !replace.touches(offset) {
                    return None;
                }
                let behind = if crate::links::is_closed(mention.text) { "" } else { "\"" };
                return Some(Self { quoted, replace, before: "", behind });
            }
        }
        if cursor.begins_line() {
            return None;
        }
        let expected = cursor.expected(source)?;
        let quoted = expected.next.iter().find_map(|leaf| match leaf.kind {
            LeafKind::Slot(Slot::Text(quoted @ (Quoted::File | Quoted::Holidays))) => Some(quoted),
            _ => None,
        })?;
        Some(Self { quoted, replace: cursor.word, before: "\"", behind: "\"" })
    }
}
