//! Schedules that build on one another, and what holds them.

use crate::days::WEEK;
use crate::error::CalendarError;
use crate::holidays::Holidays;
use crate::plan::WeeklyPlan;
use crate::runs::Runs;
use crate::schedule::Schedule;
use crate::week_set::WeekSet;

/// Names a schedule of one [`Calendar`]; means nothing to another one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ScheduleId(u32);

impl ScheduleId {
    pub(crate) fn index(self) -> usize {
        self.0 as usize
    }
}

/// One schedule: a leaf, or an operation on earlier schedules.
#[derive(Clone, Debug)]
pub(crate) enum Node {
    Always,
    Never,
    Weekly(WeeklyPlan),
    Not(ScheduleId),
    Plus(ScheduleId, ScheduleId),
    Minus(ScheduleId, ScheduleId),
    Within(ScheduleId, ScheduleId),
}

impl Node {
    fn operands(&self) -> impl Iterator<Item = ScheduleId> + use<> {
        let (a, b) = match *self {
            Self::Always | Self::Never | Self::Weekly(_) => (None, None),
            Self::Not(a) => (Some(a), None),
            Self::Plus(a, b) | Self::Minus(a, b) | Self::Within(a, b) => (Some(a), Some(b)),
        };
        a.into_iter().chain(b)
    }
}

/// The schedules of a site with its holidays.
///
/// A schedule can only be built from schedules that are already in, so there are no cycles, and
/// evaluation is one pass in the order of building, without recursion.
#[derive(Clone, Debug, Default)]
pub struct Calendar {
    holidays: Holidays,
    nodes: Vec<Node>,
    /// Of each node, what it covers in the ordinary week; of a plan, which has that itself, nothing.
    weeks: Vec<WeekSet>,
    /// Of each node, whether no exception can make a week differ from the ordinary one.
    plain: Vec<bool>,
}

impl Calendar {
    /// Without schedules yet.
    pub fn new(holidays: Holidays) -> Self {
        Self { holidays, ..Self::default() }
    }

    /// The holidays.
    pub fn holidays(&self) -> &Holidays {
        &self.holidays
    }

    fn add(&mut self, node: Node) -> Result<ScheduleId, CalendarError> {
        for operand in node.operands() {
            self.schedule(operand)?;
        }
        let id = u32::try_from(self.nodes.len()).map_err(|_| CalendarError::TooManySchedules)?;
        self.weeks.push(self.week_of(&node));
        self.plain.push(match &node {
            Node::Weekly(plan) => plan.exceptions().is_empty(),
            other => other.operands().all(|operand| self.is_plain(operand)),
        });
        self.nodes.push(node);
        Ok(ScheduleId(id))
    }

    /// What a node that is no plan covers in the ordinary week, given those before it.
    fn week_of(&self, node: &Node) -> WeekSet {
        let of = |id: &ScheduleId| self.week(*id).runs();
        let runs = match node {
            Node::Always => Runs::one(0, WEEK),
            Node::Never | Node::Weekly(_) => Runs::EMPTY,
            Node::Not(a) => of(a).complement(0, WEEK),
            Node::Plus(a, b) => of(a).union(of(b)),
            Node::Minus(a, b) => of(a).minus(of(b)),
            Node::Within(a, b) => of(a).within(of(b)),
        };
        WeekSet::from_runs(runs)
    }

    /// The ordinary week of a schedule of this calendar; no minute for any other.
    pub(crate) fn week(&self, id: ScheduleId) -> &WeekSet {
        static NOTHING: WeekSet = WeekSet::EMPTY;
        match self.plan(id) {
            Some(plan) => plan.week(),
            None => self.weeks.get(id.index()).unwrap_or(&NOTHING),
        }
    }

    /// The plan of a schedule, when it is a leaf that has one.
    pub(crate) fn plan(&self, id: ScheduleId) -> Option<&WeeklyPlan> {
        match self.nodes.get(id.index()) {
            Some(Node::Weekly(plan)) => Some(plan),
            _ => None,
        }
    }

    /// Whether every week of a schedule is the ordinary one.
    pub(crate) fn is_plain(&self, id: ScheduleId) -> bool {
        self.plain.get(id.index()) == Some(&true)
    }

