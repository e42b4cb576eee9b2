//! Runs the rules, then applies the policy's levels and the site's exceptions.

use crate::rule::{Findings, Rule};
use crate::{RULES, exception_expired, exception_unused};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::Allow;
use curtilage_syntax::tree::policy::LevelWord;
use std::collections::HashSet;

/// All findings of a root file, in order of place.
#[must_use]
pub fn check(facts: &Facts<'_, '_>) -> Vec<Diagnostic> {
    settle(facts, RULES.iter().flat_map(|rule| detect(rule, facts)).collect())
}

/// What one rule finds. Rules do not see each other's findings, so they may run side by side.
#[must_use]
pub fn detect(rule: &Rule, facts: &Facts<'_, '_>) -> Vec<Diagnostic> {
    let mut findings = Findings::default();
    (rule.check)(facts, &mut findings);
    if rule.from_absence {
        findings.list.retain(|finding| !in_doubt(facts, finding));
    }
    findings.list
}

/// All findings of a root file, from what its rules found, in the order of the rules.
#[must_use]
pub fn settle(facts: &Facts<'_, '_>, mut list: Vec<Diagnostic>) -> Vec<Diagnostic> {
    withhold_fixes(facts, &mut list);
    apply_exceptions(facts, &mut list);
    apply_levels(facts, &mut list);
    list.sort_by(|a, b| (a.at.at, a.rule).cmp(&(b.at.at, b.rule)));
    list
}

/// While a statement cannot be read, only what mends the text is offered.
fn withhold_fixes(facts: &Facts<'_, '_>, list: &mut [Diagnostic]) {
    if facts.model.root().is_none_or(|root| root.parsed.faults.is_empty()) {
        return;
    }
    for finding in
        list.iter_mut().filter(|finding| !matches!(finding.rule, "syntax" | "wrong-dimension"))
    {
        finding.fixes.clear();
    }
}

fn in_doubt(facts: &Facts<'_, '_>, finding: &Diagnostic) -> bool {
    facts.doubt.holds(finding.at.at) || finding.about.iter().any(|name| facts.doubt.mentions(name))
}

fn apply_exceptions(facts: &Facts<'_, '_>, list: &mut Vec<Diagnostic>) {
    if facts.model.allows.is_empty() {
        return;
    }
    let names = facts.model.names();
    let known = facts.model.allows.iter().filter(|allow| {
        // What is not known is told as such.
        crate::rule(allow.rule.text).is_some() && allow.on.is_none_or(|on| names.contains(&on.text))
    });
    let (expired, standing): (Vec<_>, Vec<_>) =
        known.partition(|allow| allow.until.value < facts.options.today);
    list.extend(expired.into_iter().map(|allow| exception_expired::finding(facts, allow)));
    // Exceptions to the rules about exceptions come when those have spoken.
    let turn = |allow: &Allow<'_>| match allow.rule.text {
        "exception-unused" => 2,
        "exception-expired" => 1,
        _ => 0,
    };
    for now in 0..3 {
        let mut these: Vec<_> = standing.iter().filter(|allow| turn(allow) == now).collect();
        let mut used = HashSet::new();
        // Each is held against all findings: two may except the same one, in any order.
        list.retain(|finding| {
            let mut stays = true;
            for allow in these.iter().filter(|allow| finding.rule == allow.rule.text) {
                if allow.on.is_none_or(|on| is_on(facts, finding, on.text)) {
                    used.insert(allow.line);
                    stays = false;
                }
            }
            stays
        });
        these.retain(|allow| !used.contains(&allow.line) && !facts.doubt.anything());
        list.extend(these.into_iter().map(|allow| exception_unused::finding(facts, allow)));
    }
}

/// Whether a finding is on a thing: it names it, or stands in its block.
fn is_on(facts: &Facts<'_, '_>, finding: &Diagnostic, name: &str) -> bool {
    let in_its_block = || {
        let at = finding.at.at;
        let source = facts.model.sources().iter().find(|source| source.file == at.file)?;
        let item = source.statement_before(at.span.start)?;
        let word = |index: usize| item.atoms.get(index).map(|atom| source.text(atom.span));
        // Without a name, `to` stands where the name of a response would.
        let named = word(0) != Some("response") || word(2) == Some("to");
        Some(named && word(1) == Some(name) && at.span.end <= item.span.end)
    };
    finding.about.iter().any(|about| about == name) || in_its_block().unwrap_or(false)
}

fn apply_levels(facts: &Facts<'_, '_>, list: &mut Vec<Diagnostic>) {
    let Some(policy) = &facts.model.policy else { return };
    let mut seen = HashSet::new();
    for said in &policy.tree.levels {
        let place = curtilage_text::Place::new(policy.file, said.rule.span);
        let name = facts.model.text(place);
        // What is said again is not used.
        if !seen.insert(name) {
            continue;
        }
        let level = match said.level.value {
            LevelWord::Off => {
                list.retain(|finding| finding.rule != name);
                continue;
            }
            LevelWord::Hint => Level::Hint,
            LevelWord::Warning => Level::Warning,
            LevelWord::Error => Level::Error,
        };
        for finding in list.iter_mut().filter(|finding| finding.rule == name) {
            finding.level = level;
        }
    }
}
