//! What would mend a cable that takes too much voltage: a thicker conductor, or a shorter run.

use crate::before::Turns;
use crate::cabling::{Cabling, conductor};
use crate::power::Power;
use crate::power::case::{Case, Scene, Trial};
use crate::power::far::Culprit;
use curtilage_circuit::BadInput;
use curtilage_circuit::conductor::{
    Class, Conductor, Size, awg_sizes, iec60228_sizes, longest_run, smallest_size,
};
use curtilage_circuit::limit::{above, below};
use curtilage_model::{Model, PartId, PartRef};
use curtilage_syntax::tree::part;
use smallvec::SmallVec;

/// At most so many voltages are tried: each comes nearer by what the way leaves of it.
const ROUNDS: usize = 32;

/// What would mend a cable.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mend {
    /// The thinnest cable part in scope that works and carries what flows then, and how many of its cores
    /// lie in parallel each way: as many as now, or one where no cable has so many.
    pub part: Option<(PartId, u32)>,
    /// The smallest standard size that works, of the kind that is wired.
    pub size: Option<Size>,
    /// The longest run that works with the cable as it is, m; none for a cable with taps.
    pub length: Option<f64>,
}

/// A scene in which other cables are tried, with the branches and the volts that are wanted there.
type Tried<'c> = (&'c Scene, Trial, Vec<(usize, f64)>);

