//! What lenses do when they are chosen. Every editor can ask for it; none needs code of its own.

use crate::backend::Ask;
use crate::context::{Context, refused};
use curtilage_facts::events::{Outcome, Rehearsed, Show, Unplayed};
use curtilage_model::{Model, Rehearsal};
use lsp_types::{ExecuteCommandParams, MessageType, Position, Range, ShowDocumentParams, Uri};
use serde_json::Value;
use std::fmt::Write;
use tower_lsp::jsonrpc::{Error, Result};

/// Plays the rehearsals of a file, or those of a title, of which a place tells one: `[uri, title or
/// null, position]`. The answer is text with the time lines.
pub(crate) const REHEARSE: &str = "curtilage.rehearse";

/// Shows places of a file: `[uri, ranges]`. The answer is the places.
pub(crate) const SHOW: &str = "curtilage.show";

/// What came of a command, and what the client is asked to show.
pub(crate) struct Done {
    pub(crate) answer: Value,
    pub(crate) message: Option<(MessageType, String)>,
    pub(crate) show: Option<ShowDocumentParams>,
}

pub(crate) fn run(ask: &Ask, params: &ExecuteCommandParams) -> Result<Done> {
    let argument = |index: usize| params.arguments.get(index).cloned().unwrap_or_default();
    let command = params.command.as_str();
    if !matches!(command, REHEARSE | SHOW) {
        return Err(Error::invalid_params(format!("there is no command `{command}`")));
    }
    let uri: Uri = serde_json::from_value(argument(0))
        .map_err(|_| Error::invalid_params("the first argument must be an address"))?;
    match command {
        REHEARSE => {
            // Who names no place means all of the title.
            let at = serde_json::from_value(argument(2)).ok();
            rehearse(ask, &uri, argument(1).as_str(), at)
        }
        _ => {
            let ranges: Vec<Range> = serde_json::from_value(argument(1))
                .map_err(|_| Error::invalid_params("the second argument must be ranges"))?;
            Ok(show(ask, uri, &ranges))
        }
    }
}

fn rehearse(ask: &Ask, uri: &Uri, title: Option<&str>, at: Option<Position>) -> Result<Done> {
    let context = Context::new(ask, uri)?;
    let facts = context.analysis.facts();
    let (mut text, mut played, mut held) = (String::new(), 0, 0);
    let titled = |one: &Rehearsal<'_>| title.is_none_or(|title| one.title == title);
    let at = at.map(|at| context.offset(at));
    let stands = |one: &Rehearsal<'_>| at.is_some_and(|at| one.tree.line.touches(at));
    // The text may have changed since the place was told.
    let placed = facts.model.rehearsals.iter().any(|one| titled(one) && stands(one));
    for (rehearsal, rehearsed) in facts.model.rehearsals.iter().zip(facts.rehearsed()) {
        if titled(rehearsal) && (!placed || stands(rehearsal)) {
            played += 1;
            held += usize::from(rehearsed.holds());
            tell(&mut text, facts.model, rehearsal, rehearsed);
        }
    }
    if played == 0 {
        return Err(refused("there is no such rehearsal in the file".to_owned()));
    }
    let message = match title {
        Some(title) if played > 1 => {
            format!("{held} of {played} rehearsals \"{title}\" go as expected")
        }
        Some(title) if held == played => format!("\"{title}\" goes as expected"),
        Some(title) => format!("\"{title}\" goes otherwise"),
        None => format!("{held} of {played} rehearsals go as expected"),
    };
    let kind = if held == played { MessageType::INFO } else { MessageType::WARNING };
    Ok(Done { answer: Value::String(text), message: Some((kind, message)), show: None })
}

fn tell(text: &mut String, model: &Model<'_>, rehearsal: &Rehearsal<'_>, rehearsed: &Rehearsed) {
    let _ = writeln!(text, "{}", rehearsal.title);
    match &rehearsed.played {
        Ok(played) => {
            for outcome in &rehearsed.outcomes {
                if let Outcome::Fails { instead, why } = outcome {
                    let _ = writeln!(text, "  {instead}");
                    if let Some(why) = why {
                        let _ = writeln!(text, "  {why}");
                    }
                }
            }
            if let Some(drawing) = rehearsed.drawing(model, rehearsal, Show::Everything) {
                let _ = writeln!(text, "\n{}", drawing.text(played));
            }
        }
        Err(Unplayed::Senseless(found)) => {
            let _ = writeln!(text, "  {}", found.why);
        }
        Err(Unplayed::NotKnown(why)) => {
            let _ = writeln!(text, "  {why}");
        }
    }
}

fn show(ask: &Ask, uri: Uri, ranges: &[Range]) -> Done {
    let show = ranges.first().filter(|_| ask.snapshot.features.show_document).map(|first| {
        ShowDocumentParams {
            uri: uri.clone(),
            external: Some(false),
            take_focus: Some(true),
            selection: Some(*first),
        }
    });
    let places: Vec<Value> =
        ranges.iter().map(|range| serde_json::json!({ "uri": uri, "range": range })).collect();
    Done { answer: Value::Array(places), message: None, show }
}
