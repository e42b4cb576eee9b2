//! What each contact has to switch: everything downstream of it, at the highest voltage.

use crate::doubt::Doubt;
use crate::power::{Consumer, Power};
use crate::supply::{self, feeding};
use crate::{Amps, amps_of};
use curtilage_circuit::Interval;
use curtilage_circuit::contact::{
    Category, ContactLoad, Current, Duty, LoadKind, NotRated, RatingRow, Relay, Verdict, check,
    interposing_chain, worst,
};
use curtilage_model::{
    Contact, ContactAt, ControllerId, Feed, Model, OutputId, PartId, RelayId, SupplyId,
};
use curtilage_syntax::tree::part::{self, Draw, Nature};
use curtilage_syntax::tree::{CurrentKind, wiring};
use curtilage_text::{FileId, Place};
use smallvec::{SmallVec, smallvec};
use std::collections::BTreeMap;

/// One thing that hangs on a contact.
#[derive(Clone, Debug)]
pub struct Load {
    /// What it is.
    pub of: LoadOf,
    /// The words that name the contact.
    pub at: Place,
    /// Where its sheet says what it draws.
    pub sheet: Place,
    /// dc or ac.
    pub kind: CurrentKind,
    /// Resistive, inductive or lamp, as far as the sheet says; a suppressed coil counts as
    /// resistive for the contact.
    pub nature: Option<LoadKind>,
    /// The supply that feeds it.
    pub supply: SupplyId,
    /// How many of them.
    pub count: u32,
    /// Running current of all of them and its voltage, A and V.
    pub running: Amps,
    /// Inrush, A.
    pub inrush: Option<f64>,
    /// The highest voltage at the contact, V.
    pub volts: f64,
}

/// What hangs on a contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadOf {
    /// The loads of an output.
    Output(OutputId),
    /// The coil of a relay.
    Coil(RelayId),
}

impl LoadOf {
    fn consumer(self) -> Consumer {
        match self {
            Self::Output(id) => Consumer::Output(id),
            Self::Coil(id) => Consumer::Coil(id),
        }
    }
}

/// A relay that would carry what the contact cannot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// Relay parts in scope, the one at the contact first.
    pub relays: Vec<PartId>,
    /// The supply that feeds their coils.
    pub supply: SupplyId,
    /// The side of the contact that the first coil hangs on.
    pub coil: wiring::Side,
    /// The side of the last relay that the load hangs on. The two together keep the sense: what is on
    /// at rest stays so.
    pub load: wiring::Side,
}

/// A contact and all that it switches.
#[derive(Debug)]
pub struct Switched<'a> {
    /// The contact, as its first user names it.
    pub contact: Contact<'a>,
    /// What hangs on it; only loads whose figures are known.
    pub loads: SmallVec<[Load; 1]>,
    /// Whether every load on it is known.
    pub complete: bool,
    /// The rows of its rating as written; empty when the part gives none.
    pub ratings: &'a [wiring::Rating],
    /// The file of the ratings.
    pub ratings_file: FileId,
    /// The check of the sum of the loads; none when nothing is known of the rating or the loads.
    pub verdict: Option<Verdict>,
    /// The sum of running currents, A.
    pub running: f64,
    /// The sum of inrush currents, with running currents for loads that give none, A.
    pub inrush: f64,
    /// Whether its rating has a line for lamps: what a filament draws when it is cold is in that one.
    pub for_lamps: bool,
    /// What would carry it when the contact does not.
    pub proposal: Option<Proposal>,
}

impl Load {
    /// What all of them draw at switching on, A.
    #[must_use]
    pub fn peak(&self) -> f64 {
        self.inrush.unwrap_or(self.running.amps).max(self.running.amps)
    }

    /// The same as a rating of a contact counts it.
    fn making(&self, for_lamps: bool) -> f64 {
        let in_its_row = for_lamps && self.nature == Some(LoadKind::Lamp);
        if in_its_row { self.running.amps } else { self.peak() }
    }
}

impl<'a> Switched<'a> {
    /// What a load draws at switching on that is held against the rating, A: of a filament only what it
    /// draws when it is hot, where the rating has a line for lamps.
    #[must_use]
    pub fn making(&self, load: &Load) -> f64 {
        load.making(self.for_lamps)
    }

