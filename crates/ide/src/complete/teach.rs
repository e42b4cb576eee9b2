//! Whole things that show how they are written, filled in from what the scope has.

use super::{CompletionKind, List};
use crate::Snippet;
use curtilage_model::{Kind, TerminalKind};

impl List<'_> {
    /// Whole things at the file's level.
    pub(super) fn teach(&mut self) {
        if self.view.model().site.is_none() {
            let detail = "the place as a whole, its clocks and its climate";
            self.lesson("site ...", detail, site());
        }
        let what: [(&str, &str, Snippet); 15] = [
            ("zone ...", "a zone with all that it has to say", self.zone()),
            ("output ...", "an output, its contact, its feed and its fuse", self.output()),
            ("response ...", "what is done when zones register", self.response()),
            ("schedule ...", "hours of the week", schedule(&self.fresh("working-hours"))),
            ("supply ...", "a supply with its battery", self.supply()),
            ("controller ...", "a controller and its feed", self.controller()),
            ("camera ...", "a camera on a channel", self.camera()),
            ("recording ...", "which footage is kept, and how much fits", self.recording()),
            ("rehearsal ...", "a story and what is expected of it", self.rehearsal()),
            ("measured ...", "meter readings of a day", self.lesson_measured()),
            ("allow ...", "an exception with its reason and its last day", self.allow()),
            ("part sensor ...", "the sheet of a sensor", sensor()),
            ("part load ...", "the sheet of what an output drives", load()),
            ("part cable ...", "the sheet of a cable", cable()),
            ("part relay ...", "the sheet of a relay of its own", relay()),
        ];
        for (label, detail, insert) in what {
            self.lesson(label, detail, insert);
        }
        if self.view.model().policy.is_none() {
            self.lesson("policy ...", "limits and where they come from", policy());
        }
    }

    fn lesson(&mut self, label: &str, detail: &str, insert: Snippet) {
        let shown = insert.plain().trim_end();
        let documentation = format!("```site\n{shown}\n```\n");
        self.push_snippet(CompletionKind::Snippet, label, detail, documentation, insert);
    }

    fn zone(&self) -> Snippet {
        let mut out = Snippet::default();
        out.raw("zone ");
        out.stop("name");
        out.raw(" is ");
        out.stop(&self.usual(Kind::SensorPart, "sensor-part"));
        out.raw(" {\n    purpose    ");
        out.choice(&["intrusion", "panic", "tamper", "technical", "command"]);
        out.raw("\n    wired      to ");
        out.stop(&self.free(TerminalKind::Input));
        out.raw(" over ");
        out.stop("18 m");
        out.raw(" of ");
        out.stop(&self.usual(Kind::CablePart, "cable-part"));
        out.raw("\n    armed      ");
        out.stop(&self.usual(Kind::Schedule, "always"));
        out.raw("\n    lockout    ");
        out.stop("5 s");
        out.raw("\n}\n");
        out.end();
        out
    }

    fn output(&self) -> Snippet {
        let mut out = Snippet::default();
        out.raw("output ");
        out.stop("name");
        out.raw(" drives ");
        out.stop(&self.usual(Kind::LoadPart, "load-part"));
        out.raw(" {\n    through  ");
        out.stop(&self.free(TerminalKind::Relay));
        out.raw(" ");
        out.choice(&["closing", "opening"]);
        out.raw("\n    fed      from ");
        out.stop(&self.usual(Kind::Supply, "main"));
        out.raw(" over ");
        out.stop("25 m");
        out.raw(" of ");
        out.stop(&self.usual_feed());
        out.raw("\n    fuse     ");
        out.stop("1 A");
        out.raw("\n}\n");
        out.end();
        out
    }

    fn response(&self) -> Snippet {
        let mut out = Snippet::default();
        out.raw("response to ");
        out.stop(&self.usual(Kind::Zone, "zone"));
        out.raw(" {\n    close   ");
        out.stop(&self.usual(Kind::Output, "output"));
        out.raw(" for ");
        out.stop("3 min");
        out.raw("\n    tell    ");
        out.stop(&self.usual(Kind::People, "people"));
        out.raw("\n}\n");
        out.end();
        out
    }

    fn supply(&self) -> Snippet {
        let mut out = Snippet::default();
        out.raw("supply ");
        out.stop(&self.fresh("main"));
        out.raw(" is ");
        out.stop(&self.usual(Kind::SupplyPart, "supply-part"));
        out.raw(" {\n    battery  ");
        out.stop(&self.usual(Kind::BatteryPart, "battery-part"));
        out.raw("\n}\n");
        out.end();
        out
    }

    fn controller(&self) -> Snippet {
        let mut out = Snippet::default();
        out.raw("controller ");
        out.stop(&self.fresh("head"));
        out.raw(" is ");
        out.stop(&self.usual(Kind::ControllerPart, "controller-part"));
        out.raw(" {\n    fed   from ");
        out.stop(&self.usual(Kind::Supply, "main"));
        out.raw(" over ");
        out.stop("2 m");
        out.raw(" of ");
        out.stop(&self.usual_feed());
        out.raw("\n}\n");
        out.end();
        out
    }

    fn camera(&self) -> Snippet {
        let mut out = Snippet::default();
        out.raw("camera ");
        out.stop("name");
        out.raw(" is ");
        out.stop(&self.usual(Kind::CameraPart, "camera-part"));
        out.raw(" on ");
        out.stop(&self.free(TerminalKind::Channel));
        out.raw("\n");
        out.end();
        out
    }

    fn recording(&self) -> Snippet {
        let mut out = Snippet::default();
        out.raw("recording ");
        out.stop(&self.usual(Kind::Controller, "head"));
        out.raw(" {\n    keep    ");
        out.choice(&["events", "motion", "continuous"]);
        out.raw(" of ");
        out.stop(&self.usual(Kind::Camera, "camera"));
        out.raw(" during ");
        out.stop("always");
        out.raw("\n    store   ");
        out.stop("4 TB");
        out.raw(", at least ");
        out.stop("30 d");
        out.raw("\n}\n");
        out.end();
        out
    }

    fn rehearsal(&self) -> Snippet {
        let zone = self.usual(Kind::Zone, "zone");
        let mut out = Snippet::default();
        out.raw("rehearsal \"");
        out.stop("what is shown");
        out.raw("\" {\n    Mon 10:00:00  ");
        out.stop(&zone);
        out.raw(" active for ");
        out.stop("400 ms");
        out.raw("\n    expect  ");
        out.stop(&zone);
        out.raw(" registers ");
        out.choice(&["once", "twice", "never"]);
        out.raw("\n}\n");
        out.end();
        out
    }

    /// Readings of today that are to come.
    pub(super) fn measured_today(&self) -> Snippet {
        let mut out = Snippet::of("measured ");
        out.stop(&self.today());
        out.raw(" {\n    ");
        out.end();
        out.raw("\n}");
        out
    }

    /// The day that counts as today, as it is written.
    pub(super) fn today(&self) -> String {
        let today = self.view.today();
        format!("{:04}-{:02}-{:02}", today.year, today.month, today.day)
    }

    fn lesson_measured(&self) -> Snippet {
        let date = self.today();
        let model = self.view.model();
        let zone = model.zones_by_id().find_map(|(id, zone)| {
            let terminal = zone.input?.terminal?;
            let state =
                crate::figures::state(self.view.facts(), id, curtilage_facts::StateName::Resting)?;
            Some((model.terminal_name(&terminal), curtilage_units::ohms(state.nominal)))
        });
        let (terminal, reading) =
            zone.unwrap_or_else(|| ("head.in1".to_owned(), "4.7 kohm".to_owned()));
        let mut out = Snippet::default();
        out.raw("measured ");
        out.stop(&date);
        out.raw(" {\n    ");
        out.stop(&terminal);
        out.raw("  resting  ");
        out.stop(&reading);
        out.raw("\n}\n");
        out.end();
        out
    }

    fn allow(&self) -> Snippet {
        let today = self.view.today();
        let mut out = Snippet::default();
        out.raw("allow ");
        out.stop("rule");
        out.raw(" on ");
        out.stop(&self.usual(Kind::Zone, "name"));
        out.raw(" until ");
        out.stop(&crate::actions::later(today));
        out.raw(" because \"");
        out.stop("reason");
        out.raw("\"\n");
        out.end();
        out
    }
}

