//! The wiring sheet of a controller: inputs with their loops on the left, relays with their loads,
//! its own feed, outlets and channels on the right. No wire crosses another: each contact has a row
//! of its own, and a common is named in each row that returns to it.

use super::rows::{Ladder, Net};
use super::symbols::{self, Axis, LONG};
use super::{Anchor, Canvas, Figure, Size, tree};
use crate::wires::{For, Wire, Wires};
use crate::words;
use curtilage_facts::{Consumer, Facts, feeding};
use curtilage_model::{
    Contact, ContactAt, ControllerId, Feed, Input, Model, Named, Offered, Origin, OutputId,
    RelayId, TerminalKind, ZoneId,
};
use curtilage_syntax::tree::CurrentKind;
use curtilage_syntax::tree::output::Mode;
use curtilage_syntax::tree::part::{Disturbance, Nature, Rest};
use curtilage_syntax::tree::wiring::{Ends, Side};

/// The height of a part that fits a page on its side, below its head.
const PAGE: f64 = 740.0;
/// The head of a sheet.
const HEAD: f64 = 44.0;
/// The width of the controller's box.
const BOX: f64 = 220.0;
/// The least width right of the box.
const RIGHT: f64 = 530.0;
/// Where the ends of a load's leads are named, and how much room that leaves at least.
const ENDS: f64 = 406.0;
/// The most that a side becomes wider for the sake of its names.
const MORE: f64 = 260.0;

const BODY: (Size, Anchor) = (Size::Body, Anchor::Start);
const SMALL: (Size, Anchor) = (Size::Small, Anchor::Start);
const SMALL_END: (Size, Anchor) = (Size::Small, Anchor::End);

/// What a row on the left shows.
struct Loop<'s, 'a> {
    zone: ZoneId,
    input: Input<'a>,
    common: String,
    ladder: Ladder,
    wire: Option<&'s Wire<'a>>,
    tamper: bool,
}

impl Loop<'_, '_> {
    fn name(&self, model: &Model<'_>) -> String {
        let zone = model.zone(self.zone);
        let name = zone.map_or_else(String::new, |zone| words::titled(zone.name.text, zone.title));
        if self.tamper { format!("{name}: tamper contact") } else { name }
    }

    fn height(&self) -> f64 {
        20.0 + self.ladder.above() + self.ladder.apart() + 26.0
    }
}

/// What a row on the right shows.
enum Right {
    /// Something behind a contact.
    Load { owner: Owner, side: Side, load: Load },
    /// The controller's own feed.
    Power,
    /// An outlet and what hangs on it.
    Outlet(String, tree::Lines),
    /// A camera channel.
    Channel(String, String),
}

/// Whose contact it is.
#[derive(Clone)]
enum Owner {
    /// A relay terminal of the controller.
    Terminal(String),
    /// A relay of its own.
    Relay(RelayId),
}

/// What hangs on a contact.
#[derive(Clone, Copy)]
enum Load {
    Output(OutputId),
    Coil(RelayId),
}

impl Right {
    fn height(&self) -> f64 {
        match self {
            Self::Load { .. } => 136.0,
            Self::Power => 92.0,
            Self::Outlet(_, lines) => 24.0 + lines.height(),
            Self::Channel(..) => 26.0,
        }
    }
}