    /// The same of all its loads together, A.
    #[must_use]
    pub fn making_together(&self) -> f64 {
        making(&self.loads, self.for_lamps)
    }

    /// Whether some load on it does not say what it is to a contact: the best of the ratings is taken then.
    #[must_use]
    pub fn kind_is_open(&self) -> bool {
        self.loads.iter().any(|load| load.nature.is_none())
    }

    /// The row of the rating that its load is held against, and the share of that row's current
    /// which it takes: above 1 when it is too much.
    #[must_use]
    pub fn limit(&self) -> Option<(&'a wiring::Rating, f64)> {
        match self.verdict? {
            Verdict::Within { row, used, .. } => Some((self.ratings.get(row)?, used)),
            Verdict::Exceeds { row, factor, .. } => Some((self.ratings.get(row)?, factor)),
            _ => None,
        }
    }
}

/// Whether a relay of another part would do in the place of one of the site: its contact carries what
/// hangs on that one's, and its coil is no more for the contact that it hangs on. What is not known of the
/// relay that is there is not asked of the other.
#[must_use]
pub fn could_be(model: &Model<'_>, all: &[Switched<'_>], id: RelayId, other: &part::Relay) -> bool {
    let carries = |ratings: &[wiring::Rating], loads: &[Load]| {
        let known = rows(ratings).filter(|rows| !rows.is_empty());
        known.is_some_and(|rows| self::carries(&rows, loads))
    };
    let feed = model.relay(id).and_then(|relay| relay.fed.as_ref());
    let coil = feed.zip(other.coil.as_ref()).and_then(|(feed, draw)| {
        let feeding = feeding(model, feed.origin)?;
        amps_of(draw, feeding.volts).filter(|_| draw.kind.is_none_or(|kind| kind == feeding.kind))
    });
    let Some(coil) = coil else { return false };
    all.iter().all(|switched| {
        if matches!(switched.contact.of, ContactAt::Relay(of) if of == id) {
            return switched.ratings.is_empty() || carries(&other.contact, &switched.loads);
        }
        if !switched.loads.iter().any(|load| load.of == LoadOf::Coil(id)) {
            return true;
        }
        let mut loads = switched.loads.clone();
        for load in loads.iter_mut().filter(|load| load.of == LoadOf::Coil(id)) {
            load.running = coil;
            load.nature = Some(LoadKind::Resistive);
        }
        switched.ratings.is_empty() || carries(switched.ratings, &loads)
    })
}

/// The rating rows of a part as the engine takes them, in the same order.
#[must_use]
pub fn rows(ratings: &[wiring::Rating]) -> Option<Vec<RatingRow>> {
    ratings
        .iter()
        .map(|rating| {
            let duty = match rating.load {
                wiring::LoadKind::Resistive => Duty::Resistive,
                wiring::LoadKind::Inductive => Duty::Inductive,
                wiring::LoadKind::Lamp => Duty::Lamp,
                wiring::LoadKind::Category(category) => Duty::Category(match category {
                    wiring::Category::Ac12 => Category::Ac12,
                    wiring::Category::Ac13 => Category::Ac13,
                    wiring::Category::Ac14 => Category::Ac14,
                    wiring::Category::Ac15 => Category::Ac15,
                    wiring::Category::Dc12 => Category::Dc12,
                    wiring::Category::Dc13 => Category::Dc13,
                    wiring::Category::Dc14 => Category::Dc14,
                }),
            };
            let (volts, amps) = (rating.voltage.value, rating.current.value);
            RatingRow::new(volts, current(rating.kind), duty, amps, None).ok()
        })
        .collect()
}

fn current(kind: CurrentKind) -> Current {
    match kind {
        CurrentKind::Ac => Current::Ac,
        CurrentKind::Dc => Current::Dc,
    }
}

