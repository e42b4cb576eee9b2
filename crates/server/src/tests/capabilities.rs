//! Every capability that the server announces, on a real site. What the answers say is tested where
//! they are made; here it is that each gets through, at the right places and in the right shapes.

use super::client::{Client, able, example};
use lsp_types::request as rq;
use lsp_types::{
    CodeActionOrCommand, CompletionResponse, DocumentHighlightKind, DocumentSymbolResponse,
    FoldingRangeKind, GotoDefinitionResponse, HoverContents, InlayHintLabel, Position,
    PrepareRenameResponse, SemanticTokensFullDeltaResult, SemanticTokensResult, WorkspaceEdit,
    WorkspaceSymbolResponse,
};
use serde_json::{Value, json};

const BOATYARD: &str = "sites/boatyard.site";

/// The boatyard and what it uses, open.
struct Site {
    client: Client,
    text: String,
}

#[track_caller]
fn site() -> Site {
    site_for(able())
}

#[track_caller]
fn site_for(able: Value) -> Site {
    let text = example(BOATYARD);
    let (parts, house, strict) = (
        example("parts/general.site"),
        example("policy/house.site"),
        example("policy/strict.site"),
    );
    let other = example("sites/farm-shop.site");
    let files = [
        ("parts/general.site", parts.as_str()),
        ("policy/house.site", &house),
        ("policy/strict.site", &strict),
        ("sites/farm-shop.site", &other),
        (BOATYARD, &text),
    ];
    let mut client = Client::with(&files, able);
    client.open(BOATYARD, 1, &text);
    Site { client, text }
}

impl Site {
    /// The position in the middle of the first words like these after others.
    #[track_caller]
    fn position(&self, after: &str, words: &str) -> Value {
        let start = self.text.find(after).expect("the words before");
        let at = start + self.text[start..].find(words).expect("the words") + words.len() / 2;
        let line = self.text[..at].matches('\n').count();
        let column = at - self.text[..at].rfind('\n').map_or(0, |at| at + 1);
        json!({ "line": line, "character": column })
    }

    fn at(&self, after: &str, words: &str) -> Value {
        let document = self.client.document(BOATYARD);
        json!({ "textDocument": document, "position": self.position(after, words) })
    }

    fn document(&self) -> Value {
        json!({ "textDocument": self.client.document(BOATYARD) })
    }

    fn with(&self, mut params: Value, more: &Value) -> Value {
        params.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        params
    }

    fn all(&self) -> Value {
        json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 99999, "character": 0 } })
    }

    /// The text of a range.
    fn text(&self, range: lsp_types::Range) -> &str {
        let offset = |position: Position| {
            let lines = self.text.split_inclusive('\n').take(position.line as usize);
            lines.map(str::len).sum::<usize>() + position.character as usize
        };
        &self.text[offset(range.start)..offset(range.end)]
    }

    fn end(self) {
        assert_eq!(self.client.end(), 0);
    }
}

#[test]
fn hover_tells_figures_of_the_thing_under_the_cursor() {
    let mut site = site();
    let params = site.at("output shed-horn", "shed-horn");
    let hover = site.client.typed::<rq::HoverRequest>(params).unwrap();
    assert_eq!(site.text(hover.range.unwrap()), "shed-horn");
    let HoverContents::Markup(markup) = hover.contents else { panic!("markup is wanted") };
    assert!(markup.value.contains("shed-horn"), "{}", markup.value);
    let nothing = site.at("site ", "{");
    assert_eq!(site.client.typed::<rq::HoverRequest>(nothing), None);
    site.end();
}

#[test]
fn completion_gives_names_in_our_order_and_replaces_what_is_typed() {
    let mut site = site();
    let params = site.at("drives ", "horn-12v");
    let found = site.client.typed::<rq::Completion>(params);
    let Some(CompletionResponse::Array(items)) = found else { panic!("{found:?}") };
    assert!(items.iter().any(|item| item.label == "horn-12v"), "{items:#?}");
    assert!(items.is_sorted_by_key(|item| item.sort_text.clone()));
    assert!(items.iter().all(|item| item.text_edit.is_some()));
    let params = site.at("use ", "parts");
    let found = site.client.typed::<rq::Completion>(params);
    let Some(CompletionResponse::Array(items)) = found else { panic!("{found:?}") };
    assert!(items.iter().any(|item| item.label == "../policy/strict.site"), "{items:#?}");
    assert!(items.iter().all(|item| item.label.starts_with("../")), "a site is used by none");
    site.end();
}

