//! Which responses can answer at all: one without a minute of its own, or whose causes count at no
//! minute of it, switches nothing.

use crate::meetings::{Brings, Meetings};
use curtilage_model::{Cause, Model, Response};

/// By response, whether it can ever answer. Where anything about it is not known, it can.
pub(crate) fn acting(model: &Model<'_>, meetings: &mut Meetings<'_>) -> Vec<bool> {
    model.responses.iter().map(|response| acts(model, meetings, response)).collect()
}

fn acts(model: &Model<'_>, meetings: &mut Meetings<'_>, response: &Response<'_>) -> bool {
    let hours = meetings.hours();
    let during = response.during.map(|(schedule, _)| schedule);
    if during.is_some_and(|during| hours.is_empty(during) == Some(true)) {
        return false;
    }
    let mut comes = |cause: &Cause| {
        // A tamper contact counts whether its zone is armed or not.
        let Cause::Zone(zone) = cause else { return true };
        let armed = model.zone(*zone).and_then(|zone| zone.armed);
        armed.is_none_or(|(armed, _)| {
            hours.is_empty(armed) != Some(true)
                && during.is_none_or(|during| meetings.brings(armed, during) != Brings::None)
        })
    };
    // A cause that is not known may be one that comes.
    let whole = response.causes.len() == response.tree.causes.list().len();
    let mut causes = response.causes.iter().map(|(cause, _)| comes(cause));
    if response.all_within.is_some() {
        causes.all(|comes| comes)
    } else {
        !whole || causes.any(|comes| comes)
    }
}
