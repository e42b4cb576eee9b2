//! "Did you mean": the known word that is nearest to a written one.

use std::cmp::Reverse;

/// The candidate with the smallest edit distance to `word`, when it is near enough to be what was
/// meant: one edit for short words, up to a third of the letters for longer ones. A swap of two
/// neighbours counts as one edit (optimal string alignment distance). Of candidates that are equally
/// near, one of the written length was meant, then the one that begins alike for longer; the last ties
/// go to the first in order of the alphabet, so the answer does not hang on the caller's order.
#[must_use]
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    ranked(word, candidates).map(|(_, candidate, _)| candidate)
}

/// The same where no other candidate is as near: `Sut` may be a Saturday or a Sunday.
#[must_use]
pub fn only_nearest<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    ranked(word, candidates).filter(|(.., tied)| !tied).map(|(_, candidate, _)| candidate)
}

/// The nearest candidate, and whether another one is as near.
fn ranked<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<(Rank, &'a str, bool)> {
    let letters: Vec<char> = word.chars().flat_map(char::to_lowercase).collect();
    let limit = (letters.len() / 3).clamp(1, 4);
    let mut best: Option<(Rank, &str, bool)> = None;
    for candidate in candidates {
        if candidate == word || candidate.chars().count().abs_diff(letters.len()) > limit {
            continue;
        }
        let other: Vec<char> = candidate.chars().flat_map(char::to_lowercase).collect();
        let distance = distance(&letters, &other);
        let alike = letters.iter().zip(&other).take_while(|(a, b)| a == b).count();
        let rank = (distance, letters.len().abs_diff(other.len()), Reverse(alike));
        if distance > limit {
            continue;
        }
        let tied = best.is_some_and(|(least, name, _)| least.0 == distance && name != candidate);
        match &mut best {
            Some(best) if (best.0, best.1) <= (rank, candidate) => best.2 |= tied,
            _ => best = Some((rank, candidate, tied)),
        }
    }
    best
}

/// The distance, by how much the lengths differ, and how many first letters are the same.
type Rank = (usize, usize, Reverse<usize>);

/// Optimal string alignment distance, three rows at a time.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, left) in a.iter().enumerate() {
        let mut row = Vec::with_capacity(b.len() + 1);
        row.push(i + 1);
        for (j, right) in b.iter().enumerate() {
            let get = |row: &[usize], at: usize| row.get(at).copied().unwrap_or(usize::MAX / 2);
            let mut cost = (get(&last, j + 1) + 1)
                .min(get(&row, j) + 1)
                .min(get(&last, j) + usize::from(left != right));
            let swapped =
                i > 0 && j > 0 && a.get(i - 1) == Some(right) && b.get(j - 1) == Some(left);
            if swapped {
                cost = cost.min(get(&before, j - 1) + 1);
            }
            row.push(cost);
        }
        before = std::mem::replace(&mut last, row);
    }
    last.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn finds_what_was_meant_and_nothing_else() {
        let names = ["panic-desk", "dock-door", "yard-siren"];
        assert_eq!(nearest("panic-dsek", names), Some("panic-desk"));
        assert_eq!(nearest("Yard-Siren", names), Some("yard-siren"));
        assert_eq!(nearest("dock-dor", names), Some("dock-door"));
        assert_eq!(nearest("kitchen", names), None);
        assert_eq!(nearest("m", ["s", "h"]), Some("h"));
    }

    #[test]
    fn of_equally_near_ones_the_written_length_and_the_same_start_count() {
        assert_eq!(nearest("inpust", ["input", "inputs"]), Some("inputs"));
        assert_eq!(nearest("relasy", ["relay", "relays"]), Some("relays"));
        assert_eq!(nearest("contacst", ["contact", "contacts"]), Some("contacts"));
        assert_eq!(nearest("yard3", ["bard3", "yard1", "yard2"]), Some("yard1"));
    }
}
