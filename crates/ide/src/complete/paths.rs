//! Paths of files, inside quotes.

use super::{Completion, CompletionKind};
use crate::form::Quoted;
use crate::line::Cursor;
use crate::{Snippet, View};
use curtilage_text::Span;

/// Paths that may stand in the quotes of a `use` line or behind `holidays from`. The files are paths
/// from the workspace root; the caller knows them.
#[must_use]
pub fn complete_paths(view: View<'_>, offset: u32, files: &[&str]) -> Vec<Completion> {
    let found = || {
        let source = view.source()?;
        let line = Cursor::at(source, offset)?.line?;
        let mut list = Vec::new();
        crate::mention::of_line(source, line, &mut list);
        let quoted = list.into_iter().find_map(|mention| match mention.what {
            crate::mention::What::File(quoted) if mention.span.touches(offset) => {
                Some((mention.span, quoted))
            }
            _ => None,
        });
        Some((source, quoted?))
    };
    let Some((source, (span, quoted))) = found() else { return Vec::new() };
    let ending = if quoted == Quoted::Holidays { ".ics" } else { ".site" };
    let text = source.text(span);
    let end = if text.len() > 1 && text.ends_with('"') { span.end - 1 } else { span.end };
    let fits = |file: &&&str| file.ends_with(ending) && **file != source.path;
    files
        .iter()
        .filter(fits)
        .map(|file| {
            let path = crate::links::relative(&source.path, file);
            Completion {
                label: path.clone(),
                kind: CompletionKind::File,
                detail: (*file).to_owned(),
                documentation: String::new(),
                replace: Span::new((span.start + 1).min(end), end),
                insert: Snippet::of(&path),
            }
        })
        .collect()
}
