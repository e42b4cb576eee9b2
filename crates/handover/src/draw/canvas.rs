//! A canvas: SVG elements, and the boxes of the texts and the strokes that were put on it, so that a
//! test can tell that nothing lies on a text.
//!
//! The font is one of fixed width. A letter is taken to be 0.62 of the size, which is a little more
//! than such fonts have; a text that is not all ASCII, whose letters may come from another font, is
//! set to that length. So the boxes hold wherever it is shown.

use super::escaped;
use std::fmt::Write as _;

/// The width of a letter, as a share of the size.
const LETTER: f64 = 0.62;

/// Where a text hangs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// The size of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Size {
    Small,
    Body,
    Head,
}

impl Size {
    pub(crate) fn pixels(self) -> f64 {
        match self {
            Self::Small => 10.0,
            Self::Body => 12.0,
            Self::Head => 14.0,
        }
    }

    fn class(self) -> &'static str {
        match self {
            Self::Small => "s",
            Self::Body => "m",
            Self::Head => "h",
        }
    }

    /// The width of a text.
    pub(crate) fn width(self, text: &str) -> f64 {
        cells(text) * self.pixels() * LETTER
    }
}

/// How many letters wide a text is; signs of East Asia and pictures take two.
fn cells(text: &str) -> f64 {
    text.chars().map(cell).sum()
}

fn cell(letter: char) -> f64 {
    match u32::from(letter) {
        0x1100..=0x115f
        | 0x2e80..=0xa4cf
        | 0xac00..=0xd7a3
        | 0xf900..=0xfaff
        | 0xfe30..=0xfe6f
        | 0xff00..=0xff60
        | 0xffe0..=0xffe6
        | 0x1f000..=0x1faff
        | 0x20000..=0x3fffd => 2.0,
        _ => 1.0,
    }
}

/// A box: left, top, right, bottom.
pub(crate) type Area = [f64; 4];

/// Text on a canvas.
#[derive(Clone, Debug)]
#[cfg_attr(not(test), expect(dead_code, reason = "read by the test that looks for overlaps"))]
pub(crate) struct Placed {
    /// Its box.
    pub(crate) area: Area,
    /// The text, as it is shown.
    pub(crate) text: String,
}

/// What is drawn.
#[derive(Clone, Debug, Default)]
pub(crate) struct Canvas {
    out: String,
    width: f64,
    height: f64,
    /// Every text.
    pub(crate) texts: Vec<Placed>,
    /// Every straight stroke, from end to end.
    pub(crate) strokes: Vec<Area>,
}

