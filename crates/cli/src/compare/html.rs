//! A comparison as one page: what matters first, every figure within reach, nothing from outside.

use super::page::{page, prose, text};
use super::sides::Names;
use super::words::{
    blocks, causes, count, figures_of, finding_place, from_shared, groups_of, hours, noun, own,
    own_findings, place, shared_name, site_name, site_path, site_tally, slight, status, told,
    weight_words, what_comes, whole_tally,
};
use curtilage_change::{Cell, Change, Group, LineChange, Portfolio, SiteChange, Strip, Weight};
use curtilage_facts::Options;
use std::fmt::Write as _;

pub(super) fn report(portfolio: &Portfolio, names: &Names, options: Options) -> String {
    let day = options.today;
    let mut out = String::new();
    let _ = writeln!(
        out,
        "<header>\n<h1>What the change does</h1>\n<p class=\"soft\">From <code>{}</code> to <code>{}</code>, \
         looked at on {:04}-{:02}-{:02}, for the hours of {} and {}</p>",
        text(&names.old),
        text(&names.new),
        day.year,
        day.month,
        day.day,
        day.year,
        day.year + 1
    );
    let _ = writeln!(out, "<p class=\"verdict\">{}</p>", prose(&whole_tally(portfolio)));
    counts(portfolio, &mut out);
    contents(portfolio, &mut out);
    let _ = writeln!(out, "</header>\n<main id=\"main\">");
    come_and_gone(portfolio, &mut out);
    if portfolio.sites.len() > 1 {
        shared(portfolio, &mut out);
    }
    for (index, one) in portfolio.sites.iter().enumerate() {
        if is_told(portfolio, one) {
            site(portfolio, index, one, &mut out);
        }
    }
    let _ = writeln!(
        out,
        "</main>\n<footer><p>Worked out by curtilage {} from what the files say. It does not replace \
         the tests on site.</p></footer>",
        env!("CARGO_PKG_VERSION")
    );
    page("What the change does", &out)
}

fn is_told(portfolio: &Portfolio, site: &SiteChange) -> bool {
    !site.is_empty() || portfolio.sites.len() == 1
}

fn counts(portfolio: &Portfolio, out: &mut String) {
    let each: Vec<(Weight, usize)> = Weight::ALL
        .into_iter()
        .map(|weight| (weight, portfolio.sites.iter().map(|site| told(site, weight)).sum()))
        .filter(|(_, number)| *number > 0)
        .collect();
    if each.is_empty() {
        return;
    }
    let _ = writeln!(out, "<ul class=\"tally\" aria-label=\"Changes by weight\">");
    for (weight, number) in each {
        let (word, words) = (weight.word(), weight_words(weight, number));
        let _ = writeln!(out, "<li class=\"{word}\"><b>{number}</b>{words}</li>");
    }
    let _ = writeln!(out, "</ul>");
}

fn contents(portfolio: &Portfolio, out: &mut String) {
    let sites = portfolio.sites.iter().enumerate();
    let told: Vec<_> = sites.filter(|(_, site)| is_told(portfolio, site)).collect();
    if told.len() < 2 {
        return;
    }
    let _ = writeln!(out, "<nav aria-label=\"Sites\"><ul>");
    for (index, site) in told {
        let (name, tally) = (text(&site_name(site)), prose(&site_tally(site)));
        let _ = writeln!(out, "<li><a href=\"#site-{index}\">{name}</a>: {tally}</li>");
    }
    let _ = writeln!(out, "</ul></nav>");
}

fn come_and_gone(portfolio: &Portfolio, out: &mut String) {
    if portfolio.added.is_empty() && portfolio.removed.is_empty() && portfolio.notes.is_empty() {
        return;
    }
    let _ = writeln!(out, "<ul>");
    let what = what_comes(portfolio);
    for (list, word) in [(&portfolio.removed, "gone"), (&portfolio.added, "new")] {
        for (path, title) in list {
            let _ = writeln!(
                out,
                "<li>{what} {word}: {} (<code>{}</code>)</li>",
                text(title),
                text(path)
            );
        }
    }
    for note in &portfolio.notes {
        let _ = writeln!(out, "<li>Note: {}</li>", prose(note));
    }
    let _ = writeln!(out, "</ul>");
}

