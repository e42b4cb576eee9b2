//! A TextMate grammar: regular expressions, a line at a time, made from the word lists.

use crate::{COMMAND, Words};
use serde_json::json;
use std::collections::BTreeSet;

/// Letters of a name, as `syntax` reads them; Oniguruma has no XID classes, letters and digits are
/// close enough for colours.
const NAME: &str = r"[\p{L}][\p{L}\p{N}_²°]*(?:(?:[-/^][\p{L}\p{N}_²]+)|(?:\.(?=\d)[\p{N}_]+))*";
/// Nothing that would make a word part of a longer name.
const BEFORE: &str = r"(?<![\p{L}\p{N}_\-./^²°])";
const AFTER: &str = r"(?![\p{L}\p{N}_\-./^²°])";

/// The grammar as JSON.
pub(crate) fn text(words: &Words) -> Result<String, String> {
    let any = |list: &BTreeSet<String>| {
        let mut list: Vec<String> = list.iter().map(|word| word.replace('^', r"\^")).collect();
        // The first alternative that fits is taken.
        list.sort_by_key(|word| std::cmp::Reverse(word.len()));
        list.join("|")
    };
    let units: BTreeSet<String> = words.units.union(&words.time_units).cloned().collect();
    let grammar = json!({
        "information_for_contributors": format!("Made by: {COMMAND}"),
        "name": "Curtilage",
        "scopeName": "source.curtilage",
        "fileTypes": ["site"],
        "patterns": [
            { "include": "#comment" },
            { "include": "#text" },
            { "include": "#item" },
            { "include": "#statement" },
            { "include": "#value" }
        ],
        "repository": {
            "comment": {
                "name": "comment.line.number-sign.curtilage",
                "match": "#.*$"
            },
            "text": {
                "name": "string.quoted.double.curtilage",
                "begin": "\"",
                "end": "\"|$",
                "patterns": [
                    { "name": "constant.character.escape.curtilage", "match": r#"\\["\\]"# }
                ]
            },
            "item": {
                "match": format!(r"(?:^|(?<=\}}))\s*({})(?=\s)(?:\s+(?!to\s)({NAME}))?", any(&words.items)),
                "captures": {
                    "1": { "name": "keyword.control.item.curtilage" },
                    "2": { "name": "entity.name.type.curtilage" }
                }
            },
            "statement": {
                "match": format!(r"(?:^|(?<=\{{))\s*({}){AFTER}", any(&words.statements)),
                "captures": { "1": { "name": "keyword.other.statement.curtilage" } }
            },
            "value": {
                "patterns": [
                    {
                        "name": "constant.other.date.curtilage",
                        "match": format!(r"{BEFORE}(?:\d{{4}}-)?\d{{2}}-\d{{2}}{AFTER}")
                    },
                    {
                        "name": "constant.other.time.curtilage",
                        "match": format!(r"{BEFORE}\d{{1,2}}:\d{{2}}(?::\d{{2}}(?:\.\d{{1,3}})?)?{AFTER}")
                    },
                    {
                        "match": format!(r"(?<![\p{{L}}\p{{N}}_./^])(-?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)\s*({}){AFTER}", any(&units)),
                        "captures": {
                            "1": { "name": "constant.numeric.curtilage" },
                            "2": { "name": "keyword.other.unit.curtilage" }
                        }
                    },
                    {
                        "name": "constant.numeric.curtilage",
                        "match": format!(r"(?<![\p{{L}}\p{{N}}_./^])-?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?{AFTER}")
                    },
                    { "name": "keyword.operator.tolerance.curtilage", "match": r"\+/?-|±" },
                    {
                        "name": "constant.language.curtilage",
                        "match": format!(r"{BEFORE}(?:{}){AFTER}", any(&words.choices))
                    },
                    {
                        "name": "keyword.operator.word.curtilage",
                        "match": format!(r"{BEFORE}(?:{}){AFTER}", any(&words.small))
                    },
                    {
                        "match": format!(r"({NAME})(\.)([\p{{L}}\p{{N}}_²\-]+)"),
                        "captures": {
                            "1": { "name": "variable.other.object.curtilage" },
                            "2": { "name": "punctuation.accessor.curtilage" },
                            "3": { "name": "variable.other.property.curtilage" }
                        }
                    },
                    { "name": "variable.other.curtilage", "match": NAME },
                    { "name": "punctuation.section.block.curtilage", "match": r"[{}]" },
                    { "name": "punctuation.section.group.curtilage", "match": r"[()]" },
                    { "name": "punctuation.separator.curtilage", "match": "," }
                ]
            }
        }
    });
    let mut out = serde_json::to_string_pretty(&grammar).map_err(|error| error.to_string())?;
    out.push('\n');
    Ok(out)
}
