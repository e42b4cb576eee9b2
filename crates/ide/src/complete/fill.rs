//! The least that a statement needs, with its slots as tab stops, made from its form.

use super::List;
use crate::Snippet;
use crate::form::{Form, Node, Slot, meaning_of};
use curtilage_model::{Kind, TerminalKind};
use curtilage_units::Dimension;
use std::collections::HashMap;

/// The name that stands most often in a list; of two the first.
fn most_used<'a>(used: &[&'a str]) -> Option<&'a str> {
    let mut counts: HashMap<&str, usize> = HashMap::new();
    used.iter().for_each(|name| *counts.entry(name).or_default() += 1);
    used.iter().rev().max_by_key(|name| counts.get(*name)).copied()
}

/// Whether a statement is seldom written without what it may leave out.
pub(super) fn wanted(form: &Form) -> bool {
    matches!(form.word, "wired" | "tamper" | "fed" | "close" | "open" | "record" | "through")
        && form.block != "a policy"
}

/// What most zones are for, and what makes no zone register without end, stands first.
pub(super) fn likelier_first(mut words: Vec<String>) -> Vec<String> {
    words.sort_by_key(|word| !matches!(word.as_str(), "intrusion" | "once an activation"));
    words
}

/// A time of the usual size for a statement.
pub(super) fn usual_time(word: &str) -> &'static str {
    match word {
        "settle" | "settles" => "300 ms",
        "lockout" | "after" => "5 s",
        "entry" | "exit" | "confirmed" | "record" => "30 s",
        "pulse" => "1 s",
        "close" | "open" | "sound" => "3 min",
        "runs" | "sounder-run" | "alarm-time" => "15 min",
        "standby" => "12 h",
        "recharge" => "72 h",
        "retention" | "store" => "30 d",
        "holds" => "20 h",
        _ => "10 s",
    }
}