fn shared(portfolio: &Portfolio, out: &mut String) {
    let all = portfolio.shared.iter().enumerate();
    for (index, shared) in all.filter(|(_, shared)| !shared.touches.is_empty()) {
        let broken = shared.touches.iter().filter(|touched| touched.breaks).count();
        let _ = writeln!(
            out,
            "<section aria-labelledby=\"shared-{index}\">\n<h2 id=\"shared-{index}\">Shared: {}</h2>\n\
             <p>Touches {}, breaks {broken}.</p>\n<ul class=\"why\">",
            prose(&shared_name(shared)),
            count(shared.touches.len(), "site", "sites")
        );
        for line in &shared.lines {
            let _ = writeln!(out, "<li>{}</li>", cause(line));
        }
        let _ = writeln!(
            out,
            "</ul>\n<div class=\"scroll\"><table><caption>What it does to each site</caption>\n\
             <thead><tr><th scope=\"col\">Site</th><th scope=\"col\">Broken</th>\
             <th scope=\"col\">What changes</th></tr></thead><tbody>"
        );
        for touched in &shared.touches {
            let Some(site) = portfolio.sites.get(touched.site) else { continue };
            let findings = touched.findings.iter().filter_map(|index| site.findings.get(*index));
            let findings = findings.map(|one| format!("{}: {}", status(one), one.headline));
            let groups = groups_of(site, touched).into_iter();
            let groups = groups.map(|group| format!("{}: {}", group.weight.word(), group.headline));
            let says: Vec<String> =
                findings.chain(groups).map(|says| format!("<li>{}</li>", prose(&says))).collect();
            let _ = writeln!(
                out,
                "<tr><th scope=\"row\"><a href=\"#site-{}\">{}</a></th><td>{}</td>\
                 <td><ul>{}</ul></td></tr>",
                touched.site,
                text(&site_name(site)),
                if touched.breaks { "yes" } else { "no" },
                says.concat()
            );
        }
        let _ = writeln!(out, "</tbody></table></div>\n</section>");
    }
}

fn site(portfolio: &Portfolio, index: usize, site: &SiteChange, out: &mut String) {
    let name = if site.title.is_empty() { site_path(site) } else { site_name(site) };
    let _ = writeln!(
        out,
        "<section aria-labelledby=\"site-{index}\">\n<h2 id=\"site-{index}\">{}</h2>\n\
         <p class=\"soft\"><code>{}</code></p>",
        text(&name),
        text(&site_path(site))
    );
    if portfolio.sites.len() > 1 {
        let _ = writeln!(out, "<p>{}.</p>", prose(&site_tally(site)));
    }
    for unknown in &site.unknown {
        let side = if unknown.before { "before" } else { "after" };
        let figures = count(unknown.figures, "figure", "figures");
        let why = prose(&unknown.why);
        let _ = writeln!(out, "<p>Cannot be compared, {figures} {side}: {why}</p>");
    }
    renames(site, out);
    for weight in Weight::ALL {
        of_weight(portfolio, index, site, weight, out);
    }
    if let Some(shared) = from_shared(portfolio, index, site) {
        let _ = writeln!(out, "<p>{shared}.</p>");
    }
    if let Some(summary) = slight(site) {
        let groups: Vec<&Group> = site.groups.iter().filter(|group| group.slight).collect();
        let members = groups.iter().flat_map(|group| &group.members);
        let members: Vec<&Change> = members.filter_map(|index| site.changes.get(*index)).collect();
        let _ = writeln!(out, "<h3>Hardly different</h3>");
        table(&summary, &members, out);
    }
    if !site.is_empty() && !site.name.is_empty() {
        tests(index, site, out);
    }
    lines(site, out);
    let _ = writeln!(out, "</section>");
}

fn renames(site: &SiteChange, out: &mut String) {
    if site.renames.is_empty() {
        return;
    }
    let _ = writeln!(
        out,
        "<div class=\"scroll\"><table><caption>New names for the same things</caption><thead><tr>\
         <th scope=\"col\">Kind</th><th scope=\"col\">Before</th><th scope=\"col\">Now</th></tr></thead><tbody>"
    );
    for rename in &site.renames {
        let (kind, old, new) = (rename.kind.word(), text(&rename.old), text(&rename.new));
        let _ = writeln!(
            out,
            "<tr><td>{kind}</td><td><code>{old}</code></td><td><code>{new}</code></td></tr>"
        );
    }
    let _ = writeln!(out, "</tbody></table></div>");
}

