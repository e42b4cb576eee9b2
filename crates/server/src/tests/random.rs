//! Random edits with requests in between: what the server then knows is what a fresh one would.

use super::client::{Client, example};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use serde_json::{Value, json};

/// What an edit puts in: pieces of the language, and what does not belong there.
const PIECES: &[&str] = &[
    "",
    "\n",
    "x",
    "}",
    "{",
    "\"",
    "zone ",
    "zone door is door-reed {\n",
    "0",
    " m",
    "\u{10400}",
    "é",
    "# ",
    "\r\n",
    "\t",
    "schedule day is not night\n",
    "use \"parts.site\"\n",
    ",",
    "(",
    "20:00",
];

/// A text as the client keeps it, in UTF-16.
struct Text {
    lines: Vec<Vec<u16>>,
}

impl Text {
    fn new(text: &str) -> Self {
        let mut lines = vec![Vec::new()];
        for unit in text.encode_utf16() {
            lines.last_mut().unwrap().push(unit);
            if unit == u16::from(b'\n') {
                lines.push(Vec::new());
            }
        }
        Self { lines }
    }

    fn text(&self) -> String {
        String::from_utf16_lossy(&self.lines.concat())
    }

    /// A place that is a character boundary, from two numbers.
    fn place(&self, line: u32, column: u32) -> (usize, usize) {
        let line = line as usize % self.lines.len();
        let units = &self.lines[line];
        let end = units.iter().take_while(|unit| ![10, 13].contains(*unit)).count();
        let mut column = column as usize % (end + 1);
        if column > 0 && (0xdc00..0xe000).contains(units.get(column).unwrap_or(&0)) {
            column -= 1;
        }
        (line, column)
    }

    fn replace(&mut self, from: (usize, usize), to: (usize, usize), with: &str) {
        let flat =
            |at: (usize, usize)| self.lines[..at.0].iter().map(Vec::len).sum::<usize>() + at.1;
        let (start, end) = (flat(from), flat(to));
        let mut units = self.lines.concat();
        units.splice(start..end, with.encode_utf16());
        *self = Self::new(&String::from_utf16(&units).unwrap());
    }
}

#[derive(Clone, Debug)]
struct Step {
    at: (u32, u32),
    /// How far the replaced range reaches: lines and columns.
    length: (u32, u32),
    piece: usize,
    request: u8,
}

fn step() -> impl Strategy<Value = Step> {
    let length = prop_oneof![8 => Just((0, 0)), 4 => (0..1u32, 0..9u32), 1 => (0..4u32, 0..40u32)];
    (any::<(u32, u32)>(), length, 0..PIECES.len(), 0..20u8)
        .prop_map(|(at, length, piece, request)| Step { at, length, piece, request })
}

fn ask(client: &mut Client, request: u8, at: (usize, usize)) -> Option<i64> {
    let document = client.document("a.site");
    let position = json!({ "line": at.0, "character": at.1 });
    let (method, params) = match request {
        0 => ("textDocument/hover", json!({ "textDocument": document, "position": position })),
        1 => ("textDocument/completion", json!({ "textDocument": document, "position": position })),
        2 => ("textDocument/documentSymbol", json!({ "textDocument": document })),
        3 => (
            "textDocument/formatting",
            json!({ "textDocument": document, "options": { "tabSize": 4, "insertSpaces": true } }),
        ),
        4 => (
            "textDocument/signatureHelp",
            json!({ "textDocument": document, "position": position }),
        ),
        5 => ("textDocument/definition", json!({ "textDocument": document, "position": position })),
        _ => return None,
    };
    Some(client.ask(method, params))
}

/// Makes the steps in one server, opens the result in a fresh document, and compares.
fn same_as_fresh(
    client: &mut Client,
    version: &mut i32,
    steps: &[Step],
) -> Result<(), TestCaseError> {
    let site = example("sites/farm-shop.site").replace("../parts/general.site", "parts.site");
    let mut text = Text::new(&site);
    *version += 1;
    client.open("a.site", *version, &site);
    let mut ids = Vec::new();
    for step in steps {
        let from = text.place(step.at.0, step.at.1);
        let far = (from.0 as u32 + step.length.0, from.1 as u32 + step.length.1);
        let far_line = (far.0 as usize).min(text.lines.len() - 1);
        let end = text.lines[far_line].iter().take_while(|unit| ![10, 13].contains(*unit)).count();
        let mut to = text.place(far_line as u32, far.1.min(end as u32));
        if to < from {
            to = from;
        }
        *version += 1;
        let range = [from.0 as u32, from.1 as u32, to.0 as u32, to.1 as u32];
        client.change("a.site", *version, &[(Some(range), PIECES[step.piece])]);
        text.replace(from, to, PIECES[step.piece]);
        ids.extend(ask(client, step.request, from));
    }
    let typed = client.diagnostics("a.site", *version);
    for id in ids {
        let answer = client.answer(id);
        prop_assert!(answer["error"].is_null(), "{}", answer);
    }
    let uri = client.uri("b.site");
    let document =
        json!({ "uri": uri, "languageId": "curtilage", "version": *version, "text": text.text() });
    client.notify("textDocument/didOpen", json!({ "textDocument": document }));
    let fresh = client.diagnostics("b.site", *version);
    let plain = |list: &[lsp_types::Diagnostic]| -> Vec<Value> {
        list.iter()
            .map(|one| {
                let text = serde_json::to_string(one).unwrap();
                serde_json::from_str(&text.replace("b.site", "a.site")).unwrap()
            })
            .collect()
    };
    prop_assert_eq!(plain(&typed), plain(&fresh));
    client.forget_seen();
    Ok(())
}

fn run(cases: u32, steps: usize) {
    let parts = example("parts/general.site");
    let mut client = Client::on(&[("parts.site", &parts)]);
    let mut version = 0;
    let config = Config { cases, failure_persistence: None, ..Config::default() };
    let mut runner = TestRunner::new(config);
    let strategy = proptest::collection::vec(step(), 1..=steps);
    let client = std::cell::RefCell::new(&mut client);
    let version = std::cell::RefCell::new(&mut version);
    let result = runner.run(&strategy, |steps| {
        same_as_fresh(&mut client.borrow_mut(), &mut version.borrow_mut(), &steps)
    });
    result.unwrap();
}

#[test]
fn random_edits_leave_what_a_fresh_start_finds() {
    run(40, 100);
}

/// 100,000 edits and more.
#[test]
#[ignore = "long: run by hand"]
fn a_hundred_thousand_random_edits_leave_what_a_fresh_start_finds() {
    run(700, 300);
}
