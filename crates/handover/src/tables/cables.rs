//! The cable schedule: every length, from where to where, with the use of its cores.

use crate::table::{Cell, Table, cells};
use crate::wires::Wires;
use crate::words;

pub(crate) fn table(wires: &Wires<'_>) -> Table {
    let head = ["cable", "type", "from", "to", "length", "cores used", "of", "spare", "joints"];
    let mut table = Table::new("cables", "Cables and their cores", &head);
    table.about =
        "One tag for each length that is pulled. Cores are counted there and back.".to_owned();
    for wire in &wires.list {
        let (of, spare) = match wire.has() {
            Some(has) => {
                let spare = match has.checked_sub(wire.used()) {
                    Some(spare) => Cell::from(spare.to_string()),
                    None => Cell::hole(format!("{} too few", wire.used() - has)),
                };
                (Cell::from(has.to_string()), spare)
            }
            None => (Cell::hole("not known"), Cell::hole("not known")),
        };
        let joints = if wire.joints == 0 { String::new() } else { wire.joints.to_string() };
        table.row(cells![
            &wire.tag,
            wire.kind,
            &wire.from,
            &wire.to,
            words::metres(wire.length),
            wire.used().to_string(),
            of,
            spare,
            joints
        ]);
    }
    table
}
