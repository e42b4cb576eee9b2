//! A form compiled to a machine that walks over the words of a line.
//!
//! All ways through the form are followed at once, so the cost is the length of the line times the
//! size of the form. A word that fits nowhere is passed over, or taken to follow a word that is
//! missing, so that a line that is half written still has its slots.

use super::notation::{Node, read};
use super::slots::{Meaning, Slot, meaning};
use crate::piece::{Piece, PieceKind};
use curtilage_text::Span;

/// What a leaf takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LeafKind {
    Word(&'static str),
    Comma,
    Slot(Slot),
}

/// One place of a form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Leaf {
    pub(crate) kind: LeafKind,
    /// The words of the pattern that it belongs to.
    pub(crate) shown: Span,
}

#[derive(Clone, Debug)]
enum Step {
    Take(usize),
    Split(Vec<usize>),
    End,
}

/// A form, compiled.
#[derive(Debug)]
pub(crate) struct Machine {
    leaves: Vec<Leaf>,
    steps: Vec<Step>,
}

/// What a line is in its form.
#[derive(Debug)]
pub(crate) struct Matched<'f> {
    /// For each piece the leaf that takes it.
    pub(crate) taken: Vec<Option<&'f Leaf>>,
    /// All leaves that take the last piece.
    pub(crate) last: Vec<&'f Leaf>,
    /// What may stand next, in the order of the form.
    pub(crate) next: Vec<&'f Leaf>,
    /// Whether every piece fits and nothing is missing.
    #[cfg_attr(not(test), expect(dead_code, reason = "the test of the forms asks for it"))]
    pub(crate) whole: bool,
}

/// A way through the form: where it stands, and the leaves behind it.
#[derive(Clone, Copy)]
struct Way {
    step: usize,
    trail: Option<usize>,
}

impl Machine {
    /// Compiles a form of a statement.
    pub(crate) fn new(block: &str, word: &str, pattern: &'static str) -> Self {
        let mut machine = Self { leaves: Vec::new(), steps: Vec::new() };
        machine.node(&read(pattern), block, word, None);
        machine.steps.push(Step::End);
        machine
    }

    fn node(&mut self, node: &Node, block: &str, word: &str, outer: Option<Span>) {
        match node {
            Node::Word(text, at) => {
                let shown = outer.unwrap_or_else(|| span(*at, text.len()));
                self.leaf(LeafKind::Word(text), shown);
            }
            Node::Comma => self.leaf(LeafKind::Comma, outer.unwrap_or_default()),
            Node::Slot(text, at) => {
                let shown = outer.unwrap_or_else(|| span(*at, text.len()));
                match meaning(block, word, text) {
                    Some(Meaning::Slot(slot)) => self.leaf(LeafKind::Slot(slot), shown),
                    Some(Meaning::Form(form)) => self.node(&read(form), block, word, Some(shown)),
                    None => {}
                }
            }
            Node::Sequence(list) => {
                for node in list {
                    self.node(node, block, word, outer);
                }
            }
            Node::Either(list) => {
                let split = self.split();
                let mut starts = Vec::new();
                let mut ends = Vec::new();
                for node in list {
                    starts.push(self.steps.len());
                    self.node(node, block, word, outer);
                    ends.push(self.split());
                }
                let after = self.steps.len();
                self.set(split, starts);
                for end in ends {
                    self.set(end, vec![after]);
                }
            }
            Node::Maybe(inner) => {
                let split = self.split();
                self.node(inner, block, word, outer);
                let after = self.steps.len();
                self.set(split, vec![split + 1, after]);
            }
            Node::Any(inner) => {
                let split = self.split();
                self.node(inner, block, word, outer);
                let back = self.split();
                let after = self.steps.len();
                self.set(split, vec![split + 1, after]);
                self.set(back, vec![split]);
            }
            Node::List(inner) => {
                let start = self.steps.len();
                self.node(inner, block, word, outer);
                let split = self.split();
                self.leaf(LeafKind::Comma, outer.unwrap_or_default());
                let back = self.split();
                let after = self.steps.len();
                self.set(split, vec![split + 1, after]);
                self.set(back, vec![start]);
            }
        }
    }

    fn leaf(&mut self, kind: LeafKind, shown: Span) {
        self.steps.push(Step::Take(self.leaves.len()));
        self.leaves.push(Leaf { kind, shown });
    }

    fn split(&mut self) -> usize {
        self.steps.push(Step::Split(Vec::new()));
        self.steps.len() - 1
    }

    fn set(&mut self, step: usize, to: Vec<usize>) {
        if let Some(step) = self.steps.get_mut(step) {
            *step = Step::Split(to);
        }
    }

    /// All places of the form.
    pub(crate) fn leaves(&self) -> &[Leaf] {
        &self.leaves
    }