/// Gathers what hangs on each contact and checks it, where its rating can be read in full.
pub(crate) fn switched<'a>(
    model: &Model<'a>,
    doubt: &Doubt<'a>,
    power: &[Power<'a>],
) -> Vec<Switched<'a>> {
    let mut out: Vec<Switched<'a>> = Vec::new();
    let mut known: Contacts<'a> = BTreeMap::new();
    for (id, output) in model.outputs_by_id() {
        let Some(contact) = output.through else { continue };
        let loads = output.loads.as_deref().and_then(|parts| {
            let feed = output.fed.as_ref()?;
            let suppressed = output.tree.suppressed.is_some();
            parts
                .iter()
                .map(|(count, part)| {
                    let draw = part.sheet.draws.as_ref()?;
                    let nature = part.sheet.nature.map(|nature| nature.value);
                    let inrush = part.sheet.inrush.map(|(current, _)| current.value);
                    let sheet = part.place(draw.span);
                    let of = LoadOf::Output(id);
                    let nature = nature.map(|nature| to_contact(nature, suppressed));
                    let about = (of, contact.at, sheet, nature, inrush);
                    load(model, power, feed, draw, *count, about)
                })
                .collect::<Option<SmallVec<_>>>()
        });
        add(model, &mut out, &mut known, contact, loads);
    }
    for (id, relay) in model.relays_by_id() {
        let Some(contact) = relay.through else { continue };
        let loads = relay.part.and_then(|part| {
            let draw = part.sheet.coil.as_ref()?;
            let sheet = part.place(draw.span);
            // A sheet that says nothing of suppression leaves the coil's nature open.
            let nature = part.sheet.suppressed.map(|suppressed| {
                if suppressed.value { LoadKind::Resistive } else { LoadKind::Inductive }
            });
            let of = LoadOf::Coil(id);
            Some(smallvec![load(
                model,
                power,
                relay.fed.as_ref()?,
                draw,
                1,
                (of, contact.at, sheet, nature, None),
            )?])
        });
        add(model, &mut out, &mut known, contact, loads);
    }
    let mut sheets = Sheets::default();
    for switched in &mut out {
        if !doubt.about_contact(model, &switched.contact) {
            judge(model, switched, &known, &mut sheets);
        }
    }
    out
}

/// The rows of each rating so far: a site has many contacts of few parts.
#[derive(Default)]
struct Sheets<'a> {
    list: Vec<(&'a [wiring::Rating], Option<Vec<RatingRow>>)>,
}

impl<'a> Sheets<'a> {
    /// The rows of a rating that can be read in full.
    fn rows(&mut self, ratings: &'a [wiring::Rating]) -> Option<&[RatingRow]> {
        let known = self.list.iter().position(|(known, _)| std::ptr::eq(*known, ratings));
        let at = known.unwrap_or_else(|| {
            self.list.push((ratings, rows(ratings).filter(|rows| !rows.is_empty())));
            self.list.len() - 1
        });
        self.list.get(at)?.1.as_deref()
    }
}

fn to_contact(nature: Nature, suppressed: bool) -> LoadKind {
    match nature {
        Nature::Lamp => LoadKind::Lamp,
        Nature::Inductive if !suppressed => LoadKind::Inductive,
        _ => LoadKind::Resistive,
    }
}

type About = (LoadOf, Place, Place, Option<LoadKind>, Option<f64>);

fn load<'a>(
    model: &Model<'a>,
    power: &[Power<'a>],
    feed: &Feed<'a>,
    draw: &Draw,
    count: u32,
    (of, at, sheet, nature, inrush): About,
) -> Option<Load> {
    let feeding = feeding(model, feed.origin)?;
    let one = amps_of(draw, feeding.volts)?;
    let mut running = Amps { amps: one.amps * f64::from(count), ..one };
    // Constant power draws most at what the cable leaves of the lowest voltage.
    let network = power.get(feeding.supply.index());
    if let Some(found) = network.and_then(|power| power.at_least_volts(of.consumer(), sheet, count))
    {
        running = found;
    }
    let inrush = inrush.map(|inrush| inrush * f64::from(count));
    let volts = feeding.volts.hi();
    let (kind, supply) = (feeding.kind, feeding.supply);
    Some(Load { of, at, sheet, kind, nature, supply, count, running, inrush, volts })
}

/// The contacts so far, by relay or terminal and by side: the two sides of a changeover contact
/// never carry at once, so each is a contact of its own.
type Contacts<'a> = BTreeMap<Key<'a>, usize>;
type Key<'a> = (Option<RelayId>, Option<(ControllerId, &'a str)>, bool);

