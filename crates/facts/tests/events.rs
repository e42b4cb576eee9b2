//! The meanings of time that the design works out, as site texts: the model becomes the right
//! system, and what is played is what a fitter would see.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

use curtilage_facts::events::{Outcome, Unplayed};
use curtilage_facts::{Facts, Options};
use curtilage_model::{Model, Scope, Source, build};
use curtilage_syntax::parse;
use curtilage_syntax::tree::Date;
use curtilage_text::FileId;
use std::sync::Arc;

const OPTIONS: Options = Options { today: Date { year: 2026, month: 11, day: 25 } };

const PARTS: &str = r#"
part button is sensor {
    rests   open
    active  while held
}
part door-reed is sensor {
    rests   closed
    active  until restored
}
part pir is sensor {
    rests      closed
    active     for 2 s to 3 s
    disturbed  by light
}
part echo is sensor {
    rests   open
    active  until restored
}
part lamp is load {
    gives  light
}
part horn is load {
    loudness  110 dB at 1 m
}
part coil is relay {
    contacts  changeover
}
part summing is controller {
    inputs    in1 to in8 common gnd
    settles   in 0 s
    repeats   as the zone says
    relays    relay1 to relay4 changeover
    on-time   lockout then hold
    channels  channel1, channel2
}
part holding is controller {
    inputs   in1 to in8 common gnd
    settles  in 100 ms
    repeats  once an activation
    relays   relay1 to relay4 changeover
    on-time  hold from registration
}
part silent is controller {
    inputs   in1 to in8 common gnd
    repeats  once an activation
    relays   relay1 to relay4 changeover
}
site yard {
    timezone  Europe/Lisbon
    holidays  2026-12-25
    area      gate
    people    owner
}
schedule night {
    Mon to Sun  20:00 to 07:00
    except      holidays
}
controller sum is summing {
}
controller hold is holding {
}
controller dumb is silent {
}
zone press is button {
    purpose    panic
    wired      to sum.in1
    input      rests open
    armed      always
    lockout    LOCKOUT
    registers  once an activation
}
zone door is door-reed {
    purpose    intrusion
    wired      to sum.in2
    armed      night
    lockout    2 s
    repeats    at most 3 per arming
    registers  while active
    entry      30 s
    exit       1 min
}
zone gate-eye is pir {
    purpose    intrusion
    area       gate
    wired      to sum.in3
    armed      always
    lockout    1 s
    registers  while active
}
zone hatch is door-reed {
    purpose  intrusion
    wired    to hold.in1
    armed    always
}
zone deaf is door-reed {
    purpose  intrusion
    wired    to dumb.in1
    armed    always
}
zone watch is echo {
    purpose  technical
    wired    to hold.in2
    armed    always
    follows  siren
}
relay far is coil {
    through  sum.relay2 closing
}
relay turned is coil {
    through  hold.relay3 opening
}
output siren drives horn {
    through  sum.relay1 closing
}
output far-horn drives horn {
    through  far closing
}
output lock drives lamp {
    through  hold.relay1 opening
}
output twice-turned drives lamp {
    through  turned opening
}
output gate-light drives lamp {
    through  sum.relay3 closing
    reaches  REACHES
}
output dumb-horn drives horn {
    through  dumb.relay1 closing
}
camera eye on sum.channel1
camera blind on sum.channel2
recording sum {
    keep  events of eye during night
}
response to press {
    close   siren for HOLD
    close   far-horn for HOLD
    record  eye, blind from 1 s before to 1 s after
}
response to door {
    tell  owner
}
response to gate-eye {
    close  gate-light for 1 min
}
response to hatch {
    open   lock for 10 s
    close  twice-turned for 10 s
}
response to deaf {
    close  dumb-horn for 10 s
}
response to loss of eye {
    after  1 min
    tell   owner
}
response to start of night {
    tell  owner
}
"#;

fn site(lockout: &str, hold: &str, reaches: &str, story: &str) -> Arc<Source> {
    let parts = PARTS.replace("LOCKOUT", lockout).replace("HOLD", hold);
    let text =
        format!("{}rehearsal \"story\" {{\n{story}\n}}\n", parts.replace("REACHES", reaches));
    let parsed = parse(&text, &[]);
    assert!(parsed.faults.is_empty(), "{:?}", parsed.faults);
    Arc::new(Source::new(FileId(0), "a.site".to_owned(), text, parsed, None))
}

