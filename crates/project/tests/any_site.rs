//! Sites with random mistakes: checking ends, no figure is out of hand, and the order of items
//! changes nothing.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use curtilage_syntax::parse;
use curtilage_testkit::{Text, check_texts, root, site_files, unmarked};
use proptest::prelude::*;
use std::collections::HashSet;
use std::sync::LazyLock;

struct Example {
    name: String,
    text: String,
}

static EXAMPLES: LazyLock<Vec<Example>> = LazyLock::new(|| {
    let files = [site_files("examples/sites"), site_files("examples/faulty")].concat();
    let flat = files.into_iter().filter(|path| {
        path.parent().is_some_and(|p| p.ends_with("sites") || p.ends_with("faulty"))
    });
    flat.map(|path| Example {
        name: path.file_name().unwrap().to_string_lossy().into_owned(),
        text: unmarked(&std::fs::read_to_string(&path).unwrap()),
    })
    .collect()
});

static SHARED: LazyLock<Vec<Text>> = LazyLock::new(|| {
    ["parts/general.site", "policy/house.site", "policy/strict.site"]
        .map(|path| Text {
            path: path.to_owned(),
            text: std::fs::read_to_string(root().join("examples").join(path)).unwrap(),
        })
        .to_vec()
});

/// Rule and headline of every finding in the example, sorted.
fn findings(text: String) -> Vec<(&'static str, String)> {
    let mut texts = vec![Text { path: "sites/example.site".to_owned(), text }];
    texts.extend(SHARED.iter().cloned());
    let checked = check_texts(&texts);
    let mut list: Vec<_> = checked
        .findings
        .iter()
        .map(|finding| {
            let words = [&finding.headline, &finding.at.text].into_iter().chain(&finding.help);
            for words in words {
                assert!(!words.contains("NaN") && !words.contains("inf "), "{words}");
            }
            (finding.rule, finding.headline.clone())
        })
        .collect();
    list.sort();
    list
}

/// One small mistake: a line lost, said twice or moved, a word taken from elsewhere, an end cut off.
fn mistake(text: &str, kind: usize, at: usize, from: usize) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    if lines.is_empty() {
        return String::new();
    }
    let (at, from) = (at % lines.len(), from % lines.len());
    match kind {
        0 => {
            lines.remove(at);
        }
        1 => lines.insert(at, lines[from].clone()),
        2 => lines.swap(at, from),
        3 => {
            let words: Vec<&str> = lines[from].split_whitespace().collect();
            let word = words.get(at % words.len().max(1)).map_or("", |word| *word).to_owned();
            let mut changed: Vec<String> = lines[at].split(' ').map(str::to_owned).collect();
            let place = from % changed.len().max(1);
            if let Some(slot) = changed.get_mut(place) {
                *slot = word;
            }
            lines[at] = changed.join(" ");
        }
        4 => lines.truncate(at),
        5 => lines[at] = lines[at].replace(['1', '2', '5'], "0"),
        _ => lines[at] = lines[at].replace('0', "00000000000"),
    }
    lines.join("\n") + "\n"
}

