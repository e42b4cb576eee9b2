//! The notation of the reference, read: `[over LENGTH of CABLE]` becomes a [`Node`].
//!
//! | written | means |
//! |---|---|
//! | `over` | the word itself |
//! | `LENGTH` | something that is filled in |
//! | `"TITLE"` | a text in quotes |
//! | `[a b]` | may be left out |
//! | `[a b]...` | any number of times, also none |
//! | `a b \| c` | `a b` or `c` |
//! | `from a\|b c` | `from`, then `a` or `b`, then `c` |
//! | `of a b, ...` | `of`, then `a b` once or more, with commas between |
//! | `{ ... }` | a block |
//! | `( )` | the parentheses themselves |
//!
//! `, ...` repeats all that stands before it in its alternative, without the bare words at the
//! very beginning.

/// A piece of the notation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Node {
    /// A word that stands for itself.
    Word(String),
    /// What is filled in: `LENGTH`.
    Value(String),
    /// A text in quotes, and what it is called.
    Text(String),
    /// A comma or a parenthesis.
    Mark(&'static str),
    /// A block in braces.
    Block,
    /// One after the other.
    Row(Vec<Node>),
    /// One of several.
    Choice(Vec<Node>),
    /// Once or not at all.
    Perhaps(Box<Node>),
    /// Any number of times.
    Repeated(Box<Node>),
    /// Once or more, with commas between.
    List(Box<Node>),
    /// A quantity, or two of the same kind with `to` between, of which the first may leave its
    /// unit to the second. The flag tells whether the second has to stand.
    Range(String, bool),
}

/// Reads a pattern; the error names what could not be read.
pub fn read(pattern: &str) -> Result<Node, String> {
    let mut reader = Reader { tokens: tokens(pattern), at: 0 };
    let node = reader.choice()?;
    match reader.peek() {
        None => Ok(node),
        Some(token) => Err(format!("`{token}` in `{pattern}`")),
    }
}

impl Node {
    /// Calls `visit` on this node and everything below it.
    pub fn walk(&self, visit: &mut impl FnMut(&Self)) {
        visit(self);
        match self {
            Self::Row(list) | Self::Choice(list) => list.iter().for_each(|node| node.walk(visit)),
            Self::Perhaps(node) | Self::Repeated(node) | Self::List(node) => node.walk(visit),
            _ => {}
        }
    }
}

fn tokens(pattern: &str) -> Vec<String> {
    let spaced = pattern
        .replace("{ ... }", " BLOCK ")
        .replace("]...", " ]* ")
        .replace(", ...", " LIST ")
        .replace(" | ", " OR ")
        .replace('|', " | ")
        .replace('[', " [ ")
        .replace(']', " ] ")
        .replace(" ] *", " ]* ")
        .replace(',', " , ");
    spaced.split_whitespace().map(str::to_owned).collect()
}

struct Reader {
    tokens: Vec<String>,
    at: usize,
}

impl Reader {
    fn peek(&self) -> Option<&str> {
        self.tokens.get(self.at).map(String::as_str)
    }

    fn eat(&mut self, token: &str) -> bool {
        let found = self.peek() == Some(token);
        self.at += usize::from(found);
        found
    }

    /// Alternatives parted by ` | `.
    fn choice(&mut self) -> Result<Node, String> {
        let mut list = vec![self.row()?];
        while self.eat("OR") {
            list.push(self.row()?);
        }
        Ok(one_or(list, Node::Choice))
    }

    fn row(&mut self) -> Result<Node, String> {
        let mut list: Vec<Node> = Vec::new();
        while let Some(token) = self.peek() {
            match token {
                "OR" | "]" | "]*" => break,
                "LIST" => {
                    self.at += 1;
                    let first = list.iter().take_while(|n| matches!(n, Node::Word(_))).count();
                    let repeated = list.split_off(first);
                    if repeated.is_empty() {
                        return Err("`, ...` repeats nothing".to_owned());
                    }
                    list.push(Node::List(Box::new(one_or(repeated, Node::Row))));
                }
                _ => list.push(self.tight()?),
            }
        }
        Ok(one_or(ranges(list), Node::Row))
    }

    /// Alternatives parted by `|` without blanks.
    fn tight(&mut self) -> Result<Node, String> {
        let mut list = vec![self.single()?];
        while self.eat("|") {
            list.push(self.single()?);
        }
        Ok(one_or(list, Node::Choice))
    }

    fn single(&mut self) -> Result<Node, String> {
        if self.eat("[") {
            let inner = self.choice()?;
            return if self.eat("]") {
                Ok(Node::Perhaps(Box::new(inner)))
            } else if self.eat("]*") {
                Ok(Node::Repeated(Box::new(inner)))
            } else {
                Err("a bracket is not closed".to_owned())
            };
        }
        let token = self.peek().ok_or("something is missing")?.to_owned();
        self.at += 1;
        Ok(match token.as_str() {
            "," => Node::Mark(","),
            "(" => Node::Mark("("),
            ")" => Node::Mark(")"),
            "BLOCK" => Node::Block,
            text if text.starts_with('"') => Node::Text(text.trim_matches('"').to_owned()),
            word if word.chars().all(|c| c.is_ascii_uppercase() || c == '-') => Node::Value(token),
            word if word.chars().all(|c| c.is_ascii_alphanumeric() || c == '-') => {
                Node::Word(token)
            }
            _ => return Err(format!("`{token}`")),
        })
    }
}

/// `Q to Q` and `Q [to Q]` as ranges.
fn ranges(list: Vec<Node>) -> Vec<Node> {
    let mut out: Vec<Node> = Vec::new();
    for node in list {
        let word = |node: &Node, text: &str| matches!(node, Node::Word(word) if word == text);
        if let (Some([Node::Value(first), to]), Node::Value(second)) =
            (out.last_chunk::<2>(), &node)
            && first == second
            && word(to, "to")
            && crate::notions::is_quantity(first)
        {
            let range = Node::Range(first.clone(), true);
            out.truncate(out.len() - 2);
            out.push(range);
            continue;
        }
        if let (Some(Node::Value(first)), Node::Perhaps(inner)) = (out.last(), &node)
            && let Node::Row(inner) = inner.as_ref()
            && let [to, Node::Value(second)] = inner.as_slice()
            && first == second
            && word(to, "to")
            && crate::notions::is_quantity(first)
        {
            let range = Node::Range(first.clone(), false);
            out.pop();
            out.push(range);
            continue;
        }
        out.push(node);
    }
    out
}

/// The only one of a list, or all of them together.
fn one_or(mut list: Vec<Node>, together: fn(Vec<Node>) -> Node) -> Node {
    match (list.len(), list.pop()) {
        (1, Some(only)) => only,
        (_, Some(last)) => {
            list.push(last);
            together(list)
        }
        (_, None) => together(list),
    }
}
