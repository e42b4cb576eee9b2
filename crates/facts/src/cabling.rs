//! Conductors and runs: how many ohms a cable has, out and back.

use crate::figure::{Known, NotKnown, figure, input, step, steps};
use curtilage_circuit::conductor::{Class, Conductor, Leg};
use curtilage_diagnostic::Step;
use curtilage_model::{Cable, Model, PartRef, RunOf, Tap};
use curtilage_syntax::tree::part;
use curtilage_text::Place;

/// A length of cable: its conductor, its length one way, cores in parallel and joints.
#[derive(Clone, Copy, Debug)]
pub struct Cabling<'a> {
    /// The cable part.
    pub part: PartRef<'a, part::Cable>,
    /// The words that name the part.
    pub named: Place,
    /// Length one way, m.
    pub length: f64,
    /// The words that say it.
    pub length_at: Place,
    /// Cores in parallel each way.
    pub cores: u32,
    /// Joints, both ways together.
    pub joints: u32,
    /// Resistance of one joint, ohm, and where it is said: the run, or the policy.
    pub joint: Option<(f64, Place)>,
    /// The conductor.
    pub conductor: Conductor,
}

impl<'a> Cabling<'a> {
    /// The cable of a run.
    ///
    /// # Errors
    /// Not known when the cable part is not known, or gives neither `conductor` nor `resistance`.
    pub(crate) fn of_run(model: &Model<'a>, run: &RunOf<'a>, near: Place) -> Known<Self> {
        let place = |span| Place::new(near.file, span);
        let named = place(run.tree.cable.span);
        let (part, conductor) = known(model, run.cable, named)?;
        let own = run.tree.joint.map(|joint| (joint.value, place(joint.span)));
        Ok(Self {
            part,
            named,
            length: run.tree.length.value,
            length_at: place(run.tree.length.span),
            cores: run.tree.cores.map_or(1, |cores| cores.value),
            joints: run.tree.joints.map_or(0, |joints| joints.value),
            joint: own.or_else(|| policy_joint(model)),
            conductor,
        })
    }

    /// The piece of a tapped cable that leads to a tap.
    ///
    /// # Errors
    /// As [`Cabling::of_run`].
    pub(crate) fn of_tap(model: &Model<'a>, cable: &Cable<'a>, tap: &Tap<'a>) -> Known<Self> {
        let place = |span| Place::new(cable.name.at.file, span);
        let named = place(cable.tree.part.span);
        let (part, conductor) = known(model, cable.part, named)?;
        Ok(Self {
            part,
            named,
            length: tap.tree.length.value,
            length_at: place(tap.tree.length.span),
            cores: cable.tree.cores.map_or(1, |cores| cores.value),
            joints: 0,
            joint: None,
            conductor,
        })
    }

    /// Ohms out and back at a temperature in degC: `2 R(T) L / n + j Rj`.
    #[must_use]
    pub fn ohm(&self, celsius: f64) -> Option<f64> {
        let way = Leg::new(self.conductor, self.length).ok()?;
        let way = way.with_parallel(self.cores).ok()?.ohm(celsius).ok()?;
        Some(2.0 * way + self.joint_ohm())
    }

    /// Ohms of all joints; zero when nothing is said of their resistance.
    #[must_use]
    pub fn joint_ohm(&self) -> f64 {
        f64::from(self.joints) * self.joint.map_or(0.0, |(ohm, _)| ohm)
    }

    /// The current that its cores carry each way, A, as far as the sheet says.
    #[must_use]
    pub fn carries(&self) -> Option<f64> {
        self.part.sheet.most.map(|most| most.value * f64::from(self.cores))
    }

    /// The words of the run that can be changed: its length and its cable.
    #[must_use]
    pub fn at(&self) -> Place {
        if self.named.span.start > self.length_at.span.end {
            let gap = self.named.span.start - self.length_at.span.end;
            // `18 m of pair-1.0` stands together; a tap and its cable do not.
            if gap <= "  of  ".len() as u32 {
                return Place::new(self.named.file, self.length_at.span.to(self.named.span));
            }
        }
        self.length_at
    }

