//! The papers of a site, put together from its facts.

use crate::cautions;
use crate::draw::{self, Figure};
use crate::sheet;
use crate::table::{Cell, Table};
use crate::tables::{
    assumptions, batteries, cables, contacts, findings, footage, hours, labels, loops, materials,
    matrix, outputs, site, supplies, terminals, zones,
};
use crate::wires::Wires;
use crate::{csv, html, markdown, words};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Facts, assumed};
use curtilage_syntax::tree::Date;

/// A section of the papers.
pub struct Section {
    /// Its anchor.
    pub id: &'static str,
    /// Its title.
    pub title: &'static str,
    /// Whether it begins on a new sheet of paper.
    pub fresh: bool,
    /// What has to be known first.
    pub intro: Vec<String>,
    /// What can hurt somebody who works from it.
    pub cautions: Vec<String>,
    /// Its tables.
    pub tables: Vec<Table>,
    /// Its drawings.
    pub figures: Vec<Figure>,
}

/// The papers of one site.
pub struct Papers {
    /// The title of the site.
    pub title: String,
    /// The day that they are for, when one was given.
    pub date: Option<String>,
    /// Why nobody should work from them, when the site has errors.
    pub unfit: Option<String>,
    /// The sections, in order.
    pub sections: Vec<Section>,
    /// The commissioning sheet, to be filled in.
    pub sheet: Table,
}

/// A file of the papers: its path below the folder, with `/`, and its text.
pub type File = (String, String);

impl Papers {
    /// Puts the papers together; none when the model has no site. A day is printed only when it is
    /// given.
    #[must_use]
    pub fn new(facts: &Facts<'_, '_>, date: Option<Date>) -> Option<Self> {
        let named = facts.model.site.as_ref()?;
        let found = curtilage_rules::check(facts);
        let unfit = unfit(&found);
        let wires = Wires::of(facts.model);
        let groups = sheet::groups(facts);
        let mut sections = vec![
            summary(facts, &found),
            Section { tables: vec![zones::table(facts)], ..section("zones", "Zones") },
            Section {
                tables: vec![matrix::table(facts)],
                figures: draw::graph::figures(facts).into_iter().collect(),
                ..section("effects", "Cause and effect")
            },
            wiring(facts, &wires),
            Section {
                cautions: vec![cautions::ISOLATE.to_owned()],
                tables: vec![loops::table(facts)],
                ..section("readings", "Meter readings")
            },
            Section {
                cautions: cautions::hearing(facts),
                tables: vec![outputs::table(facts), contacts::table(facts)],
                ..section("outputs-and-loads", "Outputs and loads")
            },
            power(facts, &wires),
            Section {
                tables: vec![hours::schedules(facts), hours::table(facts)],
                figures: draw::week::figure(facts).into_iter().collect(),
                ..section("arming", "Arming")
            },
            recording(facts),
            Section {
                tables: vec![
                    materials::table(facts, &wires),
                    materials::cables(facts, &wires),
                    labels::table(facts, &wires),
                ],
                ..section("bill", "Materials and labels")
            },
            Section {
                figures: draw::timeline::figures(facts),
                ..section("rehearsals", "Rehearsals")
            },
            commissioning(facts, &groups),
            Section {
                intro: cautions::LIMITS.iter().map(|text| (*text).to_owned()).collect(),
                fresh: true,
                tables: vec![assumptions::table(facts)],
                ..section("assumed", "What was assumed")
            },
        ];
        sections.retain(|section| !section.tables.is_empty() || !section.figures.is_empty());
        if unfit.is_some() {
            for figure in sections.iter_mut().flat_map(|section| &mut section.figures) {
                figure.unfit = true;
            }
        }
        unique(&mut sections);
        Some(Self {
            title: named.title.unwrap_or(named.name.text).to_owned(),
            date: date.map(|day| format!("{:04}-{:02}-{:02}", day.year, day.month, day.day)),
            unfit,
            sections,
            sheet: sheet::fillable(facts.model, &groups),
        })
    }

    /// Every file of the papers, in the order of their paths.
    #[must_use]
    pub fn files(&self) -> Vec<File> {
        let unfit = self.unfit.as_deref();
        let mut out = vec![
            ("papers.html".to_owned(), html::document(self)),
            ("papers.md".to_owned(), markdown::document(self)),
            ("commissioning.csv".to_owned(), csv::write(&self.sheet, unfit)),
        ];
        for section in &self.sections {
            // The sheet stands in a file of its own, to be filled in.
            let apart = |table: &&Table| {
                !table.rows.is_empty() && !table.id.starts_with("sheet-") && table.id != "signed"
            };
            for table in section.tables.iter().filter(apart) {
                out.push((format!("tables/{}.csv", table.id), csv::write(table, unfit)));
            }
            for figure in &section.figures {
                out.push((format!("drawings/{}.svg", figure.id), figure.file()));
            }
        }
        out.sort();
        out
    }
}

