//! Names by kind, with what is known of each.

use super::{CompletionKind, List};
use crate::figures::{Thing, item_text, of_name, sheet, thing};
use crate::line::{Expected, first_word};
use crate::names::{Declaration, Scope, scope_of};
use curtilage_model::{Kind, TerminalKind};

impl<'a> List<'a> {
    /// The names that fit where one of a kind is wanted. A list does not offer a name twice.
    pub(super) fn named(&mut self, wanted: Kind, expected: &Expected) {
        match wanted {
            Kind::Rule => return self.rules(),
            Kind::Tap => return self.inside(Kind::Tap, self.item_name(), expected),
            Kind::Preset => {
                let camera = expected.pieces.first().map(|piece| self.source.text(piece.span));
                return self.inside(Kind::Preset, camera.unwrap_or(""), expected);
            }
            Kind::ContactSource => self.terminals(TerminalKind::Relay, false, expected),
            Kind::Measurable => self.measured_terminals(),
            Kind::Schedule => {
                self.push(CompletionKind::Schedule, "always", "168 h a week", "");
                self.push(CompletionKind::Schedule, "never", "0 min a week", "");
            }
            _ => {}
        }
        let said: Vec<&str> =
            expected.pieces.iter().map(|piece| self.source.text(piece.span)).collect();
        let own = self.item_name();
        let circles = match expected.form.word {
            "schedule" => self.resting_on(own),
            _ => Vec::new(),
        };
        let all: Vec<Declaration<'a>> = self.names().all(wanted).copied().collect();
        for known in all {
            // A thing is not made of itself, and a list names each once.
            if said.contains(&known.name)
                || (known.name == own && wanted != Kind::Anything)
                || circles.contains(&known.name)
            {
                continue;
            }
            let alone = !matches!(
                (wanted, known.kind),
                (Kind::Source | Kind::ContactSource, Kind::Controller)
                    | (Kind::Source, Kind::Cable)
            );
            if alone && self.name_fits(&known, expected) {
                self.name(&known);
            }
        }
        if wanted == Kind::Source {
            self.terminals(TerminalKind::Outlet, true, expected);
            self.taps(expected);
        }
    }

    /// The schedules of this file that are made of one, through others too.
    fn resting_on(&self, name: &'a str) -> Vec<&'a str> {
        let mut out: Vec<&str> = Vec::new();
        let mut todo = vec![name];
        while let Some(name) = todo.pop() {
            for item in self.source.statements() {
                let of = crate::line::name_of(self.source, item);
                let made =
                    item.atoms.iter().skip(2).any(|atom| self.source.text(atom.span) == name);
                if first_word(self.source, item) == "schedule" && made && !out.contains(&of) {
                    out.push(of);
                    todo.push(of);
                }
            }
        }
        out
    }

    /// A name, or one that is numbered when something has it.
    pub(super) fn fresh(&self, name: &str) -> String {
        let taken = |name: &str| self.names().list.iter().any(|known| known.name == name);
        let numbered = (2..).map(|number| format!("{name}-{number}"));
        let mut all = std::iter::once(name.to_owned()).chain(numbered);
        all.find(|name| !taken(name)).unwrap_or_default()
    }

    pub(super) fn item_name(&self) -> &'a str {
        let item = self.cursor.line.map(|line| line.item).or(self.cursor.item);
        item.map_or("", |item| crate::line::name_of(self.source, item))
    }

    fn name(&mut self, known: &Declaration<'a>) {
        let figures = match thing(self.view.model(), known.at) {
            // A list has a line each: the sheet is quick, the rest of the figures are at hand.
            Some(Thing::Part(index)) => sheet(self.view.model(), index),
            Some(_) => of_name(self.view, known.at),
            None => None,
        };
        let kind = match scope_of(known.kind) {
            Scope::Parts => CompletionKind::Part,
            Scope::Schedules => CompletionKind::Schedule,
            _ => CompletionKind::Name,
        };
        let detail = match figures {
            Some(figures) if kind != CompletionKind::Name => figures,
            Some(figures) => format!("{}: {figures}", known.kind.noun()),
            None => known.kind.noun().to_owned(),
        };
        let mut documentation = title(known);
        if kind == CompletionKind::Part
            && let Some(text) = item_text(self.view.model(), known.at)
        {
            documentation.push_str(&format!("\n\n```site\n{text}\n```\n"));
        }
        self.push(kind, known.name, detail, documentation.trim_start());
    }

    fn inside(&mut self, kind: Kind, of: &str, expected: &Expected) {
        let said =
            |name: &str| expected.pieces.iter().any(|piece| self.source.text(piece.span) == name);
        let all = self.names().list.iter();
        let all = all.filter(|known| known.kind == kind && known.of == Some(of));
        // A cable is written from its start: a tap lies behind one that stands above it.
        let above = |known: &&Declaration<'_>| {
            kind != Kind::Tap
                || self
                    .cursor
                    .line
                    .is_none_or(|line| known.at.span.start < line.statement.span.start)
        };
        let all = all.filter(|known| !said(known.name)).filter(above).copied();
        for known in all.collect::<Vec<_>>() {
            self.push(CompletionKind::Name, known.name, kind.noun(), title(&known));
        }
    }

    fn rules(&mut self) {
        for rule in curtilage_rules::RULES {
            let detail = format!("{}, {}", rule.family.word(), rule.level.word());
            self.push(CompletionKind::Rule, rule.name, detail, rule.about);
        }
    }
}

/// The title of a thing in Markdown.
fn title(known: &Declaration<'_>) -> String {
    known
        .title
        .map_or_else(String::new, |title| crate::hover::escaped(&crate::hover::letters(title)))
}
