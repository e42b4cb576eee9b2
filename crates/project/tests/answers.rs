//! The answers that hold for every story agree with the closed forms of the rules, and each story
//! that an answer shows comes out as told when it is pasted into its file.

#![allow(clippy::unwrap_used, reason = "a test")]

use curtilage_facts::events::{Outcome, Path as Way};
use curtilage_facts::{Facts, Options};
use curtilage_project::{Loader, scope};
use curtilage_syntax::tree::part::ActiveFor;
use curtilage_testkit::{TODAY, root, site_files};
use std::path::{Path, PathBuf};

const OPTIONS: Options = Options { today: TODAY };

fn all() -> Vec<PathBuf> {
    [site_files("examples/sites"), site_files("examples/faulty")].concat()
}

fn with<T>(loader: &Loader, path: &Path, ask: impl FnOnce(&Facts<'_, '_>) -> T) -> Option<T> {
    let scope = scope(loader, path).ok()?;
    let model = curtilage_model::build(&scope);
    Some(ask(&Facts::new(&model, OPTIONS)))
}

/// `endless-retrigger` is a closed form; the search knows nothing of it.
#[test]
fn the_search_agrees_with_the_closed_form() {
    let (mut endless, mut ends, mut open) = (0, 0, Vec::new());
    for path in all() {
        let loader = Loader::new(root());
        with(&loader, &path, |facts| {
            if facts.plant().is_err() {
                return;
            }
            let findings = curtilage_rules::check(facts);
            let zones = facts.model.zones_by_id().zip(&facts.registering);
            for ((id, zone), registering) in zones {
                let name = zone.name.text;
                // The closed form speaks of these alone.
                let asked = registering.active == Some(ActiveFor::UntilRestored)
                    && registering.level.is_some()
                    && !registering.responses.is_empty()
                    && zone.tree.confirmed.is_none();
                if !asked {
                    continue;
                }
                let rule = findings.iter().any(|finding| {
                    finding.rule == "endless-retrigger" && finding.about.iter().any(|n| n == name)
                });
                // An exception hides the finding and not the fact.
                let excepted = facts.model.allows.iter().any(|allow| {
                    allow.rule.text == "endless-retrigger"
                        && allow.on.is_none_or(|on| on.text == name)
                });
                match facts.held_for_ever(id) {
                    Ok(found) => {
                        let shown = path.display();
                        // A ring goes on whoever is held, and is told as `feedback`.
                        let ring = facts.feedback().iter().any(|ring| {
                            ring.zones.contains(&id) && matches!(ring.answer, Ok(Some(_)))
                        });
                        let agrees = found.is_some() == (rule || ring);
                        assert!(excepted || agrees, "{shown}: {name} {found:?}");
                        *(if found.is_some() { &mut endless } else { &mut ends }) += 1;
                    }
                    // Many sensors decide about an output, and so about what follows it.
                    Err(_) if zone.follows.is_some() => {}
                    Err(why) => open.push(format!("{}: {name}: {why}", path.display())),
                }
            }
        });
    }
    assert!(endless >= 2 && ends >= 40, "{endless} endless, {ends} that end");
    assert_eq!(open, Vec::<String>::new());
}

#[test]
fn no_clean_site_keeps_itself_going_and_that_is_known() {
    for path in site_files("examples/sites") {
        with(&Loader::new(root()), &path, |facts| {
            for ring in facts.feedback() {
                assert!(matches!(ring.answer, Ok(None)), "{}: {ring:?}", path.display());
            }
        });
    }
}

#[test]
fn every_story_fails_when_it_is_pasted() {
    let mut pasted = 0;
    for path in all() {
        let loader = Loader::new(root());
        let blocks = with(&loader, &path, |facts| {
            let keeps = facts.feedback().iter().filter_map(|ring| ring.answer.clone().ok()?);
            let held = facts.model.zones_by_id().filter_map(|(id, _)| facts.held_story(id));
            let stories = keeps.filter_map(|keeps| keeps.story).chain(held);
            stories.map(|story| story.block).collect::<Vec<_>>()
        });
        for block in blocks.unwrap_or_default() {
            let text = std::fs::read_to_string(&path).unwrap();
            let mut loader = Loader::new(root());
            loader.overlay(path.clone(), format!("{text}\n{block}\n"));
            with(&loader, &path, |facts| {
                let last = facts.rehearsed().last().unwrap();
                assert!(last.played.is_ok(), "{block}");
                let fails = |outcome: &Outcome| matches!(outcome, Outcome::Fails { .. });
                assert!(last.outcomes.iter().all(fails), "{block}");
                let told = curtilage_rules::check(facts);
                assert!(told.iter().any(|finding| finding.rule == "rehearsal-fails"), "{block}");
            });
            pasted += 1;
        }
    }
    assert!(pasted >= 1);
}

/// The fix is worded by a closed form; the search says whether it mends.
#[test]
fn a_zone_with_the_fix_comes_to_an_end() {
    let mut mended = 0;
    for path in site_files("examples/faulty") {
        let fixes = with(&Loader::new(root()), &path, |facts| {
            let told = curtilage_rules::check(facts).into_iter();
            told.filter(|finding| finding.rule == "endless-retrigger")
                .flat_map(|finding| {
                    let name = finding.about.first().cloned().unwrap_or_default();
                    finding.fixes.into_iter().map(move |fix| (name.clone(), fix))
                })
                .collect::<Vec<_>>()
        });
        for (name, fix) in fixes.unwrap_or_default() {
            let mut text = std::fs::read_to_string(&path).unwrap();
            let edit = fix.edits.first().unwrap();
            text.replace_range(edit.at.span.start as usize..edit.at.span.end as usize, &edit.text);
            let mut loader = Loader::new(root());
            loader.overlay(path.clone(), text);
            with(&loader, &path, |facts| {
                let mut zones = facts.model.zones_by_id();
                let (id, _) = zones.find(|(_, zone)| zone.name.text == name).unwrap();
                let ring = facts.feedback().iter().any(|ring| ring.zones.contains(&id));
                let held = facts.held_for_ever(id);
                assert!(ring || matches!(held, Ok(None)), "{}: {name}: {held:?}", path.display());
            });
            mended += 1;
        }
    }
    assert!(mended >= 1, "no fix was tried");
}

#[test]
fn the_ways_back_of_the_museum_are_seen() {
    let path = root().join("examples/sites/museum.site");
    with(&Loader::new(root()), &path, |facts| {
        let plant = facts.plant().unwrap();
        assert!(plant.system.feedback().count() > 0);
        let follows = facts.feedback().iter().flat_map(|ring| &ring.paths);
        // None of them comes round: no ring has a way of either kind.
        assert_eq!(follows.filter(|(_, _, way)| matches!(way, Way::Follows(_))).count(), 0);
    });
}
