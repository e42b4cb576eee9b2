//! Helps tests: reads expected findings from markers in a site file, blocks from Markdown, and
//! checks texts that are not on disk.

mod blocks;
mod large;
mod markers;
mod texts;

pub use blocks::{Block, blocks};
pub use large::large_site;
pub use markers::{Expected, expected, unmarked};
pub use texts::{TODAY, Text, check_texts, line_of, root, site_files};
