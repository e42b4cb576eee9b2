//! Rows to zones. Every statement is parsed by itself before it is taken: what does not read stands
//! as a comment, so that a table can never make a file that is broken.

use crate::cells::{self, Reading};
use crate::columns::{Field, Layout};
use crate::sheet::{Row, Sheet};
use crate::{KnownPart, PartKind, Sure, Told};
use curtilage_syntax::parse;
use std::collections::{BTreeMap, BTreeSet};

/// One thing below the headings, in the order of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Entry {
    /// A row with one cell, such as `Ground floor`.
    Heading(String),
    Zone(Zone),
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Zone {
    /// `zone NAME "TITLE" is PART`.
    pub(crate) head: String,
    pub(crate) statements: Vec<String>,
    /// What is not said by them, a line each.
    pub(crate) comments: Vec<String>,
}

/// A part or a controller that the table names and that has to be written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Wanted {
    /// The words of the table, for its title.
    pub(crate) title: Option<String>,
    /// How its contact rests.
    pub(crate) rests: Option<String>,
    /// The terminals that are used.
    pub(crate) inputs: BTreeSet<String>,
    /// The part of a controller.
    pub(crate) part: String,
    /// Whether that part is there already.
    pub(crate) known: bool,
}

/// What a name is for. All names of a site are in one space.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Use {
    Site,
    Area,
    Schedule,
    Part(PartKind),
    Controller,
}

/// The names that are given, each to one thing.
#[derive(Debug)]
pub(crate) struct Names {
    taken: BTreeSet<String>,
    given: BTreeMap<(Use, String), String>,
    /// For a name that is taken, the last number that was tried behind it.
    tried: BTreeMap<String, usize>,
}

impl Default for Names {
    fn default() -> Self {
        let taken = ["always", "never"].map(str::to_owned).into_iter().collect();
        Self { taken, given: BTreeMap::new(), tried: BTreeMap::new() }
    }
}

impl Names {
    /// A name that nothing has, made of `wanted`.
    fn fresh(&mut self, wanted: &str) -> String {
        let mut name = wanted.to_owned();
        while !self.taken.insert(name.clone()) {
            let tried = self.tried.entry(wanted.to_owned()).or_insert(1);
            *tried += 1;
            name = format!("{wanted}-{tried}");
        }
        name
    }

    /// The name of the one thing of its use that `wanted` means.
    pub(crate) fn shared(&mut self, of: Use, wanted: &str) -> String {
        if let Some(name) = self.given.get(&(of, wanted.to_owned())) {
            return name.clone();
        }
        let name = self.fresh(wanted);
        self.given.insert((of, wanted.to_owned()), name.clone());
        name
    }
}

/// Everything that the rows say.
#[derive(Debug, Default)]
pub(crate) struct Zones {
    pub(crate) names: Names,
    pub(crate) entries: Vec<Entry>,
    pub(crate) list: Vec<String>,
    pub(crate) areas: BTreeMap<String, Option<String>>,
    pub(crate) schedules: BTreeMap<String, Option<String>>,
    pub(crate) parts: BTreeMap<(PartKind, String), Wanted>,
    pub(crate) controllers: BTreeMap<String, Wanted>,
    /// Columns that no table has and that it has been told of.
    unnamed: BTreeSet<Field>,
    /// What stands in the column of names, with the row in which it stood first.
    numbers: BTreeMap<String, usize>,
}

/// Whether some text is read without a fault.
pub(crate) fn reads(text: &str) -> bool {
    parse(text, &[]).faults.is_empty()
}

