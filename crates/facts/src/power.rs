//! The network of every supply: what hangs on it, over which cables, and the voltages and currents
//! in the worst and in the best case.
//!
//! | case | supply | conductors | what is on |
//! |---|---|---|---|
//! | `worst` | lowest voltage | hottest ambient | all that can be on together |
//! | `quiet` | lowest voltage | hottest ambient | what is on at rest |
//! | `loud` | highest voltage | coldest ambient | all that can be on together |
//! | `best` | highest voltage | coldest ambient | what is on at rest |
//!
//! What can be on together follows from the responses: a load is on when some response can switch
//! it on, when it rests on behind a break contact, or when it is forced on. Of the two sides of one
//! contact only one is on; in `worst` and `loud` it is the one that draws more at their voltage. Where
//! the other one takes more voltage from a place, that is a case of its own. Controllers, sensors and
//! cameras draw at all times, and so does what a load idles with when it is off.
//!
//! The lowest voltage is the end of discharge when the supply has a battery, and acts behind the
//! supply's internal resistance. Conductors have the ambient temperature; their own heat is left
//! out. A consumer of which a figure is missing draws nothing here and is listed in `left_out`, so
//! currents are lower bounds then and voltages upper ones: what is found stays true.

mod alternating;
mod by_clock;
mod case;
mod consumer;
mod far;
mod fuse;
mod mend;
mod most;
mod moved;
mod on;
mod sides;
mod tree;
mod working;

pub(crate) use by_clock::{Clocked, WEEK};
pub(crate) use case::{Answer, Bench, Question};
pub use case::{Came, Case, Scene};
pub use consumer::{Consumer, Drawing, Least, Switch, When};
pub use far::Culprit;
pub use fuse::{Fuse, FuseOf};
pub use mend::{Mend, has_cores};
pub(crate) use moved::Moved;
pub use tree::{Branch, BranchOf};

use crate::before::Turns;
use crate::{Doubt, Hours, Known, NotKnown, supply};
use consumer::consumers;
use curtilage_circuit::Interval;
use curtilage_model::{Model, SupplyId};
use curtilage_syntax::tree::{CurrentKind, part};
use curtilage_text::Place;
use on::Roots;
use std::sync::{Arc, OnceLock};
use tree::Trees;

/// The network of one supply.
#[derive(Clone, Debug)]
pub struct Power<'a> {
    /// The supply.
    pub supply: SupplyId,
    /// dc or ac.
    pub kind: Option<CurrentKind>,
    /// V, from the lowest at which everything has to work to the highest in operation.
    pub volts: Known<Interval>,
    /// V that it gives in operation on mains.
    pub gives: Option<Interval>,
    /// Internal resistance, ohm; zero when the sheet gives none.
    pub inside: f64,
    /// Rated current, A, and where that is said.
    pub rated: Option<(f64, Place)>,
    /// The current with which it charges a battery, A, and where that is said.
    pub charges: Option<(f64, Place)>,
    /// The ambient range, degC.
    pub ambient: Option<Interval>,
    /// The pieces of the tree, each after its parent.
    pub branches: Vec<Branch<'a>>,
    /// What draws current.
    pub drawings: Vec<Drawing>,
    /// What hangs on it and is in no sum, and why.
    pub left_out: Vec<(Consumer, NotKnown)>,
    /// Lowest voltage, hottest conductors, all on that can be on together.
    pub worst: Known<Case>,
    /// Lowest voltage, hottest conductors, nothing on that is off at rest.
    pub quiet: Known<Case>,
    /// Highest voltage, coldest conductors, all on that can be on together.
    pub loud: Known<Case>,
    /// Highest voltage, coldest conductors, nothing on that is off at rest.
    pub best: Known<Case>,
    /// The root contacts that the clock alone keeps moved.
    clocked: Arc<[Clocked]>,
    /// Whether more than in these cases can flow in a branch.
    more: bool,
    /// Whether some contact lets draw one thing on its one side and another on its other.
    opposed: bool,
    /// By branch, the most that flows in it, A, once somebody has asked.
    most: OnceLock<Vec<Option<f64>>>,
    /// A case in which the voltage collapses, once somebody has asked.
    collapse: OnceLock<Option<Case>>,
    /// By branch, the first one on its way whose resistance is not known.
    blurred: Vec<Option<usize>>,
}

/// What draws current from a supply, and what hangs on it and is in no sum.
type Hangs = (Vec<Drawing>, Vec<(Consumer, NotKnown)>);

