//! Texts that the transcripts share.

/// Parts that stand alone.
pub(crate) const PARTS: &str = "part reed is sensor {\n    rests   closed\n    active  until restored\n    contact 0.5 A at 24 V dc resistive, 0.15 ohm\n}\n";

/// A site with one finding that goes when the schedule is used.
pub(crate) const SITE: &str = "\
use \"parts.site\"

site barn \"Barn\" {
    timezone  Europe/Lisbon
    ambient   0 to 35 degC
}

schedule day {
    Mon to Fri  08:00 to 18:00
}
";

/// The names of the rules that diagnostics name, in order.
pub(crate) fn rules(items: &[lsp_types::Diagnostic]) -> Vec<String> {
    let rule = |item: &lsp_types::Diagnostic| match &item.code {
        Some(lsp_types::NumberOrString::String(rule)) => rule.clone(),
        other => panic!("a finding without its rule: {other:?}"),
    };
    items.iter().map(rule).collect()
}
