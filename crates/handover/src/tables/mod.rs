//! The tables of the papers, one file a subject. Each reads the facts and words them; none
//! calculates.

pub(crate) mod assumptions;
pub(crate) mod batteries;
pub(crate) mod cables;
pub(crate) mod contacts;
pub(crate) mod findings;
pub(crate) mod footage;
pub(crate) mod hours;
pub(crate) mod labels;
pub(crate) mod loops;
pub(crate) mod materials;
pub(crate) mod matrix;
pub(crate) mod outputs;
pub(crate) mod site;
pub(crate) mod supplies;
pub(crate) mod terminals;
#[cfg(test)]
mod tests;
pub(crate) mod zones;
