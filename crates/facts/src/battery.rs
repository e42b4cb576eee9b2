//! How long the battery of each supply lasts, what capacity is needed, and how long it takes to
//! recharge.
//!
//! The resting current is what the network draws with nothing on that is off at rest but what the
//! clock alone switches on, for as long as it does so in the worst standby time of a week; the alarm
//! current what it draws with everything on that can be on together, both at the battery's nominal
//! voltage. With capacities at 20 h, 10 h and 1 h the kinetic model of two wells is used, with the
//! 20 h rate alone the rated form of Peukert. Age and cold make the capacity smaller, not the
//! hours. What hangs on the supply and is not known draws nothing here, so "it does not last" stays
//! true and "it lasts" says that something is left out.

mod at_rest;
mod model;
mod working;

pub use model::Wells;

use crate::before::{Before, Turns};
use crate::figure::{Known, NotKnown};
use crate::power::{self, Bench, Came, Moved, Power, Scene};
use at_rest::{Stretch, at_rest};
use curtilage_circuit::battery::{
    AGEING_FACTOR, BatteryError, Duty, Kinetic, Lasts, TEMPERATURE_FACTORS, ampere_hours,
    recharge_hours, temperature_factor,
};
use curtilage_circuit::limit::above;
use curtilage_model::{Model, PartId, PartRef, SupplyId};
use curtilage_syntax::tree::{CurrentKind, part};
use curtilage_text::Place;

/// A factor and where it is said; none for the usual one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factor {
    /// The factor on the capacity that is needed.
    pub value: f64,
    /// Where it is said.
    pub at: Option<Place>,
}

/// The standby of one supply.
#[derive(Clone, Debug)]
pub struct Standby<'a> {
    /// The supply.
    pub supply: SupplyId,
    /// How many of which battery, in parallel.
    pub count: u32,
    /// The battery.
    pub battery: PartRef<'a, part::Battery>,
    /// How one new battery is modelled, at 25 degC.
    pub wells: Known<Wells>,
    /// A with nothing on that is off at rest, but for what the clock alone switches on.
    pub resting: Known<f64>,
    /// What the current at rest is made of where the clock switches something on; else nothing.
    stretches: Vec<Stretch>,
    /// A with everything on that can be on together.
    pub alarm: Known<f64>,
    /// Factor of the coldest ambient temperature.
    pub cold: Known<Factor>,
    /// Whether the coldest ambient lies below the table, so that the true factor is larger still.
    pub below_table: bool,
    /// Factor of age.
    pub ageing: Factor,
    /// What the policy asks for: standby, h, and where.
    pub standby: Option<(f64, Place)>,
    /// What the policy asks for after that: alarm, h, and where.
    pub alarm_time: Option<(f64, Place)>,
    /// How long it lasts: the policy's standby first, or none.
    pub lasts: Known<Lasts>,
    /// The capacity at the 20 h rate that is needed, age and cold included, Ah; none when the
    /// policy asks for nothing.
    pub needed: Known<Option<f64>>,
    /// The plain sum of ampere-hours, when the policy wants it, Ah.
    pub plain_sum: Option<f64>,
    /// The time to recharge it from flat, h.
    pub recharge: Known<f64>,
    /// What the policy asks for: recharge, h, and where.
    pub recharge_in: Option<(f64, Place)>,
}

/// Stages that are met to a second are met, h.
pub const SECOND_H: f64 = 1.0 / 3600.0;

/// What is put back for what was taken out (common practice, no source).
pub const CHARGE_FACTOR: f64 = 1.2;

/// What the times and the capacity of a battery follow from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Question {
    wells: Known<Wells>,
    count: u32,
    resting: Known<f64>,
    alarm: Known<f64>,
    cold: Known<f64>,
    ageing: f64,
    standby: Option<f64>,
    alarm_time: Option<f64>,
}

/// How long it lasts, and the capacity that is needed.
pub(crate) type Answer = (Known<Lasts>, Known<Option<f64>>);

pub(crate) fn standby<'a>(
    model: &Model<'a>,
    power: &[Power<'a>],
    before: &mut Before,
) -> Vec<Option<Standby<'a>>> {
    let mut known = Vec::new();
    power.iter().map(|power| of_supply(model, power, &mut known, before)).collect()
}

