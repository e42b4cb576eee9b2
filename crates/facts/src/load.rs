//! What a load draws at a range of voltages.

use curtilage_circuit::Interval;
use curtilage_syntax::tree::part::{Draw, Law};

/// A current and the voltage at which it flows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amps {
    /// A.
    pub amps: f64,
    /// V at which it is drawn.
    pub volts: f64,
}

/// The most that a load draws within a range of voltages.
///
/// A current is drawn as it is (`constant current`, also when the sheet does not say). A power `P`
/// is drawn as `P / U` (`constant power`, also when the sheet does not say), most at the lowest
/// voltage. A `resistive` load has the resistance that its sheet's figure gives at the highest
/// voltage of its sheet, and draws most at the highest voltage.
///
/// `None` when the voltage that is needed is not given, or not above zero.
#[must_use]
pub fn amps_of(draw: &Draw, volts: Interval) -> Option<Amps> {
    let amount = draw.amount.value;
    let at = |amps: f64, volts: f64| (amps.is_finite()).then_some(Amps { amps, volts });
    match (draw.power, draw.law.map(|law| law.value)) {
        (false, None | Some(Law::ConstantCurrent)) => at(amount, volts.hi()),
        (true, None | Some(Law::ConstantPower)) => at(amount / volts.lo(), volts.lo()),
        (false, Some(Law::ConstantPower)) => {
            let rated = draw.works?.value.high;
            at(amount * rated / volts.lo(), volts.lo())
        }
        (true, Some(Law::ConstantCurrent)) => at(amount / draw.works?.value.high, volts.hi()),
        (false, Some(Law::Resistive)) => {
            at(amount * volts.hi() / draw.works?.value.high, volts.hi())
        }
        (true, Some(Law::Resistive)) => {
            let rated = draw.works?.value.high;
            at(amount * volts.hi() / (rated * rated), volts.hi())
        }
    }
}
