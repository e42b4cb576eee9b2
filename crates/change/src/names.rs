//! The names of a model, with the list in which each stands.

use crate::words::Scope;
use curtilage_model::Model;
use std::collections::HashMap;

/// Every name in scope.
pub(crate) fn scopes<'a>(model: &Model<'a>) -> HashMap<&'a str, Scope> {
    let mut out: HashMap<&str, Scope> = HashMap::new();
    out.extend(model.names().into_iter().map(|name| (name, Scope::Thing)));
    out.extend(model.schedules.iter().map(|thing| (thing.name.text, Scope::Schedule)));
    out.extend(model.parts.iter().map(|thing| (thing.name.text, Scope::Part)));
    out
}
