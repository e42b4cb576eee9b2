//! Fuzzes `curtilage_fuzz::papers`.

#![no_main]

curtilage_fuzz::fuzz!(papers);