/// A number of pixels, to a tenth.
fn n(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl Canvas {
    pub(crate) fn new(width: f64, height: f64) -> Self {
        Self { width, height, ..Self::default() }
    }

    /// Width and height, whole pixels.
    pub(crate) fn extent(&self) -> (f64, f64) {
        (self.width.ceil(), self.height.ceil())
    }

    pub(crate) fn body(&self) -> &str {
        &self.out
    }

    pub(crate) fn open(&mut self, title: &str) {
        let _ = write!(self.out, "<g><title>{}</title>", escaped(title));
    }

    pub(crate) fn close(&mut self) {
        self.out.push_str("</g>\n");
    }

    /// Straight strokes from point to point.
    pub(crate) fn line(&mut self, class: &str, points: &[(f64, f64)]) {
        let mut d = String::new();
        for (at, (x, y)) in points.iter().enumerate() {
            let _ = write!(d, "{}{} {}", if at == 0 { "M" } else { "L" }, n(*x), n(*y));
        }
        let _ = writeln!(self.out, "<path class=\"{class}\" d=\"{d}\"/>");
        for pair in points.windows(2) {
            if let [(x1, y1), (x2, y2)] = pair {
                self.strokes.push([*x1, *y1, *x2, *y2]);
            }
        }
    }

    /// A curve that leaves and arrives level.
    pub(crate) fn curve(&mut self, from: (f64, f64), to: (f64, f64)) {
        let middle = (from.0 + to.0) / 2.0;
        let _ = writeln!(
            self.out,
            "<path class=\"e\" d=\"M{} {}C{m} {} {m} {} {} {}\"/>",
            n(from.0),
            n(from.1),
            n(from.1),
            n(to.1),
            n(to.0),
            n(to.1),
            m = n(middle)
        );
    }

    /// A shape that is closed; its outline counts as strokes.
    pub(crate) fn shape(&mut self, class: &str, points: &[(f64, f64)]) {
        let list: Vec<String> =
            points.iter().map(|(x, y)| format!("{},{}", n(*x), n(*y))).collect();
        let _ = writeln!(self.out, "<polygon class=\"{class}\" points=\"{}\"/>", list.join(" "));
        let next = points.iter().skip(1).chain(points.first());
        for ((x1, y1), (x2, y2)) in points.iter().zip(next) {
            self.strokes.push([*x1, *y1, *x2, *y2]);
        }
    }

    pub(crate) fn rect(&mut self, class: &str, [left, top, right, bottom]: Area, title: &str) {
        let _ = write!(
            self.out,
            "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            n(left),
            n(top),
            n(right - left),
            n(bottom - top)
        );
        if title.is_empty() {
            self.out.push_str("/>\n");
        } else {
            let _ = writeln!(self.out, "><title>{}</title></rect>", escaped(title));
        }
        for stroke in [
            [left, top, right, top],
            [right, top, right, bottom],
            [left, bottom, right, bottom],
            [left, top, left, bottom],
        ] {
            self.strokes.push(stroke);
        }
    }

    pub(crate) fn circle(&mut self, class: &str, (x, y): (f64, f64), radius: f64) {
        let _ = writeln!(
            self.out,
            "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            n(x),
            n(y),
            n(radius)
        );
        let r = radius;
        self.strokes.push([x - r, y, x + r, y]);
        self.strokes.push([x, y - r, x, y + r]);
    }

    /// A text; one that is wider than `most` is cut, and has the whole of itself as its title.
    pub(crate) fn text(
        &mut self,
        class: &str,
        (x, y): (f64, f64),
        (size, anchor): (Size, Anchor),
        text: &str,
        most: f64,
    ) {
        let text: String = text.chars().map(crate::plain).collect();
        let text = text.trim();
        if text.is_empty() {
            return;
        }
        let shown = cut(text, size, most);
        let width = size.width(&shown);
        let left = match anchor {
            Anchor::Start => x,
            Anchor::Middle => x - width / 2.0,
            Anchor::End => x - width,
        };
        let pixels = size.pixels();
        self.texts.push(Placed {
            area: [left, y - pixels * 0.8, left + width, y + pixels * 0.22],
            text: shown.clone(),
        });
        let hangs = match anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let title = if shown == text { String::new() } else { title(text) };
        let _ = writeln!(
            self.out,
            "<text class=\"{}{}{class}\" x=\"{}\" y=\"{}\"{hangs}{}>{title}{}</text>",
            size.class(),
            if class.is_empty() { "" } else { " " },
            n(x),
            n(y),
            length(&shown, width),
            escaped(&shown)
        );
    }

    /// A text that stands on end, read from the top down, its beginning at (x, y).
    pub(crate) fn upright(&mut self, (x, y): (f64, f64), size: Size, text: &str) {
        let width = size.width(text);
        let pixels = size.pixels();
        self.texts.push(Placed {
            area: [x - pixels * 0.22, y, x + pixels * 0.8, y + width],
            text: text.to_owned(),
        });
        let _ = writeln!(
            self.out,
            "<text class=\"{}\" transform=\"translate({} {}) rotate(90)\"{}>{}</text>",
            size.class(),
            n(x),
            n(y),
            length(text, width),
            escaped(text)
        );
    }
}

fn title(text: &str) -> String {
    format!("<title>{}</title>", escaped(text))
}

/// The attribute that sets a text to its length, where its letters may come from another font.
fn length(text: &str, width: f64) -> String {
    if text.is_ascii() {
        return String::new();
    }
    format!(" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"", n(width))
}

/// As much of a text as fits: its beginning and its end, which tells apart what begins alike.
fn cut(text: &str, size: Size, most: f64) -> String {
    if size.width(text) <= most {
        return text.to_owned();
    }
    let room = most / (size.pixels() * LETTER) - 1.0;
    let tail: String = fitting(text.chars().rev(), room / 2.0).chars().rev().collect();
    let head = fitting(text.chars(), room - cells(&tail));
    format!("{}\u{2026}{}", head.trim_end(), tail.trim_start())
}

fn fitting(letters: impl Iterator<Item = char>, room: f64) -> String {
    let mut used = 0.0;
    letters
        .take_while(|letter| {
            used += cell(*letter);
            used <= room
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{LETTER, Size, cut};

    #[test]
    fn a_text_that_is_cut_keeps_its_end() {
        let most = |letters: f64| letters * 10.0 * LETTER + 0.1;
        assert_eq!(cut("corridor-run.east", Size::Small, most(17.0)), "corridor-run.east");
        assert_eq!(cut("corridor-run.east", Size::Small, most(11.0)), "corri\u{2026}.east");
        assert_eq!(cut("corridor-run.west", Size::Small, most(11.0)), "corri\u{2026}.west");
        assert_eq!(cut("side door: tamper", Size::Small, most(8.0)), "side\u{2026}per");
        // A letter of two cells is not cut in half.
        assert_eq!(
            cut("\u{9580}\u{9580}\u{9580}\u{9580}", Size::Small, most(6.0)),
            "\u{9580}\u{2026}\u{9580}"
        );
        assert_eq!(cut("abc", Size::Small, 0.0), "\u{2026}");
    }
}
