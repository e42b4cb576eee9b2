//! What the site is, in one table.

use crate::table::{Table, cells};
use crate::words;
use curtilage_facts::Facts;

pub(crate) fn table(facts: &Facts<'_, '_>) -> Table {
    let model = facts.model;
    let mut table = Table::new("site", "The site", &["what", "as the site file says"]);
    let Some(site) = &model.site else { return table };
    table.row(cells!["site", words::titled(site.name.text, site.title)]);
    let zone = site.timezone.map_or("not given", |zone| zone.text);
    table.row(cells!["time zone", zone]);
    let ambient = site.tree.ambient.map(|ambient| ambient.value);
    let ambient = ambient.map_or_else(
        || crate::Cell::hole("not known: the site gives no `ambient`"),
        |ambient| {
            let degrees = |value: f64| {
                curtilage_units::Quantity::new(value, curtilage_units::Dimension::Temperature)
                    .to_string()
            };
            words::span(ambient.low, ambient.high, degrees).into()
        },
    );
    table.row(vec!["ambient temperature".into(), ambient]);
    let areas = site.areas.iter().map(|area| area.title.unwrap_or(area.name.text));
    let areas = words::list(areas);
    if !areas.is_empty() {
        table.row(cells!["areas, in walking order", areas]);
    }
    let people = site.people.iter().map(|one| words::titled(one.name.text, one.title));
    table.row(cells!["people who are told", people.collect::<Vec<_>>().join("; ")]);
    if let Some(occupied) = site.occupied {
        table.row(cells!["somebody is there", words::schedule(model, occupied)]);
    }
    for (what, count) in [
        ("zones", model.zones.len()),
        ("outputs", model.outputs.len()),
        ("controllers", model.controllers.len()),
        ("supplies", model.supplies.len()),
        ("relays of their own", model.relays.len()),
        ("cameras", model.cameras.len()),
        ("responses", model.responses.len()),
        ("rehearsals", model.rehearsals.len()),
        ("meter readings", model.readings.len()),
    ] {
        if count > 0 {
            table.row(cells![what, count.to_string()]);
        }
    }
    let policy = model.policy.as_ref().map_or("none: no limits are held", |p| p.name.text);
    table.row(cells!["policy", policy]);
    let files = model.sources().iter().map(|source| source.path.as_str());
    table.row(cells!["files", words::list(files)]);
    table
}
