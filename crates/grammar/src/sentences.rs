//! Sentences of the notation: whether a line is one, and lines that are.
//!
//! Tests hold the notation against the parser with both: what the examples say has to be a
//! sentence, and what is a sentence has to be read without a fault.

use crate::{Node, Notion, notion, read};
use curtilage_syntax::{Atom, AtomKind, Statement};
use curtilage_units::Dimension;

/// What a sentence is made of.
#[derive(Clone, Debug, PartialEq)]
enum Token {
    Word(String),
    Number,
    Quantity(Option<Dimension>, bool),
    Date,
    MonthDay,
    Clock,
    Text,
    Mark(&'static str),
    Block,
}

/// Whether the line of a statement is a sentence of `node`.
#[must_use]
pub fn matches(node: &Node, source: &str, statement: &Statement) -> bool {
    let mut tokens = Vec::new();
    flatten(source, &statement.atoms, &mut tokens);
    if statement.block.is_some() {
        tokens.push(Token::Block);
    }
    ends(node, &tokens, 0).contains(&tokens.len())
}

fn flatten(source: &str, atoms: &[Atom], out: &mut Vec<Token>) {
    for atom in atoms {
        let text = atom.span.of(source);
        let token = match &atom.kind {
            AtomKind::Word => Token::Word(text.to_owned()),
            AtomKind::Number => Token::Number,
            AtomKind::Quantity { tolerance } => {
                let unit = atom.unit(source);
                Token::Quantity(unit.map(|unit| unit.dimension), tolerance.is_some())
            }
            AtomKind::Date => Token::Date,
            AtomKind::MonthDay => Token::MonthDay,
            AtomKind::Clock => Token::Clock,
            AtomKind::Text => Token::Text,
            AtomKind::Comma => Token::Mark(","),
            AtomKind::Group(inner) => {
                out.push(Token::Mark("("));
                flatten(source, inner, out);
                Token::Mark(")")
            }
        };
        out.push(token);
    }
}

/// Everywhere that a match of `node` from `at` on can end.
fn ends(node: &Node, tokens: &[Token], at: usize) -> Vec<usize> {
    let next = tokens.get(at);
    let one = |fits: bool| if fits { vec![at + 1] } else { Vec::new() };
    match node {
        Node::Word(word) => one(matches!(next, Some(Token::Word(found)) if found == word)),
        Node::Text(_) => one(next == Some(&Token::Text)),
        Node::Mark(mark) => one(matches!(next, Some(Token::Mark(found)) if found == mark)),
        Node::Block => one(next == Some(&Token::Block)),
        Node::Value(value) => match notion(value) {
            Some(Notion::Pattern(pattern)) => {
                read(pattern).map_or_else(|_| Vec::new(), |node| ends(&node, tokens, at))
            }
            Some(notion) => one(next.is_some_and(|token| fits(notion, token))),
            None => Vec::new(),
        },
        Node::Range(value, both) => {
            let quantity = Node::Value(value.clone());
            let to = Node::Word("to".to_owned());
            let from = Node::Choice(vec![quantity.clone(), Node::Value("NUMBER".to_owned())]);
            let mut out = ends(&Node::Row(vec![from, to, quantity.clone()]), tokens, at);
            if !both {
                out.extend(ends(&quantity, tokens, at));
            }
            out
        }
        Node::Row(row) => row.iter().fold(vec![at], |starts, node| {
            let mut out: Vec<usize> =
                starts.iter().flat_map(|start| ends(node, tokens, *start)).collect();
            out.sort_unstable();
            out.dedup();
            out
        }),
        Node::Choice(list) => list.iter().flat_map(|node| ends(node, tokens, at)).collect(),
        Node::Perhaps(inner) => {
            let mut out = ends(inner, tokens, at);
            out.push(at);
            out
        }
        Node::Repeated(inner) => {
            let mut out = vec![at];
            let mut from = vec![at];
            while !from.is_empty() {
                from = from.iter().flat_map(|start| ends(inner, tokens, *start)).collect();
                from.retain(|end| !out.contains(end));
                out.extend(&from);
            }
            out
        }
        Node::List(inner) => {
            let comma = Node::Mark(",");
            let more = Node::Repeated(Box::new(Node::Row(vec![comma, inner.as_ref().clone()])));
            ends(&Node::Row(vec![inner.as_ref().clone(), more]), tokens, at)
        }
    }
}

fn fits(notion: Notion, token: &Token) -> bool {
    match (notion, token) {
        (Notion::Name | Notion::Reference, Token::Word(word)) => !has_parting_dot(word),
        (Notion::Path, Token::Word(_))
        | (Notion::Number, Token::Number)
        | (Notion::Date, Token::Date)
        | (Notion::MonthDay, Token::MonthDay)
        | (Notion::Clock, Token::Clock) => true,
        (Notion::Quantity(wanted), Token::Quantity(found, false))
        | (Notion::Tolerant(wanted), Token::Quantity(found, _)) => *found == Some(wanted),
        _ => false,
    }
}

/// Whether a dot of the word stands between anything but two digits.
fn has_parting_dot(word: &str) -> bool {
    let letters: Vec<char> = word.chars().collect();
    letters
        .windows(3)
        .any(|three| matches!(three, [a, '.', b] if !(a.is_ascii_digit() && b.is_ascii_digit())))
}

/// Where the choices of a sentence come from.
#[derive(Clone, Debug)]
pub struct Chance {
    state: u64,
    /// How many values were written, so that the ends of a range come in order.
    written: usize,
}

impl Chance {
    /// Choices that depend on `seed` alone.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self { state: seed.wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(1), written: 0 }
    }

