//! Addresses of documents to paths and back. Clients write one file in several ways
//! (`file:///c%3A/x`, `file:///C:/x`): here a file has one path, links followed.

use lsp_types::Uri;
use serde_json::Value;
use std::path::{Component, Path, PathBuf};
use std::str::FromStr;
use tower_lsp::UriExt;

/// The path of a file, or the path that stands for a text that is no file, such as
/// `untitled:Untitled-1`: nothing is ever read from there.
pub(crate) fn path(uri: &Uri) -> Option<PathBuf> {
    let scheme = uri.scheme()?.as_str();
    if !scheme.eq_ignore_ascii_case("file") {
        let name = uri.path().as_str().rsplit('/').next().unwrap_or_default();
        return Some(PathBuf::from(format!("/{scheme}:/{name}")));
    }
    let path = uri.to_file_path()?;
    path.is_absolute().then(|| resolved(&path))
}

/// The path with links followed. Of a path that is not there, the part that is.
pub(crate) fn resolved(path: &Path) -> PathBuf {
    if let Ok(path) = path.canonicalize() {
        return path;
    }
    match (path.parent(), path.components().next_back()) {
        (Some(folder), Some(Component::Normal(name))) => resolved(folder).join(name),
        (Some(folder), Some(Component::ParentDir)) => {
            let mut folder = resolved(folder);
            folder.pop();
            folder
        }
        (Some(folder), Some(Component::CurDir)) => resolved(folder),
        _ => path.to_path_buf(),
    }
}

/// The address of a file.
pub(crate) fn uri(path: &Path) -> Option<Uri> {
    let text = path.to_str()?;
    match text.strip_prefix('/').and_then(|text| text.split_once(":/")) {
        Some((scheme, name)) if !scheme.contains('/') && !cfg!(windows) && scheme.len() > 1 => {
            Uri::from_str(&format!("{scheme}:{name}")).ok()
        }
        _ => Uri::from_file_path(path),
    }
}

/// The parameters of a message, with every address of a file as RFC 3986 has it: some clients write
/// a `[` as it is, and one such address would make the whole message unreadable. None when there is
/// nothing to mend, which is seen without reading them.
pub(crate) fn mended(params: &str) -> Option<String> {
    let mut strings = params.split("\"file:").skip(1);
    let odd = |text: &str| encoded(text.split('"').next().unwrap_or_default()).is_some();
    if !strings.any(odd) {
        return None;
    }
    let mut value: Value = serde_json::from_str(params).ok()?;
    mend(&mut value, false);
    serde_json::to_string(&value).ok()
}

/// Mends the addresses in a value. A text that only looks like one stands behind another key.
fn mend(value: &mut Value, is_address: bool) {
    match value {
        Value::String(text) if is_address && text.starts_with("file:") => {
            if let Some(whole) = encoded(text) {
                *text = whole;
            }
        }
        Value::Array(list) => list.iter_mut().for_each(|one| mend(one, is_address)),
        Value::Object(map) => {
            for (key, value) in map {
                let key = key.to_ascii_lowercase();
                mend(value, key.ends_with("uri") || key == "arguments");
            }
        }
        _ => {}
    }
}

/// An address whose signs that no address has are encoded; none when it has none of them.
fn encoded(address: &str) -> Option<String> {
    let bytes = address.as_bytes();
    let hex = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_hexdigit);
    let fits = |at: usize, byte: u8| match byte {
        b'%' => hex(at + 1) && hex(at + 2),
        b'/' | b':' | b'?' | b'#' | b'@' => true,
        _ => byte.is_ascii_alphanumeric() || b"-._~!$&'()*+,;=".contains(&byte),
    };
    let mut out = String::with_capacity(address.len());
    for (at, byte) in bytes.iter().enumerate() {
        match fits(at, *byte) {
            true => out.push(char::from(*byte)),
            false => out.push_str(&format!("%{byte:02X}")),
        }
    }
    (out != address).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_made_whole_and_no_other_text() {
        let params = r#"{"textDocument":{"uri":"file:///x/kiosk%20[2026]/ü.site","text":"file:[a]"},"arguments":["file:///a b",{"n":1}]}"#;
        let wanted: Value = serde_json::from_str(
            r#"{"textDocument":{"uri":"file:///x/kiosk%20%5B2026%5D/%C3%BC.site","text":"file:[a]"},"arguments":["file:///a%20b",{"n":1}]}"#,
        )
        .unwrap();
        let mended: Value = serde_json::from_str(&mended(params).unwrap()).unwrap();
        assert_eq!(mended, wanted);
        let whole = r#"{"uri":"file:///x/a%20b.site","range":"[x]"}"#;
        assert_eq!(super::mended(whole), None);
        assert_eq!(encoded("file:///100%"), Some("file:///100%25".to_owned()));
    }

    fn parsed(text: &str) -> PathBuf {
        path(&Uri::from_str(text).unwrap()).unwrap()
    }

    #[test]
    fn one_file_has_one_path_however_it_is_written() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().canonicalize().unwrap();
        std::fs::write(root.join("a:b c.site"), "").unwrap();
        let wanted = root.join("a:b c.site");
        let root = root.display();
        for written in ["a:b%20c.site", "a%3Ab%20c.site", "./a%3ab%20c.site", "x/../a%3Ab%20c.site"]
        {
            assert_eq!(parsed(&format!("file://{root}/{written}")), wanted, "{written}");
        }
        assert_eq!(path(&uri(&wanted).unwrap()).unwrap(), wanted);
    }

    #[test]
    fn a_file_that_is_not_there_yet_has_the_path_that_it_will_have() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().canonicalize().unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(&root, root.join("link")).unwrap();
        let found = parsed(&format!("file://{}/link/new/later.site", root.display()));
        assert_eq!(found, root.join("new/later.site"));
    }

    #[test]
    fn a_text_that_is_no_file_has_an_address_too() {
        let there = parsed("untitled:Untitled-1");
        assert_eq!(uri(&there).unwrap().as_str(), "untitled:Untitled-1");
    }
}
