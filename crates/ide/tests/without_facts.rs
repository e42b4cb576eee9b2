//! What the names alone can answer waits for no figure: right after a keystroke there are none yet.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "tests")]

use curtilage_facts::{Asked, Facts, Options};
use curtilage_ide::{self as ide, View};
use curtilage_model::Model;
use curtilage_project::{Loader, scope};
use curtilage_testkit::{TODAY, root};

/// A model whose facts nobody may ask for.
struct NamesAlone<'m, 'a>(&'m Model<'a>);

impl Asked for NamesAlone<'_, '_> {
    fn model(&self) -> &Model<'_> {
        self.0
    }

    fn options(&self) -> Options {
        Options { today: TODAY }
    }

    fn facts(&self) -> &Facts<'_, '_> {
        unreachable!("the facts were asked for");
    }
}

#[test]
fn what_the_names_answer_asks_for_no_facts() {
    let path = root().join("examples/sites/museum.site");
    let scope = scope(&Loader::new(root()), &path).unwrap();
    let model = curtilage_model::build(&scope);
    let names = NamesAlone(&model);
    let view = View::root(&names);
    let text = &view.source().unwrap().text;
    let _ = ide::tokens(view, None);
    let _ = ide::folds(view);
    let _ = ide::links(view);
    ide::format(view).unwrap();
    let mut found = [0; 4];
    for offset in (0..).take(text.len()).step_by(5) {
        found[0] += usize::from(ide::definition(view, offset).is_some());
        found[1] += ide::highlights(view, offset).len();
        found[2] += usize::from(ide::prepare_rename(view, offset).is_ok());
        let _ = ide::form_help(view, offset);
        let before = text.get(..offset as usize).unwrap().rsplit('\n').next().unwrap();
        // Names come with their figures, and so does some of what may begin a line.
        if ["    purpose ", "    lockout ", "    wired "]
            .iter()
            .any(|line| before.starts_with(line))
        {
            found[3] += ide::complete(view, offset).len();
        }
    }
    assert!(found.iter().all(|count| *count > 20), "{found:?}");
}
