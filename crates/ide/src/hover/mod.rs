//! What is shown when a cursor rests on a word: what it stands for, its figures, how they came about.

mod power;
mod schedule;
mod tests_of;
mod things;
mod wiring;
mod words;
mod working;
mod zone;

pub(crate) use wiring::users;

use crate::View;
use crate::figures::{Thing, thing};
use crate::line::Cursor;
use crate::mention::{self, Identity, IdentityOf, Mention, What};
use crate::names::{Names, item_at};
use crate::view::source;
use curtilage_model::{Kind, Model, ScheduleRef};
use curtilage_text::{Place, Span};

/// What is shown at a word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover {
    /// The words that it is about.
    pub span: Span,
    /// Markdown.
    pub markdown: String,
}

/// What is shown when the cursor rests at an offset.
#[must_use]
pub fn hover(view: View<'_>, offset: u32) -> Option<Hover> {
    let source = view.source()?;
    let line = Cursor::at(source, offset)?.line?;
    if let Some(mention) = mention::at(source, line, offset)
        && let Some(markdown) = of_mention(view, &mention)
    {
        return Some(Hover { span: mention.span, markdown });
    }
    let mut hover = words::hover(source, line, offset)?;
    // The figure that stands at the end of the line is told at its first word too.
    if line.statement.atoms.first().is_some_and(|first| first.span == hover.span) {
        for inlay in crate::inlays(view, line.statement.line()) {
            hover.markdown.push_str(&format!("\n- **{}**: {}\n", inlay.text, inlay.about));
        }
    }
    if let Some(known) = tests_of::hover(view, line) {
        hover.markdown = format!("{known}\n---\n\n{}", hover.markdown);
    }
    Some(hover)
}

fn of_mention<'a>(view: View<'a>, mention: &Mention<'a>) -> Option<String> {
    match mention.what {
        What::Rule => return words::rule(mention.text),
        What::File(_) => return words::file(view, mention.text),
        What::Thing(Kind::Schedule) if matches!(mention.text, "always" | "never") => {
            let always = mention.text == "always";
            let which = if always { ScheduleRef::Always } else { ScheduleRef::Never };
            return Some(schedule::fixed(view.facts(), which));
        }
        _ => {}
    }
    let model = view.model();
    let names = Names::of(model);
    let identity = mention.identity(model, &names, view.file)?;
    of_identity(view, &identity, &names, mention)
}

fn of_identity(
    view: View<'_>,
    identity: &Identity,
    names: &Names<'_>,
    mention: &Mention<'_>,
) -> Option<String> {
    let facts = view.facts();
    if let IdentityOf::Terminal { .. } = identity.of {
        let controller = match mention.what {
            What::Terminal(of) => Some(of),
            _ => None,
        };
        return wiring::terminal(facts, identity, controller);
    }
    Some(match thing(view.model(), identity.at) {
        Some(Thing::Zone(id)) => zone::zone(facts, id),
        Some(Thing::Output(id)) => power::output(facts, id),
        Some(Thing::Schedule(id)) => schedule::schedule(facts, id),
        Some(Thing::Part(index)) => things::part(facts, index)?,
        Some(Thing::Supply(id)) => power::supply(facts, id),
        Some(Thing::Controller(id)) => wiring::controller(facts, id),
        Some(Thing::Relay(id)) => wiring::relay(facts, id),
        Some(Thing::Cable(id)) => wiring::cable(facts, id),
        Some(Thing::Camera(id)) => things::camera(facts, id),
        Some(Thing::Response(index)) => things::response(facts, index)?,
        Some(Thing::Site) => things::site(facts)?,
        Some(Thing::Policy) => things::policy(facts)?,
        None => plain(view, identity, names)?,
    })
}

/// A thing of which the model says no more: an area, people, a tap, a preset, or one whose line
/// cannot be read.
fn plain(view: View<'_>, identity: &Identity, names: &Names<'_>) -> Option<String> {
    let known = names.list.iter().find(|known| known.at == identity.at)?;
    let mut out = Page::new(identity.kind, &identity.name, known.title);
    match identity.of {
        IdentityOf::Thing(Kind::Area) => things::area(view.facts(), &identity.name, &mut out),
        IdentityOf::Thing(Kind::People) => things::people(view.facts(), &identity.name, &mut out),
        IdentityOf::Thing(Kind::Tap) => wiring::tap(view.facts(), identity, &mut out),
        _ => {
            let source = source(view.model(), identity.at.file)?;
            let item = item_at(source, identity.at.span)?;
            out.code(source.text(item.span));
        }
    }
    Some(out.done())
}

/// A page of Markdown: a headline, facts as a list, tables, and the working at the end.
pub(crate) struct Page {
    text: String,
    working: Vec<curtilage_diagnostic::Step>,
}

impl Page {
    fn new(kind: &str, name: &str, title: Option<&str>) -> Self {
        let mut text = format!("**{kind}** `{name}`");
        if let Some(title) = title {
            text.push_str(": ");
            text.push_str(&escaped(&letters(title)));
        }
        text.push_str("\n\n");
        Self { text, working: Vec::new() }
    }

    /// One fact.
    fn say(&mut self, line: impl AsRef<str>) {
        self.text.push_str("- ");
        self.text.push_str(line.as_ref());
        self.text.push('\n');
    }

    /// A fact below another.
    fn under(&mut self, line: impl AsRef<str>) {
        self.text.push_str("  - ");
        self.text.push_str(line.as_ref());
        self.text.push('\n');
    }

    fn table(&mut self, head: &[&str], rows: &[Vec<String>]) {
        if rows.is_empty() {
            return;
        }
        self.text.push_str(&format!(
            "\n| {} |\n|{}\n",
            head.join(" | "),
            "---|".repeat(head.len())
        ));
        for row in rows {
            self.text.push_str(&format!("| {} |\n", row.join(" | ")));
        }
        self.text.push('\n');
    }

    fn code(&mut self, text: &str) {
        self.text.push_str(&format!("\n```site\n{text}\n```\n"));
    }

    fn drawing(&mut self, text: &str) {
        self.text.push_str(&format!("\n```text\n{text}```\n"));
    }

    fn working(&mut self, steps: Vec<curtilage_diagnostic::Step>) {
        self.working.extend(steps);
    }

    fn done(mut self) -> String {
        working::write(&self.working, &mut self.text);
        let end = self.text.trim_end().len();
        self.text.truncate(end);
        self.text.push('\n');
        self.text
    }
}

/// A title without its quotes.
pub(crate) fn title<'a>(model: &Model<'a>, name: Place, title: Option<Span>) -> Option<&'a str> {
    let text = model.text(Place::new(name.file, title?));
    Some(crate::navigate::inside(text))
}

/// What the inside of quotes says: `\"` is a quotation mark and `\\` a backslash.
pub(crate) fn letters(quoted: &str) -> String {
    let mut out = String::with_capacity(quoted.len());
    let mut rest = quoted.chars().peekable();
    while let Some(character) = rest.next() {
        let meant = match character {
            '\\' => rest.next_if(|next| matches!(next, '"' | '\\')),
            _ => None,
        };
        out.push(meant.unwrap_or(character));
    }
    out
}

/// A text as Markdown shows it, letter for letter.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if matches!(character, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '&') {
            out.push('\\');
        }
        out.push(character);
    }
    out
}
