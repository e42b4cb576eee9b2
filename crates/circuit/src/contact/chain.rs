//! Interposing relays: the shortest chain from a weak contact to a heavy load.

use super::check::{ContactLoad, check};
use super::rating::RatingRow;

/// A relay that may be put between: what its coil asks and what its contact carries.
#[derive(Debug, Clone, Copy)]
pub struct Relay<'a> {
    /// The coil as a load of the contact before it.
    pub coil: ContactLoad,
    /// The rating of its own contact.
    pub contact: &'a [RatingRow],
}

/// The shortest chain of relays so that `contact` drives the first coil, each relay
/// the next, and the last one what hangs on the contact now: `carries` says whether a
/// rating does. Relays are given by their place in `relays`, the one nearest to the
/// contact first; of equally short chains the earliest.
///
/// An empty chain means that the contact carries the loads itself; none that no chain
/// of at most `longest` relays does.
#[must_use]
pub fn interposing_chain(
    contact: &[RatingRow],
    carries: impl Fn(&[RatingRow]) -> bool,
    relays: &[Relay<'_>],
    longest: usize,
) -> Option<Vec<usize>> {
    if carries(contact) {
        return Some(Vec::new());
    }
    // From the load back: `chains` ends with relays whose contact carries what follows.
    let mut seen = vec![false; relays.len()];
    let mut chains: Vec<Vec<usize>> = vec![Vec::new()];
    for _ in 0..longest {
        let mut longer = Vec::new();
        for chain in &chains {
            let next = match chain.first() {
                None => None,
                Some(&k) => Some(relays.get(k)?.coil),
            };
            for (k, (relay, seen)) in relays.iter().zip(&mut seen).enumerate() {
                let fits = || match &next {
                    None => carries(relay.contact),
                    Some(coil) => check(relay.contact, coil).is_within(),
                };
                if *seen || !fits() {
                    continue;
                }
                *seen = true;
                let mut c = Vec::with_capacity(chain.len() + 1);
                c.push(k);
                c.extend_from_slice(chain);
                longer.push(c);
            }
        }
        let found = longer.iter().find(|c| {
            c.first()
                .and_then(|&k| relays.get(k))
                .is_some_and(|r| check(contact, &r.coil).is_within())
        });
        if let Some(c) = found {
            return Some(c.clone());
        }
        chains = longer;
    }
    None
}