/// The sheet of a controller; none when the model has no such controller.
pub(crate) fn figure(facts: &Facts<'_, '_>, wires: &Wires<'_>, id: ControllerId) -> Option<Figure> {
    let model = facts.model;
    let controller = model.controller(id)?;
    let left = loops(facts, wires, id);
    let (right, free) = right(facts, wires, id);
    let edge = edge(model, &left);
    let sheet = Sheet { facts, wires, id, edge, right: RIGHT };
    let sheet = Sheet { right: RIGHT + sheet.more(&right), ..sheet };
    let parts = pages(left.iter().map(Loop::height), right.iter().map(Right::height));
    let mut canvases: Vec<Canvas> = Vec::new();
    for (from_left, to_left, from_right, to_right) in &parts {
        let left = left.get(*from_left..*to_left).unwrap_or_default();
        let right = right.get(*from_right..*to_right).unwrap_or_default();
        let last = canvases.len() + 1 == parts.len();
        canvases.push(sheet.draw(left, right, if last { &free } else { &[] }));
    }
    let whole = (parts.len() > 1).then(|| sheet.draw(&left, &right, &free));
    let name = controller.name.text;
    let about = format!(
        "{} inputs with their contacts at rest, end resistors and cables; {} rows of relays, feeds, outlets and channels",
        left.len(),
        right.len()
    );
    let title = format!("Wiring sheet of {name}");
    Some(Figure::new(format!("wiring-{name}"), title, about, canvases, whole))
}

/// Where the controller's box begins: the loops, their cables and their names have room.
fn edge(model: &Model<'_>, left: &[Loop<'_, '_>]) -> f64 {
    let loops = 12.0 + left.iter().map(|row| row.ladder.long()).fold(150.0, f64::max);
    let least = loops + 215.0;
    let cables = left.iter().filter_map(|row| row.wire);
    let cables = cables.map(|wire| loops + 42.0 + Size::Small.width(&wire.words()));
    let names = left.iter().map(|row| 26.0 + Size::Body.width(&row.name(model)));
    cables.chain(names).fold(least, f64::max).min(least + MORE)
}

/// Which rows stand on which page: from and to on the left, from and to on the right.
fn pages(
    left: impl Iterator<Item = f64>,
    right: impl Iterator<Item = f64>,
) -> Vec<(usize, usize, usize, usize)> {
    let chunks = |heights: Vec<f64>| {
        let (mut out, mut from, mut sum) = (Vec::new(), 0, 0.0);
        for (at, height) in heights.iter().enumerate() {
            if at > from && sum + height > PAGE {
                out.push((from, at));
                (from, sum) = (at, 0.0);
            }
            sum += height;
        }
        out.push((from, heights.len()));
        out
    };
    let (left, right) = (chunks(left.collect()), chunks(right.collect()));
    let end = |chunks: &[(usize, usize)]| chunks.last().map_or(0, |last| last.1);
    let (left_end, right_end) = (end(&left), end(&right));
    (0..left.len().max(right.len()))
        .map(|page| {
            let (a, b) = left.get(page).copied().unwrap_or((left_end, left_end));
            let (c, d) = right.get(page).copied().unwrap_or((right_end, right_end));
            (a, b, c, d)
        })
        .collect()
}

/// The loops that land on a controller, in the order of its terminals.
fn loops<'s, 'a>(
    facts: &Facts<'_, 'a>,
    wires: &'s Wires<'a>,
    id: ControllerId,
) -> Vec<Loop<'s, 'a>> {
    let model = facts.model;
    let order = words::terminals(model, id);
    let place = |name: &str| order.iter().position(|known| known.name == name);
    let mut out: Vec<(usize, Loop<'s, 'a>)> = Vec::new();
    for (zone_id, zone) in model.zones_by_id() {
        for (input, of, tamper) in [
            (zone.input, For::Contact(zone_id), false),
            (zone.tamper(), For::Tamper(zone_id), true),
        ] {
            let Some(input) = input else { continue };
            let Some(terminal) = input.terminal.filter(|at| at.controller == id) else { continue };
            let sheet = zone.sensor.map(|sensor| sensor.sheet);
            let tamper_rests = sheet.and_then(|sheet| sheet.tamper).map(|rest| rest.value);
            let rests = match tamper {
                true => tamper_rests,
                false => sheet.and_then(|sheet| sheet.rests).map(|rest| rest.value),
            };
            let ends = zone.tree.ends.as_ref().filter(|_| !tamper);
            let declared = terminal.group.common.map(|common| {
                model.text(curtilage_text::Place::new(terminal.file, common.span)).to_owned()
            });
            let written = input.common.map(|common| common.name.to_owned());
            let row = Loop {
                zone: zone_id,
                input,
                common: written.or(declared).unwrap_or_default(),
                ladder: Ladder { rests, steps: steps(ends, tamper_rests) },
                wire: wires.find(of),
                tamper,
            };
            out.push((place(terminal.name).unwrap_or(usize::MAX), row));
        }
    }
    out.sort_by_key(|(place, _)| *place);
    out.into_iter().map(|(_, row)| row).collect()
}

