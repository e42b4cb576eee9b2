//! SARIF 2.1.0 (OASIS): every rule with its page, every finding with its regions, related places,
//! fixes and a fingerprint that does not hang on lines.
//!
//! Paths are relative to the folder in which the program runs, which is called `ROOT`: run it at the
//! top of the repository and the forge finds the files.

use crate::plain::plain;
use crate::report::{Region, Report, Run};
use curtilage_diagnostic::{Diagnostic, Fix, Label, Level};
use curtilage_rules::{RULES, Rule};
use serde_json::{Map, Value, json};
use std::io;

/// The base of all paths.
const ROOT: &str = "ROOT";

/// The log of a check.
pub(crate) fn report(report: &Report) -> io::Result<Vec<u8>> {
    let mut results = Vec::new();
    for run in &report.runs {
        for (finding, mark) in run.findings() {
            results.push(result(run, finding, mark));
        }
        for known in &run.known {
            let mut one = result(run, &known.finding, &known.mark);
            if let Some(object) = one.as_object_mut() {
                // 3.27.23, 3.35: reviewed and accepted, as the baseline says, outside the file.
                let why = "known: it is in the baseline";
                let suppression =
                    json!([{ "kind": "external", "status": "accepted", "justification": why }]);
                object.insert("suppressions".to_owned(), suppression);
            }
            results.push(one);
        }
    }
    let notes: Vec<Value> = report
        .unreadable
        .iter()
        .map(|problem| {
            let text = message(&format!("{}: {}", problem.path, problem.why));
            json!({ "level": "error", "message": { "text": sentence(&text) } })
        })
        .collect();
    let log = json!({
        "$schema": "https://json.schemastore.org/sarif-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": "curtilage",
                "fullName": concat!("curtilage ", env!("CARGO_PKG_VERSION")),
                "semanticVersion": env!("CARGO_PKG_VERSION"),
                "rules": RULES.iter().map(|rule| descriptor(rule)).collect::<Vec<_>>(),
            } },
            "invocations": [{
                "executionSuccessful": report.unreadable.is_empty(),
                "toolExecutionNotifications": notes,
            }],
            "originalUriBaseIds": { ROOT: { "description": {
                "text": "The folder in which the check was run.",
            } } },
            "columnKind": "unicodeCodePoints",
            "results": results,
        }],
    });
    let mut out = serde_json::to_vec_pretty(&log).map_err(io::Error::other)?;
    out.push(b'\n');
    Ok(out)
}

/// What the log says of a rule; its page is the help.
fn descriptor(rule: &Rule) -> Value {
    let about = sentence(&message(rule.about));
    json!({
        "id": rule.name,
        "shortDescription": { "text": about },
        "fullDescription": { "text": about },
        "help": { "text": message(rule.page), "markdown": message(rule.page) },
        "defaultConfiguration": { "level": level(rule.level) },
        "properties": { "tags": [rule.family.word()] },
    })
}

fn result(run: &Run, finding: &Diagnostic, mark: &str) -> Value {
    let index = RULES.iter().position(|rule| rule.name == finding.rule);
    let mut text = sentence(&message(&finding.headline));
    if let Some(why) = &finding.why {
        text = format!("{text} Why it matters: {}", sentence(&message(why)));
    }
    let related = finding.others.iter().zip(1..).map(|(other, id)| related(run, other, id));
    let mut object = Map::new();
    let mut put = |key: &str, value: Value| drop(object.insert(key.to_owned(), value));
    put("ruleId", json!(finding.rule));
    if let Some(index) = index {
        put("ruleIndex", json!(index));
    }
    put("level", json!(level(finding.level)));
    put("message", json!({ "text": text }));
    let mut at = physical(&run.region(finding.at.at));
    if !finding.at.text.is_empty() {
        at = with(at, "message", json!({ "text": sentence(&message(&finding.at.text)) }));
    }
    put("locations", json!([at]));
    put("relatedLocations", Value::Array(related.collect()));
    put("partialFingerprints", json!({ "curtilage/v1": run.fingerprint(finding, mark) }));
    let fixes: Vec<Value> = finding.fixes.iter().map(|one| fix(run, one)).collect();
    if !fixes.is_empty() {
        put("fixes", Value::Array(fixes));
    }
    put("properties", json!({ "about": finding.about, "do": finding.help }));
    Value::Object(object)
}

fn with(mut value: Value, key: &str, member: Value) -> Value {
    if let Some(object) = value.as_object_mut() {
        object.insert(key.to_owned(), member);
    }
    value
}

fn physical(region: &Region) -> Value {
    json!({ "physicalLocation": {
        "artifactLocation": { "uri": uri(&region.path), "uriBaseId": ROOT },
        "region": span(region),
    } })
}

/// 3.30: lines and columns from 1, the end column behind the last character.
fn span(region: &Region) -> Value {
    json!({
        "startLine": region.line,
        "startColumn": region.column,
        "endLine": region.end_line,
        "endColumn": region.end_column,
    })
}

fn related(run: &Run, label: &Label, id: usize) -> Value {
    let text = sentence(&message(&label.text));
    let place = with(physical(&run.region(label.at)), "id", json!(id));
    with(place, "message", json!({ "text": text }))
}

/// A fix, its edits by file.
fn fix(run: &Run, fix: &Fix) -> Value {
    let mut changes: Vec<(String, Vec<Value>)> = Vec::new();
    for edit in &fix.edits {
        let region = run.region(edit.at);
        let replacement =
            json!({ "deletedRegion": span(&region), "insertedContent": { "text": edit.text } });
        match changes.iter_mut().find(|(path, _)| *path == region.path) {
            Some((_, list)) => list.push(replacement),
            None => changes.push((region.path, vec![replacement])),
        }
    }
    let changes: Vec<Value> = changes
        .into_iter()
        .map(|(path, replacements)| {
            let file = json!({ "uri": uri(&path), "uriBaseId": ROOT });
            json!({ "artifactLocation": file, "replacements": replacements })
        })
        .collect();
    let asks = if fix.safe { "" } else { " (ask first)" };
    let title = sentence(&message(&format!("{}{asks}", fix.title)));
    json!({ "description": { "text": title }, "artifactChanges": changes })
}

fn level(level: Level) -> &'static str {
    match level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Hint => "note",
    }
}

/// Text in a message: brackets would begin a link (3.11.6).
fn message(text: &str) -> String {
    plain(text).replace('\\', "\\\\").replace('[', "\\[").replace(']', "\\]")
}

/// Messages are sentences (3.11.3); ours carry no full stop.
fn sentence(text: &str) -> String {
    let ends = text.ends_with(['.', '!', '?', ':', ';']);
    if ends { text.to_owned() } else { format!("{text}.") }
}

/// A relative reference (RFC 3986, 4.2): what is not unreserved or a `/` is written as its bytes.
fn uri(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{message, sentence, uri};

    #[test]
    fn paths_become_references() {
        assert_eq!(uri("sites/a b.site"), "sites/a%20b.site");
        assert_eq!(uri("é#?:%.site"), "%C3%A9%23%3F%3A%25.site");
    }

    #[test]
    fn user_text_makes_no_link() {
        assert_eq!(message("\"[x](1)\" \\"), "\"\\[x\\](1)\" \\\\");
        assert_eq!(sentence("over"), "over.");
    }
}
