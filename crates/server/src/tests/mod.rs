//! Transcripts over in-memory pipes.