/// The models of batteries so far: several supplies often have the same one.
type Batteries = Vec<(PartId, Known<Wells>)>;

fn wells(
    model: &Model<'_>,
    battery: PartRef<'_, part::Battery>,
    known: &mut Batteries,
    before: &mut Turns<[f64; 3], Option<Kinetic>>,
) -> Known<Wells> {
    if let Some((_, wells)) = known.iter().find(|(part, _)| *part == battery.id) {
        return wells.clone();
    }
    let wells = Wells::of(model, battery, before);
    known.push((battery.id, wells.clone()));
    wells
}

fn of_supply<'a>(
    model: &Model<'a>,
    power: &Power<'a>,
    known: &mut Batteries,
    before: &mut Before,
) -> Option<Standby<'a>> {
    let (count, battery) = model.supply(power.supply)?.battery?;
    let policy = model.policy.as_ref();
    let hours = |limit: Option<curtilage_syntax::tree::policy::Limit<u64>>| {
        let (limit, policy) = (limit?, policy?);
        let place = Place::new(policy.file, limit.value.span);
        #[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
        Some((limit.value.value as f64 / 3_600_000.0, place))
    };
    let tree = policy.map(|policy| policy.tree);
    let ageing = tree.and_then(|tree| tree.ageing).zip(policy);
    let ageing = ageing.map_or(Factor { value: AGEING_FACTOR, at: None }, |(said, policy)| {
        Factor { value: said.value.value, at: Some(Place::new(policy.file, said.value.span)) }
    });
    let (cold, below_table) = cold(power);
    let mut bench = power.bench();
    let clash = model.supply(power.supply)?.part.is_some_and(|of| clashes(of.sheet, battery.sheet));
    let mut amps = |moved| match clash {
        true => Err(NotKnown::because("the battery's voltage is not that of its supply")),
        false => amps(power, &mut bench, battery, moved, &mut before.networks),
    };
    let standby = hours(tree.and_then(|tree| tree.standby));
    let resting = at_rest(power, standby.map(|(hours, _)| hours), &mut amps);
    let (resting, stretches) = match resting {
        Ok((resting, stretches)) => (Ok(resting), stretches),
        Err(why) => (Err(why), Vec::new()),
    };
    let nominal = battery.sheet.voltage.map_or(0.0, |nominal| nominal.value);
    let alarm = power.volts.clone().and_then(|_| amps(power.all_on(nominal)));
    let mut out = Standby {
        supply: power.supply,
        count,
        battery,
        wells: wells(model, battery, known, &mut before.wells),
        resting,
        stretches,
        alarm,
        cold,
        below_table,
        ageing,
        standby,
        alarm_time: hours(tree.and_then(|tree| tree.alarm_time)),
        lasts: Err(NotKnown::because("it has not been worked out")),
        needed: Ok(None),
        plain_sum: None,
        recharge: Err(NotKnown::because("it has not been worked out")),
        recharge_in: hours(tree.and_then(|tree| tree.recharge)),
    };
    let answer = |_: &Question| (out.how_long(), out.how_much(&out.wells));
    (out.lasts, out.needed) = before.batteries.answer(&out.question(), answer);
    if let Some(factor) = tree.and_then(|tree| tree.plain_sum) {
        let duty = out.duty().ok();
        out.plain_sum = duty.and_then(|duty| ampere_hours(&duty, factor.value.value).ok());
    }
    out.recharge = match clash {
        true => out.resting.clone(),
        false => out.refill(power),
    };
    Some(out)
}

/// A at the battery's nominal voltage.
fn amps(
    power: &Power<'_>,
    bench: &mut Bench<'_, '_>,
    battery: PartRef<'_, part::Battery>,
    moved: Moved,
    before: &mut Turns<power::Question, power::Answer>,
) -> Known<f64> {
    let volts = battery.sheet.voltage;
    let volts = volts.ok_or_else(|| NotKnown::because("the battery's part gives no `voltage`"))?;
    let celsius = power.hottest();
    let case = bench.solve(Scene { volts: volts.value, celsius, moved }, before)?;
    match *case.came {
        Came::Solved { source_amps, .. } => Ok(source_amps),
        Came::Collapsed(_) => Err(NotKnown::because("its voltage collapses")),
    }
}

