//! Reads the notation in which the reference writes what follows a statement's word:
//! `to INPUT [and COMMON]`, `events|motion of CAMERAS`, `a | b`, `X, ...`.
//!
//! | notation | means |
//! |---|---|
//! | `word` | this word |
//! | `SLOT`, `"SLOT"` | something of this kind, see `slots` |
//! | `[x]`, `x*` | perhaps; any number of times |
//! | `x\|y` without blanks, `x \| y` with | either word; either sequence |
//! | `(x)` | a group |
//! | `x, ...` at the end of a group | the whole group again after each comma |
//! | `{ ... }` | a block, which is no part of the line |

/// A piece of a form. Each leaf knows where it stands in the text that it was read from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Node {
    Word(&'static str, usize),
    Slot(&'static str, usize),
    Comma,
    Sequence(Vec<Node>),
    Either(Vec<Node>),
    Maybe(Box<Node>),
    /// Any number of times, with nothing between.
    Any(Box<Node>),
    /// Once or more, with commas between.
    List(Box<Node>),
}

impl Node {
    /// The words, when it is nothing but words.
    pub(crate) fn plain(&self) -> Option<String> {
        match self {
            Self::Word(word, _) => Some((*word).to_owned()),
            Self::Sequence(list) => {
                let words: Option<Vec<String>> = list.iter().map(Self::plain).collect();
                words.filter(|words| !words.is_empty()).map(|words| words.join(" "))
            }
            _ => None,
        }
    }

    /// The words of each side, when it is a choice between nothing but words.
    pub(crate) fn choice(&self) -> Option<Vec<String>> {
        match self {
            Self::Either(list) => list.iter().map(Self::plain).collect(),
            Self::Sequence(list) => match list.as_slice() {
                [one] => one.choice(),
                _ => None,
            },
            _ => None,
        }
    }

    /// Whether its first word is this one.
    pub(crate) fn begins_with(&self, word: &str) -> bool {
        match self {
            Self::Word(first, _) => *first == word,
            Self::Sequence(list) => list.first().is_some_and(|first| first.begins_with(word)),
            _ => false,
        }
    }
}

/// Reads a form.
pub(crate) fn read(pattern: &'static str) -> Node {
    let mut reader = Reader { pattern, at: 0 };
    reader.either()
}

struct Reader {
    pattern: &'static str,
    at: usize,
}

impl Reader {
    fn rest(&self) -> &'static str {
        self.pattern.get(self.at..).unwrap_or_default()
    }

    fn blanks(&mut self) {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start_matches(' ').len();
    }

    fn eat(&mut self, text: &str) -> bool {
        let found = self.rest().starts_with(text);
        if found {
            self.at += text.len();
        }
        found
    }

    fn either(&mut self) -> Node {
        let mut list = vec![self.sequence()];
        loop {
            self.blanks();
            if !self.eat("| ") {
                break;
            }
            list.push(self.sequence());
        }
        if list.len() == 1 { list.pop().unwrap_or(Node::Comma) } else { Node::Either(list) }
    }

    fn sequence(&mut self) -> Node {
        let mut list = Vec::new();
        loop {
            self.blanks();
            let rest = self.rest();
            if rest.is_empty() || rest.starts_with([')', ']']) || rest.starts_with("| ") {
                break;
            }
            if self.eat(", ...") || self.eat(",...") {
                let whole = Node::Sequence(std::mem::take(&mut list));
                list.push(Node::List(Box::new(whole)));
                continue;
            }
            if self.eat("{ ... }") {
                continue;
            }
            let Some(mut node) = self.item() else { break };
            if self.eat("*") {
                node = Node::Any(Box::new(node));
            }
            list.push(node);
        }
        Node::Sequence(list)
    }

    /// A leaf or a group, with others that a bar without blanks joins to it.
    fn item(&mut self) -> Option<Node> {
        let mut list = vec![self.leaf()?];
        while self.rest().starts_with('|') && !self.rest().starts_with("| ") {
            self.at += 1;
            list.push(self.leaf()?);
        }
        Some(if list.len() == 1 { list.pop()? } else { Node::Either(list) })
    }

    fn leaf(&mut self) -> Option<Node> {
        if self.eat(",") {
            return Some(Node::Comma);
        }
        if self.eat("[") {
            let inner = self.either();
            self.eat("]");
            // `[{ ... }]`: nothing of the line.
            let empty = matches!(&inner, Node::Sequence(list) if list.is_empty());
            return Some(if empty { inner } else { Node::Maybe(Box::new(inner)) });
        }
        if self.eat("(") {
            let inner = self.either();
            self.eat(")");
            return Some(inner);
        }
        let start = self.at;
        let rest = self.rest();
        if let Some(inside) = rest.strip_prefix('"') {
            let length = inside.find('"')?;
            self.at += length + 2;
            return Some(Node::Slot(inside.get(..length)?, start));
        }
        let ends = |c: char| matches!(c, ' ' | ',' | '|' | '[' | ']' | '(' | ')' | '*' | '{');
        let length = rest.find(ends).unwrap_or(rest.len());
        let text = rest.get(..length).filter(|text| !text.is_empty())?;
        self.at += length;
        let is_slot = text.chars().all(|c| c.is_ascii_uppercase() || c == '-') && text.len() > 1;
        let is_category = text.starts_with("AC-") || text.starts_with("DC-");
        Some(if is_slot && !is_category {
            Node::Slot(text, start)
        } else {
            Node::Word(text, start)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_options_choices_and_lists() {
        let Node::Sequence(list) = read("to INPUT [and COMMON] dc|ac") else { panic!() };
        assert_eq!(list.len(), 4);
        assert_eq!(list[0], Node::Word("to", 0));
        assert_eq!(list[1], Node::Slot("INPUT", 3));
        assert!(matches!(&list[2], Node::Maybe(_)));
        assert!(matches!(&list[3], Node::Either(both) if both.len() == 2));
        assert!(matches!(read("a b | c"), Node::Either(both) if both.len() == 2));
        let Node::Sequence(list) = read("CHARGE over TIME, ...") else { panic!() };
        assert!(matches!(&list[..], [Node::List(_)]));
    }
}
