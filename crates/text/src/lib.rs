//! Places in text: byte spans, file ids, line and column look-up, and decoding of raw bytes.
//!
//! Nothing here reads a file. A span is a half-open range of byte offsets; a file is at most
//! [`MAX_FILE_BYTES`] long, so `u32` offsets suffice.

mod decode;
mod line_index;
mod span;

pub use decode::{Decoded, TextFault, TextFaultKind, decode, odd_breaks};
pub use line_index::{LineIndex, Position};
pub use span::{FileId, Place, Span};

/// The longest file that is read, in bytes (16 MiB). A site of 64 zones is about 20 kB.
pub const MAX_FILE_BYTES: usize = 16 * 1024 * 1024;