/// Reads the rows below the headings.
pub(crate) fn read(
    sheet: &Sheet,
    layout: &Layout,
    parts: &[KnownPart],
    told: &mut Vec<Told>,
) -> Zones {
    let (mut out, mut used) = (Zones::default(), BTreeSet::new());
    out.names.taken.extend(parts.iter().map(|part| part.name.clone()));
    let body = sheet.rows.get(layout.body..).unwrap_or_default();
    let usual = body.iter().map(|row| row.filled().count()).max().unwrap_or(0);
    for row in body {
        let mut filled = row.filled();
        if let (Some((_, only)), None, true) = (filled.next(), filled.next(), usual > 2) {
            let what =
                format!("`{}` stands alone, and is taken for a heading", cells::comment(only));
            told.push(Told { row: Some(row.number), column: None, sure: Sure::Likely, what });
            out.entries.push(Entry::Heading(only.to_owned()));
            continue;
        }
        if let Some(sums) = sums(row, layout) {
            let what = format!("`{}` begins a row of sums: it is no zone", cells::comment(sums));
            told.push(Told { row: Some(row.number), column: None, sure: Sure::Guess, what });
            let all: Vec<&str> = row.filled().map(|(_, cell)| cell).collect();
            out.entries.push(Entry::Heading(all.join(" | ")));
            continue;
        }
        let mut reader = Reader { row, layout, parts, told, out: &mut out, said: BTreeSet::new() };
        let (name, part, zone) = reader.zone();
        used.insert(part);
        out.entries.push(Entry::Zone(zone));
        out.list.push(name);
    }
    // What a row names is of no use when that row has a part of its own.
    out.parts.retain(|(kind, name), _| *kind != PartKind::Sensor || used.contains(name));
    out
}

/// The words with which a row of sums begins: beside figures nothing in it says what a zone is or
/// where it lands.
fn sums<'r>(row: &'r Row, layout: &Layout) -> Option<&'r str> {
    const WORDS: [&str; 13] = [
        "total",
        "totals",
        "subtotal",
        "subtotals",
        "sum",
        "summe",
        "zwischensumme",
        "gesamt",
        "gesamtsumme",
        "suma",
        "soma",
        "somme",
        "totaux",
    ];
    // `Grand total`, `Sub-total`, `Total zones`.
    const BESIDE: [&str; 10] = [
        "grand", "sub", "overall", "general", "of", "zones", "points", "inputs", "length", "cable",
    ];
    let (_, first) = row.filled().next()?;
    let first_words = first.to_lowercase();
    let mut words = first_words.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    let mut sums = false;
    let plain = words.all(|word| {
        let sum = WORDS.contains(&word);
        sums |= sum;
        sum || BESIDE.contains(&word) || word.bytes().all(|byte| byte.is_ascii_digit())
    });
    let zone = [
        Field::Title,
        Field::Purpose,
        Field::Part,
        Field::Area,
        Field::Input,
        Field::Controller,
        Field::Cable,
        Field::Armed,
    ];
    let figure = |cell: &str| cell.starts_with(|c: char| c.is_ascii_digit());
    let says = |field: Field| {
        let cell = layout.column(field).map_or("", |(at, _)| row.cell(at));
        !cell.is_empty() && cell != first && !figure(cell)
    };
    let bare = !zone.into_iter().any(says);
    (sums && plain && bare && row.filled().any(|(_, cell)| figure(cell))).then_some(first)
}

struct Reader<'a> {
    row: &'a Row,
    layout: &'a Layout,
    parts: &'a [KnownPart],
    told: &'a mut Vec<Told>,
    out: &'a mut Zones,
    /// The columns whose cells are said wholly by the statements.
    said: BTreeSet<usize>,
}

impl<'a> Reader<'a> {
    fn cell(&self, field: Field) -> Option<(usize, &'a str, Option<&'a str>)> {
        let (at, column) = self.layout.column(field)?;
        let cell = self.row.cell(at);
        (!cell.is_empty()).then_some((at, cell, column.unit.as_deref()))
    }

    fn tell(&mut self, at: usize, sure: Sure, what: String) {
        self.told.push(Told { row: Some(self.row.number), column: Some(at + 1), sure, what });
    }

    /// The name of the zone, its part, and what is said of it.
    fn zone(&mut self) -> (String, String, Zone) {
        let name = self.name();
        let title = self.title();
        let part = self.part();
        let head = format!("zone {name} {title}is {part}");
        let head = if reads(&format!("{head} {{\n}}\n")) {
            head
        } else {
            // A title that cannot stand there stands in a comment.
            if let Some((at, _, _)) = self.cell(Field::Title) {
                self.said.remove(&at);
            }
            format!("zone {name} is {part}")
        };
        let mut statements = Vec::new();
        let mut add = |statement: Option<String>| {
            let reads = |line: &String| reads(&format!("zone a is b {{\n    {line}\n}}\n"));
            match statement.filter(reads) {
                Some(statement) => {
                    statements.push(statement);
                    true
                }
                None => false,
            }
        };
        add(self.purpose());
        add(self.area());
        for (said, statement) in [self.wired(), self.ends(), self.armed()].into_iter().flatten() {
            if !add(Some(statement)) {
                self.said.retain(|column| !said.contains(column));
            }
        }
        for (field, word) in [
            (Field::Settle, "settle"),
            (Field::Lockout, "lockout"),
            (Field::Entry, "entry"),
            (Field::Exit, "exit"),
        ] {
            add(self.time(field, word));
        }
        let comments = self.comments();
        (name, part, Zone { head, statements, comments })
    }

