//! What is taken for granted where neither a file nor a standard says it. Each figure stands at the
//! calculation that needs it; here they can be told to people.

pub use crate::battery::CHARGE_FACTOR;
pub use crate::loops::CLOSED_CONTACT;
pub use crate::readings::{LEADS, METER};
pub use curtilage_circuit::battery::{AGEING_FACTOR, TEMPERATURE_FACTORS};
