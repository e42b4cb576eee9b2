//! A bare coil on direct current behind a contact.

use crate::rule::{Family, Findings, Rule};
use curtilage_circuit::contact::LoadKind;
use curtilage_diagnostic::Level;
use curtilage_facts::{Facts, LoadOf, could_be};
use curtilage_model::RelayId;
use curtilage_syntax::tree::{CurrentKind, part};

pub(crate) static RULE: Rule = Rule {
    name: "inductive-unsuppressed",
    family: Family::Contact,
    level: Level::Warning,
    about: "a contact breaks the current of a coil that has no suppression",
    page: include_str!("inductive_unsuppressed.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for switched in &facts.switched {
        let mut told: Vec<LoadOf> = Vec::new();
        for load in &switched.loads {
            let bare = load.nature == Some(LoadKind::Inductive) && load.kind == CurrentKind::Dc;
            if !bare || told.contains(&load.of) {
                continue;
            }
            told.push(load.of);
            let contact = facts.model.text(load.at);
            // What cannot be read may say that there is a diode.
            if facts.doubt.holds(load.at) || facts.doubt.holds(load.sheet) {
                continue;
            }
            let (name, help) = match load.of {
                LoadOf::Output(id) => {
                    let name = facts.model.output(id).map_or("", |output| output.name.text);
                    (name, format!("fit a diode across it, and say so in `{name}`: `suppressed`"))
                }
                LoadOf::Coil(id) => {
                    let relay = facts.model.relay(id);
                    let name = relay.map_or("", |relay| relay.name.text);
                    let own = relay.and_then(|relay| relay.part).map(|part| part.sheet);
                    let other = own.and_then(|own| with_diode(facts, id, own));
                    (
                        name,
                        match other {
                            Some(part) => format!("a relay with a diode: `relay {name} is {part}`"),
                            None => "a relay whose part says `suppressed`".to_owned(),
                        },
                    )
                }
            };
            out.push(
                RULE.finds(
                    format!("`{contact}` breaks the current of `{name}`, a coil without suppression"),
                    load.at,
                    "breaks the current of a bare coil",
                )
                .with_other(load.sheet, "this coil has no diode")
                .with_why("the coil answers with a voltage spike of hundreds of volts: the contact erodes and welds, and inputs near it see alarms that are none")
                .with_help(help)
                .with_help("a diode makes the release slower: on a lock or a relay that must let go fast use a varistor or a diode with a Zener diode")
                .with_about(name),
            );
        }
    }
}

/// A relay part in scope with a suppressed coil for the same voltage and contacts that serve.
fn with_diode<'a>(facts: &Facts<'_, 'a>, id: RelayId, own: &part::Relay) -> Option<&'a str> {
    let volts = own.coil?.works?.value;
    let least = |sheet: &part::Relay, low: f64| sheet.pulls_in.map_or(low, |it| it.value.max(low));
    let needs = least(own, volts.low);
    let own_contacts = own.contacts?.value;
    let fits = |sheet: &part::Relay| {
        let works = sheet.coil.and_then(|coil| coil.works).map(|works| works.value);
        let contacts = sheet.contacts.map(|contacts| contacts.value);
        sheet.suppressed.is_some_and(|said| said.value)
            && works
                .is_some_and(|works| least(sheet, works.low) <= needs && works.high >= volts.high)
            && (contacts == Some(own_contacts) || contacts == Some(part::Contacts::Changeover))
            && could_be(facts.model, &facts.switched, id, sheet)
    };
    let mut names: Vec<&str> = facts
        .model
        .parts
        .iter()
        .filter(|part| matches!(part.body, part::Body::Relay(sheet) if fits(sheet)))
        .map(|part| part.name.text)
        .collect();
    names.sort_unstable();
    names.first().copied()
}
