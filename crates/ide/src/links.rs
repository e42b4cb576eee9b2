//! The files that a file names: `use` lines and files of holidays.

use crate::View;
use crate::form::Quoted;
use crate::mention::{What, mentions};
use crate::navigate::inside;
use curtilage_text::Span;

/// A path in a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// The path as written, without its quotes.
    pub span: Span,
    /// The file's path from the workspace root, with `/`.
    pub path: String,
    /// What it is, in words.
    pub about: &'static str,
}

/// The links of a file, in order.
#[must_use]
pub fn links(view: View<'_>) -> Vec<Link> {
    let Some(source) = view.source() else { return Vec::new() };
    let mut out = Vec::new();
    for mention in mentions(source) {
        let What::File(quoted) = mention.what else { continue };
        let Some(path) = resolve(&source.path, inside(mention.text)) else { continue };
        let about = match quoted {
            Quoted::Holidays => "open the file of holidays",
            _ => "open the file that is used",
        };
        let span = inner(mention.text, mention.span);
        out.push(Link { span, path, about });
    }
    out
}

/// What stands between the quotes of a text; the last one may be missing.
pub(crate) fn inner(text: &str, span: Span) -> Span {
    let end = if is_closed(text) { span.end - 1 } else { span.end };
    Span::new((span.start + 1).min(end), end)
}

/// Whether a text in quotes has its last one.
pub(crate) fn is_closed(text: &str) -> bool {
    let before = text.strip_prefix('"').and_then(|text| text.strip_suffix('"'));
    before.is_some_and(|text| text.bytes().rev().take_while(|byte| *byte == b'\\').count() % 2 == 0)
}

/// A path relative to a file, from the workspace root; none when it leaves the workspace, or when it
/// names a folder.
pub(crate) fn resolve(from: &str, path: &str) -> Option<String> {
    if matches!(path.rsplit('/').next(), None | Some("" | "." | "..")) {
        return None;
    }
    let mut parts: Vec<&str> = from.split('/').collect();
    parts.pop();
    for part in path.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            part => parts.push(part),
        }
    }
    (!parts.is_empty()).then(|| parts.join("/"))
}

/// A path from the workspace root as a file writes it.
pub(crate) fn relative(from: &str, to: &str) -> String {
    let mut here: Vec<&str> = from.split('/').collect();
    here.pop();
    let there: Vec<&str> = to.split('/').collect();
    let same = here.iter().zip(&there).take_while(|(a, b)| a == b).count();
    let up = std::iter::repeat_n("..", here.len() - same);
    up.chain(there.into_iter().skip(same)).collect::<Vec<_>>().join("/")
}
