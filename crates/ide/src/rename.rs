//! Renaming across files, refused when the name would clash or could not be read.

use crate::View;
use crate::form::forms;
use crate::mention::{Identity, IdentityOf};
use crate::names::{Names, Scope, scope_of};
use crate::navigate::{every, identify};
use crate::view::source;
use curtilage_diagnostic::Edit;
use curtilage_model::{Kind, Model};
use curtilage_syntax::{Kind as TokenKind, Tokens};
use curtilage_text::{Place, Span};

/// Why a name is not changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Why, in words for people.
    pub why: String,
    /// The other thing of that name, or what cannot be renamed with it.
    pub other: Option<Place>,
}

fn refuse<T>(why: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal { why: why.into(), other: None })
}

/// The words that a rename would change, and the name as it is.
///
/// # Errors
/// When nothing under the cursor has a name that can be changed.
pub fn prepare_rename(view: View<'_>, offset: u32) -> Result<(Span, String), Refusal> {
    let Some((span, identity)) = identify(view, offset) else {
        return refuse("there is no name here that can be changed");
    };
    if let IdentityOf::Terminal { ranged: true } = identity.of {
        let why = format!(
            "`{}` is one of a numbered range; change the range where the part declares it",
            identity.name
        );
        return Err(Refusal { why, other: Some(identity.at) });
    }
    Ok((span, identity.name))
}

/// The edits, in all files, that give the thing under a cursor another name.
///
/// # Errors
/// When there is no such thing, the name cannot be written, or something else has it.
pub fn rename(
    models: &[&Model<'_>],
    view: View<'_>,
    offset: u32,
    new: &str,
) -> Result<Vec<Edit>, Refusal> {
    prepare_rename(view, offset)?;
    let Some((_, identity)) = identify(view, offset) else {
        return refuse("there is no name here that can be changed");
    };
    let new = new.trim();
    if new == identity.name {
        return Ok(Vec::new());
    }
    fits(new, &identity)?;
    clash(view.model(), &identity, new)?;
    for model in models.iter().filter(|model| source(model, identity.at.file).is_some()) {
        clash(model, &identity, new)?;
    }
    let all = every(models, view, &identity);
    if let Some(unsure) = all.iter().find(|written| written.unsure) {
        let why = format!(
            "more than one thing is called `{}`, and an exception may mean another one: take it out \
             first, and write it anew afterwards",
            identity.name
        );
        return Err(Refusal { why, other: Some(unsure.at) });
    }
    Ok(all.into_iter().map(|written| Edit { at: written.at, text: new.to_owned() }).collect())
}

/// Whether a name can be written.
fn fits(new: &str, identity: &Identity) -> Result<(), Refusal> {
    let tokens = Tokens::new(new);
    let one_word = matches!(tokens.list(), [only] if only.kind == TokenKind::Word);
    let (_, tail) = crate::mention::cut(new, Span::new(0, u32::try_from(new.len()).unwrap_or(0)));
    if !one_word || tail.is_some() || new.contains(['/', '^', '%', '°']) {
        return refuse(format!(
            "`{new}` is no name: a name is words of letters and digits joined by hyphens"
        ));
    }
    if matches!(new, "always" | "never") && identity.of == IdentityOf::Thing(Kind::Schedule) {
        return refuse(format!("`{new}` is a schedule that every site has"));
    }
    if is_word_of_language(new) {
        return refuse(format!("`{new}` is a word of the language"));
    }
    if curtilage_units::lookup(new).is_some() {
        return refuse(format!("`{new}` is a unit"));
    }
    Ok(())
}

/// Words that join the parts of a statement; a name spelled like them would be taken for them.
const JOINTS: &[&str] = &[
    "to", "is", "of", "on", "over", "from", "and", "not", "plus", "minus", "within", "drives",
    "for", "at", "by", "any", "all", "start", "until", "because", "during", "holidays", "none",
    "tamper",
];

fn is_word_of_language(word: &str) -> bool {
    JOINTS.contains(&word)
        || crate::form::DAYS.contains(&word)
        || forms().of_block("a file").any(|form| form.word == word)
}

/// Whether another thing of the scope has the name.
fn clash(model: &Model<'_>, identity: &Identity, new: &str) -> Result<(), Refusal> {
    let names = Names::of(model);
    let found = match identity.of {
        IdentityOf::Thing(kind @ (Kind::Tap | Kind::Preset)) => {
            let own = names.list.iter().find(|known| known.at == identity.at);
            let of = own.and_then(|own| own.of).unwrap_or("");
            names.inside(kind, of, new).map(|found| (found.at, found.kind.words()))
        }
        IdentityOf::Thing(kind) => {
            let scope: Scope = scope_of(kind);
            names.get(scope, new).map(|found| (found.at, found.kind.words()))
        }
        IdentityOf::Terminal { .. } => {
            let parts = model.controllers.iter().filter_map(|thing| thing.part);
            let part = parts.into_iter().find(|part| part.file == identity.at.file);
            let list = part.map_or_else(Vec::new, |part| model.terminals(part));
            let found = list.into_iter().find(|known| known.name == new);
            found.map(|found| (Place::new(identity.at.file, found.given), found.kind.words()))
        }
    };
    match found {
        Some((other, kind)) => {
            Err(Refusal { why: format!("`{new}` is already {kind}"), other: Some(other) })
        }
        None => Ok(()),
    }
}