fn of_weight(
    portfolio: &Portfolio,
    index: usize,
    site: &SiteChange,
    weight: Weight,
    out: &mut String,
) {
    let findings = own_findings(portfolio, index, site, weight);
    let groups = own(portfolio, index, site, weight);
    if findings.is_empty() && groups.is_empty() {
        return;
    }
    let (word, heading) = (weight.word(), weight.heading());
    let heading = format!(
        "{}{}",
        heading.get(..1).unwrap_or("").to_uppercase(),
        heading.get(1..).unwrap_or("")
    );
    let _ = writeln!(out, "<h3>{heading}</h3>\n<ul class=\"told\">");
    for (number, finding) in findings {
        let note = finding.note.as_ref().map_or_else(String::new, |note| format!(" ({note})"));
        let _ = writeln!(
            out,
            "<li class=\"{word}\"><p><span class=\"badge\">{}</span>{} <span class=\"soft\"><code>{}</code>, \
             <code>{}</code>{}</span></p>",
            status(finding),
            prose(&finding.headline),
            finding.rule,
            text(&finding_place(finding)),
            text(&note)
        );
        let figures_of = figures_of(site, number);
        for group in &figures_of {
            let _ = writeln!(out, "<p>{}</p>", prose(&group.headline));
        }
        because(site, &finding.causes, out);
        if !figures_of.is_empty() {
            figures(site, &figures_of, out);
        }
        let _ = writeln!(out, "</li>");
    }
    for block in blocks(&groups) {
        let _ = writeln!(out, "<li class=\"{word}\">");
        for group in &block {
            let _ = writeln!(
                out,
                "<p><span class=\"badge\">{word}</span>{}</p>",
                prose(&group.headline)
            );
        }
        if let Some(first) = block.first() {
            because(site, &first.causes, out);
        }
        figures(site, &block, out);
        let _ = writeln!(out, "</li>");
    }
    let _ = writeln!(out, "</ul>");
}

fn because(site: &SiteChange, list: &[usize], out: &mut String) {
    let (few, left) = causes(site, list);
    if few.is_empty() {
        return;
    }
    let _ = writeln!(out, "<ul class=\"why\" aria-label=\"The lines that changed\">");
    for line in few {
        let _ = writeln!(out, "<li>{}</li>", cause(line));
    }
    if left > 0 {
        let _ = writeln!(out, "<li>and {}</li>", count(left, "more line", "more lines"));
    }
    let _ = writeln!(out, "</ul>");
}

fn cause(line: &LineChange) -> String {
    let was = |words: &str| format!("<del><code>{}</code></del>", text(words));
    let is = |words: &str| format!("<ins><code>{}</code></ins>", text(words));
    let words = match (&line.before, &line.after) {
        (Some(old), Some(new)) => format!("was {}, is {}", was(&old.text), is(&new.text)),
        (None, Some(new)) => format!("new {}", is(&new.text)),
        (Some(old), None) => format!("gone {}", was(&old.text)),
        (None, None) => String::new(),
    };
    format!("<code>{}</code>: {words}", text(&place(line)))
}

/// The week drawn, the exact spans, and every figure, before and after.
fn figures(site: &SiteChange, block: &[&Group], out: &mut String) {
    let members = block.iter().flat_map(|group| &group.members);
    let members: Vec<&Change> = members.filter_map(|index| site.changes.get(*index)).collect();
    for hours in hours(site, block) {
        if let Some(strip) = &hours.strip {
            week(strip, &hours.week, hours.gone, out);
        }
        if !hours.dates.is_empty() {
            let word = if hours.gone { "gone" } else { "new" };
            let stretches = count(hours.dates.len(), "stretch", "stretches");
            let open = if hours.dates.len() <= FEW { " open" } else { "" };
            let _ =
                writeln!(out, "<details{open}><summary>{stretches} on dates, {word}</summary><ul>");
            for date in &hours.dates {
                let _ = writeln!(out, "<li>{}</li>", text(date));
            }
            let _ = writeln!(out, "</ul></details>");
        }
    }
    table(&count(members.len(), "figure", "figures"), &members, out);
}

/// So many stretches are shown at once.
const FEW: usize = 6;

fn table(summary: &str, members: &[&Change], out: &mut String) {
    let _ = writeln!(
        out,
        "<details><summary>{}</summary>\n<div class=\"scroll\"><table><caption>The figures, before and \
         after</caption><thead><tr><th scope=\"col\">Of</th><th scope=\"col\">Figure</th>\
         <th scope=\"col\">Before</th><th scope=\"col\">After</th><th scope=\"col\">Limit</th></tr></thead><tbody>",
        text(summary)
    );
    for change in members {
        let shown = |told: &Option<curtilage_change::Told>| {
            told.as_ref().map_or_else(|| "none".to_owned(), |told| prose(&told.value.shown()))
        };
        let limit = change.after.as_ref().or(change.before.as_ref());
        let limit = limit.and_then(|told| told.value.limit()).unwrap_or_default();
        let detail = if change.detail.is_empty() {
            String::new()
        } else {
            format!(", {}", prose(&change.detail.to_string()))
        };
        let _ = writeln!(
            out,
            "<tr><th scope=\"row\">{}</th><td>{}{detail}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            prose(&change.thing.to_string()),
            change.aspect.says(),
            shown(&change.before),
            shown(&change.after),
            text(&limit)
        );
    }
    let _ = writeln!(out, "</tbody></table></div></details>");
}

const LEFT: usize = 36;
const CELL: usize = 14;
const ROW: usize = 17;

