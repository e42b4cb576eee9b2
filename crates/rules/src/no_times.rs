//! Times of nothing where something has to take a time: impossible values.

use crate::impossible_value::RULE;
use crate::rule::Findings;
use curtilage_facts::Facts;
use curtilage_model::Model;
use curtilage_syntax::tree::Spanned;
use curtilage_syntax::tree::response::{Causes, EffectKind};
use curtilage_text::{FileId, Place};

/// What is said of two events that may not lie apart.
const WITHIN: &str = "within TIME    (as long as one may come after the other)";

/// A time, and what its thing would do if it were nothing.
type Never = Option<(Spanned<u64>, &'static str)>;

/// What a time of nothing comes to, what to write instead, and the name of the thing.
struct Words<'a> {
    why: String,
    help: String,
    about: &'a str,
}

pub(crate) fn no_times(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let file = model.root_file();
    effects(model, file, out);
    for response in &model.responses {
        if let Causes::All(_, within) = &response.tree.causes {
            tell(model, file, *within, out, || Words {
                why: "all of them would have to happen in the same millisecond".to_owned(),
                help: WITHIN.to_owned(),
                about: response.name.map_or("", |name| name.text),
            });
        }
    }
    for zone in &model.zones {
        if let Some((_, within)) = zone.tree.confirmed {
            tell(model, file, within, out, || Words {
                why: "both zones would have to become active in the same millisecond".to_owned(),
                help: WITHIN.to_owned(),
                about: zone.name.text,
            });
        }
    }
    for output in &model.outputs {
        if let Some(most) = output.tree.most {
            tell(model, file, most, out, || Words {
                why: format!("`{}` would stop as it starts", output.name.text),
                help: "runs  at most TIME, or take the line out".to_owned(),
                about: output.name.text,
            });
        }
    }
    // That of a shared file is told where that file is checked.
    let policy = model.policy.as_ref().filter(|policy| policy.file == file);
    if let Some(recharge) = policy.and_then(|policy| policy.tree.recharge) {
        tell(model, file, recharge.value, out, || Words {
            why: "no battery recharges in no time".to_owned(),
            help: "recharge  at most TIME, or take the line out".to_owned(),
            about: "",
        });
    }
}

/// What responses switch.
fn effects(model: &Model<'_>, file: FileId, out: &mut Findings) {
    let effects = model.responses.iter().flat_map(|response| &response.tree.effects);
    for effect in effects {
        let (name, times): (_, [Never; 3]) = match &effect.kind {
            EffectKind::Switch { output, on, hold } => {
                let never = if *on { "be closed for no time" } else { "be opened for no time" };
                (output, [hold.map(|hold| (hold, never)), None, None])
            }
            EffectKind::Pulse { output, on, off, hold } => (
                output,
                [
                    Some((*on, "never be on")),
                    Some((*off, "never be off")),
                    Some((*hold, "pulse for no time")),
                ],
            ),
            EffectKind::Sound { controller, hold } => {
                (controller, [hold.map(|hold| (hold, "sound for no time")), None, None])
            }
            _ => continue,
        };
        for (time, never) in times.into_iter().flatten() {
            tell(model, file, time, out, || {
                let name = model.text(Place::new(file, name.span));
                let help = match &effect.kind {
                    EffectKind::Switch { on: true, .. } => format!("close  {name} for TIME"),
                    EffectKind::Switch { .. } => format!("open  {name} for TIME"),
                    EffectKind::Pulse { .. } => {
                        format!("pulse  {name} TIME on, TIME off, for TIME")
                    }
                    _ => format!("sound  {name} for TIME"),
                };
                Words { why: format!("`{name}` would {never}"), help, about: name }
            });
        }
    }
}

fn tell<'a>(
    model: &Model<'_>,
    file: FileId,
    time: Spanned<u64>,
    out: &mut Findings,
    words: impl FnOnce() -> Words<'a>,
) {
    if time.value > 0 {
        return;
    }
    let at = Place::new(file, time.span);
    let Words { why, help, about } = words();
    let mut finding =
        RULE.finds(format!("`{}`: {why}", model.text(at)), at, "no time at all").with_help(help);
    finding.about.extend(Some(about).filter(|about| !about.is_empty()).map(str::to_owned));
    out.push(finding);
}
