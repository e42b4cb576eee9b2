//! A cursor over the atoms of one statement, by which its form reads it.
//!
//! Every method that returns `None` has told a fault first; the form then gives the statement up,
//! so that a statement has at most one fault of this kind.

use crate::atom::{Atom, AtomKind, quantity};
use crate::fault::{Fault, FaultKind};
use crate::form::same;
use crate::tree::{Interval, Name, Path, Spanned};
use curtilage_text::Span;
use curtilage_units::{Dimension, Quantity};

/// The state of reading one statement.
pub(crate) struct Phrase<'a, 'f> {
    pub(crate) source: &'a str,
    atoms: &'a [Atom],
    at: usize,
    line: Span,
    faults: &'f mut Vec<Fault>,
}

impl<'a, 'f> Phrase<'a, 'f> {
    pub(crate) fn new(
        source: &'a str,
        atoms: &'a [Atom],
        line: Span,
        faults: &'f mut Vec<Fault>,
    ) -> Self {
        Self { source, atoms, at: 0, line, faults }
    }

    /// The span of the whole line.
    pub(crate) fn line(&self) -> Span {
        self.line
    }

    /// The span of the next atom; the end of the line when there is none.
    pub(crate) fn here(&self) -> Span {
        self.peek().map_or(Span::at(self.line.end), |atom| atom.span)
    }

    /// The span of what is left.
    pub(crate) fn rest(&self) -> Span {
        match (self.peek(), self.atoms.last()) {
            (Some(first), Some(last)) => first.span.to(last.span),
            _ => Span::at(self.line.end),
        }
    }

    pub(crate) fn done(&self) -> bool {
        self.at >= self.atoms.len()
    }