/// A client without snippets gets their text.
#[test]
fn completion_has_no_stops_for_a_client_that_knows_none() {
    let mut able = able();
    able["textDocument"]["completion"] = json!({});
    let mut site = site_for(able);
    site.client.change(BOATYARD, 2, &[(Some([0, 0, 0, 0]), "\n\n")]);
    let params = json!({ "textDocument": site.client.document(BOATYARD), "position": { "line": 1, "character": 0 } });
    let answer = site.client.request("textDocument/completion", params);
    assert!(answer.as_array().unwrap().len() > 5, "{answer}");
    assert!(!answer.to_string().contains("${"), "{answer}");
    let zone = answer.as_array().unwrap().iter().find(|item| item["label"] == "zone ...").unwrap();
    let text = zone["textEdit"]["newText"].as_str().unwrap();
    assert!(text.contains("    purpose    intrusion\n") && text.ends_with("\n}\n"), "{text}");
    site.end();
}

#[test]
fn signature_help_shows_the_form_of_the_statement() {
    let mut site = site();
    let params = site.at("output shed-horn", "closing");
    let help = site.client.typed::<rq::SignatureHelpRequest>(params).unwrap();
    let [form] = help.signatures.as_slice() else { panic!("{help:#?}") };
    assert!(form.label.starts_with("through"), "{}", form.label);
    assert!(form.active_parameter.is_some());
    site.end();
}

#[test]
fn definition_and_declaration_lead_to_the_thing_and_to_its_part() {
    let mut site = site();
    let params = site.at("rehearsal \"the shed stays", "shed-horn");
    let found = site.client.typed::<rq::GotoDefinition>(params.clone());
    let Some(GotoDefinitionResponse::Link(links)) = found else { panic!("{found:?}") };
    assert_eq!(site.text(links[0].target_selection_range), "shed-horn");
    assert!(site.text(links[0].target_range).starts_with("output shed-horn"));
    let found = site.client.typed::<rq::GotoDeclaration>(params);
    let Some(GotoDefinitionResponse::Link(links)) = found else { panic!("{found:?}") };
    assert!(links[0].target_uri.as_str().ends_with("/parts/general.site"));
    let params = site.at("use ", "parts");
    let found = site.client.typed::<rq::GotoDefinition>(params);
    let Some(GotoDefinitionResponse::Link(links)) = found else { panic!("{found:?}") };
    assert!(links[0].target_uri.as_str().ends_with("/parts/general.site"));
    site.end();
}

#[test]
fn references_are_found_in_files_that_are_not_open() {
    let mut site = site();
    let context = json!({ "context": { "includeDeclaration": true } });
    let params = site.with(site.at("drives ", "horn-12v"), &context);
    let found = site.client.typed::<rq::References>(params).unwrap();
    let mut files: Vec<&str> =
        found.iter().map(|at| at.uri.as_str().rsplit('/').next().unwrap()).collect();
    files.dedup();
    for file in ["general.site", "farm-shop.site", "boatyard.site"] {
        assert!(files.contains(&file), "{files:?}");
    }
    let params = site.with(
        site.at("drives ", "horn-12v"),
        &json!({ "context": { "includeDeclaration": false } }),
    );
    let fewer = site.client.typed::<rq::References>(params).unwrap();
    assert_eq!(fewer.len() + 1, found.len());
    site.end();
}

#[test]
fn highlights_tell_reading_from_writing() {
    let mut site = site();
    let params = site.at("output shed-horn", "shed-horn");
    let found = site.client.typed::<rq::DocumentHighlightRequest>(params).unwrap();
    assert!(found.len() > 1 && found.iter().all(|one| site.text(one.range) == "shed-horn"));
    assert_eq!(found[0].kind, Some(DocumentHighlightKind::WRITE));
    site.end();
}

