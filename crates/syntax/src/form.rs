//! Forms: the statements that a block takes, as tables. Each entry is a word, what follows it, what
//! it says, and the function that reads it, so that the parser, completion, the reference and the
//! editors' word lists all come from one place.

use crate::atom::{Atom, AtomKind};
use crate::fault::{Fault, FaultKind};
use crate::nearest::nearest;
use crate::phrase::Phrase;
use crate::piece::{Body, line_of};
use crate::tree;
use curtilage_text::Span;

/// Reads the rest of a statement into the thing that its block describes.
pub(crate) type Read<T> = fn(&mut T, &mut Phrase<'_, '_>) -> Option<()>;

/// One statement that a block takes.
pub(crate) struct Form<T: 'static> {
    /// Its first word.
    pub(crate) word: &'static str,
    /// What follows, in the notation of the reference.
    pub(crate) pattern: &'static str,
    /// What it says, in one sentence.
    pub(crate) about: &'static str,
    /// Whether it may stand more than once.
    pub(crate) many: bool,
    pub(crate) read: Read<T>,
}

/// A statement that stands at most once.
pub(crate) const fn once<T>(
    word: &'static str,
    pattern: &'static str,
    about: &'static str,
    read: Read<T>,
) -> Form<T> {
    Form { word, pattern, about, many: false, read }
}

/// A statement that may stand any number of times.
pub(crate) const fn many<T>(
    word: &'static str,
    pattern: &'static str,
    about: &'static str,
    read: Read<T>,
) -> Form<T> {
    Form { word, pattern, about, many: true, read }
}

/// All statements of one kind of block.
pub(crate) struct BlockForm<T: 'static> {
    /// The thing in words: "a zone".
    pub(crate) thing: &'static str,
    pub(crate) forms: &'static [Form<T>],
    /// How a line that begins with none of the words is read: a schedule's days, a reading.
    pub(crate) other: Option<(Read<T>, &'static str, &'static str)>,
}

impl<T> BlockForm<T> {
    /// Reads all statements of `block` into `target`.
    pub(crate) fn read(
        &self,
        source: &str,
        block: Option<Body<'_>>,
        target: &mut T,
        faults: &mut Vec<Fault>,
    ) {
        let Some(block) = block else { return };
        // The forms that were read, a bit each.
        let mut seen = 0_u64;
        for line in block.lines() {
            self.line(source, block, line, target, &mut seen, faults);
        }
    }

    fn line(
        &self,
        source: &str,
        block: Body<'_>,
        (atoms, inner): (&[Atom], Option<Span>),
        target: &mut T,
        seen: &mut u64,
        faults: &mut Vec<Fault>,
    ) {
        let (Some(first), Some(line)) = (atoms.first(), line_of(atoms)) else { return };
        let word = first.word_in(source).unwrap_or_default();
        let index = self.forms.iter().position(|form| same(form.word, word));
        let form = index.and_then(|index| self.forms.get(index));
        let (read, word, pattern, skip) = match (form, self.other) {
            (Some(form), _) => (form.read, form.word, form.pattern, 1),
            (None, Some((read, pattern, _))) => (read, "", pattern, 0),
            (None, None) => return faults.push(self.unknown(source, first)),
        };
        if let (Some(index), Some(form)) = (index, form.filter(|form| !form.many)) {
            let bit = 1 << index;
            if *seen & bit != 0 {
                let first = first_line(source, block, form.word);
                faults.push(Fault::new(FaultKind::SaidTwice { word: form.word, first }, line));
                return;
            }
            *seen |= bit;
        }
        if let Some(span) = inner {
            let kind = FaultKind::Block { expected: false, thing: "a line inside a block" };
            faults.push(Fault::new(kind, span));
        }
        let mut phrase = Phrase::new(source, atoms.get(skip..).unwrap_or_default(), line, faults);
        if read(target, &mut phrase).is_some() {
            finish(&mut phrase, word, pattern);
        } else if form.is_none() {
            self.misspelt(source, first, faults);
        }
    }

