//! A file and its items.

use super::{
    Name, allow, cable, camera, controller, measured, output, part, policy, recording, rehearsal,
    relay, response, schedule, site, supply, zone,
};
use crate::atom::AtomKind;
use crate::fault::{Fault, FaultKind};
use crate::form::{finish, same, vocabulary};
use crate::nearest::nearest;
use crate::phrase::Phrase;
use crate::piece::{Body, Piece, line_of};
use curtilage_text::Span;
use std::sync::Arc;

/// `use "parts/general.site"`.
#[derive(Clone, Copy, Debug)]
pub struct Import {
    /// The path, quotes included.
    pub path: Span,
    /// The whole statement.
    pub line: Span,
}

/// Everything that one file says.
#[derive(Clone, Debug, Default)]
pub struct File {
    /// The items, in order.
    pub items: Vec<Item>,
}

/// One item.
#[derive(Clone, Debug)]
pub enum Item {
    /// `use`
    Import(Import),
    /// `site`
    Site(Arc<site::Site>),
    /// `schedule`
    Schedule(Arc<schedule::Schedule>),
    /// `part`
    Part(Arc<part::Part>),
    /// `supply`
    Supply(Arc<supply::Supply>),
    /// `controller`
    Controller(Arc<controller::Controller>),
    /// `relay`
    Relay(Arc<relay::Relay>),
    /// `cable`
    Cable(Arc<cable::Cable>),
    /// `zone`
    Zone(Arc<zone::Zone>),
    /// `output`
    Output(Arc<output::Output>),
    /// `camera`
    Camera(Arc<camera::Camera>),
    /// `recording`
    Recording(Arc<recording::Recording>),
    /// `response`
    Response(Arc<response::Response>),
    /// `rehearsal`
    Rehearsal(Arc<rehearsal::Rehearsal>),
    /// `measured`
    Measured(Arc<measured::Measured>),
    /// `policy`
    Policy(Arc<policy::Policy>),
    /// `allow`
    Allow(Arc<allow::Allow>),
}

/// How an item begins.
pub(crate) struct ItemWord {
    pub(crate) word: &'static str,
    /// Whether some block has a statement that begins with the same word.
    pub(crate) also_statement: bool,
    pub(crate) pattern: &'static str,
    pub(crate) about: &'static str,
    read: fn(&mut Phrase<'_, '_>) -> Option<Item>,
}

const fn item(
    word: &'static str,
    also_statement: bool,
    pattern: &'static str,
    about: &'static str,
    read: fn(&mut Phrase<'_, '_>) -> Option<Item>,
) -> ItemWord {
    ItemWord { word, also_statement, pattern, about, read }
}

