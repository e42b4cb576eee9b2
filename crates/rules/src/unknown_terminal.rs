//! A terminal that the controller's part does not have, or a side that a contact does not have.

use crate::choices::terminals;
use crate::rule::{Family, Findings, Rule};
use crate::words::article;
use curtilage_diagnostic::{Diagnostic, Fix, Level};
use curtilage_facts::Facts;
use curtilage_model::{Contact, Fault, FaultKind, Named, TerminalKind};
use curtilage_syntax::tree::part::Contacts;
use curtilage_syntax::tree::wiring::{self, Side};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "unknown-terminal",
    family: Family::Contact,
    level: Level::Error,
    about: "a controller has no such terminal, or it is of another kind, or a contact has no such side",
    page: include_str!("unknown_terminal.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for fault in &facts.model.faults {
        if let Some(finding) = word(&RULE, facts, fault, |wanted| wanted != TerminalKind::Channel) {
            out.push(finding);
        }
    }
    let model = facts.model;
    for output in &model.outputs {
        out.list.extend(side(facts, output.name, output.through, output.tree.through));
    }
    for relay in &model.relays {
        out.list.extend(side(facts, relay.name, relay.through, relay.tree.through));
    }
}

/// A side that the contact does not have. Nothing is told where its part does not say which it has.
fn side(
    facts: &Facts<'_, '_>,
    name: Named<'_>,
    contact: Option<Contact<'_>>,
    written: Option<wiring::Contact>,
) -> Option<Diagnostic> {
    let (contact, written) = (contact?, written?);
    let (contacts, said_at) = facts.model.contacts_of(&contact)?;
    if contacts.has(contact.side) || facts.doubt.about_contact(facts.model, &contact) {
        return None;
    }
    let (kind, other) = match contacts {
        Contacts::Make => ("make", Side::Closing),
        Contacts::Break => ("break", Side::Opening),
        Contacts::Changeover => return None,
    };
    let (own, side, other) = (facts.model.text(contact.at), contact.side.word(), other.word());
    let at = written.side.map_or(contact.at, |said| Place::new(contact.at.file, said.span));
    let label = match written.side {
        Some(_) => "no such side".to_owned(),
        None => format!("`{side}`, since no side is said"),
    };
    Some(
        RULE.finds(
            format!("`{own}` has no {side} side, it is a {kind} contact"),
            at,
            label,
        )
        .with_other(said_at, format!("a {kind} contact: `{other}` alone"))
        .with_why("the wire would end in the air: there is no screw for that side")
        .with_help(format!("`{own} {other}` is the only side there is, and turns the sense round; `{side}` needs a contact that is `changeover`"))
        .with_about(name.text),
    )
}

/// Words a fault about a terminal of a kind that `ours` accepts. Channels have a rule of their own.
///
/// A part that cannot be read in full may have the terminal.
pub(crate) fn word(
    rule: &'static Rule,
    facts: &Facts<'_, '_>,
    fault: &Fault,
    ours: impl Fn(TerminalKind) -> bool,
) -> Option<Diagnostic> {
    let FaultKind::UnknownTerminal { controller, terminal, wanted, is, known, nearest, declared } =
        &fault.kind
    else {
        return None;
    };
    if !ours(*wanted) || facts.doubt.holds(*declared) {
        return None;
    }
    let kind = wanted.words();
    let noun = kind.split(' ').next_back().unwrap_or(kind);
    let (headline, label) = match is {
        _ if terminal.is_empty() => (
            format!("`{controller}` needs a terminal here: {kind}"),
            format!("name {kind} of `{controller}`"),
        ),
        Some(is) => (
            format!("`{controller}.{terminal}` is {}, {kind} is wanted here", is.words()),
            format!("not {kind}"),
        ),
        None => (format!("`{controller}` has no {noun} `{terminal}`"), format!("no such {noun}")),
    };
    let mut finding = rule
        .finds(headline, fault.at, label)
        .with_why("the wire would end in the air, or on the wrong screw")
        .with_about(controller.as_str());
    finding = if known.is_empty() {
        finding.with_other(*declared, format!("this part has no {noun}"))
    } else {
        finding.with_other(*declared, format!("its {noun}s: {known}"))
    };
    if let Some(nearest) = nearest {
        let whole = format!("{controller}.{nearest}");
        finding = finding.with_help(format!("did you mean `{whole}`?")).with_fix(Fix::one(
            format!("use {} {noun} `{whole}`", article(noun))
                .replace("use an ", "use the ")
                .replace("use a ", "use the "),
            fault.at,
            whole,
            false,
        ));
    } else if let Some(help) = terminals(facts, controller, *wanted) {
        finding = finding.with_help(help);
    }
    Some(finding)
}
