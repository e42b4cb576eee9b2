//! How grave a finding is.

/// From a hint to an error, in rising order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Worth knowing; the site works.
    Hint,
    /// The site works today and will disappoint.
    Warning,
    /// The site does not do what it says, or something is damaged.
    Error,
}

impl Level {
    /// The word that people read and type: `hint`, `warning` or `error`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Hint => "hint",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }

    /// The level of a word, if it is one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Hint, Self::Warning, Self::Error].into_iter().find(|level| level.word() == word)
    }
}

#[cfg(test)]
mod tests {
    use super::Level;

    #[test]
    fn every_level_has_a_word_of_its_own_and_they_rise() {
        let rising = [Level::Hint, Level::Warning, Level::Error];
        assert!(rising.is_sorted());
        for level in rising {
            assert_eq!(Level::from_word(level.word()), Some(level));
        }
        assert_eq!(Level::from_word("fatal"), None);
    }
}
