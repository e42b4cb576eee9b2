//! A small generator of even numbers from a seed, the same on every machine: xorshift64.
#![allow(dead_code, reason = "not every test asks for both")]

pub(crate) struct Random(pub(crate) u64);

impl Random {
    /// From 0 up to 1.
    pub(crate) fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// One of 0 to `n` - 1.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        ((self.next() * n as f64) as usize).min(n - 1)
    }
}
