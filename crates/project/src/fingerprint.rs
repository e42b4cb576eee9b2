//! What makes a finding the same finding in another run: its rule, the things it is about and the
//! words at its place. Not its line, so that text above it may come and go; not its figures, which
//! move with the site.

use crate::check::Checked;
use curtilage_diagnostic::Diagnostic;
use std::collections::HashMap;

/// The mark of each finding of a run, in their order, in sixteen hexadecimal digits. Two findings of
/// one file never have the same; it says nothing of the file, so that a file can be renamed.
#[must_use]
pub fn marks(checked: &Checked) -> Vec<String> {
    let mut seen: HashMap<(String, u64), u64> = HashMap::new();
    let mark = |finding: &Diagnostic| {
        let source = checked.sources.get(&finding.at.at.file);
        let words = source.map_or("", |source| source.text(finding.at.at.span));
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        let mut hash = Hash::new(finding.rule);
        for name in &finding.about {
            hash.field(name);
        }
        hash.field(&words);
        let path = source.map_or_else(String::new, |source| source.path.clone());
        // Of findings that are alike in all this, the first, the second...
        let count = seen.entry((path, hash.0)).or_insert(0);
        *count += 1;
        if *count > 1 {
            hash.field(&count.to_string());
        }
        hash.hex()
    };
    checked.findings.iter().map(mark).collect()
}

/// What tells a finding from all others of a project: the path of its file, and its mark.
#[must_use]
pub fn fingerprint(path: &str, mark: &str) -> String {
    let mut hash = Hash::new(path);
    hash.field(mark);
    hash.hex()
}

/// FNV-1a in 64 bits, as draft-eastlake-fnv gives it (from memory): the same on every machine and
/// in every version.
struct Hash(u64);

impl Hash {
    fn new(first: &str) -> Self {
        let mut hash = Self(0xcbf2_9ce4_8422_2325);
        hash.bytes(first.as_bytes());
        hash
    }

    fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }

    /// A further field; the separator lies in no text.
    fn field(&mut self, text: &str) {
        self.bytes(&[0]);
        self.bytes(text.as_bytes());
    }

    fn hex(&self) -> String {
        format!("{:016x}", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::Hash;

    #[test]
    fn the_hash_is_the_published_one() {
        // draft-eastlake-fnv, appendix C, from memory.
        for (text, hash) in
            [("", "cbf29ce484222325"), ("a", "af63dc4c8601ec8c"), ("foobar", "85944171f73967e8")]
        {
            assert_eq!(Hash::new(text).hex(), hash, "{text}");
        }
    }
}