/// A text in which `<...>` are tab stops.
fn lesson(text: &str) -> Snippet {
    let mut out = Snippet::default();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('<') {
        let (inside, behind) = after.split_once('>').unwrap_or((after, ""));
        out.raw(before);
        match inside.split_once('|') {
            Some(_) => out.choice(&inside.split('|').collect::<Vec<_>>()),
            None => out.stop(inside),
        }
        rest = behind;
    }
    out.raw(rest);
    out.end();
    out
}

fn site() -> Snippet {
    lesson(
        "site <name> \"<title>\" {\n    timezone  <Europe/Lisbon>\n    ambient   <5> to <35> degC\n    area      <yard>\n    people    <keyholders>\n}\n",
    )
}

fn policy() -> Snippet {
    lesson(
        "policy <house> {\n    standby      at least <12 h> from \"<where the limit comes from>\"\n    alarm-time   at least <15 min> from \"<where the limit comes from>\"\n    sounder-run  at most <15 min> from \"<where the limit comes from>\"\n    spare        at least <20 %> of every supply\n    panic        supervised, armed always\n}\n",
    )
}

fn sensor() -> Snippet {
    lesson(
        "part <name> \"<title>\" is sensor {\n    rests      <closed|open>\n    active     <until restored|while held|for 2 s>\n    contact    <0.5 A> at <24 V> dc resistive, <0.15 ohm>\n}\n",
    )
}

fn load() -> Snippet {
    lesson(
        "part <name> \"<title>\" is load {\n    draws      <0.45 A> at <9 V> to <14 V> dc, <constant current|constant power|resistive>\n    inductive  suppressed\n}\n",
    )
}

fn cable() -> Snippet {
    lesson(
        "part <name> \"<title>\" is cable {\n    cores      <2>\n    conductor  <0.75 mm2> class <5|1|2|6>\n    carries    at most <6 A>\n}\n",
    )
}

fn relay() -> Snippet {
    lesson(
        "part <name> \"<title>\" is relay {\n    coil      <75 mA> at <9.6 V> to <14.4 V> dc, resistive\n    suppressed\n    contacts  <changeover|make|break>\n    contact   <16 A> at <30 V> dc resistive\n}\n",
    )
}

fn schedule(name: &str) -> Snippet {
    let mut out = Snippet::default();
    out.raw("schedule ");
    out.stop(name);
    out.raw(" {\n    Mon to Fri  ");
    out.stop("07:30");
    out.raw(" to ");
    out.stop("18:00");
    out.raw("\n    Sat         ");
    out.stop("08:00");
    out.raw(" to ");
    out.stop("12:30");
    out.raw("\n    except      holidays\n}\n");
    out.end();
    out
}