#[test]
fn rename_changes_every_file_and_refuses_a_name_that_is_taken() {
    let mut site = site();
    let params = site.at("drives ", "horn-12v");
    let prepared = site.client.typed::<rq::PrepareRenameRequest>(params.clone()).unwrap();
    let PrepareRenameResponse::RangeWithPlaceholder { range, placeholder } = prepared else {
        panic!("{prepared:?}")
    };
    assert_eq!((site.text(range), placeholder.as_str()), ("horn-12v", "horn-12v"));
    let renamed = site.with(params.clone(), &json!({ "newName": "loud-horn-12v" }));
    let edit: WorkspaceEdit = site.client.typed::<rq::Rename>(renamed).unwrap();
    let text = serde_json::to_value(&edit).unwrap();
    let changes = text["documentChanges"].as_array().unwrap();
    let version = |file: &str| {
        let one = changes
            .iter()
            .find(|change| change["textDocument"]["uri"].as_str().unwrap().ends_with(file));
        one.expect(file)["textDocument"]["version"].clone()
    };
    assert_eq!(version("boatyard.site"), json!(1), "open, at the version that was looked at");
    assert_eq!(version("general.site"), Value::Null);
    version("farm-shop.site");
    let taken = site.with(params, &json!({ "newName": "strobe-12v" }));
    let id = site.client.ask("textDocument/rename", taken);
    let answer = site.client.answer(id);
    assert_eq!(answer["error"]["code"], -32803, "{answer}");
    assert!(answer["error"]["message"].as_str().unwrap().contains("strobe-12v"), "{answer}");
    let nothing = site.at("site ", "{");
    let id = site.client.ask("textDocument/prepareRename", nothing);
    assert_eq!(site.client.answer(id)["error"]["code"], -32803);
    site.end();
}

/// A client of an older kind: edits by address, symbols in a row, plain text.
#[test]
fn a_client_that_can_do_little_is_answered_in_its_own_terms() {
    let mut site = site_for(json!({}));
    let renamed =
        site.with(site.at("output shed-horn", "shed-horn"), &json!({ "newName": "shed-siren" }));
    let edit = site.client.typed::<rq::Rename>(renamed).unwrap();
    assert!(edit.changes.is_some() && edit.document_changes.is_none());
    let params = site.document();
    let found = site.client.typed::<rq::DocumentSymbolRequest>(params);
    assert!(matches!(found, Some(DocumentSymbolResponse::Flat(_))), "{found:?}");
    let params = site.at("rehearsal \"the shed stays", "shed-horn");
    let found = site.client.typed::<rq::GotoDefinition>(params);
    assert!(matches!(found, Some(GotoDefinitionResponse::Scalar(_))), "{found:?}");
    site.end();
}

#[test]
fn symbols_of_the_document_and_of_the_workspace() {
    let mut site = site();
    let params = site.document();
    let found = site.client.typed::<rq::DocumentSymbolRequest>(params);
    let Some(DocumentSymbolResponse::Nested(symbols)) = found else { panic!("{found:?}") };
    let horn = symbols.iter().find(|symbol| symbol.name == "shed-horn").unwrap();
    assert_eq!(site.text(horn.selection_range), "shed-horn");
    let found = site.client.typed::<rq::WorkspaceSymbolRequest>(json!({ "query": "honestybox" }));
    let Some(WorkspaceSymbolResponse::Flat(symbols)) = found else { panic!("{found:?}") };
    assert_eq!(symbols[0].name, "honesty-box", "in a file that is not open");
    site.end();
}

