//! Two texts as edits of whole lines, so that the cursor stays where it is on lines that do not
//! change.

use curtilage_text::Span;

/// Above so many line pairs the middle is replaced as a whole.
const MOST_CELLS: usize = 4_000_000;

/// The edits that make `old` into `new`, in order; no two overlap.
pub(crate) fn edits(old: &str, new: &str) -> Vec<(Span, String)> {
    let (before, after): (Vec<&str>, Vec<&str>) =
        (old.split_inclusive('\n').collect(), new.split_inclusive('\n').collect());
    let head = before.iter().zip(&after).take_while(|(a, b)| a == b).count();
    let shorter = before.len().min(after.len()) - head;
    let same = |(a, b): &(&&str, &&str)| a == b;
    let tail = before.iter().rev().zip(after.iter().rev()).take(shorter).take_while(same).count();
    let before_middle = before.get(head..before.len() - tail).unwrap_or_default();
    let after_middle = after.get(head..after.len() - tail).unwrap_or_default();
    let mut at = before.iter().take(head).map(|line| line.len()).sum::<usize>();
    let mut out: Vec<(Span, String)> = Vec::new();
    let span = |from: usize, to: usize| {
        Span::new(u32::try_from(from).unwrap_or(u32::MAX), u32::try_from(to).unwrap_or(u32::MAX))
    };
    for step in steps(before_middle, after_middle) {
        match step {
            Step::Keep(line) => at += line.len(),
            Step::Drop(line) => {
                let end = at + line.len();
                match out.last_mut() {
                    Some((last, _)) if last.end as usize == at => *last = last.to(span(at, end)),
                    _ => out.push((span(at, end), String::new())),
                }
                at = end;
            }
            Step::Add(line) => match out.last_mut() {
                Some((last, text)) if last.end as usize == at => text.push_str(line),
                _ => out.push((span(at, at), line.to_owned())),
            },
        }
    }
    out
}

enum Step<'a> {
    Keep(&'a str),
    Drop(&'a str),
    Add(&'a str),
}

/// The longest common subsequence of lines, by the table of its lengths (textbook).
fn steps<'a>(old: &[&'a str], new: &[&'a str]) -> Vec<Step<'a>> {
    let width = new.len() + 1;
    if old.len().saturating_mul(new.len()) > MOST_CELLS {
        let dropped = old.iter().map(|line| Step::Drop(line));
        return dropped.chain(new.iter().map(|line| Step::Add(line))).collect();
    }
    // The cell of (i, j) is the length for the lines from i and from j on.
    let mut table = vec![0u32; (old.len() + 1) * width];
    let cell = |table: &[u32], i: usize, j: usize| table.get(i * width + j).copied().unwrap_or(0);
    for (i, a) in old.iter().enumerate().rev() {
        for (j, b) in new.iter().enumerate().rev() {
            let best = if a == b {
                cell(&table, i + 1, j + 1) + 1
            } else {
                cell(&table, i + 1, j).max(cell(&table, i, j + 1))
            };
            if let Some(place) = table.get_mut(i * width + j) {
                *place = best;
            }
        }
    }
    let (mut i, mut j, mut out) = (0, 0, Vec::new());
    loop {
        match (old.get(i), new.get(j)) {
            (Some(a), Some(b)) if a == b => {
                out.push(Step::Keep(a));
                (i, j) = (i + 1, j + 1);
            }
            (Some(a), b) if b.is_none() || cell(&table, i + 1, j) >= cell(&table, i, j + 1) => {
                out.push(Step::Drop(a));
                i += 1;
            }
            (_, Some(b)) => {
                out.push(Step::Add(b));
                j += 1;
            }
            (_, None) => return out,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::edits;
    use proptest::prelude::*;

    fn applied(old: &str, new: &str) -> String {
        let mut text = old.to_owned();
        for (span, with) in edits(old, new).into_iter().rev() {
            text.replace_range(span.start as usize..span.end as usize, &with);
        }
        text
    }

    #[test]
    fn only_lines_that_differ_are_touched() {
        let found = edits("a\nb\nc\nd\ne\n", "a\nB\nc\nd\nx\ne\n");
        let texts: Vec<&str> = found.iter().map(|(_, text)| text.as_str()).collect();
        assert_eq!(texts, ["B\n", "x\n"]);
    }

    proptest! {
        #[test]
        fn the_edits_make_one_text_into_the_other(old in "[ab\n]{0,40}", new in "[ab\n]{0,40}") {
            prop_assert_eq!(applied(&old, &new), new);
        }
    }
}
