//! `allow`: an exception to a rule, with its reason and its last day.

use super::{Date, Name, Spanned};
use crate::phrase::Phrase;
use curtilage_text::Span;

/// An exception.
#[derive(Clone, Copy, Debug)]
pub struct Allow {
    /// The rule.
    pub rule: Name,
    /// The thing that it is for; none is the whole site.
    pub on: Option<Name>,
    /// The last day on which it holds.
    pub until: Spanned<Date>,
    /// Why, quotes included.
    pub because: Span,
    /// The whole statement.
    pub line: Span,
}

pub(crate) const PATTERN: &str = "RULE [on THING] until DATE because \"REASON\"";

pub(crate) fn read(p: &mut Phrase<'_, '_>) -> Option<Allow> {
    let rule = p.name("the name of a rule")?;
    let on = if p.eat("on") { Some(p.name("a name")?) } else { None };
    p.need("until")?;
    let until = p.date()?;
    p.need("because")?;
    let because = p.quoted("the reason, in quotes")?;
    if because.end - because.start <= 2 {
        let help = "write the reason, such as `because \"door closer on order\"`";
        return p.bad(because, "an exception needs its reason", help);
    }
    Some(Allow { rule, on, until, because, line: p.line() })
}
