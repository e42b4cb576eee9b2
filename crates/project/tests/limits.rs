//! A limit that is met is kept, whatever sum of decimals meets it, and one that is missed by the
//! smallest figure that anybody writes is told. The figures are whole numbers here and become decimals
//! in the text, so that "met" is exact.

use curtilage_testkit::{Text, check_texts, root};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Figures that meet each other.
#[derive(Clone, Debug)]
struct Figures {
    /// What the controller and each lamp draws, mA.
    controller: u32,
    lamps: Vec<u32>,
    /// What the policy asks to be left of the supply, %.
    spare: u32,
    /// The rates of the cameras, kbit/s, and the hours of five days a week.
    rates: Vec<u32>,
    hours: u32,
    /// How long footage has to last, weeks.
    weeks: u32,
}

fn figures() -> impl Strategy<Value = Figures> {
    let lamps = proptest::collection::vec(1..400_u32, 1..8);
    let rates = proptest::collection::vec(1..9000_u32, 1..5);
    (lamps, 1..60_u32, rates, 1..=20_u32, 1..9_u32).prop_map(
        |(lamps, spare, rates, hours, weeks)| {
            // The controller draws what makes the sum a whole share of the supply, and so much that a
            // milliampere more for each lamp leaves something of it.
            let share = 100 - spare;
            let sum: u32 = lamps.iter().sum();
            let controller = share - sum % share + lamps.iter().map(|_| share).sum::<u32>();
            Figures { controller, lamps, spare, rates, hours, weeks }
        },
    )
}

/// mA as a decimal number of A.
fn amps(milliamperes: u32) -> String {
    format!("{}.{:03} A", milliamperes / 1000, milliamperes % 1000)
}

/// A site whose limits are just met; with lamps that draw so many mA more, and a store that holds so many
/// thousandths less.
fn site(figures: &Figures, more: u32, less: u64) -> String {
    let Figures { controller, lamps, spare, rates, hours, weeks } = figures;
    let sum: u32 = lamps.iter().sum();
    let kilobytes: u64 = rates.iter().map(|rate| u64::from(rate * hours * weeks) * 2250).sum();
    let rated = (controller + sum) / (100 - spare) * 100;
    let mut out = format!(
        "use \"parts.site\"

site bench {{
    timezone  Europe/Lisbon
    ambient   5 to 35 degC
}}

part box is supply {{
    gives    13.5 V to 13.8 V dc, at most {rated}
}}

part panel is controller {{
    inputs    in1 common gnd
    input     pull-up 12 V +-5 % 10 kohm +-5 %, closed below 1 kohm, open above 20 kohm
    settles   in 300 ms
    repeats   while active
    relays    relay1 changeover
    relay     {sum} at 30 V dc resistive
    outlets   aux1 at most {sum}
    on-time   lockout then hold
    channels  channel1 to channel4
    draws     {controller} at 9.5 V to 14.4 V dc
}}

policy own {{
    spare  at least {spare} % of every supply from \"insurer, schedule B\"
}}

supply main is box

controller head is panel {{
    fed  from main
}}

zone door is door-reed {{
    purpose  technical
    wired    to head.in1 over 2 m of six-core-0.22
    input    rests closed
    armed    always
    repeats  at most 3 per arming
}}

schedule weekdays {{
    Mon to Fri  00:00 to {hours:02}:00
}}
",
        rated = amps(rated),
        sum = amps(sum),
        controller = amps(*controller),
    );
    for (number, draws) in (1..).zip(lamps) {
        write!(
            out,
            "
part lamp-kind-{number} is load {{
    draws  {} at 1 V to 15 V dc, constant current
    resistive
}}

part lamp-cable-{number} is cable {{
    cores      2
    conductor  1.5 mm2 class 1
    carries    at most {limit}
}}

output lamp-{number} drives lamp-kind-{number} {{
    through  head.relay1 closing
    fed      from head.aux1 over 2 m of lamp-cable-{number}
    fuse     {limit}
}}
",
            amps(draws + more),
            limit = amps(*draws),
        )
        .unwrap_or_default();
    }
    out.push_str("\nresponse to door {\n");
    for number in 1..=lamps.len() {
        writeln!(out, "    close  lamp-{number} for 3 min").unwrap_or_default();
    }
    out.push_str("}\n");
    for (number, rate) in (1..).zip(rates) {
        write!(
            out,
            "\ncamera eye-{number} on head.channel{number} {{\n    bit-rate  {rate} kbit/s\n}}\n"
        )
        .unwrap_or_default();
    }
    let eyes: Vec<String> = (1..=rates.len()).map(|number| format!("eye-{number}")).collect();
    write!(
        out,
        "
recording head {{
    keep   continuous of {} during weekdays
    store  {} kB, at least {} d
}}
",
        eyes.join(", "),
        kilobytes - kilobytes * less / 1000,
        weeks * 7
    )
    .unwrap_or_default();
    out
}

/// The rules that found something, and what they said.
fn found(site: String) -> (BTreeSet<&'static str>, Vec<String>) {
    let parts =
        std::fs::read_to_string(root().join("examples/parts/general.site")).unwrap_or_default();
    let text = |path: &str, text| Text { path: path.to_owned(), text };
    let checked = check_texts(&[text("bench.site", site), text("parts.site", parts)]);
    let of_site = checked.findings.iter().filter(|finding| finding.rule != "unused-name");
    let told = of_site.map(|finding| (finding.rule, finding.headline.clone()));
    told.unzip()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_limit_that_is_met_is_kept(figures in figures()) {
        let (_, told) = found(site(&figures, 0, 0));
        prop_assert_eq!(told, Vec::<String>::new());
    }

    #[test]
    fn a_limit_that_is_missed_by_a_little_is_told(figures in figures()) {
        let (rules, told) = found(site(&figures, 1, 1));
        for rule in ["contact-overload", "conductor-overcurrent", "retention-too-short", "spare-too-small"] {
            prop_assert!(rules.contains(rule), "{} is missing: {:#?}", rule, told);
        }
        // Two figures that are told against each other are not the same.
        for headline in told {
            let words: Vec<&str> = headline.split([' ', ',', ';']).collect();
            let figures = words.windows(2).filter(|pair| ["%", "A", "V", "mA", "d", "times"].contains(&pair[1]));
            let figures: Vec<_> = figures.filter(|pair| pair[0].parse::<f64>().is_ok()).collect();
            let different: BTreeSet<_> = figures.iter().collect();
            prop_assert!(figures.len() >= 2 && different.len() == figures.len(), "{}", headline);
            prop_assert!(!headline.contains(" 1 times its"), "{}", headline);
        }
    }
}
