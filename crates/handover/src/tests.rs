//! The papers as a whole: any site gives them, holes are marked, and what is large stays possible.

use crate::testing::{DAY, ODD, examples, large, with_file, with_text};
use crate::{Kind, Papers, Table};

fn papers(facts: &curtilage_facts::Facts<'_, '_>) -> Option<Papers> {
    Papers::new(facts, Some(DAY))
}

#[test]
fn every_table_has_whole_rows_and_a_name_of_its_own() {
    for path in examples("sites").into_iter().chain(examples("faulty")) {
        let Some(papers) = with_file(&path, papers) else { continue };
        let tables: Vec<&Table> = papers.sections.iter().flat_map(|one| &one.tables).collect();
        let mut names: Vec<String> = papers.files().into_iter().map(|(name, _)| name).collect();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count, "{path}");
        for table in tables {
            for row in &table.rows {
                assert_eq!(row.len(), table.head.len(), "{path}, {}", table.id);
            }
        }
    }
}

#[test]
fn a_clean_site_has_no_holes_and_is_fit() {
    for path in examples("sites") {
        let papers = with_file(&path, papers).unwrap();
        assert_eq!(papers.unfit, None, "{path}");
        for table in papers.sections.iter().flat_map(|section| &section.tables) {
            let holes = table.rows.iter().flatten().chain(&table.notes);
            let holes: Vec<&str> = holes
                .filter(|cell| cell.kind == Kind::Hole)
                .map(|cell| cell.text.as_str())
                .collect();
            // What is no error may still be worth a sign: an alternating current, a thing that is
            // counted nowhere.
            assert!(holes.len() < 12, "{path}, {}: {holes:#?}", table.id);
        }
    }
}

#[test]
fn what_is_missing_is_marked() {
    let papers = with_text(ODD, papers).unwrap();
    assert!(papers.unfit.is_some());
    let holes = |id: &str| {
        let tables = papers.sections.iter().flat_map(|section| &section.tables);
        tables.filter(|table| table.id.starts_with(id)).map(Table::holes).sum::<usize>()
    };
    for table in ["findings", "zones", "terminals-gone", "cables", "loops", "outputs", "materials"]
    {
        assert!(holes(table) > 0, "{table}");
    }
}

#[test]
fn five_hundred_zones_have_papers() {
    let papers = with_text(&large(500), papers).unwrap();
    assert_eq!(papers.unfit.as_deref(), None);
    let zones = papers.sections.iter().flat_map(|one| &one.tables).find(|one| one.id == "zones");
    assert_eq!(zones.unwrap().rows.len(), 500);
    // Each response is set off once by a zone of its own, and no walk needs fewer.
    let walk = papers.sections.iter().flat_map(|one| &one.tables).find(|one| one.id == "walk");
    let walk = walk.unwrap();
    assert_eq!(walk.rows.len(), 125);
    assert_eq!(walk.notes[0].text, "125 activations set off 125 of 125 responses");
    assert!(walk.notes[1].text.starts_with("no walk needs fewer"), "{:?}", walk.notes);
    assert!(papers.files().len() > 100);
}

#[test]
fn a_load_that_does_not_say_what_it_is_to_a_contact() {
    let site = |kind: &str| {
        format!(
            "site a {{\n timezone Europe/Lisbon\n ambient 5 to 30 degC\n}}\n\
             part box is supply {{\n gives 12 V dc\n}}\n\
             part panel is controller {{\n relays relay1 make\n relay 1 A at 30 V dc\n}}\n\
             part thing is load {{\n draws 0.9 A\n{kind}}}\n\
             supply main is box\ncontroller head is panel {{\n fed from main\n}}\n\
             output one drives thing {{\n through head.relay1\n fed from main\n}}\n"
        )
    };
    let used = |kind: &str| {
        let papers = with_text(&site(kind), papers).unwrap();
        let mut tables = papers.sections.iter().flat_map(|section| &section.tables);
        let contacts = tables.find(|table| table.id == "contacts").unwrap();
        contacts.rows[0].last().unwrap().text.clone()
    };
    assert_eq!(used(" resistive\n"), "90 %");
    assert_eq!(used(""), "90 %, if it counts as resistive");
}
