//! Checks of the schedule engine against its oracles and against plain definitions.

#![allow(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

mod algebra;
mod fixture;
mod naive;
mod overlaps;
mod queries;
mod random;
mod rfc5545;
mod speed;
mod support;
mod text;
mod values;
mod zones;
