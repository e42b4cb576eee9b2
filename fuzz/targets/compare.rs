//! Fuzzes `curtilage_fuzz::compare`.

#![no_main]

curtilage_fuzz::fuzz!(compare);
