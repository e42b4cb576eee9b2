//! Many sites: what a shared part or policy does to each is told once, with the sites that it
//! touches and those that it breaks.

use crate::compare::SiteChange;
use crate::lines::LineChange;
use crate::weight::Weight;
use std::collections::BTreeMap;

/// What a change does to a site.
#[derive(Clone, Debug)]
pub struct Touched {
    /// The site, by index.
    pub site: usize,
    /// Its groups of changes that come from the shared item, by index.
    pub groups: Vec<usize>,
    /// Its findings that come from the shared item, by index.
    pub findings: Vec<usize>,
    /// Whether a protection is lost or a limit crossed.
    pub breaks: bool,
}

/// A shared item that changed.
#[derive(Clone, Debug)]
pub struct Shared {
    /// The word of the item: `part`, `policy` or `schedule`.
    pub item: String,
    /// Its name; empty for the policy.
    pub name: String,
    /// The lines that changed.
    pub lines: Vec<LineChange>,
    /// The sites that it touches, the broken ones first.
    pub touches: Vec<Touched>,
    /// The sites that see it and stay as they are, by index.
    pub unmoved: Vec<usize>,
}

/// What a change does to many sites.
#[derive(Clone, Debug, Default)]
pub struct Portfolio {
    /// The sites that are on both sides, in order of path.
    pub sites: Vec<SiteChange>,
    /// Shared items that changed, the one that breaks most first.
    pub shared: Vec<Shared>,
    /// Sites that are new: path and title.
    pub added: Vec<(String, String)>,
    /// Sites that are gone: path and title.
    pub removed: Vec<(String, String)>,
    /// How many sites have not a byte changed in anything that they see.
    pub untouched: usize,
    /// How many sites use files that neither side can read.
    pub blind: usize,
    /// What could not be compared, in words.
    pub notes: Vec<String>,
    /// Whether neither side has a site: what is compared is the lines of shared files.
    pub lines_only: bool,
}

impl Portfolio {
    /// Whether every site does what it did.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.sites.iter().all(SiteChange::is_empty)
            && self.added.is_empty()
            && self.removed.is_empty()
            && (self.notes.is_empty() || self.lines_only)
    }

    /// The gravest weight of all that is told for itself: what moves slightly is counted, and only
    /// different.
    #[must_use]
    pub fn gravest(&self) -> Option<Weight> {
        if self.lines_only {
            return (!self.is_empty()).then_some(Weight::Changed);
        }
        let gone = (!self.removed.is_empty()).then_some(Weight::Lost);
        let all = self.sites.iter().flat_map(SiteChange::told_weights);
        let new = (!self.added.is_empty()).then_some(Weight::Gained);
        all.chain(gone).chain(new).min()
    }

    /// Whether everything in a group of a site comes from shared items, and is told with them.
    #[must_use]
    pub fn is_shared(&self, site: usize, causes: &[usize]) -> bool {
        let Some(site) = self.sites.get(site) else { return false };
        let shared = |cause: &usize| site.lines.get(*cause).is_some_and(|line| line.shared);
        self.sites.len() > 1 && !causes.is_empty() && causes.iter().all(shared)
    }
}

/// Puts sites together.
#[must_use]
pub fn portfolio(sites: Vec<SiteChange>) -> Portfolio {
    let mut items: BTreeMap<(String, String), Shared> = BTreeMap::new();
    for (index, site) in sites.iter().enumerate() {
        let mut own: Vec<(String, String)> = Vec::new();
        for line in site.lines.iter().filter(|line| line.shared && line.item != "use") {
            let key = (line.item.clone(), line.name.clone());
            let shared = items.entry(key.clone()).or_insert_with(|| Shared {
                item: line.item.clone(),
                name: line.name.clone(),
                lines: Vec::new(),
                touches: Vec::new(),
                unmoved: Vec::new(),
            });
            if !shared.lines.contains(line) {
                shared.lines.push(line.clone());
            }
            if !own.contains(&key) {
                own.push(key);
            }
        }
        for key in own {
            let comes_from = |causes: &[usize]| {
                causes
                    .iter()
                    .filter_map(|cause| site.lines.get(*cause))
                    .any(|line| line.shared && (&line.item, &line.name) == (&key.0, &key.1))
            };
            let groups = site.groups.iter().enumerate();
            let groups: Vec<usize> = groups
                .filter(|(_, group)| comes_from(&group.causes))
                .map(|(index, _)| index)
                .collect();
            let findings = site.findings.iter().enumerate();
            let findings: Vec<usize> = findings
                .filter(|(_, finding)| comes_from(&finding.causes))
                .map(|(index, _)| index)
                .collect();
            let Some(shared) = items.get_mut(&key) else { continue };
            if groups.is_empty() && findings.is_empty() {
                shared.unmoved.push(index);
                continue;
            }
            let grave = |weight: Weight| matches!(weight, Weight::Lost | Weight::Crossed);
            // A finding points at its lines; the figures that it speaks of depend on more.
            let by_group = groups.iter().filter_map(|group| site.groups.get(*group));
            let by_group = by_group.filter(|group| group.finding.is_none());
            let by_finding = findings.iter().filter_map(|finding| site.findings.get(*finding));
            let breaks = by_group.map(|group| group.weight).any(grave)
                || by_finding.map(|finding| finding.weight).any(grave);
            shared.touches.push(Touched { site: index, groups, findings, breaks });
        }
    }
    let mut shared: Vec<Shared> = items.into_values().collect();
    for one in &mut shared {
        one.touches.sort_by_key(|touched| (!touched.breaks, touched.site));
    }
    shared.sort_by_key(|one| {
        let broken = one.touches.iter().filter(|touched| touched.breaks).count();
        (std::cmp::Reverse(broken), std::cmp::Reverse(one.touches.len()))
    });
    Portfolio { sites, shared, ..Portfolio::default() }
}
