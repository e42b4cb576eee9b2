//! Fuzzes `curtilage_fuzz::import`.

#![no_main]

curtilage_fuzz::fuzz!(import);
