//! `response to CAUSES`: what is done when something happens.

use super::{Name, Names, Spanned};
use crate::form::{BlockForm, many, once};
use crate::phrase::Phrase;
use curtilage_text::Span;
use smallvec::SmallVec;

/// What a response answers.
#[derive(Clone, Debug)]
pub enum Causes {
    /// Any one of these.
    Any(SmallVec<[Cause; 2]>),
    /// All of these within a time, ms.
    All(SmallVec<[Cause; 2]>, Spanned<u64>),
}

impl Causes {
    /// The causes one by one.
    #[must_use]
    pub fn list(&self) -> &[Cause] {
        match self {
            Self::Any(list) | Self::All(list, _) => list,
        }
    }
}

/// One cause.
#[derive(Clone, Copy, Debug)]
pub struct Cause {
    /// What happens.
    pub kind: CauseKind,
    /// To what.
    pub name: Name,
    /// Where it stands.
    pub span: Span,
}

/// The kinds of cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CauseKind {
    /// A zone registers.
    Zone,
    /// A camera or a supply is lost.
    Loss,
    /// A zone's tamper contact moves, or its wires are cut or shorted.
    Tamper,
    /// A schedule begins.
    Start,
    /// A schedule ends.
    End,
}

/// A response.
#[derive(Clone, Debug)]
pub struct Response {
    /// Its name, if it has one.
    pub name: Option<Name>,
    /// The first line.
    pub line: Span,
    /// What it answers.
    pub causes: Causes,
    /// Delay before its effects, ms.
    pub after: Option<Spanned<u64>>,
    /// When it answers.
    pub during: Option<Name>,
    /// What it does.
    pub effects: Vec<Effect>,
}

/// Something that a response does.
#[derive(Clone, Debug)]
pub struct Effect {
    /// What.
    pub kind: EffectKind,
    /// The whole statement.
    pub line: Span,
}

/// The kinds of effect.
#[derive(Clone, Debug)]
pub enum EffectKind {
    /// An output is switched on (`close`) or off (`open`), for a time in ms or for good.
    Switch {
        /// The output.
        output: Name,
        /// On or off.
        on: bool,
        /// How long, ms.
        hold: Option<Spanned<u64>>,
    },
    /// An output goes on and off.
    Pulse {
        /// The output.
        output: Name,
        /// On, ms.
        on: Spanned<u64>,
        /// Off, ms.
        off: Spanned<u64>,
        /// How long in all, ms.
        hold: Spanned<u64>,
    },
    /// Cameras are recorded.
    Record {
        /// The cameras.
        cameras: Names,
        /// From so long before, ms.
        before: Option<Spanned<u64>>,
        /// To so long after, ms.
        after: Option<Spanned<u64>>,
    },
    /// A camera's picture is shown.
    Show {
        /// The cameras.
        cameras: Names,
    },
    /// The sounder built into a controller.
    Sound {
        /// The controller.
        controller: Name,
        /// How long, ms.
        hold: Option<Spanned<u64>>,
    },
    /// People are told.
    Tell {
        /// Who.
        people: Names,
    },
    /// A camera is turned to a preset.
    Move {
        /// The camera.
        camera: Name,
        /// The preset.
        preset: Name,
    },
}

fn cause(p: &mut Phrase<'_, '_>) -> Option<Cause> {
    let kinds = [
        ("loss", CauseKind::Loss),
        ("tamper", CauseKind::Tamper),
        ("start", CauseKind::Start),
        ("end", CauseKind::End),
    ];
    if p.word_after() == Some("of")
        && let Some(kind) = p.perhaps_one_of(&kinds)
    {
        p.need("of")?;
        let name = p.name("a name")?;
        return Some(Cause { kind: kind.value, name, span: kind.span.to(name.span) });
    }
    let name = p.name("the name of a zone, `loss of`, `tamper of`, `start of` or `end of`")?;
    Some(Cause { kind: CauseKind::Zone, name, span: name.span })
}

/// The causes after `to`.
pub(crate) fn causes(p: &mut Phrase<'_, '_>) -> Option<Causes> {
    let all = p.eat_two("all", "of");
    if !all {
        p.eat_two("any", "of");
    }
    let list = p.list(cause)?;
    if all {
        p.need("within")?;
        return Some(Causes::All(list, p.time()?));
    }
    Some(Causes::Any(list))
}

fn hold(p: &mut Phrase<'_, '_>) -> Option<Option<Spanned<u64>>> {
    if p.eat("for") { Some(Some(p.time()?)) } else { Some(None) }
}

fn push(response: &mut Response, kind: EffectKind, line: Span) -> Option<()> {
    response.effects.push(Effect { kind, line });
    Some(())
}

pub(crate) static FORM: BlockForm<Response> = BlockForm {
    thing: "a response",
    forms: &[
        once("after", "TIME", "a delay before its effects", |response, p| {
            response.after = Some(p.time()?);
            Some(())
        }),
        once("during", "SCHEDULE", "when it answers", |response, p| {
            response.during = Some(p.name("the name of a schedule")?);
            Some(())
        }),
        many("close", "OUTPUT [for TIME]", "switches an output on", |response, p| {
            let output = p.name("the name of an output")?;
            let hold = hold(p)?;
            push(response, EffectKind::Switch { output, on: true, hold }, p.line())
        }),
        many("open", "OUTPUT [for TIME]", "switches an output off", |response, p| {
            let output = p.name("the name of an output")?;
            let hold = hold(p)?;
            push(response, EffectKind::Switch { output, on: false, hold }, p.line())
        }),
        many(
            "pulse",
            "OUTPUT TIME on [,] TIME off [,] for TIME",
            "switches an output on and off",
            |response, p| {
                let output = p.name("the name of an output")?;
                let on = p.time()?;
                p.need("on")?;
                p.comma();
                let off = p.time()?;
                p.need("off")?;
                p.comma();
                p.need("for")?;
                let hold = p.time()?;
                push(response, EffectKind::Pulse { output, on, off, hold }, p.line())
            },
        ),
        many(
            "record",
            "CAMERAS [from TIME before] [to TIME after]",
            "records cameras",
            |response, p| {
                let cameras = p.list(|p| p.name("the name of a camera"))?;
                let mut before = None;
                let mut after = None;
                if p.eat("from") {
                    before = Some(p.time()?);
                    p.need("before")?;
                }
                if p.eat("to") {
                    after = Some(p.time()?);
                    p.need("after")?;
                }
                push(response, EffectKind::Record { cameras, before, after }, p.line())
            },
        ),
        many("show", "CAMERAS", "shows cameras on the screen", |response, p| {
            let cameras = p.list(|p| p.name("the name of a camera"))?;
            push(response, EffectKind::Show { cameras }, p.line())
        }),
        many(
            "sound",
            "CONTROLLER [for TIME]",
            "sounds the buzzer built into a controller",
            |response, p| {
                let controller = p.name("the name of a controller")?;
                let hold = hold(p)?;
                push(response, EffectKind::Sound { controller, hold }, p.line())
            },
        ),
        many("tell", "PEOPLE", "tells people", |response, p| {
            let people = p.list(|p| p.name("who is told"))?;
            push(response, EffectKind::Tell { people }, p.line())
        }),
        many("move", "CAMERA to PRESET", "turns a camera", |response, p| {
            let camera = p.name("the name of a camera")?;
            p.need("to")?;
            let preset = p.name("the name of a preset")?;
            push(response, EffectKind::Move { camera, preset }, p.line())
        }),
    ],
    other: None,
};
