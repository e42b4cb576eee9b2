//! Semantic tokens: what each word is, by its place in the form of its line and by what it names.

use crate::View;
use crate::form::{Form, LeafKind, Matched, Quoted, Slot};
use crate::line::{Line, lines};
use crate::mention::{Mention, What, of_walk};
use crate::names::{Names, Scope, scope_of};
use crate::piece::{Piece, PieceKind};
use curtilage_model::{Kind, Source};
use curtilage_syntax::Kind as Lexed;
use curtilage_text::Span;

/// What a word is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TokenKind {
    /// From `#` to the line's end.
    Comment,
    /// The first word of a statement.
    Keyword,
    /// A word of a statement's form: `to`, `over`, `closing`.
    Word,
    /// A number.
    Number,
    /// A unit.
    Unit,
    /// A day, a date, a time of day.
    Time,
    /// A text in quotes, a time zone.
    Text,
    /// The path of a file.
    Path,
    /// The site.
    Site,
    /// A schedule.
    Schedule,
    /// A part.
    Part,
    /// A supply or a cable.
    Power,
    /// A controller or a relay.
    Controller,
    /// A zone.
    Zone,
    /// An output.
    Output,
    /// A camera.
    Camera,
    /// An area.
    Area,
    /// People.
    People,
    /// A response.
    Response,
    /// A policy.
    Policy,
    /// A terminal, a tap or a preset.
    Terminal,
    /// A rule.
    Rule,
}

impl TokenKind {
    /// All kinds, in the order of their numbers.
    pub const ALL: [Self; 22] = [
        Self::Comment,
        Self::Keyword,
        Self::Word,
        Self::Number,
        Self::Unit,
        Self::Time,
        Self::Text,
        Self::Path,
        Self::Site,
        Self::Schedule,
        Self::Part,
        Self::Power,
        Self::Controller,
        Self::Zone,
        Self::Output,
        Self::Camera,
        Self::Area,
        Self::People,
        Self::Response,
        Self::Policy,
        Self::Terminal,
        Self::Rule,
    ];
}

/// More about a word.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Modifiers {
    /// The name is given here.
    pub declares: bool,
    /// What is named stands in another file.
    pub shared: bool,
    /// The language gives it: `always`, `never`.
    pub given: bool,
    /// Nothing of that name is known.
    pub unknown: bool,
}

/// A word and what it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// Where.
    pub span: Span,
    /// What.
    pub kind: TokenKind,
    /// More.
    pub modifiers: Modifiers,
}

/// The tokens of a file, or those of the lines that touch a range; in order, none over another.
#[must_use]
pub fn tokens(view: View<'_>, range: Option<Span>) -> Vec<Token> {
    let Some(source) = view.source() else { return Vec::new() };
    let names = Names::of(view.model());
    let inside =
        |span: Span| range.is_none_or(|range| span.start <= range.end && range.start <= span.end);
    let mut out = Vec::new();
    lexed(source, &inside, &mut out);
    let mut mentioned = Vec::new();
    for line in lines(source).filter(|line| inside(line.statement.line())) {
        let Some(form) = line.form(source) else { continue };
        let pieces = line.pieces(source, form);
        let matched = form.machine.walk(&source.text, &pieces);
        of_form(line, form, &pieces, &matched, &mut out);
        mentioned.clear();
        of_walk(source, line, &pieces, &matched, &mut mentioned);
        out.extend(mentioned.iter().filter_map(|mention| named(view, &names, mention)));
    }
    out.sort_by_key(|token| (token.span.start, std::cmp::Reverse(token.kind)));
    let mut end = 0;
    out.retain(|token| {
        let fits = token.span.start >= end && !token.span.is_empty();
        if fits {
            end = token.span.end;
        }
        fits
    });
    out
}

fn plain(span: Span, kind: TokenKind) -> Token {
    Token { span, kind, modifiers: Modifiers::default() }
}