impl<'a> Power<'a> {
    /// Looks for what would give every load of `low` enough voltage: each in its case, with its branch and
    /// the least voltage at which it works, V.
    #[must_use]
    pub fn mend(&self, model: &Model<'a>, culprit: Culprit, low: &[(&Case, usize, f64)]) -> Mend {
        let pieces: Vec<(usize, Cabling<'a>)> = self
            .pieces(culprit)
            .into_iter()
            .filter_map(|index| match self.branches.get(index)?.cable {
                Some(Ok(cable)) => Some((index, cable)),
                _ => None,
            })
            .collect();
        let Some((_, first)) = pieces.first().copied() else { return Mend::default() };
        let mut trials: Vec<Tried<'_>> = Vec::new();
        for &(case, branch, least) in low {
            let known = trials.iter_mut().find(|(scene, ..)| **scene == case.scene);
            if let Some((_, _, wanted)) = known {
                wanted.push((branch, least));
            } else {
                let Ok(trial) = self.trial(&case.scene) else { return Mend::default() };
                trials.push((&case.scene, trial, vec![(branch, least)]));
            }
        }
        let Some(celsius) = low.first().map(|(case, ..)| case.scene.celsius) else {
            return Mend::default();
        };
        // An impossible resistance is one that does not work.
        let mut works = |other: &dyn Fn(&Cabling<'a>) -> Cabling<'a>| {
            let ohm = |piece| other(piece).ohm(celsius).unwrap_or(f64::INFINITY);
            let ohms: SmallVec<[(usize, f64); 8]> =
                pieces.iter().map(|(index, piece)| (*index, ohm(piece))).collect();
            trials.iter_mut().all(|(_, trial, wanted)| {
                trial.gives(ohms.iter().copied(), wanted).unwrap_or(false)
            })
        };
        let mut with = |conductor, cores| works(&|piece| Cabling { conductor, cores, ..*piece });
        let size = smallest_size(sizes(&first), |size| Ok::<_, BadInput>(with(*size, first.cores)));
        let size = size.ok().flatten().map(|size| size.size());
        let mut is_enough = |part, conductor, cores| {
            with(conductor, cores)
                && self.carries(&pieces, |piece| Cabling { part, conductor, cores, ..*piece })
        };
        let part = thinnest(model, &first, first.cores, &mut is_enough);
        let part = part.or_else(|| thinnest(model, &first, 1, &mut is_enough));
        let length = match culprit {
            Culprit::Cable(_) => None,
            Culprit::Run(_) => {
                let step = if first.length > 20.0 { 1.0 } else { 0.1 };
                let shorter = longest_run(first.length, step, |length| {
                    Ok::<_, BadInput>(works(&|piece| Cabling { length, ..*piece }))
                });
                shorter.ok().flatten().filter(|length| {
                    let length = *length;
                    length > 0.0 && self.carries(&pieces, |piece| Cabling { length, ..*piece })
                })
            }
        };
        Mend { part, size, length }
    }

    /// Whether other cables in the place of some carry what flows in them then: what has a resistance of its
    /// own draws more, the less is lost on the way.
    fn carries(
        &self,
        pieces: &[(usize, Cabling<'a>)],
        other: impl Fn(&Cabling<'a>) -> Cabling<'a>,
    ) -> bool {
        let mut mended = self.unasked();
        for (index, piece) in pieces {
            let Some(branch) = mended.branches.get_mut(*index) else { continue };
            branch.cable = Some(Ok(other(piece)));
        }
        let limit = |index: &usize| Some((*index, mended.branches.get(*index)?.limit()?.0));
        let limits: Vec<(usize, f64)> =
            pieces.iter().filter_map(|(index, _)| limit(index)).collect();
        if limits.is_empty() {
            return true;
        }
        mended.cases(&mut Turns::default());
        let is_more = |(index, limit): (usize, f64)| {
            mended.most_flow(index).is_some_and(|flows| above(flows, limit))
        };
        !limits.into_iter().any(is_more)
    }

    /// V that the supply has to give in a case for the end of a branch to have at least so much: that, and
    /// what is lost on the way. None where no such voltage is found.
    #[must_use]
    pub fn source_volts(&self, case: &Case, branch: usize, least: f64) -> Option<f64> {
        let mut scene = case.scene.clone();
        for _ in 0..ROUNDS {
            let got = self.solve(scene.clone(), |_| None).ok()?.volts(branch)?;
            if !below(got, least) {
                return Some(scene.volts);
            }
            // What is missing, and again what of that is lost.
            scene.volts += least - got;
        }
        None
    }
}

/// The standard sizes above the one that is wired.
fn sizes(wired: &Cabling<'_>) -> Box<dyn Iterator<Item = Conductor>> {
    let now = wired.conductor.ohm_per_m_at_20();
    let thicker = move |size: &Conductor| size.ohm_per_m_at_20() < now;
    match wired.conductor.size() {
        Size::Awg(_) => Box::new(awg_sizes().filter(thicker)),
        Size::Mm2 { class, .. } => Box::new(iec60228_sizes(class).filter(thicker)),
        Size::Ideal(_) | Size::Stated => Box::new(iec60228_sizes(Class::Five).filter(thicker)),
    }
}

/// The thinnest cable part in scope, thicker than the one that is wired, that works.
fn thinnest<'a>(
    model: &Model<'a>,
    wired: &Cabling<'a>,
    cores: u32,
    mut works: impl FnMut(PartRef<'a, part::Cable>, Conductor, u32) -> bool,
) -> Option<(PartId, u32)> {
    let now = wired.conductor.ohm_per_m_at_20();
    let mut parts: Vec<(f64, PartRef<'a, part::Cable>, Conductor)> = Vec::new();
    for (index, part) in model.parts.iter().enumerate() {
        let part::Body::Cable(sheet) = part.body else { continue };
        let (Some(id), Some(conductor)) = (model.part_id(index), conductor(sheet)) else {
            continue;
        };
        let part = PartRef { id, sheet, file: part.name.at.file };
        if conductor.ohm_per_m_at_20() < now && has_cores(sheet, cores) {
            parts.push((conductor.ohm_per_m_at_20(), part, conductor));
        }
    }
    // The thinnest first; parts of one size in the order of their names.
    parts.sort_by(|a, b| {
        b.0.total_cmp(&a.0).then_with(|| model.part_name(a.1.id).cmp(model.part_name(b.1.id)))
    });
    let found = parts.into_iter().find(|(_, part, conductor)| works(*part, *conductor, cores));
    found.map(|(_, part, _)| (part.id, cores))
}

/// Whether a cable has so many cores each way. One that does not say how many has a pair.
#[must_use]
pub fn has_cores(sheet: &part::Cable, each_way: u32) -> bool {
    let has = sheet.cores.map_or(2, |cores| cores.value);
    each_way.saturating_mul(2) <= has
}
