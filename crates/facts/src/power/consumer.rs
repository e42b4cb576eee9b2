//! What draws current, where its sheet says so, and what it draws when it is on and when it is not.

use crate::power::on::{Rooted, Roots};
use crate::{Known, NotKnown};
use curtilage_circuit::network;
use curtilage_model::{CameraId, ControllerId, Feed, Model, Named, OutputId, RelayId, ZoneId};
use curtilage_syntax::tree::part::{Draw, Law, Nature};
use curtilage_syntax::tree::{Interval, Spanned};
use curtilage_text::Place;
use smallvec::{SmallVec, smallvec};

/// Something that draws current.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Consumer {
    /// A controller itself.
    Controller(ControllerId),
    /// The loads of an output.
    Output(OutputId),
    /// The coil of a relay.
    Coil(RelayId),
    /// The sensor of a zone.
    Sensor(ZoneId),
    /// A camera.
    Camera(CameraId),
}

impl Consumer {
    /// Its name.
    #[must_use]
    pub fn name<'a>(self, model: &Model<'a>) -> Named<'a> {
        let found = match self {
            Self::Controller(id) => model.controller(id).map(|thing| thing.name),
            Self::Output(id) => model.output(id).map(|thing| thing.name),
            Self::Coil(id) => model.relay(id).map(|thing| thing.name),
            Self::Sensor(id) => model.zone(id).map(|thing| thing.name),
            Self::Camera(id) => model.camera(id).map(|thing| thing.name),
        };
        found.unwrap_or(Named { text: "", at: Place::default() })
    }

    /// Its feed.
    #[must_use]
    pub fn feed<'a>(self, model: &Model<'a>) -> Option<Feed<'a>> {
        match self {
            Self::Controller(id) => model.controller(id)?.fed,
            Self::Output(id) => model.output(id)?.fed,
            Self::Coil(id) => model.relay(id)?.fed,
            Self::Sensor(id) => model.zone(id)?.fed(),
            Self::Camera(id) => model.camera(id)?.fed,
        }
    }

    /// The fuse of its feed, A.
    #[must_use]
    pub fn fuse(self, model: &Model<'_>) -> Option<(f64, Place)> {
        let fuse: Option<Spanned<f64>> = match self {
            Self::Controller(id) => model.controller(id)?.tree.fuse,
            Self::Output(id) => model.output(id)?.tree.fuse,
            Self::Coil(id) => model.relay(id)?.tree.fuse,
            Self::Sensor(id) => model.zone(id)?.tree.fuse,
            Self::Camera(id) => model.camera(id)?.tree.fuse,
        };
        fuse.map(|fuse| (fuse.value, Place::new(self.name(model).at.file, fuse.span)))
    }
}

/// When something draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// At all times.
    Always,
    /// While a contact conducts.
    Switched(Switch),
    /// Never known: the contact that switches it is not.
    Unknown,
}

/// How a contact behaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Switch {
    /// The controller's relay that moves it in the end, by number.
    pub(crate) root: usize,
    /// Whether it conducts while everything is at rest.
    pub rest: bool,
    /// Whether it conducts when the responses have moved it; none when none does.
    pub moved: Option<bool>,
}

impl When {
    fn of(roots: &Roots, rooted: Option<Rooted>) -> Self {
        rooted.map_or(Self::Unknown, |rooted| {
            let (rest, moved) = (roots.at_rest(rooted), roots.moved(rooted));
            Self::Switched(Switch { root: rooted.root, rest, moved })
        })
    }
}

/// What one consumer draws by one line of a sheet.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// Who draws it.
    pub of: Consumer,
    /// Where its sheet says so.
    pub at: Place,
    /// How many of them.
    pub count: u32,
    /// What the sheet says.
    pub draw: Draw,
    /// The range in which it works, V, and where that is said; none when the sheet gives one voltage
    /// alone.
    pub works: Option<(Interval, Place)>,
    /// The voltage at which a coil surely pulls in, V, and where that is said.
    pub pulls_in: Option<(f64, Place)>,
    /// What it draws when it is off but fed, A.
    pub idles: Option<f64>,
    /// When it draws.
    pub when: When,
    /// Whether its current follows its voltage without delay, where that alternates: a load of which the
    /// sheet says so.
    pub(crate) in_phase: bool,
    /// The branch at whose end it hangs, by index.
    pub branch: usize,
}

/// The least voltage that something needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Least {
    /// V.
    pub volts: f64,
    /// Where it is said.
    pub at: Place,
    /// Whether a coil needs it to pull in, and not to work once it has.
    pub pulls_in: bool,
}

impl Drawing {
    /// The least voltage that it needs: the lower end of its range, or what a coil pulls in at where that
    /// is more.
    #[must_use]
    pub fn least(&self) -> Option<Least> {
        let works = self.works.map(|(works, at)| Least { volts: works.low, at, pulls_in: false });
        let pulls = self.pulls_in.map(|(volts, at)| Least { volts, at, pulls_in: true });
        match (works, pulls) {
            (Some(works), Some(pulls)) if pulls.volts > works.volts => Some(pulls),
            (works, pulls) => works.or(pulls),
        }
    }

    /// Whether there is a state in which it draws; one whose contact is forced open has none.
    #[must_use]
    pub fn is_ever_on(&self) -> bool {
        match self.when {
            When::Switched(switch) => switch.rest || switch.moved == Some(true),
            When::Always | When::Unknown => true,
        }
    }

