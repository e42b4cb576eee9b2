//! Findings as LSP diagnostics.

use crate::address;
use crate::pages::Pages;
use crate::position::Lines;
use crate::state::Snapshot;
use curtilage_diagnostic::{Diagnostic as Finding, Level};
use curtilage_model::Source;
use curtilage_project::Analysis;
use curtilage_text::{FileId, Place};
use lsp_types::{
    CodeDescription, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, DiagnosticTag,
    Location, NumberOrString, Uri,
};
use serde_json::json;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What the client shows as the origin.
pub(crate) const SOURCE: &str = "curtilage";

/// Rules whose findings are about words that could as well be left out.
const NEEDLESS: &[&str] =
    &["exception-expired", "exception-unused", "idle-output", "said-twice", "unused-name"];

/// The files of one analysis, as places name them.
pub(crate) struct Places<'a> {
    snapshot: &'a Snapshot,
    root: &'a Path,
    files: HashMap<FileId, &'a Arc<Source>>,
}

impl<'a> Places<'a> {
    /// `root` is the root of the workspace.
    pub(crate) fn new(snapshot: &'a Snapshot, root: &'a Path, files: &'a [Arc<Source>]) -> Self {
        let files = files.iter().map(|source| (source.file, source)).collect();
        Self { snapshot, root, files }
    }

    /// The places of more files.
    pub(crate) fn extend(&mut self, files: &'a [Arc<Source>]) {
        self.files.extend(files.iter().map(|source| (source.file, source)));
    }

    /// The path of a file.
    pub(crate) fn path(&self, file: FileId) -> Option<PathBuf> {
        self.files.get(&file).map(|source| self.root.join(&source.path))
    }

    /// The address of a file: as the client writes it when it has it open.
    pub(crate) fn uri(&self, file: FileId) -> Option<Uri> {
        let path = self.path(file)?;
        match self.snapshot.documents.get(&path) {
            Some(document) => Some(document.uri.clone()),
            None => address::uri(&path),
        }
    }

    /// The version of a file that the client has open.
    pub(crate) fn version(&self, file: FileId) -> Option<i32> {
        self.snapshot.documents.get(&self.path(file)?).map(|document| document.version)
    }

    pub(crate) fn snapshot(&self) -> &'a Snapshot {
        self.snapshot
    }

    pub(crate) fn lines(&self, file: FileId) -> Option<Lines<'a>> {
        let source = self.files.get(&file)?;
        let open = self.path(file).and_then(|path| self.snapshot.documents.get(&path));
        Some(Lines::of(source, open.map(AsRef::as_ref), self.snapshot.features.encoding))
    }

    pub(crate) fn location(&self, place: Place) -> Option<Location> {
        let range = self.lines(place.file)?.range(place.span);
        Some(Location { uri: self.uri(place.file)?, range })
    }
}

/// The diagnostics of one root file.
pub(crate) fn of_analysis(
    snapshot: &Snapshot,
    root: &Path,
    analysis: &Analysis,
    pages: &Pages,
) -> Vec<Diagnostic> {
    let places = Places::new(snapshot, root, analysis.files());
    let file = analysis.model().root_file();
    let findings = analysis.findings().iter();
    findings.filter_map(|finding| diagnostic(finding, &places, file, pages)).collect()
}

/// One finding. What begins in another file is shown at the top of the one that is checked.
pub(crate) fn diagnostic(
    finding: &Finding,
    places: &Places<'_>,
    root: FileId,
    pages: &Pages,
) -> Option<Diagnostic> {
    let elsewhere = finding.at.at.file != root;
    let lines = places.lines(root)?;
    let range =
        if elsewhere { lsp_types::Range::default() } else { lines.range(finding.at.at.span) };
    let related = |at: Place, text: &str| {
        let message = text.to_owned();
        Some(DiagnosticRelatedInformation { location: places.location(at)?, message })
    };
    let mut others: Vec<_> =
        finding.others.iter().filter_map(|label| related(label.at, &label.text)).collect();
    if elsewhere {
        others.extend(related(finding.at.at, &finding.at.text));
    }
    let pattern = places.snapshot.settings.rule_pages.as_deref();
    let related = places.snapshot.features.related && !others.is_empty();
    let fixes: Vec<&str> = finding.fixes.iter().map(|fix| fix.title.as_str()).collect();
    Some(Diagnostic {
        range,
        severity: Some(match finding.level {
            Level::Error => DiagnosticSeverity::ERROR,
            Level::Warning => DiagnosticSeverity::WARNING,
            // The editor's own hints are hardly seen; ours are worth reading.
            Level::Hint => DiagnosticSeverity::INFORMATION,
        }),
        code: Some(NumberOrString::String(finding.rule.to_owned())),
        code_description: pages.address(finding.rule, pattern).map(|href| CodeDescription { href }),
        source: Some(SOURCE.to_owned()),
        message: message(finding),
        related_information: related.then_some(others),
        tags: NEEDLESS.contains(&finding.rule).then(|| vec![DiagnosticTag::UNNECESSARY]),
        data: Some(json!({ "about": finding.about, "fixes": fixes })),
    })
}

/// The headline, why it matters, and what to do, each on lines of its own.
fn message(finding: &Finding) -> String {
    let mut text = finding.headline.clone();
    if let Some(why) = &finding.why {
        text.push_str("\nwhy: ");
        text.push_str(why);
    }
    for help in &finding.help {
        text.push_str("\ndo: ");
        text.push_str(help);
    }
    text
}