/// Names of files and anchors are made safe, and each is there once.
fn unique(sections: &mut [Section]) {
    let mut taken: std::collections::BTreeSet<String> =
        sections.iter().map(|section| format!("section-{}", section.id)).collect();
    let mut take = |id: &mut String| {
        let plain = crate::slug(id);
        let free = |id: &String| !taken.contains(id);
        let numbered = (2u32..).map(|number| format!("{plain}-{number}"));
        let found = std::iter::once(plain.clone()).chain(numbered).find(free).unwrap_or(plain);
        taken.insert(found.clone());
        *id = found;
    };
    for section in sections {
        section.tables.iter_mut().for_each(|table| take(&mut table.id));
        section.figures.iter_mut().for_each(|figure| take(&mut figure.id));
    }
}

fn section(id: &'static str, title: &'static str) -> Section {
    let (tables, figures) = (Vec::new(), Vec::new());
    Section { id, title, fresh: false, intro: Vec::new(), cautions: Vec::new(), tables, figures }
}

fn unfit(found: &[Diagnostic]) -> Option<String> {
    let errors = found.iter().filter(|finding| finding.level == Level::Error).count();
    let count = match errors {
        0 => return None,
        1 => "1 error is".to_owned(),
        errors => format!("{errors} errors are"),
    };
    Some(format!(
        "NOT FIT FOR WORK: {count} open in the site file. What is marked (!) is missing or wrong."
    ))
}

fn summary(facts: &Facts<'_, '_>, found: &[Diagnostic]) -> Section {
    let mut tables = vec![findings::table(facts, found), site::table(facts)];
    tables.extend(findings::working(found));
    Section {
        cautions: cautions::ALWAYS.iter().map(|text| (*text).to_owned()).collect(),
        tables,
        ..section("summary", "Summary")
    }
}

fn wiring(facts: &Facts<'_, '_>, wires: &Wires<'_>) -> Section {
    let ids = || facts.model.controllers_by_id().map(|(id, _)| id);
    let mut tables: Vec<Table> = ids().map(|id| terminals::table(facts, wires, id)).collect();
    tables.push(cables::table(wires));
    Section {
        intro: vec![
            "Commons of one name are one terminal, or are joined inside. The file does not say in which lead a contact breaks its load's current: the drawings show it in the positive one.".to_owned(),
        ],
        cautions: vec![cautions::ISOLATE.to_owned()],
        tables,
        fresh: true,
        figures: ids().filter_map(|id| draw::wiring::figure(facts, wires, id)).collect(),
        ..section("wiring", "Terminals and wiring")
    }
}

fn power(facts: &Facts<'_, '_>, wires: &Wires<'_>) -> Section {
    let mut tables = Vec::new();
    for (power, standby) in facts.power.iter().zip(&facts.standby) {
        tables.extend(supplies::tables(facts, power));
        tables.extend(supplies::working(facts, power));
        if let Some(standby) = standby {
            tables.push(batteries::table(facts, power, standby));
            tables.extend(batteries::working(facts, power, standby));
        }
    }
    Section {
        cautions: vec![cautions::BATTERY.to_owned(), cautions::MAINS.to_owned()],
        tables,
        figures: facts
            .power
            .iter()
            .filter_map(|power| draw::tree::figure(facts, wires, power))
            .collect(),
        ..section("power", "Supplies, cable drop and batteries")
    }
}

fn recording(facts: &Facts<'_, '_>) -> Section {
    let mut tables = Vec::new();
    if !facts.model.cameras.is_empty() {
        tables.push(footage::plan(facts));
    }
    tables.extend(facts.stores.iter().filter_map(|store| footage::store(facts, store)));
    Section { tables, ..section("footage", "Recording") }
}

fn commissioning(facts: &Facts<'_, '_>, groups: &[sheet::Group]) -> Section {
    let mut tables = vec![sheet::walk::table(facts)];
    tables.extend(sheet::tables(groups));
    let mut signed = Table::new("signed", "Signed", &["name", "date", "signature"]);
    signed.row(vec![Cell::fill(), Cell::fill(), Cell::fill()]);
    tables.push(signed);
    let mut list = vec![
        cautions::ISOLATE.to_owned(),
        cautions::BATTERY.to_owned(),
        "Tell whoever watches the site, and the neighbours, before anything is set off; tell them again when it is over.".to_owned(),
    ];
    list.extend(cautions::hearing(facts));
    Section {
        intro: vec![
            "The same sheet stands in `commissioning.csv`: fill in reading, pass, initials and date there, and `curtilage record commissioning.csv` takes the readings back into the site file.".to_owned(),
            format!(
                "The windows here allow for the meter, {}, and for its leads, {}; those of the meter readings above do not.",
                words::percent(assumed::METER),
                words::ohms(assumed::LEADS)
            ),
        ],
        cautions: list,
        fresh: true,
        tables,
        ..section("commissioning-sheet", "Commissioning")
    }
}