    /// Walks over the pieces of a line, without its first word when the form has one.
    pub(crate) fn walk(&self, source: &str, pieces: &[Piece]) -> Matched<'_> {
        // Each taken leaf with the one before it on its way, and the piece that it took.
        let mut trail: Vec<(Option<usize>, usize, usize)> = Vec::new();
        let mut ways = Vec::new();
        self.reach(Way { step: 0, trail: None }, &mut ways, &mut vec![false; self.steps.len()]);
        let mut whole = true;
        for (index, piece) in pieces.iter().enumerate() {
            let mut next = self.advance(source, piece, index, &ways, &mut trail);
            if next.is_empty() {
                whole = false;
                // Perhaps a word before it is missing.
                let mut further = Vec::new();
                let mut seen = vec![false; self.steps.len()];
                for way in &ways {
                    if let Some(Step::Take(leaf)) = self.steps.get(way.step)
                        && self.leaves.get(*leaf).is_some_and(|leaf| piece.may_lack(leaf.kind))
                    {
                        self.reach(Way { step: way.step + 1, ..*way }, &mut further, &mut seen);
                    }
                }
                next = self.advance(source, piece, index, &further, &mut trail);
            }
            if !next.is_empty() {
                ways = next;
            }
        }
        let ended = |way: &&Way| matches!(self.steps.get(way.step), Some(Step::End));
        let best = ways.iter().find(ended).or(ways.first());
        let mut taken = vec![None; pieces.len()];
        let mut at = best.and_then(|way| way.trail);
        while let Some((before, leaf, piece)) = at.and_then(|at| trail.get(at)).copied() {
            if let Some(slot) = taken.get_mut(piece) {
                *slot = self.leaves.get(leaf);
            }
            at = before;
        }
        let mut next: Vec<&Leaf> = Vec::new();
        for way in &ways {
            if let Some(Step::Take(leaf)) = self.steps.get(way.step)
                && let Some(leaf) = self.leaves.get(*leaf)
                && !next.iter().any(|known| known.kind == leaf.kind)
            {
                next.push(leaf);
            }
        }
        let of_last = trail.iter().filter(|(_, _, piece)| piece + 1 == pieces.len());
        let last = of_last.filter_map(|(_, leaf, _)| self.leaves.get(*leaf)).collect();
        let ends = ways.iter().any(|way| matches!(self.steps.get(way.step), Some(Step::End)));
        Matched { taken, last, next, whole: whole && ends }
    }

    /// The ways that take a piece. A word of the form goes before a name that is spelled like it.
    fn advance(
        &self,
        source: &str,
        piece: &Piece,
        index: usize,
        ways: &[Way],
        trail: &mut Vec<(Option<usize>, usize, usize)>,
    ) -> Vec<Way> {
        let mut out = Vec::new();
        let mut seen = vec![false; self.steps.len()];
        for words in [true, false] {
            for way in ways {
                let Some(Step::Take(leaf)) = self.steps.get(way.step) else { continue };
                let Some(found) = self.leaves.get(*leaf) else { continue };
                let is_word = matches!(found.kind, LeafKind::Word(_) | LeafKind::Comma);
                // A new name is not spelled like a word that may stand there, nor is a schedule
                // called `not`.
                let other = Slot::Refers(curtilage_model::Kind::Schedule);
                let is_name = matches!(found.kind, LeafKind::Slot(Slot::Declares(_)))
                    || found.kind == LeafKind::Slot(other);
                if is_name && !out.is_empty() {
                    continue;
                }
                if is_word == words && piece.fits(source, found.kind) {
                    trail.push((way.trail, *leaf, index));
                    let on = Way { step: way.step + 1, trail: Some(trail.len() - 1) };
                    self.reach(on, &mut out, &mut seen);
                }
            }
        }
        out
    }

    /// Follows splits until something has to be taken, or the end.
    fn reach(&self, way: Way, out: &mut Vec<Way>, seen: &mut [bool]) {
        let mut stack = vec![way.step];
        while let Some(step) = stack.pop() {
            match seen.get_mut(step) {
                Some(seen) if !*seen => *seen = true,
                _ => continue,
            }
            match self.steps.get(step) {
                Some(Step::Split(to)) => stack.extend(to.iter().rev()),
                Some(_) => out.push(Way { step, ..way }),
                None => {}
            }
        }
    }
}

impl Piece {
    /// Whether a leaf takes this piece.
    fn fits(&self, source: &str, leaf: LeafKind) -> bool {
        let text = self.span.of(source);
        match (self.kind, leaf) {
            (PieceKind::Word, LeafKind::Word(word)) => text == word,
            (PieceKind::Comma, LeafKind::Comma)
            | (PieceKind::Word, LeafKind::Slot(Slot::Declares(_) | Slot::Refers(_)))
            | (PieceKind::Word, LeafKind::Slot(Slot::Terminal(_) | Slot::TimeZone))
            | (PieceKind::Text, LeafKind::Slot(Slot::Text(_) | Slot::TimeZone))
            | (PieceKind::Date, LeafKind::Slot(Slot::Date))
            | (PieceKind::MonthDay, LeafKind::Slot(Slot::MonthDay))
            | (PieceKind::Clock, LeafKind::Slot(Slot::Clock))
            | (PieceKind::Number, LeafKind::Slot(Slot::Number | Slot::Quantity(_))) => true,
            (PieceKind::Word, LeafKind::Slot(Slot::Day)) => DAYS.contains(&text),
            (PieceKind::Quantity(found), LeafKind::Slot(Slot::Quantity(wanted))) => {
                found == Some(wanted)
            }
            _ => false,
        }
    }

    /// Whether a leaf before this piece may be missing. A value is missed only before a word.
    fn may_lack(&self, leaf: LeafKind) -> bool {
        !matches!(leaf, LeafKind::Comma) && self.kind != PieceKind::Comma
    }
}

/// The weekdays as they are written.
pub(crate) const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

fn span(at: usize, length: usize) -> Span {
    let start = u32::try_from(at).unwrap_or(0);
    Span::new(start, start + u32::try_from(length).unwrap_or(0))
}
