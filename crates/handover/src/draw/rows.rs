//! End-of-line networks, laid out: what stands in series lies on the wire, what stands across goes
//! from wire to wire, and a part of several is laid out by the same rules inside.

use super::symbols::{self, Axis, LONG};
use super::{Anchor, Canvas, Size};
use crate::words::{ohms, percent};
use curtilage_syntax::tree::part::Rest;
use curtilage_syntax::tree::wiring::{EndPart, EndStep};

/// A piece of a network with two leads.
#[derive(Clone, Debug)]
pub(super) enum Net {
    Resistor(String),
    Tamper(Rest),
    Series(Vec<Net>),
    Parallel(Vec<Net>),
}

/// How much room a piece takes: along its axis, to the left of it, and to the right.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Room {
    pub(super) long: f64,
    pub(super) left: f64,
    pub(super) right: f64,
}

/// What a label needs above its symbol.
const LABEL: f64 = 14.0;
/// Between two pieces side by side.
const GAP: f64 = 6.0;

impl Net {
    /// The part that a step adds.
    pub(super) fn of(part: &EndPart, tamper: Option<Rest>) -> Self {
        match part {
            EndPart::Resistor(value, tolerance) => {
                let tolerance = tolerance.map(|one| format!(" +-{}", percent(one.value)));
                Self::Resistor(format!("{}{}", ohms(value.value), tolerance.unwrap_or_default()))
            }
            EndPart::Tamper(_) => Self::Tamper(tamper.unwrap_or(Rest::Closed)),
            EndPart::Group(first, steps) => {
                steps.iter().fold(Self::of(first, tamper), |whole, step| whole.join(step, tamper))
            }
        }
    }

    fn join(self, step: &EndStep, tamper: Option<Rest>) -> Self {
        let more = Self::of(&step.part, tamper);
        match (step.series, self) {
            (true, Self::Series(mut list)) => {
                list.push(more);
                Self::Series(list)
            }
            (false, Self::Parallel(mut list)) => {
                list.push(more);
                Self::Parallel(list)
            }
            (true, whole) => Self::Series(vec![whole, more]),
            (false, whole) => Self::Parallel(vec![whole, more]),
        }
    }

    fn label(&self) -> &str {
        match self {
            Self::Resistor(label) => label,
            _ => "tamper",
        }
    }

    pub(super) fn room(&self, down: bool) -> Room {
        match self {
            Self::Resistor(_) | Self::Tamper(_) => {
                let wide = Size::Small.width(self.label());
                if down {
                    Room { long: LONG + 4.0, left: 12.0 + wide + 4.0, right: 10.0 }
                } else {
                    Room { long: LONG.max(wide + GAP), left: 12.0 + LABEL, right: 10.0 }
                }
            }
            Self::Series(list) => list.iter().fold(Room::default(), |sum, one| {
                let room = one.room(down);
                Room {
                    long: sum.long + room.long,
                    left: sum.left.max(room.left),
                    right: sum.right.max(room.right),
                }
            }),
            Self::Parallel(list) => {
                let mut out = Room::default();
                for (at, one) in list.iter().enumerate() {
                    let room = one.room(down);
                    out.long = out.long.max(room.long + 2.0 * GAP);
                    if at == 0 {
                        (out.left, out.right) = (room.left, room.right);
                    } else {
                        out.left += room.right + room.left;
                    }
                }
                out
            }
        }
    }

