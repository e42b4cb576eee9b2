//! Symbols after IEC 60617, drawn by ourselves from its geometry: the numbers are the clauses of
//! EN 60617 (strokes confirmed in Debian's qelectrotech-data, folder 91_en_60617).
//!
//! A symbol with two leads is 40 long and lies along an axis: `u` runs from lead to lead, `v` to the
//! left of it. An axis that runs to the right has `v` upward; one that runs down has `v` to the
//! right.

use super::Canvas;
use curtilage_syntax::tree::part::Rest;

/// The length of a symbol with two leads.
pub(super) const LONG: f64 = 40.0;

/// Where a symbol lies, and which way.
#[derive(Clone, Copy, Debug)]
pub(super) struct Axis {
    pub(super) x: f64,
    pub(super) y: f64,
    /// Whether it runs down; otherwise to the right.
    pub(super) down: bool,
}

impl Axis {
    pub(super) fn at(self, u: f64, v: f64) -> (f64, f64) {
        if self.down { (self.x + v, self.y + u) } else { (self.x + u, self.y - v) }
    }

    pub(super) fn shift(self, u: f64, v: f64) -> Self {
        let (x, y) = self.at(u, v);
        Self { x, y, ..self }
    }

    fn line(self, canvas: &mut Canvas, points: &[(f64, f64)]) {
        let points: Vec<(f64, f64)> = points.iter().map(|(u, v)| self.at(*u, *v)).collect();
        canvas.line("l", &points);
    }

    fn shape(self, canvas: &mut Canvas, points: &[(f64, f64)]) {
        let points: Vec<(f64, f64)> = points.iter().map(|(u, v)| self.at(*u, *v)).collect();
        canvas.shape("f", &points);
    }

    /// A lead between two places.
    pub(super) fn lead(self, canvas: &mut Canvas, from: f64, to: f64) {
        if to > from {
            self.line(canvas, &[(from, 0.0), (to, 0.0)]);
        }
    }
}

/// A make contact (07-02-01) rests open; a break contact (07-02-03) rests closed.
pub(super) fn contact(canvas: &mut Canvas, axis: Axis, rests: Rest) {
    axis.line(canvas, &[(0.0, 0.0), (12.0, 0.0)]);
    axis.line(canvas, &[(LONG, 0.0), (29.0, 0.0)]);
    match rests {
        Rest::Open => axis.line(canvas, &[(29.0, 0.0), (10.0, -8.0)]),
        Rest::Closed => {
            axis.line(canvas, &[(12.0, 0.0), (12.0, 9.0)]);
            axis.line(canvas, &[(29.0, 0.0), (9.0, 7.5)]);
        }
    }
}

/// A resistor (04-01-01).
pub(super) fn resistor(canvas: &mut Canvas, axis: Axis) {
    axis.lead(canvas, 0.0, 5.0);
    axis.lead(canvas, 35.0, LONG);
    axis.shape(canvas, &[(5.0, -5.0), (35.0, -5.0), (35.0, 5.0), (5.0, 5.0)]);
}

/// A fuse (07-21-01): the conductor runs through it.
pub(super) fn fuse(canvas: &mut Canvas, axis: Axis) {
    axis.shape(canvas, &[(5.0, -5.0), (35.0, -5.0), (35.0, 5.0), (5.0, 5.0)]);
    axis.lead(canvas, 0.0, LONG);
}

/// A relay's coil (07-15-01).
pub(super) fn coil(canvas: &mut Canvas, axis: Axis) {
    axis.lead(canvas, 0.0, 11.0);
    axis.lead(canvas, 29.0, LONG);
    axis.shape(canvas, &[(11.0, -16.0), (29.0, -16.0), (29.0, 16.0), (11.0, 16.0)]);
}

/// A lamp (08-10-01).
pub(super) fn lamp(canvas: &mut Canvas, axis: Axis) {
    axis.lead(canvas, 0.0, 10.0);
    axis.lead(canvas, 30.0, LONG);
    canvas.circle("f", axis.at(20.0, 0.0), 10.0);
    axis.line(canvas, &[(13.0, -7.0), (27.0, 7.0)]);
    axis.line(canvas, &[(13.0, 7.0), (27.0, -7.0)]);
}

/// A horn (08-10-05): the driver on the leads, the flare beside it.
pub(super) fn horn(canvas: &mut Canvas, axis: Axis) {
    axis.lead(canvas, 0.0, 10.0);
    axis.lead(canvas, 30.0, LONG);
    axis.shape(canvas, &[(10.0, -5.0), (30.0, -5.0), (30.0, 5.0), (10.0, 5.0)]);
    axis.shape(canvas, &[(15.0, 5.0), (6.0, 16.0), (34.0, 16.0), (25.0, 5.0)]);
}

/// A machine or another load: a circle with a letter would need a text, so a plain box.
pub(super) fn load(canvas: &mut Canvas, axis: Axis) {
    axis.lead(canvas, 0.0, 9.0);
    axis.lead(canvas, 31.0, LONG);
    axis.shape(canvas, &[(9.0, -11.0), (31.0, -11.0), (31.0, 11.0), (9.0, 11.0)]);
}

/// A diode (05-03-01) against the current of a coil: its bar towards the positive lead.
pub(super) fn diode(canvas: &mut Canvas, axis: Axis) {
    axis.lead(canvas, 0.0, LONG);
    axis.shape(canvas, &[(14.0, 0.0), (26.0, -6.0), (26.0, 6.0)]);
    axis.line(canvas, &[(14.0, -6.0), (14.0, 6.0)]);
}

/// A battery (06-15-01): the long plate is the positive one, towards the beginning of the axis.
pub(super) fn battery(canvas: &mut Canvas, axis: Axis) {
    axis.lead(canvas, 0.0, 14.0);
    axis.lead(canvas, 26.0, LONG);
    for (u, half) in [(14.0, 10.0), (18.0, 5.0), (22.0, 10.0), (26.0, 5.0)] {
        axis.line(canvas, &[(u, -half), (u, half)]);
    }
}

/// A camera; IEC 60617 has none that we could confirm.
pub(super) fn camera(canvas: &mut Canvas, (x, y): (f64, f64)) {
    canvas.shape("f", &[(x, y - 6.0), (x + 18.0, y - 6.0), (x + 18.0, y + 6.0), (x, y + 6.0)]);
    canvas.shape(
        "f",
        &[(x + 18.0, y - 2.0), (x + 25.0, y - 7.0), (x + 25.0, y + 7.0), (x + 18.0, y + 2.0)],
    );
}
