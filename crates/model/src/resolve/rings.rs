//! Things that are fed from each other, or whose contacts hang on each other: a ring that no supply
//! feeds, and that nothing from outside moves.

use super::Resolver;
use crate::things::{ContactAt, Origin};
use crate::{Fault, FaultKind, Named, RingOf};
use curtilage_text::Place;

/// One thing: what comes before it, and the words that say so.
type Link<'a> = (Named<'a>, Option<(usize, Place)>);

impl<'a> Resolver<'a> {
    /// Tells every ring once, at its first thing.
    pub(super) fn rings(&mut self) {
        let feeds = self.feeds();
        self.tell_rings(&feeds, RingOf::Feeds);
        let coils = self.coils();
        self.tell_rings(&coils, RingOf::Relays);
    }

    /// Cables, then controllers; nothing where supplies feed all of them.
    fn feeds(&self) -> Vec<Link<'a>> {
        let model = &self.model;
        let before = |origin: Origin<'a>| match origin {
            Origin::Supply(_) => None,
            Origin::Tap(cable, _) => Some(cable.index()),
            Origin::Outlet(terminal) => Some(model.cables.len() + terminal.controller.index()),
        };
        let cables = model.cables.iter().map(|cable| {
            let from = cable.from.and_then(before).zip(cable.tree.from);
            let at =
                |path: curtilage_syntax::tree::Path| Place::new(cable.name.at.file, path.span());
            (cable.name, from.map(|(index, path)| (index, at(path))))
        });
        let controllers = model.controllers.iter().map(|controller| {
            let from = controller.fed.and_then(|fed| Some((before(fed.origin)?, fed.at)));
            (controller.name, from)
        });
        let links: Vec<Link<'a>> = cables.chain(controllers).collect();
        if links.iter().all(|(_, before)| before.is_none()) { Vec::new() } else { links }
    }

    /// Relays, each behind the one on whose contact its coil hangs.
    fn coils(&self) -> Vec<Link<'a>> {
        let of = |contact: crate::Contact<'a>| match contact.of {
            ContactAt::Relay(relay) => Some((relay.index(), contact.at)),
            ContactAt::Terminal(_) => None,
        };
        let relays = self.model.relays.iter();
        relays.map(|relay| (relay.name, relay.through.and_then(of))).collect()
    }

    /// Each thing has one before it at the most, so a walk that comes to what it has seen itself has
    /// found a ring, and no thing is walked over twice.
    fn tell_rings(&mut self, links: &[Link<'a>], of: RingOf) {
        let mut seen_by: Vec<Option<usize>> = vec![None; links.len()];
        for start in 0..links.len() {
            let mut next = Some(start);
            while let Some(at) = next {
                match seen_by.get_mut(at) {
                    Some(seen @ None) => *seen = Some(start),
                    Some(Some(walk)) if *walk == start => {
                        self.tell_ring(links, at, of);
                        break;
                    }
                    _ => break,
                }
                next = links.get(at).and_then(|(_, before)| *before).map(|(before, _)| before);
            }
        }
    }

    fn tell_ring(&mut self, links: &[Link<'a>], first: usize, of: RingOf) {
        let mut chain = Vec::new();
        let mut told_at = None;
        let mut next = first;
        while let Some((name, Some((before, at)))) = links.get(next) {
            chain.push(name.text.to_owned());
            told_at.get_or_insert(*at);
            next = *before;
            if next == first {
                break;
            }
        }
        chain.extend(chain.first().cloned());
        if let Some(at) = told_at {
            self.faults.push(Fault { kind: FaultKind::Ring(of, chain), at });
        }
    }
}
