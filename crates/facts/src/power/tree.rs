//! The wiring of every supply as a tree: cables, taps, feeds and outlets.

use crate::cabling::Cabling;
use crate::power::consumer::Consumer;
use crate::{Known, NotKnown};
use curtilage_model::{CableId, ControllerId, Model, Origin, SupplyId, Terminal};
use curtilage_text::Place;
use smallvec::{SmallVec, smallvec};
use std::collections::BTreeMap;

/// A piece of the tree: from its parent's end to its own end.
#[derive(Clone, Debug)]
pub struct Branch<'a> {
    /// What it is.
    pub of: BranchOf<'a>,
    /// The branch before it; none at the supply.
    pub parent: Option<usize>,
    /// The cable; none when it is wired on the spot.
    pub cable: Option<Known<Cabling<'a>>>,
    /// The fuse at its start, A.
    pub fuse: Option<(f64, Place)>,
    /// The words that lead here.
    pub at: Place,
}

/// What a branch is.
#[derive(Clone, Copy, Debug)]
pub enum BranchOf<'a> {
    /// The feed of a consumer.
    Feed(Consumer),
    /// The start of a cable with taps.
    Start(CableId),
    /// The piece of a cable that leads to a tap.
    Tap(CableId, usize),
    /// An outlet of a controller.
    Outlet(Terminal<'a>),
}

impl Branch<'_> {
    /// Ohms out and back at a temperature; zero on the spot, and where it is not known.
    #[must_use]
    pub fn ohm(&self, celsius: f64) -> f64 {
        match &self.cable {
            Some(Ok(cable)) => cable.ohm(celsius).unwrap_or(0.0),
            _ => 0.0,
        }
    }

    /// The most current of the piece, A, and where that is said: what its cores carry, or what the
    /// outlet gives.
    #[must_use]
    pub fn limit(&self) -> Option<(f64, Place)> {
        match (&self.of, &self.cable) {
            (BranchOf::Outlet(terminal), _) => {
                let most = terminal.group.most?;
                Some((most.value, Place::new(terminal.file, most.span)))
            }
            (_, Some(Ok(cable))) => {
                let most = cable.part.sheet.most?;
                Some((cable.carries()?, cable.part.place(most.span)))
            }
            _ => None,
        }
    }
}

/// Where something hangs: on which supply, and behind which branch.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spot {
    pub(crate) supply: SupplyId,
    pub(crate) branch: Option<usize>,
}

/// Things that stand between a supply and a consumer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Between {
    Cable(CableId),
    Controller(ControllerId),
}

#[derive(Clone, Debug)]
enum State {
    /// It is being built: who comes here again runs in a ring.
    Begun,
    /// Its supply and the branches of its taps, or of itself.
    Built(SupplyId, SmallVec<[usize; 1]>),
    Not(NotKnown),
}

/// Grows the trees of all supplies.
pub(crate) struct Trees<'m, 'a> {
    model: &'m Model<'a>,
    states: BTreeMap<Between, State>,
    outlets: BTreeMap<(ControllerId, &'a str), usize>,
    /// Branches by supply.
    pub(crate) branches: Vec<Vec<Branch<'a>>>,
}

impl<'m, 'a> Trees<'m, 'a> {
    pub(crate) fn new(model: &'m Model<'a>) -> Self {
        let branches = model.supplies.iter().map(|_| Vec::new()).collect();
        Self { model, states: BTreeMap::new(), outlets: BTreeMap::new(), branches }
    }

    /// The branch of a consumer's feed.
    pub(crate) fn feed(&mut self, of: Consumer) -> Known<(SupplyId, usize)> {
        if let Consumer::Controller(id) = of {
            self.ensure(Between::Controller(id));
            return match self.states.get(&Between::Controller(id)) {
                Some(State::Built(supply, own)) => {
                    let own = own.first().copied();
                    own.map(|own| (*supply, own)).ok_or_else(nothing)
                }
                Some(State::Not(why)) => Err(why.clone()),
                _ => Err(ring()),
            };
        }
        self.grow_feed(of)
    }

    fn grow_feed(&mut self, of: Consumer) -> Known<(SupplyId, usize)> {
        let feed =
            of.feed(self.model).ok_or_else(|| NotKnown::because("what feeds it is not known"))?;
        let spot = self.spot(feed.origin)?;
        let cable = feed.run.map(|run| Cabling::of_run(self.model, &run, feed.at));
        let branch = Branch {
            of: BranchOf::Feed(of),
            parent: spot.branch,
            cable,
            fuse: of.fuse(self.model),
            at: feed.at,
        };
        Ok((spot.supply, self.push(spot.supply, branch)?))
    }

    fn push(&mut self, supply: SupplyId, branch: Branch<'a>) -> Known<usize> {
        let list = self.branches.get_mut(supply.index()).ok_or_else(nothing)?;
        list.push(branch);
        Ok(list.len() - 1)
    }

