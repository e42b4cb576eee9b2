//! What the forms of a comparison have in common: counts, causes and tests in words.

use curtilage_change::{
    FindingChange, Group, HoursChange, LineChange, Portfolio, Shared, SiteChange, ThingKind,
    Touched, Weight,
};
use curtilage_diagnostic::Level;

/// So many lines are given as a cause before the rest is counted.
pub(super) const CAUSES: usize = 3;

/// `1 site`, `3 sites`.
pub(super) fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// How many sentences of a weight are told, findings included.
pub(super) fn told(site: &SiteChange, weight: Weight) -> usize {
    let groups = site
        .groups
        .iter()
        .filter(|group| group.weight == weight && !group.slight && group.finding.is_none());
    let groups = groups.count();
    groups + site.findings.iter().filter(|finding| finding.weight == weight).count()
}

/// `protections lost`, for several.
pub(super) fn weight_words(weight: Weight, number: usize) -> &'static str {
    let (one, many) = match weight {
        Weight::Lost => ("protection lost", "protections lost"),
        Weight::Crossed => ("limit crossed", "limits crossed"),
        Weight::Thinner => ("margin thinner", "margins thinner"),
        Weight::Changed => ("thing different", "things different"),
        Weight::Thicker => ("margin thicker", "margins thicker"),
        Weight::Mended => ("limit kept again", "limits kept again"),
        Weight::Gained => ("protection gained", "protections gained"),
    };
    if number == 1 { one } else { many }
}

/// `2 protections lost, 1 limit crossed`; `nothing that it does` when there is nothing.
pub(super) fn tally(counts: impl Fn(Weight) -> usize) -> String {
    let each = Weight::ALL.into_iter().filter_map(|weight| {
        let number = counts(weight);
        (number > 0).then(|| format!("{number} {}", weight_words(weight, number)))
    });
    each.collect::<Vec<_>>().join(", ")
}

/// Groups that come from the same lines, in order, so that the lines are given once.
pub(super) fn blocks<'a>(groups: &[&'a Group]) -> Vec<Vec<&'a Group>> {
    let mut out: Vec<Vec<&Group>> = Vec::new();
    for group in groups {
        let same = |block: &&mut Vec<&'a Group>| {
            block.first().is_some_and(|first| first.causes == group.causes)
        };
        match out.iter_mut().find(same) {
            Some(block) => block.push(group),
            None => out.push(vec![group]),
        }
    }
    out
}

/// The hours of each group of a block; of two with the same week or the same dates the second is
/// without them.
pub(super) fn hours(site: &SiteChange, block: &[&Group]) -> Vec<HoursChange> {
    let mut out: Vec<HoursChange> = Vec::new();
    for group in block {
        let lead = group.members.first().and_then(|index| site.changes.get(*index));
        let Some(mut hours) = lead.and_then(|lead| lead.hours.clone()) else { continue };
        if out.iter().any(|one| one.strip == hours.strip) {
            hours.strip = None;
        }
        if out.iter().any(|one| one.gone == hours.gone && one.dates == hours.dates) {
            hours.dates.clear();
        }
        out.push(hours);
    }
    out
}

/// `3 figures move by less than 1 %`, when there are any.
pub(super) fn slight(site: &SiteChange) -> Option<String> {
    let slight = site.groups.iter().filter(|group| group.slight);
    let number: usize = slight.map(|group| group.members.len()).sum();
    match number {
        0 => None,
        1 => Some(
            "1 figure moves by less than 1 %, on the side of the limit where it was".to_owned(),
        ),
        more => Some(format!(
            "{more} figures move by less than 1 %, on the side of the limit where they were"
        )),
    }
}

/// The groups of one weight that are told for themselves: not slight, not with a finding, and not
/// with the shared files that bring them.
pub(super) fn own<'a>(
    portfolio: &Portfolio,
    index: usize,
    site: &'a SiteChange,
    weight: Weight,
) -> Vec<&'a Group> {
    let own = |group: &&Group| {
        group.weight == weight
            && !group.slight
            && group.finding.is_none()
            && !portfolio.is_shared(index, &group.causes)
    };
    site.groups.iter().filter(own).collect()
}