    /// A name that is free, from the column of names, else from the title, else from the row.
    fn name(&mut self) -> String {
        let named = self.cell(Field::Name);
        let titled = self.cell(Field::Title);
        let usable = |name: &String| reads(&format!("zone {name} is a {{\n}}\n"));
        let of = |cell: Option<(usize, &str, Option<&str>)>| {
            cell.and_then(|(_, cell, _)| cells::name(cell)).filter(usable)
        };
        let number = named.and_then(|(_, cell, _)| cells::name(&format!("zone {cell}")));
        let row = format!("zone-row-{}", self.row.number);
        let own = of(named);
        let wanted = own
            .clone()
            .or_else(|| of(titled))
            .or_else(|| number.filter(usable))
            .unwrap_or_else(|| row.clone());
        let name = self.out.names.fresh(&wanted);
        if let Some((at, cell, _)) = named {
            let number = self.row.number;
            let first = *self.out.numbers.entry(cell.to_owned()).or_insert(number);
            if first != number && own.is_none() {
                let what = format!("`{}` stands in row {first} too", cells::comment(cell));
                self.tell(at, Sure::Guess, what);
            }
            if own.as_deref() == Some(cell) && name == wanted {
                self.said.insert(at);
            }
            if name != wanted {
                self.tell(
                    at,
                    Sure::Guess,
                    format!("`{wanted}` is there already; this one is `{name}`"),
                );
            } else if own.is_none() {
                let from = if of(titled).is_some() { ", from its title" } else { "" };
                let cell = cells::comment(cell);
                self.tell(
                    at,
                    Sure::Likely,
                    format!("`{cell}` begins with no letter; the zone is `{name}`{from}"),
                );
            }
        }
        name
    }

    fn title(&mut self) -> String {
        let Some((at, cell, _)) = self.cell(Field::Title) else { return String::new() };
        let Reading { words, whole, .. } = cells::title(cell);
        if whole {
            self.said.insert(at);
        }
        format!("{words} ")
    }