    /// Draws it from the beginning of an axis over a length that is at least what it needs.
    pub(super) fn draw(&self, canvas: &mut Canvas, axis: Axis, long: f64) {
        match self {
            Self::Resistor(_) | Self::Tamper(_) => {
                let start = (long - LONG) / 2.0;
                axis.lead(canvas, 0.0, start);
                axis.lead(canvas, start + LONG, long);
                let own = axis.shift(start, 0.0);
                match self {
                    Self::Tamper(rests) => symbols::contact(canvas, own, *rests),
                    _ => symbols::resistor(canvas, own),
                }
                let label = self.label();
                if axis.down {
                    let (x, y) = axis.at(long / 2.0 + 3.5, 14.0);
                    let style = (Size::Small, Anchor::Start);
                    canvas.text("", (x, y), style, label, Size::Small.width(label));
                } else {
                    let at = axis.at(long / 2.0, 13.0);
                    let style = (Size::Small, Anchor::Middle);
                    canvas.text("", at, style, label, Size::Small.width(label));
                }
            }
            Self::Series(list) => {
                let needs: f64 = list.iter().map(|one| one.room(axis.down).long).sum();
                let mut at = (long - needs) / 2.0;
                axis.lead(canvas, 0.0, at);
                for one in list {
                    let own = one.room(axis.down).long;
                    one.draw(canvas, axis.shift(at, 0.0), own);
                    at += own;
                }
                axis.lead(canvas, at, long);
            }
            Self::Parallel(list) => {
                axis.lead(canvas, 0.0, GAP);
                axis.lead(canvas, long - GAP, long);
                let mut v = 0.0;
                for (at, one) in list.iter().enumerate() {
                    let room = one.room(axis.down);
                    if at > 0 {
                        v += room.right;
                    }
                    one.draw(canvas, axis.shift(GAP, v), long - 2.0 * GAP);
                    if at > 0 {
                        for u in [GAP, long - GAP] {
                            canvas.line("l", &[axis.at(u, 0.0), axis.at(u, v)]);
                        }
                    }
                    v += room.left;
                }
            }
        }
    }
}

/// The network at the end of two wires: the contact, then what each step adds.
pub(super) struct Ladder {
    pub(super) rests: Option<Rest>,
    pub(super) steps: Vec<(bool, Net)>,
}

impl Ladder {
    /// How far apart its wires are.
    pub(super) fn apart(&self) -> f64 {
        let across = self.steps.iter().filter(|(series, _)| !series);
        across.map(|(_, net)| net.room(true).long).fold(LONG + 4.0, f64::max)
    }

    /// What it needs above its upper wire.
    pub(super) fn above(&self) -> f64 {
        let series = self.steps.iter().filter(|(series, _)| *series);
        series.map(|(_, net)| net.room(false).left).fold(18.0, f64::max)
    }

    /// How long it is.
    pub(super) fn long(&self) -> f64 {
        let step = |(series, net): &(bool, Net)| {
            let room = net.room(!series);
            if *series { room.long } else { room.left + room.right }
        };
        24.0 + self.steps.iter().map(step).sum::<f64>()
    }

    /// Draws it from `x` on, its upper wire at `y`; gives where its wires leave it.
    pub(super) fn draw(&self, canvas: &mut Canvas, (x, y): (f64, f64)) -> f64 {
        let apart = self.apart();
        let start = x + 12.0;
        let axis = Axis { x: start, y: y + (apart - LONG) / 2.0, down: true };
        canvas.line("l", &[(start, y), (start, axis.y)]);
        canvas.line("l", &[(start, axis.y + LONG), (start, y + apart)]);
        match self.rests {
            Some(rests) => symbols::contact(canvas, axis, rests),
            None => canvas.rect(
                "hole",
                [start - 8.0, axis.y, start + 8.0, axis.y + LONG],
                "not known: whether it rests open or closed",
            ),
        }
        let mut at = x + 24.0;
        canvas.line("l", &[(start, y), (at, y)]);
        canvas.line("l", &[(start, y + apart), (at, y + apart)]);
        for (series, net) in &self.steps {
            let room = net.room(!series);
            if *series {
                net.draw(canvas, Axis { x: at, y, down: false }, room.long);
                canvas.line("l", &[(at, y + apart), (at + room.long, y + apart)]);
                at += room.long;
            } else {
                let middle = at + room.right;
                net.draw(canvas, Axis { x: middle, y, down: true }, apart);
                let end = at + room.right + room.left;
                canvas.line("l", &[(at, y), (end, y)]);
                canvas.line("l", &[(at, y + apart), (end, y + apart)]);
                at = end;
            }
        }
        at
    }
}
