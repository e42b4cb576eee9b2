//! Which supply feeds something, over which way, and at which voltages.

use curtilage_circuit::Interval;
use curtilage_model::{CableId, Model, Origin, Supply, SupplyId, Terminal};
use curtilage_syntax::tree::{CurrentKind, part};

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
                let volts = range(model.supply(supply)?)?;
                let kind = model.supply(supply)?.part?.sheet.kind?.value;
                return Some(Feeding { supply, kind, volts, way });
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

/// V at a supply, from the lowest at which everything has to work to the highest in operation. The
/// lowest is the end of discharge when the supply has a battery and its sheet says where it gives
/// up; without a battery it is the lower end of what it gives.
#[must_use]
pub(crate) fn range(supply: &Supply<'_>) -> Option<Interval> {
    range_of(supply.part?.sheet, supply.tree.battery.is_some())
}

/// The same for a part that the supply could be.
pub(crate) fn range_of(sheet: &part::Supply, battery: bool) -> Option<Interval> {
    let gives = sheet.gives?.value;
    let empty = sheet.empty.filter(|_| battery);
    let low = empty.map_or(gives.low, |empty| empty.value.min(gives.low));
    Interval::new(low, gives.high).ok()
}