    /// The part of a kind that is there and that some words mean: by its very name, else by a name or
    /// a title that only differs in signs and capitals.
    fn known(&self, kind: PartKind, words: &str) -> Option<&'a KnownPart> {
        let of_kind = || self.parts.iter().filter(|known| known.kind == kind);
        let name = cells::name(words);
        let like = |text: &str| name.is_some() && cells::name(text) == name;
        of_kind()
            .find(|known| known.name == words)
            .or_else(|| of_kind().find(|known| like(&known.name)))
            .or_else(|| of_kind().find(|known| known.title.as_deref().is_some_and(like)))
    }

    /// Tells of a part that the table does not name: by row, or once where no column names any.
    fn unnamed(&mut self, field: Field, part: &str) {
        let what = if field == Field::Cable { "cable" } else { "device" };
        let (row, what) = match self.layout.column(field) {
            Some(_) => (Some(self.row.number), format!("no {what} is named: it is `{part}`")),
            None if !self.out.unnamed.insert(field) => return,
            None => (None, format!("no column names a {what}: each is `{part}`")),
        };
        self.told.push(Told { row, column: None, sure: Sure::Guess, what });
    }

    /// The part of a kind that some words of the table mean: one that is there, or one to write.
    fn part_of(&mut self, kind: PartKind, cell: Option<(usize, &str)>, fallback: &str) -> String {
        let words = cell.map_or(fallback, |(_, cell)| cell);
        let usable = |name: &String| reads(&format!("part {name} is {} {{\n}}\n", kind.word()));
        // A name begins with a letter: `22 AWG` is `cable-22-awg`.
        let numbered = || {
            let named = words.contains(char::is_alphanumeric);
            named.then(|| cells::name(&format!("{} {words}", kind.word())))?.filter(usable)
        };
        let own = cells::name(words).filter(usable).or_else(numbered);
        let named = own.is_some();
        let name = own.unwrap_or_else(|| fallback.to_owned());
        if let Some(known) = self.known(kind, words) {
            if let Some((at, cell)) = cell {
                if known.name == cell {
                    self.said.insert(at);
                } else {
                    let what = format!("`{}` is the part `{}`", cells::comment(cell), known.name);
                    self.tell(at, Sure::Likely, what);
                }
            }
            return known.name.clone();
        }
        let name = self.out.names.shared(Use::Part(kind), &name);
        if let Some((at, cell)) = cell {
            let letter = cell.trim_start().starts_with(char::is_alphabetic);
            if name == cell {
                self.said.insert(at);
            } else if !named {
                let what = format!("`{}` is no name: it is `{name}`", cells::comment(cell));
                self.tell(at, Sure::Kept, what);
            } else if !letter {
                let what = format!(
                    "`{}` is the part `{name}`: a name begins with a letter",
                    cells::comment(cell)
                );
                self.tell(at, Sure::Likely, what);
            }
        }
        let wanted = self.out.parts.entry((kind, name.clone())).or_default();
        if let Some((_, cell)) = cell.filter(|_| named) {
            wanted.title.get_or_insert_with(|| cell.to_owned());
        }
        name
    }

    fn part(&mut self) -> String {
        let device = self.cell(Field::Part).map(|(at, cell, _)| (at, cell));
        let part = self.part_of(PartKind::Sensor, device, "contact");
        if device.is_none() {
            self.unnamed(Field::Part, &part);
        }
        let Some((at, cell, _)) = self.cell(Field::Rest) else { return part };
        let Some(rests) = cells::rest(cell) else {
            return self.rests_unknown(at, cell, part);
        };
        // How a contact rests is said by its part: one part that rests both ways is two parts.
        let Some(wanted) = self.out.parts.get_mut(&(PartKind::Sensor, part.clone())) else {
            return part;
        };
        match &wanted.rests {
            None => wanted.rests = Some(rests.words.clone()),
            Some(other) if *other == rests.words => {}
            Some(_) => {
                let title = wanted.title.clone();
                let other = format!("{part}-rests-{}", rests.words);
                let other = self.out.names.shared(Use::Part(PartKind::Sensor), &other);
                let what = format!("`{part}` rests both ways in the table: this one is `{other}`");
                let twin = self.out.parts.entry((PartKind::Sensor, other.clone())).or_default();
                twin.title = title;
                twin.rests = Some(rests.words);
                self.tell(at, Sure::Guess, what);
                return other;
            }
        }
        part
    }

    /// A part of its own, of which nothing says how it rests: another row may say it of the one that
    /// the table names.
    fn rests_unknown(&mut self, at: usize, cell: &str, part: String) -> String {
        let what = format!("`{}` is no contact that is known", cells::comment(cell));
        let Some(wanted) = self.out.parts.get(&(PartKind::Sensor, part.clone())) else {
            self.tell(at, Sure::Kept, what);
            return part;
        };
        let title = wanted.title.clone();
        let other = format!("{part}-rests-unknown");
        let other = self.out.names.shared(Use::Part(PartKind::Sensor), &other);
        self.out.parts.entry((PartKind::Sensor, other.clone())).or_default().title = title;
        self.tell(at, Sure::Kept, format!("{what}: this one is `{other}`"));
        other
    }

    fn purpose(&mut self) -> Option<String> {
        let (at, cell, _) = self.cell(Field::Purpose)?;
        if cells::life_safety(cell) {
            let what =
                format!("`{}` is life safety, which is not covered here", cells::comment(cell));
            self.tell(at, Sure::Kept, what);
            return None;
        }
        let Some(Reading { words, whole, .. }) = cells::purpose(cell) else {
            self.tell(
                at,
                Sure::Kept,
                format!("`{}` is no purpose that is known", cells::comment(cell)),
            );
            return None;
        };
        if whole {
            self.said.insert(at);
        } else {
            self.tell(
                at,
                Sure::Likely,
                format!("`{}` is the purpose {words}", cells::comment(cell)),
            );
        }
        Some(format!("purpose {words}"))
    }

    fn area(&mut self) -> Option<String> {
        let (at, cell, _) = self.cell(Field::Area)?;
        let usable = |name: &String| reads(&format!("site a {{\n    area {name}\n}}\n"));
        let name = cells::name(cell).filter(usable)?;
        let name = self.out.names.shared(Use::Area, &name);
        let Reading { words, whole, .. } = cells::title(cell);
        let title = (name != cell).then_some(words);
        let known = self.out.areas.entry(name.clone()).or_insert_with(|| title.clone());
        if whole && *known == title {
            self.said.insert(at);
        }
        Some(format!("area {name}"))
    }

    /// Where the zone lands and over what, with the columns that it says.
    fn wired(&mut self) -> Option<(Vec<usize>, String)> {
        let before = self.said.clone();
        let input = self.cell(Field::Input);
        let panel = self.cell(Field::Controller);
        let Some((at, cell, _)) = input.or(panel) else {
            self.tell_length("nothing says where it lands");
            return None;
        };
        // `panel.in3`, `panel/3`, `panel 3`: a controller and a terminal in one cell.
        let parts: Vec<&str> = cell.split(['.', '/', ':']).map(str::trim).collect();
        let (controller, terminal) = match (panel, parts.as_slice()) {
            (Some((_, panel, _)), _) if input.is_some() => (panel, cell),
            (_, [controller, terminal]) => (*controller, *terminal),
            (None, _) => ("panel", cell),
            (Some(_), _) => {
                self.tell(at, Sure::Kept, "nothing says which input it is".to_owned());
                self.tell_length("nothing says where it lands");
                return None;
            }
        };
        let usable = |name: &String| reads(&format!("controller {name} is a\n"));
        let owner = cells::name(controller).filter(usable).unwrap_or_else(|| {
            let number = cells::name(&format!("panel {controller}"));
            number.filter(usable).unwrap_or_else(|| "panel".to_owned())
        });
        let usable =
            |name: &String| reads(&format!("part a is controller {{\n    inputs {name}\n}}\n"));
        let Some(terminal_name) = cells::terminal(terminal).filter(usable) else {
            let what = format!("`{}` is no terminal that can be told", cells::comment(cell));
            self.tell(at, Sure::Kept, what);
            self.tell_length("nothing says where it lands");
            return None;
        };
        let known = self.known(PartKind::Controller, controller).map(|part| part.name.clone());
        let owner = self.out.names.shared(Use::Controller, &owner);
        let mut words = format!("wired to {owner}.{terminal_name}");
        let in_one = cell == format!("{owner}.{terminal_name}");
        let in_two = panel.is_some_and(|(_, panel, _)| panel == owner) && cell == terminal_name;
        if in_one || in_two {
            self.said.insert(at);
            if let Some((panel, _, _)) = panel {
                self.said.insert(panel);
            }
        } else {
            let what =
                format!("`{}` is the terminal `{owner}.{terminal_name}`", cells::comment(cell));
            self.tell(at, Sure::Likely, what);
        }
        if !reads(&format!("zone a is b {{\n    {words}\n}}\n")) {
            self.said = before;
            return None;
        }
        if let Some(part) = &known
            && !self.out.controllers.contains_key(&owner)
        {
            let what = format!(
                "`{}` is the part `{part}`: the controller of this part is `{owner}`",
                cells::comment(controller)
            );
            let at = panel.map_or(at, |(panel, _, _)| panel);
            self.tell(at, Sure::Guess, what);
        }
        let (part, is_there) = match known {
            Some(part) => (part, true),
            None => {
                let part = format!("part-of-{owner}");
                (self.out.names.shared(Use::Part(PartKind::Controller), &part), false)
            }
        };
        let entry = self.out.controllers.entry(owner).or_default();
        entry.part = part;
        entry.known = is_there;
        entry.title.get_or_insert_with(|| controller.to_owned());
        entry.inputs.insert(terminal_name);
        if let Some(run) = self.run() {
            words = format!("{words} over {run}");
        }
        let said = self.said.difference(&before).copied().collect();
        Some((said, words))
    }

    /// Tells that a length is kept, because the statement in which it would stand is not there.
    fn tell_length(&mut self, why: &str) {
        if let Some((at, cell, _)) = self.cell(Field::Length) {
            let what = format!("the length `{}` is kept: {why}", cells::comment(cell));
            self.tell(at, Sure::Kept, what);
        }
    }

    /// `22 m of CABLE`.
    fn run(&mut self) -> Option<String> {
        let cable = self.cell(Field::Cable).map(|(at, cell, _)| (at, cell));
        let (at, cell, unit) = self.cell(Field::Length)?;
        let Some(length) = cells::length(cell, unit) else {
            self.tell(
                at,
                Sure::Kept,
                format!("`{}` is no length that can be told", cells::comment(cell)),
            );
            return None;
        };
        if !length.unit_said {
            self.tell(
                at,
                Sure::Guess,
                format!("`{cell}` is taken for metres: nothing gives a unit"),
            );
        } else if length.whole {
            self.said.insert(at);
        }
        let named = cable.is_some();
        let cable = self.part_of(PartKind::Cable, cable, "line-cable");
        if !named {
            self.unnamed(Field::Cable, &cable);
        }
        Some(format!("{} of {cable}", length.words))
    }

    fn ends(&mut self) -> Option<(Vec<usize>, String)> {
        let (at, cell, unit) = self.cell(Field::Ends)?;
        // A cell may say it as a file does; one line, so that it is this statement and no other.
        let own = !cell.contains(['\n', '\r', '{', '}', '#', '"'])
            && reads(&format!("zone a is b {{\n    ends {cell}\n}}\n"));
        if own {
            self.said.insert(at);
            return Some((vec![at], format!("ends {cell}")));
        }
        let Some(ends) = cells::ends(cell, unit) else {
            let shown = cells::comment(cell);
            let what = if cells::several(cell) {
                format!("`{shown}` names several resistors: how they are joined is not read")
            } else if cell.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b','))
            {
                format!("`{shown}` has no unit, nor has its heading")
            } else {
                format!("`{shown}` is no resistor that can be told")
            };
            self.tell(at, Sure::Kept, what);
            return None;
        };
        if ends.whole {
            self.said.insert(at);
        } else {
            let what = format!(
                "`{}` is `ends {}`: one resistor, in the line",
                cells::comment(cell),
                ends.words
            );
            let what = if ends.words == "none" { format!("`{cell}` is `ends none`") } else { what };
            self.tell(at, Sure::Guess, what);
        }
        Some((vec![at], format!("ends {}", ends.words)))
    }

    fn armed(&mut self) -> Option<(Vec<usize>, String)> {
        let (at, cell, _) = self.cell(Field::Armed)?;
        let Reading { words, whole, .. } = cells::armed(cell)?;
        let mut name = words.clone();
        if words != "always" && words != "never" {
            if !reads(&format!("schedule {words} {{\n}}\n")) {
                return None;
            }
            name = self.out.names.shared(Use::Schedule, &words);
            let title = (name != cell).then(|| cells::title(cell).words);
            self.out.schedules.entry(name.clone()).or_insert(title);
        }
        if whole && name == words {
            self.said.insert(at);
        } else {
            let what = format!("`{}` is the schedule `{name}`", cells::comment(cell));
            self.tell(at, Sure::Likely, what);
        }
        Some((vec![at], format!("armed {name}")))
    }

    fn time(&mut self, field: Field, word: &str) -> Option<String> {
        let (at, cell, unit) = self.cell(field)?;
        let Some(time) = cells::time(cell, unit) else {
            self.tell(
                at,
                Sure::Kept,
                format!("`{}` is no time that can be told", cells::comment(cell)),
            );
            return None;
        };
        if !time.unit_said {
            self.tell(
                at,
                Sure::Guess,
                format!("`{cell}` is taken for seconds: nothing gives a unit"),
            );
        } else if time.whole {
            self.said.insert(at);
        }
        Some(format!("{word} {}", time.words))
    }

    /// The cells that the statements do not say wholly, by their headings.
    fn comments(&self) -> Vec<String> {
        let mut out = Vec::new();
        for (at, cell) in self.row.filled() {
            if self.said.contains(&at) {
                continue;
            }
            let heading = self.layout.columns.get(at).map_or("", |column| column.heading.as_str());
            let heading = heading.lines().collect::<Vec<_>>().join(" ");
            let heading = if heading.is_empty() { crate::letters(at + 1) } else { heading };
            for (line, text) in
                cell.split(['\n', '\r']).filter(|text| !text.trim().is_empty()).enumerate()
            {
                let lead = if line == 0 { format!("{heading}: ") } else { "  ".to_owned() };
                out.push(cells::comment(&format!("{lead}{}", text.trim_end())));
            }
        }
        out
    }
}