fn steps(ends: Option<&Ends>, tamper: Option<Rest>) -> Vec<(bool, Net)> {
    let steps = ends.map_or(&[][..], |ends| ends.steps.as_slice());
    steps.iter().map(|step| (step.series, Net::of(&step.part, tamper))).collect()
}

/// The rows on the right, and the names of the terminals that are free.
fn right(facts: &Facts<'_, '_>, wires: &Wires<'_>, id: ControllerId) -> (Vec<Right>, Vec<String>) {
    let model = facts.model;
    let mut out = vec![Right::Power];
    let mut free = Vec::new();
    for declared in words::terminals(model, id) {
        let Offered { kind, name, .. } = &declared;
        let before = out.len();
        match kind {
            TerminalKind::Relay => {
                let mut seen = Vec::new();
                let here = |contact: &Contact<'_>| {
                    matches!(contact.of, ContactAt::Terminal(at)
                        if at.controller == id && at.name == name.as_str())
                };
                behind(model, &here, &Owner::Terminal(name.clone()), &mut seen, &mut out);
            }
            TerminalKind::Outlet => {
                let lines = tree::outlet(facts, wires, id, name);
                if !lines.is_empty() {
                    out.push(Right::Outlet(name.clone(), lines));
                }
            }
            TerminalKind::Channel => {
                let camera = model.cameras.iter().find(|camera| {
                    camera.channel.is_some_and(|at| at.controller == id && at.name == name.as_str())
                });
                if let Some(camera) = camera {
                    let text = words::titled(camera.name.text, camera.title);
                    out.push(Right::Channel(name.clone(), text));
                }
            }
            TerminalKind::Input => {
                let used = model.zones.iter().flat_map(|zone| [zone.input, zone.tamper()]);
                let used = used.flatten().filter_map(|input| input.terminal);
                if used.into_iter().any(|at| at.controller == id && at.name == name.as_str()) {
                    continue;
                }
            }
            TerminalKind::Common => continue,
        }
        if out.len() == before {
            free.push(name.clone());
        }
    }
    (out, free)
}

/// What hangs on the contacts that `here` picks, and behind it what the relays among it switch.
fn behind(
    model: &Model<'_>,
    here: &dyn Fn(&Contact<'_>) -> bool,
    owner: &Owner,
    seen: &mut Vec<RelayId>,
    out: &mut Vec<Right>,
) {
    for (id, output) in model.outputs_by_id() {
        if let Some(contact) = output.through.filter(|contact| here(contact)) {
            let (owner, side) = (owner.clone(), contact.side);
            out.push(Right::Load { owner, side, load: Load::Output(id) });
        }
    }
    for (id, relay) in model.relays_by_id() {
        let Some(contact) = relay.through.filter(|contact| here(contact)) else { continue };
        // Relays that hang on each other in a ring end here.
        if seen.contains(&id) {
            continue;
        }
        seen.push(id);
        let (owner, side) = (owner.clone(), contact.side);
        out.push(Right::Load { owner, side, load: Load::Coil(id) });
        let own = |contact: &Contact<'_>| matches!(contact.of, ContactAt::Relay(of) if of == id);
        behind(model, &own, &Owner::Relay(id), seen, out);
    }
}

struct Sheet<'s, 'm, 'a> {
    facts: &'s Facts<'m, 'a>,
    wires: &'s Wires<'a>,
    id: ControllerId,
    /// The left edge of the controller's box.
    edge: f64,
    /// The width right of the box.
    right: f64,
}