/// The findings of one weight that are told with the site, by index.
pub(super) fn own_findings<'a>(
    portfolio: &Portfolio,
    index: usize,
    site: &'a SiteChange,
    weight: Weight,
) -> Vec<(usize, &'a FindingChange)> {
    let own = |(_, finding): &(usize, &FindingChange)| {
        finding.weight == weight && !portfolio.is_shared(index, &finding.causes)
    };
    site.findings.iter().enumerate().filter(own).collect()
}

/// The groups that a shared item brings to a site, those apart that a finding tells.
pub(super) fn groups_of<'a>(site: &'a SiteChange, touched: &Touched) -> Vec<&'a Group> {
    let all = touched.groups.iter().filter_map(|index| site.groups.get(*index));
    all.filter(|group| group.finding.is_none() && !group.slight).collect()
}

/// The figures that say what a finding says.
pub(super) fn figures_of(site: &SiteChange, finding: usize) -> Vec<&Group> {
    site.groups.iter().filter(|group| group.finding == Some(finding)).collect()
}

/// `5 changes come from shared files, told above`, when there are any.
pub(super) fn from_shared(
    portfolio: &Portfolio,
    index: usize,
    site: &SiteChange,
) -> Option<String> {
    let groups = site.groups.iter().filter(|group| !group.slight && group.finding.is_none());
    let groups = groups.filter(|group| portfolio.is_shared(index, &group.causes)).count();
    let findings = site.findings.iter();
    let findings = findings.filter(|one| portfolio.is_shared(index, &one.causes)).count();
    match groups + findings {
        0 => None,
        1 => Some("1 change comes from shared files, told above".to_owned()),
        more => Some(format!("{more} changes come from shared files, told above")),
    }
}

/// What a site's change comes to, in one line.
pub(super) fn site_tally(site: &SiteChange) -> String {
    if site.name.is_empty() {
        return count(site.lines.len(), "line differs", "lines differ");
    }
    let mut out = tally(|weight| told(site, weight));
    if out.is_empty() {
        let slight = site.groups.iter().any(|group| group.slight);
        out = match (site.renames.len(), site.lines.len()) {
            _ if slight => "figures move slightly".to_owned(),
            (0, 0) => "nothing has changed".to_owned(),
            (0, _) => "it does what it did".to_owned(),
            (renames, _) => {
                format!("it does what it did; {}", count(renames, "new name", "new names"))
            }
        };
    }
    out
}

/// What all comes to, in one line.
pub(super) fn whole_tally(portfolio: &Portfolio) -> String {
    let out = tally(|weight| portfolio.sites.iter().map(|site| told(site, weight)).sum());
    if portfolio.lines_only {
        return lines_tally(portfolio);
    }
    let compared = portfolio.sites.len() + portfolio.untouched;
    let moved = portfolio.added.len() + portfolio.removed.len();
    let mut parts = Vec::new();
    if !out.is_empty() {
        parts.push(out);
    } else if compared + moved == 0 {
        parts.push("nothing could be compared".to_owned());
    } else {
        let mut groups = portfolio.sites.iter().flat_map(|site| &site.groups);
        let slight = groups.any(|group| group.slight);
        let unknown =
            portfolio.blind > 0 || portfolio.sites.iter().any(|site| !site.unknown.is_empty());
        match (slight, unknown) {
            (true, _) => parts.push("figures move slightly".to_owned()),
            (_, true) => parts.push("not everything could be compared".to_owned()),
            _ if moved == 0 => parts.push("every site does what it did".to_owned()),
            // Of sites that come and go nothing else is to be said.
            _ if compared == 0 => {}
            _ => parts.push("every other site does what it did".to_owned()),
        }
    }
    let number = portfolio.sites.iter().filter(|site| !site.is_empty()).count();
    if compared > 1 {
        let all = compared;
        parts.push(format!("{number} of {} touched", count(all, "site", "sites")));
    }
    if !portfolio.added.is_empty() {
        parts.push(count(portfolio.added.len(), "site new", "sites new"));
    }
    if !portfolio.removed.is_empty() {
        parts.push(count(portfolio.removed.len(), "site gone", "sites gone"));
    }
    parts.join("; ")
}