/// The most of its nominal voltage that a battery is charged with, and the least, by a margin that no
/// kind of cell and no rounded sheet reaches (common practice, no source).
const CHARGED_AT: [f64; 2] = [0.8, 1.45];

/// Whether a battery's nominal voltage clearly is not that of its supply: it is never charged, or
/// overcharged.
#[must_use]
pub fn clashes(supply: &part::Supply, battery: &part::Battery) -> bool {
    let is_dc = supply.kind.is_some_and(|kind| kind.value == CurrentKind::Dc);
    let (Some(gives), Some(nominal), true) = (supply.gives, battery.voltage, is_dc) else {
        return false;
    };
    let [least, most] = CHARGED_AT.map(|share| share * nominal.value);
    gives.value.high < least || gives.value.low > most
}

/// The factor of the coldest ambient temperature; below the table that of its coldest point.
fn cold(power: &Power<'_>) -> (Known<Factor>, bool) {
    let Some(ambient) = power.ambient else {
        return (Err(NotKnown::because("the site gives no `ambient`")), false);
    };
    let coldest = ambient.lo();
    match temperature_factor(coldest) {
        Ok(value) => (Ok(Factor { value, at: None }), false),
        Err(BatteryError::OutsideTable { celsius }) => {
            let below = TEMPERATURE_FACTORS.first().filter(|(first, _)| celsius < *first);
            match below {
                Some((_, value)) => (Ok(Factor { value: *value, at: None }), true),
                None => {
                    (Err(NotKnown::because("the site is hotter than the table of factors")), false)
                }
            }
        }
        Err(error) => (Err(NotKnown::because(error.to_string())), false),
    }
}

impl<'a> Standby<'a> {
    fn question(&self) -> Question {
        Question {
            wells: self.wells.clone().map(Wells::figures),
            count: self.count,
            resting: self.resting.clone(),
            alarm: self.alarm.clone(),
            cold: self.cold.clone().map(|cold| cold.value),
            ageing: self.ageing.value,
            standby: self.standby.map(|(hours, _)| hours),
            alarm_time: self.alarm_time.map(|(hours, _)| hours),
        }
    }

    /// The two stages that the policy asks for, at the currents of this supply.
    ///
    /// # Errors
    /// Not known when one of the currents is not.
    pub fn duty(&self) -> Known<Duty> {
        let standby = self.standby.map_or(0.0, |(hours, _)| hours);
        let alarm = self.alarm_time.map_or(0.0, |(hours, _)| hours);
        let duty = Duty::new(self.resting.clone()?, standby, self.alarm.clone()?, alarm);
        duty.map_err(|error| NotKnown::because(error.to_string()))
    }

    /// The factor by which age and cold make the capacity smaller.
    fn derating(&self) -> Known<f64> {
        Ok(self.cold.clone()?.value * self.ageing.value)
    }

    /// The batteries as they are at the end of their life and in the cold.
    pub(crate) fn worn(&self) -> Known<Wells> {
        self.wells.clone()?.scaled(f64::from(self.count) / self.derating()?)
    }

    /// A standby that ends within a second of what is asked for is met, and nothing is left for the alarm.
    fn how_long(&self) -> Known<Lasts> {
        let lasts = self.worn()?.lasts(&self.duty()?)?;
        let wanted = self.standby.map_or(0.0, |(hours, _)| hours);
        match lasts {
            Lasts::StandbyOnly(hours) if hours >= wanted - SECOND_H => Ok(Lasts::Alarm(0.0)),
            other => Ok(other),
        }
    }

    /// The capacity at the 20 h rate that batteries of a kind would need.
    fn how_much(&self, wells: &Known<Wells>) -> Known<Option<f64>> {
        if self.standby.is_none() && self.alarm_time.is_none() {
            return Ok(None);
        }
        let wells = wells.clone()?;
        Ok(Some(wells.needed(&self.duty()?)? * self.derating()?))
    }

