//! Reads a text again of which an earlier version was read: only the items that an edit touches, the
//! others are taken over and moved.
//!
//! That is sound because no item knows of another: an item begins where the line is new, no block and
//! no comma is open, and what is read up to there leaves nothing behind. Wherever that cannot be
//! seen at a glance, the whole text is to be read.

use crate::fault::{Fault, FaultKind};
use crate::parse::{Again, Head, MOST_FAULTS, Parsed, Read, in_order, of_text};
use crate::tree::{File, Item, Shift};
use curtilage_text::{TextFaultKind, odd_breaks};

/// Parses `source`, of which `before` is an earlier version, parsed. It gives what [`crate::parse`]
/// would for a text that was decoded already, or nothing where it would have to read all of it.
#[must_use]
pub fn parse_again(before: &str, parsed: &Parsed, source: &str) -> Option<Parsed> {
    let uncertain = |fault: &Fault| {
        matches!(fault.kind, FaultKind::Text(TextFaultKind::NotUtf8) | FaultKind::TooMany { .. })
    };
    if !parsed.straight || parsed.faults.iter().any(uncertain) {
        return None;
    }
    let cut = Cut::new(before, &parsed.heads, source)?;
    let text = source.get(cut.start..cut.end)?;
    let mut faults = of_text(&odd_breaks(text));
    let mut read = Read::default();
    let end = read.straight(text, &mut faults)?;
    if !cut.to_the_end && end.in_a_list {
        return None;
    }
    in_order(text, &mut faults);
    let by = u32::try_from(cut.start).ok()?;
    read.items.iter_mut().for_each(|item| item.shift(by));
    faults.iter_mut().for_each(|fault| fault.shift(by));
    let faults = cut.faults(&parsed.faults, faults);
    if faults.len() > MOST_FAULTS {
        return None;
    }
    let (heads, items) = cut.items(&parsed.heads, &parsed.file.items, read.heads, read.items);
    Some(Parsed { file: File { items }, faults, heads, straight: true, again: Again::default() })
}

/// What has to be read.
struct Cut {
    /// The statements of the top from `first` to before `last` are read again.
    first: usize,
    last: usize,
    /// Where the text begins that is read, in both versions.
    start: usize,
    /// Where it ends, in the earlier version and in the new one.
    end_before: usize,
    end: usize,
    /// Whether that is the end of the text.
    to_the_end: bool,
    /// By how much what follows is moved; it wraps.
    moved: u32,
}

impl Cut {
    fn new(before: &str, heads: &[Head], source: &str) -> Option<Self> {
        let (old, new) = (before.as_bytes(), source.as_bytes());
        let same = common(old, new);
        let tail = common_end(old.get(same..)?, new.get(same..)?);
        let (changed_before, changed) = (old.len() - tail, new.len() - tail);
        // The first letter of the first statement stays as it was, and so does the line end before
        // the one behind the last.
        let mut first = heads.partition_point(|head| (head.start as usize) < same);
        let start = loop {
            let Some(before) = first.checked_sub(1) else { break 0 };
            first = before;
            let start = heads.get(first)?.start as usize;
            if line_start(old, start).is_some() {
                break start;
            }
        };
        let mut last = heads.partition_point(|head| (head.start as usize) <= changed_before);
        let end_before = loop {
            let Some(head) = heads.get(last) else { break old.len() };
            let start = head.start as usize;
            if line_start(old, start).is_some_and(|line| line > changed_before) {
                break start;
            }
            last += 1;
        };
        let end = end_before - changed_before + changed;
        let moved = u32::try_from(end).ok()?.wrapping_sub(u32::try_from(end_before).ok()?);
        let to_the_end = last >= heads.len();
        Some(Self { first, last, start, end_before, end, to_the_end, moved })
    }

    fn faults(&self, before: &[Fault], read: Vec<Fault>) -> Vec<Fault> {
        let from = |offset: usize| before.partition_point(|one| (one.span.start as usize) < offset);
        let mut faults = before.get(..from(self.start)).unwrap_or_default().to_vec();
        faults.extend(read);
        // One may stand at the very end of the text; when that is read again, it is found again.
        let kept = if self.to_the_end { before.len() } else { from(self.end_before) };
        let tail = before.get(kept..).unwrap_or_default();
        faults.extend(moved(tail, self.moved));
        faults
    }

    fn items(
        &self,
        heads: &[Head],
        items: &[Item],
        read_heads: Vec<Head>,
        read: Vec<Item>,
    ) -> (Vec<Head>, Vec<Item>) {
        let before = |head: usize| heads.get(head).map_or(items.len(), |head| head.before as usize);
        let (kept, tail) = (before(self.first), before(self.last));
        let count = |length: usize| u32::try_from(length).unwrap_or(u32::MAX);
        let mut all = Vec::with_capacity(items.len() + read.len());
        all.extend(items.get(..kept).unwrap_or_default().iter().cloned());
        all.extend(read);
        let now = all.len();
        all.extend(moved(items.get(tail..).unwrap_or_default(), self.moved));
        let mut all_heads = heads.get(..self.first).unwrap_or_default().to_vec();
        all_heads.extend(read_heads.into_iter().map(|head| Head {
            start: head.start + count(self.start),
            before: head.before + count(kept),
        }));
        all_heads.extend(heads.get(self.last..).unwrap_or_default().iter().map(|head| Head {
            start: head.start.wrapping_add(self.moved),
            before: head.before - count(tail) + count(now),
        }));
        (all_heads, all)
    }
}

/// What is taken over, in its new place.
fn moved<T: Clone + Shift>(list: &[T], by: u32) -> impl Iterator<Item = T> {
    list.iter().cloned().map(move |mut one| {
        one.shift(by);
        one
    })
}

/// Where the line of `at` begins, when only blanks stand before it there. A lone CR is not taken for
/// a line end.
fn line_start(text: &[u8], at: usize) -> Option<usize> {
    let before = text.get(..at)?;
    let blanks = before.iter().rev().take_while(|byte| matches!(byte, b' ' | b'\t')).count();
    let start = at - blanks;
    (start == 0 || text.get(start - 1) == Some(&b'\n')).then_some(start)
}

/// The sizes of the pieces in which two texts are compared, one after the other.
const STEPS: [usize; 3] = [4096, 64, 1];

/// How many bytes two texts have in common at their start.
fn common(a: &[u8], b: &[u8]) -> usize {
    STEPS.iter().fold(0, |from, step| {
        let rest = |text: &[u8]| text.len().min(from);
        let (a, b) = (a.split_at(rest(a)).1, b.split_at(rest(b)).1);
        let pieces = a.chunks_exact(*step).zip(b.chunks_exact(*step));
        from + step * pieces.take_while(|(a, b)| a == b).count()
    })
}

/// How many bytes two texts have in common at their end.
fn common_end(a: &[u8], b: &[u8]) -> usize {
    STEPS.iter().fold(0, |from, step| {
        let rest = |text: &[u8]| text.len().saturating_sub(from);
        let (a, b) = (a.split_at(rest(a)).0, b.split_at(rest(b)).0);
        let pieces = a.rchunks_exact(*step).zip(b.rchunks_exact(*step));
        from + step * pieces.take_while(|(a, b)| a == b).count()
    })
}
