//! Addresses of documents to paths and back. Clients write one file in several ways
//! (`file:///c%3A/x`, `file:///C:/x`): here a file has one path, links followed.

use lsp_types::Uri;
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

#[cfg(test)]
mod tests {
    use super::*;

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