    /// The working of [`Cabling::ohm`].
    #[must_use]
    pub fn working(&self, what: &str, celsius: f64, ambient: Option<Place>) -> Vec<Step> {
        let Ok(mut list) = self.conductor.explain(celsius) else { return Vec::new() };
        let sheet = self.part.sheet;
        let said = sheet.resistance.map(|said| said.span);
        let said = said.or(sheet.conductor.map(|said| said.span));
        let mut places: Vec<(&'static str, Place)> = Vec::new();
        if let Some(said) = said {
            places.extend(["A", "n"].map(|name| (name, self.part.place(said))));
        }
        places.extend(ambient.map(|at| ("T", at)));
        let last = list.pop();
        let mut out = steps(what, &list, &places);
        if let (Some(said), Some(first)) = (said, out.first_mut())
            && first.inputs.is_empty()
        {
            let at = Some(self.part.place(said));
            first.inputs.push(input("as the sheet states", first.result.clone(), at));
        }
        if let Some(last) = last {
            out.push(step(what, &last, &places));
        }
        out.push(self.out_and_back(what, celsius));
        out
    }

    fn out_and_back(&self, what: &str, celsius: f64) -> Step {
        let per_metre = self.conductor.ohm_per_m(celsius).unwrap_or(0.0);
        let mut inputs = vec![
            input("R(T)", figure(per_metre * 1000.0, "ohm/km"), None),
            input("L", figure(self.length, "m"), Some(self.length_at)),
            input("n", self.cores.to_string(), None),
        ];
        let mut formula = "R = 2 * R(T) * L / n".to_owned();
        if self.joints > 0 {
            formula.push_str(" + j * Rj");
            inputs.push(input("j", self.joints.to_string(), None));
            let (value, at) = match self.joint {
                Some((ohm, at)) => (figure(ohm, "ohm"), Some(at)),
                None => ("nothing said, taken as 0 ohm".to_owned(), None),
            };
            inputs.push(input("Rj", value, at));
        }
        Step {
            what: format!("{what}, out and back"),
            formula,
            inputs,
            result: figure(self.ohm(celsius).unwrap_or(0.0), "ohm"),
            source: "Ohm's law (C)".to_owned(),
        }
    }
}

fn known<'a>(
    model: &Model<'a>,
    part: Option<PartRef<'a, part::Cable>>,
    named: Place,
) -> Known<(PartRef<'a, part::Cable>, Conductor)> {
    let part = part.ok_or_else(|| {
        let name = model.text(named);
        NotKnown::because(format!("there is no cable part `{name}`"))
    })?;
    let conductor = conductor(part.sheet).ok_or_else(|| {
        let name = model.text(named);
        NotKnown::because(format!("the part `{name}` gives neither `conductor` nor `resistance`"))
    })?;
    Ok((part, conductor))
}

/// The policy's resistance of a joint.
fn policy_joint(model: &Model<'_>) -> Option<(f64, Place)> {
    let policy = model.policy.as_ref()?;
    let joint = policy.tree.joint?;
    Some((joint.value.value, Place::new(policy.file, joint.value.span)))
}

/// The conductor of a cable part: what its sheet states, otherwise by its size. A size without a
/// class is taken as class 5, whose maximum is the higher one; a size that IEC 60228 does not have
/// as ideal copper, a lower bound.
#[must_use]
pub fn conductor(sheet: &part::Cable) -> Option<Conductor> {
    if let Some(stated) = sheet.resistance {
        return Conductor::stated(stated.value * 1000.0, 0.003_93).ok();
    }
    match sheet.conductor?.value {
        part::Conductor::Gauge(gauge) =>
        {
            #[expect(clippy::cast_possible_truncation, reason = "a gauge number is small")]
            Conductor::awg(gauge as i32).ok()
        }
        part::Conductor::Area(area, class) => {
            let class = match class {
                Some(1) => Class::One,
                Some(2) => Class::Two,
                _ => Class::Five,
            };
            Conductor::iec60228(area, class).or_else(|_| Conductor::ideal(area)).ok()
        }
    }
}

/// Where the ambient range of the site is said.
pub(crate) fn ambient_at(model: &Model<'_>) -> Option<Place> {
    let site = model.site.as_ref()?;
    Some(Place::new(site.name.at.file, site.tree.ambient?.span))
}
