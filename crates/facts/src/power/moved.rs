//! Which root contacts are not where they rest.

use smallvec::SmallVec;

/// The root contacts that are moved, by number; at rest none is. A supply's loads hang on few of a
/// site's, and the others are left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Moved {
    /// In order, each once.
    roots: SmallVec<[usize; 4]>,
}

impl Moved {
    pub(crate) fn contains(&self, root: usize) -> bool {
        self.roots.binary_search(&root).is_ok()
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.roots.is_empty()
    }

    /// The same, with one of them in its other state.
    pub(crate) fn with_other(mut self, root: usize) -> Self {
        match self.roots.binary_search(&root) {
            Ok(at) => {
                self.roots.remove(at);
            }
            Err(at) => self.roots.insert(at, root),
        }
        self
    }
}

impl FromIterator<usize> for Moved {
    fn from_iter<I: IntoIterator<Item = usize>>(roots: I) -> Self {
        let mut roots: SmallVec<[usize; 4]> = roots.into_iter().collect();
        roots.sort_unstable();
        roots.dedup();
        Self { roots }
    }
}

#[cfg(test)]
mod tests {
    use super::Moved;

    #[test]
    fn a_contact_is_moved_or_it_is_not() {
        let moved: Moved = [7, 2, 7].into_iter().collect();
        assert!(moved.contains(2) && moved.contains(7) && !moved.contains(3));
        let other = moved.clone().with_other(3).with_other(2);
        assert_eq!(other, [3, 7].into_iter().collect());
        assert_eq!(other.with_other(3).with_other(2), moved);
        assert!(Moved::default().is_empty() && !moved.is_empty());
    }
}