fn key<'a>(contact: &Contact<'a>, side: wiring::Side) -> Key<'a> {
    let (relay, terminal) = match contact.of {
        ContactAt::Relay(relay) => (Some(relay), None),
        ContactAt::Terminal(terminal) => (None, Some((terminal.controller, terminal.name))),
    };
    (relay, terminal, side == wiring::Side::Opening)
}

fn add<'a>(
    model: &Model<'a>,
    out: &mut Vec<Switched<'a>>,
    known: &mut Contacts<'a>,
    contact: Contact<'a>,
    loads: Option<SmallVec<[Load; 1]>>,
) {
    let index = *known.entry(key(&contact, contact.side)).or_insert_with(|| {
        let (ratings, ratings_file) = ratings(model, &contact);
        out.push(Switched {
            contact,
            loads: SmallVec::new(),
            complete: true,
            ratings,
            ratings_file,
            verdict: None,
            running: 0.0,
            inrush: 0.0,
            for_lamps: false,
            proposal: None,
        });
        out.len() - 1
    });
    let Some(switched) = out.get_mut(index) else { return };
    match loads {
        Some(loads) if switched.loads.is_empty() => switched.loads = loads,
        Some(loads) => switched.loads.extend(loads),
        None => switched.complete = false,
    }
}

fn ratings<'a>(model: &Model<'a>, contact: &Contact<'a>) -> (&'a [wiring::Rating], FileId) {
    let found = match contact.of {
        ContactAt::Terminal(terminal) => model
            .controller(terminal.controller)
            .and_then(|controller| controller.part)
            .map(|part| (part.sheet.relay.as_slice(), part.file)),
        ContactAt::Relay(relay) => model
            .relay(relay)
            .and_then(|relay| relay.part)
            .map(|part| (part.sheet.contact.as_slice(), part.file)),
    };
    found.unwrap_or((&[], FileId::default()))
}

/// The sum of what hangs on a contact of a rating, as loads of one kind of current and one nature each;
/// the whole sum counts for each, since the contact carries it all.
fn sums(rows: &[RatingRow], loads: &[Load]) -> SmallVec<[ContactLoad; 2]> {
    let for_lamps = for_lamps(rows);
    let running = running(loads);
    let making = making(loads, for_lamps);
    let volts = loads.iter().map(|load| load.volts).fold(0.0, f64::max);
    let mut out: SmallVec<[(Current, LoadKind); 2]> = SmallVec::new();
    for load in loads {
        // A load whose sheet says nothing of its nature is held against the best row.
        let pair = (current(load.kind), load.nature.unwrap_or(LoadKind::Resistive));
        if !out.contains(&pair) {
            out.push(pair);
        }
    }
    out.into_iter()
        .filter_map(|(kind, nature)| {
            let load = ContactLoad::new(volts, kind, nature, running).ok()?;
            load.with_inrush(making.max(running)).ok()
        })
        .collect()
}

fn for_lamps(rows: &[RatingRow]) -> bool {
    rows.iter().any(|row| row.duty() == Duty::Lamp)
}

/// Whether a contact of a rating carries all of the loads.
fn carries(rows: &[RatingRow], loads: &[Load]) -> bool {
    sums(rows, loads).iter().all(|load| check(rows, load).is_within())
}

fn running(loads: &[Load]) -> f64 {
    loads.iter().map(|load| load.running.amps).sum()
}

fn making(loads: &[Load], for_lamps: bool) -> f64 {
    loads.iter().map(|load| load.making(for_lamps)).sum()
}

fn inrush(loads: &[Load]) -> f64 {
    loads.iter().map(Load::peak).sum()
}

fn judge<'a>(
    model: &Model<'a>,
    switched: &mut Switched<'a>,
    known: &Contacts<'a>,
    sheets: &mut Sheets<'a>,
) {
    switched.running = running(&switched.loads);
    switched.inrush = inrush(&switched.loads);
    let Some(rows) = sheets.rows(switched.ratings) else { return };
    switched.for_lamps = for_lamps(rows);
    let sums = sums(rows, &switched.loads);
    switched.verdict = sums.iter().map(|load| check(rows, load)).reduce(worst);
    let wants_relay = matches!(
        switched.verdict,
        Some(
            Verdict::Exceeds { .. }
                | Verdict::OverVoltage { .. }
                | Verdict::NotRated(NotRated::OtherCurrent)
        )
    );
    if wants_relay {
        switched.proposal = propose(model, switched, known, rows);
    }
}

