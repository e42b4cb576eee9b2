//! The papers that a site needs, from its facts: tables as data, drawings in SVG, test sheets; put
//! out as HTML, CSV and Markdown. Pure: facts in, texts out; `project` writes them.
//!
//! Every figure is read from [`Facts`] and worded here, once, for every
//! form of the papers.

mod cautions;
pub mod csv;
mod draw;
mod html;
mod markdown;
mod papers;
mod record;
mod sheet;
mod table;
mod tables;
#[cfg(test)]
mod testing;
#[cfg(test)]
mod tests;
mod wires;
mod words;

pub use draw::Figure;
pub use draw::timeline;
pub use papers::{File, Papers, Section};
pub use record::{
    Change, Entry, Filled, Refused, Remark, Taken, last_ones, read as read_sheet, take,
};
pub use table::{Cell, Kind, Shape, Table};
pub use words::window as meter_window;

use curtilage_facts::Facts;

/// The tables of what a site amounts to, without its papers: hours, loops, contacts, power, battery
/// and footage.
#[must_use]
pub fn figures(facts: &Facts<'_, '_>) -> Vec<Table> {
    let mut out = vec![
        tables::hours::table(facts),
        tables::loops::table(facts),
        tables::contacts::table(facts),
    ];
    for (power, standby) in facts.power.iter().zip(&facts.standby) {
        out.push(tables::supplies::consumers(facts, power));
        out.extend(standby.as_ref().map(|standby| tables::batteries::table(facts, power, standby)));
    }
    out.extend(facts.stores.iter().filter_map(|store| tables::footage::store(facts, store)));
    out
}

/// A name for a file or an anchor: letters, digits and hyphens of ASCII, never empty, never long.
fn slug(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars().take(60) {
        match letter {
            'a'..='z' | '0'..='9' | '-' => out.push(letter),
            'A'..='Z' => out.push(letter.to_ascii_lowercase()),
            // What ASCII does not have keeps its number, so that two names stay two.
            other if other.is_alphanumeric() => out.push_str(&format!("u{:x}", u32::from(other))),
            _ => out.push('-'),
        }
    }
    if out.is_empty() { "none".to_owned() } else { out }
}

/// A letter that changes nothing but itself: what controls a line, a terminal or the direction of
/// text is shown as a sign.
fn plain(letter: char) -> char {
    match letter {
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            '\u{fffd}'
        }
        '\n' | '\r' | '\t' => ' ',
        other if other.is_control() || ('\u{fffe}'..='\u{ffff}').contains(&other) => '\u{fffd}',
        other => other,
    }
}
