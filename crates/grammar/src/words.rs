//! The words of the language by what they do, for editors that know words and no grammar.

use crate::{COMMAND, Grammar, Node, Notion, notions::NOTIONS, read};
use std::collections::BTreeSet;

/// The words of the language.
#[derive(Clone, Debug, Default)]
pub struct Words {
    /// Those that begin an item.
    pub items: BTreeSet<String>,
    /// Those that begin a statement in a block.
    pub statements: BTreeSet<String>,
    /// Those of which one is chosen: `open`, `closed`.
    pub choices: BTreeSet<String>,
    /// Those between values: `over`, `of`.
    pub small: BTreeSet<String>,
    /// Units, in every spelling.
    pub units: BTreeSet<String>,
    /// Units of time.
    pub time_units: BTreeSet<String>,
}

impl Words {
    /// Every word and every unit, list by list.
    pub fn all(&self) -> impl Iterator<Item = &String> {
        let Self { items, statements, choices, small, units, time_units } = self;
        [items, statements, choices, small, units, time_units].into_iter().flatten()
    }
}

/// Collects the words of a grammar.
pub fn words(grammar: &Grammar) -> Result<Words, String> {
    let mut words = Words::default();
    words.items.extend(grammar.items.iter().map(|rule| rule.word.to_owned()));
    let statements = || grammar.blocks.iter().flat_map(|block| &block.statements);
    words.statements.extend(statements().map(|rule| rule.word.to_owned()));
    words.statements.remove("");
    for rule in grammar.items.iter().chain(statements()) {
        words.take(&rule.node);
    }
    for (_, notion) in NOTIONS {
        if let Notion::Pattern(pattern) = notion {
            words.take(&read(pattern)?);
        }
    }
    // Between values a word is always one of the small ones: `hold from registration`.
    words.choices.retain(|word| !words.small.contains(word));
    for spelling in curtilage_units::spellings().flat_map(spelled) {
        let Some(unit) = curtilage_units::lookup(&spelling) else { continue };
        if unit.dimension == curtilage_units::Dimension::Time {
            words.time_units.insert(spelling);
        } else {
            words.units.insert(spelling);
        }
    }
    Ok(words)
}

impl Words {
    fn take(&mut self, node: &Node) {
        match node {
            Node::Word(word) => {
                self.small.insert(word.clone());
            }
            Node::Choice(list) if is_choice_of_words(node) => {
                let mut add = |node: &Node| {
                    if let Node::Word(word) = node {
                        self.choices.insert(word.clone());
                    }
                };
                list.iter().for_each(|node| node.walk(&mut add));
            }
            Node::Row(list) | Node::Choice(list) => list.iter().for_each(|node| self.take(node)),
            Node::Perhaps(node) | Node::Repeated(node) | Node::List(node) => self.take(node),
            Node::Range(..) => {
                self.small.insert("to".to_owned());
            }
            Node::Value(_) | Node::Text(_) | Node::Mark(_) | Node::Block => {}
        }
    }
}

/// Whether every alternative is made of words alone.
pub(crate) fn is_choice_of_words(node: &Node) -> bool {
    let word = |node: &Node| matches!(node, Node::Word(_));
    let Node::Choice(list) = node else { return false };
    list.iter().all(|node| match node {
        Node::Row(row) => row.iter().all(word),
        node => word(node),
    })
}

/// A unit and its spellings outside ASCII, as `curtilage_units::lookup` folds them.
fn spelled(text: &str) -> Vec<String> {
    let mut out = vec![text.to_owned()];
    let folds: [(&str, &[&str]); 4] = [
        ("ohm", &["Ω", "\u{2126}"]),
        ("mm2", &["mm²"]),
        ("degC", &["°C"]),
        ("u", &["\u{b5}", "\u{3bc}"]),
    ];
    for (plain, others) in folds {
        if text.contains(plain) {
            out.extend(others.iter().map(|other| text.replacen(plain, other, 1)));
        }
    }
    out.retain(|spelling| curtilage_units::lookup(spelling).is_some());
    out
}

fn joined(list: &BTreeSet<String>, separator: &str) -> String {
    list.iter().map(String::as_str).collect::<Vec<_>>().join(separator)
}

