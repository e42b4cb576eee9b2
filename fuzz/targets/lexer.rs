//! Fuzzes `curtilage_fuzz::lexer`.

#![no_main]

curtilage_fuzz::fuzz!(lexer);
