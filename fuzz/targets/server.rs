//! Fuzzes `curtilage_fuzz::server`.

#![no_main]

curtilage_fuzz::fuzz!(server);