#[test]
fn tokens_are_given_whole_in_part_and_as_what_has_changed() {
    let mut site = site();
    let params = site.document();
    let full = site.client.typed::<rq::SemanticTokensFullRequest>(params.clone());
    let Some(SemanticTokensResult::Tokens(first)) = full else { panic!("{full:?}") };
    let range = json!({ "range": { "start": { "line": 0, "character": 0 }, "end": { "line": 3, "character": 0 } } });
    let part = site.with(params.clone(), &range);
    let part = site.client.request("textDocument/semanticTokens/range", part);
    let few = part["data"].as_array().unwrap().len();
    assert!(few > 0 && few < first.data.len() * 5);
    site.client.change(BOATYARD, 2, &[(Some([0, 0, 0, 0]), "# one more\n")]);
    let previous = json!({ "previousResultId": first.result_id });
    let delta = site.with(params.clone(), &previous);
    let delta = site.client.typed::<rq::SemanticTokensFullDeltaRequest>(delta);
    let Some(SemanticTokensFullDeltaResult::TokensDelta(delta)) = delta else {
        panic!("{delta:?}")
    };
    let mut made = first.data.clone();
    for edit in delta.edits {
        let (start, gone) = (edit.start as usize / 5, edit.delete_count as usize / 5);
        assert!(gone < 3, "little has changed: {gone}");
        made.splice(start..start + gone, edit.data.unwrap_or_default());
    }
    let full = site.client.typed::<rq::SemanticTokensFullRequest>(params);
    let Some(SemanticTokensResult::Tokens(second)) = full else { panic!("{full:?}") };
    assert_eq!(made, second.data);
    site.end();
}

#[test]
fn hints_show_figures_and_each_kind_can_be_switched_off() {
    // Settings that are sent are taken in the order of the wire.
    let mut able = able();
    able["workspace"]["configuration"] = json!(false);
    let mut site = site_for(able);
    let kinds = ["load", "voltage", "hours", "reading", "standby"];
    let params = site.with(site.document(), &json!({ "range": site.all() }));
    let all = site.client.typed::<rq::InlayHintRequest>(params.clone()).unwrap();
    assert!(
        all.len() > 10
            && all.iter().all(
                |hint| matches!(&hint.label, InlayHintLabel::String(text) if !text.is_empty())
            )
    );
    let mut left = 0;
    for kind in kinds {
        let mut hints: serde_json::Map<String, Value> =
            kinds.iter().map(|kind| ((*kind).to_owned(), json!(false))).collect();
        hints.insert(kind.to_owned(), json!(true));
        let settings = json!({ "date": super::client::TODAY, "hints": hints });
        site.client.notify("workspace/didChangeConfiguration", json!({ "settings": settings }));
        let some = site.client.typed::<rq::InlayHintRequest>(params.clone()).unwrap();
        assert!(!some.is_empty(), "{kind}");
        left += some.len();
    }
    assert_eq!(left, all.len());
    site.end();
}

#[test]
fn lenses_run_rehearsals_and_show_what_must_be_tested_again() {
    let mut able = able();
    able["window"]["showDocument"] = json!({ "support": true });
    let mut site = site_for(able);
    let params = site.document();
    let lenses = site.client.typed::<rq::CodeLensRequest>(params).unwrap();
    let commands: Vec<_> = lenses.into_iter().filter_map(|lens| lens.command).collect();
    let run = |name: &str| commands.iter().find(|command| command.command == name).unwrap().clone();
    let rehearse = run("curtilage.rehearse");
    let params = json!({ "command": rehearse.command, "arguments": rehearse.arguments });
    let told = site.client.request("workspace/executeCommand", params);
    assert!(
        told.as_str().unwrap().contains("rehearsal") || told.as_str().unwrap().contains('#'),
        "{told}"
    );
    site.client.wait(|message| message["method"] == "window/showMessage");
    let show = run("curtilage.show");
    let params = json!({ "command": show.command, "arguments": show.arguments });
    let places = site.client.request("workspace/executeCommand", params);
    assert_eq!(site.client.asked("window/showDocument")["uri"], places[0]["uri"]);
    let unknown = json!({ "command": "curtilage.fly", "arguments": [site.client.uri(BOATYARD)] });
    let id = site.client.ask("workspace/executeCommand", unknown);
    assert_eq!(site.client.answer(id)["error"]["code"], -32602);
    let id = site
        .client
        .ask("workspace/executeCommand", json!({ "command": "curtilage.fly", "arguments": [] }));
    let message = site.client.answer(id)["error"]["message"].to_string();
    assert!(message.contains("there is no command"), "{message}");
    site.end();
}

