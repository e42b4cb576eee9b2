//! `curtilage rules`.

use crate::arguments::{Rules, Style};
use crate::{Ending, output};
use curtilage_rules::{RULES, Rule};
use serde::Serialize;
use std::fmt::Write;
use std::io;

#[derive(Serialize)]
struct Entry {
    rule: &'static str,
    family: &'static str,
    level: &'static str,
    about: &'static str,
}

impl From<&Rule> for Entry {
    fn from(rule: &Rule) -> Self {
        Self {
            rule: rule.name,
            family: rule.family.word(),
            level: rule.level.word(),
            about: rule.about,
        }
    }
}

pub(crate) fn run(arguments: &Rules) -> io::Result<Ending> {
    let entries: Vec<Entry> = RULES.iter().map(|rule| Entry::from(*rule)).collect();
    let text = match arguments.format {
        Style::Json => {
            let mut text = serde_json::to_string_pretty(&entries).map_err(io::Error::other)?;
            text.push('\n');
            text
        }
        Style::Human => {
            let mut families: Vec<_> = RULES.iter().map(|rule| rule.family).collect();
            families.sort_unstable();
            families.dedup();
            let mut out = String::new();
            let width = RULES.iter().map(|rule| rule.name.len()).max().unwrap_or(0);
            for family in families {
                let _ = writeln!(out, "{}", family.word());
                for entry in entries.iter().filter(|entry| entry.family == family.word()) {
                    let Entry { rule, level, about, .. } = entry;
                    let _ = writeln!(out, "    {rule:<width$}  {level:<7}  {about}");
                }
                out.push('\n');
            }
            out
        }
    };
    output::print(text.as_bytes())?;
    Ok(Ending::Clean)
}