impl<'a> Sheet<'_, '_, 'a> {
    fn model(&self) -> &Model<'a> {
        self.facts.model
    }

    /// How much wider the right side has to be than it is, for what feeds things and what they are.
    fn more(&self, rows: &[Right]) -> f64 {
        let model = self.model();
        let origin = |feed: Option<Feed<'a>>| {
            let name = feed.map_or_else(String::new, |feed| words::origin(model, &feed.origin));
            Size::Body.width(&name)
        };
        let needs = rows.iter().map(|row| match row {
            Right::Power => {
                let fed = model.controller(self.id).and_then(|controller| controller.fed);
                let battery = fed.and_then(|fed| self.battery(&fed)).unwrap_or_default();
                424.0 + origin(fed).max(Size::Small.width(&battery))
            }
            Right::Load { load, .. } => {
                let fed = match load {
                    Load::Output(id) => model.output(*id).and_then(|output| output.fed),
                    Load::Coil(id) => model.relay(*id).and_then(|relay| relay.fed),
                };
                let is = self.is(*load).unwrap_or_default();
                let ends = ENDS + 6.0 + Size::Body.width("+ ") + origin(fed);
                ends.max(360.0 + Size::Small.width(&is))
            }
            Right::Outlet(..) | Right::Channel(..) => 0.0,
        });
        // A little more than needed: a sum of widths is not exact.
        (needs.map(|width| width + 4.0).fold(self.right, f64::max) - self.right).min(MORE)
    }

    fn draw(&self, left: &[Loop<'_, '_>], right: &[Right], free: &[String]) -> Canvas {
        let left_height: f64 = left.iter().map(Loop::height).sum();
        let right_height: f64 = right.iter().map(Right::height).sum();
        let tall = left_height.max(right_height).max(60.0);
        let free = self.free(free);
        let below = 16.0 * free.len() as f64;
        let width = self.edge + BOX + self.right;
        let mut canvas = Canvas::new(width, HEAD + tall + 22.0 + below);
        self.body(&mut canvas, tall);
        let mut y = HEAD + 6.0;
        for row in left {
            self.left(&mut canvas, row, y);
            y += row.height();
        }
        let mut y = HEAD + 6.0;
        for row in right {
            self.right(&mut canvas, row, y);
            y += row.height();
        }
        for (at, line) in free.iter().enumerate() {
            let y = HEAD + tall + 26.0 + 16.0 * at as f64;
            canvas.text("d", (12.0, y), BODY, line, width - 24.0);
        }
        canvas
    }

    /// The free terminals in lines that fit.
    fn free(&self, names: &[String]) -> Vec<String> {
        let most = self.edge + BOX + self.right - 24.0;
        let mut lines: Vec<String> = Vec::new();
        for name in names {
            match lines.last_mut() {
                Some(line) if Size::Body.width(line) + Size::Body.width(name) + 16.0 < most => {
                    line.push_str(", ");
                    line.push_str(name);
                }
                _ => lines.push(format!("free: {name}")),
            }
        }
        lines
    }

    fn body(&self, canvas: &mut Canvas, tall: f64) {
        let model = self.model();
        let Some(controller) = model.controller(self.id) else { return };
        let middle = self.edge + BOX / 2.0;
        let title = words::quoted(model, controller.name.at, controller.tree.title);
        let head = words::titled(controller.name.text, title);
        let style = (Size::Head, Anchor::Middle);
        canvas.text("", (middle, 16.0), style, &head, BOX + 300.0);
        let style = (Size::Body, Anchor::Middle);
        let area = [self.edge, HEAD, self.edge + BOX, HEAD + tall + 10.0];
        match controller.part {
            Some(part) => {
                canvas.text("d", (middle, 34.0), style, model.part_name(part.id), BOX + 300.0);
                canvas.rect("box", area, "");
            }
            None => {
                let text = "not known: its part, and so its terminals";
                canvas.text("x", (middle, 34.0), style, text, BOX + 300.0);
                canvas.rect("hole", area, "");
            }
        }
    }

    fn left(&self, canvas: &mut Canvas, row: &Loop<'_, '_>, y: f64) {
        let model = self.model();
        let Some(zone) = model.zone(row.zone) else { return };
        let name = row.name(model);
        let room = self.edge - 24.0;
        canvas.open(&name);
        canvas.text("b", (12.0, y + 12.0), BODY, &name, room);
        let top = y + 20.0 + row.ladder.above();
        let bottom = top + row.ladder.apart();
        let end = row.ladder.draw(canvas, (12.0, top));
        for y in [top, bottom] {
            canvas.line("l", &[(end, y), (self.edge, y)]);
            canvas.circle("f", (self.edge, y), 3.0);
        }
        let cable = row.wire.map_or_else(|| "on the spot".to_owned(), Wire::words);
        if row.wire.is_some() {
            ring(canvas, self.edge - 18.0, (top, bottom));
        }
        let class = if row.wire.is_some_and(|wire| wire.part.is_none()) { "x" } else { "" };
        let place = (self.edge - 30.0, top - 6.0);
        canvas.text(class, place, SMALL_END, &cable, self.edge - 40.0 - end);
        let terminal = row.input.terminal.map_or("", |terminal| terminal.name);
        canvas.text("b", (self.edge + 10.0, top + 4.0), BODY, terminal, BOX / 2.0 - 20.0);
        let (class, common) = match row.common.as_str() {
            "" => ("x", "return not known"),
            common => ("", common),
        };
        canvas.text(class, (self.edge + 10.0, bottom + 4.0), BODY, common, BOX / 2.0 - 14.0);
        let (class, below) = match (zone.sensor, row.ladder.rests) {
            (None, _) => ("x", "not known: its sensor's part".to_owned()),
            (Some(_), None) => ("x", "not known: whether it rests open or closed".to_owned()),
            (Some(sensor), Some(rests)) => {
                let part = model.part_name(sensor.id);
                ("d", format!("{part}, {}", words::rests(rests)))
            }
        };
        canvas.text(class, (12.0, bottom + 16.0), SMALL, &below, room);
        canvas.close();
    }

    fn right(&self, canvas: &mut Canvas, row: &Right, y: f64) {
        match row {
            Right::Power => self.power(canvas, y),
            Right::Load { owner, side, load } => self.load(canvas, y, (owner, *side, *load)),
            Right::Outlet(name, lines) => {
                let x = self.edge + BOX;
                canvas.circle("f", (x, y + 14.0), 3.0);
                let style = (Size::Body, Anchor::End);
                canvas.text("b", (x - 10.0, y + 18.0), style, name, BOX / 2.0 - 20.0);
                lines.draw(canvas, (x + 14.0, y + 14.0), self.right - 24.0);
                canvas.line("l", &[(x + 3.0, y + 14.0), (x + 14.0, y + 14.0)]);
            }
            Right::Channel(name, camera) => {
                let x = self.edge + BOX;
                canvas.circle("f", (x, y + 12.0), 3.0);
                canvas.line("l", &[(x + 3.0, y + 12.0), (x + 40.0, y + 12.0)]);
                symbols::camera(canvas, (x + 40.0, y + 12.0));
                let style = (Size::Body, Anchor::End);
                canvas.text("b", (x - 10.0, y + 16.0), style, name, BOX / 2.0 - 20.0);
                canvas.text("", (x + 76.0, y + 16.0), BODY, camera, self.right - 90.0);
            }
        }
    }

    /// The feed of the controller itself.
    fn power(&self, canvas: &mut Canvas, y: f64) {
        let model = self.model();
        let Some(controller) = model.controller(self.id) else { return };
        let x = self.edge + BOX;
        let (top, bottom) = (y + 22.0, y + 66.0);
        canvas.open(&format!("feed of {}", controller.name.text));
        let style = (Size::Body, Anchor::End);
        canvas.text("b", (x - 10.0, (top + bottom) / 2.0 + 4.0), style, "supply", BOX / 2.0 - 20.0);
        let Some(fed) = controller.fed else {
            canvas.text("x", (x + 14.0, top + 4.0), BODY, "not known: what feeds it", 300.0);
            canvas.close();
            return;
        };
        let wire = self.wires.of_controller(self.id);
        self.leads(canvas, (x, top, bottom), &fed, (controller.tree.fuse.map(|f| f.value), wire));
        canvas.close();
    }

    /// Two leads from `x` to where a feed comes from, with its fuse and its cable.
    fn leads(
        &self,
        canvas: &mut Canvas,
        (x, top, bottom): (f64, f64, f64),
        fed: &Feed<'a>,
        (fuse, wire): (Option<f64>, Option<&Wire<'a>>),
    ) {
        let end = x + 400.0;
        let text = wire.map_or_else(|| "on the spot".to_owned(), Wire::words);
        let room = if fuse.is_some() { 270.0 } else { 360.0 };
        canvas.text("", (x + 32.0, top - 6.0), SMALL, &text, room);
        if wire.is_some() {
            ring(canvas, x + 20.0, (top, bottom));
        }
        for y in [top, bottom] {
            canvas.circle("f", (x, y), 3.0);
        }
        canvas.line("l", &[(x + 3.0, bottom), (end, bottom)]);
        self.fuse(canvas, (x + 3.0, top, end), fuse);
        self.source(canvas, (end, top, bottom), fed);
    }

    /// The lead at `y` from `x` to `end`, through a fuse if there is one.
    fn fuse(&self, canvas: &mut Canvas, (x, y, end): (f64, f64, f64), fuse: Option<f64>) {
        let Some(fuse) = fuse else {
            canvas.line("l", &[(x, y), (end, y)]);
            return;
        };
        let at = end - 90.0;
        canvas.line("l", &[(x, y), (at, y)]);
        symbols::fuse(canvas, Axis { x: at, y, down: false });
        canvas.line("l", &[(at + LONG, y), (end, y)]);
        let style = (Size::Small, Anchor::Middle);
        let text = format!("fuse {}", words::amps(fuse));
        canvas.text("", (at + LONG / 2.0, y + 17.0), style, &text, 90.0);
    }

    /// Where a feed comes from, at the end of its leads.
    fn source(&self, canvas: &mut Canvas, (x, top, bottom): (f64, f64, f64), fed: &Feed<'a>) {
        let model = self.model();
        let feeding = feeding(model, fed.origin);
        let kind = feeding.as_ref().map(|feeding| feeding.kind);
        let (plus, minus) = match kind {
            Some(CurrentKind::Dc) => ("+", "-"),
            Some(CurrentKind::Ac) => ("~", "~"),
            None => ("", ""),
        };
        let room = self.right - 400.0 - 24.0;
        canvas.text("b", (x + 6.0, top + 4.0), BODY, plus, 12.0);
        canvas.text("b", (x + 6.0, bottom + 4.0), BODY, minus, 12.0);
        let origin = words::origin(model, &fed.origin);
        let middle = (top + bottom) / 2.0;
        canvas.text("b", (x + 20.0, middle), BODY, &origin, room);
        let Some(feeding) = feeding else {
            canvas.text("x", (x + 20.0, middle + 14.0), SMALL, "supply not known", room);
            return;
        };
        if !matches!(fed.origin, Origin::Supply(_)) {
            let supply = format!("of {}", words::supply(model, feeding.supply));
            canvas.text("d", (x + 20.0, middle + 14.0), SMALL, &supply, room);
        } else if let Some(text) = self.battery(fed) {
            let y = (top + bottom - LONG) / 2.0;
            symbols::battery(canvas, Axis { x: x - 14.0, y, down: true });
            canvas.line("l", &[(x - 14.0, top), (x - 14.0, y)]);
            canvas.line("l", &[(x - 14.0, y + LONG), (x - 14.0, bottom)]);
            canvas.text("d", (x + 20.0, middle + 14.0), SMALL, &text, room);
        }
    }

    /// The battery of the supply that a feed comes from itself: `2 x sealed-12ah`.
    fn battery(&self, fed: &Feed<'a>) -> Option<String> {
        let Origin::Supply(id) = fed.origin else { return None };
        let (count, battery) = self.model().supply(id)?.battery?;
        Some(format!("{count} x {}", self.model().part_name(battery.id)))
    }

    fn load(&self, canvas: &mut Canvas, y: f64, (owner, side, load): (&Owner, Side, Load)) {
        let model = self.model();
        let parts: (Named<'_>, Option<&str>, Option<Feed<'a>>, Option<f64>) = match load {
            Load::Output(id) => {
                let Some(output) = model.output(id) else { return };
                let fuse = output.tree.fuse.map(|fuse| fuse.value);
                (output.name, output.title, output.fed, fuse)
            }
            Load::Coil(id) => {
                let Some(relay) = model.relay(id) else { return };
                let title = words::quoted(model, relay.name.at, relay.tree.title);
                (relay.name, title, relay.fed, relay.tree.fuse.map(|fuse| fuse.value))
            }
        };
        let (named, title, fed, fuse) = parts;
        let mode = match load {
            Load::Output(id) => model.output(id).and_then(|output| output.tree.mode),
            Load::Coil(_) => None,
        };
        let mode = match mode.map(|mode| mode.value) {
            Some(Mode::ForcedOff) => " (forced off)",
            Some(Mode::ForcedOn) => " (forced on)",
            _ => "",
        };
        let name = format!("{}{mode}", words::titled(named.text, title));
        canvas.open(&name);
        let (top, middle, bottom) = (y + 26.0, y + 70.0, y + 114.0);
        let x = self.contact(canvas, (top, middle), owner, side);
        let right = self.edge + BOX;
        canvas.text("b", (x + 14.0, y + 12.0), BODY, &name, right + self.right - x - 24.0);
        // The load stands between the switched lead and the way back.
        let at = right + 330.0;
        canvas.line("l", &[(x + 3.0, middle), (at, middle)]);
        let axis = Axis { x: at, y: middle + 2.0, down: true };
        canvas.line("l", &[(at, middle), (at, middle + 2.0)]);
        canvas.line("l", &[(at, middle + 2.0 + LONG), (at, bottom)]);
        self.symbol(canvas, axis, load);
        let is = self.is(load);
        let (class, what) = is.map_or(("x", "not known: its part".to_owned()), |text| ("d", text));
        canvas.text(class, (at + 24.0, middle + 26.0), SMALL, &what, self.right - 330.0 - 30.0);
        let of = match load {
            Load::Output(id) => Consumer::Output(id),
            Load::Coil(id) => Consumer::Coil(id),
        };
        let wire = self.wires.find(For::Feed(of));
        let text = wire.map_or_else(|| "on the spot".to_owned(), Wire::words);
        canvas.text("", (x + 16.0, middle - 6.0), SMALL, &text, right + self.right - x - 24.0);
        match fed {
            Some(fed) => {
                let end = right + 400.0;
                self.fuse(canvas, (x + 3.0, top, end), fuse);
                canvas.line("l", &[(at, bottom), (end, bottom)]);
                self.ends(canvas, (end, top, bottom), &fed);
            }
            None => {
                let text = "not known: what feeds it";
                canvas.text("x", (x + 14.0, top + 4.0), BODY, text, 260.0);
            }
        }
        canvas.close();
    }

    /// The two ends of a load's leads at what feeds it.
    fn ends(&self, canvas: &mut Canvas, (x, top, bottom): (f64, f64, f64), fed: &Feed<'a>) {
        let model = self.model();
        let kind = feeding(model, fed.origin).map(|feeding| feeding.kind);
        let (plus, minus) = match kind {
            Some(CurrentKind::Dc) => ("+ ", "- "),
            Some(CurrentKind::Ac) => ("~ ", "~ "),
            None => ("", ""),
        };
        let origin = words::origin(model, &fed.origin);
        for (y, sign) in [(top, plus), (bottom, minus)] {
            let text = format!("{sign}{origin}");
            canvas.text("", (x + 6.0, y + 4.0), BODY, &text, self.right - ENDS - 6.0);
        }
    }

    /// The contact of a row, drawn at rest; gives where its terminals are.
    fn contact(
        &self,
        canvas: &mut Canvas,
        (top, middle): (f64, f64),
        owner: &Owner,
        side: Side,
    ) -> f64 {
        let model = self.model();
        let right = self.edge + BOX;
        let x = match owner {
            Owner::Terminal(_) => right,
            Owner::Relay(_) => {
                let area = [right + 14.0, top - 8.0, right + 158.0, middle + 10.0];
                canvas.rect("box", area, "");
                right + 158.0
            }
        };
        let name = match owner {
            Owner::Terminal(name) => name.as_str(),
            Owner::Relay(id) => model.relay(*id).map_or("", |relay| relay.name.text),
        };
        let inside = x - 22.0;
        let axis = Axis { x: inside, y: top + 2.0, down: true };
        let rests = match side {
            Side::Closing => Rest::Open,
            Side::Opening => Rest::Closed,
        };
        symbols::contact(canvas, axis, rests);
        canvas.line("l", &[(inside, top + 2.0), (inside, top), (x, top)]);
        canvas.line("l", &[(inside, top + 42.0), (inside, middle), (x, middle)]);
        for y in [top, middle] {
            canvas.circle("f", (x, y), 3.0);
        }
        let style = (Size::Body, Anchor::End);
        let word = match side {
            Side::Closing => "make",
            Side::Opening => "break",
        };
        let center = (top + middle) / 2.0;
        canvas.text("b", (inside - 14.0, center), style, name, 96.0);
        canvas.text("d", (inside - 14.0, center + 14.0), SMALL_END, word, 96.0);
        x
    }

    /// What a load is; none when its part is not known.
    fn is(&self, load: Load) -> Option<String> {
        let model = self.model();
        match load {
            Load::Coil(id) => {
                let part = model.relay(id)?.part?;
                Some(format!("coil of {}", model.part_name(part.id)))
            }
            Load::Output(id) => {
                let loads = model.output(id)?.loads.as_deref()?;
                let each = loads.iter().map(|(count, part)| {
                    let name = model.part_name(part.id);
                    if *count == 1 { name.to_owned() } else { format!("{count} x {name}") }
                });
                let each: Vec<String> = each.collect();
                (!each.is_empty()).then(|| each.join(", "))
            }
        }
    }

    /// The symbol of a load.
    fn symbol(&self, canvas: &mut Canvas, axis: Axis, load: Load) {
        let Load::Output(id) = load else { return symbols::coil(canvas, axis) };
        let Some(output) = self.model().output(id) else { return };
        let Some((_, first)) = output.loads.as_deref().and_then(<[_]>::first) else {
            let (x, y) = axis.at(0.0, 0.0);
            canvas.rect("hole", [x - 11.0, y, x + 11.0, y + LONG], "");
            return;
        };
        let gives = |what: Disturbance| first.sheet.gives.iter().any(|one| one.value == what);
        let nature = first.sheet.nature.map(|nature| nature.value);
        if gives(Disturbance::Sound) {
            symbols::horn(canvas, axis);
        } else if gives(Disturbance::Light) || nature == Some(Nature::Lamp) {
            symbols::lamp(canvas, axis);
        } else {
            symbols::load(canvas, axis);
        }
        if output.tree.suppressed.is_some() {
            let beside = axis.shift(0.0, -24.0);
            symbols::diode(canvas, beside);
            for u in [0.0, LONG] {
                canvas.line("l", &[axis.at(u, -24.0), axis.at(u, 0.0)]);
            }
        }
    }
}

/// The ring that holds two leads together as one cable.
fn ring(canvas: &mut Canvas, x: f64, (top, bottom): (f64, f64)) {
    let (a, b) = (top - 3.0, bottom + 3.0);
    canvas.line("e", &[(x - 3.0, a), (x + 3.0, a), (x + 3.0, b), (x - 3.0, b), (x - 3.0, a)]);
}
