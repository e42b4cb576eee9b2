//! What holds for any bytes, one module a subject. A target in `targets` hands bytes to its
//! module's `holds`, which panics when something does not hold.

pub mod check;
pub mod compare;
pub mod format;
pub mod import;
pub mod lexer;
pub mod mutate;
pub mod papers;
pub mod parser;
pub mod record;
pub mod server;
mod site;

pub use libfuzzer_sys;

/// The main function of a target.
#[macro_export]
macro_rules! fuzz {
    ($subject:ident) => {
        use $crate::libfuzzer_sys::{self, fuzz_mutator, fuzz_target, fuzzer_mutate};

        fuzz_target!(|data: &[u8]| $crate::$subject::holds(data));

        fuzz_mutator!(|data: &mut [u8], size: usize, most: usize, seed: u32| {
            $crate::mutate::mutate(data, size, most, seed, fuzzer_mutate)
        });
    };
}
