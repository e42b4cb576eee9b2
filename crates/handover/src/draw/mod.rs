//! The drawings, in SVG that needs nothing from elsewhere. Text is text; every drawing has a title
//! and a description for those who do not see it.

mod canvas;
pub(crate) mod graph;
mod rows;
mod symbols;
#[cfg(test)]
mod tests;
pub mod timeline;
pub(crate) mod tree;
pub(crate) mod week;
pub(crate) mod wiring;

pub(crate) use canvas::{Anchor, Canvas, Size};

use std::fmt::Write as _;

/// How drawings look on a screen and on paper; the page has the same rules.
const STYLE: &str = include_str!("drawing.css");

/// A drawing.
pub struct Figure {
    /// The name of its file, and its anchor.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What it shows, in a sentence.
    pub about: String,
    /// The same in pieces that fit a page each; one piece for a small drawing.
    pub(crate) parts: Vec<Canvas>,
    /// The whole of it; none when one part is the whole.
    pub(crate) whole: Option<Canvas>,
    /// Whether the site is not fit for work.
    pub unfit: bool,
}

impl Figure {
    pub(crate) fn new(
        id: impl Into<String>,
        title: impl Into<String>,
        about: impl Into<String>,
        parts: Vec<Canvas>,
        whole: Option<Canvas>,
    ) -> Self {
        let (id, title, about) = (id.into(), title.into(), about.into());
        Self { id, title, about, parts, whole, unfit: false }
    }

    /// The drawing as a file of its own.
    #[must_use]
    pub fn file(&self) -> String {
        let whole = self.whole.as_ref().or(self.parts.first());
        whole.map_or_else(String::new, |whole| file(whole, &self.title, &self.about, self.unfit))
    }

    /// Part `number` of the drawing for the page.
    pub(crate) fn inline(&self, number: usize) -> String {
        let Some(part) = self.parts.get(number) else { return String::new() };
        let (width, height) = part.extent();
        let id = format!("{}-{}", self.id, number + 1);
        let count = self.parts.len();
        let title = match count {
            1 => self.title.clone(),
            count => format!("{}, part {} of {count}", self.title, number + 1),
        };
        let mut out = format!(
            "<svg class=\"drawing\" role=\"img\" aria-labelledby=\"{id}-t {id}-d\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\"><title id=\"{id}-t\">{}</title><desc id=\"{id}-d\">{}</desc>",
            escaped(&title),
            escaped(&self.about)
        );
        out.push_str(part.body());
        out.push_str("</svg>");
        out
    }
}

/// A canvas as an SVG file.
pub(crate) fn file(canvas: &Canvas, title: &str, about: &str, unfit: bool) -> String {
    let (width, height) = canvas.extent();
    // The banner stands above everything, then the title.
    let banner = if unfit { 36.0 } else { 0.0 };
    let top = banner + 34.0;
    let (width, tall) = (width.max(560.0), height + top);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" role=\"img\" aria-labelledby=\"t d\" width=\"{width}\" height=\"{tall}\" viewBox=\"0 0 {width} {tall}\">\n<title id=\"t\">{}</title>\n<desc id=\"d\">{}</desc>\n<style>{STYLE}</style>\n<rect class=\"paper\" width=\"{width}\" height=\"{tall}\"/>\n",
        escaped(title),
        escaped(about)
    );
    let mut head = Canvas::new(width, top);
    let style = (Size::Head, Anchor::Start);
    head.text("", (12.0, banner + 20.0), style, title, width - 24.0);
    out.push_str(head.body());
    if unfit {
        let _ = writeln!(
            out,
            "<rect class=\"unfit\" x=\"4\" y=\"4\" width=\"{}\" height=\"26\"/><text class=\"unfit-text\" x=\"14\" y=\"22\">NOT FIT FOR WORK: errors are open in the site file</text>",
            width - 8.0
        );
    }
    let _ = writeln!(out, "<g transform=\"translate(0 {top})\">");
    out.push_str(canvas.body());
    out.push_str("</g></svg>\n");
    out
}

/// Text that means nothing to XML or HTML.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(crate::plain(other)),
        }
    }
    out
}
