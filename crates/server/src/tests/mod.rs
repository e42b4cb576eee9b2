//! Transcripts over pipes in memory. Nothing here waits for time, only for messages.

mod capabilities;
mod client;
mod diagnostics;
mod ends;
mod files;
mod fixtures;
mod order;
mod random;
mod rough;
mod shown;
mod unusual;
