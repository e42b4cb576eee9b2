//! What a model amounts to: the facts that rules, hover, reviews and papers read, each worked out
//! once. The engines (`calendar`, `circuit`, `events`) are asked here and nowhere above.
//!
//! Facts borrow the model. A figure that cannot be worked out, because a part gives no sheet value
//! or a name is not known, is absent, never guessed.

mod acting;
mod arming;
mod asked;
pub mod assumed;
mod battery;
mod before;
mod cabling;
mod doubt;
pub mod events;
mod figure;
mod footage;
mod hours;
mod load;
mod loops;
mod meetings;
mod power;
mod readings;
mod registering;
mod store;
mod supply;
mod switching;
mod tampering;

pub use curtilage_calendar::{LocalSpans, WeekSet};
pub use curtilage_circuit::Interval;
pub use curtilage_circuit::battery::Lasts;
pub use curtilage_circuit::contact::{Covered as Current, NotRated, Verdict};
pub use curtilage_circuit::ends::Placement;
pub use curtilage_circuit::limit;

pub use arming::{Edge, OpenHoliday, Overlap};
pub use asked::Asked;
pub use battery::{CHARGE_FACTOR, Factor, SECOND_H, Standby, Wells, clashes};
pub use before::Before;
pub use cabling::{Cabling, conductor};
pub use doubt::Doubt;
pub use figure::{Known, NotKnown};
pub use footage::{Refusal, Refused, refusals};
pub use hours::{Covered, Hours, Uncovered};
pub use load::{Amps, amps_of};
pub use loops::{Fit, Loop, LoopFault, LoopState, Resistor, StateName};
pub use meetings::Brings;
pub use power::{
    Branch, BranchOf, Came, Case, Consumer, Culprit, Drawing, Fuse, FuseOf, Least, Mend, Power,
    Scene, Switch, When, has_cores,
};
pub use readings::{Held, Like, metered, never_measured};
pub use registering::{Driven, Recorded, Registering, longest_hold};
pub use store::{Footage, Store};
pub use supply::{Feeding, Step as FeedStep, feeding};
pub use switching::{Load, LoadOf, Proposal, Switched, could_be, rows};
pub use tampering::{Tampering, shares_the_wires, tampering};

use curtilage_model::Model;
use curtilage_syntax::tree::Date;
use meetings::Meetings;

/// What the analysis has to be told from outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// The day on which exceptions are looked at, and whose year and the next are checked.
    pub today: Date,
}

/// The facts of one model.
pub struct Facts<'m, 'a> {
    /// The model.
    pub model: &'m Model<'a>,
    /// What it was told from outside.
    pub options: Options,
    /// What cannot be argued about, because a statement could not be read.
    pub doubt: Doubt<'a>,
    /// The hours of every schedule.
    pub hours: Hours,
    /// What each contact that switches something has to carry, in the order of first use.
    pub switched: Vec<Switched<'a>>,
    /// The loop of each zone, in the order of zones.
    pub loops: Vec<Known<Loop<'a>>>,
    /// The network of each supply, in the order of supplies.
    pub power: Vec<Power<'a>>,
    /// The standby of each supply, in the order of supplies; none without a battery.
    pub standby: Vec<Option<Standby<'a>>>,
    /// What each reading should be, in the order of readings.
    pub readings: Vec<Held>,
    /// How each zone registers, in the order of zones.
    pub registering: Vec<Registering>,
    /// The stores of the recording plans.
    pub stores: Vec<Store>,
    /// Recordings that are asked for and refused.
    pub refusals: Vec<Refusal>,
    events: events::Events,
}

impl<'m, 'a> Facts<'m, 'a> {
    /// Works out the facts of a model.
    #[must_use]
    pub fn new(model: &'m Model<'a>, options: Options) -> Self {
        Self::after(model, options, &mut Before::nothing())
    }

    /// The same, where the engines need not be asked again what they were asked before: for the
    /// next version of a file.
    #[must_use]
    pub fn after(model: &'m Model<'a>, options: Options, before: &mut Before) -> Self {
        before.turn();
        let doubt = Doubt::of(model);
        let mut hours = Hours::new(model, &doubt, options.today);
        let mut meetings = Meetings::of(&hours);
        let registering = registering::registering(model, &doubt, &mut meetings);
        let acting = acting::acting(model, &mut meetings);
        let refusals = refusals(model, &mut hours);
        let power = power::power(model, &doubt, &acting, &hours, &mut before.networks);
        let loops = loops::loops(model, &doubt, &mut before.loops);
        Self {
            model,
            options,
            switched: switching::switched(model, &doubt, &power),
            readings: readings::held(model, &doubt, &loops, &power),
            loops,
            standby: battery::standby(model, &power, before),
            power,
            registering,
            stores: store::stores(model, &doubt, &hours),
            doubt,
            refusals,
            hours,
            events: events::Events::default(),
        }
    }
}
