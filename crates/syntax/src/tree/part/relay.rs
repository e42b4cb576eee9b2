//! `part ... is relay`: a relay of its own, between a contact and a load.

use super::controller::{CONTACTS, Contacts};
use super::{DRAW, Draw};
use crate::form::{BlockForm, once};
use crate::tree::Spanned;
use crate::tree::wiring::Rating;
use curtilage_units::Dimension;

/// A relay part.
#[derive(Clone, Debug, Default)]
pub struct Relay {
    /// What its coil draws.
    pub coil: Option<Draw>,
    /// Whether the coil is suppressed, when it is said.
    pub suppressed: Option<Spanned<bool>>,
    /// Which contact it has.
    pub contacts: Option<Spanned<Contacts>>,
    /// What the contact carries.
    pub contact: Vec<Rating>,
    /// V at which it surely pulls in.
    pub pulls_in: Option<Spanned<f64>>,
    /// V at which it surely drops out.
    pub drops_out: Option<Spanned<f64>>,
}

pub(crate) static FORM: BlockForm<Relay> = BlockForm {
    thing: "a relay part",
    forms: &[
        once("coil", DRAW, "what its coil draws", |part, p| {
            part.coil = Some(p.draw()?);
            Some(())
        }),
        once("suppressed", "", "that its coil has a diode or another suppression", |part, p| {
            part.suppressed = Some(Spanned { value: true, span: p.line() });
            Some(())
        }),
        once("bare", "", "that its coil has no suppression", |part, p| {
            part.suppressed = Some(Spanned { value: false, span: p.line() });
            Some(())
        }),
        once("contacts", "make | break | changeover", "which contact it has", |part, p| {
            part.contacts = Some(p.one_of(CONTACTS)?);
            Some(())
        }),
        once(
            "contact",
            "CURRENT at VOLTAGE dc|ac [LOAD-KIND], ...",
            "what its contact carries",
            |part, p| {
                part.contact = p.list(|p| p.rating())?;
                Some(())
            },
        ),
        once("pulls", "in at VOLTAGE", "the voltage at which it surely pulls in", |part, p| {
            p.need("in")?;
            p.need("at")?;
            part.pulls_in = Some(p.positive(Dimension::Voltage)?);
            Some(())
        }),
        once("drops", "out at VOLTAGE", "the voltage at which it surely drops out", |part, p| {
            p.need("out")?;
            p.need("at")?;
            part.drops_out = Some(p.positive(Dimension::Voltage)?);
            Some(())
        }),
    ],
    other: None,
};