/// At most so many relays in a row are proposed.
const LONGEST_CHAIN: usize = 2;

/// The shortest chain, with its coils fed from the loads' own supply or else from another of the
/// site.
///
/// The load hangs on the closing side of the last relay, which follows the contact. Behind an `opening`
/// side its coil would draw at rest: where the closing side of the contact is there and free, the coil
/// hangs on that one and the load on the `opening` side of the relay.
fn propose<'a>(
    model: &Model<'a>,
    switched: &Switched<'a>,
    known: &Contacts<'a>,
    rows: &[RatingRow],
) -> Option<Proposal> {
    use wiring::Side::{Closing, Opening};
    let contact = &switched.contact;
    let follows = (contact.side, Closing);
    let both = model.contacts_of(contact).is_some_and(|(contacts, _)| contacts.has(Closing));
    let free = both && !known.contains_key(&key(contact, Closing));
    let turned = (contact.side == Opening && free).then_some((Closing, Opening));
    let own = switched.loads.first().map(|load| load.supply);
    let others = model.supplies_by_id().map(|(id, _)| id).filter(|id| Some(*id) != own);
    let mut supplies = own.into_iter().chain(others);
    supplies.find_map(|supply| {
        let mut ways = turned.into_iter().chain([follows]);
        ways.find_map(|(coil, load)| {
            let relays = chain(model, supply, (rows, &switched.loads), load)?;
            Some(Proposal { relays, supply, coil, load })
        })
    })
}

/// The relays of a chain whose contacts all have a side.
fn chain(
    model: &Model<'_>,
    supply: SupplyId,
    (rows, loads): (&[RatingRow], &[Load]),
    side: wiring::Side,
) -> Option<Vec<PartId>> {
    let volts = supply::range(model.supply(supply)?)?;
    let kind = model.supply(supply)?.part?.sheet.kind?.value;
    // Between two relays of a chain stands a closing side.
    let longest = if side == wiring::Side::Closing { LONGEST_CHAIN } else { 1 };
    let mut parts: Vec<(PartId, ContactLoad, Vec<RatingRow>)> = Vec::new();
    for (index, part) in model.parts.iter().enumerate() {
        let part::Body::Relay(sheet) = part.body else { continue };
        let Some(id) = model.part_id(index) else { continue };
        // A sheet that says nothing of its contact has one that closes.
        let has = sheet.contacts.map_or(side == wiring::Side::Closing, |said| said.value.has(side));
        if let Some((coil, contact)) = as_relay(sheet, volts, kind).filter(|_| has) {
            parts.push((id, coil, contact));
        }
    }
    let relays: Vec<Relay<'_>> = parts
        .iter()
        .map(|(_, coil, contact)| Relay { coil: *coil, contact: contact.as_slice() })
        .collect();
    let carries = |rows: &[RatingRow]| self::carries(rows, loads);
    let chain = interposing_chain(rows, carries, &relays, longest)?;
    let relays = chain.iter().filter_map(|place| parts.get(*place)).map(|(id, _, _)| *id);
    let relays: Vec<PartId> = relays.collect();
    (!relays.is_empty()).then_some(relays)
}

/// A relay part whose coil works over the whole range of a supply, as the engine takes it.
fn as_relay(
    sheet: &part::Relay,
    volts: Interval,
    kind: CurrentKind,
) -> Option<(ContactLoad, Vec<RatingRow>)> {
    let draw = sheet.coil.as_ref()?;
    let works = draw.works?.value;
    let least = sheet.pulls_in.map_or(works.low, |pulls_in| pulls_in.value.max(works.low));
    if least > volts.lo() || works.high < volts.hi() || draw.kind.is_some_and(|k| k != kind) {
        return None;
    }
    let kind = current(kind);
    let amps = amps_of(draw, volts)?.amps;
    let suppressed = sheet.suppressed.is_none_or(|said| said.value);
    let nature = if suppressed { LoadKind::Resistive } else { LoadKind::Inductive };
    let coil = ContactLoad::new(volts.hi(), kind, nature, amps).ok()?;
    Some((coil, rows(&sheet.contact)?))
}
