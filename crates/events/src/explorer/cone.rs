//! The part of a system on which a question depends.

use super::Explorer;
use crate::system::{Nodes, OutputId, Part, System, ZoneId};

impl Explorer<'_> {
    /// The part that decides about one zone: everything that can influence it.
    pub(super) fn part_of_zone(&self, zone: ZoneId) -> Part {
        let zone = Nodes::of(self.system).zone(zone);
        self.system.members_of(&self.influenced_by.closure([zone]))
    }

    /// The part that decides about one output.
    pub(super) fn part_of_output(&self, output: OutputId) -> Part {
        let output = Nodes::of(self.system).output(output);
        self.system.members_of(&self.influenced_by.closure([output]))
    }
}

/// Whether an output comes back to itself by any way that a change can take.
pub(super) fn comes_back(system: &System) -> bool {
    let nodes = Nodes::of(system);
    let loops = system.wiring().loops();
    system.outputs.ids().any(|id| loops.iter().any(|part| part.contains(&nodes.output(id))))
}
