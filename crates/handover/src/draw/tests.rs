//! No drawing has text on text, text on a stroke, or text outside its edges.

use super::canvas::{Area, Canvas};
use crate::testing::{DAY, ODD, examples, large, site, with_file, with_text};
use crate::{Figure, Papers};
use curtilage_facts::Facts;
use curtilage_facts::events::Show;
use proptest::prelude::*;

fn overlap(a: Area, b: Area) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Whether a stroke passes through a box (Liang and Barsky 1984, from memory).
fn crosses([x1, y1, x2, y2]: Area, [left, top, right, bottom]: Area) -> bool {
    let (dx, dy) = (x2 - x1, y2 - y1);
    let (mut enter, mut leave) = (0.0f64, 1.0f64);
    for (p, q) in [(-dx, x1 - left), (dx, right - x1), (-dy, y1 - top), (dy, bottom - y1)] {
        if p == 0.0 {
            if q < 0.0 {
                return false;
            }
        } else if p < 0.0 {
            enter = enter.max(q / p);
        } else {
            leave = leave.min(q / p);
        }
    }
    enter < leave
}

#[test]
fn a_stroke_through_a_box_is_seen() {
    let area = [10.0, 10.0, 20.0, 20.0];
    assert!(crosses([0.0, 15.0, 30.0, 15.0], area));
    assert!(crosses([0.0, 0.0, 30.0, 30.0], area));
    assert!(crosses([12.0, 12.0, 13.0, 13.0], area));
    assert!(!crosses([0.0, 9.0, 30.0, 9.0], area));
    assert!(!crosses([0.0, 15.0, 9.0, 15.0], area));
}

/// What is wrong with a drawing.
fn faults(canvas: &Canvas) -> Vec<String> {
    let mut out = Vec::new();
    let (width, height) = canvas.extent();
    for (at, one) in canvas.texts.iter().enumerate() {
        let [left, top, right, bottom] = one.area;
        if left < 0.0 || top < 0.0 || right > width || bottom > height {
            out.push(format!("`{}` leaves the drawing: {:?}", one.text, one.area));
        }
        for other in canvas.texts.iter().skip(at + 1) {
            if overlap(one.area, other.area) {
                out.push(format!("`{}` lies on `{}`", one.text, other.text));
            }
        }
        let inner = [left + 0.5, top + 0.5, right - 0.5, bottom - 0.5];
        for stroke in canvas.strokes.iter().filter(|stroke| crosses(**stroke, inner)) {
            out.push(format!("a stroke {stroke:?} crosses `{}` {:?}", one.text, one.area));
        }
    }
    out
}

fn figures(facts: &Facts<'_, '_>) -> Vec<Figure> {
    let papers = Papers::new(facts, Some(DAY));
    let sections = papers.into_iter().flat_map(|papers| papers.sections);
    sections.flat_map(|section| section.figures).collect()
}

#[track_caller]
fn legible(of: &str, figures: &[Figure]) {
    for figure in figures {
        for canvas in figure.parts.iter().chain(&figure.whole) {
            let faults = faults(canvas);
            assert!(
                faults.is_empty(),
                "{of}, {}: {:#?}",
                figure.id,
                &faults[..faults.len().min(6)]
            );
            assert!(!canvas.texts.is_empty(), "{of}, {} says nothing", figure.id);
        }
    }
}

#[test]
fn every_drawing_of_every_example_is_legible() {
    let mut count = 0;
    for path in examples("sites").into_iter().chain(examples("faulty")) {
        let figures = with_file(&path, figures);
        count += figures.len();
        legible(&path, &figures);
    }
    assert!(count > 100, "{count}");
}

#[test]
fn the_drawings_of_the_examples_cut_no_name_of_what_is_wired_or_done() {
    let mut count = 0;
    for path in examples("sites") {
        let figures = with_file(&path, figures);
        let wanted = |figure: &&Figure| figure.id.starts_with("wiring-") || figure.id == "week";
        for figure in figures.iter().filter(wanted) {
            let texts = figure.parts.iter().flat_map(|canvas| &canvas.texts);
            let cut: Vec<&str> = texts
                .map(|one| one.text.as_str())
                .filter(|text| text.contains('\u{2026}'))
                .collect();
            assert!(cut.is_empty(), "{path}, {}: {cut:?}", figure.id);
            count += 1;
        }
    }
    assert!(count > 20, "{count}");
}

