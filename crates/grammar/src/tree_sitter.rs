//! What the tree-sitter grammar reads: the patterns as JSON, and its highlights.
//!
//! `grammar.js` turns each pattern into rules and knows no statement of its own.

use crate::ebnf::with_kind;
use crate::words::is_choice_of_words;
use crate::{Block, COMMAND, Grammar, Node, Notion, Words, kind_of, notions::NOTIONS, read};
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// The forms as JSON, one rule a line.
pub(crate) fn forms(grammar: &Grammar) -> Result<String, String> {
    let mut items = Map::new();
    for item in &grammar.items {
        let blocks: Vec<&Block> = grammar.blocks_of(item.word).collect();
        let rules = match blocks.as_slice() {
            [] => vec![json!({ "line": node(&item.line(), None) })],
            [block] => vec![json!({ "line": node(&item.line(), Some(&block.name)) })],
            several => several
                .iter()
                .map(|block| {
                    let line = with_kind(&item.line(), kind_of(block).unwrap_or_default());
                    json!({ "line": node(&line, Some(&block.name)) })
                })
                .collect(),
        };
        items.insert(item.word.to_owned(), Value::Array(rules));
    }
    let mut blocks = Map::new();
    for block in &grammar.blocks {
        let lines = block.statements.iter().map(|rule| node(&rule.line(), None)).collect();
        blocks.insert(block.name.clone(), Value::Array(lines));
    }
    let mut notions = Map::new();
    for (name, notion) in NOTIONS {
        let value = match notion {
            Notion::Pattern(pattern) => json!({ "pattern": node(&read(pattern)?, None) }),
            Notion::Name => json!({ "leaf": "name" }),
            Notion::Reference => json!({ "leaf": "reference" }),
            Notion::Path => json!({ "leaf": "path" }),
            Notion::Number => json!({ "leaf": "number" }),
            Notion::Date => json!({ "leaf": "date" }),
            Notion::MonthDay => json!({ "leaf": "day_of_year" }),
            Notion::Clock => json!({ "leaf": "clock" }),
            Notion::Quantity(_) => json!({ "leaf": "quantity" }),
            Notion::Tolerant(_) => json!({ "leaf": "tolerant" }),
        };
        notions.insert((*name).to_owned(), value);
    }
    let words = crate::words(grammar)?;
    let all = json!({
        "made by": COMMAND,
        "items": items,
        "blocks": blocks,
        "notions": notions,
        "units": words.units,
        "time_units": words.time_units,
    });
    compact(&all)
}

/// JSON with the members of the outer objects on lines of their own.
fn compact(all: &Value) -> Result<String, String> {
    let text = |value: &Value| serde_json::to_string(value).map_err(|error| error.to_string());
    let mut lines = Vec::new();
    for (name, value) in all.as_object().into_iter().flatten() {
        let inner = match value.as_object() {
            Some(members) => {
                let mut inner = Vec::new();
                for (name, value) in members {
                    inner.push(format!("    \"{name}\": {}", text(value)?));
                }
                format!("{{\n{}\n  }}", inner.join(",\n"))
            }
            None => text(value)?,
        };
        lines.push(format!("  \"{name}\": {inner}"));
    }
    Ok(format!("{{\n{}\n}}\n", lines.join(",\n")))
}

fn node(found: &Node, block: Option<&str>) -> Value {
    let all = |list: &[Node]| -> Vec<Value> { list.iter().map(|one| node(one, block)).collect() };
    match found {
        Node::Word(word) => json!({ "word": word }),
        Node::Mark(mark) => json!({ "mark": mark }),
        Node::Text(what) => json!({ "text": what.to_lowercase() }),
        Node::Value(value) => json!({ "value": value }),
        Node::Block => json!({ "block": block }),
        Node::Row(row) => json!({ "row": all(row) }),
        Node::Choice(list) if is_choice_of_words(found) => json!({ "choose": all(list) }),
        Node::Choice(list) => json!({ "choice": all(list) }),
        Node::Perhaps(inner) => json!({ "perhaps": node(inner, block) }),
        Node::Repeated(inner) => json!({ "repeated": node(inner, block) }),
        Node::List(inner) => json!({ "list": node(inner, block) }),
        Node::Range(value, both) => json!({ "range": value, "both": both }),
    }
}

/// The highlights. What stands first in a line and what is chosen have a node or field of their
/// own in the tree; only the small words have to be listed.
pub(crate) fn highlights(words: &Words) -> String {
    let list = |words: &BTreeSet<String>| {
        let mut out = String::new();
        let mut line = String::new();
        for word in words {
            if line.len() + word.len() > 80 {
                out.push_str(&format!("\n {line}"));
                line.clear();
            }
            line.push_str(&format!(" \"{word}\""));
        }
        format!("{out}\n {line}")
    };
    format!(
        r#"; Made by: {COMMAND}

[{small}
] @keyword.operator

(comment) @comment @spell
(string) @string
(title) @string.special @spell
(number) @number
(unit) @type.builtin
[(date) (day_of_year) (clock)] @number
["+-" "+/-" "±"] @operator
["," ] @punctuation.delimiter
["{{" "}}" "(" ")"] @punctuation.bracket

(reference) @variable
(path thing: (reference) @variable)
(path terminal: (terminal) @variable.member)
(name) @variable
(choice) @constant.builtin

(statement word: _ @property)
(source_file (_ item: _ @keyword))
(source_file (_ name: (name) @type.definition))
(source_file (_ part: (reference) @type))
"#,
        small = list(&words.small),
    )
}