/// Two rehearsals of one title: a lens plays its own, and the outcome is that of what was played.
#[test]
fn a_title_that_two_rehearsals_have_is_told_for_what_was_played() {
    let mut site = site();
    let story = |closes: &str| {
        format!(
            "\nrehearsal \"twice\" {{\n    Mon 10:00  shed-aloft active for 1 s\n    expect shed-horn {closes}\n}}\n"
        )
    };
    let text = format!("{}{}{}", site.text, story("closed never"), story("closed once"));
    let last = u32::try_from(site.text.lines().count()).unwrap();
    site.client.change(BOATYARD, 2, &[(Some([last, 0, last, 0]), &text[site.text.len()..])]);
    let lenses = site.client.typed::<rq::CodeLensRequest>(site.document()).unwrap();
    let commands: Vec<_> = lenses.into_iter().filter_map(|lens| lens.command).collect();
    let mut said = Vec::new();
    let mut run = |site: &mut Site, arguments: Value| {
        site.client.forget_seen();
        let params = json!({ "command": "curtilage.rehearse", "arguments": arguments });
        site.client.request("workspace/executeCommand", params);
        let message = site.client.wait(|message| message["method"] == "window/showMessage");
        said.push(message["params"]["message"].as_str().unwrap().to_owned());
    };
    for command in &commands {
        let arguments = json!(command.arguments);
        if arguments[1] == "twice" {
            run(&mut site, arguments);
        }
    }
    let uri = site.client.uri(BOATYARD);
    run(&mut site, json!([uri, "twice"]));
    said.sort();
    let wanted = [
        "\"twice\" goes as expected",
        "\"twice\" goes otherwise",
        "1 of 2 rehearsals \"twice\" go as expected",
    ];
    assert_eq!(said, wanted);
    site.end();
}

fn titles(actions: Option<Vec<CodeActionOrCommand>>) -> Vec<(String, String)> {
    let action = |action| match action {
        CodeActionOrCommand::CodeAction(action) => {
            (action.kind.unwrap().as_str().to_owned(), action.title)
        }
        CodeActionOrCommand::Command(command) => panic!("{command:?}"),
    };
    actions.unwrap_or_default().into_iter().map(action).collect()
}

#[test]
fn actions_fix_allow_organise_and_fix_all() {
    let mut site = site();
    let faulty = example("faulty/unused-name.site");
    site.client.open("faulty/a.site", 1, &faulty);
    let told = site.client.diagnostics("faulty/a.site", 1);
    let about = |client: &Client, range: Value, only: Option<Value>| {
        let mut context = json!({ "diagnostics": told });
        if let Some(only) = only {
            context["only"] = only;
        }
        json!({ "textDocument": client.document("faulty/a.site"), "range": range, "context": context })
    };
    let at = serde_json::to_value(told[0].range).unwrap();
    let params = about(&site.client, at.clone(), None);
    let actions = site.client.typed::<rq::CodeActionRequest>(params);
    let offered = titles(actions);
    assert!(
        offered.iter().any(|(kind, title)| kind == "quickfix" && title.contains("allow")),
        "{offered:?}"
    );
    let params = about(&site.client, at, Some(json!(["source"])));
    assert!(
        titles(site.client.typed::<rq::CodeActionRequest>(params))
            .iter()
            .all(|(kind, _)| kind.starts_with("source"))
    );
    // Two `use` lines in the wrong order.
    let text = "use \"../policy/house.site\"\nuse \"../parts/general.site\"\n";
    site.client.open("faulty/b.site", 1, text);
    let params = json!({
        "textDocument": site.client.document("faulty/b.site"), "range": site.all(),
        "context": { "diagnostics": [], "only": ["source.organizeImports"] },
    });
    let offered = titles(site.client.typed::<rq::CodeActionRequest>(params));
    assert!(offered.iter().all(|(kind, _)| kind == "source.organizeImports"));
    assert_eq!(offered.len(), 1, "{offered:?}");
    site.end();
}