#[test]
fn cores_and_joints_stand_where_a_cable_is_named() {
    let text = "use \"../parts/general.site\"\nsite a \"A\" {\n    timezone Europe/Lisbon\n}\nsupply main is boxed-supply-12v-5a {\n}\ncontroller panel is panel-16-in-6-out {\n    fed from main over 9 m of six-core-0.22, 3 cores each way, 2 joints\n}\n";
    let found = with_text(text, figures);
    for id in ["wiring-panel", "hangs-on-main"] {
        let figure = found.iter().find(|figure| figure.id == id).unwrap();
        let mut texts = figure.parts.iter().flat_map(|canvas| &canvas.texts);
        let wanted = "W01, 9 m of six-core-0.22, 3 cores each way, 2 joints";
        assert!(texts.any(|one| one.text.starts_with(wanted)), "{id}");
    }
}

#[test]
fn sixty_four_zones_are_legible() {
    let figures = with_text(&large(64), figures);
    legible("64 zones", &figures);
    let sheets = figures.iter().filter(|figure| figure.id.starts_with("wiring-"));
    assert_eq!(sheets.count(), 4);
}

#[test]
fn texts_of_any_kind_and_holes_are_legible() {
    legible("odd", &with_text(ODD, figures));
}

const CREAMERY: &str = include_str!("../../../../examples/sites/saltmarsh-creamery.site");
const HOUSE: &str = include_str!("../../../../examples/sites/private-house.site");

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    #[test]
    fn a_site_with_mistakes_has_whole_papers_and_legible_drawings(
        which in 0usize..3,
        cut in 0usize..400,
        lines in 1usize..4,
        letter in "[{}\"#.0-9a-z \u{202e}]",
        at in 0usize..12_000,
    ) {
        let text = [CREAMERY, HOUSE, ODD][which];
        let kept = text.lines().enumerate().filter(|(line, _)| !(cut..cut + lines).contains(line));
        let mut text: String = kept.flat_map(|(_, line)| [line, "\n"]).collect();
        text.insert_str(text.floor_char_boundary(at.min(text.len())), &letter);
        let papers = with_text(&text, |facts| Papers::new(facts, Some(DAY)));
        for (name, text) in papers.iter().flat_map(Papers::files) {
            let end = match name.rsplit('.').next() {
                Some("html") => "</html>\n",
                Some("svg") => "</svg>\n",
                _ => "\n",
            };
            prop_assert!(text.ends_with(end), "{}", name);
        }
        let figures = papers.into_iter().flat_map(|papers| papers.sections);
        let figures: Vec<Figure> = figures.flat_map(|section| section.figures).collect();
        legible("a site with mistakes", &figures);
    }
}

#[test]
fn a_zone_that_is_tampered_with_and_active_has_two_rows() {
    let text = site(
        "zone door is window-reed {\n    purpose intrusion\n    wired to panel.in1 over 8 m of six-core-0.22\n    tamper to panel.in2 over 8 m of six-core-0.22\n    armed always\n    registers once an activation\n}\nresponse to tamper of door {\n    tell owner\n}\nrehearsal \"a\" {\n    Mon 10:00  door tampered\n    Mon 10:05  door restored\n    Mon 10:10  door active for 1 min\n    expect  owner told\n}\nrehearsal \"b\" {\n    Mon 10:00  door tampered\n    Mon 10:05  door restored\n    expect  owner told\n}\n",
    );
    let rows = with_text(&text, |facts| {
        let all = facts.rehearsed().iter().zip(&facts.model.rehearsals);
        let rows = all.map(|(rehearsed, rehearsal)| {
            let drawing = rehearsed.drawing(facts.model, rehearsal, Show::Everything).unwrap();
            drawing.rows.into_iter().map(|row| (row.name, row.state)).collect::<Vec<_>>()
        });
        rows.collect::<Vec<_>>()
    });
    let row = |name: &str, state| (name.to_owned(), state);
    let active = [row("door", "active"), row("tamper of door", "tampered"), row("owner", "")];
    assert_eq!(rows, [active.to_vec(), vec![row("door", "tampered"), row("owner", "")]]);
}
