//! One file seen from a request: its analysis, and the way from positions to offsets and back.

use crate::backend::Ask;
use crate::diagnose::Places;
use crate::position::Lines;
use curtilage_ide::View;
use curtilage_model::{Model, Source};
use curtilage_project::{Analysis, Loader, Named};
use curtilage_text::Span;
use lsp_types::{Position, Range, TextDocumentPositionParams, Uri};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use tower_lsp::jsonrpc::{Error, ErrorCode, Result};

/// A file and what is known of it.
pub(crate) struct Context<'a> {
    pub(crate) ask: &'a Ask,
    pub(crate) path: PathBuf,
    pub(crate) loader: &'a Loader,
    pub(crate) analysis: Arc<Analysis>,
}

impl<'a> Context<'a> {
    /// The file at an address, as the request's snapshot has it.
    pub(crate) fn new(ask: &'a Ask, uri: &Uri) -> Result<Self> {
        let snapshot = &ask.snapshot;
        let path = snapshot.path(uri).ok_or_else(|| unknown(uri))?;
        let loader = snapshot.loader(&path).ok_or_else(|| unknown(uri))?;
        // What is not open is asked about once, and not kept.
        let analysis = match snapshot.documents.contains_key(&path) {
            true => snapshot.analysis(&path),
            false => Some(Analysis::new(loader, &path, snapshot.options()).map(Arc::new)),
        };
        let analysis = analysis.and_then(std::result::Result::ok).ok_or_else(|| unknown(uri))?;
        Ok(Self { ask, path, loader, analysis })
    }

    /// The file and the offset of a position.
    pub(crate) fn at(ask: &'a Ask, params: &TextDocumentPositionParams) -> Result<(Self, u32)> {
        let context = Self::new(ask, &params.text_document.uri)?;
        let offset = context.offset(params.position);
        Ok((context, offset))
    }

    pub(crate) fn view(&self) -> View<'_> {
        View::root(&*self.analysis)
    }

    pub(crate) fn source(&self) -> Option<&Source> {
        self.analysis.files().first().map(AsRef::as_ref)
    }

    pub(crate) fn lines(&self) -> Option<Lines<'_>> {
        let snapshot = &self.ask.snapshot;
        let open = snapshot.documents.get(&self.path).map(AsRef::as_ref);
        Some(Lines::of(self.source()?, open, snapshot.features.encoding))
    }

    pub(crate) fn offset(&self, position: Position) -> u32 {
        self.lines().map_or(0, |lines| lines.offset(position))
    }

    pub(crate) fn range(&self, span: Span) -> Range {
        self.lines().map_or_else(Range::default, |lines| lines.range(span))
    }

    pub(crate) fn span(&self, range: Range) -> Span {
        self.lines().map_or_else(Span::default, |lines| lines.span(range))
    }

    pub(crate) fn places(&self) -> Places<'_> {
        Places::new(&self.ask.snapshot, self.loader.root(), self.analysis.files())
    }

    /// The other root files of the workspace that see a file; those of which that is not known
    /// too, so that none is missed. None when the request was taken back.
    pub(crate) fn who_see(&self, file: &Path) -> Vec<Root> {
        let ask = self.ask;
        let sees = |path: &Path| {
            let known = ask.shelf.known(&ask.snapshot, path);
            known.is_none_or(|known| known.needs.iter().any(|need| need.path == file))
        };
        let mut paths = roots(ask, self.loader);
        paths.retain(|path| *path != self.path && sees(path));
        models(ask, self.loader, &paths)
    }
}

/// A root file with its names resolved.
pub(crate) enum Root {
    Open(Arc<Analysis>),
    Other(Named),
}

impl Root {
    pub(crate) fn model(&self) -> &Model<'_> {
        match self {
            Self::Open(analysis) => analysis.model(),
            Self::Other(named) => named.model(),
        }
    }

    pub(crate) fn files(&self) -> &[Arc<Source>] {
        match self {
            Self::Open(analysis) => analysis.files(),
            Self::Other(named) => named.files(),
        }
    }
}

/// The site files of a workspace, open ones that are not on disk included, in order.
pub(crate) fn roots(ask: &Ask, loader: &Loader) -> Vec<PathBuf> {
    let open = ask.snapshot.documents.keys().filter(|path| crate::state::Snapshot::is_site(path));
    let mut paths: Vec<PathBuf> =
        ask.shelf.files(&ask.snapshot).iter().chain(open).cloned().collect();
    paths.retain(|path| ask.snapshot.loader(path).is_some_and(|own| own.root() == loader.root()));
    paths.sort();
    paths.dedup();
    paths
}

/// The models of root files, in their order, on as many threads as the machine has. A file that
/// cannot be read is left out; a request that is taken back ends early.
pub(crate) fn models(ask: &Ask, loader: &Loader, paths: &[PathBuf]) -> Vec<Root> {
    let one = |path: &PathBuf| {
        if ask.snapshot.documents.contains_key(path) {
            return ask.snapshot.analysis(path)?.ok().map(Root::Open);
        }
        let named = Named::new(loader, path).ok()?;
        if named.model().site.is_some() {
            loader.release(path);
        }
        Some(Root::Other(named))
    };
    let (next, done) = (AtomicUsize::new(0), Mutex::new(Vec::new()));
    let work = || {
        while !ask.is_cancelled() {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(path) = paths.get(index) else { return };
            if let Some(root) = one(path) {
                done.lock().unwrap_or_else(PoisonError::into_inner).push((index, root));
            }
        }
    };
    curtilage_project::together(paths.len(), work);
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, root)| root).collect()
}

fn unknown(uri: &Uri) -> Error {
    Error::invalid_params(format!("`{}` is not known here", uri.as_str()))
}

/// The answer to a request that makes no sense, in words for people (RequestFailed of LSP 3.17).
pub(crate) fn refused(why: String) -> Error {
    Error { code: ErrorCode::ServerError(-32803), message: why.into(), data: None }
}