    fn peek(&self) -> Option<&'a Atom> {
        self.atoms.get(self.at)
    }

    fn next(&mut self) -> Option<&'a Atom> {
        let atom = self.atoms.get(self.at);
        self.at += 1;
        atom
    }

    pub(crate) fn text(&self, span: Span) -> &'a str {
        span.of(self.source)
    }

    pub(crate) fn fault(&mut self, kind: FaultKind, span: Span) {
        self.faults.push(Fault::new(kind, span));
    }

    /// Tells that the value at `span` cannot be, why, and what can be, as text to type.
    pub(crate) fn bad<T>(
        &mut self,
        span: Span,
        why: impl Into<String>,
        help: impl Into<String>,
    ) -> Option<T> {
        self.fault(FaultKind::BadValue { why: why.into(), help: help.into() }, span);
        None
    }

    /// Tells that something else had to stand here.
    pub(crate) fn expected<T>(&mut self, what: impl Into<String>) -> Option<T> {
        let (span, found) = match self.peek() {
            Some(atom) => (atom.span, Some(self.text(atom.span).to_owned())),
            None => {
                let end = self.atoms.get(self.at.wrapping_sub(1)).map_or(self.line, |a| a.span);
                (Span::at(end.end), None)
            }
        };
        self.fault(FaultKind::Expected { what: what.into(), found }, span);
        None
    }

    /// The next atom's word, if it is one.
    pub(crate) fn word(&self) -> Option<&'a str> {
        let atom = self.peek()?;
        (matches!(atom.kind, AtomKind::Word)).then(|| self.text(atom.span))
    }

    /// The word after the next one.
    pub(crate) fn word_after(&self) -> Option<&'a str> {
        let atom = self.atoms.get(self.at + 1)?;
        (matches!(atom.kind, AtomKind::Word)).then(|| self.text(atom.span))
    }

    /// Whether the atom so many behind the next one is this word.
    #[inline]
    fn is(&self, behind: usize, word: &str) -> bool {
        let letters = self.atoms.get(self.at + behind).and_then(|atom| atom.word_in(self.source));
        letters.is_some_and(|letters| same(word, letters))
    }

    /// Takes the next word when it is `word`.
    #[inline]
    pub(crate) fn eat(&mut self, word: &str) -> bool {
        let found = self.is(0, word);
        if found {
            self.at += 1;
        }
        found
    }

    /// Takes two words when they are these.
    pub(crate) fn eat_two(&mut self, first: &str, second: &str) -> bool {
        let found = self.is(0, first) && self.is(1, second);
        if found {
            self.at += 2;
        }
        found
    }

    /// Takes `word`, which has to stand here.
    pub(crate) fn need(&mut self, word: &'static str) -> Option<Span> {
        let span = self.peek().map(|atom| atom.span);
        if self.eat(word) { span } else { self.expected(format!("`{word}`")) }
    }

    /// Takes one of a few words, each standing for a value.
    pub(crate) fn one_of<T: Copy>(&mut self, words: &[(&str, T)]) -> Option<Spanned<T>> {
        let atom = self.peek();
        let letters = atom.and_then(|atom| atom.word_in(self.source));
        let found = letters.and_then(|word| words.iter().find(|(known, _)| same(known, word)));
        match (found, atom) {
            (Some((_, value)), Some(atom)) => {
                self.at += 1;
                Some(Spanned { value: *value, span: atom.span })
            }
            _ => {
                let list: Vec<_> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
                self.expected(one_of_list(&list))
            }
        }
    }

    /// Like [`Self::one_of`], but nothing is told when no such word stands here.
    pub(crate) fn perhaps_one_of<T: Copy>(&mut self, words: &[(&str, T)]) -> Option<Spanned<T>> {
        let word = self.peek()?.word_in(self.source)?;
        if words.iter().any(|(known, _)| same(known, word)) { self.one_of(words) } else { None }
    }

    /// A name: a word without a dot that parts it.
    pub(crate) fn name(&mut self, what: &str) -> Option<Name> {
        self.name_of(|| what.to_owned())
    }

    /// The same; what had to stand here is worded when it does not.
    pub(crate) fn name_of(&mut self, what: impl FnOnce() -> String) -> Option<Name> {
        match self.peek().map(|atom| (atom.word_in(self.source), atom.span)) {
            Some((Some(word), span)) => {
                if parting_dot(word).is_some() {
                    return self.expected(format!("{}, without a dot", what()));
                }
                self.at += 1;
                Some(Name { span })
            }
            _ => self.expected(what()),
        }
    }

    /// A name, or a thing's name and one of its terminals or taps parted by a dot.
    pub(crate) fn path(&mut self, what: &str) -> Option<Path> {
        match self.peek().map(|atom| (atom.word_in(self.source), atom.span)) {
            Some((Some(word), span)) => {
                self.at += 1;
                let Some(dot) = parting_dot(word) else {
                    return Some(Path { head: Name { span }, tail: None });
                };
                let dot = span.start + u32::try_from(dot).unwrap_or(0);
                let head = Name { span: Span::new(span.start, dot) };
                let tail = Some(Name { span: Span::new(dot + 1, span.end) });
                Some(Path { head, tail })
            }
            _ => self.expected(what),
        }
    }

    /// A text in quotes; the span includes them.
    pub(crate) fn quoted(&mut self, what: &str) -> Option<Span> {
        match self.peek() {
            Some(atom) if matches!(atom.kind, AtomKind::Text) => {
                self.at += 1;
                Some(atom.span)
            }
            _ => self.expected(what),
        }
    }

    /// A text in quotes, when one stands here.
    pub(crate) fn perhaps_quoted(&mut self) -> Option<Span> {
        self.is_quoted().then(|| self.next().map(|atom| atom.span)).flatten()
    }

    pub(crate) fn is_quoted(&self) -> bool {
        self.peek().is_some_and(|atom| matches!(atom.kind, AtomKind::Text))
    }

    pub(crate) fn is_date(&self) -> bool {
        self.peek().is_some_and(|atom| matches!(atom.kind, AtomKind::Date))
    }

    /// Whether a number without a unit stands here.
    pub(crate) fn is_number(&self) -> bool {
        self.peek().is_some_and(|atom| matches!(atom.kind, AtomKind::Number))
    }

    /// The atom of a kind that the caller names, with its text.
    pub(crate) fn take(&mut self, kind: &AtomKind, what: &str) -> Option<(Span, &'a str)> {
        match self.peek() {
            Some(atom) if atom.kind == *kind => {
                self.at += 1;
                Some((atom.span, self.text(atom.span)))
            }
            _ => self.expected(what),
        }
    }

    /// The atoms of a group in parentheses, when one stands here.
    pub(crate) fn perhaps_group(&mut self) -> Option<(&'a [Atom], Span)> {
        let atom = self.peek()?;
        let AtomKind::Group(inner) = &atom.kind else { return None };
        self.at += 1;
        Some((inner, atom.span))
    }

    /// Reads the atoms of a group with a cursor of their own; they must be used up.
    pub(crate) fn within<T>(
        &mut self,
        atoms: &'a [Atom],
        span: Span,
        read: impl FnOnce(&mut Phrase<'a, '_>) -> Option<T>,
    ) -> Option<T> {
        let mut inner = Phrase::new(self.source, atoms, span, self.faults);
        let value = read(&mut inner)?;
        if inner.done() { Some(value) } else { inner.expected("`)`") }
    }

    /// A comma, when one stands here.
    pub(crate) fn comma(&mut self) -> bool {
        let found = self.peek().is_some_and(|atom| matches!(atom.kind, AtomKind::Comma));
        if found {
            self.at += 1;
        }
        found
    }

    /// One or more values with commas between them.
    pub(crate) fn list<T, L: Default + Extend<T>>(
        &mut self,
        mut read: impl FnMut(&mut Self) -> Option<T>,
    ) -> Option<L> {
        let mut list = L::default();
        list.extend([read(self)?]);
        while self.comma() {
            list.extend([read(self)?]);
        }
        Some(list)
    }

    /// A whole number without a unit, from `least` up.
    pub(crate) fn count(&mut self, least: u32, what: &str) -> Option<Spanned<u32>> {
        let (span, text) = self.take(&AtomKind::Number, what)?;
        match text.parse::<u32>() {
            Ok(value) if value >= least => Some(Spanned { value, span }),
            _ => self.bad(
                span,
                format!("a whole number from {least} up is wanted"),
                format!("write a number, such as `{}`", least.max(1)),
            ),
        }
    }

    /// A plain number without a unit.
    pub(crate) fn factor(&mut self, what: &str) -> Option<Spanned<f64>> {
        let (span, text) = self.take(&AtomKind::Number, what)?;
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() => Some(Spanned { value, span }),
            _ => self.bad(span, "the number is too large", "write a number, such as `1.25`"),
        }
    }

    /// Whether a quantity of this dimension stands here, or a range of which the first number
    /// leaves its unit to the second.
    pub(crate) fn is_quantity(&self, dimension: Dimension) -> bool {
        let range = self.is_number() && self.word_after() == Some("to");
        let atom = self.atoms.get(if range { self.at + 2 } else { self.at });
        let unit = atom.and_then(|atom| atom.unit(self.source));
        unit.is_some_and(|unit| unit.dimension == dimension)
    }

    /// A quantity of this dimension, in its base unit, without a tolerance.
    pub(crate) fn quantity(&mut self, wanted: Dimension) -> Option<Spanned<f64>> {
        let (value, tolerance) = self.quantity_and_tolerance(wanted)?;
        match tolerance {
            Some(tolerance) => {
                let alone = format!("write `{}` alone", self.text(value.span));
                self.bad(tolerance.span, "no tolerance is taken here", alone)
            }
            None => Some(value),
        }
    }

    /// A quantity above zero. `what` has it.
    pub(crate) fn above_zero(&mut self, wanted: Dimension, what: &str) -> Option<Spanned<f64>> {
        let value = self.positive(wanted)?;
        if value.value == 0.0 {
            let why = format!("{what} has {} above zero", wanted.words());
            return self.bad(value.span, why, such_as(wanted));
        }
        Some(value)
    }

    /// A quantity that is not below zero.
    pub(crate) fn positive(&mut self, wanted: Dimension) -> Option<Spanned<f64>> {
        let value = self.quantity(wanted)?;
        if value.value < 0.0 {
            let why = format!("{} below zero cannot be", wanted.words());
            return self.bad(value.span, why, such_as(wanted));
        }
        Some(value)
    }

    /// A time in whole milliseconds.
    pub(crate) fn time(&mut self) -> Option<Spanned<u64>> {
        let time = self.positive(Dimension::Time)?;
        self.whole(time.span, &[time.value])?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "checked to be whole, positive and below 2^53"
        )]
        Some(Spanned { value: time.value as u64, span: time.span })
    }

    /// Takes times, in milliseconds and not below zero, only where they are whole.
    pub(crate) fn whole(&mut self, span: Span, times: &[f64]) -> Option<()> {
        const HELP: &str = "write a time, such as `500 ms`, `2 s` or `1 h 30 min`";
        if times.iter().any(|time| *time >= 9e15) {
            return self.bad(span, "the time is too long", HELP);
        }
        if times.iter().any(|time| time.fract() != 0.0) {
            return self.bad(span, "a time is in whole milliseconds", HELP);
        }
        Some(())
    }

    /// A quantity of this dimension and its tolerance, a ratio.
    pub(crate) fn quantity_and_tolerance(
        &mut self,
        wanted: Dimension,
    ) -> Option<(Spanned<f64>, Option<Spanned<f64>>)> {
        let Some(atom) = self.peek() else {
            return self.expected(format!("{}, such as `{}`", wanted.words(), wanted.example()));
        };
        match atom.kind {
            AtomKind::Quantity { tolerance } => {
                let span = atom.without_tolerance(self.source).unwrap_or(atom.span);
                let value = self.measure(self.text(span), span, wanted)?;
                let tolerance = match tolerance {
                    None => None,
                    Some(span) => {
                        let value = self.measure(self.text(span), span, Dimension::Ratio)?;
                        if !(0.0..1.0).contains(&value) {
                            let why = "a tolerance lies between 0 % and 100 %";
                            return self.bad(span, why, "write a tolerance, such as `+-1 %`");
                        }
                        Some(Spanned { value, span })
                    }
                };
                self.at += 1;
                Some((Spanned { value, span }, tolerance))
            }
            AtomKind::Number => self.number_alone(atom, wanted),
            _ => self.expected(format!("{}, such as `{}`", wanted.words(), wanted.example())),
        }
    }

    /// A number stands where a quantity is wanted: the unit is missing, or not known.
    fn number_alone<T>(&mut self, atom: &Atom, wanted: Dimension) -> Option<T> {
        let next = self.atoms.get(self.at + 1).filter(|next| matches!(next.kind, AtomKind::Word));
        let next = next.map(|next| (self.text(next.span), next.span));
        match next {
            Some((word, span)) if !matches!(word, "to" | "at" | "of" | "over" | "for") => {
                let nearest = curtilage_units::nearest(word).map(|unit| unit.text);
                let word = word.to_owned();
                self.fault(FaultKind::UnknownUnit { word, nearest, wanted }, atom.span.to(span));
            }
            _ => self.fault(FaultKind::NoUnit { wanted }, atom.span),
        }
        None
    }

    fn measure(&mut self, text: &str, span: Span, wanted: Dimension) -> Option<f64> {
        match quantity(text) {
            Ok(Quantity { value, dimension })
                if dimension == wanted && value.abs() > most(dimension) =>
            {
                self.bad(span, "the number is too large", such_as(wanted))
            }
            Ok(Quantity { value, dimension }) if dimension == wanted => Some(value),
            Ok(Quantity { dimension, .. }) => {
                self.fault(FaultKind::WrongDimension { wanted, found: dimension }, span);
                None
            }
            Err(curtilage_units::ParseError::TooLarge) => {
                self.bad(span, "the number is too large", such_as(wanted))
            }
            Err(_) => self.bad(span, "only a time is written in several units", such_as(wanted)),
        }
    }

    /// `A` or `A to B`; a first number without a unit takes that of the second (`-5 to 40 degC`).
    pub(crate) fn interval(&mut self, wanted: Dimension) -> Option<Spanned<Interval>> {
        let first = if self.is_number() && self.word_after() == Some("to") {
            let (span, text) = self.take(&AtomKind::Number, "a number")?;
            let unit = self.atoms.get(self.at + 1).and_then(|atom| atom.unit(self.source));
            let value = unit.and_then(|unit| curtilage_units::quantity(text, unit).ok());
            match value {
                Some(Quantity { value, dimension }) if dimension == wanted => {
                    Spanned { value, span }
                }
                _ => {
                    self.at += 1;
                    self.quantity(wanted)?;
                    return self.bad(span, "the number lacks its unit", such_as(wanted));
                }
            }
        } else {
            self.quantity(wanted)?
        };
        if !self.eat("to") {
            let interval = Interval { low: first.value, high: first.value };
            return Some(Spanned { value: interval, span: first.span });
        }
        let last = self.quantity(wanted)?;
        let span = first.span.to(last.span);
        if last.value < first.value {
            let (low, high) = (self.text(last.span), self.text(first.span));
            // A first number without a unit has that of the second.
            let unit = low.trim_start_matches(|c: char| !c.is_alphabetic() && c != '%');
            let unit = if high.ends_with(unit) { String::new() } else { format!(" {unit}") };
            let help = format!("write `{low} to {high}{unit}`");
            return self.bad(span, "the range runs backwards", help);
        }
        Some(Spanned { value: Interval { low: first.value, high: last.value }, span })
    }
}

