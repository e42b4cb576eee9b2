//! The grammar as text, in the notation of the W3C (Extensible Markup Language 1.0, section 6).

use crate::{Block, COMMAND, Grammar, Node, Notion, Rule, kind_of, notions::NOTIONS, read};
use curtilage_units::Dimension;

/// What is the same for every statement: blanks, lines, tokens.
const LEXICAL: &str = r##"
/* Blanks, tabs and comments may stand between any two tokens; they are not written out.
   A line break after a comma is a blank, and so is one before an opening brace. */

line-end  ::= (#xD? #xA)+
comment   ::= "#" [^#xD#xA]*
text      ::= '"' ([^"\#xD#xA] | '\"' | '\\')* '"'
number    ::= "-"? digit+ ("." digit+)? ([eE] [+-]? digit+)?
date      ::= digit digit digit digit "-" digit digit "-" digit digit
day-of-year ::= digit digit "-" digit digit
clock     ::= digit digit? ":" digit digit (":" digit digit ("." digit digit? digit?)?)?
digit     ::= [0-9]

/* XID_Start and XID_Continue are those of Unicode Standard Annex 31. A dot belongs to a name only
   between two digits; any other dot parts a thing from one of its terminals. */
word      ::= XID_Start (XID_Continue | "²" | "°")* ([-/^] (XID_Continue | "²")+ | "." digit+)*
name      ::= word
reference ::= word
path      ::= word ("." (XID_Continue | [-./^])+)?

tolerance ::= ("+-" | "+/-" | "±") number "%"
"##;

/// The whole text.
pub(crate) fn text(grammar: &Grammar) -> Result<String, String> {
    let mut out = format!("/* The language of Curtilage sites. Made by: {COMMAND} */\n");
    out.push_str("\nfile ::= line-end? (item line-end?)*\n");
    let names: Vec<String> =
        grammar.items.iter().map(|rule| format!("{}-item", rule.word)).collect();
    out.push_str(&format!("item ::= {}\n", names.join("\n       | ")));
    for item in &grammar.items {
        out.push('\n');
        let blocks: Vec<&Block> = grammar.blocks_of(item.word).collect();
        match blocks.as_slice() {
            [] => push_rule(&mut out, &format!("{}-item", item.word), &item.line(), ""),
            [block] => {
                push_rule(&mut out, &format!("{}-item", item.word), &item.line(), &block.name);
            }
            several => push_parts(&mut out, item, several),
        }
        for block in blocks {
            push_block(&mut out, block);
        }
    }
    out.push_str("\n/* What the words above stand for. */\n\n");
    // A part has a rule for each kind, so that the kind itself has none.
    for (name, notion) in NOTIONS.iter().filter(|(name, _)| *name != "KIND") {
        let name = name.to_lowercase();
        let plain = match notion {
            Notion::Pattern(pattern) => {
                push_rule(&mut out, &name, &read(pattern)?, "");
                continue;
            }
            Notion::Name => "word".to_owned(),
            Notion::Reference => "reference".to_owned(),
            Notion::Path => "path".to_owned(),
            Notion::Number | Notion::Date | Notion::MonthDay | Notion::Clock => continue,
            Notion::Quantity(Dimension::Time) => "(number time-unit)+".to_owned(),
            Notion::Quantity(dimension) => format!("number {}-unit", kebab(*dimension)),
            Notion::Tolerant(dimension) => format!("number {}-unit tolerance?", kebab(*dimension)),
        };
        if name != plain && name != "name" {
            out.push_str(&format!("{name} ::= {plain}\n"));
        }
    }
    out.push('\n');
    let mut dimensions: Vec<Dimension> = Vec::new();
    let unit = |text: &&str| curtilage_units::lookup(text).map(|unit| unit.dimension);
    dimensions.extend(curtilage_units::spellings().filter_map(|text| unit(&text)));
    dimensions.dedup();
    let mut told: Vec<Dimension> = Vec::new();
    for dimension in dimensions {
        if told.contains(&dimension) {
            continue;
        }
        told.push(dimension);
        let units: Vec<String> = curtilage_units::spellings()
            .filter(|text| unit(text) == Some(dimension))
            .map(|text| format!("\"{text}\""))
            .collect();
        out.push_str(&format!("{}-unit ::= {}\n", kebab(dimension), units.join(" | ")));
    }
    out.push_str(
        "/* Beside these: Ω for ohm, µ for u, ² for 2 in mm2, ° for deg, as the reference tells. */\n",
    );
    out.push_str(LEXICAL);
    Ok(out)
}

fn kebab(dimension: Dimension) -> String {
    let words = dimension.words().trim_start_matches("a ").trim_start_matches("an ");
    words.replace(' ', "-")
}

/// One rule for a part of each kind, because its block depends on the kind.
fn push_parts(out: &mut String, item: &Rule, blocks: &[&Block]) {
    let names: Vec<&str> = blocks.iter().map(|block| block.name.as_str()).collect();
    out.push_str(&format!("{}-item ::= {}\n", item.word, names.join(" | ")));
    for block in blocks {
        let kind = kind_of(block).unwrap_or_default();
        let line = with_kind(&item.line(), kind);
        push_rule(out, &block.name, &line, &block.name);
    }
}

/// The same with a word for `KIND`.
pub(crate) fn with_kind(node: &Node, kind: &str) -> Node {
    match node {
        Node::Value(value) if value == "KIND" => Node::Word(kind.to_owned()),
        Node::Row(row) => Node::Row(row.iter().map(|node| with_kind(node, kind)).collect()),
        other => other.clone(),
    }
}

fn push_block(out: &mut String, block: &Block) {
    let lines: Vec<String> =
        block.statements.iter().map(|rule| show(&rule.line(), "", true)).collect();
    out.push_str(&format!("{}-statement\n  ::= {}\n", block.name, lines.join("\n    | ")));
}

fn push_rule(out: &mut String, name: &str, node: &Node, block: &str) {
    out.push_str(&format!("{name} ::= {}\n", show(node, block, false)));
}

/// A node in the notation; `inner` puts a choice in parentheses.
fn show(node: &Node, block: &str, inner: bool) -> String {
    let group = |text: String, wanted: bool| if wanted { format!("({text})") } else { text };
    match node {
        Node::Word(word) => format!("\"{word}\""),
        Node::Mark(mark) => format!("\"{mark}\""),
        Node::Value(value) => value.to_lowercase(),
        Node::Text(_) => "text".to_owned(),
        Node::Block => {
            format!("\"{{\" line-end? ({block}-statement line-end)* {block}-statement? \"}}\"")
        }
        Node::Row(row) => {
            let parts: Vec<String> = row.iter().map(|node| show(node, block, true)).collect();
            parts.join(" ")
        }
        Node::Choice(list) => {
            let parts: Vec<String> = list.iter().map(|node| show(node, block, true)).collect();
            group(parts.join(" | "), inner)
        }
        Node::Perhaps(node) => format!("{}?", tight(node, block)),
        Node::Repeated(node) => format!("{}*", tight(node, block)),
        Node::List(node) => {
            let one = show(node, block, true);
            format!("{one} (\",\" {one})*")
        }
        Node::Range(value, both) => {
            let value = value.to_lowercase();
            let range = format!("({value} | number) \"to\" {value}");
            if *both { range } else { format!("({value} | {range})") }
        }
    }
}

/// A node as one thing that a `?` or `*` may follow.
fn tight(node: &Node, block: &str) -> String {
    match node {
        Node::Row(_) | Node::Block | Node::List(_) | Node::Range(_, true) => {
            format!("({})", show(node, block, false))
        }
        node => show(node, block, true),
    }
}
