//! Fuzzes `curtilage_fuzz::format`.

#![no_main]

curtilage_fuzz::fuzz!(format);
