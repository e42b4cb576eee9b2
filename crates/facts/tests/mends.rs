//! Collapse, and what would mend a cable. Marks as in the reference.
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

mod support;

use curtilage_facts::{Came, Culprit};
use support::{power, volts, with};

/// One load of constant power: `P = E^2 / 4R` at the limit (X). 12 V behind 9 ohm: 4 W and no more.
#[test]
fn collapse_is_a_fact_x() {
    let site = |watts: f64| {
        format!(
            "site barn {{ timezone Europe/London\n ambient 20 degC to 20 degC\n }}
part source is supply {{ gives 12 V dc }}
part wire is cable {{ resistance 45 ohm/km }}
part box is controller {{ draws {watts} W at 5 V to 14 V dc, constant power }}
supply main is source
controller head is box {{ fed from main over 100 m of wire }}\n"
        )
    };
    with(&[&site(3.99)], |facts| assert!(volts(facts, "main", "head").0 > 6.0));
    with(&[&site(4.01)], |facts| {
        let power = power(facts, "main");
        let worst = power.worst.as_ref().unwrap();
        assert!(matches!(*worst.came, Came::Collapsed(Some(0))));
        let steps = power.collapse_working(facts.model, worst, Some(0));
        let most = steps.last().unwrap();
        assert_eq!((most.formula.as_str(), most.result.as_str()), ("Pmax = E^2 / (4 * R)", "4 W"));
    });
}

/// What would mend a cable is the first size, and the longest length, with which it works.
#[test]
fn the_mend_works_and_the_next_smaller_one_does_not() {
    let site = |cable: &str, length: f64| {
        format!(
            "site barn {{ timezone Europe/London\n ambient 20 degC to 20 degC\n }}
part source is supply {{ gives 12 V dc }}
part box is controller {{ draws 0.4 A at 11 V to 14 V dc }}
part thin is cable {{ conductor 0.5 mm2 class 5 }}
part middle is cable {{ conductor 0.75 mm2 class 5 }}
part thick is cable {{ conductor 1.5 mm2 class 5 }}
supply main is source
controller head is box {{ fed from main over {length} m of {cable} }}\n"
        )
    };
    with(&[&site("thin", 40.0)], |facts| {
        let power = power(facts, "main");
        let worst = power.worst.as_ref().unwrap();
        let culprit = power.culprit(0, worst).unwrap();
        assert_eq!(culprit, Culprit::Run(0));
        let mend = power.mend(facts.model, culprit, &[(worst, 0, 11.0)]);
        // 1 V at 0.4 A: 2.5 ohm, 31.25 ohm/km over 80 m of wire; 0.75 mm2 has 26.
        assert_eq!(
            mend.part.map(|(part, cores)| (facts.model.part_name(part), cores)),
            Some(("middle", 1))
        );
        // 2.5 ohm at 39 ohm/km: 32.05 m.
        assert_eq!(mend.length, Some(32.0));
    });
    with(&[&site("middle", 40.0)], |facts| assert!(volts(facts, "main", "head").0 >= 11.0));
    with(&[&site("thin", 32.0)], |facts| assert!(volts(facts, "main", "head").0 >= 11.0));
    with(&[&site("thin", 33.0)], |facts| assert!(volts(facts, "main", "head").0 < 11.0));
}
