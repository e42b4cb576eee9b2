//! What the client can do, as it says when it begins.

use crate::position::Encoding;
use crate::settings::{Settings, Way};
use lsp_types::{ClientCapabilities, MarkupKind};
use serde_json::Value;

/// What counts of it here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Features {
    pub(crate) encoding: Encoding,
    /// Diagnostics are asked for; otherwise they are sent.
    pub(crate) pull: bool,
    pub(crate) related: bool,
    pub(crate) refresh_diagnostics: bool,
    pub(crate) refresh_hints: bool,
    pub(crate) refresh_lenses: bool,
    pub(crate) refresh_tokens: bool,
    pub(crate) progress: bool,
    pub(crate) configuration: bool,
    pub(crate) watch_files: bool,
    /// Settings can be asked to be told of.
    pub(crate) watch_settings: bool,
    /// Markdown in hover, in lists, and in forms; plain text otherwise.
    pub(crate) hover_markdown: bool,
    pub(crate) list_markdown: bool,
    pub(crate) form_markdown: bool,
    /// The slots of a form as places in its label; as texts otherwise.
    pub(crate) label_offsets: bool,
    pub(crate) snippets: bool,
    pub(crate) document_changes: bool,
    pub(crate) nested_symbols: bool,
    pub(crate) action_literals: bool,
    pub(crate) definition_links: bool,
    pub(crate) show_document: bool,
}

impl Default for Features {
    fn default() -> Self {
        Self::of(&ClientCapabilities::default(), &Value::Null, &Settings::default())
    }
}

impl Features {
    /// `raw` is what `client` was read from: some of it has other names in the types.
    pub(crate) fn of(client: &ClientCapabilities, raw: &Value, settings: &Settings) -> Self {
        let offered = client.general.as_ref().and_then(|g| g.position_encodings.as_deref());
        let text = client.text_document.as_ref();
        let workspace = client.workspace.as_ref();
        let yes = |flag: Option<bool>| flag == Some(true);
        let said = |pointer: &str| raw.pointer(pointer).and_then(Value::as_bool) == Some(true);
        let refresh_diagnostics = said("/workspace/diagnostics/refreshSupport");
        let can_pull = text.is_some_and(|t| t.diagnostic.is_some());
        let hover = text.and_then(|t| t.hover.as_ref()).and_then(|h| h.content_format.as_ref());
        let item = text.and_then(|t| t.completion.as_ref());
        let item = item.and_then(|completion| completion.completion_item.as_ref());
        let form = text.and_then(|t| t.signature_help.as_ref());
        let form = form.and_then(|help| help.signature_information.as_ref());
        // A client that says nothing of it shows what comes.
        let markdown = |kinds: Option<&Vec<MarkupKind>>| {
            kinds.is_none_or(|kinds| kinds.contains(&MarkupKind::Markdown))
        };
        Self {
            encoding: Encoding::agreed(offered),
            pull: match settings.diagnostics {
                Way::Auto => can_pull && refresh_diagnostics,
                Way::Push => false,
                Way::Pull => can_pull,
            },
            related: yes(text
                .and_then(|t| t.publish_diagnostics.as_ref())
                .and_then(|p| p.related_information))
                || can_pull,
            refresh_diagnostics,
            refresh_hints: yes(workspace
                .and_then(|w| w.inlay_hint.as_ref())
                .and_then(|hints| hints.refresh_support)),
            refresh_lenses: yes(workspace
                .and_then(|w| w.code_lens.as_ref())
                .and_then(|lens| lens.refresh_support)),
            refresh_tokens: yes(workspace
                .and_then(|w| w.semantic_tokens.as_ref())
                .and_then(|tokens| tokens.refresh_support)),
            progress: yes(client.window.as_ref().and_then(|w| w.work_done_progress)),
            configuration: yes(workspace.and_then(|w| w.configuration)),
            watch_files: yes(workspace
                .and_then(|w| w.did_change_watched_files.as_ref())
                .and_then(|watch| watch.dynamic_registration)),
            watch_settings: yes(workspace
                .and_then(|w| w.did_change_configuration.as_ref())
                .and_then(|watch| watch.dynamic_registration)),
            hover_markdown: markdown(hover),
            list_markdown: markdown(item.and_then(|item| item.documentation_format.as_ref())),
            form_markdown: markdown(form.and_then(|form| form.documentation_format.as_ref())),
            label_offsets: yes(form
                .and_then(|form| form.parameter_information.as_ref())
                .and_then(|slot| slot.label_offset_support)),
            snippets: yes(item.and_then(|item| item.snippet_support)),
            document_changes: yes(workspace
                .and_then(|w| w.workspace_edit.as_ref())
                .and_then(|edit| edit.document_changes)),
            nested_symbols: yes(text
                .and_then(|t| t.document_symbol.as_ref())
                .and_then(|s| s.hierarchical_document_symbol_support)),
            action_literals: text
                .and_then(|t| t.code_action.as_ref())
                .is_some_and(|action| action.code_action_literal_support.is_some()),
            show_document: said("/window/showDocument/support"),
            definition_links: yes(text
                .and_then(|t| t.definition.as_ref())
                .and_then(|definition| definition.link_support)),
        }
    }
}
