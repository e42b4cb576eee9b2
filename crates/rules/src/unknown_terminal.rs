//! A terminal that the controller's part does not have.

use crate::rule::{Family, Findings, Rule};
use crate::words::article;
use curtilage_diagnostic::{Diagnostic, Fix, Level};
use curtilage_facts::Facts;
use curtilage_model::{Fault, FaultKind, TerminalKind};

pub(crate) static RULE: Rule = Rule {
    name: "unknown-terminal",
    family: Family::Contact,
    level: Level::Error,
    about: "a controller has no such terminal, or it is of another kind",
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
    }
    Some(finding)
}