/// A syntax file for Vim.
pub(crate) fn vim(words: &Words) -> String {
    // A `\<` of Vim knows letters, digits and `_`; names here also hold `-`, `.` and `/`.
    let all = |list: &BTreeSet<String>| {
        let escaped: Vec<String> = list.iter().map(|word| word.replace('/', "\\/")).collect();
        escaped.join("\\|")
    };
    let units: BTreeSet<String> = words.units.union(&words.time_units).cloned().collect();
    format!(
        r#"" Colours for Curtilage sites. Made by: {COMMAND}

if exists('b:current_syntax')
  finish
endif

syntax case match
syntax iskeyword @,48-57,_,-,.,/,^,128-255

syntax match curtilageName /[[:alpha:]\d128-\d255][[:alnum:]_\d128-\d255]*\%([-.\/^][[:alnum:]_\d128-\d255]\+\)*/
syntax keyword curtilageSmall {small}
syntax keyword curtilageChoice {choices}
syntax match curtilageStatement /\%(^\|{{\)\s*\zs\%({statements}\)\ze\%(\s\|$\)/
syntax match curtilageItem /\%(^\|}}\)\s*\zs\%({items}\)\ze\s/ nextgroup=curtilageTitled skipwhite
syntax match curtilageTitled /[^[:space:]"{{]\+/ contained
syntax match curtilageNumber /-\?\<\d\+\%(\.\d\+\)\?\%([eE][+-]\?\d\+\)\?\ze\%(\s\|[^-:0-9.]\|$\)/ nextgroup=curtilageUnit skipwhite
syntax match curtilageUnit /\%({units}\)\ze\%([[:space:],)}}#]\|+-\|±\|$\)/ contained
syntax match curtilageTime /\<\d\d\?:\d\d\%(:\d\d\%(\.\d\{{1,3}}\)\?\)\?/
syntax match curtilageTime /\<\%(\d\{{4}}-\)\?\d\d-\d\d\>/
syntax match curtilageTolerance /+-\|+\/-\|±/
syntax region curtilageText start=/"/ skip=/\\["\\]/ end=/"/ oneline
syntax match curtilageComment /#.*$/ contains=@Spell

highlight default link curtilageComment Comment
highlight default link curtilageText String
highlight default link curtilageItem Keyword
highlight default link curtilageStatement Statement
highlight default link curtilageTitled Identifier
highlight default link curtilageSmall Operator
highlight default link curtilageChoice Constant
highlight default link curtilageNumber Number
highlight default link curtilageUnit Type
highlight default link curtilageTime Number
highlight default link curtilageTolerance Operator

let b:current_syntax = 'curtilage'
"#,
        small = joined(&words.small, " "),
        choices = joined(&words.choices, " "),
        statements = all(&words.statements),
        items = all(&words.items),
        units = all(&units),
    )
}

/// The words as lists of Emacs Lisp.
pub(crate) fn emacs(words: &Words) -> String {
    let list = |name: &str, about: &str, words: &BTreeSet<String>| {
        let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
        let mut lines = String::new();
        let mut line = String::new();
        for word in quoted {
            if line.len() + word.len() > 70 {
                lines.push_str(&format!("\n    {}", line.trim()));
                line.clear();
            }
            line.push_str(&word);
            line.push(' ');
        }
        lines.push_str(&format!("\n    {}", line.trim()));
        format!("\n(defconst curtilage-{name}\n  '({})\n  \"{about}\")\n", lines.trim())
    };
    let units: BTreeSet<String> = words.units.union(&words.time_units).cloned().collect();
    let mut out = format!(
        ";;; curtilage-words.el --- words of Curtilage sites  -*- lexical-binding: t; -*-\n\n\
         ;; Made by: {COMMAND}\n\n;;; Code:\n"
    );
    out.push_str(&list("item-words", "Words that begin an item.", &words.items));
    out.push_str(&list("statement-words", "Words that begin a statement.", &words.statements));
    out.push_str(&list("choice-words", "Words of which one is chosen.", &words.choices));
    out.push_str(&list("small-words", "Words between values.", &words.small));
    out.push_str(&list("units", "Units.", &units));
    out.push_str("\n(provide 'curtilage-words)\n;;; curtilage-words.el ends here\n");
    out
}
