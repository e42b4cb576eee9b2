//! `curtilage explain`.

use crate::arguments::Explain;
use crate::{Ending, output};
use curtilage_rules::RULES;
use curtilage_syntax::nearest;
use std::io;

pub(crate) fn run(arguments: &Explain) -> io::Result<Ending> {
    let name = arguments.rule.as_str();
    if let Some(rule) = curtilage_rules::rule(name) {
        output::print(rule.page.as_bytes())?;
        return Ok(Ending::Clean);
    }
    let near = nearest(name, RULES.iter().map(|rule| rule.name));
    let mean = near.map_or_else(
        || "`curtilage rules` lists them".to_owned(),
        |near| format!("did you mean `{near}`?"),
    );
    output::complain(&format!("there is no rule `{name}`; {mean}"));
    Ok(Ending::Usage)
}