/// Every kind of statement of every clean example, made unreadable once: its fault is told, and
/// nothing that would only be true if the statement were not there. The other names that a line
/// mentions are in doubt, so what they lack is not told either.
#[test]
fn what_cannot_be_read_is_not_taken_for_what_is_not_there() {
    let mut tried = 0;
    // Those of the faulty ones have a finding of their own.
    let clean = EXAMPLES.iter().filter(|example| findings(example.text.clone()).is_empty());
    for example in clean {
        let mut known = HashSet::new();
        for (at, line) in example.text.lines().enumerate() {
            let used = Some(line).filter(|line| line.starts_with("use "));
            let inner = used.or_else(|| line.strip_prefix("    "));
            let inner = inner.filter(|line| line.starts_with(char::is_alphabetic));
            let Some(word) = inner.and_then(|line| line.split(' ').next()) else { continue };
            // A comma would go on with the next line.
            if word.ends_with(',') || !known.insert(word) {
                continue;
            }
            for rest in ["", " ?"] {
                let mut lines: Vec<&str> = example.text.lines().collect();
                let unread = format!("{}{word}{rest}", line.split(word).next().unwrap_or(""));
                lines[at] = &unread;
                let mut told = findings(lines.join("\n") + "\n");
                told.retain(|(rule, _)| {
                    !matches!(*rule, "syntax" | "wrong-dimension" | "impossible-value")
                });
                assert_eq!(told, [], "{}, line {}: {unread}", example.name, at + 1);
                tried += 1;
            }
        }
    }
    assert!(tried > 200, "only {tried}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_site_with_mistakes_can_be_checked(
        which in any::<prop::sample::Index>(),
        mistakes in prop::collection::vec((0usize..7, any::<usize>(), any::<usize>()), 1..6),
    ) {
        let example = &EXAMPLES[which.index(EXAMPLES.len())];
        let mut text = example.text.clone();
        for (kind, at, from) in mistakes {
            text = mistake(&text, kind, at, from);
        }
        findings(text);
    }

    #[test]
    fn the_order_of_items_means_nothing(
        which in any::<prop::sample::Index>(),
        order in any::<u64>(),
    ) {
        let example = &EXAMPLES[which.index(EXAMPLES.len())];
        let parsed = parse(&example.text, &[]);
        // Which of two equal names came first is what these are about; an unclosed block has no end.
        let of_order = [
            "duplicate-name.site",
            "duplicate-name-in-used-files.site",
            "confusable-name.site",
            "terminal-reused.site",
            "syntax.site",
        ];
        prop_assume!(!of_order.contains(&example.name.as_str()));
        let mut items: Vec<String> = parsed
            .statements(&example.text)
            .iter()
            .map(|item| format!("{}\n", item.span.of(&example.text)))
            .collect();
        let before = findings(example.text.clone());
        let mut seed = order | 1;
        for at in (1..items.len()).rev() {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            items.swap(at, usize::try_from(seed >> 33).unwrap() % (at + 1));
        }
        prop_assert_eq!(findings(items.concat()), before);
    }
}

/// A site whose parts, names or statements are in doubt has findings that nobody can make yet: an
/// exception to one of them is not called idle.
#[test]
fn an_exception_is_not_called_unused_while_something_is_in_doubt() {
    let site = EXAMPLES.iter().find(|example| example.name == "pharmacy.site").unwrap();
    assert!(site.text.contains("allow inductive-unsuppressed"));
    let of = |rule: &str, text: &str| {
        findings(text.to_owned()).iter().filter(|(found, _)| *found == rule).count()
    };
    for (words, mistaken, rule) in [
        ("../parts/general.site", "../parts/nowhere.site", "unreadable-file"),
        ("fed ", "fad ", "syntax"),
        ("from main", "from mian", "unknown-name"),
    ] {
        let text = site.text.replace(words, mistaken);
        assert!(of(rule, &text) > 0, "{mistaken}");
        assert_eq!(of("exception-unused", &text), 0, "{mistaken}");
    }
    // Where the whole site is known, it is.
    let idle = site.text.replace("allow inductive-unsuppressed", "allow feedback");
    assert_eq!(of("exception-unused", &idle), 1);
}

/// A part with a line that cannot be read may have the terminal that is missing, in this file or in another.
#[test]
fn no_terminal_is_called_missing_while_its_part_is_in_doubt() {
    let part =
        "part small is controller {\n    inputs in1, in2\n    channels channel1 to channel4\n}\n";
    let site = "site here {\n    timezone UTC\n    ambient 0 to 20 degC\n}\n\
                controller panel is small\nzone one is reed {\n    wired to panel.in2\n}\n\
                camera eye on panel.channel3\n";
    let missing = |part: &str| {
        let here = vec![Text { path: "a.site".to_owned(), text: format!("{site}{part}") }];
        let there = vec![
            Text { path: "a.site".to_owned(), text: format!("use \"parts.site\"\n{site}") },
            Text { path: "parts.site".to_owned(), text: part.to_owned() },
        ];
        [here, there].map(|texts| {
            let found = check_texts(&texts).findings;
            let ours = |rule: &str| found.iter().filter(|finding| finding.rule == rule).count();
            (ours("unknown-terminal"), ours("channel-unknown"))
        })
    };
    assert_eq!(missing(part), [(0, 0); 2]);
    // What the part does not have is missing.
    assert_eq!(missing(&part.replace("in2", "in4")), [(1, 0); 2]);
    assert_eq!(missing(&part.replace("channel4", "channel2")), [(0, 1); 2]);
    // What a line may have been to say is not.
    let unread = part.replace("inputs in1", "inputs in7\n    inptus in1");
    assert_eq!(missing(&unread), [(0, 0); 2]);
    let unread = part.replace("channels channel1", "channels channel1\n    chanels channel1");
    assert_eq!(missing(&unread), [(0, 0); 2]);
}
