//! A comparison for a terminal: short, the gravest first.

use super::sides::Names;
use super::words::{
    blocks, causes, count, figures_of, finding_place, from_shared, groups_of, hours, noun, own,
    own_findings, place, repeat, shared_name, site_name, site_path, site_tally, slight, status,
    whole_tally,
};
use crate::plain::plain;
use curtilage_change::{Cell, Group, LineChange, Portfolio, SiteChange, Strip, Weight};
use std::fmt::Write as _;

/// So many sentences that matter least are told before the rest is counted.
const FEW: usize = 8;

struct Page<'p> {
    portfolio: &'p Portfolio,
    all: bool,
    color: bool,
    strips: bool,
    out: String,
}

pub(super) fn report(portfolio: &Portfolio, names: &Names, all: bool, color: bool) -> String {
    let mut page = Page { portfolio, all, color, strips: false, out: String::new() };
    for index in 0..portfolio.shared.len() {
        page.shared(index);
    }
    for (index, site) in portfolio.sites.iter().enumerate() {
        if !site.is_empty() || portfolio.sites.len() == 1 {
            page.site(index, site);
        }
    }
    for (list, word) in [(&portfolio.added, "new"), (&portfolio.removed, "gone")] {
        for (path, title) in list {
            page.line(0, &format!("{path}: {title} is {word}"));
        }
    }
    for note in &portfolio.notes {
        page.line(0, &format!("note: {note}"));
    }
    if page.strips {
        page.line(0, "weeks: `=` kept, `-` gone, `+` new, `.` never; each sign is half an hour");
    }
    let (old, new) = (&names.old, &names.new);
    let tally = whole_tally(portfolio);
    page.line(0, &format!("{old} -> {new}: {tally}"));
    page.out
}

