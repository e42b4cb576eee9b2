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

/// By hand: a command that does nothing does not hold up the end of the exit time; one that
/// disarms in that instant leaves the area off.
#[test]
fn a_command_in_the_instant_in_which_a_time_ends() {
    for (at, disarms, comes_on) in [(5, false, true), (5, true, false), (6, true, true)] {
        let mut builder = Builder::new();
        let area = builder.area(Area { exit: 5, entry: 10, members: vec![] });
        let system = builder.build().unwrap();
        let second = if disarms { Input::Disarm(area) } else { Input::Arm(area) };
        let inputs = [(0, Input::Arm(area)), (at, second)]
            .map(|(at, input)| TimedInput { at, input })
            .to_vec();
        let trace = play(&system, &Story { from: 0, inputs }, Limits::until(100));
        let on: Vec<_> = trace
            .events
            .iter()
            .filter(|event| matches!(event.what, What::AreaOn { .. }))
            .map(|event| event.at)
            .collect();
        assert_eq!(on, if comes_on { vec![5] } else { vec![] }, "{at} {disarms}");
    }
}
