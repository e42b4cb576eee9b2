//! Fuzzes `curtilage_fuzz::record`.

#![no_main]

curtilage_fuzz::fuzz!(record);