/// The fixes of every faulty example, made as the server gives them, leave the rule's finding out.
#[test]
fn a_fix_that_is_made_takes_its_finding_away() {
    let mut client = Client::on(&[("parts/general.site", &example("parts/general.site"))]);
    let faulty = example("faulty/rest-state-mismatch.site");
    client.open("faulty/a.site", 1, &faulty);
    let told = client.diagnostics("faulty/a.site", 1);
    let range = serde_json::to_value(told[0].range).unwrap();
    let params = json!({ "textDocument": client.document("faulty/a.site"), "range": range, "context": { "diagnostics": told } });
    let actions = client.typed::<rq::CodeActionRequest>(params).unwrap();
    let fixes = told[0].data.as_ref().unwrap()["fixes"].as_array().unwrap();
    let fix = actions
        .into_iter()
        .find_map(|action| match action {
            CodeActionOrCommand::CodeAction(action) if fixes.contains(&json!(action.title)) => {
                Some(action)
            }
            _ => None,
        })
        .expect("a fix");
    assert_eq!(fix.diagnostics.unwrap(), told[..1]);
    let edit = serde_json::to_value(fix.edit).unwrap();
    let edits = edit["documentChanges"][0]["edits"].as_array().unwrap();
    let changes: Vec<Value> = edits
        .iter()
        .rev()
        .map(|edit| json!({ "range": edit["range"], "text": edit["newText"] }))
        .collect();
    let document = json!({ "uri": client.uri("faulty/a.site"), "version": 2 });
    client.notify(
        "textDocument/didChange",
        json!({ "textDocument": document, "contentChanges": changes }),
    );
    let left = client.diagnostics("faulty/a.site", 2);
    assert!(
        !super::fixtures::rules(&left).contains(&"rest-state-mismatch".to_owned()),
        "{left:#?}"
    );
    assert_eq!(client.end(), 0);
}

#[test]
fn folds_selections_and_links() {
    let mut site = site();
    let params = site.document();
    let folds = site.client.typed::<rq::FoldingRangeRequest>(params.clone()).unwrap();
    assert!(folds.iter().any(|fold| fold.kind == Some(FoldingRangeKind::Imports)), "{folds:#?}");
    assert!(folds.iter().all(|fold| fold.start_line < fold.end_line));
    let positions = json!({ "positions": [site.position("output shed-horn", "closing"), { "line": 0, "character": 0 }] });
    let grown = site.with(params.clone(), &positions);
    let grown = site.client.typed::<rq::SelectionRangeRequest>(grown).unwrap();
    assert_eq!(grown.len(), 2);
    let (mut one, mut texts) = (Some(&grown[0]), Vec::new());
    while let Some(range) = one {
        texts.push(site.text(range.range).to_owned());
        one = range.parent.as_deref();
    }
    assert_eq!(texts.first().unwrap(), "closing");
    assert!(texts.windows(2).all(|pair| pair[1].contains(&pair[0]) && pair[1] != pair[0]));
    assert!(texts.last().unwrap().len() > 1000, "the whole file at last");
    let links = site.client.typed::<rq::DocumentLinkRequest>(params).unwrap();
    assert_eq!(site.text(links[0].range).trim_matches('"'), "../parts/general.site");
    assert!(links[0].target.as_ref().unwrap().as_str().ends_with("/parts/general.site"));
    site.end();
}

#[test]
fn formatting_of_a_document_of_a_range_and_while_typing() {
    let mut site = site();
    let options = json!({ "options": { "tabSize": 4, "insertSpaces": true } });
    let params = site.with(site.document(), &options);
    assert_eq!(site.client.typed::<rq::Formatting>(params), Some(vec![]));
    let crooked = "schedule day {\n  Mon to Fri 08:00 to 18:00\n}\nschedule night {\n  Sat 08:00 to 18:00\n}\n";
    site.client.open("b.site", 1, crooked);
    let document = json!({ "textDocument": site.client.document("b.site") });
    let whole = site.with(document.clone(), &options);
    let whole = site.client.typed::<rq::Formatting>(whole).unwrap();
    assert!(whole.iter().any(|edit| edit.range.start.line == 1));
    assert!(whole.iter().any(|edit| edit.range.start.line == 4));
    let lines = json!({ "range": { "start": { "line": 3, "character": 0 }, "end": { "line": 6, "character": 0 } } });
    let part = site.with(site.with(document.clone(), &options), &lines);
    let part = site.client.typed::<rq::RangeFormatting>(part).unwrap();
    assert!(!part.is_empty() && part.iter().all(|edit| edit.range.start.line >= 3), "{part:#?}");
    let typed = json!({ "position": { "line": 2, "character": 1 }, "ch": "}" });
    let typed = site.with(site.with(document, &options), &typed);
    let typed = site.client.typed::<rq::OnTypeFormatting>(typed).unwrap();
    assert!(!typed.is_empty() && typed.iter().all(|edit| edit.range.end.line <= 2), "{typed:#?}");
    site.end();
}

