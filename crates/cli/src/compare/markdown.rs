//! A comparison for a merge request: what matters first, the rest folded. Whatever a site file says
//! is shown as text, never taken for Markdown, HTML, a mention or a link.

use super::sides::Names;
use super::words::{
    blocks, causes, count, figures_of, finding_place, from_shared, groups_of, hours, noun, own,
    own_findings, place, repeat, shared_name, site_name, site_path, site_tally, slight, status,
    what_comes, whole_tally,
};
use crate::plain::plain;
use curtilage_change::{Cell, Group, LineChange, Portfolio, SiteChange, Strip, Weight};
use std::fmt::Write as _;

pub(super) fn report(portfolio: &Portfolio, names: &Names) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "## What the change does\n");
    let _ = writeln!(out, "**{}**\n", prose(&whole_tally(portfolio)));
    let _ = writeln!(out, "From {} to {}.\n", code(&names.old), code(&names.new));
    let what = what_comes(portfolio);
    for (path, title) in &portfolio.removed {
        let _ = writeln!(out, "- {what} gone: {} ({})", prose(title), code(path));
    }
    for (path, title) in &portfolio.added {
        let _ = writeln!(out, "- {what} new: {} ({})", prose(title), code(path));
    }
    for note in &portfolio.notes {
        let _ = writeln!(out, "- Note: {}", prose(note));
    }
    if !portfolio.removed.is_empty() || !portfolio.added.is_empty() || !portfolio.notes.is_empty() {
        out.push('\n');
    }
    if portfolio.sites.len() > 1 {
        shared(portfolio, &mut out);
    }
    for (index, one) in portfolio.sites.iter().enumerate() {
        if !one.is_empty() || portfolio.sites.len() == 1 {
            site(portfolio, index, one, &mut out);
        }
    }
    out.truncate(out.trim_end().len());
    out.push('\n');
    out
}

fn shared(portfolio: &Portfolio, out: &mut String) {
    for shared in portfolio.shared.iter().filter(|shared| !shared.touches.is_empty()) {
        let broken = shared.touches.iter().filter(|touched| touched.breaks).count();
        let _ = writeln!(
            out,
            "### Shared: {}\n\nTouches {}, breaks {broken}.\n",
            prose(&shared_name(shared)),
            count(shared.touches.len(), "site", "sites")
        );
        for line in &shared.lines {
            let _ = writeln!(out, "- {}", cause(line));
        }
        out.push('\n');
        for touched in &shared.touches {
            let Some(site) = portfolio.sites.get(touched.site) else { continue };
            let word = if touched.breaks { "**breaks**" } else { "touches" };
            let _ =
                writeln!(out, "- {word} {} ({})", prose(&site_name(site)), code(&site_path(site)));
            for finding in touched.findings.iter().filter_map(|index| site.findings.get(*index)) {
                let _ = writeln!(out, "  - {}: {}", status(finding), prose(&finding.headline));
            }
            let groups = groups_of(site, touched);
            let grave = |group: &&&Group| matches!(group.weight, Weight::Lost | Weight::Crossed);
            for group in groups.iter().filter(grave) {
                let _ = writeln!(out, "  - {}: {}", group.weight.word(), prose(&group.headline));
            }
            let left = groups.iter().filter(|group| !grave(group)).count();
            if left > 0 {
                let _ = writeln!(out, "  - {}", count(left, "lesser change", "lesser changes"));
            }
        }
        out.push('\n');
    }
}

