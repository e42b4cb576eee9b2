//! What single tables say, of small sites.

use super::{assumptions, labels, outputs, supplies};
use crate::table::{Cell, Kind, Table};
use crate::testing::{site, with_text};
use crate::wires::Wires;

/// A column of a table by what stands in the first.
fn column(table: &Table, at: usize) -> Vec<(String, String)> {
    let text = |row: &[Cell], at: usize| {
        row.get(at).map_or_else(String::new, |cell| match cell.kind {
            Kind::Hole => format!("(!) {}", cell.text),
            _ => cell.text.clone(),
        })
    };
    table.rows.iter().map(|row| (text(row, 0), text(row, at))).collect()
}

#[test]
fn the_longest_run_of_an_output_looks_at_every_cause() {
    let output = |name: &str, relay: usize, more: &str| {
        format!(
            "output {name} drives strobe-12v {{\n    through panel.relay{relay}\n    fed from main over 2 m of pair-1.5\n{more}}}\n"
        )
    };
    let text = site(
        &[
            "zone door is window-reed {\n    purpose intrusion\n    wired to panel.in1 over 8 m of six-core-0.22\n    armed always\n}\n".to_owned(),
            output("edge", 1, ""),
            output("loss", 2, ""),
            output("short", 3, "    runs at most 30 s\n"),
            output("off", 4, "    mode forced off\n"),
            output("idle", 5, ""),
            "response to door {\n    close edge for 3 s\n    close loss for 2 min\n    close short for 1 min\n    close off for 1 min\n}\n".to_owned(),
            "response to end of selling {\n    close edge for 45 min\n}\n".to_owned(),
            "response to loss of main {\n    close loss\n}\n".to_owned(),
        ]
        .concat(),
    );
    let found = with_text(&text, |facts| column(&outputs::table(facts), 9));
    let wanted = [
        ("edge", "45 min"),
        ("loss", "until something switches it off"),
        ("short", "30 s: it runs no longer"),
        ("off", "stays off: it is forced off"),
        ("idle", ""),
    ];
    assert_eq!(found, wanted.map(|(name, longest)| (name.to_owned(), longest.to_owned())));
}

#[test]
fn a_fuse_that_is_too_small_is_marked() {
    let text = site(
        "cable trunk is pair-1.5 {\n    from main\n    fuse 50 mA\n    tap end at 10 m from start\n}\noutput lamp drives strobe-12v {\n    through panel.relay1\n    fed from trunk.end\n}\nresponse to start of selling {\n    close lamp for 1 h\n}\n",
    );
    let found = with_text(&text, |facts| {
        let power = &facts.power[0];
        let tables = supplies::tables(facts, power);
        column(tables.iter().find(|table| table.id == "fuses-main").unwrap(), 2)
    });
    assert_eq!(found.len(), 1);
    assert!(found[0].1.starts_with("(!) ") && found[0].1.ends_with("A: too much"), "{found:?}");
}

#[test]
fn a_title_is_shown_as_it_is_meant() {
    let text = site(
        "supply other \"Box \\\"B\\\"\" is boxed-supply-12v-5a {\n}\nrelay far \"At \\\"C\\\"\" is relay-12v-16a {\n}\ncamera eye \"Over \\\"D\\\"\" on head.channel1\ncontroller head \"Rack \\\\ 1\" is recorder-4-in-2-out {\n}\npolicy house {\n    waste 10 % from \"clause \\\"4\\\"\"\n}\n",
    );
    let (labels, assumed) = with_text(&text, |facts| {
        let labels = labels::table(facts, &Wires::of(facts.model));
        let labels: Vec<_> = column(&labels, 1)
            .into_iter()
            .zip(column(&labels, 2))
            .map(|(a, b)| (a.1, b.1))
            .collect();
        (labels, column(&assumptions::table(facts), 1))
    });
    for (thing, title) in [
        ("other", "Box \"B\""),
        ("far", "At \"C\""),
        ("eye", "Over \"D\", head.channel1"),
        ("head", "Rack \\ 1"),
    ] {
        assert!(labels.contains(&(thing.to_owned(), title.to_owned())), "{thing}: {labels:?}");
    }
    assert!(assumed.iter().any(|(_, source)| source == "clause \"4\""), "{assumed:?}");
}

#[test]
fn a_voltage_that_is_not_there_has_its_reason() {
    let output = |name: &str, cable: &str, mode: &str| {
        format!(
            "output {name} drives strobe-12v {{\n    through panel.relay1\n    fed from main over 2000 m of {cable}\n{mode}}}\n"
        )
    };
    let text = site(
        &[
            output("dark", "pair-1.5", "    mode forced off\n"),
            output("far", "pair-0.75", "").replace("relay1", "relay2"),
            output("open", "hair", "").replace("relay1", "relay3"),
            "part hair is cable {\n    cores 2\n}\n".to_owned(),
            "response to start of selling {\n    close far for 1 h\n    close open for 1 h\n}\n"
                .to_owned(),
        ]
        .concat(),
    );
    let found = with_text(&text, |facts| column(&supplies::consumers(facts, &facts.power[0]), 3));
    let says = |name: &str| found.iter().find(|(of, _)| of == name).map(|(_, says)| says.as_str());
    assert_eq!(says("dark"), Some("never on"));
    assert_eq!(says("far"), Some("(!) not known: its voltage collapses"));
    let open = says("open").unwrap();
    assert!(open.starts_with("(!) not known: the part `hair` gives neither"), "{open}");
}