/// The networks of all supplies, in their order.
pub(crate) fn power<'a>(
    model: &Model<'a>,
    doubt: &Doubt<'a>,
    acting: &[bool],
    hours: &Hours,
    before: &mut Turns<Question, Answer>,
) -> Vec<Power<'a>> {
    let roots = Roots::of(model, acting);
    let clocked: Arc<[Clocked]> = by_clock::by_clock(model, doubt, acting, hours, &roots).into();
    let mut trees = Trees::new(model);
    // By supply, what draws current and what is in no sum.
    let mut hangs: Vec<Hangs> = vec![(Vec::new(), Vec::new()); model.supplies.len()];
    consumers(model, &roots, |of, draws| {
        // What hangs on no known supply is in nobody's sum, which is reported as a missing fact.
        let Ok((supply, branch)) = trees.feed(of) else { return };
        let Some((drawings, left_out)) = hangs.get_mut(supply.index()) else { return };
        let kind = model.supply(supply).and_then(|supply| supply.part?.sheet.kind);
        let kind = kind.map(|kind| kind.value);
        let mut out = |why: NotKnown| left_out.push((of, why));
        let draws = match draws {
            Ok(draws) => draws,
            Err(why) => return out(why),
        };
        for mut drawing in draws {
            drawing.branch = branch;
            let wants = drawing.draw.kind.filter(|wants| kind.is_some_and(|kind| kind != *wants));
            if let Some(wants) = wants {
                out(NotKnown::because(format!("it wants {}", wants.word())));
            } else if drawing.when == When::Unknown {
                out(NotKnown::because("the contact that switches it is not known"));
            } else if let Err(why) = drawing.load() {
                out(why);
            } else {
                drawings.push(drawing);
            }
        }
    });
    let supplies = model.supplies_by_id().zip(hangs).zip(trees.branches);
    let supplies = supplies.map(|(((id, supply), (drawings, left_out)), branches)| {
        let sheet = supply.part;
        let known = supply::range(supply);
        let volts = known.ok_or_else(|| NotKnown::because("the supply's part gives no `gives`"));
        let rated = sheet.and_then(|part| {
            let most = part.sheet.most?;
            Some((most.value, part.place(most.span)))
        });
        let unsolved = || NotKnown::because("it has not been solved");
        let mut power = Power {
            supply: id,
            kind: sheet.and_then(|part| part.sheet.kind).map(|kind| kind.value),
            volts,
            gives: sheet.and_then(|part| {
                let gives = part.sheet.gives?.value;
                Interval::new(gives.low, gives.high).ok()
            }),
            inside: sheet.and_then(|part| part.sheet.inside).map_or(0.0, |inside| inside.value),
            rated,
            charges: sheet.and_then(|part| {
                let charges = part.sheet.charges?;
                Some((charges.value, part.place(charges.span)))
            }),
            ambient: ambient(model),
            branches,
            drawings,
            left_out,
            worst: Err(unsolved()),
            quiet: Err(unsolved()),
            loud: Err(unsolved()),
            best: Err(unsolved()),
            clocked: Arc::clone(&clocked),
            more: false,
            opposed: false,
            most: OnceLock::new(),
            collapse: OnceLock::new(),
            blurred: Vec::new(),
        };
        power.blur();
        power.opposed = power.has_two_sides();
        power.more = power.can_be_more();
        power.cases(before);
        power
    });
    supplies.collect()
}

/// The site's ambient range, degC.
pub(crate) fn ambient(model: &Model<'_>) -> Option<Interval> {
    let ambient = model.site.as_ref()?.tree.ambient?.value;
    Interval::signed(ambient.low, ambient.high).ok()
}