#[test]
fn the_chain_of_cause_and_effect_goes_both_ways() {
    let mut site = site();
    let params = site.at("output shed-horn", "shed-horn");
    let items = site.client.typed::<rq::CallHierarchyPrepare>(params).unwrap();
    let [horn] = items.as_slice() else { panic!("{items:#?}") };
    assert_eq!(horn.name, "shed-horn");
    let causes =
        site.client.typed::<rq::CallHierarchyIncomingCalls>(json!({ "item": horn })).unwrap();
    assert!(!causes.is_empty());
    let cause = &causes[0];
    assert!(
        cause.from_ranges.iter().all(|range| site.text(*range).contains("shed-horn")),
        "{cause:#?}"
    );
    let effects =
        site.client.typed::<rq::CallHierarchyOutgoingCalls>(json!({ "item": cause.from })).unwrap();
    assert!(effects.iter().any(|effect| effect.to.name == "shed-horn"), "{effects:#?}");
    site.end();
}

/// In each unit that can be agreed on, the same words.
#[test]
fn positions_are_counted_in_the_unit_that_was_agreed_on() {
    for (encoding, column) in [("utf-8", 14), ("utf-16", 12), ("utf-32", 11)] {
        let mut able = able();
        able["general"]["positionEncodings"] = json!([encoding]);
        let mut client = Client::unbegun(&[], crate::Options::default());
        let capabilities = client.begin(able);
        assert_eq!(capabilities["positionEncoding"], encoding);
        // 𐐀 is four bytes and two units of UTF-16; the edit comes behind it.
        let text = "# \u{10400}\nsite s \"\u{10400}\" {\n}\n";
        client.open("a.site", 1, text);
        let behind = column - 1;
        client.change("a.site", 2, &[(Some([1, behind, 1, behind]), " ")]);
        let params = json!({ "textDocument": client.document("a.site") });
        let symbols = client.request("textDocument/documentSymbol", params);
        assert_eq!(symbols[0]["selectionRange"]["start"]["character"], 5, "{encoding}: {symbols}");
        let params = json!({ "textDocument": client.document("a.site"),
            "range": { "start": { "line": 1, "character": 0 }, "end": { "line": 1, "character": 99 } } });
        let tokens = client.request("textDocument/semanticTokens/range", params);
        let title = match encoding {
            "utf-8" => 6,
            "utf-16" => 4,
            _ => 3,
        };
        assert!(
            tokens["data"].as_array().unwrap().chunks(5).any(|token| token[2] == title),
            "{encoding}: {tokens}"
        );
        assert_eq!(client.end(), 0);
    }
}

/// What is announced is what is tested here.
#[test]
fn the_list_of_capabilities_is_this_one() {
    let mut client = Client::unbegun(&[], crate::Options::default());
    let capabilities = client.begin(super::client::able_to_pull());
    let mut names: Vec<&str> =
        capabilities.as_object().unwrap().keys().map(String::as_str).collect();
    names.sort_unstable();
    assert_eq!(
        names,
        [
            "callHierarchyProvider",
            "codeActionProvider",
            "codeLensProvider",
            "completionProvider",
            "declarationProvider",
            "definitionProvider",
            "diagnosticProvider",
            "documentFormattingProvider",
            "documentHighlightProvider",
            "documentLinkProvider",
            "documentOnTypeFormattingProvider",
            "documentRangeFormattingProvider",
            "documentSymbolProvider",
            "executeCommandProvider",
            "foldingRangeProvider",
            "hoverProvider",
            "inlayHintProvider",
            "positionEncoding",
            "referencesProvider",
            "renameProvider",
            "selectionRangeProvider",
            "semanticTokensProvider",
            "signatureHelpProvider",
            "textDocumentSync",
            "workspace",
            "workspaceSymbolProvider",
        ]
    );
    assert_eq!(client.end(), 0);
}