/// The week as a picture; its signs are those of the text form, so that no meaning hangs on colour.
fn week(strip: &Strip, spans: &str, gone: bool, out: &mut String) {
    let word = if gone { "gone" } else { "new" };
    let (width, height) = (LEFT + 48 * CELL + 2, 14 + 7 * ROW + 20);
    let _ = writeln!(
        out,
        "<svg class=\"week\" viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"The week in half hours; {word}: {}\">",
        text(spans)
    );
    for hour in (0..=24).step_by(6) {
        let x = LEFT + hour * 2 * CELL;
        let anchor = if hour == 24 { "end" } else { "start" };
        let _ =
            writeln!(out, "<text x=\"{x}\" y=\"10\" text-anchor=\"{anchor}\">{hour:02}:00</text>");
    }
    for (row, (day, cells)) in strip.days.iter().enumerate() {
        let y = 14 + row * ROW;
        let _ = writeln!(out, "<text x=\"0\" y=\"{}\">{day}</text>", y + 12);
        for (place, cell) in cells.iter().enumerate() {
            let x = LEFT + place * CELL;
            let (class, sign) = match cell {
                Cell::Never => ("never", ""),
                Cell::Kept => ("kept", ""),
                Cell::Gone => ("gone", "\u{2212}"),
                Cell::New => ("new", "+"),
            };
            let (wide, high) = (CELL - 1, ROW - 2);
            let _ = write!(
                out,
                "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{wide}\" height=\"{high}\"/>"
            );
            if !sign.is_empty() {
                let (cx, cy) = (x + wide / 2, y + 11);
                let _ = write!(out, "<text class=\"sign\" x=\"{cx}\" y=\"{cy}\">{sign}</text>");
            }
        }
        out.push('\n');
    }
    let y = 14 + 7 * ROW + 14;
    let _ = writeln!(
        out,
        "<text x=\"{LEFT}\" y=\"{y}\">filled: kept; minus: gone; plus: new; empty: never; one box is half an hour</text></svg>"
    );
}

fn tests(index: usize, site: &SiteChange, out: &mut String) {
    let _ = writeln!(out, "<h3 id=\"tests-{index}\">To try again on site</h3>");
    if site.tests.repeat.is_empty() {
        let of = if site.unknown.is_empty() { "" } else { " of what could be compared" };
        let _ = writeln!(out, "<p>Nothing{of} has to be tried again.</p>");
    } else {
        let _ = writeln!(
            out,
            "<div class=\"scroll\"><table><caption>{}</caption><thead><tr><th scope=\"col\">Done</th>\
             <th scope=\"col\">On</th><th scope=\"col\">What to do</th><th scope=\"col\">Because</th></tr></thead><tbody>",
            count(site.tests.repeat.len(), "test to repeat", "tests to repeat")
        );
        for test in &site.tests.repeat {
            let because = test.because.iter().filter_map(|index| site.changes.get(*index));
            let mut because = because.map(|change| prose(&change.sentence()));
            let first = because.next().unwrap_or_default();
            let more = because.count();
            let more = if more > 0 { format!("; and {more} more") } else { String::new() };
            let _ = writeln!(
                out,
                "<tr><td class=\"box\"></td><th scope=\"row\">{}</th><td>{}</td><td>{first}{more}</td></tr>",
                prose(&test.thing.to_string()),
                test.what
            );
        }
        let _ = writeln!(out, "</tbody></table></div>");
    }
    let number: usize = site.tests.kept.iter().map(|kept| kept.things.len()).sum();
    let _ = writeln!(
        out,
        "<details><summary>Need not be tried again: {}</summary>\n<div class=\"scroll\"><table><caption>Tests that \
         the change does not touch</caption><thead><tr><th scope=\"col\">What</th><th scope=\"col\">On</th>\
         <th scope=\"col\">Why not</th></tr></thead><tbody>",
        count(number, "test", "tests")
    );
    for kept in &site.tests.kept {
        let names: Vec<String> = kept.things.iter().map(|name| prose(&name.to_string())).collect();
        let _ = writeln!(
            out,
            "<tr><th scope=\"row\">{}</th><td>{} {}</td><td>{}</td></tr>",
            kept.what,
            noun(kept.kind, names.len()),
            names.join(", "),
            kept.why
        );
    }
    let _ = writeln!(out, "</tbody></table></div></details>");
}

fn lines(site: &SiteChange, out: &mut String) {
    if site.lines.is_empty() {
        return;
    }
    let _ = writeln!(
        out,
        "<details><summary>{}</summary><ul class=\"why\">",
        count(site.lines.len(), "line that changed", "lines that changed")
    );
    for line in &site.lines {
        let _ = writeln!(out, "<li>{}</li>", cause(line));
    }
    let _ = writeln!(out, "</ul></details>");
}
