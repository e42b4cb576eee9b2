//! Railroad pictures: one for the file, one for each block, one for the values they share.

use crate::{COMMAND, Grammar, Made, Node, Notion, notions::NOTIONS, read};
use railroad::{
    Choice, Diagram, Empty, End, Node as Drawn, NonTerminal, Optional, Repeat, Sequence, Start,
    Terminal,
};

/// Readable on a light and on a dark page.
const STYLE: &str = "
svg.railroad { background: #fbfaf7; }
svg.railroad rect.railroad_canvas { fill: none; stroke: none; }
svg.railroad path { stroke: #55606e; stroke-width: 1.6; fill: none; }
svg.railroad rect { stroke: #2f6f5e; stroke-width: 1.4; fill: #e3f1ec; }
svg.railroad .nonterminal rect { stroke: #a06a1c; fill: #fbeed8; }
svg.railroad text { font: 13px ui-monospace, monospace; text-anchor: middle; fill: #1e242c; }
svg.railroad .nonterminal text { font-style: italic; }
@media (prefers-color-scheme: dark) {
  svg.railroad { background: #171b21; }
  svg.railroad path { stroke: #97a3b3; }
  svg.railroad rect { stroke: #67b59d; fill: #1d3a33; }
  svg.railroad .nonterminal rect { stroke: #d9a657; fill: #3d301a; }
  svg.railroad text { fill: #e8ebef; }
}
";

/// All pictures, and the page that shows them.
pub(crate) fn all(grammar: &Grammar) -> Result<Vec<Made>, String> {
    let mut out = Vec::new();
    let mut page = format!(
        "# The grammar in pictures\n\n<!-- Made by: {COMMAND} -->\n\nEach picture is read from the \
         left to the right along the line. Words in boxes with round corners are written as they \
         stand; those in square boxes are filled in. The same as text: \
         [curtilage.ebnf](curtilage.ebnf); what it all means: [the reference](../language.md).\n"
    );
    let mut show = |title: &str, name: &str, picture: Box<dyn Drawn>| {
        page.push_str(&format!("\n## {title}\n\n![{title}]({name}.svg)\n"));
        out.push(Made { path: format!("docs/grammar/{name}.svg"), text: svg(picture) });
    };
    let lines = grammar.items.iter().map(|rule| rule.line());
    show("A file", "file", over(lines.collect()));
    for block in &grammar.blocks {
        let lines = block.statements.iter().map(|rule| rule.line()).collect();
        show(&capital(block.thing), &block.name, over(lines));
    }
    for (name, notion) in NOTIONS {
        if let Notion::Pattern(pattern) = notion {
            let node = read(pattern)?;
            let file = name.to_lowercase();
            show(name, &format!("value-{file}"), draw(&node));
        }
    }
    out.push(Made { path: "docs/grammar/README.md".into(), text: page });
    Ok(out)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn svg(picture: Box<dyn Drawn>) -> String {
    let whole: Vec<Box<dyn Drawn>> = vec![Box::new(Start), picture, Box::new(End)];
    let mut diagram = Diagram::new(Sequence::new(whole));
    diagram.add_css(STYLE);
    format!("{diagram}\n")
}

/// Any number of lines, each one of these.
fn over(lines: Vec<Node>) -> Box<dyn Drawn> {
    let lines: Vec<Box<dyn Drawn>> = lines.iter().map(draw).collect();
    Box::new(Optional::new(Repeat::new(Choice::new(lines), Empty)))
}

fn draw(node: &Node) -> Box<dyn Drawn> {
    match node {
        Node::Word(word) => Box::new(Terminal::new(word.clone())),
        Node::Mark(mark) => Box::new(Terminal::new((*mark).to_owned())),
        Node::Value(value) => Box::new(NonTerminal::new(value.clone())),
        Node::Text(what) => Box::new(NonTerminal::new(format!("\"{what}\""))),
        Node::Block => Box::new(Sequence::new(vec![
            Box::new(Terminal::new("{".to_owned())) as Box<dyn Drawn>,
            Box::new(NonTerminal::new("statements".to_owned())),
            Box::new(Terminal::new("}".to_owned())),
        ])),
        Node::Row(row) => Box::new(Sequence::new(row.iter().map(draw).collect::<Vec<_>>())),
        Node::Choice(list) => Box::new(Choice::new(list.iter().map(draw).collect::<Vec<_>>())),
        Node::Perhaps(node) => Box::new(Optional::new(draw(node))),
        Node::Repeated(node) => Box::new(Optional::new(Repeat::new(draw(node), Empty))),
        Node::List(node) => Box::new(Repeat::new(draw(node), Terminal::new(",".to_owned()))),
        Node::Range(value, both) => {
            let to = |second: bool| -> Box<dyn Drawn> {
                let value = || Box::new(NonTerminal::new(value.clone())) as Box<dyn Drawn>;
                let number = Box::new(NonTerminal::new("NUMBER".to_owned())) as Box<dyn Drawn>;
                if !second {
                    return value();
                }
                let from = Box::new(Choice::new(vec![value(), number])) as Box<dyn Drawn>;
                let to = Box::new(Terminal::new("to".to_owned())) as Box<dyn Drawn>;
                Box::new(Sequence::new(vec![from, to, value()]))
            };
            if *both { to(true) } else { Box::new(Choice::new(vec![to(false), to(true)])) }
        }
    }
}
