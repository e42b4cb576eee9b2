//! Which supply feeds something, over which way, and at which voltages.

use curtilage_circuit::Interval;
use curtilage_model::{CableId, Model, Origin, SupplyId, Terminal};
use curtilage_syntax::tree::CurrentKind;

/// One step of the way from a load back to its supply.
#[derive(Clone, Copy, Debug)]
pub enum Step<'a> {
    /// A tap of a cable.
    Tap(CableId, usize),
    /// An outlet of a controller, which is fed itself.
    Outlet(Terminal<'a>),
}

/// The supply that feeds something.
#[derive(Clone, Debug)]
pub struct Feeding<'a> {
    /// The supply.
    pub supply: SupplyId,
    /// dc or ac.
    pub kind: CurrentKind,
    /// V at the supply, from the end of discharge to the highest in operation.
    pub volts: Interval,
    /// The way back to the supply, the nearest step first.
    pub way: Vec<Step<'a>>,
}

/// Follows an origin back to its supply. `None` when a name or a figure on the way is not known, or
/// when the way runs in a ring.
#[must_use]
pub fn feeding<'a>(model: &Model<'a>, origin: Origin<'a>) -> Option<Feeding<'a>> {
    let mut way = Vec::new();
    let mut at = origin;
    loop {
        if way.len() > model.cables.len() + model.controllers.len() {
            return None;
        }
        at = match at {
            Origin::Supply(supply) => {
                let sheet = model.supply(supply)?.part?.sheet;
                let gives = sheet.gives?.value;
                let low = sheet.empty.map_or(gives.low, |empty| empty.value.min(gives.low));
                let volts = Interval::new(low, gives.high).ok()?;
                return Some(Feeding { supply, kind: sheet.kind?.value, volts, way });
            }
            Origin::Tap(cable, tap) => {
                way.push(Step::Tap(cable, tap));
                model.cable(cable)?.from?
            }
            Origin::Outlet(terminal) => {
                way.push(Step::Outlet(terminal));
                model.controller(terminal.controller)?.fed?.origin
            }
        };
    }
}
