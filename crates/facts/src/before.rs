//! What the engines were asked for the version before, and what they answered. A keystroke changes
//! one thing; for all others they are asked the same again.
//!
//! A question holds figures alone, no name and no place, so its answer holds wherever in the text it
//! comes from. It is the same only when each of its figures is.

use crate::battery;
use crate::loops;
use crate::power;
use curtilage_circuit::battery::Kinetic;
use std::collections::VecDeque;

/// The questions of one version after the other of one file, or of one file after the other.
#[derive(Default)]
pub struct Before {
    pub(crate) loops: loops::Before,
    pub(crate) networks: Turns<power::Question, power::Answer>,
    pub(crate) batteries: Turns<battery::Question, battery::Answer>,
    /// The two wells of batteries by their capacities, Ah; none when they fit none.
    pub(crate) wells: Turns<[f64; 3], Option<Kinetic>>,
}

impl Before {
    /// Nothing was asked before, and nothing is kept.
    #[must_use]
    pub fn nothing() -> Self {
        Self::default()
    }

    /// Nothing was asked before; what is asked now is kept.
    #[must_use]
    pub fn kept() -> Self {
        let mut kept = Self::default();
        kept.loops.keep();
        kept.networks.keep();
        kept.batteries.keep();
        kept.wells.keep();
        kept
    }

    /// Nothing was asked before; what is asked of parts alone is kept, for other files that use the same ones.
    #[must_use]
    pub fn of_parts() -> Self {
        let mut kept = Self::default();
        kept.loops.keep_patterns();
        kept.wells.keep();
        kept
    }

    /// What was asked since the last turn is what was asked before.
    pub(crate) fn turn(&mut self) {
        self.loops.turn();
        self.networks.turn();
        self.batteries.turn();
        self.wells.turn();
    }
}

/// Questions of one kind, in the order in which they are asked.
pub(crate) struct Turns<Q, A> {
    keeps: bool,
    /// Those that have not been met again.
    before: VecDeque<(Q, A)>,
    now: VecDeque<(Q, A)>,
}

/// Among so many of the next questions of the version before one is looked for: something may have
/// come in between, gone, or changed.
const NEAR: usize = 8;

impl<Q, A> Default for Turns<Q, A> {
    fn default() -> Self {
        Self { keeps: false, before: VecDeque::new(), now: VecDeque::new() }
    }
}

impl<Q: Clone + PartialEq, A: Clone> Turns<Q, A> {
    pub(crate) fn keep(&mut self) {
        self.keeps = true;
    }

    /// The answer to a question: as before, or worked out.
    pub(crate) fn answer(&mut self, question: &Q, work: impl FnOnce(&Q) -> A) -> A {
        if !self.keeps {
            return work(question);
        }
        // Nearly always it is the next one.
        let next = self.before.front().is_some_and(|(asked, _)| asked == question);
        let known = if next { self.before.pop_front() } else { self.further(question) };
        let (question, answer) = known.unwrap_or_else(|| (question.clone(), work(question)));
        self.now.push_back((question, answer.clone()));
        answer
    }

    /// One of the next questions; those before it are not met again.
    fn further(&mut self, question: &Q) -> Option<(Q, A)> {
        let near = self.before.iter().take(NEAR);
        let further = near.enumerate().skip(1).find(|(_, (asked, _))| asked == question)?.0;
        self.before.drain(..further);
        self.before.pop_front()
    }

    pub(crate) fn turn(&mut self) {
        self.before = std::mem::take(&mut self.now);
        self.now.reserve(self.before.len());
    }
}

#[cfg(test)]
mod tests {
    use super::{NEAR, Turns};
    use proptest::prelude::*;

    /// Asks for squares; which of them had to be worked out.
    fn worked_out(turns: &mut Turns<u32, u32>, questions: &[u32]) -> Vec<u32> {
        let mut worked_out = Vec::new();
        for question in questions {
            let answer = turns.answer(question, |question| {
                worked_out.push(*question);
                question * question
            });
            assert_eq!(answer, question * question);
        }
        turns.turn();
        worked_out
    }

    #[test]
    fn what_changed_is_worked_out_and_nothing_else() {
        let mut turns = Turns::default();
        turns.keep();
        assert_eq!(worked_out(&mut turns, &[1, 2, 3, 4, 5]).len(), 5);
        assert_eq!(worked_out(&mut turns, &[1, 2, 3, 4, 5]), []);
        assert_eq!(worked_out(&mut turns, &[1, 2, 9, 4, 5]), [9], "changed");
        assert_eq!(worked_out(&mut turns, &[1, 2, 4, 5]), [], "gone");
        assert_eq!(worked_out(&mut turns, &[1, 8, 2, 4, 5]), [8], "come");
        assert_eq!(worked_out(&mut turns, &[7, 6, 2, 4, 5]), [7, 6], "two changed");
    }

    #[test]
    fn what_is_not_kept_is_worked_out_each_time() {
        let mut turns = Turns::default();
        assert_eq!(worked_out(&mut turns, &[1, 1]), [1, 1]);
        assert_eq!(worked_out(&mut turns, &[1]), [1]);
    }

    proptest! {
        /// The answers are right, whatever was asked before, and few changes are few questions.
        #[test]
        fn one_change_is_one_question(
            before in prop::collection::vec(0u32..1000, 0..60),
            at in any::<prop::sample::Index>(),
            with in prop::collection::vec(0u32..1000, 0..3),
            less in 0..NEAR,
        ) {
            let mut turns = Turns::default();
            turns.keep();
            worked_out(&mut turns, &before);
            let at = at.index(before.len() + 1);
            let end = (at + less).min(before.len());
            let now: Vec<u32> = before[..at].iter().chain(&with).chain(&before[end..]).copied().collect();
            let found = worked_out(&mut turns, &now);
            // A new one that is equal to one of the next is taken for it, which makes others new.
            if with.iter().all(|new| !before.contains(new)) {
                prop_assert_eq!(found, with);
            }
        }
    }
}