    /// Where a line was read as one that begins with a value, and none begins it: tells the word that was
    /// likely meant.
    #[cold]
    fn misspelt(&self, source: &str, first: &Atom, faults: &mut [Fault]) {
        let told = faults.last_mut().filter(|fault| {
            fault.span == first.span && matches!(fault.kind, FaultKind::Expected { .. })
        });
        let unknown = self.unknown(source, first);
        let is_near = matches!(unknown.kind, FaultKind::UnknownStatement { nearest: Some(_), .. });
        if let Some(told) = told.filter(|_| is_near) {
            *told = unknown;
        }
    }

    /// Tells a line that no form reads.
    #[cold]
    fn unknown(&self, source: &str, first: &Atom) -> Fault {
        let written = first.span.of(source);
        let word = if matches!(first.kind, AtomKind::Word) { written } else { "" };
        let known = self.forms.iter().map(|form| form.word);
        let near = nearest(word, known.clone());
        let nearest = near.and_then(|near| known.into_iter().find(|word| *word == near));
        let word = written.to_owned();
        let kind = FaultKind::UnknownStatement { block: self.thing, word, nearest };
        Fault::new(kind, first.span)
    }

    pub(crate) fn list(&self, out: &mut Vec<Vocabulary>) {
        let block = self.thing;
        out.extend(self.forms.iter().map(|form| Vocabulary {
            block,
            word: form.word,
            pattern: form.pattern,
            about: form.about,
            many: form.many,
        }));
        if let Some((_, pattern, about)) = self.other {
            out.push(Vocabulary { block, word: "", pattern, about, many: true });
        }
    }
}

/// The first line of a block that begins with a word.
fn first_line(source: &str, block: Body<'_>, word: &str) -> Span {
    let begins = |atoms: &&[Atom]| {
        atoms.first().and_then(|first| first.word_in(source)) == Some(word.as_bytes())
    };
    let mut lines = block.lines().map(|(atoms, _)| atoms);
    lines.find(begins).and_then(line_of).unwrap_or(block.span)
}

/// Whether a written word is a known one; most differ in their length or their first letter.
#[inline]
pub(crate) fn same(known: &str, word: &[u8]) -> bool {
    known.len() == word.len()
        && known.as_bytes().first() == word.first()
        && known.as_bytes() == word
}

/// Tells words that a statement does not take.
pub(crate) fn finish(phrase: &mut Phrase<'_, '_>, word: &'static str, pattern: &'static str) {
    if !phrase.done() {
        let span = phrase.rest();
        phrase.fault(FaultKind::Surplus { word, pattern }, span);
    }
}

/// One entry of the language's vocabulary.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Vocabulary {
    /// The block in words ("a zone"), or "a file" for items.
    pub block: &'static str,
    /// The first word; empty for lines that begin with a value.
    pub word: &'static str,
    /// What follows.
    pub pattern: &'static str,
    /// What it says.
    pub about: &'static str,
    /// Whether it may stand more than once in its block.
    pub many: bool,
}

/// Every statement of the language, by block, in the order of the reference.
#[must_use]
pub fn vocabulary() -> Vec<Vocabulary> {
    let mut out: Vec<Vocabulary> = tree::ITEM_WORDS
        .iter()
        .map(|item| Vocabulary {
            block: "a file",
            word: item.word,
            pattern: item.pattern,
            about: item.about,
            many: !matches!(item.word, "site" | "policy"),
        })
        .collect();
    tree::site::FORM.list(&mut out);
    tree::schedule::FORM.list(&mut out);
    tree::part::vocabulary(&mut out);
    tree::supply::FORM.list(&mut out);
    tree::controller::FORM.list(&mut out);
    tree::relay::FORM.list(&mut out);
    tree::cable::FORM.list(&mut out);
    tree::zone::FORM.list(&mut out);
    tree::output::FORM.list(&mut out);
    tree::camera::FORM.list(&mut out);
    tree::recording::FORM.list(&mut out);
    tree::response::FORM.list(&mut out);
    tree::rehearsal::FORM.list(&mut out);
    tree::measured::FORM.list(&mut out);
    tree::policy::FORM.list(&mut out);
    out
}

#[cfg(test)]
mod tests {
    use super::vocabulary;

    /// The statements of a block that were read are kept as the bits of a `u64`.
    #[test]
    fn no_block_has_more_statements_than_bits() {
        let all = vocabulary();
        for entry in &all {
            let many = all.iter().filter(|other| other.block == entry.block).count();
            assert!(many <= 64, "{}", entry.block);
        }
    }
}
