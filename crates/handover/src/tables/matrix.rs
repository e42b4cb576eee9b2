//! The cause-and-effect matrix: a row for each cause, a column for each thing that is done.

use crate::table::{Cell, Shape, Table};
use crate::words;
use curtilage_facts::Facts;
use curtilage_model::{Model, Response};
use std::collections::BTreeMap;

pub(crate) fn table(facts: &Facts<'_, '_>) -> Table {
    let model = facts.model;
    let mut columns: Vec<String> = Vec::new();
    let mut rows: Vec<(String, BTreeMap<usize, Vec<String>>)> = Vec::new();
    for response in &model.responses {
        let causes = causes(model, response);
        for (effect, _) in &response.effects {
            let (column, cell) = words::effect(model, effect);
            let at = place(&mut columns, column);
            for cause in &causes {
                let row = match rows.iter_mut().find(|(known, _)| known == cause) {
                    Some((_, row)) => row,
                    None => {
                        rows.push((cause.clone(), BTreeMap::new()));
                        let Some((_, row)) = rows.last_mut() else { continue };
                        row
                    }
                };
                row.entry(at).or_default().push(cell.clone());
            }
        }
    }
    let head: Vec<&str> =
        std::iter::once("cause").chain(columns.iter().map(String::as_str)).collect();
    let mut table = Table::new("cause-and-effect", "Matrix of causes and effects", &head)
        .about("A time is how long it is asked for; how long the controller keeps it on stands in the outputs.");
    table.shape = Shape::Matrix;
    for (cause, cells) in rows {
        let of = |at: usize| cells.get(&at).map_or_else(String::new, |list| list.join(" / "));
        let mut row = vec![Cell::from(cause)];
        row.extend((0..columns.len()).map(|at| Cell::from(of(at))));
        table.row(row);
    }
    for (id, zone) in model.zones_by_id() {
        let named = facts.registering.get(id.index()).is_some_and(|one| !one.responses.is_empty());
        let confirms = model.zones.iter().any(|other| other.confirmed == Some(id));
        if !named && !confirms {
            table.note(Cell::hole(format!("nothing answers {}", zone.name.text)));
        }
    }
    table
}

/// Where a column stands; a new one is added behind the others.
fn place(columns: &mut Vec<String>, column: String) -> usize {
    columns.iter().position(|known| *known == column).unwrap_or_else(|| {
        columns.push(column);
        columns.len() - 1
    })
}

/// The rows of a response: each of its causes, or all of them as one.
fn causes(model: &Model<'_>, response: &Response<'_>) -> Vec<String> {
    let each = response.causes.iter().map(|(cause, _)| words::cause(model, *cause));
    let conditions = words::conditions(model, response);
    let with = |cause: String| {
        if conditions.is_empty() { cause } else { format!("{cause}, {conditions}") }
    };
    match response.all_within {
        Some(within) => {
            let all: Vec<String> = each.collect();
            vec![with(format!("all of {} within {}", all.join(", "), words::time(within)))]
        }
        None => each.map(with).collect(),
    }
}