impl Power<'_> {
    fn cases(&mut self, before: &mut Turns<Question, Answer>) {
        let rest = Moved::default();
        let (low, high) = match &self.volts {
            Ok(range) => (self.all_on(range.lo()), self.all_on(range.hi())),
            Err(_) => (Moved::default(), Moved::default()),
        };
        let mut bench = self.bench();
        let mut solve = |scene: Known<Scene>| bench.solve(scene?, before);
        let (worst, quiet) = (solve(self.low(&low)), solve(self.low(&rest)));
        let (loud, best) = (solve(self.high(&high)), solve(self.high(&rest)));
        (self.worst, self.quiet, self.loud, self.best) = (worst, quiet, loud, best);
    }

    /// The lowest voltage and the hottest conductors.
    fn low(&self, moved: &Moved) -> Known<Scene> {
        Ok(Scene { volts: self.volts.clone()?.lo(), celsius: self.hottest(), moved: moved.clone() })
    }

    /// The highest voltage and the coldest conductors.
    fn high(&self, moved: &Moved) -> Known<Scene> {
        Ok(Scene { volts: self.volts.clone()?.hi(), celsius: self.coldest(), moved: moved.clone() })
    }

    /// The lowest voltage on mains, the hottest conductors, all on that can be on together.
    ///
    /// # Errors
    /// As [`Power::solve`].
    pub fn on_mains(&self) -> Known<Case> {
        let (volts, celsius) = self.least_on_mains()?;
        self.solve(Scene { volts, celsius, moved: self.all_on(volts) }, |_| None)
    }

    /// V that it gives at least on mains, and the hottest conductors.
    fn least_on_mains(&self) -> Known<(f64, f64)> {
        let gives =
            self.gives.ok_or_else(|| NotKnown::because("the supply's part gives no `gives`"))?;
        Ok((gives.lo(), self.hottest()))
    }

    /// The coldest that conductors are, degC. Without an ambient range every cable's resistance is unknown;
    /// see `unknown_on_way`.
    pub(crate) fn coldest(&self) -> f64 {
        self.ambient.map_or(20.0, |ambient| ambient.lo())
    }

    /// The hottest, degC, as [`Power::coldest`].
    pub(crate) fn hottest(&self) -> f64 {
        self.ambient.map_or(20.0, |ambient| ambient.hi())
    }

    /// The same network, of which nothing was asked yet beyond its four cases.
    fn unasked(&self) -> Self {
        Self { most: OnceLock::new(), collapse: OnceLock::new(), ..self.clone() }
    }

    /// The same network behind another part; none when its sheet does not say what it gives.
    #[must_use]
    pub fn fed_by(&self, sheet: &part::Supply, battery: bool) -> Option<Self> {
        let gives = sheet.gives?.value;
        let mut other = Self {
            volts: Ok(supply::range_of(sheet, battery)?),
            gives: Interval::new(gives.low, gives.high).ok(),
            inside: sheet.inside.map_or(0.0, |inside| inside.value),
            ..self.unasked()
        };
        other.cases(&mut Turns::default());
        Some(other)
    }

    /// The most current that the supply gives in any case, A, with the case.
    #[must_use]
    pub fn most_source_amps(&self) -> Option<(f64, &Case)> {
        let each = self.solved().filter_map(|case| Some((case.source_amps()?, case)));
        each.reduce(|most, one| if one.0 > most.0 { one } else { most })
    }

    /// Whether the voltage collapses in any case: more would flow than is worked out.
    #[must_use]
    pub fn collapses(&self) -> bool {
        self.solved().any(Case::collapses) || self.collapse().is_some()
    }

    /// The four cases, as far as they are known.
    fn solved(&self) -> impl Iterator<Item = &Case> {
        [&self.worst, &self.quiet, &self.loud, &self.best]
            .into_iter()
            .filter_map(|c| c.as_ref().ok())
    }

    /// The branches from the supply to the end of one, nearest to the supply first.
    #[must_use]
    pub fn way(&self, branch: usize) -> Vec<usize> {
        let mut way = Vec::new();
        let mut at = Some(branch);
        while let Some(index) = at {
            way.push(index);
            at = self.branches.get(index).and_then(|branch| branch.parent);
        }
        way.reverse();
        way
    }

    /// Why the resistance of the way to the end of a branch is not known, if it is not.
    #[must_use]
    pub fn unknown_on_way(&self, branch: usize) -> Option<NotKnown> {
        let first = self.blurred.get(branch).copied().flatten()?;
        match self.branches.get(first)?.cable.as_ref()? {
            Err(why) => Some(why.clone()),
            Ok(_) => Some(NotKnown::because("the site gives no `ambient`")),
        }
    }

    fn blur(&mut self) {
        let mut blurred: Vec<Option<usize>> = Vec::with_capacity(self.branches.len());
        for (index, branch) in self.branches.iter().enumerate() {
            let above = branch.parent.and_then(|parent| blurred.get(parent).copied().flatten());
            let own = match &branch.cable {
                None => false,
                Some(Ok(_)) => self.ambient.is_none(),
                Some(Err(_)) => true,
            };
            blurred.push(above.or(own.then_some(index)));
        }
        self.blurred = blurred;
    }
}