impl Page<'_> {
    fn line(&mut self, depth: usize, text: &str) {
        let _ = writeln!(self.out, "{:1$}{2}", "", depth * 2, plain(text));
    }

    fn heading(&mut self, depth: usize, text: &str, weight: Option<Weight>) {
        let paint = match weight {
            Some(Weight::Lost | Weight::Crossed) => "1;31",
            Some(Weight::Thinner) => "1;33",
            Some(Weight::Mended | Weight::Gained | Weight::Thicker) => "1;32",
            _ => "1",
        };
        let text = plain(text);
        let text = if self.color { format!("\u{1b}[{paint}m{text}\u{1b}[0m") } else { text.into() };
        let _ = writeln!(self.out, "{:1$}{text}", "", depth * 2);
    }

    /// A line as it was and as it is.
    fn cause(&mut self, depth: usize, line: &LineChange) {
        let (was, is) = (
            line.before.as_ref().map(|line| line.text.as_str()),
            line.after.as_ref().map(|line| line.text.as_str()),
        );
        let words = match (was, is) {
            (Some(was), Some(is)) => format!("{was}  ->  {is}"),
            (None, Some(is)) => format!("new: {is}"),
            (Some(was), None) => format!("gone: {was}"),
            (None, None) => String::new(),
        };
        self.line(depth, &format!("{}  {words}", place(line)));
    }

    fn causes(&mut self, depth: usize, site: &SiteChange, list: &[usize]) {
        let (few, left) = causes(site, list);
        for line in few {
            self.cause(depth, line);
        }
        if left > 0 {
            self.line(depth, &format!("and {}", count(left, "more line", "more lines")));
        }
    }

    fn shared(&mut self, index: usize) {
        let Some(shared) = self.portfolio.shared.get(index) else { return };
        if self.portfolio.sites.len() < 2 || shared.touches.is_empty() {
            return;
        }
        let broken = shared.touches.iter().filter(|touched| touched.breaks).count();
        let touches = count(shared.touches.len(), "site", "sites");
        let still = match shared.unmoved.len() {
            0 => String::new(),
            1 => "; 1 site sees it and stays as it is".to_owned(),
            number => format!("; {number} sites see it and stay as they are"),
        };
        let title = format!("{}: touches {touches}, breaks {broken}{still}", shared_name(shared));
        let weight = if broken > 0 { Weight::Crossed } else { Weight::Changed };
        self.heading(0, &title, Some(weight));
        for line in &shared.lines {
            self.cause(1, line);
        }
        for touched in &shared.touches {
            let Some(site) = self.portfolio.sites.get(touched.site) else { continue };
            let word = if touched.breaks { "breaks " } else { "touches" };
            self.line(1, &format!("{word} {} ({})", site_name(site), site_path(site)));
            let mut told = 0;
            for finding in touched.findings.iter().filter_map(|index| site.findings.get(*index)) {
                self.line(2, &format!("- {}: {}", status(finding), finding.headline));
            }
            for group in groups_of(site, touched) {
                let grave = matches!(group.weight, Weight::Lost | Weight::Crossed);
                if grave || self.all || told == 0 && touched.findings.is_empty() {
                    self.line(2, &format!("- {}: {}", group.weight.word(), group.headline));
                    told += 1;
                }
            }
            let left = groups_of(site, touched).len() - told;
            if left > 0 {
                self.line(2, &format!("- and {}", count(left, "lesser change", "lesser changes")));
            }
        }
        self.out.push('\n');
    }

    fn site(&mut self, index: usize, site: &SiteChange) {
        let name =
            if site.title.is_empty() { String::new() } else { format!(": {}", site_name(site)) };
        self.heading(0, &format!("{}{name}", site_path(site)), None);
        self.line(1, &site_tally(site));
        for rename in &site.renames {
            let kind = rename.kind.word();
            self.line(
                1,
                &format!("renamed: {kind} `{}` is called `{}` now", rename.old, rename.new),
            );
        }
        for weight in Weight::ALL {
            self.weight(index, site, weight);
        }
        if let Some(shared) = from_shared(self.portfolio, index, site) {
            self.line(1, &shared);
        }
        if let Some(slight) = slight(site).filter(|_| !self.all) {
            self.line(1, &format!("{slight} (`--all` tells them)"));
        }
        for unknown in &site.unknown {
            let side = if unknown.before { "before" } else { "after" };
            let figures = count(unknown.figures, "figure", "figures");
            self.line(1, &format!("cannot be compared, {figures} {side}: {}", unknown.why));
        }
        if site.groups.is_empty() && site.findings.is_empty() && site.name.is_empty() {
            for line in &site.lines {
                self.cause(1, line);
            }
        }
        self.tests(site);
        self.out.push('\n');
    }

    fn weight(&mut self, index: usize, site: &SiteChange, weight: Weight) {
        let mut groups = own(self.portfolio, index, site, weight);
        if self.all {
            groups.extend(site.groups.iter().filter(|one| one.weight == weight && one.slight));
        }
        let findings = own_findings(self.portfolio, index, site, weight);
        if groups.is_empty() && findings.is_empty() {
            return;
        }
        self.heading(1, weight.heading(), Some(weight));
        let grave = matches!(weight, Weight::Lost | Weight::Crossed);
        for (number, finding) in findings {
            let note = finding.note.as_ref().map_or_else(String::new, |note| format!(" ({note})"));
            let at = finding_place(finding);
            let says = &finding.headline;
            self.line(2, &format!("- {} {}{note}: {says} [{at}]", status(finding), finding.rule));
            for group in figures_of(site, number) {
                self.line(4, &group.headline);
                self.members(site, group);
            }
            self.causes(4, site, &finding.causes);
        }
        let few = if grave || self.all { groups.len() } else { FEW };
        let shown: Vec<&Group> = groups.iter().take(few).copied().collect();
        for block in blocks(&shown) {
            for group in &block {
                self.line(2, &format!("- {}", group.headline));
                self.members(site, group);
            }
            self.hours(site, &block);
            if let Some(first) = block.first() {
                self.causes(4, site, &first.causes);
            }
        }
        let left = groups.len().saturating_sub(few);
        if left > 0 {
            self.line(2, &format!("- and {} (`--all` tells them)", count(left, "more", "more")));
        }
    }

    /// With `--all` the single figures.
    fn members(&mut self, site: &SiteChange, group: &Group) {
        if self.all && group.members.len() > 1 {
            for change in group.members.iter().filter_map(|index| site.changes.get(*index)) {
                self.line(4, &change.sentence());
            }
        }
    }

    /// The week drawn and the exact spans, each once.
    fn hours(&mut self, site: &SiteChange, block: &[&Group]) {
        for hours in hours(site, block) {
            if let Some(strip) = &hours.strip {
                self.strip(strip);
            }
            let dates = if self.all { hours.dates.len() } else { FEW };
            for date in hours.dates.iter().take(dates) {
                self.line(4, date);
            }
            let left = hours.dates.len().saturating_sub(dates);
            if left > 0 {
                self.line(4, &format!("and {}", count(left, "more stretch", "more stretches")));
            }
        }
    }

    fn strip(&mut self, strip: &Strip) {
        self.strips = true;
        let mut head = String::from("    ");
        for hour in (0..24).step_by(6) {
            let _ = write!(head, "{hour:02}:00       ");
        }
        self.line(4, head.trim_end());
        for (day, cells) in &strip.days {
            let signs: String = cells.iter().map(|cell| sign(*cell)).collect();
            self.line(4, &format!("{day} {signs}"));
        }
    }

    fn tests(&mut self, site: &SiteChange) {
        if site.name.is_empty() || site.is_empty() {
            return;
        }
        let again = repeat(site);
        if again.is_empty() {
            let nothing = if site.unknown.is_empty() {
                "nothing has to be tried again"
            } else {
                "nothing of what could be compared has to be tried again"
            };
            self.heading(1, nothing, None);
        } else {
            let number = count(site.tests.repeat.len(), "test", "tests");
            self.heading(1, &format!("to try again, {number}"), None);
        }
        for (what, kind, names) in again {
            let noun = noun(kind, names.len());
            self.line(2, &format!("- {what}: {noun} {}", names.join(", ")));
        }
        if !self.all {
            let number: usize = site.tests.kept.iter().map(|kept| kept.things.len()).sum();
            let tests = count(number, "test need not be repeated", "tests need not be repeated");
            self.line(2, &format!("- {tests} (`--all` says which and why)"));
            return;
        }
        self.heading(1, "not to try again", None);
        for kept in &site.tests.kept {
            let names: Vec<String> = kept.things.iter().map(ToString::to_string).collect();
            let noun = noun(kept.kind, names.len());
            self.line(2, &format!("- {}: {noun} {}; {}", kept.what, names.join(", "), kept.why));
        }
    }
}

fn sign(cell: Cell) -> char {
    match cell {
        Cell::Never => '.',
        Cell::Kept => '=',
        Cell::Gone => '-',
        Cell::New => '+',
    }
}
