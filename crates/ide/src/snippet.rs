//! Texts with tab stops, for clients that know them and for places that know none.

/// A text that somebody fills in: tab stops with an example each. It is kept both ways, so that none
/// is made from the other.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Snippet {
    plain: String,
    stops: String,
    count: usize,
}

impl Snippet {
    /// A text without tab stops.
    pub(crate) fn of(text: &str) -> Self {
        let mut out = Self::default();
        out.raw(text);
        out
    }

    /// The text with its examples, and the first word of each choice.
    #[must_use]
    pub fn plain(&self) -> &str {
        &self.plain
    }

    /// The text in the notation of LSP 3.17, "Snippet Syntax"; none when it has no tab stop.
    #[must_use]
    pub fn with_stops(&self) -> Option<&str> {
        (self.count > 0 || self.stops.contains("$0")).then_some(&self.stops)
    }

    /// Text that stays as it is.
    pub(crate) fn raw(&mut self, text: &str) {
        self.plain.push_str(text);
        self.stops.push_str(&escaped(text, &['$', '}', '\\']));
    }

    /// A tab stop with an example.
    pub(crate) fn stop(&mut self, example: &str) {
        self.count += 1;
        self.plain.push_str(example);
        let shown = escaped(example, &['$', '}', '\\']);
        self.stops.push_str(&format!("${{{}:{shown}}}", self.count));
    }

    /// A tab stop with a choice of words.
    pub(crate) fn choice(&mut self, words: &[&str]) {
        self.count += 1;
        self.plain.push_str(words.first().unwrap_or(&""));
        let shown: Vec<String> =
            words.iter().map(|word| escaped(word, &['$', '}', '\\', ',', '|'])).collect();
        self.stops.push_str(&format!("${{{}|{}|}}", self.count, shown.join(",")));
    }

    /// A blank, where a word would run into the one before it.
    pub(crate) fn blank(&mut self) {
        if !self.plain.is_empty() && !self.plain.ends_with([' ', '"', '\n']) {
            self.raw(" ");
        }
    }

    /// Where the cursor stands in the end.
    pub(crate) fn end(&mut self) {
        self.stops.push_str("$0");
    }
}

fn escaped(text: &str, special: &[char]) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if special.contains(&character) {
            out.push('\\');
        }
        out.push(character);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::Snippet;

    #[test]
    fn what_a_snippet_means_by_a_sign_is_escaped_and_the_plain_text_has_no_stop() {
        let mut snippet = Snippet::of("pay {\n    ");
        snippet.choice(&["a|b", "c,d"]);
        snippet.blank();
        snippet.stop("5 $} \\");
        snippet.raw("\n}");
        snippet.end();
        assert_eq!(snippet.plain(), "pay {\n    a|b 5 $} \\\n}");
        let stops = "pay {\n    ${1|a\\|b,c\\,d|} ${2:5 \\$\\} \\\\}\n\\}$0";
        assert_eq!(snippet.with_stops(), Some(stops));
        assert_eq!(Snippet::of("a").with_stops(), None);
    }
}