    /// Where an origin is, once what it belongs to is built.
    fn spot(&mut self, origin: Origin<'a>) -> Known<Spot> {
        if let Some(between) = between(origin) {
            self.ensure(between);
        }
        self.known_spot(origin)
    }

    fn known_spot(&mut self, origin: Origin<'a>) -> Known<Spot> {
        let Some(between) = between(origin) else {
            let Origin::Supply(supply) = origin else { return Err(nothing()) };
            return Ok(Spot { supply, branch: None });
        };
        let (supply, own) = match self.states.get(&between) {
            Some(State::Built(supply, own)) => (*supply, own),
            Some(State::Not(why)) => return Err(why.clone()),
            Some(State::Begun) | None => return Err(ring()),
        };
        let branch = match origin {
            Origin::Tap(_, tap) => own.get(tap).copied().ok_or_else(nothing)?,
            Origin::Outlet(terminal) => {
                let key = (terminal.controller, terminal.name);
                if let Some(known) = self.outlets.get(&key) {
                    *known
                } else {
                    let parent = own.first().copied();
                    let at = terminal.declared();
                    let of = BranchOf::Outlet(terminal);
                    let branch = Branch { of, parent, cable: None, fuse: None, at };
                    let made = self.push(supply, branch)?;
                    self.outlets.insert(key, made);
                    made
                }
            }
            Origin::Supply(_) => return Err(nothing()),
        };
        Ok(Spot { supply, branch: Some(branch) })
    }

    /// Builds a cable or a controller, after what it hangs on.
    fn ensure(&mut self, wanted: Between) {
        let mut stack: SmallVec<[Between; 4]> = smallvec![wanted];
        while let Some(top) = stack.last().copied() {
            match self.states.get(&top) {
                Some(State::Built(..) | State::Not(_)) => {
                    stack.pop();
                    continue;
                }
                Some(State::Begun) | None => {}
            }
            let before = self.origin(top).ok().and_then(between);
            match before.map(|before| (before, self.states.get(&before))) {
                Some((before, None)) => {
                    self.states.insert(top, State::Begun);
                    stack.push(before);
                }
                Some((_, Some(State::Begun))) => {
                    self.states.insert(top, State::Not(ring()));
                    stack.pop();
                }
                _ => {
                    let built = self.build(top);
                    let state = match built {
                        Ok((supply, own)) => State::Built(supply, own),
                        Err(why) => State::Not(why),
                    };
                    self.states.insert(top, state);
                    stack.pop();
                }
            }
        }
    }

    fn origin(&self, of: Between) -> Known<Origin<'a>> {
        let found = match of {
            Between::Cable(id) => self.model.cable(id).and_then(|cable| cable.from),
            Between::Controller(id) => self
                .model
                .controller(id)
                .and_then(|controller| controller.fed)
                .map(|fed| fed.origin),
        };
        found.ok_or_else(|| NotKnown::because("what feeds it is not known"))
    }

    fn build(&mut self, of: Between) -> Known<(SupplyId, SmallVec<[usize; 1]>)> {
        let id = match of {
            Between::Controller(id) => {
                let (supply, branch) = self.grow_feed(Consumer::Controller(id))?;
                return Ok((supply, smallvec![branch]));
            }
            Between::Cable(id) => id,
        };
        let model = self.model;
        let cable = model.cable(id).ok_or_else(nothing)?;
        let spot = self.known_spot(self.origin(of)?)?;
        let file = cable.name.at.file;
        let fuse = cable.tree.fuse.map(|fuse| (fuse.value, Place::new(file, fuse.span)));
        let (of, at) = (BranchOf::Start(id), cable.name.at);
        let start = Branch { of, parent: spot.branch, cable: None, fuse, at };
        let start = self.push(spot.supply, start)?;
        let mut own = SmallVec::new();
        for (index, tap) in cable.taps.iter().enumerate() {
            let before = tap.from.and_then(|from| own.get(from).copied()).unwrap_or(start);
            let branch = Branch {
                of: BranchOf::Tap(id, index),
                parent: Some(before),
                cable: Some(Cabling::of_tap(model, cable, tap)),
                fuse: None,
                at: tap.name.at,
            };
            own.push(self.push(spot.supply, branch)?);
        }
        Ok((spot.supply, own))
    }
}

fn between(origin: Origin<'_>) -> Option<Between> {
    match origin {
        Origin::Supply(_) => None,
        Origin::Tap(cable, _) => Some(Between::Cable(cable)),
        Origin::Outlet(terminal) => Some(Between::Controller(terminal.controller)),
    }
}

fn ring() -> NotKnown {
    NotKnown::because("its feed runs in a ring")
}

fn nothing() -> NotKnown {
    NotKnown::because("what feeds it is not known")
}
