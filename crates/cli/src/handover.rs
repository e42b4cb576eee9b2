//! `curtilage handover`: the papers of a site, written into a folder.

use crate::arguments::Handover;
use crate::{Ending, output};
use curtilage_facts::{Facts, Options};
use curtilage_handover::Papers;
use curtilage_project::{FolderProblem, Loader, NOTE, publish, scope, today, workspace_root};
use std::io;

pub(crate) fn run(arguments: &Handover) -> io::Result<Ending> {
    let shown = arguments.site.display();
    if arguments.site.is_dir() {
        output::complain(&format!("{shown} is a folder; name the one site file"));
        return Ok(Ending::Usage);
    }
    let file = match arguments.site.canonicalize() {
        Ok(file) => file,
        Err(error) => {
            output::complain(&format!("{shown}: {error}"));
            return Ok(Ending::Unreadable);
        }
    };
    let loader = Loader::new(workspace_root(&file)?);
    let scope = match scope(&loader, &file) {
        Ok(scope) => scope,
        Err(problem) => {
            output::complain(&format!("{shown}: {problem}"));
            return Ok(Ending::Unreadable);
        }
    };
    let model = curtilage_model::build(&scope);
    let facts = Facts::new(&model, Options { today: arguments.date.unwrap_or_else(today) });
    let Some(papers) = Papers::new(&facts, arguments.date) else {
        output::complain(&format!("{shown} has no `site`; parts and policies have no papers"));
        return Ok(Ending::Usage);
    };
    let out = arguments.out.display();
    if arguments.out.exists() && !arguments.out.is_dir() {
        output::complain(&format!(
            "{out} is a file, and papers need a folder; nothing was written"
        ));
        return Ok(Ending::Usage);
    }
    match publish(&arguments.out, &papers.files()) {
        Ok(told) => {
            let mut text = format!(
                "{out}: {} written, {} as before, {} of an earlier run removed\n",
                told.written, told.unchanged, told.removed
            );
            for name in &told.kept {
                text.push_str(&format!(
                    "{name} is not needed any more but was changed: it stays\n"
                ));
            }
            if let Some(unfit) = &papers.unfit {
                text.push_str(&format!("{unfit}\n"));
            }
            output::tell(&text)?;
            Ok(if papers.unfit.is_some() { Ending::Findings } else { Ending::Clean })
        }
        Err(FolderProblem::InTheWay(names)) => {
            output::complain(&format!(
                "nothing was written: not from here, or changed since it was written: {}; move it away or choose another folder than {out}",
                names.join(", ")
            ));
            Ok(Ending::Usage)
        }
        Err(FolderProblem::Io(name, error)) => {
            let out = out.to_string();
            let place = if name == out { out } else { format!("{out}, {name}") };
            output::complain(&format!("{place}: {error}; nothing was changed"));
            Ok(Ending::Unreadable)
        }
        Err(FolderProblem::HalfWritten(name, error)) => {
            output::complain(&format!(
                "{out}, {name}: {error}; some papers are old and some new, as {NOTE} there says: run it again"
            ));
            Ok(Ending::Unreadable)
        }
    }
}
