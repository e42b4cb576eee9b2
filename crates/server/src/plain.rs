//! Markdown as plain text, for clients that show nothing else. It reads the Markdown that is
//! written here, and no other: bold words, code, tables, fences, rules, headings, escapes.

/// A page as plain text.
pub(crate) fn text(markdown: &str) -> String {
    let mut out = String::with_capacity(markdown.len());
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut fenced = false;
    for line in markdown.lines() {
        if line.starts_with("```") {
            fenced = !fenced;
            continue;
        }
        if !fenced && let Some(row) = line.strip_prefix('|') {
            if !row.starts_with("---|") {
                rows.push(cells(row));
            }
            continue;
        }
        table(&mut rows, &mut out);
        match line {
            _ if fenced => out.push_str(line),
            // A blank line parts the pages already.
            "---" => continue,
            _ => {
                let heading = line.trim_start_matches('#').strip_prefix(' ');
                out.push_str(&words(heading.filter(|_| line.starts_with('#')).unwrap_or(line)));
            }
        }
        out.push('\n');
    }
    table(&mut rows, &mut out);
    without_gaps(&out)
}

/// The cells of a row behind its first bar: a bar in code or behind a backslash parts none.
fn cells(row: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let (mut code, mut escaped) = (false, false);
    for character in row.trim_end().chars() {
        code ^= character == '`' && !escaped;
        if character == '|' && !code && !escaped {
            out.push(String::new());
        } else if let Some(cell) = out.last_mut() {
            cell.push(character);
        }
        escaped = character == '\\' && !escaped;
    }
    // Behind the last bar stands nothing.
    out.pop();
    out.iter().map(|cell| words(cell.trim())).collect()
}

/// Writes rows with their columns one below the other.
fn table(rows: &mut Vec<Vec<String>>, out: &mut String) {
    let wide = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(wide).collect();
    for row in rows.drain(..) {
        let cells = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:width$}"));
        out.push_str(cells.collect::<Vec<_>>().join("  ").trim_end());
        out.push('\n');
    }
}

/// A line without stars and backslashes; what stands in code stays as it is, marks and all.
fn words(line: &str) -> String {
    let mut out = String::with_capacity(line.len());
    let mut code = false;
    let mut rest = line.chars().peekable();
    while let Some(character) = rest.next() {
        match character {
            '`' => code = !code,
            '*' if !code && rest.next_if_eq(&'*').is_some() => continue,
            '\\' if !code => {
                out.extend(rest.next_if(char::is_ascii_punctuation).or(Some('\\')));
                continue;
            }
            _ => {}
        }
        out.push(character);
    }
    out
}

/// One blank line where several follow each other.
fn without_gaps(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for line in text.trim().lines() {
        if !(line.is_empty() && out.ends_with("\n\n")) {
            out.push_str(line);
            out.push('\n');
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::text;

    #[test]
    fn what_is_markdown_alone_is_taken_out() {
        let page = "**zone** `a_b`: 5 \\* 3 \\_\n\n- draws **2 A**\n\n| a | used by |\n|---|---|\n| `x|y` | \\| |\n| **1** | free |\n\n---\n\n# Working\n\n- `R * (1 + **)`\n\n```text\nMon  **\n| x |\n```\n";
        let plain = "zone `a_b`: 5 * 3 _\n\n- draws 2 A\n\na      used by\n`x|y`  |\n1      free\n\nWorking\n\n- `R * (1 + **)`\n\nMon  **\n| x |\n";
        assert_eq!(text(page), plain);
    }
}