    /// A number below `end`, by the generator of Marsaglia, "Xorshift RNGs", 2003.
    fn below(&mut self, end: usize) -> usize {
        self.state ^= self.state << 13;
        self.state ^= self.state >> 7;
        self.state ^= self.state << 17;
        usize::try_from(self.state >> 33).unwrap_or(0) % end.max(1)
    }
}

/// A sentence of `node`; `block` stands for its block.
#[must_use]
pub fn sentence(node: &Node, block: &str, chance: &mut Chance) -> String {
    let mut out: Vec<String> = Vec::new();
    write(node, block, chance, 0, &mut out);
    out.join(" ").replace(" ,", ",").replace("( ", "(").replace(" )", ")")
}

/// Deeper than this, what may be left out is.
const DEEP: usize = 6;

fn write(node: &Node, block: &str, chance: &mut Chance, depth: usize, out: &mut Vec<String>) {
    let go = |node: &Node, chance: &mut Chance, out: &mut Vec<String>| {
        write(node, block, chance, depth + 1, out);
    };
    match node {
        Node::Word(word) => out.push(word.clone()),
        Node::Mark(mark) => out.push((*mark).to_owned()),
        Node::Block => out.push(block.to_owned()),
        Node::Text(what) => out.push(format!("\"{}\"", what.to_lowercase())),
        Node::Value(value) => match notion(value) {
            Some(Notion::Pattern(pattern)) => {
                if let Ok(node) = read(pattern) {
                    go(&node, chance, out);
                }
            }
            Some(notion) => out.push(value_of(notion, chance)),
            None => {}
        },
        Node::Range(value, both) => {
            let dimension = match notion(value) {
                Some(Notion::Quantity(dimension)) => dimension,
                _ => return,
            };
            let unit = unit_of(dimension);
            match chance.below(if *both { 2 } else { 3 }) {
                0 => out.push(format!("2 to 9 {unit}")),
                1 => out.push(format!("2 {unit} to 9 {unit}")),
                _ => out.push(format!("3 {unit}")),
            }
        }
        Node::Row(row) => row.iter().for_each(|node| go(node, chance, out)),
        Node::Choice(list) => {
            // The first alternative of a pattern that holds itself does not.
            let chosen = if depth > DEEP { 0 } else { chance.below(list.len()) };
            if let Some(node) = list.get(chosen) {
                go(node, chance, out);
            }
        }
        Node::Perhaps(inner) => {
            if depth <= DEEP && chance.below(2) == 1 {
                go(inner, chance, out);
            }
        }
        Node::Repeated(inner) => {
            let times = if depth > DEEP { 0 } else { chance.below(3) };
            (0..times).for_each(|_| go(inner, chance, out));
        }
        Node::List(inner) => {
            go(inner, chance, out);
            for _ in 0..chance.below(3) {
                out.push(",".to_owned());
                go(inner, chance, out);
            }
        }
    }
}

const DATES: [&str; 4] = ["2026-01-05", "2026-02-07", "2026-11-25", "2027-03-31"];
const CLOCKS: [&str; 4] = ["07:30", "12:00", "13:15", "18:00"];
const NAMES: [&str; 6] = ["dock-door", "six-core-0.22", "Über-8", "k1", "yard", "tür"];
const PATHS: [&str; 4] = ["head.in1", "main", "yard-run.gate", "pair-0.75.end"];

fn value_of(notion: Notion, chance: &mut Chance) -> String {
    chance.written += 1;
    let turn = |list: &[&str]| {
        list.get((chance.written - 1) % list.len()).copied().unwrap_or_default().to_owned()
    };
    match notion {
        Notion::Date => turn(&DATES),
        Notion::Clock => turn(&CLOCKS),
        Notion::MonthDay => "12-25".to_owned(),
        Notion::Name | Notion::Reference => turn(&NAMES),
        Notion::Path => turn(&PATHS),
        Notion::Number => ["1", "2"].get(chance.below(2)).copied().unwrap_or_default().to_owned(),
        Notion::Quantity(Dimension::Time) => match chance.below(3) {
            0 => "1 h 30 min".to_owned(),
            1 => "200ms".to_owned(),
            _ => "5 s".to_owned(),
        },
        // Gauges are whole.
        Notion::Quantity(Dimension::Gauge) => {
            if chance.below(2) == 0 { "18 AWG" } else { "3AWG" }.to_owned()
        }
        Notion::Quantity(dimension) => match chance.below(2) {
            0 => format!("4.5 {}", unit_of(dimension)),
            _ => format!("3{}", unit_of(dimension)),
        },
        Notion::Tolerant(dimension) => {
            let tolerance = [" +-1 %", "±5%", ""].get(chance.below(3)).copied().unwrap_or_default();
            format!("2.2 {}{tolerance}", unit_of(dimension))
        }
        Notion::Pattern(_) => String::new(),
    }
}

fn unit_of(dimension: Dimension) -> &'static str {
    let all = curtilage_units::spellings();
    let mut fits = all.filter(|text| {
        curtilage_units::lookup(text).is_some_and(|unit| unit.dimension == dimension)
    });
    fits.next().unwrap_or_default()
}
