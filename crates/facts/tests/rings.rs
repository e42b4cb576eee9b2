//! Rings of random times: what is found by playing one story is not denied by the search, what is
//! denied is denied by both, and every story that is shown fails when it is put into the file.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

use curtilage_events::explorer::{Answer, Bounds, Explorer};
use curtilage_facts::{Facts, Options};
use curtilage_model::{Cause, Model, Scope, Source, build};
use curtilage_syntax::parse;
use curtilage_syntax::tree::Date;
use curtilage_text::FileId;
use std::sync::Arc;

const OPTIONS: Options = Options { today: Date { year: 2026, month: 11, day: 25 } };

/// Numbers that look random and are always the same.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        usize::try_from(self.0 >> 33).unwrap() % end
    }

    fn of<'t>(&mut self, words: &[&'t str]) -> &'t str {
        words[self.below(words.len())]
    }
}

fn site(numbers: &mut Numbers) -> String {
    let on_time = numbers.of(&[
        "lockout then hold",
        "hold from registration",
        "longer of lockout and hold",
        "hold retriggered",
    ]);
    let mut text = format!(
        "part eye is sensor {{\n    rests  closed\n    active  {}\n    disturbed  by light\n}}\n\
         part lamp is load {{\n    gives  light\n}}\n\
         part panel is controller {{\n    inputs  in1 to in4 common gnd\n    settles  in {}\n    \
         repeats  as the zone says\n    relays  relay1 to relay4 changeover\n    on-time  {on_time}\n}}\n\
         site yard {{\n    timezone  Europe/Lisbon\n}}\n\
         schedule night {{\n    Mon to Sun  20:00 to 07:00\n}}\n\
         controller p is panel {{\n}}\n",
        numbers.of(&["for 2 s to 3 s", "for 1 s", "until restored", "while held"]),
        numbers.of(&["100 ms", "300 ms", "2 s"]),
    );
    let zones = 1 + numbers.below(2);
    for place in 0..zones {
        text.push_str(&format!(
            "zone eye{place} is eye {{\n    purpose  technical\n    wired  to p.in{}\n    armed  {}\n    \
             lockout  {}\n    registers  {}\n{}}}\n",
            place + 1,
            numbers.of(&["always", "night"]),
            numbers.of(&["1 s", "3 s", "20 s"]),
            numbers.of(&["while active", "once an activation"]),
            numbers.of(&["", "", "    repeats  at most 2 per arming\n"]),
        ));
        let other = if zones == 2 && numbers.below(3) > 0 { 1 - place } else { place };
        text.push_str(&format!(
            "output lamp{place} drives lamp {{\n    through  p.relay{} closing\n    reaches  eye{other}\n}}\n",
            place + 1,
        ));
        text.push_str(&format!(
            "response to eye{place} {{\n{}    close  lamp{place} for {}\n}}\n",
            numbers.of(&["", "", "    after  5 s\n", "    after  40 s\n"]),
            numbers.of(&["2 s", "10 s", "30 s"]),
        ));
    }
    text
}

#[track_caller]
fn with<T>(text: &str, ask: impl FnOnce(&Facts<'_, '_>, &Model<'_>) -> T) -> T {
    let parsed = parse(text, &[]);
    assert!(parsed.faults.is_empty(), "{text}{:?}", parsed.faults);
    let source = Source::new(FileId(0), "a.site".to_owned(), text.to_owned(), parsed, None);
    let scope = Scope { files: vec![Arc::new(source)], ..Scope::default() };
    let model = build(&scope);
    ask(&Facts::new(&model, OPTIONS), &model)
}

#[test]
fn playing_and_searching_agree() {
    let mut numbers = Numbers(20_261_125);
    let (mut yes, mut no, mut open, mut checked, mut missed) = (0, 0, 0, 0, 0);
    for _ in 0..40 {
        let text = site(&mut numbers);
        let blocks = with(&text, |facts, _| {
            let plant = facts.plant().unwrap();
            let bounds = Bounds { states: 1_500, ..Bounds::default() };
            let mut explorer = Explorer::new(&plant.system, bounds);
            let mut blocks = Vec::new();
            for ring in facts.feedback() {
                let ids = ring.zones.iter().map(|zone| plant.zone_of(Cause::Zone(*zone)).unwrap());
                let searched: Vec<_> = ids.map(|id| explorer.at_rest(id)).collect();
                match &ring.answer {
                    Ok(Some(keeps)) => {
                        yes += 1;
                        let place = ring.zones.iter().position(|zone| *zone == keeps.zone).unwrap();
                        match &searched[place] {
                            Answer::Yes(_) => checked += 1,
                            Answer::No(proof) => panic!("{text}{keeps:?} but {proof:?}"),
                            Answer::NotKnown { .. } => {}
                        }
                        blocks.extend(keeps.story.clone().map(|story| story.block));
                    }
                    Ok(None) => {
                        no += 1;
                        let never = searched.iter().all(|answer| !matches!(answer, Answer::Yes(_)));
                        assert!(never, "{text}");
                    }
                    Err(_) => {
                        open += 1;
                        missed += usize::from(searched.iter().any(|a| matches!(a, Answer::Yes(_))));
                    }
                }
            }
            blocks
        });
        for block in blocks {
            with(&format!("{text}{block}\n"), |facts, _| {
                let rehearsed = facts.rehearsed().first().unwrap();
                assert!(rehearsed.played.is_ok() && !rehearsed.holds(), "{text}{block}");
            });
        }
    }
    println!("{yes} yes ({checked} searched too), {no} no, {open} open ({missed} of them yes)");
    assert!(yes >= 10 && checked >= 8 && no >= 10, "{yes} {checked} {no} {open}");
}