/// What comes and goes as a whole.
pub(super) fn what_comes(portfolio: &Portfolio) -> &'static str {
    if portfolio.lines_only { "Shared file" } else { "Site" }
}

/// What the lines of shared files come to, where there is no site.
fn lines_tally(portfolio: &Portfolio) -> String {
    let lines: usize = portfolio.sites.iter().map(|site| site.lines.len()).sum();
    let (added, removed) = (portfolio.added.len(), portfolio.removed.len());
    let mut parts = Vec::new();
    if lines > 0 {
        parts.push(count(lines, "line differs", "lines differ"));
    }
    if added > 0 {
        parts.push(count(added, "file new", "files new"));
    }
    if removed > 0 {
        parts.push(count(removed, "file gone", "files gone"));
    }
    if parts.is_empty() { "no line differs".to_owned() } else { parts.join("; ") }
}

/// The lines of some causes, the first few, and how many are left.
pub(super) fn causes<'a>(site: &'a SiteChange, causes: &[usize]) -> (Vec<&'a LineChange>, usize) {
    let all = causes.iter().filter_map(|cause| site.lines.get(*cause));
    let few: Vec<&LineChange> = all.take(CAUSES).collect();
    let left = causes.len().saturating_sub(few.len());
    (few, left)
}

/// Where a line stands: on the newer side that has it.
pub(super) fn place(line: &LineChange) -> String {
    match (&line.before, &line.after) {
        (_, Some(after)) => format!("{}:{}", after.spot.path, after.spot.line),
        (Some(before), None) => format!("{}:{} (before)", before.spot.path, before.spot.line),
        (None, None) => String::new(),
    }
}

/// What a finding is now: `new error`, `error gone`.
pub(super) fn status(finding: &FindingChange) -> String {
    let word = |level: Option<Level>| level.map_or("", Level::word);
    match (finding.before, finding.after) {
        (None, after) => format!("new {}", word(after)),
        (before, None) => format!("{} gone", word(before)),
        (before, after) => format!("{}, was {}", word(after), word(before)),
    }
}

/// Where a finding stands.
pub(super) fn finding_place(finding: &FindingChange) -> String {
    finding.at.as_ref().map_or_else(String::new, |at| format!("{}:{}", at.path, at.line))
}

/// Tests to repeat, put together by what is done: what, on which kind, on which things.
pub(super) fn repeat(site: &SiteChange) -> Vec<(&'static str, ThingKind, Vec<String>)> {
    let mut out: Vec<(&'static str, ThingKind, Vec<String>)> = Vec::new();
    for test in &site.tests.repeat {
        let name = test.thing.name.to_string();
        let known = out.iter_mut().find(|one| one.0 == test.what && one.1 == test.thing.kind);
        match known {
            Some(one) => one.2.push(name),
            None => out.push((test.what, test.thing.kind, vec![name])),
        }
    }
    out
}

/// `zone` or `zones`.
pub(super) fn noun(kind: ThingKind, number: usize) -> &'static str {
    if number == 1 { kind.word() } else { kind.plural() }
}

/// What a shared item is called.
pub(super) fn shared_name(shared: &Shared) -> String {
    if shared.name.is_empty() {
        format!("the {}", shared.item)
    } else {
        format!("{} `{}`", shared.item, shared.name)
    }
}

/// The title and the path of a site.
pub(super) fn site_name(site: &SiteChange) -> String {
    if site.title.is_empty() { site.name.clone() } else { site.title.clone() }
}

/// Where a site is; both paths when it moved.
pub(super) fn site_path(site: &SiteChange) -> String {
    match (&site.old_path, &site.new_path) {
        (Some(old), Some(new)) if site.moved => format!("{new}, was {old}"),
        (_, Some(new)) => new.clone(),
        (Some(old), None) => old.clone(),
        (None, None) => String::new(),
    }
}
