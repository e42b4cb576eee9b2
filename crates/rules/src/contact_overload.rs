//! A contact that switches more current than it is rated for.

use crate::rule::{Family, Findings, Rule};
use crate::words::{amps, amps_apart, and_list, numbers_apart, volts};
use curtilage_circuit::contact::{Covered, RatingRow, Verdict};
use curtilage_diagnostic::{Input, Level, Step};
use curtilage_facts::{Facts, LoadOf, Switched, rows};
use curtilage_model::ContactAt;
use curtilage_syntax::tree::wiring::Side;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "contact-overload",
    family: Family::Contact,
    level: Level::Error,
    about: "a contact switches more current than it is rated for",
    page: include_str!("contact_overload.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for switched in &facts.switched {
        let Some(Verdict::Exceeds { row, by, factor }) = switched.verdict else { continue };
        let Some(rating) = switched.ratings.get(row) else { continue };
        let inrush = by == Covered::Inrush;
        let current = if inrush { switched.making_together() } else { switched.running };
        // A category makes more than it carries.
        let row = rows(std::slice::from_ref(rating)).unwrap_or_default();
        let makes = row.first().and_then(RatingRow::making_limit).filter(|_| inrush);
        let most = makes.unwrap_or(rating.current.value);
        let names = names(facts, switched);
        let verb = if names.len() == 1 { "draws" } else { "draw" };
        let contact = facts.model.text(switched.contact.at);
        let (drawn, limit) = amps_apart(current, most);
        let headline = format!(
            "{} {verb} {drawn}{} through `{contact}`, {} times {}",
            and_list(names.iter().copied()),
            if inrush { " at switching on" } else { "" },
            numbers_apart(factor, 1.0).0,
            match most > rating.current.value {
                true => format!("the {limit} that its {} rating makes", rating.load.word()),
                false => format!("its rating of {limit}"),
            },
        );
        let label = format!("carries {}", amps(current));
        let rated = format!(
            "rated {} at {} {} {}",
            amps(rating.current.value),
            volts(rating.voltage.value),
            rating.kind.word(),
            rating.load.word(),
        );
        let rating_at = Place::new(switched.ratings_file, rating.span);
        let mut finding = RULE
            .finds(headline, switched.contact.at, label)
            .with_other(rating_at, rated)
            .with_why("a contact that carries more than its rating burns or welds: what it drives never starts, or never stops")
            .with_help(help(facts, switched))
            .with_working([sum(facts, switched, inrush)]);
        for load in &switched.loads {
            let peak = switched.making(load);
            let (drawn, when) = match inrush && peak > load.running.amps {
                true => (peak, " at switching on"),
                false => (load.running.amps, ""),
            };
            let each = amps(drawn / f64::from(load.count));
            let name = load_name(facts, load.of);
            let text = match load.count {
                1 => format!("`{name}` draws {each}{when}"),
                count => format!("`{name}` draws {each}{when}, {count} of them"),
            };
            finding = finding.with_other(load.sheet, text);
        }
        for name in names {
            finding = finding.with_about(name);
        }
        out.push(finding);
    }
}

/// The names of what hangs on a contact, each once.
pub(crate) fn names<'a>(facts: &Facts<'_, 'a>, switched: &Switched<'a>) -> Vec<&'a str> {
    let mut names = Vec::new();
    for load in &switched.loads {
        let name = match load.of {
            LoadOf::Output(id) => facts.model.output(id).map(|output| output.name.text),
            LoadOf::Coil(id) => facts.model.relay(id).map(|relay| relay.name.text),
        };
        names.extend(name.filter(|name| !names.contains(name)));
    }
    names
}

/// A relay in between, from the parts in scope, as text to type.
pub(crate) fn help(facts: &Facts<'_, '_>, switched: &Switched<'_>) -> String {
    let model = facts.model;
    let Some(proposal) = &switched.proposal else {
        return "let a relay in between carry it; no relay part in scope has a coil that a supply here feeds and this contact carries, and a contact that carries this load".to_owned();
    };
    let supply = model.supply(proposal.supply).map_or("SUPPLY", |supply| supply.name.text);
    let first = names(facts, switched).first().copied().unwrap_or("LOAD");
    let mut lines = vec!["let a relay in between carry it:".to_owned()];
    let (mut through, mut side) = (model.text(switched.contact.at).to_owned(), proposal.coil);
    let mut number = 1;
    for part in &proposal.relays {
        // Named after what hangs on it: no other contact's relay is, so that none is proposed twice.
        let name = loop {
            let ending = if number == 1 { String::new() } else { number.to_string() };
            let name = format!("{first}-relay{ending}");
            number += 1;
            if !model.names_thing(&name) {
                break name;
            }
        };
        lines.push(format!("relay {name} is {} {{", model.part_name(*part)));
        lines.push(format!("    through  {through} {}", side.word()));
        lines.push(format!("    fed      from {supply}"));
        lines.push("}".to_owned());
        (through, side) = (name, Side::Closing);
    }
    lines.push(format!("and switch the load `through {through} {}`", proposal.load.word()));
    lines.join("\n")
}

fn load_name<'a>(facts: &Facts<'_, 'a>, load: LoadOf) -> &'a str {
    match load {
        LoadOf::Output(id) => facts.model.output(id).map_or("", |output| output.name.text),
        LoadOf::Coil(id) => facts.model.relay(id).map_or("", |relay| relay.name.text),
    }
}

/// The sum of the loads on a contact.
pub(crate) fn sum(facts: &Facts<'_, '_>, switched: &Switched<'_>, inrush: bool) -> Step {
    let inputs = switched.loads.iter().map(|load| {
        let name = load_name(facts, load.of);
        let value = if inrush { switched.making(load) } else { load.running.amps };
        Input {
            name: format!("`{name}` at {}", volts(load.running.volts)),
            value: match load.count {
                1 => amps(value),
                count => format!("{count} x {} = {}", amps(value / f64::from(count)), amps(value)),
            },
            at: Some(load.sheet),
        }
    });
    let total = if inrush { switched.making_together() } else { switched.running };
    let whose = match switched.contact.of {
        ContactAt::Terminal(_) => "a controller's relay",
        ContactAt::Relay(_) => "a relay of its own",
    };
    Step {
        what: format!(
            "current through `{}`, the contact of {whose}",
            facts.model.text(switched.contact.at)
        ),
        formula: "I = sum of all that hangs on the contact".to_owned(),
        inputs: inputs.collect(),
        result: amps(total),
        source: "arithmetic".to_owned(),
    }
}
