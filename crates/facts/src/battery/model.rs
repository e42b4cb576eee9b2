//! The two ways to model a battery, and the choice between them.

use crate::before::Turns;
use crate::figure::{Known, NotKnown};
use curtilage_circuit::battery::{BatteryError, Duty, Kinetic, Lasts, Rated};
use curtilage_model::{Model, PartRef};
use curtilage_syntax::tree::part;
use curtilage_text::Place;

/// How a battery is modelled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wells {
    /// Two wells of charge, from its capacities at 20 h, 10 h and 1 h, Ah.
    Kinetic(Kinetic, [f64; 3]),
    /// Peukert's law, from its capacity at 20 h, with the place that gives the exponent.
    Rated(Rated, Place),
}

/// The capacity that a sheet gives over so many hours, Ah.
pub(super) fn at_rate(sheet: &part::Battery, hours: u64) -> Option<f64> {
    let found = sheet.holds.iter().find(|(_, over)| over.value == hours * 3_600_000);
    found.map(|(charge, _)| charge.value)
}

impl Wells {
    /// The model of one new battery.
    pub(super) fn of(
        model: &Model<'_>,
        battery: PartRef<'_, part::Battery>,
        before: &mut Turns<[f64; 3], Option<Kinetic>>,
    ) -> Known<Self> {
        let sheet = battery.sheet;
        if sheet.contradiction().is_some() {
            return Err(NotKnown::because(
                "the capacities of the battery's part contradict each other",
            ));
        }
        let rates = [20, 10, 1].map(|hours| at_rate(sheet, hours));
        if let [Some(q20), Some(q10), Some(q1)] = rates
            && let Some(kinetic) = before.answer(&[q20, q10, q1], |[q20, q10, q1]| {
                Kinetic::from_three_rates(*q20, *q10, *q1).ok()
            })
        {
            return Ok(Self::Kinetic(kinetic, [q20, q10, q1]));
        }
        let [Some(q20), ..] = rates else {
            return Err(NotKnown::because("the battery's part gives no capacity over 20 h"));
        };
        let own = sheet.peukert.map(|said| (said.value, battery.place(said.span)));
        let policy = model.policy.as_ref().and_then(|policy| {
            let said = policy.tree.peukert?;
            Some((said.value.value, Place::new(policy.file, said.value.span)))
        });
        let (exponent, at) = own.or(policy).ok_or_else(|| {
            let nor = "neither the battery's part nor the policy gives `peukert`";
            match rates {
                [_, Some(_), Some(_)] => NotKnown::because(format!(
                    "the battery's capacities fit no battery of two wells, and {nor}"
                )),
                _ => NotKnown::because(nor),
            }
        })?;
        Rated::new(q20, exponent).map(|rated| Self::Rated(rated, at)).map_err(told)
    }

    /// The same wherever its figures stand.
    pub(super) fn figures(self) -> Self {
        match self {
            Self::Kinetic(..) => self,
            Self::Rated(rated, _) => Self::Rated(rated, Place::default()),
        }
    }

    /// The same with its capacity times a factor.
    pub(super) fn scaled(&self, factor: f64) -> Known<Self> {
        match self {
            Self::Kinetic(kinetic, rates) => {
                kinetic.scaled(factor).map(|kinetic| Self::Kinetic(kinetic, *rates)).map_err(told)
            }
            Self::Rated(rated, at) => {
                rated.scaled(factor).map(|rated| Self::Rated(rated, *at)).map_err(told)
            }
        }
    }

    /// How long it lasts.
    pub(super) fn lasts(&self, duty: &Duty) -> Known<Lasts> {
        match self {
            Self::Kinetic(kinetic, _) => kinetic.lasts(duty).map_err(told),
            Self::Rated(rated, _) => rated.lasts(duty).map_err(told),
        }
    }

    /// The capacity at the 20 h rate that a duty needs, Ah.
    pub(super) fn needed(&self, duty: &Duty) -> Known<f64> {
        match self {
            Self::Kinetic(kinetic, [q20, ..]) => Ok(kinetic.needed_factor(duty) * q20),
            Self::Rated(rated, _) => Ok(rated.needed_ah(duty)),
        }
    }
}

fn told(error: BatteryError) -> NotKnown {
    NotKnown::because(error.to_string())
}