fn site(portfolio: &Portfolio, index: usize, site: &SiteChange, out: &mut String) {
    let title = if site.title.is_empty() {
        code(&site_path(site))
    } else {
        format!("{} ({})", prose(&site_name(site)), code(&site_path(site)))
    };
    let _ = writeln!(out, "### {title}\n");
    if portfolio.sites.len() > 1 {
        let _ = writeln!(out, "{}.\n", prose(&site_tally(site)));
    }
    for rename in &site.renames {
        let (kind, old, new) = (rename.kind.word(), code(&rename.old), code(&rename.new));
        let _ = writeln!(out, "- Renamed: {kind} {old} is called {new} now");
    }
    if !site.renames.is_empty() {
        out.push('\n');
    }
    for unknown in &site.unknown {
        let side = if unknown.before { "before" } else { "after" };
        let figures = count(unknown.figures, "figure", "figures");
        let _ = writeln!(out, "- Cannot be compared, {figures} {side}: {}", prose(&unknown.why));
    }
    if !site.unknown.is_empty() {
        out.push('\n');
    }
    for weight in [Weight::Lost, Weight::Crossed] {
        let text = of_weight(portfolio, index, site, weight);
        if !text.is_empty() {
            let _ = writeln!(out, "#### {}\n\n{text}", capital(weight.heading()));
        }
    }
    tests(site, out);
    for weight in
        [Weight::Thinner, Weight::Changed, Weight::Thicker, Weight::Mended, Weight::Gained]
    {
        let text = of_weight(portfolio, index, site, weight);
        if !text.is_empty() {
            let number = text.lines().filter(|line| line.starts_with("- ")).count();
            fold(out, &format!("{}: {number}", capital(weight.heading())), &text);
        }
    }
    if let Some(shared) = from_shared(portfolio, index, site) {
        let _ = writeln!(out, "{shared}.\n");
    }
    if let Some(summary) = slight(site) {
        let groups: Vec<&Group> = site.groups.iter().filter(|group| group.slight).collect();
        let mut text = String::new();
        for block in blocks(&groups) {
            told(site, &block, &mut text);
        }
        fold(out, &summary, &text);
    }
    if site.name.is_empty() {
        for line in &site.lines {
            let _ = writeln!(out, "- {}", cause(line));
        }
    }
    kept(site, out);
}

/// What is told of one weight, as a list.
fn of_weight(portfolio: &Portfolio, index: usize, site: &SiteChange, weight: Weight) -> String {
    let mut out = String::new();
    for (number, finding) in own_findings(portfolio, index, site, weight) {
        let note = finding.note.as_ref().map_or_else(String::new, |note| format!(" ({note})"));
        let _ = writeln!(
            out,
            "- {} {}{}: {} ({})",
            status(finding),
            code(finding.rule),
            prose(&note),
            prose(&finding.headline),
            code(&finding_place(finding))
        );
        for group in figures_of(site, number) {
            let _ = writeln!(out, "  - {}", prose(&group.headline));
        }
        because(site, &finding.causes, &mut out);
    }
    for block in blocks(&own(portfolio, index, site, weight)) {
        told(site, &block, &mut out);
    }
    out
}

/// Groups with the same causes, the causes once, then what is folded.
fn told(site: &SiteChange, block: &[&Group], out: &mut String) {
    for group in block {
        let _ = writeln!(out, "- {}", prose(&group.headline));
    }
    if let Some(first) = block.first() {
        because(site, &first.causes, out);
    }
    figures(site, block, out);
}

fn because(site: &SiteChange, list: &[usize], out: &mut String) {
    let (few, left) = causes(site, list);
    for line in few {
        let _ = writeln!(out, "  - {}", cause(line));
    }
    if left > 0 {
        let _ = writeln!(out, "  - and {}", count(left, "more line", "more lines"));
    }
}

/// The week drawn, the exact spans, and the single figures of some groups.
fn figures(site: &SiteChange, block: &[&Group], out: &mut String) {
    let mut inner = String::new();
    for hours in hours(site, block) {
        if let Some(strip) = &hours.strip {
            let _ = writeln!(inner, "\n  ```text\n{}  ```", week(strip));
        }
        if !hours.dates.is_empty() {
            let _ = writeln!(inner);
        }
        for date in &hours.dates {
            let _ = writeln!(inner, "  - {}", prose(date));
        }
    }
    let mut what = if inner.is_empty() { "Each figure" } else { "The hours" };
    let several = block.iter().filter(|group| group.members.len() > 1);
    let members: Vec<_> = several
        .flat_map(|group| &group.members)
        .filter_map(|index| site.changes.get(*index))
        .collect();
    if !members.is_empty() {
        if !inner.is_empty() {
            what = "The hours, and each figure";
        }
        let _ = writeln!(inner);
    }
    for change in &members {
        let _ = writeln!(inner, "  - {}", prose(&change.sentence()));
    }
    if !inner.is_empty() {
        let _ = writeln!(out, "\n  <details><summary>{what}</summary>\n{inner}\n  </details>\n");
    }
}

fn week(strip: &Strip) -> String {
    let mut out = String::from("      00:00       06:00       12:00       18:00\n");
    for (day, cells) in &strip.days {
        let signs: String = cells
            .iter()
            .map(|cell| match cell {
                Cell::Never => '.',
                Cell::Kept => '=',
                Cell::Gone => '-',
                Cell::New => '+',
            })
            .collect();
        let _ = writeln!(out, "  {day} {signs}");
    }
    out.push_str("  = kept   - gone   + new   . never; each sign is half an hour\n");
    out
}

