//! Builds the facts of texts that are not on disk.
#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "shared by tests, each of which uses a part of it"
)]

use curtilage_facts::{Facts, Options, Power, Standby};
use curtilage_model::{Named, Scope, Source, build};
use curtilage_syntax::parse;
use curtilage_syntax::tree::Date;
use curtilage_text::FileId;
use std::sync::Arc;

/// Gives the facts of a text, behind the parts that the example sites share.
#[track_caller]
pub(crate) fn with_parts<T>(text: &str, look: impl FnOnce(&Facts<'_, '_>) -> T) -> T {
    let parts = include_str!("../../../../examples/parts/general.site");
    with(&[text, parts], look)
}

/// Gives the facts of the first of some texts, which sees the others.
#[track_caller]
pub(crate) fn with<T>(texts: &[&str], look: impl FnOnce(&Facts<'_, '_>) -> T) -> T {
    let source = |(index, text): (usize, &&str)| {
        let parsed = parse(text, &[]);
        assert!(parsed.faults.is_empty(), "{:?}", parsed.faults);
        let (file, path) = (FileId(u32::try_from(index).unwrap()), format!("{index}.site"));
        Arc::new(Source::new(file, path, (*text).to_owned(), parsed, None))
    };
    let files = texts.iter().enumerate().map(source).collect();
    let scope = Scope { files, ..Scope::default() };
    let model = build(&scope);
    let today = Date { year: 2026, month: 11, day: 25 };
    look(&Facts::new(&model, Options { today }))
}

/// The network of a supply.
#[track_caller]
pub(crate) fn power<'f, 'a>(facts: &'f Facts<'_, 'a>, name: &str) -> &'f Power<'a> {
    facts.power.iter().find(|power| supply(facts, power) == name).unwrap()
}

fn supply<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>) -> &'a str {
    facts.model.supply(power.supply).unwrap().name.text
}

/// The standby of a supply.
#[track_caller]
pub(crate) fn standby<'f, 'a>(facts: &'f Facts<'_, 'a>, name: &str) -> &'f Standby<'a> {
    let power = facts.power.iter().position(|power| supply(facts, power) == name).unwrap();
    facts.standby.get(power).unwrap().as_ref().unwrap()
}

/// The lowest and the highest voltage of a consumer's first draw, V.
#[track_caller]
pub(crate) fn volts(facts: &Facts<'_, '_>, supply: &str, of: &str) -> (f64, f64) {
    let power = power(facts, supply);
    let named = |name: Named<'_>| name.text == of;
    let drawing = power.drawings.iter().find(|one| named(one.of.name(facts.model))).unwrap();
    let low = power.lowest(drawing).unwrap().unwrap().0;
    (low, power.highest(drawing).unwrap().unwrap().0)
}

/// Whether two figures agree to a share of the second.
#[track_caller]
pub(crate) fn near(got: f64, want: f64, share: f64) {
    assert!((got - want).abs() <= share * want.abs(), "{got}, wanted {want}");
}

/// Numbers that look like chance and are the same on every run.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn roll(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        usize::try_from(self.0 >> 33).unwrap() % below
    }

    pub(crate) fn pick<'t>(&mut self, list: &[&'t str]) -> &'t str {
        list.get(self.roll(list.len())).unwrap()
    }
}

/// A text as a file, its faults included.
pub(crate) fn source(file: u32, text: &str) -> Arc<Source> {
    let path = format!("{file}.site");
    Arc::new(Source::new(FileId(file), path, text.to_owned(), parse(text, &[]), None))
}
