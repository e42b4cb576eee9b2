//! A site of any length, clean, for benchmarks.

use std::fmt::Write;

/// A site of at least so many lines; it uses `parts`, the path of the parts of the examples.
#[must_use]
pub fn large_site(name: &str, parts: &str, lines: usize) -> String {
    let mut text = format!(
        "use \"{parts}\"

site {name} \"A large site\" {{
    timezone  Europe/Dublin
    ambient   10 to 30 degC
    holidays  2026-12-24 to 2026-12-27, 2027-12-24 to 2027-12-27, every 01-01
    area      hall
    people    guard
    occupied  peopled
}}

schedule peopled \"People\" {{
    Mon to Fri  08:00 to 18:00
    except      holidays
}}
schedule shut is not peopled
"
    );
    let mut wing = 0;
    while text.lines().count() < lines {
        wing += 1;
        one_wing(&mut text, wing);
    }
    text
}

/// A supply, a controller, fifteen doors, and what they set off.
fn one_wing(text: &mut String, wing: usize) {
    let _ = write!(
        text,
        "
supply main-{wing} is boxed-supply-12v-10a {{
    battery  sealed-65ah
    fuse     8 A
}}

controller panel-{wing} is panel-16-in-6-out {{
    fed   from main-{wing} over 3 m of pair-1.5
}}
"
    );
    for door in 1..16 {
        let _ = write!(
            text,
            "
zone door-{wing}-{door} is door-reed {{
    purpose    intrusion
    area       hall
    wired      to panel-{wing}.in{door} over {} m of six-core-0.22
    ends       across 2.2 kohm +-1 %, in 2.2 kohm +-1 %
    armed      shut
    registers  once an activation
    lockout    5 s
    entry      30 s
    exit       30 s
}}
",
            door + 10
        );
    }
    let doors: Vec<String> = (1..16).map(|door| format!("door-{wing}-{door}")).collect();
    let _ =
        write!(text, "\nresponse alarm-{wing} to {} {{\n    tell  guard\n}}\n", doors.join(", "));
}
