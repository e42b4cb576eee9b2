//! What could be written where a terminal or a thing is named that is not there.

use curtilage_facts::Facts;
use curtilage_model::{ContactAt, Controller, ControllerId, Kind, Model, TerminalKind};
use curtilage_text::Place;

/// So many are named at most.
const MOST: usize = 4;

/// The terminals of a kind that a controller has, as far as nothing is on them; or what to do where
/// it has none.
pub(crate) fn terminals(
    facts: &Facts<'_, '_>,
    controller: &str,
    wanted: TerminalKind,
) -> Option<String> {
    let model = facts.model;
    let found = model.controllers_by_id().find(|(_, one)| one.name.text == controller);
    let (id, one) = found?;
    let names = names(model, one, wanted)?;
    if names.is_empty() {
        return Some(without(wanted));
    }
    let whole = |name: &String| format!("{controller}.{name}");
    // An outlet may feed several, and a common takes many; what cannot be read may take one of the
    // others.
    let many = matches!(wanted, TerminalKind::Common | TerminalKind::Outlet);
    let unread = ["zone", "output", "relay", "camera"];
    if many || unread.into_iter().any(|word| facts.doubt.about_any(word)) {
        return Some(format!("write {}", few(names.iter().map(whole))));
    }
    let taken = taken(model, id);
    let free: Vec<String> =
        names.iter().filter(|name| !taken.contains(&name.as_str())).map(whole).collect();
    let noun = wanted.noun();
    Some(match free.len() {
        0 => format!("every {noun} of `{controller}` is taken: name one of another controller"),
        _ => format!("free there: {}", few(free.into_iter())),
    })
}

/// What to do where a controller has no terminal of a kind.
fn without(wanted: TerminalKind) -> String {
    match wanted {
        TerminalKind::Input => "wired  to INPUT    (of a controller that has inputs)",
        TerminalKind::Common => "take `and TERMINAL` out: its part gives no common to return to",
        TerminalKind::Relay => {
            "through  RELAY    (of a controller that has relays, or a relay of its own)"
        }
        TerminalKind::Outlet => {
            "fed  from SUPPLY    (or from a tap of a cable: this controller feeds nothing)"
        }
        TerminalKind::Channel => "on CONTROLLER.CHANNEL    (of a controller that has channels)",
    }
    .to_owned()
}

/// The names of a controller's terminals of a kind, in the order of its sheet; not known where its
/// part is not.
fn names(
    model: &Model<'_>,
    controller: &Controller<'_>,
    wanted: TerminalKind,
) -> Option<Vec<String>> {
    let mut names: Vec<String> = Vec::new();
    for offered in model.terminals(controller.part?) {
        // Inputs can share their common.
        if offered.kind == wanted && !names.contains(&offered.name) {
            names.push(offered.name);
        }
    }
    Some(names)
}

/// The inputs, relays and channels of a controller that something is on.
fn taken<'a>(model: &Model<'a>, id: ControllerId) -> Vec<&'a str> {
    let landed = model.zones.iter().flat_map(|zone| [zone.input, zone.tamper()]);
    let landed = landed.filter_map(|input| input?.terminal);
    let outputs = model.outputs.iter().map(|output| output.through);
    let contacts = outputs.chain(model.relays.iter().map(|relay| relay.through));
    let relays = contacts.filter_map(|contact| match contact?.of {
        ContactAt::Terminal(terminal) => Some(terminal),
        ContactAt::Relay(_) => None,
    });
    let channels = model.cameras.iter().filter_map(|camera| camera.channel);
    let all = landed.chain(relays).chain(channels);
    all.filter(|terminal| terminal.controller == id).map(|terminal| terminal.name).collect()
}

/// The things that could be meant where another one, or none, is named.
pub(crate) fn things(facts: &Facts<'_, '_>, wanted: Kind, at: Place) -> Option<String> {
    let model = facts.model;
    let controllers = || model.controllers.iter().map(|one| one.name.text).collect();
    let (what, names): (&str, Vec<&str>) = match wanted {
        Kind::Controller | Kind::ContactSource => {
            if let Some(other) = with_terminal(model, at) {
                return Some(format!("did you mean `{other}`?"));
            }
            ("controllers", controllers())
        }
        Kind::Supply | Kind::Source => {
            ("supplies", model.supplies.iter().map(|one| one.name.text).collect())
        }
        Kind::Zone => ("zones", model.zones.iter().map(|one| one.name.text).collect()),
        Kind::Output => ("outputs", model.outputs.iter().map(|one| one.name.text).collect()),
        Kind::Camera => ("cameras", model.cameras.iter().map(|one| one.name.text).collect()),
        _ => return None,
    };
    let listed = few(names.iter().map(|name| (*name).to_owned()));
    match names.len() {
        0 => None,
        1 => Some(format!("this site has one: {listed}")),
        _ => Some(format!("one of the {what} of this site: {listed}")),
    }
}

/// The terminal of another controller, where just one has that of which the name stands behind this
/// place.
fn with_terminal(model: &Model<'_>, at: Place) -> Option<String> {
    let source = model.sources().iter().find(|source| source.file == at.file)?;
    let behind = source.text.get(at.span.end as usize..)?.strip_prefix('.')?;
    let end = behind.find(|c: char| c.is_whitespace() || matches!(c, ',' | '{' | '#'));
    let tail = behind.get(..end.unwrap_or(behind.len()))?;
    let has = |controller: &&Controller<'_>| {
        let offered = controller.part.map(|part| model.terminals(part)).unwrap_or_default();
        offered.iter().any(|one| one.name == tail)
    };
    let mut found = model.controllers.iter().filter(has);
    let one = found.next().filter(|_| !tail.is_empty())?;
    found.next().is_none().then(|| format!("{}.{tail}", one.name.text))
}

/// The first of some names: "`a`, `b` or `c`", "`a`, `b`, `c`, `d` or 3 others".
fn few(names: impl Iterator<Item = String>) -> String {
    let names: Vec<String> = names.map(|name| format!("`{name}`")).collect();
    let (first, rest) = names.split_at(names.len().min(MOST));
    match (first, rest.len()) {
        ([one], 0) => one.clone(),
        ([most @ .., last], 0) => format!("{} or {last}", most.join(", ")),
        (_, 1) => format!("{} or one more", first.join(", ")),
        (_, more) => format!("{} or {more} others", first.join(", ")),
    }
}