    fn refill(&self, power: &Power<'_>) -> Known<f64> {
        let amps = self.charging(power)?;
        let hours = recharge_hours(self.rated_ah()?, amps, CHARGE_FACTOR);
        hours.map_err(|error| NotKnown::because(error.to_string()))
    }

    /// A with which the supply charges at rest: its charging current, or what its rating leaves.
    pub(crate) fn charging(&self, power: &Power<'_>) -> Known<f64> {
        let (most, rated, resting) = self.charging_parts(power)?;
        let spare = rated.map_or(f64::INFINITY, |rated| rated - resting);
        if spare <= 0.0 {
            return Err(NotKnown::because("nothing of the supply's rated current is left at rest"));
        }
        Ok(most.min(spare))
    }

    /// The charging current, the rated current and the current at rest on mains, A.
    ///
    /// # Errors
    /// Not known when the sheet gives no charging current, or the network at rest is not known.
    pub fn charging_parts(&self, power: &Power<'_>) -> Known<(f64, Option<f64>, f64)> {
        let charges = power.charges.map(|(amps, _)| amps);
        let most =
            charges.ok_or_else(|| NotKnown::because("the supply's part gives no `charges`"))?;
        let best = power.best.as_ref().map_err(Clone::clone)?;
        let resting =
            best.source_amps().ok_or_else(|| NotKnown::because("its voltage collapses"))?;
        Ok((most, power.rated.map(|(rated, _)| rated), resting))
    }

    /// What one battery's sheet gives over so many hours, Ah.
    #[must_use]
    pub fn at_rate(&self, hours: u64) -> Option<f64> {
        model::at_rate(self.battery.sheet, hours)
    }

    /// The capacity of all batteries at the 20 h rate, Ah.
    ///
    /// # Errors
    /// Not known when the part does not give it.
    pub fn rated_ah(&self) -> Known<f64> {
        let one = self.at_rate(20);
        let one =
            one.ok_or_else(|| NotKnown::because("the battery's part gives no capacity over 20 h"))?;
        Ok(one * f64::from(self.count))
    }

    /// The fewest batteries of a part in scope of the same voltage that hold what the policy asks
    /// for, the smallest of those; at most four in parallel. Those that are recharged in the time that
    /// the policy allows come first. With it the Ah over 20 h that are needed of that part: of another
    /// part they may be others.
    #[must_use]
    pub fn enough(&self, model: &Model<'a>) -> Option<(u32, PartId, f64)> {
        let volts = self.battery.sheet.voltage?.value;
        let mut fits: Vec<(f64, u32, PartId, f64)> = Vec::new();
        for (index, part) in model.parts.iter().enumerate() {
            let part::Body::Battery(sheet) = part.body else { continue };
            let Some(id) = model.part_id(index) else { continue };
            if sheet.voltage.is_none_or(|voltage| voltage.value != volts) {
                continue;
            }
            let of = PartRef { id, sheet, file: part.name.at.file };
            let wells = Wells::of(model, of, &mut Turns::default());
            let Ok(Some(needed)) = self.how_much(&wells) else { continue };
            let Some(one) = model::at_rate(sheet, 20) else { continue };
            // Where the policy wants the plain sum too, it is held against the capacity that is rated.
            let needed = needed.max(self.plain_sum.unwrap_or(0.0));
            if let Some(count) = (1..=4).find(|count| one * f64::from(*count) >= needed) {
                fits.push((one * f64::from(count), count, id, needed));
            }
        }
        fits.sort_by(|a, b| {
            let names = || model.part_name(a.2).cmp(model.part_name(b.2));
            let late = |ah: f64| !self.refills_in_time(ah);
            late(a.0).cmp(&late(b.0)).then(a.1.cmp(&b.1)).then(a.0.total_cmp(&b.0)).then_with(names)
        });
        fits.first().map(|(_, count, id, needed)| (*count, *id, *needed))
    }

    /// Whether batteries of so many Ah would be recharged in the time that the policy allows, as far as
    /// that is known. The supply charges them as it charges its own.
    fn refills_in_time(&self, ah: f64) -> bool {
        let known = self.recharge.as_ref().ok().zip(self.rated_ah().ok());
        let (Some((most, _)), Some((takes, own))) = (self.recharge_in, known) else { return true };
        !above(takes * ah / own, most)
    }
}
