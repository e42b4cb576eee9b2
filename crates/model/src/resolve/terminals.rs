//! Terminals of controllers.

use super::Resolver;
use crate::ids::ControllerId;
use crate::terminal::{Offers, Terminal, TerminalKind};
use crate::{Fault, FaultKind, Kind, Source, terminal};
use curtilage_syntax::nearest;
use curtilage_syntax::tree::Path;
use curtilage_text::{Place, Span};

impl<'a> Resolver<'a> {
    pub(super) fn terminal(
        &mut self,
        source: &'a Source,
        path: Path,
        wanted: TerminalKind,
    ) -> Option<Terminal<'a>> {
        let index = self.one(source, path.head, Kind::Controller)?;
        self.terminal_at(source, path, index, wanted)
    }

    pub(super) fn terminal_at(
        &mut self,
        source: &'a Source,
        path: Path,
        controller: usize,
        wanted: TerminalKind,
    ) -> Option<Terminal<'a>> {
        let thing = self.model.controllers.get(controller)?;
        let part = thing.part?;
        let file = self.model.sources.iter().find(|source| source.file == part.file)?;
        let text = |span: Span| -> &'a str { span.of(&file.text) };
        let name = path.tail.map_or("", |tail| source.text(tail.span));
        let offers = self.offers.entry(part.id).or_insert_with(|| Offers::of(part.sheet, text));
        let found = offers.find(name);
        if let Some((kind, group)) = found.filter(|(kind, _)| *kind == wanted) {
            let controller = ControllerId::new(controller);
            return Some(Terminal { controller, name, kind, group, file: part.file });
        }
        let groups = terminal::groups(part.sheet);
        let of_kind = groups.iter().find(|(kind, _)| *kind == wanted).map_or(&[][..], |(_, g)| g);
        let (known, names) = if wanted == TerminalKind::Common {
            let inputs = part.sheet.inputs.iter().filter_map(|group| group.common);
            let mut names: Vec<String> = inputs.map(|name| text(name.span).to_owned()).collect();
            names.extend(of_kind.iter().flat_map(|group| terminal::names(group, text)));
            (names.join(", "), names)
        } else {
            let declared: Vec<&str> = of_kind.iter().map(|group| text(group.span)).collect();
            let names = of_kind.iter().flat_map(|group| terminal::names(group, text)).collect();
            (declared.join(", "), names)
        };
        // Another number of the same kind is no misspelling: it is likely taken.
        let stem = |name: &str| name.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let nearest = nearest(name, names.iter().map(String::as_str))
            .filter(|near| near.get(..stem(near)) != name.get(..stem(name)))
            .map(str::to_owned);
        let declared = of_kind.first().map(|group| group.span);
        let at_part = self.model.parts.get(part.id.index()).map(|part| part.line);
        let declared = match declared {
            Some(span) => Place::new(part.file, span),
            None => at_part.unwrap_or_default(),
        };
        self.faults.push(Fault {
            kind: FaultKind::UnknownTerminal {
                controller: thing.name.text.to_owned(),
                terminal: name.to_owned(),
                wanted,
                is: found.map(|(kind, _)| kind),
                known,
                nearest,
                declared,
            },
            at: Place::new(source.file, path.span()),
        });
        None
    }
}