/// All items, in the order of the reference.
pub(crate) static ITEM_WORDS: &[ItemWord] = &[
    item("use", false, "\"FILE\"", "takes the parts, schedules and policy of another file", |p| {
        let path = p.quoted("the path of a file, in quotes")?;
        Some(Item::Import(Import { path, line: p.line() }))
    }),
    item("site", false, "NAME [\"TITLE\"] { ... }", "the place as a whole", |p| {
        let name = p.name("the name of the site")?;
        let title = p.perhaps_quoted();
        Some(Item::Site(Arc::new(site::Site {
            name,
            title,
            line: p.line(),
            timezone: None,
            ambient: None,
            holidays: Vec::new(),
            holiday_files: Vec::new(),
            areas: Vec::new(),
            people: Vec::new(),
            occupied: None,
        })))
    }),
    item(
        "schedule",
        false,
        "NAME [\"TITLE\"] { ... } | NAME [\"TITLE\"] is COMBINATION",
        "hours of the week",
        |p| {
            let name = p.name("the name of the schedule")?;
            let title = p.perhaps_quoted();
            let body = if p.eat("is") {
                schedule::combination(p).map_or(schedule::Body::Broken, schedule::Body::Combined)
            } else {
                schedule::Body::Written(schedule::Written::default())
            };
            Some(Item::Schedule(Arc::new(schedule::Schedule { name, title, line: p.line(), body })))
        },
    ),
    item("part", false, "NAME [\"TITLE\"] is KIND { ... }", "what a data sheet gives", |p| {
        let name = p.name("the name of the part")?;
        let title = p.perhaps_quoted();
        p.need("is")?;
        let kind = p.one_of(part::KINDS)?;
        let line = p.line();
        Some(Item::Part(Arc::new(part::Part { name, title, line, body: kind.value.empty() })))
    }),
    item("supply", false, "NAME [\"TITLE\"] is PART [{ ... }]", "a source of current", |p| {
        let (name, title, part) = named(p, "supply")?;
        let line = p.line();
        Some(Item::Supply(Arc::new(supply::Supply {
            name,
            title,
            line,
            part,
            battery: None,
            fuse: None,
        })))
    }),
    item(
        "controller",
        false,
        "NAME [\"TITLE\"] is PART [{ ... }]",
        "what reads inputs and drives outputs",
        |p| {
            let (name, title, part) = named(p, "controller")?;
            let line = p.line();
            Some(Item::Controller(Arc::new(controller::Controller {
                name,
                title,
                line,
                part,
                fed: None,
                fuse: None,
            })))
        },
    ),
    item(
        "relay",
        true,
        "NAME [\"TITLE\"] is PART { ... }",
        "a relay between a contact and a load",
        |p| {
            let (name, title, part) = named(p, "relay")?;
            let line = p.line();
            Some(Item::Relay(Arc::new(relay::Relay {
                name,
                title,
                line,
                part,
                through: None,
                fed: None,
                fuse: None,
            })))
        },
    ),
    item("cable", false, "NAME [\"TITLE\"] is PART { ... }", "a cable with taps", |p| {
        let (name, title, part) = named(p, "cable")?;
        let line = p.line();
        let (from, taps, cores, fuse) = (None, Vec::new(), None, None);
        Some(Item::Cable(Arc::new(cable::Cable {
            name,
            title,
            line,
            part,
            from,
            taps,
            cores,
            fuse,
        })))
    }),
    item(
        "zone",
        false,
        "NAME [\"TITLE\"] is PART { ... }",
        "one contact, where it lands, when it counts",
        |p| {
            let (name, title, part) = named(p, "zone")?;
            Some(Item::Zone(Arc::new(zone::Zone {
                name,
                title,
                line: p.line(),
                part,
                purpose: None,
                area: None,
                wired: None,
                tamper: None,
                input: None,
                ends: None,
                armed: None,
                settle: None,
                lockout: None,
                repeats: None,
                entry: None,
                exit: None,
                confirmed: None,
                registers: None,
                follows: None,
                fed: None,
                fuse: None,
            })))
        },
    ),
    item("output", false, "NAME [\"TITLE\"] drives LOADS { ... }", "what is switched", |p| {
        let name = p.name("the name of the output")?;
        let title = p.perhaps_quoted();
        p.need("drives")?;
        let loads = p.list(|p| {
            let count = if p.is_number() {
                let count = p.count(1, "a number of loads")?;
                p.need("of")?;
                Some(count)
            } else {
                None
            };
            Some((count, p.name("the name of a load part")?))
        })?;
        Some(Item::Output(Arc::new(output::Output {
            name,
            title,
            line: p.line(),
            loads,
            through: None,
            fed: None,
            fuse: None,
            mode: None,
            reaches: super::Names::new(),
            area: None,
            most: None,
            suppressed: None,
        })))
    }),
    item(
        "camera",
        false,
        "NAME [\"TITLE\"] [is PART] on CHANNEL [{ ... }]",
        "a camera and its channel",
        |p| {
            let name = p.name("the name of the camera")?;
            let title = p.perhaps_quoted();
            let part = if p.eat("is") { Some(p.name("the name of a camera part")?) } else { None };
            p.need("on")?;
            let channel = p.path("a channel, such as `head.channel1`")?;
            Some(Item::Camera(Arc::new(camera::Camera {
                name,
                title,
                line: p.line(),
                part,
                channel,
                bit_rate: None,
                area: None,
                fed: None,
                fuse: None,
                presets: Vec::new(),
            })))
        },
    ),
    item(
        "recording",
        false,
        "CONTROLLER { ... }",
        "which footage is kept, when, and how much fits",
        |p| {
            let controller = p.name("the name of a controller")?;
            Some(Item::Recording(Arc::new(recording::Recording {
                controller,
                line: p.line(),
                keeps: Vec::new(),
                store: None,
                store_part: None,
                retention: None,
                motion: None,
            })))
        },
    ),
    item(
        "response",
        false,
        "[NAME] to CAUSES { ... }",
        "what is done when something happens",
        |p| {
            let name = if p.word() == Some("to") { None } else { Some(p.name("`to` or a name")?) };
            p.need("to")?;
            let causes = response::causes(p)?;
            let line = p.line();
            let (after, during, effects) = (None, None, Vec::new());
            Some(Item::Response(Arc::new(response::Response {
                name,
                line,
                causes,
                after,
                during,
                effects,
            })))
        },
    ),
    item(
        "rehearsal",
        false,
        "\"TITLE\" { ... }",
        "a timed story and what is expected of it",
        |p| {
            let title = p.quoted("a title in quotes")?;
            let line = p.line();
            let (acts, expectations) = (Vec::new(), Vec::new());
            Some(Item::Rehearsal(Arc::new(rehearsal::Rehearsal {
                title,
                line,
                acts,
                expectations,
            })))
        },
    ),
    item("measured", false, "DATE { ... }", "meter readings of a day", |p| {
        let date = p.date()?;
        Some(Item::Measured(Arc::new(measured::Measured {
            date,
            line: p.line(),
            readings: Vec::new(),
        })))
    }),
    item("policy", false, "NAME [\"TITLE\"] { ... }", "limits and where they come from", |p| {
        let name = p.name("the name of the policy")?;
        let title = p.perhaps_quoted();
        Some(Item::Policy(Arc::new(policy::Policy {
            name,
            title,
            line: p.line(),
            standby: None,
            alarm_time: None,
            sounder_run: None,
            recharge: None,
            retention: None,
            spare: None,
            ageing: None,
            peukert: None,
            plain_sum: None,
            waste: None,
            joint: None,
            panic: None,
            tamper: None,
            levels: Vec::new(),
        })))
    }),
    item("allow", false, allow::PATTERN, "an exception to a rule", |p| {
        allow::read(p).map(|allow| Item::Allow(Arc::new(allow)))
    }),
];

