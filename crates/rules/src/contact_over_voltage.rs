//! A contact that switches a higher voltage than it is rated for.

use crate::contact_overload::{help, names};
use crate::rule::{Family, Findings, Rule};
use crate::words::{and_list, volts, volts_apart};
use curtilage_circuit::contact::Verdict;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "contact-over-voltage",
    family: Family::Contact,
    level: Level::Error,
    about: "a contact switches a higher voltage than it is rated for",
    page: include_str!("contact_over_voltage.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for switched in &facts.switched {
        let Some(Verdict::OverVoltage { row, .. }) = switched.verdict else { continue };
        let Some(rating) = switched.ratings.get(row) else { continue };
        let highest = switched.loads.iter().map(|load| load.volts).fold(0.0, f64::max);
        let names = names(facts, switched);
        let (verb, kind) = (if names.len() == 1 { "puts" } else { "put" }, rating.kind.word());
        let (puts, rated) = volts_apart(highest, rating.voltage.value);
        let headline = format!(
            "{} {verb} up to {} {kind} on `{}`, rated to {} {kind}",
            and_list(names.iter().copied()),
            puts,
            facts.model.text(switched.contact.at),
            rated,
        );
        let rating_at = Place::new(switched.ratings_file, rating.span);
        let mut finding = RULE
            .finds(headline, switched.contact.at, format!("breaks {}", volts(highest)))
            .with_other(rating_at, format!("rated to {} {kind}", volts(rating.voltage.value)))
            .with_why("above its voltage the arc does not go out when the contact opens: the load stays on and the contact burns")
            .with_help(help(facts, switched));
        for name in names {
            finding = finding.with_about(name);
        }
        out.push(finding);
    }
}
