//! The grammars of other tools, made from the tables that the parser reads by: an EBNF, railroad
//! pictures, a tree-sitter grammar, a TextMate grammar, word lists for editors and for fuzzing.
//!
//! Nothing here knows a statement of the language. A new one is a row in a table of `syntax`; the
//! test `fresh` of this crate then writes every file anew and fails until it is committed.

mod dictionary;
mod ebnf;
mod notation;
mod notions;
mod pictures;
mod sentences;
mod textmate;
mod tree_sitter;
mod words;

pub use notation::{Node, read};
pub use notions::{Notion, notion};
pub use sentences::{Chance, matches, sentence};
pub use words::{Words, words};

/// A statement or an item: its first word and what follows.
#[derive(Clone, Debug)]
pub struct Rule {
    /// The first word; empty for lines that begin with a value.
    pub word: &'static str,
    /// What follows.
    pub pattern: &'static str,
    /// The pattern, read. Without the first word.
    pub node: Node,
    /// What it says.
    pub about: &'static str,
}

impl Rule {
    /// The whole line as a node, the first word included.
    #[must_use]
    pub fn line(&self) -> Node {
        let word = Node::Word(self.word.to_owned());
        match (self.word, self.pattern, &self.node) {
            ("", _, node) => node.clone(),
            (_, "", _) => word,
            // Each alternative begins with the word.
            (_, _, node) => Node::Row(vec![word, node.clone()]),
        }
    }
}

/// The statements of one kind of block.
#[derive(Clone, Debug)]
pub struct Block {
    /// How the vocabulary calls it: "a zone".
    pub thing: &'static str,
    /// A name for it in grammars: `zone`, `sensor-part`.
    pub name: String,
    /// The item word that opens it.
    pub item: &'static str,
    /// Its statements.
    pub statements: Vec<Rule>,
}

/// The whole language.
#[derive(Clone, Debug)]
pub struct Grammar {
    /// What a file is made of.
    pub items: Vec<Rule>,
    /// What stands in the blocks of the items.
    pub blocks: Vec<Block>,
}

/// Reads the tables of the parser; the error names a pattern that cannot be read.
pub fn grammar() -> Result<Grammar, String> {
    let mut grammar = Grammar { items: Vec::new(), blocks: Vec::new() };
    for entry in curtilage_syntax::vocabulary() {
        let node = match entry.pattern {
            "" => Node::Row(Vec::new()),
            pattern => read(pattern)?,
        };
        let rule = Rule { word: entry.word, pattern: entry.pattern, node, about: entry.about };
        if entry.block == "a file" {
            grammar.items.push(rule);
            continue;
        }
        match grammar.blocks.iter_mut().find(|block| block.thing == entry.block) {
            Some(block) => block.statements.push(rule),
            None => {
                let (item, name) = opens(entry.block, &grammar.items)
                    .ok_or_else(|| format!("no item opens `{}`", entry.block))?;
                let statements = vec![rule];
                grammar.blocks.push(Block { thing: entry.block, name, item, statements });
            }
        }
    }
    Ok(grammar)
}

impl Grammar {
    /// The blocks that an item can open: nine for a part, one or none for the others.
    pub fn blocks_of(&self, item: &str) -> impl Iterator<Item = &Block> {
        self.blocks.iter().filter(move |block| block.item == item)
    }
}

/// The item that opens a block, and a name for the block.
fn opens(thing: &'static str, items: &[Rule]) -> Option<(&'static str, String)> {
    let plain = thing.trim_start_matches("a ").trim_start_matches("an ");
    let item = match plain {
        "readings" => "measured",
        "recording plan" => "recording",
        part if part.ends_with(" part") => "part",
        other => other,
    };
    let known = items.iter().find(|rule| rule.word == item)?;
    let name = if item == "part" { plain.replace(' ', "-") } else { item.to_owned() };
    Some((known.word, name))
}

/// What part kind a block of a part describes.
pub(crate) fn kind_of(block: &Block) -> Option<&str> {
    block.name.strip_suffix("-part")
}

/// A file of the repository and what it has to hold.
#[derive(Clone, Debug)]
pub struct Made {
    /// Its path from the root of the repository.
    pub path: String,
    /// Its text.
    pub text: String,
}

/// Every file that is made from the tables.
pub fn made() -> Result<Vec<Made>, String> {
    let grammar = grammar()?;
    let words = words(&grammar)?;
    let mut out = vec![
        Made { path: "docs/grammar/curtilage.ebnf".into(), text: ebnf::text(&grammar)? },
        Made {
            path: "grammar/tree-sitter-curtilage/forms.json".into(),
            text: tree_sitter::forms(&grammar)?,
        },
        Made {
            path: "grammar/tree-sitter-curtilage/queries/highlights.scm".into(),
            text: tree_sitter::highlights(&words),
        },
        Made { path: "grammar/curtilage.tmLanguage.json".into(), text: textmate::text(&words)? },
        Made { path: "editors/emacs/curtilage-words.el".into(), text: words::emacs(&words) },
    ];
    for editor in ["vim", "neovim"] {
        let path = format!("editors/{editor}/syntax/curtilage.vim");
        out.push(Made { path, text: words::vim(&words) });
    }
    out.push(Made { path: "fuzz/words.dict".into(), text: dictionary::text(&words) });
    out.extend(pictures::all(&grammar)?);
    Ok(out)
}

/// The command that writes the made files, for their headings.
pub(crate) const COMMAND: &str = "cargo test -p curtilage-grammar --test fresh";