fn named(p: &mut Phrase<'_, '_>, thing: &str) -> Option<(Name, Option<Span>, Name)> {
    let name = p.name_of(|| format!("the name of the {thing}"))?;
    let title = p.perhaps_quoted();
    p.need("is")?;
    let kind = if thing == "zone" { "sensor" } else { thing };
    let part = p.name_of(|| format!("the name of a {kind} part"))?;
    Some((name, title, part))
}

/// An item that was just made, to be filled.
fn own<T: Clone>(item: &mut Arc<T>) -> &mut T {
    Arc::make_mut(item)
}

impl Item {
    /// Reads the block of the item. An item that takes none, or lacks one, is told.
    fn block(
        &mut self,
        source: &str,
        line: Span,
        block: Option<Body<'_>>,
        faults: &mut Vec<Fault>,
    ) {
        let needs = match self {
            Self::Import(_) | Self::Allow(_) => Some(false),
            Self::Schedule(schedule) => Some(matches!(schedule.body, schedule::Body::Written(_))),
            Self::Supply(_) | Self::Controller(_) | Self::Camera(_) => None,
            _ => Some(true),
        };
        if let Some(expected) = needs.filter(|expected| *expected != block.is_some()) {
            let span = block.map_or(Span::at(line.end), |block| block.span);
            let kind = FaultKind::Block { expected, thing: self.thing() };
            faults.push(Fault::new(kind, span));
        }
        match self {
            Self::Import(_) | Self::Allow(_) => {}
            Self::Site(site) => site::FORM.read(source, block, own(site), faults),
            Self::Schedule(schedule) => {
                if let schedule::Body::Written(body) = &mut own(schedule).body {
                    schedule::FORM.read(source, block, body, faults);
                }
            }
            Self::Part(part) => own(part).body.read(source, block, faults),
            Self::Supply(supply) => supply::FORM.read(source, block, own(supply), faults),
            Self::Controller(controller) => {
                controller::FORM.read(source, block, own(controller), faults);
            }
            Self::Relay(relay) => relay::FORM.read(source, block, own(relay), faults),
            Self::Cable(cable) => cable::FORM.read(source, block, own(cable), faults),
            Self::Zone(zone) => zone::FORM.read(source, block, own(zone), faults),
            Self::Output(output) => output::FORM.read(source, block, own(output), faults),
            Self::Camera(camera) => camera::FORM.read(source, block, own(camera), faults),
            Self::Recording(plan) => recording::FORM.read(source, block, own(plan), faults),
            Self::Response(response) => response::FORM.read(source, block, own(response), faults),
            Self::Rehearsal(story) => rehearsal::FORM.read(source, block, own(story), faults),
            Self::Measured(readings) => measured::FORM.read(source, block, own(readings), faults),
            Self::Policy(policy) => policy::FORM.read(source, block, own(policy), faults),
        }
    }

