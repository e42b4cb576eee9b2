//! Every name that a file writes, with the thing that it stands for.

use crate::form::{Declared, LeafKind, Matched, Quoted, Slot};
use crate::line::{Line, lines};
use crate::names::{Names, item_kind};
use crate::piece::{Piece, PieceKind};
use crate::view::source;
use curtilage_model::{Kind, Model, Source, TerminalKind};
use curtilage_text::{Place, Span};

/// A name where it is written.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Mention<'a> {
    pub(crate) span: Span,
    pub(crate) text: &'a str,
    pub(crate) what: What<'a>,
    /// Whether this is where the name is given.
    pub(crate) declares: bool,
    /// The line on which it stands.
    pub(crate) line: Line<'a>,
}

/// What a name has to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum What<'a> {
    /// A thing, a part, a schedule.
    Thing(Kind),
    /// The tap of a cable, or the preset of a camera.
    Inside(Kind, &'a str),
    /// The terminal of a controller of the site.
    Terminal(&'a str),
    /// A terminal where its part declares it.
    OfPart(TerminalKind),
    /// A rule.
    Rule,
    /// A file.
    File(Quoted),
}

/// What a name stands for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// Where the name is given.
    pub at: Place,
    /// The name.
    pub name: String,
    /// The kind of thing in words, without the article.
    pub kind: &'static str,
    pub(crate) of: IdentityOf,
}

/// What kind of thing it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum IdentityOf {
    Thing(Kind),
    /// A terminal; whether its name is one of a numbered range.
    Terminal {
        ranged: bool,
    },
}

/// The mentions of one file, in order.
pub(crate) fn mentions(source: &Source) -> Vec<Mention<'_>> {
    let mut out = Vec::new();
    for line in lines(source) {
        of_line(source, line, &mut out);
    }
    out
}

/// The mentions of a name in one file. Lines that do not hold it are not walked over.
pub(crate) fn mentions_of<'a>(source: &'a Source, name: &str) -> Vec<Mention<'a>> {
    let mut out = Vec::new();
    for line in lines(source) {
        if source.text(line.statement.line()).contains(name) {
            of_line(source, line, &mut out);
        }
    }
    out.retain(|mention| mention.text == name);
    out
}

/// The mentions of one line.
pub(crate) fn of_line<'a>(source: &'a Source, line: Line<'a>, out: &mut Vec<Mention<'a>>) {
    let Some(form) = line.form(source) else { return };
    let pieces = line.pieces(source, form);
    let matched = form.machine.walk(&source.text, &pieces);
    of_walk(source, line, &pieces, &matched, out);
}

/// The mentions of a line that has been walked over.
pub(crate) fn of_walk<'a>(
    source: &'a Source,
    line: Line<'a>,
    pieces: &[Piece],
    matched: &Matched<'_>,
    out: &mut Vec<Mention<'a>>,
) {
    let mut last_name = "";
    for (piece, leaf) in pieces.iter().zip(&matched.taken) {
        let Some(leaf) = leaf else { continue };
        let LeafKind::Slot(slot) = leaf.kind else { continue };
        let text = source.text(piece.span);
        let mut push = |span: Span, what, declares| {
            out.push(Mention { span, text: source.text(span), what, declares, line });
        };
        match slot {
            Slot::Text(quoted @ (Quoted::File | Quoted::Holidays)) => {
                push(piece.span, What::File(quoted), false);
            }
            _ if piece.kind != PieceKind::Word => {}
            Slot::Declares(Declared::Terminal(kind)) => {
                push(piece.span, What::OfPart(kind), true);
            }
            Slot::Declares(Declared::Part) => {
                let kind = item_kind(source, line.statement).unwrap_or(Kind::Anything);
                push(piece.span, What::Thing(kind), true);
            }
            Slot::Declares(Declared::Thing(kind @ (Kind::Tap | Kind::Preset))) => {
                push(piece.span, What::Inside(kind, line.item_name(source)), true);
            }
            Slot::Declares(Declared::Thing(kind)) => push(piece.span, What::Thing(kind), true),
            Slot::Refers(Kind::Rule) => push(piece.span, What::Rule, false),
            Slot::Refers(Kind::Tap) => {
                push(piece.span, What::Inside(Kind::Tap, line.item_name(source)), false);
            }
            Slot::Refers(Kind::Preset) => {
                push(piece.span, What::Inside(Kind::Preset, last_name), false);
            }
            Slot::Refers(kind) if !has_terminals(kind) => {
                push(piece.span, What::Thing(kind), false);
            }
            Slot::Refers(_) | Slot::Terminal(_) => {
                let kind = match slot {
                    Slot::Refers(kind) => kind,
                    _ => Kind::Controller,
                };
                let (head, tail) = cut(text, piece.span);
                push(head, What::Thing(kind), false);
                if let Some(tail) = tail {
                    push(tail, What::Terminal(source.text(head)), false);
                }
            }
            _ => {}
        }
        last_name = text;
    }
}

/// Whether a name of this kind may have a dot and a terminal or a tap behind it.
pub(crate) fn has_terminals(kind: Kind) -> bool {
    matches!(kind, Kind::Source | Kind::ContactSource | Kind::Measurable)
}