    /// Every minute.
    ///
    /// # Errors
    /// [`CalendarError::TooManySchedules`], as for all that add a schedule.
    pub fn always(&mut self) -> Result<ScheduleId, CalendarError> {
        self.add(Node::Always)
    }

    /// No minute.
    ///
    /// # Errors
    /// [`CalendarError::TooManySchedules`].
    pub fn never(&mut self) -> Result<ScheduleId, CalendarError> {
        self.add(Node::Never)
    }

    /// Weekly spans with exceptions.
    ///
    /// # Errors
    /// [`CalendarError::TooManySchedules`].
    pub fn weekly(&mut self, plan: WeeklyPlan) -> Result<ScheduleId, CalendarError> {
        self.add(Node::Weekly(plan))
    }

    /// `not a`: the local minutes that `a` does not cover.
    ///
    /// # Errors
    /// [`CalendarError::UnknownSchedule`] for an id that is not of this calendar;
    /// [`CalendarError::TooManySchedules`].
    pub fn not(&mut self, a: ScheduleId) -> Result<ScheduleId, CalendarError> {
        self.add(Node::Not(a))
    }

    /// `a plus b`: what either covers.
    ///
    /// # Errors
    /// As [`Calendar::not`].
    pub fn plus(&mut self, a: ScheduleId, b: ScheduleId) -> Result<ScheduleId, CalendarError> {
        self.add(Node::Plus(a, b))
    }

    /// `a minus b`: what `a` covers and `b` does not.
    ///
    /// # Errors
    /// As [`Calendar::not`].
    pub fn minus(&mut self, a: ScheduleId, b: ScheduleId) -> Result<ScheduleId, CalendarError> {
        self.add(Node::Minus(a, b))
    }

    /// `a within b`: what both cover.
    ///
    /// # Errors
    /// As [`Calendar::not`].
    pub fn within(&mut self, a: ScheduleId, b: ScheduleId) -> Result<ScheduleId, CalendarError> {
        self.add(Node::Within(a, b))
    }

    /// A schedule, to ask it something.
    ///
    /// # Errors
    /// [`CalendarError::UnknownSchedule`] for an id that is not of this calendar.
    pub fn schedule(&self, id: ScheduleId) -> Result<Schedule<'_>, CalendarError> {
        if id.index() < self.nodes.len() {
            Ok(Schedule::new(self, id))
        } else {
            Err(CalendarError::UnknownSchedule)
        }
    }

    /// The nodes that a schedule builds on and itself, operands first.
    pub(crate) fn reached(&self, root: ScheduleId) -> Vec<(ScheduleId, &Node)> {
        let mut wanted = vec![false; root.index() + 1];
        let mut out = Vec::new();
        for id in (0..=root.0).rev().map(ScheduleId) {
            if id != root && wanted.get(id.index()) != Some(&true) {
                continue;
            }
            let Some(node) = self.nodes.get(id.index()) else { continue };
            for operand in node.operands() {
                if let Some(slot) = wanted.get_mut(operand.index()) {
                    *slot = true;
                }
            }
            out.push((id, node));
        }
        out.reverse();
        out
    }

    /// The minutes of `[from, to)` that a schedule covers, given what its plans cover.
    pub(crate) fn fold(
        &self,
        root: ScheduleId,
        (from, to): (i64, i64),
        plan: impl Fn(&WeeklyPlan) -> Runs,
    ) -> Runs {
        let mut values = vec![Runs::EMPTY; root.index() + 1];
        let none = Runs::EMPTY;
        for (id, node) in self.reached(root) {
            let of = |id: &ScheduleId| values.get(id.index()).unwrap_or(&none);
            let value = match node {
                Node::Always => Runs::one(from, to),
                Node::Never => Runs::EMPTY,
                Node::Weekly(weekly) => plan(weekly),
                Node::Not(a) => of(a).complement(from, to),
                Node::Plus(a, b) => of(a).union(of(b)),
                Node::Minus(a, b) => of(a).minus(of(b)),
                Node::Within(a, b) => of(a).within(of(b)),
            };
            if let Some(slot) = values.get_mut(id.index()) {
                *slot = value;
            }
        }
        values.pop().unwrap_or_default()
    }
}
