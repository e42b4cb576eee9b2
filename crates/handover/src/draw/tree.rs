//! A tree of cables as lines of text with branches on their left, drawn so that no branch crosses
//! another: what hangs on an outlet, and what hangs on a supply.

use super::{Anchor, Canvas, Figure, Size};
use crate::wires::{For, Wire, Wires};
use crate::words;
use curtilage_facts::{BranchOf, Consumer, Facts, Power};
use curtilage_model::{ControllerId, Origin};

/// One line of the tree.
struct Line {
    /// How deep it hangs; the first line of an outlet has 0.
    depth: usize,
    text: String,
    hole: bool,
}

/// The lines of a tree, each behind its parent.
#[derive(Default)]
pub(super) struct Lines {
    list: Vec<Line>,
}

/// The height of a line.
const STEP: f64 = 20.0;
/// How far a branch stands to the right of its parent.
const INDENT: f64 = 20.0;
/// Deeper lines stand no further to the right.
const DEEPEST: usize = 16;

impl Lines {
    pub(super) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    pub(super) fn height(&self) -> f64 {
        STEP * self.list.len() as f64
    }

    fn push(&mut self, depth: usize, text: String) {
        self.list.push(Line { depth, text, hole: false });
    }

    /// Draws the lines below each other, the first one at `y`.
    pub(super) fn draw(&self, canvas: &mut Canvas, (x, y): (f64, f64), most: f64) {
        for (at, line) in self.list.iter().enumerate() {
            let own = y + STEP * at as f64;
            let left = x + INDENT * line.depth.min(DEEPEST) as f64;
            let parent = self.list.iter().take(at).rposition(|one| one.depth + 1 == line.depth);
            if let Some(parent) = parent {
                // From the line above of the same depth, or from the parent, down and to the right.
                let stem = left - INDENT + 6.0;
                let above = self.list.iter().take(at).skip(parent + 1);
                let brother = above.enumerate().rfind(|(_, one)| one.depth == line.depth);
                let from = brother.map_or(parent, |(place, _)| parent + 1 + place);
                let start = y + STEP * from as f64 + if brother.is_none() { 8.0 } else { 0.0 };
                canvas.line("l", &[(stem, start), (stem, own), (left, own)]);
            }
            let class = if line.hole { "x" } else { "" };
            let style = (Size::Body, Anchor::Start);
            let room = most - INDENT * line.depth.min(DEEPEST) as f64 - 6.0;
            canvas.text(class, (left + 4.0, own + 4.0), style, &line.text, room);
        }
    }
}

/// What hangs on an outlet of a controller.
pub(super) fn outlet(
    facts: &Facts<'_, '_>,
    wires: &Wires<'_>,
    id: ControllerId,
    name: &str,
) -> Lines {
    let mut lines = Lines::default();
    for power in &facts.power {
        for (index, branch) in power.branches.iter().enumerate() {
            let own = matches!(branch.of, BranchOf::Outlet(at)
                if at.controller == id && at.name == name);
            if own {
                below(facts, wires, power, (Some(index), 0), &mut lines);
            }
        }
    }
    if lines.is_empty() {
        // It hangs on no known supply: what the file says of it all the same.
        let model = facts.model;
        let here = |origin: &Origin<'_>| matches!(origin, Origin::Outlet(at) if at.controller == id && at.name == name);
        for cable in model.cables.iter().filter(|cable| cable.from.as_ref().is_some_and(here)) {
            let text = format!("cable {}; its supply is not known", cable.name.text);
            lines.list.push(Line { depth: 0, text, hole: true });
        }
    }
    lines
}

/// The branches below one, or those at the supply.
fn below(
    facts: &Facts<'_, '_>,
    wires: &Wires<'_>,
    power: &Power<'_>,
    (parent, depth): (Option<usize>, usize),
    lines: &mut Lines,
) {
    for (index, branch) in power.branches.iter().enumerate() {
        if branch.parent != parent {
            continue;
        }
        let text = words_of(facts, wires, power, index);
        lines.push(depth, text);
        below(facts, wires, power, (Some(index), depth + 1), lines);
    }
}