    fn thing(&self) -> &'static str {
        match self {
            Self::Import(_) => "`use`",
            Self::Site(_) => site::FORM.thing,
            Self::Schedule(_) => schedule::FORM.thing,
            Self::Part(_) => "a part",
            Self::Supply(_) => supply::FORM.thing,
            Self::Controller(_) => controller::FORM.thing,
            Self::Relay(_) => relay::FORM.thing,
            Self::Cable(_) => cable::FORM.thing,
            Self::Zone(_) => zone::FORM.thing,
            Self::Output(_) => output::FORM.thing,
            Self::Camera(_) => camera::FORM.thing,
            Self::Recording(_) => recording::FORM.thing,
            Self::Response(_) => response::FORM.thing,
            Self::Rehearsal(_) => rehearsal::FORM.thing,
            Self::Measured(_) => measured::FORM.thing,
            Self::Policy(_) => policy::FORM.thing,
            Self::Allow(_) => "`allow`",
        }
    }
}

/// Whether a word begins an item.
#[must_use]
pub fn is_item_word(word: &str) -> bool {
    item_word(word.as_bytes()).is_some()
}

/// The item that a word begins. Every line is asked; few words have the first letter and the length
/// of one.
#[inline]
pub(crate) fn item_word(word: &[u8]) -> Option<&'static ItemWord> {
    let letter = word.first()?.wrapping_sub(b'a');
    let lengths = *LENGTHS.get(usize::from(letter))?;
    let likely = word.len() < 32 && lengths >> word.len() & 1 == 1;
    likely.then(|| ITEM_WORDS.iter().find(|known| same(known.word, word))).flatten()
}

/// The lengths of the words in [`ITEM_WORDS`] that begin with each letter, a bit each.
#[expect(clippy::indexing_slicing, reason = "when it is compiled")]
const LENGTHS: [u32; 26] = {
    let mut lengths = [0; 26];
    let mut at = 0;
    while at < ITEM_WORDS.len() {
        let word = ITEM_WORDS[at].word.as_bytes();
        lengths[(word[0] - b'a') as usize] |= 1 << word.len();
        at += 1;
    }
    lengths
};

/// Reads a statement of the top of a file.
pub(crate) fn item_of(source: &str, piece: &Piece, faults: &mut Vec<Fault>) -> Option<Item> {
    let (first, line) = (piece.head().first()?, line_of(piece.head())?);
    let Some(known) = first.word_in(source).and_then(item_word) else {
        let written = first.span.of(source);
        let word = if matches!(first.kind, AtomKind::Word) { written } else { "" };
        let near = nearest(word, ITEM_WORDS.iter().map(|known| known.word));
        // What a block can say is no item with another name: `relays` is not `relay`.
        let near = near.filter(|_| !vocabulary().iter().any(|known| known.word == word));
        let nearest = ITEM_WORDS.iter().map(|known| known.word).find(|known| near == Some(*known));
        let word = written.to_owned();
        let kind = FaultKind::UnknownStatement { block: "a file", word, nearest };
        faults.push(Fault::new(kind, first.span));
        return None;
    };
    let rest = piece.head().get(1..).unwrap_or_default();
    let mut phrase = Phrase::new(source, rest, line, faults);
    let mut item = (known.read)(&mut phrase)?;
    let broken = matches!(&item, Item::Schedule(s) if matches!(s.body, schedule::Body::Broken));
    if !broken {
        finish(&mut phrase, known.word, known.pattern);
    }
    item.block(source, line, piece.body(), faults);
    Some(item)
}