fn tests(site: &SiteChange, out: &mut String) {
    if site.is_empty() || site.name.is_empty() {
        return;
    }
    let again = repeat(site);
    if again.is_empty() {
        let of = if site.unknown.is_empty() { "" } else { " of what could be compared" };
        let _ = writeln!(out, "Nothing{of} has to be tried again on site.\n");
        return;
    }
    let mut text = String::new();
    for (what, kind, names) in again {
        let noun = noun(kind, names.len());
        let _ = writeln!(text, "- [ ] {what}: {noun} {}", prose(&names.join(", ")));
    }
    let number = count(site.tests.repeat.len(), "test", "tests");
    let _ = writeln!(out, "#### To try again on site: {number}\n\n{text}");
}

fn kept(site: &SiteChange, out: &mut String) {
    if site.tests.kept.is_empty() || site.changes.is_empty() {
        return;
    }
    let mut text = String::new();
    for kept in &site.tests.kept {
        let names: Vec<String> = kept.things.iter().map(ToString::to_string).collect();
        let (what, noun) = (kept.what, noun(kept.kind, names.len()));
        let _ = writeln!(text, "- {what}: {noun} {}; {}", prose(&names.join(", ")), kept.why);
    }
    let number: usize = site.tests.kept.iter().map(|kept| kept.things.len()).sum();
    fold(out, &format!("Need not be tried again: {}", count(number, "test", "tests")), &text);
}

fn fold(out: &mut String, summary: &str, text: &str) {
    let _ = writeln!(out, "<details><summary>{summary}</summary>\n\n{text}\n</details>\n");
}

/// A line as it was and as it is.
fn cause(line: &LineChange) -> String {
    let words = match (&line.before, &line.after) {
        (Some(was), Some(is)) => format!("{} → {}", code(&was.text), code(&is.text)),
        (None, Some(is)) => format!("new: {}", code(&is.text)),
        (Some(was), None) => format!("gone: {}", code(&was.text)),
        (None, None) => String::new(),
    };
    format!("{} {words}", code(&place(line)))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Text as code, whatever it holds.
fn code(text: &str) -> String {
    let text = one_line(text);
    let longest = text.split(|sign| sign != '`').map(str::len).max().unwrap_or(0);
    let fence = "`".repeat(longest + 1);
    let edge = text.starts_with('`') || text.ends_with('`');
    let pad = if edge || text.is_empty() { " " } else { "" };
    format!("{fence}{pad}{text}{pad}{fence}")
}

/// A sentence of ours: names in backticks are code, all else is text.
fn prose(text: &str) -> String {
    let text = one_line(text);
    let mut out = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some((before, after)) = rest.split_once('`') {
        escape(before, &mut out);
        match after.split_once('`') {
            // Nothing but a name stands in backticks.
            Some((name, tail)) if is_name(name) => {
                let _ = write!(out, "`{name}`");
                rest = tail;
            }
            _ => {
                out.push_str("\\`");
                rest = after;
            }
        }
    }
    escape(rest, &mut out);
    out
}

fn is_name(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|sign| sign.is_alphanumeric() || "-_. ".contains(sign))
}

fn escape(text: &str, out: &mut String) {
    for sign in text.chars() {
        match sign {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            // Neither a mention, nor a reference, nor a link.
            '@' => out.push_str("&#64;"),
            '#' => out.push_str("&#35;"),
            ':' if out.ends_with("http") || out.ends_with("https") || out.ends_with("ftp") => {
                out.push_str("&#58;");
            }
            '\\' | '*' | '_' | '[' | ']' | '|' | '~' | '$' => {
                out.push('\\');
                out.push(sign);
            }
            other => out.push(other),
        }
    }
}

fn one_line(text: &str) -> String {
    plain(text).split(['\n', '\r', '\t']).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::{code, prose};

    #[test]
    fn what_a_file_says_is_text() {
        let nasty = "<img src=x> @team #12 [a](b) *b* `x` `<b>` https://a.b |";
        assert_eq!(
            prose(nasty),
            "&lt;img src=x&gt; &#64;team &#35;12 \\[a\\](b) \\*b\\* `x` \\`&lt;b&gt;\\` https&#58;//a.b \\|"
        );
        assert_eq!(code("a `b` c"), "``a `b` c``");
        assert_eq!(code("`"), "`` ` ``");
        assert_eq!(prose("a\nb"), "a b");
    }
}
