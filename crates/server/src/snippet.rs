//! Snippets for clients and places that know none.

/// A snippet as plain text: each tab stop is its example.
pub(crate) fn without_stops(snippet: &str) -> String {
    let mut out = String::with_capacity(snippet.len());
    let mut rest = snippet.chars().peekable();
    while let Some(character) = rest.next() {
        match character {
            '\\' => out.extend(rest.next()),
            '$' => {
                let braced = rest.next_if_eq(&'{').is_some();
                while rest.next_if(char::is_ascii_digit).is_some() {}
                if braced && rest.next_if_eq(&':').is_none() {
                    rest.next_if_eq(&'}');
                }
            }
            // The end of a stop; a brace of the language is escaped in a snippet.
            '}' => {}
            character => out.push(character),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::without_stops;

    #[test]
    fn a_snippet_without_its_stops_is_its_example() {
        let snippet = "zone ${1:door} is ${2:part} {\n    wired to $3 ${4}\n\\}$0";
        assert_eq!(without_stops(snippet), "zone door is part {\n    wired to  \n}");
    }
}
