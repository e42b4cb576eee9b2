//! Every kind of figure can be switched in the editors that we ship settings for.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test reads the editors")]

use curtilage_ide::InlayKind;
use std::path::Path;

fn text(path: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    std::fs::read_to_string(root.join(path)).unwrap()
}

#[test]
fn every_kind_of_figure_has_its_setting() {
    let package = text("editors/vscode/package.json");
    let neovim = text("editors/neovim/lsp/curtilage.lua");
    for kind in InlayKind::ALL {
        let setting = format!("\"curtilage.hints.{}\"", kind.word());
        assert!(package.contains(&setting), "no {setting} in the extension");
        assert!(neovim.contains(&format!("{} = true", kind.word())), "no {} there", kind.word());
    }
    let settings = package.matches("\"curtilage.hints.").count();
    assert_eq!(settings, InlayKind::ALL.len(), "a setting of no kind");
}
