//! Fuzzes `curtilage_fuzz::parser`.

#![no_main]

curtilage_fuzz::fuzz!(parser);
