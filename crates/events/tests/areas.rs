//! Commands to an area that fall into one instant.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use curtilage_events::player::{Input, Limits, Story, TimedInput, What, play};
use curtilage_events::system::{Area, Builder};

/// Source: the order inside an instant of the timing model, "commands, exit and entry expiry". An
/// area without an exit time came on between two commands until a fresh scenario showed it.
#[test]
fn arming_and_disarming_at_once_leaves_an_area_off() {
    let mut builder = Builder::new();
    let area = builder.area(Area { exit: 0, entry: 10, members: vec![] });
    let system = builder.build().unwrap();
    let at = |input| TimedInput { at: 4, input };
    let story = Story { from: 0, inputs: vec![at(Input::Arm(area)), at(Input::Disarm(area))] };
    let trace = play(&system, &story, Limits::until(100));
    let on = trace.events.iter().any(|event| matches!(event.what, What::AreaOn { .. }));
    assert!(!on, "{:?}", trace.events);
}