impl List<'_> {
    /// A statement with the slots that it has to have.
    pub(super) fn filled(&self, form: &'static Form) -> Snippet {
        let mut snippet = Snippet::default();
        self.line(form, &mut snippet);
        if form.block == "a file" && form.takes_block() {
            snippet.raw(" {\n    ");
            snippet.end();
            snippet.raw("\n}");
        } else {
            snippet.end();
        }
        snippet
    }

    /// The line of a statement.
    pub(super) fn line(&self, form: &'static Form, out: &mut Snippet) {
        out.raw(form.word);
        if form.word == "ambient" {
            // It may be one figure, but a place is seldom always as warm: the range shows both ends.
            out.raw(" ");
            out.stop("5");
            out.raw(" to ");
            out.stop("35 degC");
            return;
        }
        self.fill(form, &form.node, out);
    }

    fn fill(&self, form: &'static Form, node: &Node, out: &mut Snippet) {
        match node {
            Node::Word(word, _) => {
                out.blank();
                out.raw(word);
            }
            Node::Comma => out.raw(","),
            Node::Maybe(inner) if wanted(form) && !inner.begins_with("and") => {
                self.fill(form, inner, out);
            }
            Node::Maybe(_) | Node::Any(_) => {}
            Node::List(inner) => self.fill(form, inner, out),
            Node::Sequence(list) => {
                for node in list {
                    self.fill(form, node, out);
                }
            }
            Node::Either(list) => {
                if let Some(words) = node.choice().map(likelier_first) {
                    out.blank();
                    let words: Vec<&str> = words.iter().map(String::as_str).collect();
                    out.choice(&words);
                } else if let Some(first) = list.first() {
                    self.fill(form, first, out);
                }
            }
            Node::Slot(text, _) => {
                out.blank();
                match meaning_of(form, text) {
                    Some(Ok(slot)) => {
                        let example = match slot {
                            Slot::Quantity(Dimension::Time) => usual_time(form.word).to_owned(),
                            Slot::Refers(Kind::CablePart) if form.word == "fed" => {
                                self.usual_feed()
                            }
                            // A span of time has a length.
                            Slot::Clock if out.plain().ends_with("to ") => "18:00".to_owned(),
                            _ => self.example(slot, text),
                        };
                        let quoted = matches!(slot, Slot::Text(_));
                        if quoted {
                            out.raw("\"");
                        }
                        out.stop(&example);
                        if quoted {
                            out.raw("\"");
                        }
                    }
                    Some(Err(node)) => self.fill(form, &node, out),
                    None => out.stop(text),
                }
            }
        }
    }

    /// What stands in a slot until somebody types over it: the first that fits, if there is one.
    pub(super) fn example(&self, slot: Slot, text: &str) -> String {
        let first = |kind: Kind| self.usual(kind, &text.to_lowercase());
        match slot {
            Slot::Quantity(dimension) => dimension.example().to_owned(),
            Slot::Number => "2".to_owned(),
            Slot::Date => "2026-12-25".to_owned(),
            Slot::MonthDay => "12-25".to_owned(),
            Slot::Clock => "07:30".to_owned(),
            Slot::Day => "Mon".to_owned(),
            Slot::TimeZone => "Europe/Lisbon".to_owned(),
            Slot::Text(_) | Slot::Declares(_) => text.to_lowercase(),
            Slot::Refers(Kind::ContactSource) => self.free(TerminalKind::Relay),
            Slot::Refers(Kind::Source) => first(Kind::Supply),
            Slot::Refers(Kind::Rule | Kind::Tap | Kind::Preset) => text.to_lowercase(),
            Slot::Refers(Kind::Schedule) => self.usual(Kind::Schedule, "always"),
            Slot::Refers(kind) => first(kind),
            Slot::Terminal(kind) => self.free(kind),
        }
    }

    /// The name of a kind that the site uses most, or else the first in scope.
    pub(super) fn usual(&self, kind: Kind, otherwise: &str) -> String {
        self.known(kind).unwrap_or_else(|| otherwise.to_owned())
    }

    /// The same; none where there is none in scope.
    pub(super) fn known(&self, kind: Kind) -> Option<String> {
        let model = self.view.model();
        let part = |id: curtilage_model::PartId| model.part_name(id);
        let used: Vec<&str> = match kind {
            Kind::SensorPart => {
                model.zones.iter().filter_map(|zone| Some(part(zone.sensor?.id))).collect()
            }
            Kind::CablePart => {
                let runs = model.zones.iter().filter_map(|zone| zone.input?.run?.cable);
                runs.map(|cable| part(cable.id)).collect()
            }
            Kind::LoadPart => {
                let loads = model.outputs.iter().flat_map(|output| output.loads.iter().flatten());
                loads.map(|(_, load)| part(load.id)).collect()
            }
            Kind::Schedule => {
                let armed = model.zones.iter().filter_map(|zone| zone.armed);
                armed.map(|(armed, _)| model.schedule_name(armed)).collect()
            }
            _ => Vec::new(),
        };
        let first = || self.names().all(kind).next().map(|known| known.name);
        most_used(&used).or_else(first).map(str::to_owned)
    }

    /// The cable part that feeds most of what is fed, or else the first in scope.
    pub(super) fn usual_feed(&self) -> String {
        self.known_feed().unwrap_or_else(|| "cable-part".to_owned())
    }

    /// The same; none where there is none in scope.
    pub(super) fn known_feed(&self) -> Option<String> {
        let model = self.view.model();
        let outputs = model.outputs.iter().filter_map(|output| output.fed);
        let fed = outputs.chain(model.controllers.iter().filter_map(|thing| thing.fed));
        let cables = fed.filter_map(|fed| fed.run?.cable);
        let used: Vec<&str> = cables.map(|cable| model.part_name(cable.id)).collect();
        most_used(&used).map(str::to_owned).or_else(|| self.known(Kind::CablePart))
    }

    /// The first free terminal of a kind, or what it could be called.
    pub(super) fn free(&self, kind: TerminalKind) -> String {
        self.free_one(kind).unwrap_or_else(|| format!("head.{}1", kind.noun()))
    }

    /// The first free terminal of a kind.
    pub(super) fn free_one(&self, kind: TerminalKind) -> Option<String> {
        let model = self.view.model();
        for (id, controller) in model.controllers_by_id() {
            let Some(part) = controller.part else { continue };
            let found = model.terminals(part).into_iter().find(|offered| {
                offered.kind == kind && crate::hover::users(model, id, &offered.name).is_empty()
            });
            if let Some(found) = found {
                return Some(format!("{}.{}", controller.name.text, found.name));
            }
        }
        None
    }
}
