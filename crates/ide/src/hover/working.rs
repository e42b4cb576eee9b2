//! The working of figures as a list.

use curtilage_diagnostic::Step;

/// Writes steps below a rule; nothing when there is none.
pub(super) fn write(steps: &[Step], out: &mut String) {
    if steps.is_empty() {
        return;
    }
    out.push_str("\n---\n\nworking\n\n");
    let mut said: Vec<&Step> = Vec::new();
    for step in steps {
        // The same cable or battery may stand in the working of two figures.
        if said.contains(&step) {
            continue;
        }
        said.push(step);
        out.push_str(&format!("- {}: `{}` = **{}**\n", step.what, step.formula, step.result));
        let inputs: Vec<String> =
            step.inputs.iter().map(|input| format!("{} {}", input.name, input.value)).collect();
        let with = if inputs.is_empty() { String::new() } else { inputs.join(", ") + "; " };
        out.push_str(&format!("  - {with}{}\n", step.source));
    }
}
