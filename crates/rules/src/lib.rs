//! The rules: facts in, findings out. A rule is one file, with its page beside it.
//!
//! [`RULES`] lists them by name. [`check`] runs them all, then applies the policy's levels and the
//! site's exceptions. The word of a rule is its only id.

mod at_once;
mod choices;
mod engine;
mod moving;
mod rule;
mod runs;
mod supervision;
mod words;

mod ac_dc_mismatch;
mod armed_while_occupied;
mod channel_unknown;
mod common_missing;
mod conductor_overcurrent;
mod conflicting_effects;
mod confusable_name;
mod contact_over_voltage;
mod contact_overload;
mod counted_twice;
mod depends_on_equality;
mod disarmed_panic_zone;
mod disarmed_tamper_zone;
mod duplicate_name;
mod edge_in_clock_change;
mod end_resistor_not_preferred;
mod endless_retrigger;
mod exception_expired;
mod exception_unused;
mod feedback;
mod forced_output;
mod fuse_mismatch;
mod held_open_fills_store;
mod holiday_not_covered;
mod idle_output;
mod import_cycle;
mod impossible_value;
mod inductive_unsuppressed;
mod loop_out_of_band;
mod loop_states_overlap;
mod missing_fact;
mod never_active;
mod never_armed;
mod no_times;
mod outside_workspace;
mod overvoltage;
mod pulse_too_short;
mod rating_not_given;
mod reading_out_of_window;
mod recharge_too_slow;
mod recording_not_kept;
mod rehearsal_fails;
mod rest_state_mismatch;
mod retention_too_short;
mod said_twice;
mod schedule_empty;
mod schedule_overlap;
mod setting_not_offered;
mod silent_zone;
mod sounder_run_too_long;
mod sounding;
mod spare_too_small;
mod standby_too_short;
mod supply_overload;
mod syntax;
mod tamper_not_told;
mod terminal_reused;
mod unanswered_panic;
mod undervoltage;
mod unknown_name;
mod unknown_terminal;
mod unreadable_file;
mod unsupervised_panic;
mod unsupervised_tamper;
mod unused_name;
mod voltage_collapse;
mod wrong_dimension;

pub use engine::{check, detect, settle};
pub use rule::{Family, Rule};

/// Every rule, in the order of the alphabet.
pub static RULES: &[&Rule] = &[
    &ac_dc_mismatch::RULE,
    &armed_while_occupied::RULE,
    &channel_unknown::RULE,
    &common_missing::RULE,
    &conductor_overcurrent::RULE,
    &conflicting_effects::RULE,
    &confusable_name::RULE,
    &contact_over_voltage::RULE,
    &contact_overload::RULE,
    &counted_twice::RULE,
    &depends_on_equality::RULE,
    &disarmed_panic_zone::RULE,
    &disarmed_tamper_zone::RULE,
    &duplicate_name::RULE,
    &edge_in_clock_change::RULE,
    &end_resistor_not_preferred::RULE,
    &endless_retrigger::RULE,
    &exception_expired::RULE,
    &exception_unused::RULE,
    &feedback::RULE,
    &forced_output::RULE,
    &fuse_mismatch::RULE,
    &held_open_fills_store::RULE,
    &holiday_not_covered::RULE,
    &idle_output::RULE,
    &import_cycle::RULE,
    &impossible_value::RULE,
    &inductive_unsuppressed::RULE,
    &loop_out_of_band::RULE,
    &loop_states_overlap::RULE,
    &missing_fact::RULE,
    &never_active::RULE,
    &never_armed::RULE,
    &outside_workspace::RULE,
    &overvoltage::RULE,
    &pulse_too_short::RULE,
    &rating_not_given::RULE,
    &reading_out_of_window::RULE,
    &recharge_too_slow::RULE,
    &recording_not_kept::RULE,
    &rehearsal_fails::RULE,
    &rest_state_mismatch::RULE,
    &retention_too_short::RULE,
    &said_twice::RULE,
    &schedule_empty::RULE,
    &schedule_overlap::RULE,
    &setting_not_offered::RULE,
    &silent_zone::RULE,
    &sounder_run_too_long::RULE,
    &spare_too_small::RULE,
    &standby_too_short::RULE,
    &supply_overload::RULE,
    &syntax::RULE,
    &tamper_not_told::RULE,
    &terminal_reused::RULE,
    &unanswered_panic::RULE,
    &undervoltage::RULE,
    &unknown_name::RULE,
    &unknown_terminal::RULE,
    &unreadable_file::RULE,
    &unsupervised_panic::RULE,
    &unsupervised_tamper::RULE,
    &unused_name::RULE,
    &voltage_collapse::RULE,
    &wrong_dimension::RULE,
];

/// The rule of a name.
#[must_use]
pub fn rule(name: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.name == name)
}
