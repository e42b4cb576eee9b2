//! What starting and ending a process costs.

fn main() {}