/// The place of the dot that parts a path: one that does not stand between two digits, as those in
/// `six-core-0.22` do.
fn parting_dot(word: &[u8]) -> Option<usize> {
    let digit = |at: Option<usize>| at.and_then(|at| word.get(at)).is_some_and(u8::is_ascii_digit);
    let parts = |at: usize| !(digit(at.checked_sub(1)) && digit(Some(at + 1)));
    word.iter().enumerate().find(|(at, byte)| **byte == b'.' && parts(*at)).map(|(at, _)| at)
}

/// The word that stands for `value` in a table that [`Phrase::one_of`] reads.
pub(crate) fn word_for<T: Copy + PartialEq>(words: &[(&'static str, T)], value: T) -> &'static str {
    words.iter().find(|(_, known)| *known == value).map_or("", |(word, _)| word)
}

/// "`a`, `b` or `c`"
pub(crate) fn one_of_list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

/// The largest magnitude of a quantity, in its base unit: no analysis works with more.
fn most(dimension: Dimension) -> f64 {
    match dimension {
        Dimension::Data | Dimension::BitRate => 1e21,
        // How long a time may be is said where times are read.
        Dimension::Time => f64::INFINITY,
        _ => 1e15,
    }
}

/// A quantity of a dimension, to type in place of one that cannot be.
fn such_as(wanted: Dimension) -> String {
    format!("write {}, such as `{}`", wanted.words(), wanted.example())
}