/// What the lexer alone tells.
fn lexed(source: &Source, inside: &impl Fn(Span) -> bool, out: &mut Vec<Token>) {
    let tokens = source.tokens();
    let mut after_number = false;
    for (index, token) in (0u32..).zip(tokens.list()) {
        let span = tokens.span(index);
        let kind = match token.kind {
            Lexed::Comment => Some(TokenKind::Comment),
            Lexed::Number => Some(TokenKind::Number),
            Lexed::Date | Lexed::MonthDay | Lexed::Clock => Some(TokenKind::Time),
            Lexed::Text => Some(TokenKind::Text),
            Lexed::Word if after_number => {
                curtilage_units::lookup(source.text(span)).map(|_| TokenKind::Unit)
            }
            _ => None,
        };
        after_number = token.kind == Lexed::Number || (after_number && token.kind == Lexed::Space);
        if let Some(kind) = kind.filter(|_| inside(span)) {
            out.push(plain(span, kind));
        }
    }
}

/// The words of a line that its form has.
fn of_form(
    line: Line<'_>,
    form: &Form,
    pieces: &[Piece],
    matched: &Matched<'_>,
    out: &mut Vec<Token>,
) {
    if !form.word.is_empty()
        && let Some(first) = line.statement.atoms.first()
    {
        out.push(plain(first.span, TokenKind::Keyword));
    }
    for (piece, leaf) in pieces.iter().zip(&matched.taken) {
        let kind = match leaf.map(|leaf| leaf.kind) {
            Some(LeafKind::Word(_)) => TokenKind::Word,
            Some(LeafKind::Slot(Slot::Day)) => TokenKind::Time,
            Some(LeafKind::Slot(Slot::TimeZone)) => TokenKind::Text,
            Some(LeafKind::Slot(Slot::Text(Quoted::File | Quoted::Holidays))) => TokenKind::Path,
            _ => continue,
        };
        if matches!(piece.kind, PieceKind::Word | PieceKind::Text) {
            out.push(plain(piece.span, kind));
        }
    }
}

fn named(view: View<'_>, names: &Names<'_>, mention: &Mention<'_>) -> Option<Token> {
    let known = match mention.what {
        What::Thing(kind) => names.find(kind, mention.text),
        What::Inside(kind, of) => names.inside(kind, of, mention.text),
        _ => None,
    };
    let given =
        mention.what == What::Thing(Kind::Schedule) && matches!(mention.text, "always" | "never");
    let (kind, unknown) = match mention.what {
        What::File(_) => return None,
        What::Rule => (TokenKind::Rule, curtilage_rules::rule(mention.text).is_none()),
        What::OfPart(_) | What::Inside(..) => (TokenKind::Terminal, false),
        What::Terminal(of) => {
            let tap = names.inside(Kind::Tap, of, mention.text).is_some();
            // Whether a controller has it is told by its rule; here one look-up has to do.
            (TokenKind::Terminal, !tap && names.get(Scope::Things, of).is_none())
        }
        What::Thing(wanted) => {
            let kind = known.map_or(wanted, |known| known.kind);
            (token_kind(kind), known.is_none() && !given && !mention.declares)
        }
    };
    let shared = known.is_some_and(|known| known.at.file != view.file);
    let modifiers = Modifiers { declares: mention.declares, shared, given, unknown };
    Some(Token { span: mention.span, kind, modifiers })
}

fn token_kind(kind: Kind) -> TokenKind {
    match kind {
        Kind::Site => TokenKind::Site,
        Kind::Schedule => TokenKind::Schedule,
        Kind::Supply | Kind::Cable | Kind::Source | Kind::CameraOrSupply => TokenKind::Power,
        Kind::Controller | Kind::Relay | Kind::ContactSource | Kind::Measurable => {
            TokenKind::Controller
        }
        Kind::Zone | Kind::Actor | Kind::Anything => TokenKind::Zone,
        Kind::Output => TokenKind::Output,
        Kind::Camera => TokenKind::Camera,
        Kind::Area | Kind::AreaOrZone => TokenKind::Area,
        Kind::People => TokenKind::People,
        Kind::Response => TokenKind::Response,
        Kind::Policy => TokenKind::Policy,
        Kind::Tap | Kind::Preset => TokenKind::Terminal,
        Kind::Rule => TokenKind::Rule,
        _ if scope_of(kind) == Scope::Parts => TokenKind::Part,
        _ => TokenKind::Word,
    }
}
