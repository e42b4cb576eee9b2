//! The commissioning sheet: a test for each zone, response, fault and limit, in walking order by
//! area, each with what to do and what to expect, in numbers. What a meter reads can be taken back
//! into the site file (see [`crate::record`]).

mod answers;
mod cover;
mod limits;
mod loops;
mod moments;
mod plant;
mod response;
mod seen;
#[cfg(test)]
mod tests;
pub(crate) mod walk;

use crate::table::{Cell, Table, cells};
use curtilage_facts::Facts;
use curtilage_model::Model;

/// One test.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Test {
    /// What is tested.
    pub(crate) thing: String,
    /// What kind of test it is.
    pub(crate) kind: &'static str,
    /// What to do.
    pub(crate) action: String,
    /// What to expect; none when it is not known, then with the reason.
    pub(crate) expect: Result<String, String>,
    /// Where a meter is put, as a `measured` block names it; nothing for a test without a reading.
    pub(crate) at: String,
    /// In which condition, in the word of the language.
    pub(crate) condition: &'static str,
    /// The unit of the reading.
    pub(crate) unit: &'static str,
}

/// The tests of one place.
pub(crate) struct Group {
    /// The place.
    pub(crate) title: String,
    /// Its tests, in order.
    pub(crate) tests: Vec<Test>,
}

/// The whole sheet.
pub(crate) fn groups(facts: &Facts<'_, '_>) -> Vec<Group> {
    let model = facts.model;
    let mut out = Vec::new();
    for area in places(model) {
        let mut tests = Vec::new();
        for (id, zone) in model.zones_by_id().filter(|(_, zone)| zone.area == area) {
            loops::tests(facts, id, zone, &mut tests);
            response::zone(facts, id, zone, &mut tests);
            limits::zone(facts, id, zone, &mut tests);
        }
        for (id, output) in model.outputs_by_id().filter(|(_, output)| output.area == area) {
            plant::output(facts, id, output, &mut tests);
        }
        for camera in model.cameras.iter().filter(|camera| camera.area == area) {
            plant::camera(facts, camera, &mut tests);
        }
        if !tests.is_empty() {
            let title = crate::words::area(model, area);
            let title = if title.is_empty() { "No area given".to_owned() } else { title };
            out.push(Group { title, tests });
        }
    }
    let mut tests = Vec::new();
    plant::controllers(facts, &mut tests);
    plant::supplies(facts, &mut tests);
    out.push(Group { title: "Controllers and supplies".to_owned(), tests });
    let mut tests = Vec::new();
    response::responses(facts, &mut tests);
    out.push(Group { title: "Responses".to_owned(), tests });
    let mut tests = Vec::new();
    limits::policy(facts, &mut tests);
    out.push(Group { title: "Limits of the policy".to_owned(), tests });
    out.retain(|group| !group.tests.is_empty());
    out
}

/// The areas in walking order: that of the site file; what has no area comes last.
fn places(model: &Model<'_>) -> impl Iterator<Item = Option<usize>> {
    let areas = model.site.as_ref().map_or(0, |site| site.areas.len());
    (0..areas).map(Some).chain([None])
}

fn expectation(test: &Test) -> Cell {
    match &test.expect {
        Ok(text) => text.into(),
        Err(why) => Cell::hole(why),
    }
}

/// The sheet as tables for paper, one a place.
pub(crate) fn tables(groups: &[Group]) -> Vec<Table> {
    let mut step = 0;
    let head = ["step", "test", "do", "expect", "reading", "pass", "initials"];
    let each = groups.iter().enumerate().map(|(number, group)| {
        let id = format!("sheet-{}", number + 1);
        let mut table = Table::new(id, &group.title, &head);
        for test in &group.tests {
            step += 1;
            let reading = if test.at.is_empty() { Cell::from("") } else { Cell::fill() };
            table.row(vec![
                step.to_string().into(),
                format!("{}: {}", test.thing, test.kind).into(),
                (&test.action).into(),
                expectation(test),
                reading,
                Cell::fill(),
                Cell::fill(),
            ]);
        }
        table
    });
    each.collect()
}

/// The heads of the sheet that is filled in and taken back.
pub(crate) const COLUMNS: [&str; 14] = [
    "step",
    "area",
    "thing",
    "test",
    "do",
    "expect",
    "unit",
    "reading",
    "pass",
    "initials",
    "date",
    "site",
    "at",
    "condition",
];

/// The sheet as one table that can be filled in on a screen and taken back.
pub(crate) fn fillable(model: &Model<'_>, groups: &[Group]) -> Table {
    let site = model.site.as_ref().map_or("", |site| site.name.text);
    let mut table = Table::new("commissioning", "Commissioning sheet", &COLUMNS);
    let mut step = 0;
    for group in groups {
        for test in &group.tests {
            step += 1;
            table.row(cells![
                step.to_string(),
                &group.title,
                &test.thing,
                test.kind,
                &test.action,
                expectation(test),
                test.unit,
                Cell::fill(),
                Cell::fill(),
                Cell::fill(),
                Cell::fill(),
                site,
                &test.at,
                test.condition
            ]);
        }
    }
    table
}

impl Default for Test {
    fn default() -> Self {
        Self {
            thing: String::new(),
            kind: "",
            action: String::new(),
            expect: Ok(String::new()),
            at: String::new(),
            condition: "",
            unit: "",
        }
    }
}
