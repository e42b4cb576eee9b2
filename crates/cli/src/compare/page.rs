//! The frame of the page: head, style, and what keeps text text. Nothing is loaded from anywhere.

use crate::plain::plain;
use std::fmt::Write as _;

/// The style: light, dark and on paper; no meaning hangs on a colour alone.
const STYLE: &str = include_str!("page.css");

/// A whole page.
pub(super) fn page(title: &str, body: &str) -> String {
    let title = text(title);
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n\
         <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n\
         <a class=\"skip\" href=\"#main\">Skip to what changed</a>\n{body}</body>\n</html>\n"
    )
}

/// Text that is no markup.
pub(super) fn text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in plain(text).chars() {
        match sign {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}

/// A sentence of ours, in which names stand in backticks.
pub(super) fn prose(sentence: &str) -> String {
    let mut out = String::new();
    let mut rest = sentence;
    while let Some((before, after)) = rest.split_once('`') {
        out.push_str(&text(before));
        match after.split_once('`') {
            Some((name, tail)) => {
                let _ = write!(out, "<code>{}</code>", text(name));
                rest = tail;
            }
            None => {
                out.push('`');
                rest = after;
            }
        }
    }
    out.push_str(&text(rest));
    out
}

#[cfg(test)]
mod tests {
    use super::{prose, text};

    #[test]
    fn what_a_file_says_is_text() {
        assert_eq!(text("<b a=\"'\">&\u{1b}"), "&lt;b a=&quot;&#39;&quot;&gt;&amp;?");
        assert_eq!(prose("zone `a<b` is `c"), "zone <code>a&lt;b</code> is `c");
    }
}
