//! A statement that is missing, as far as the site knows it: names that there are stand in it. What
//! only a sheet, the place or a choice can say is left open, so that it is told where it stands until
//! somebody has said it; a figure has its unit. An action has no tab stops, and a figure that was made
//! up would stand as if it were known.

use super::List;
use super::fill::{usual_time, wanted};
use crate::Snippet;
use crate::form::{Form, Node, Slot, meaning_of};
use curtilage_model::{Kind, TerminalKind};
use curtilage_units::Dimension;

/// A statement, and whether something is left open in it.
pub(crate) struct Said {
    pub(crate) text: String,
    pub(crate) open: bool,
}

impl List<'_> {
    /// A statement; none where it needs a thing and there is none.
    pub(super) fn said_so_far(&self, form: &'static Form) -> Option<Said> {
        let mut out = Open { text: Snippet::default(), open: false };
        match form.word {
            // It may be one figure, but a place is seldom always as warm.
            "ambient" => {
                out.open = true;
                out.text.raw("to degC");
            }
            // A unit alone would be taken for the name of a part.
            "store" => out.open = true,
            _ => self.write(form, &form.node, &mut out)?,
        }
        // Two blanks behind the first word, as in a block of one statement.
        let text = format!("{}  {}", form.word, out.text.plain()).trim_end().to_owned();
        Some(Said { text, open: out.open })
    }

    fn write(&self, form: &'static Form, node: &Node, out: &mut Open) -> Option<()> {
        match node {
            Node::Word(word, _) => out.word(word),
            Node::Comma => out.text.raw(","),
            // What it is when nothing is said, in words: `closing`.
            Node::Maybe(inner) if wanted(form) && inner.choice().is_some() => {
                inner.choice().iter().flatten().take(1).for_each(|word| out.word(word));
            }
            Node::Maybe(inner) if wanted(form) && !inner.begins_with("and") => {
                let mut more = out.clone();
                if self.write(form, inner, &mut more).is_some() {
                    *out = more;
                }
            }
            Node::Maybe(_) | Node::Any(_) => {}
            Node::List(inner) => self.write(form, inner, out)?,
            Node::Sequence(list) => {
                list.iter().try_for_each(|node| self.write(form, node, out))?;
            }
            Node::Either(_) if node.choice().is_some() => out.open = true,
            Node::Either(list) => {
                let ways = list.iter().find_map(|node| {
                    let mut more = out.clone();
                    self.write(form, node, &mut more).map(|()| more)
                });
                *out = ways?;
            }
            Node::Slot(text, _) => match meaning_of(form, text) {
                Some(Ok(slot)) => self.write_slot(form, slot, out)?,
                Some(Err(node)) => self.write(form, &node, out)?,
                None => out.open = true,
            },
        }
        Some(())
    }

    fn write_slot(&self, form: &Form, slot: Slot, out: &mut Open) -> Option<()> {
        match slot {
            Slot::Quantity(dimension) => {
                let example = match dimension {
                    Dimension::Time => usual_time(form.word),
                    _ => dimension.example(),
                };
                out.word(example.rsplit(' ').next().unwrap_or_default());
                out.open = true;
            }
            Slot::Terminal(kind) => out.word(&self.free_one(kind)?),
            Slot::Refers(Kind::ContactSource) => out.word(&self.free_one(TerminalKind::Relay)?),
            Slot::Refers(Kind::Source) => out.word(&self.known(Kind::Supply)?),
            Slot::Refers(Kind::CablePart) if form.word == "fed" => out.word(&self.known_feed()?),
            Slot::Refers(Kind::Schedule) => match self.schedules().as_slice() {
                [] => out.word("always"),
                [only] => out.word(only),
                _ => out.open = true,
            },
            Slot::Refers(Kind::Rule | Kind::Tap | Kind::Preset) => out.open = true,
            Slot::Refers(kind) => out.word(&self.known(kind)?),
            Slot::Number
            | Slot::Date
            | Slot::MonthDay
            | Slot::Clock
            | Slot::Day
            | Slot::TimeZone
            | Slot::Text(_)
            | Slot::Declares(_) => out.open = true,
        }
        Some(())
    }

    /// The schedules in scope, the one that most zones are armed by first.
    pub(super) fn schedules(&self) -> Vec<String> {
        let mut all: Vec<String> =
            self.names().all(Kind::Schedule).map(|known| known.name.to_owned()).collect();
        let most = self.known(Kind::Schedule);
        all.sort_by_key(|name| Some(name) != most.as_ref());
        all
    }
}

/// What is written so far.
#[derive(Clone)]
struct Open {
    text: Snippet,
    open: bool,
}

impl Open {
    fn word(&mut self, word: &str) {
        self.text.blank();
        self.text.raw(word);
    }
}
