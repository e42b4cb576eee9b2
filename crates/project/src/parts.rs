//! What was asked of parts for the file before, which most likely uses the same ones.

use curtilage_facts::Before;
use std::cell::RefCell;

thread_local! {
    static PARTS: RefCell<Before> = RefCell::new(Before::of_parts());
}

/// Works something out after what this thread asked of parts before.
pub(crate) fn after_parts<T>(work: impl FnOnce(&mut Before) -> T) -> T {
    PARTS.with_borrow_mut(work)
}
