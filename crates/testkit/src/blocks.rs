//! Fenced blocks of a Markdown page.

/// A fenced block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// The words after the fence: "site faulty".
    pub info: String,
    /// The text.
    pub text: String,
    /// The line of its first line, from 1.
    pub line: usize,
}

/// The fenced blocks of a page, in order.
#[must_use]
pub fn blocks(page: &str) -> Vec<Block> {
    let mut out = Vec::new();
    let mut open: Option<Block> = None;
    for (index, line) in page.lines().enumerate() {
        match (&mut open, line.strip_prefix("```")) {
            (Some(_), Some(_)) => out.extend(open.take()),
            (Some(block), None) => {
                block.text.push_str(line);
                block.text.push('\n');
            }
            (None, Some(info)) => {
                let info = info.trim().to_owned();
                open = Some(Block { info, text: String::new(), line: index + 2 });
            }
            (None, None) => {}
        }
    }
    out
}