    /// The power that all of them draw at any voltage, W; none where the current does not rise when the
    /// voltage falls.
    #[must_use]
    pub fn constant_power(&self) -> Option<f64> {
        match self.load() {
            Ok(network::Load::ConstantPower(watts)) => Some(watts),
            _ => None,
        }
    }

    /// What all of them are to the network when they are on.
    pub(crate) fn load(&self) -> Known<network::Load> {
        let count = f64::from(self.count);
        let amount = self.draw.amount.value;
        let rated = || {
            let works = self.draw.works.map(|works| works.value.high);
            works.ok_or_else(|| NotKnown::because("its sheet gives no voltage for what it draws"))
        };
        Ok(match (self.draw.power, self.draw.law.map(|law| law.value)) {
            (false, None | Some(Law::ConstantCurrent)) => {
                network::Load::ConstantCurrent(amount * count)
            }
            (true, None | Some(Law::ConstantPower)) => network::Load::ConstantPower(amount * count),
            (false, Some(Law::ConstantPower)) => {
                network::Load::ConstantPower(amount * rated()? * count)
            }
            (true, Some(Law::ConstantCurrent)) => {
                network::Load::ConstantCurrent(amount / rated()? * count)
            }
            (false, Some(Law::Resistive)) => network::Load::Resistance(rated()? / amount / count),
            (true, Some(Law::Resistive)) => {
                let volts = rated()?;
                network::Load::Resistance(volts * volts / amount / count)
            }
        })
    }

    /// What it is to the network when it is off.
    pub(crate) fn idle(&self) -> network::Load {
        network::Load::ConstantCurrent(self.idles.unwrap_or(0.0) * f64::from(self.count))
    }
}

/// What a consumer draws, or why that is not known.
pub(crate) type Draws = Known<SmallVec<[Drawing; 1]>>;

/// Gives everything that draws current and says what feeds it.
pub(crate) fn consumers(model: &Model<'_>, roots: &Roots, mut give: impl FnMut(Consumer, Draws)) {
    let one = |of, part: Option<(Draw, Place)>, what: &'static str, when| {
        let draw = part.ok_or_else(|| NotKnown::because(what));
        draw.map(|(draw, at)| -> SmallVec<_> { smallvec![drawing(of, draw, at, 1, None, when)] })
    };
    for (id, controller) in model.controllers_by_id() {
        let draw = controller.part.and_then(|part| {
            let draw = part.sheet.draws?;
            Some((draw, part.place(draw.span)))
        });
        let of = Consumer::Controller(id);
        give(of, one(of, draw, "its part gives no `draws`", When::Always));
    }
    for (id, output) in model.outputs_by_id() {
        let when = When::of(roots, roots.output(id));
        let of = Consumer::Output(id);
        let loads = output.loads.as_deref().ok_or_else(|| NotKnown::because("a part is not known"));
        let draws = loads.and_then(|loads| {
            let each = loads.iter().map(|(count, part)| {
                let draw = part.sheet.draws;
                let draw = draw.ok_or_else(|| {
                    let name = model.part_name(part.id);
                    NotKnown::because(format!("the part `{name}` gives no `draws`"))
                })?;
                let idles = part.sheet.idles.map(|idles| idles.value);
                let mut one = drawing(of, draw, part.place(draw.span), *count, idles, when);
                let nature = part.sheet.nature.map(|nature| nature.value);
                one.in_phase = matches!(nature, Some(Nature::Resistive | Nature::Lamp));
                Ok(one)
            });
            each.collect()
        });
        give(of, draws);
    }
    for (id, relay) in model.relays_by_id() {
        let when = When::of(roots, roots.relay(id));
        let coil = relay.part.and_then(|part| {
            let coil = part.sheet.coil?;
            Some((coil, part.place(coil.span)))
        });
        let of = Consumer::Coil(id);
        let mut draws = one(of, coil, "its part gives no `coil`", when);
        if let (Ok(draws), Some(part)) = (&mut draws, relay.part) {
            let pulls_in = part.sheet.pulls_in.map(|said| (said.value, part.place(said.span)));
            draws.iter_mut().for_each(|draw| draw.pulls_in = pulls_in);
        }
        give(of, draws);
    }
    for (id, zone) in model.zones_by_id() {
        // A sensor that is not fed draws nothing that could be counted anywhere.
        if zone.tree.fed.is_none() {
            continue;
        }
        let draw = zone.sensor.and_then(|part| {
            let draw = part.sheet.draws?;
            Some((draw, part.place(draw.span)))
        });
        let of = Consumer::Sensor(id);
        give(of, one(of, draw, "its part gives no `draws`", When::Always));
    }
    for (id, camera) in model.cameras_by_id() {
        if camera.tree.fed.is_none() {
            continue;
        }
        let draw = camera.part.and_then(|part| {
            let draw = part.sheet.draws?;
            Some((draw, part.place(draw.span)))
        });
        let of = Consumer::Camera(id);
        give(of, one(of, draw, "it has no part that gives `draws`", When::Always));
    }
}

fn drawing(
    of: Consumer,
    draw: Draw,
    at: Place,
    count: u32,
    idles: Option<f64>,
    when: When,
) -> Drawing {
    // One voltage alone is what the sheet was measured at, not a range in which it works.
    let works = draw.works.filter(|works| works.value.high > works.value.low);
    let works = works.map(|works| (works.value, Place::new(at.file, works.span)));
    let in_phase = false;
    Drawing { of, at, count, draw, works, pulls_in: None, idles, when, in_phase, branch: 0 }
}
