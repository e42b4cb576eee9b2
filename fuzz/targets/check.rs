//! Fuzzes `curtilage_fuzz::check`.

#![no_main]

curtilage_fuzz::fuzz!(check);