/// Cuts `head.in1` at the dot that parts it: one that does not stand between two digits.
pub(crate) fn cut(text: &str, span: Span) -> (Span, Option<Span>) {
    let bytes = text.as_bytes();
    let digit = |at: Option<usize>| at.and_then(|at| bytes.get(at)).is_some_and(u8::is_ascii_digit);
    let dot = text
        .match_indices('.')
        .map(|(at, _)| at)
        .find(|at| !(digit(at.checked_sub(1)) && digit(Some(at + 1))));
    let Some(dot) = dot.and_then(|dot| u32::try_from(dot).ok()) else { return (span, None) };
    let middle = span.start + dot;
    (Span::new(span.start, middle), Some(Span::new(middle + 1, span.end)))
}

/// The mention that a cursor touches.
pub(crate) fn at<'a>(source: &'a Source, line: Line<'a>, offset: u32) -> Option<Mention<'a>> {
    let mut list = Vec::new();
    of_line(source, line, &mut list);
    // Of two that touch, the one that begins at the cursor.
    let found = list.iter().rev().find(|mention| mention.span.touches(offset)).copied();
    found.or_else(|| loose(source, line, offset))
}

/// A word that stands in no place of its form may still be the name of something.
fn loose<'a>(source: &'a Source, line: Line<'a>, offset: u32) -> Option<Mention<'a>> {
    let form = line.form(source)?;
    let pieces = line.pieces(source, form);
    let matched = form.machine.walk(&source.text, &pieces);
    let touched = |piece: &Piece| piece.kind == PieceKind::Word && piece.span.touches(offset);
    let (piece, _) =
        pieces.iter().zip(&matched.taken).find(|(piece, leaf)| leaf.is_none() && touched(piece))?;
    let (head, tail) = cut(source.text(piece.span), piece.span);
    let (span, what) = match tail {
        Some(tail) if tail.touches(offset) => (tail, What::Terminal(source.text(head))),
        _ => (head, What::Thing(Kind::Anything)),
    };
    Some(Mention { span, text: source.text(span), what, declares: false, line })
}

impl<'a> Mention<'a> {
    /// What the name stands for in a model; none when it is not known.
    pub(crate) fn identity(
        &self,
        model: &Model<'a>,
        names: &Names<'a>,
        file: curtilage_text::FileId,
    ) -> Option<Identity> {
        let thing = |at, kind: Kind| Identity {
            at,
            name: self.text.to_owned(),
            kind: kind.noun(),
            of: IdentityOf::Thing(kind),
        };
        if self.declares && !matches!(self.what, What::OfPart(_)) {
            let kind = match self.what {
                What::Thing(kind) | What::Inside(kind, _) => kind,
                _ => return None,
            };
            return Some(thing(Place::new(file, self.span), kind));
        }
        match self.what {
            What::Thing(kind) => {
                let found = names.find(kind, self.text)?;
                Some(thing(found.at, found.kind))
            }
            What::Inside(kind, of) => {
                let found = names.inside(kind, of, self.text)?;
                Some(thing(found.at, kind))
            }
            What::Terminal(of) => {
                if let Some(tap) = names.inside(Kind::Tap, of, self.text) {
                    return Some(thing(tap.at, Kind::Tap));
                }
                terminal(model, of, self.text)
            }
            What::OfPart(_) => of_part(source(model, file)?, self),
            What::Rule | What::File(_) => None,
        }
    }
}

/// A terminal of a controller of the site.
fn terminal(model: &Model<'_>, controller: &str, name: &str) -> Option<Identity> {
    let thing = model.controllers.iter().find(|thing| thing.name.text == controller)?;
    let part = thing.part?;
    let found = model.terminals(part).into_iter().find(|known| known.name == name)?;
    Some(Identity {
        at: Place::new(part.file, found.given),
        name: name.to_owned(),
        kind: found.kind.noun(),
        of: IdentityOf::Terminal { ranged: found.ranged },
    })
}

/// A terminal where its part declares it: the word is one end of a range, or the name itself.
fn of_part(source: &Source, mention: &Mention<'_>) -> Option<Identity> {
    let What::OfPart(kind) = mention.what else { return None };
    let atoms = &mention.line.statement.atoms;
    let at = atoms.iter().position(|atom| atom.span == mention.span)?;
    let is = |index: Option<usize>, word: &str| {
        index.and_then(|index| atoms.get(index)).is_some_and(|atom| source.text(atom.span) == word)
    };
    let (first, last) = if is(Some(at + 1), "to") {
        (Some(at), at.checked_add(2))
    } else if is(at.checked_sub(1), "to") {
        (at.checked_sub(2), Some(at))
    } else {
        (Some(at), Some(at))
    };
    let (first, last) = (atoms.get(first?)?, atoms.get(last?)?);
    Some(Identity {
        at: Place::new(source.file, first.span.to(last.span)),
        name: mention.text.to_owned(),
        kind: kind.noun(),
        of: IdentityOf::Terminal { ranged: first.span != last.span },
    })
}