fn words_of(facts: &Facts<'_, '_>, wires: &Wires<'_>, power: &Power<'_>, index: usize) -> String {
    let model = facts.model;
    let Some(branch) = power.branches.get(index) else { return String::new() };
    let cable = |wire: Option<&Wire<'_>>| {
        wire.map_or_else(String::new, |wire| format!("{}: ", wire.words()))
    };
    let text = match branch.of {
        BranchOf::Feed(of) => {
            let what = match of {
                Consumer::Controller(_) => "controller ",
                Consumer::Coil(_) => "coil of ",
                Consumer::Sensor(_) => "sensor ",
                Consumer::Camera(_) => "camera ",
                Consumer::Output(_) => "",
            };
            format!("{}{what}{}", cable(wires.find(For::Feed(of))), of.name(model).text)
        }
        BranchOf::Start(id) => {
            format!("cable {}", model.cable(id).map_or("", |cable| cable.name.text))
        }
        BranchOf::Tap(id, tap) => {
            let wire = cable(wires.find(For::Piece(id.index(), tap)));
            let taps = model.cable(id).and_then(|cable| cable.taps.get(tap));
            format!("{wire}tap {}", taps.map_or("", |tap| tap.name.text))
        }
        BranchOf::Outlet(terminal) => format!("outlet {}", model.terminal_name(&terminal)),
    };
    match branch.fuse {
        Some((fuse, _)) => format!("fuse {}, {text}", words::amps(fuse)),
        None => text,
    }
}

/// What hangs on a supply, as a drawing.
pub(crate) fn figure(
    facts: &Facts<'_, '_>,
    wires: &Wires<'_>,
    power: &Power<'_>,
) -> Option<Figure> {
    let model = facts.model;
    let supply = model.supply(power.supply)?;
    let name = supply.name.text;
    let mut lines = Lines::default();
    let mut head = vec![name.to_owned()];
    if let Some(part) = supply.part {
        head.push(model.part_name(part.id).to_owned());
    }
    if let Some((count, battery)) = supply.battery {
        head.push(format!("{count} x {}", model.part_name(battery.id)));
    }
    if let Some(fuse) = supply.tree.fuse {
        head.push(format!("fuse {} at its output", words::amps(fuse.value)));
    }
    lines.push(0, head.join(", "));
    below(facts, wires, power, (None, 1), &mut lines);
    if lines.list.len() < 2 {
        return None;
    }
    const MOST: usize = 32;
    let draw = |lines: &Lines| {
        let width = 760.0;
        let mut canvas = Canvas::new(width, 20.0 + lines.height());
        lines.draw(&mut canvas, (8.0, 20.0), width - 16.0);
        canvas
    };
    let whole = draw(&lines);
    let about = format!("{} pieces of cable and what they feed", lines.list.len() - 1);
    let title = format!("What hangs on {name}");
    let id = format!("hangs-on-{name}");
    if lines.list.len() <= MOST {
        return Some(Figure::new(id, title, about, vec![whole], None));
    }
    Some(Figure::new(id, title, about, pages(lines, MOST).iter().map(draw).collect(), Some(whole)))
}

/// The lines in pieces that fit a page; each piece begins with the ancestors of its first line.
fn pages(lines: Lines, most: usize) -> Vec<Lines> {
    let mut out: Vec<Lines> = Vec::new();
    let mut ancestors: Vec<Line> = Vec::new();
    for line in lines.list {
        ancestors.truncate(line.depth);
        if out.last().is_none_or(|page| page.list.len() >= most) {
            let list = ancestors.iter().map(|one| Line {
                depth: one.depth,
                text: one.text.clone(),
                hole: one.hole,
            });
            out.push(Lines { list: list.collect() });
        }
        ancestors.push(Line { depth: line.depth, text: line.text.clone(), hole: line.hole });
        if let Some(page) = out.last_mut() {
            page.list.push(line);
        }
    }
    out
}
