//! What would mend a cable: a thicker conductor or a shorter run.

use super::{Conductor, ConductorError};
use crate::input::{BadInput, positive, zero_or_more};

/// The longest run, m one way, whose out-and-back resistance stays within a budget:
/// `(budget - joints) / (2 * R(T))`. Zero when the joints alone use the budget up.
///
/// # Errors
/// [`ConductorError::Input`] for a budget or a temperature that cannot be used.
pub fn longest_run_within(
    conductor: &Conductor,
    budget_ohm: f64,
    joints_ohm: f64,
    temperature_c: f64,
) -> Result<f64, ConductorError> {
    let budget = zero_or_more("resistance budget", budget_ohm)?;
    let joints = zero_or_more("joint resistance", joints_ohm)?;
    Ok((budget - joints).max(0.0) / (2.0 * conductor.ohm_per_m(temperature_c)?))
}

/// The longest length up to `limit_m` that `works`, in whole steps of `step_m`;
/// none if not even length zero does.
///
/// `works` must not come back once it has failed: a longer cable never raises a far
/// voltage in a tree. It is asked about 20 times.
///
/// # Errors
/// [`BadInput`] for a limit or a step that is not positive, or from `works`.
pub fn longest_run<E: From<BadInput>>(
    limit_m: f64,
    step_m: f64,
    mut works: impl FnMut(f64) -> Result<bool, E>,
) -> Result<Option<f64>, E> {
    let limit = positive("length limit", limit_m)?;
    let step = positive("length step", step_m)?;
    if !works(0.0)? {
        return Ok(None);
    }
    let (mut good, mut bad) = (0.0, (limit / step).floor() + 1.0);
    loop {
        let mid = good + ((bad - good) / 2.0).floor();
        // They are neighbours, or counts above 2^53, which no longer move.
        if mid <= good || mid >= bad {
            break;
        }
        if works(mid * step)? {
            good = mid;
        } else {
            bad = mid;
        }
    }
    Ok(Some(good * step))
}

/// The first of the candidates (smallest first) that `works`; none if none does.
///
/// # Errors
/// Those of `works`.
pub fn smallest_size<E>(
    candidates: impl Iterator<Item = Conductor>,
    mut works: impl FnMut(&Conductor) -> Result<bool, E>,
) -> Result<Option<Conductor>, E> {
    for c in candidates {
        if works(&c)? {
            return Ok(Some(c));
        }
    }
    Ok(None)
}