#[track_caller]
fn with<T>(source: Arc<Source>, ask: impl FnOnce(&Facts<'_, '_>, &Model<'_>) -> T) -> T {
    let scope = Scope { files: vec![source], ..Scope::default() };
    let model = build(&scope);
    ask(&Facts::new(&model, OPTIONS), &model)
}

/// Plays a story; gives what fails.
#[track_caller]
fn fails(lockout: &str, hold: &str, story: &str) -> Vec<String> {
    with(site(lockout, hold, "gate", story), |facts, _| {
        let rehearsed = facts.rehearsed().first().unwrap();
        assert!(rehearsed.played.is_ok(), "{:?}", rehearsed.played.as_ref().err());
        let outcomes = rehearsed.outcomes.iter();
        outcomes
            .filter_map(|outcome| match outcome {
                Outcome::Fails { instead, .. } => Some(instead.clone()),
                Outcome::Holds => None,
            })
            .collect()
    })
}

#[track_caller]
fn holds(lockout: &str, hold: &str, story: &str) {
    assert_eq!(fails(lockout, hold, story), Vec::<String>::new());
}

#[test]
fn ten_seconds_and_ten_seconds_give_twenty() {
    let story = "Mon 10:00:00  press active for 200 ms
        expect  siren closed from Mon 10:00:00 for 20 s
        expect  far-horn closed from Mon 10:00:00 for 20 s";
    holds("10 s", "10 s", story);
    holds("2 s", "3 s", &story.replace("20 s", "5 s"));
}

#[test]
fn three_presses_in_three_seconds_register_once_with_a_lockout_of_five() {
    let story = "Mon 10:00:00  press active for 200 ms
        Mon 10:00:01.500  press active for 200 ms
        Mon 10:00:03  press active for 200 ms";
    holds("5 s", "3 min", &format!("{story}\nexpect  press registers once"));
    holds("1 s", "3 min", &format!("{story}\nexpect  press registers 3 times"));
}

#[test]
fn with_one_second_a_press_every_two_seconds_registers_every_time() {
    let presses: String = (0..10)
        .map(|place| format!("Mon 10:00:{:02}  press active for 200 ms\n", 2 * place))
        .collect();
    holds("1 s", "3 s", &format!("{presses}expect  press registers 10 times"));
}

#[test]
fn an_activation_at_the_very_end_of_the_lockout_is_told() {
    let story = "Mon 10:00:00  press active for 200 ms
        Mon 10:00:05  press active for 200 ms
        expect  press registers twice";
    with(site("5 s", "1 s", "gate", story), |facts, _| {
        let played = facts.rehearsed().first().unwrap().played.clone().unwrap();
        assert_eq!(played.zones.first().unwrap().equal.len(), 1);
    });
}

#[test]
fn settle_entry_exit_and_the_limit_of_an_arming_count() {
    holds(
        "1 s",
        "1 s",
        "Mon 10:00:00  hatch active for 99 ms
        Mon 11:00:00  hatch active for 101 ms
        expect  hatch registers once at Mon 11:00:00.100",
    );
    // Armed at 20:00, left within a minute; then entry; three times a night, again the next night.
    holds(
        "1 s",
        "1 s",
        "Mon 20:00:30  door active for 5 s
        Mon 22:00:00  door active for 5 s
        Mon 22:10:00  door active until restored
        Tue 21:00:00  door restored
        expect  door registers 6 times
        expect  door registers at Mon 22:00:30
        expect  door registers never from Mon 20:00:00 for 2 h",
    );
}

#[test]
fn the_break_side_is_on_at_rest_and_two_of_them_are_none() {
    holds(
        "1 s",
        "1 s",
        "Mon 10:00:00  hatch active for 1 s
        expect  lock open from Mon 10:00:00.100 for 10 s
        expect  lock closed at Mon 09:00:00
        expect  twice-turned closed from Mon 10:00:00.100 for 10 s
        expect  twice-turned open at Mon 10:00:11",
    );
}

#[test]
fn what_follows_an_output_sees_its_load() {
    holds(
        "1 s",
        "4 s",
        "Mon 10:00:00  press active for 200 ms
        expect  watch registers once at Mon 10:00:00.100",
    );
}

#[test]
fn a_recording_happens_only_when_the_plan_keeps_it() {
    let story = "Mon 10:00:00  press active for 200 ms
        Mon 23:00:00  press active for 200 ms
        expect  eye recorded once
        expect  eye recorded at Mon 23:00:00
        expect  blind recorded never";
    holds("1 s", "1 s", story);
    holds(
        "1 s",
        "1 s",
        "Mon 22:00:00  eye lost
        Mon 23:00:00  press active for 200 ms
        Mon 23:30:00  eye returns
        expect  eye recorded never
        expect  owner told once at Mon 22:01:00",
    );
}

#[test]
fn schedules_begin_and_holidays_are_dates() {
    holds(
        "1 s",
        "1 s",
        "Mon 19:30:00  press active for 1 s
        expect  owner told once
        expect  owner told at Mon 20:00:00",
    );
    // Christmas Day is taken out, cut at midnight.
    holds(
        "1 s",
        "1 s",
        "2026-12-25 23:00:00  door active for 10 s
        2026-12-26 23:00:00  door active for 10 s
        expect  door registers once
        expect  door registers at 2026-12-26 23:00:30",
    );
}

#[test]
fn a_story_goes_forward() {
    holds(
        "1 s",
        "1 s",
        "Sun 23:59:00  press active for 1 s
        Mon 00:01:00  press active for 1 s
        expect  press registers twice
        expect  press registers once at Sun 23:59:00
        expect  press registers once at Mon 00:01:00",
    );
}

#[test]
fn the_clocks_go_forward_and_back() {
    // 2027-03-28, Lisbon: 01:00 to 02:00 is skipped. 03:00 comes two hours after 00:00.
    holds(
        "1 s",
        "1 h",
        "2027-03-28 00:30:00  press active for 1 s
        expect  siren closed from 2027-03-28 00:30:00 for 1 h 1 s
        expect  siren open at 2027-03-28 02:30:01
        expect  siren closed at 2027-03-28 02:30:00",
    );
}

#[test]
fn what_happened_instead_is_told_with_times() {
    let story = "Mon 10:00:00  press active for 200 ms
        expect  siren closed from Mon 10:00:00 for 3 min
        expect  siren closed never
        expect  siren open at Mon 10:01:00
        expect  press registers twice
        expect  press registers never
        expect  owner told from Mon 10:00:00 for 1 h";
    let told = fails("5 s", "3 min", story);
    let expected = [
        "`siren` closed from Mon 10:00:00.000 for 3 min 5 s, expected from Mon 10:00:00 for 3 min",
        "`siren` closed from Mon 10:00:00 for 3 min 5 s, expected never",
        "`siren` closed at Mon 10:01:00, expected open",
        "`press` registers once (Mon 10:00:00), expected twice",
        "`press` registers once (Mon 10:00:00), expected never",
        "`owner` told never from Mon 10:00:00 for 1 h, expected at least once",
    ];
    assert_eq!(told, expected.map(|line| line.replace(".000", "")));
}

#[test]
fn what_is_not_known_is_said_and_not_guessed() {
    let story = "Mon 10:00:00  deaf active for 1 s\nexpect  dumb-horn closed for 10 s";
    with(site("1 s", "1 s", "gate", story), |facts, _| {
        let Err(Unplayed::NotKnown(why)) = &facts.rehearsed().first().unwrap().played else {
            panic!("played");
        };
        assert!(why.because.contains("gives no `on-time`"), "{why}");
    });
    // It does not matter for what it cannot come to.
    holds("1 s", "1 s", "Mon 10:00:00  press active for 1 s\nexpect  press registers");
}

#[test]
fn a_line_that_means_nothing_is_told() {
    for (story, why) in [
        ("Mon 10:00:00  siren active for 1 s\nexpect  press registers", "`siren` is an output"),
        ("Mon 10:00:00  press lost\nexpect  press registers", "`press` is a zone"),
        ("Mon 10:00:00  press active\nexpect  press closed", "`press` is a zone: it registers"),
        (
            "Mon 10:00:00  press active\n2026-12-01 10:00:00  press restored\nexpect  press registers",
            "a weekday in a story with dates needs a date before it",
        ),
    ] {
        with(site("1 s", "1 s", "gate", story), |facts, _| {
            let Err(Unplayed::Senseless(found)) = &facts.rehearsed().first().unwrap().played else {
                panic!("{story} is played");
            };
            assert!(found.why.starts_with(why), "{}", found.why);
        });
    }
}

#[test]
fn a_light_that_wakes_its_detector_is_found_and_its_story_fails() {
    let idle = "Mon 10:00:00  press active for 1 s\nexpect  press registers";
    let block = with(site("1 s", "1 s", "gate", idle), |facts, model| {
        let [ring] = facts.feedback() else { panic!("{:?}", facts.feedback()) };
        let keeps = ring.answer.clone().unwrap().unwrap();
        assert_eq!(model.zone(keeps.zone).unwrap().name.text, "gate-eye");
        assert_eq!(keeps.period, Some(61_000), "lockout and hold");
        keeps.story.unwrap().block
    });
    let source =
        site("1 s", "1 s", "gate", &format!("{idle}\n}}\n{}", block.trim_end_matches('}')));
    with(source, |facts, model| {
        let pasted = model.rehearsals.iter().zip(facts.rehearsed()).nth(1).unwrap();
        assert!(pasted.0.title.contains("gate-eye"));
        assert!(!pasted.1.holds());
        assert!(matches!(pasted.1.outcomes.first(), Some(Outcome::Fails { .. })), "{block}");
    });
    // Without the way back there is nothing to find.
    with(site("1 s", "1 s", "door", idle), |facts, _| {
        assert!(facts.feedback().iter().all(|ring| matches!(ring.answer, Ok(None))));
    });
}

#[test]
fn the_most_of_an_hour_and_of_a_day_and_the_deaf_hours_are_known() {
    let idle = "Mon 10:00:00  press active for 1 s\nexpect  press registers";
    with(site("5 s", "10 s", "hatch", idle), |facts, model| {
        let zone =
            |name: &str| model.zones_by_id().find(|(_, zone)| zone.name.text == name).unwrap().0;
        let most = facts.most_in_an_hour(zone("press")).unwrap();
        assert_eq!((most.at_least, most.at_most), (720, 720), "every 5 s");
        assert_eq!(facts.deaf(zone("press")).unwrap(), []);
        let deaf = facts.deaf(zone("door")).unwrap();
        assert!(deaf.iter().any(|one| one.from < 12 * 3_600_000 && 12 * 3_600_000 < one.until));
        let output = |name: &str| {
            model.outputs_by_id().find(|(_, output)| output.name.text == name).unwrap().0
        };
        let most = facts.longest_in_a_day(output("siren")).unwrap();
        assert_eq!(most.at_most, 86_400_000, "somebody may press all day");
        assert!(facts.most_in_an_hour(zone("deaf")).is_ok());
        let why = facts.longest_in_a_day(output("dumb-horn")).unwrap_err();
        assert!(why.because.contains("on-time"), "{why}");
    });
}

/// What beginnings and ends of schedules switch runs as well, alone and beside what sensors switch.
#[test]
fn the_most_of_a_day_counts_what_schedules_switch() {
    let idle = "Mon 10:00:00  press active for 1 s\nexpect  press registers";
    let hours = "output porch drives lamp {\n    through hold.relay2 closing\n}\noutput hall drives lamp {\n    through hold.relay4 opening\n}\nresponse to start of night {\n    close  porch for 10 min\n    open   hall\n    close  far-horn for 1 h\n}\nresponse to end of night {\n    close  hall\n    open   gate-light\n}\n";
    let story = format!("{idle}\n}}\n{hours}rehearsal \"another\" {{\n{idle}");
    with(site("2 h", "1 s", "hatch", &story), |facts, model| {
        let most = |name: &str| {
            let mut outputs = model.outputs_by_id();
            let id = outputs.find(|(_, output)| output.name.text == name).unwrap().0;
            let most = facts.longest_in_a_day(id).unwrap();
            (most.at_least, most.at_most)
        };
        assert_eq!(most("porch"), (600_000, 600_000));
        assert_eq!(most("hall"), (11 * 3_600_000, 11 * 3_600_000), "its relay, the whole night");
        let (least, sum) = most("far-horn");
        assert!(least >= 3_600_000 && sum == 86_400_000, "{least} to {sum}");
        assert_eq!(most("gate-light").1, 86_400_000, "nothing is taken off the most");
    });
}

#[test]
fn what_is_out_of_all_measure_is_left_open() {
    for story in [
        "Mon 10:00:00  press active for 99999999 d\nexpect  press registers",
        "Mon 10:00:00  press active for 1 s\nexpect  siren closed from Mon 10:00:00 for 99999999 d",
        "9999-12-31 23:59:00  press active for 4000 d\nexpect  press registers",
    ] {
        with(site("1 s", "1 s", "gate", story), |facts, _| {
            let played = &facts.rehearsed().first().unwrap().played;
            assert!(played.is_err(), "{story}");
        });
    }
    // Times of nothing, and more than a hundred years.
    holds("0 s", "0 s", "Mon 10:00:00  press active for 0 s\nexpect  press registers never");
    with(
        site(
            "99999 d",
            "1 s",
            "gate",
            "Mon 10:00:00  press active for 1 s\nexpect  press registers",
        ),
        |facts, _| {
            let played = &facts.rehearsed().first().unwrap().played;
            let Err(Unplayed::NotKnown(why)) = played else { panic!("played") };
            assert_eq!(why.because, "a time is longer than a hundred years");
            assert!(facts.feedback().is_empty());
        },
    );
}

/// An output that is wired to its own zone, without any settle time.
#[test]
fn a_ring_without_any_delay_is_told_and_not_played_for_ever() {
    let story = "Mon 10:00:00  gate-eye active for 2 s\nexpect  gate-light closed for 1 min 1 s";
    with(site("1 s", "1 s", "gate-eye", story), |facts, _| {
        assert!(!facts.rehearsed().first().unwrap().holds());
    });
}
