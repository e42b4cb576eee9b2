//! The whole file: what the table was, the site, the parts that it names, and its zones.

use crate::cells;
use crate::columns::Layout;
use crate::sheet::Sheet;
use crate::zones::{Entry, Use, Wanted, Zones, reads};
use crate::{PartKind, Request};
use std::fmt::Write as _;

/// The text of the site, formatted.
pub(crate) fn site(
    request: &Request<'_>,
    sheet: &Sheet,
    layout: &Layout,
    mut zones: Zones,
) -> String {
    let mut out = String::new();
    top(request, sheet, layout, &mut out);
    for path in request.uses {
        let line = format!("use {}\n", cells::title(path).words);
        out.push_str(if reads(&line) { &line } else { "" });
    }
    if !request.uses.is_empty() {
        out.push('\n');
    }
    place(request, &mut zones, &mut out);
    parts(&zones, &mut out);
    rows(&zones, &mut out);
    // Everything in it was parsed by itself, so the formatter takes it; were it not so, the text
    // would still say the same.
    curtilage_format::format(&out).unwrap_or(out)
}

/// Where the file comes from, and every row above the zones.
fn top(request: &Request<'_>, sheet: &Sheet, layout: &Layout, out: &mut String) {
    let _ = writeln!(out, "# Read from {}.", cells::comment(request.file));
    let _ = writeln!(out, "# What the table does not say, `curtilage check` asks for.");
    for row in sheet.rows.iter().take(layout.body) {
        let cells: Vec<&str> = row.filled().map(|(_, cell)| cell).collect();
        for line in cells.join(" | ").split(['\n', '\r']).filter(|line| !line.trim().is_empty()) {
            let _ = writeln!(out, "# {}", cells::comment(line.trim_end()));
        }
    }
    out.push('\n');
}

fn place(request: &Request<'_>, zones: &mut Zones, out: &mut String) {
    let usable = |name: &String| reads(&format!("site {name} {{\n}}\n"));
    let name = cells::name(request.title).filter(usable).unwrap_or_else(|| "new-site".to_owned());
    let name = zones.names.shared(Use::Site, &name);
    let title = cells::title(request.title).words;
    let head = format!("site {name} {title} {{\n");
    let head = if reads(&format!("{head}}}\n")) { head } else { format!("site {name} {{\n") };
    out.push_str(&head);
    out.push_str("    # timezone  Europe/Lisbon   (where the site is)\n");
    out.push_str(
        "    # ambient   -5 to 40 degC   (the temperatures at which everything has to work)\n",
    );
    for (name, title) in &zones.areas {
        let _ = writeln!(out, "    area {name} {}", title.as_deref().unwrap_or_default());
    }
    out.push_str("}\n\n");
    for (name, title) in &zones.schedules {
        let _ = writeln!(out, "schedule {name} {} {{", title.as_deref().unwrap_or_default());
        out.push_str(
            "    # Mon to Fri  18:00 to 08:00   (the table names it and gives no hours)\n}\n\n",
        );
    }
}

/// The parts and controllers that the table names and no used file has.
fn parts(zones: &Zones, out: &mut String) {
    for ((kind, name), wanted) in &zones.parts {
        let _ = writeln!(
            out,
            "{} {{",
            titled(&format!("part {name}"), wanted, &format!("is {}", kind.word()))
        );
        let ask = match kind {
            PartKind::Sensor => "active, contact and tamper",
            PartKind::Controller => "input, relays and draws",
            PartKind::Cable => "cores and conductor",
        };
        if let Some(rests) = &wanted.rests {
            let _ = writeln!(out, "    rests {rests}");
        }
        let _ = writeln!(out, "    # from its data sheet: {ask}\n}}\n");
    }
    for (name, wanted) in &zones.controllers {
        let part = &wanted.part;
        if !wanted.known {
            let _ = writeln!(out, "part {part} is controller {{");
            let inputs = wanted.inputs.iter().cloned().collect::<Vec<_>>().join(", ");
            let _ = writeln!(out, "    inputs {inputs}");
            out.push_str("    # from its data sheet: the common of the inputs, input, settles, repeats, relays, draws\n}\n\n");
        }
        let _ = writeln!(
            out,
            "{} {{",
            titled(&format!("controller {name}"), wanted, &format!("is {part}"))
        );
        out.push_str("    # fed  from SUPPLY over LENGTH of CABLE\n}\n\n");
    }
}

/// The head of an item with the words of the table as its title, where they say more than the name.
fn titled(head: &str, wanted: &Wanted, rest: &str) -> String {
    let named = head.rsplit(' ').next().unwrap_or_default();
    let title = wanted.title.as_deref().filter(|title| *title != named && !title.trim().is_empty());
    let with = title.map(|title| format!("{head} {} {rest}", cells::title(title).words));
    with.filter(|text| reads(&format!("{text} {{\n}}\n")))
        .unwrap_or_else(|| format!("{head} {rest}"))
}

fn rows(zones: &Zones, out: &mut String) {
    for entry in &zones.entries {
        match entry {
            Entry::Heading(text) => {
                for line in text.split(['\n', '\r']).filter(|line| !line.trim().is_empty()) {
                    let _ = writeln!(out, "# ---- {} ----", cells::comment(line.trim()));
                }
                out.push('\n');
            }
            Entry::Zone(zone) => {
                let _ = writeln!(out, "{} {{", zone.head);
                for statement in &zone.statements {
                    let _ = writeln!(out, "    {statement}");
                }
                for comment in &zone.comments {
                    let _ = writeln!(out, "    # {comment}");
                }
                out.push_str("}\n\n");
            }
        }
    }
}
