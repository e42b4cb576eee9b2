//! What the user can set, under `curtilage` in the settings of the editor, or as initialization
//! options. What is not given has its default; what makes no sense is told and left at its default.

use curtilage_syntax::tree::Date;
use serde_json::Value;
use std::collections::BTreeMap;

/// The section of the client's settings.
pub(crate) const SECTION: &str = "curtilage";

/// The settings.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Settings {
    /// `date`: the day on which exceptions are looked at; today when it is not given.
    pub(crate) date: Option<Date>,
    /// `diagnostics`: who asks for diagnostics.
    pub(crate) diagnostics: Way,
    /// `rulePages`: where the pages of the rules are, with `{rule}` for the rule's name.
    pub(crate) rule_pages: Option<String>,
    /// `hints.KIND`: which figures are shown at the ends of lines.
    hints: BTreeMap<String, bool>,
    /// `lenses.KIND`: which lenses are shown.
    lenses: BTreeMap<String, bool>,
}

/// How diagnostics get to the client.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(crate) enum Way {
    /// The client asks when it can be told to ask again, otherwise the server sends them.
    #[default]
    Auto,
    Push,
    Pull,
}

impl Settings {
    /// Whether a kind of hint is shown.
    pub(crate) fn hint(&self, kind: &str) -> bool {
        self.hints.get(kind).copied().unwrap_or(true)
    }

    /// Whether a kind of lens is shown.
    pub(crate) fn lens(&self, kind: &str) -> bool {
        self.lenses.get(kind).copied().unwrap_or(true)
    }

    /// Reads settings, and tells what is wrong with them. A value that is wrapped in its section is
    /// taken as well: `{"curtilage": {...}}`.
    pub(crate) fn read(value: &Value) -> (Self, Vec<String>) {
        let value = value.get(SECTION).unwrap_or(value);
        let (mut settings, mut wrong) = (Self::default(), Vec::new());
        let Some(map) = value.as_object() else {
            if !value.is_null() {
                wrong.push(format!("`{SECTION}` must be an object"));
            }
            return (settings, wrong);
        };
        for (name, value) in map {
            if value.is_null() {
                continue;
            }
            let fine = match name.as_str() {
                "date" => {
                    settings.date = value.as_str().and_then(Date::from_text);
                    settings.date.is_some() || value.as_str() == Some("")
                }
                "rulePages" => {
                    settings.rule_pages =
                        value.as_str().filter(|text| !text.is_empty()).map(str::to_owned);
                    value.is_string()
                }
                "diagnostics" => match value.as_str() {
                    Some("auto") => true,
                    Some("push") => set(&mut settings.diagnostics, Way::Push),
                    Some("pull") => set(&mut settings.diagnostics, Way::Pull),
                    _ => false,
                },
                "hints" => switches(value, &mut settings.hints),
                "lenses" => switches(value, &mut settings.lenses),
                // An editor keeps settings of its own here, such as the path of the binary.
                _ => true,
            };
            if !fine {
                wrong.push(format!("`{SECTION}.{name}` cannot be {value}"));
            }
        }
        (settings, wrong)
    }
}

fn set<T>(place: &mut T, value: T) -> bool {
    *place = value;
    true
}

/// `true` and `false` for all kinds, or an object with one for each.
fn switches(value: &Value, into: &mut BTreeMap<String, bool>) -> bool {
    match value {
        Value::Object(map) => map.iter().fold(true, |fine, (name, value)| {
            into.extend(value.as_bool().map(|on| (name.clone(), on)));
            fine && value.is_boolean()
        }),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn settings_are_read_with_and_without_their_section() {
        let inner = json!({"date": "2026-11-25", "hints": {"load": false}, "diagnostics": "push"});
        let (settings, wrong) = Settings::read(&inner);
        assert!(wrong.is_empty(), "{wrong:?}");
        assert!(!settings.hint("load") && settings.hint("hours"));
        assert_eq!(settings.diagnostics, Way::Push);
        assert_eq!(Settings::read(&json!({ "curtilage": inner })).0, settings);
    }

    #[test]
    fn what_makes_no_sense_is_told_and_left() {
        let value = json!({"date": "2026-02-30", "hints": 3, "diagnostics": "shout"});
        let (settings, wrong) = Settings::read(&value);
        assert_eq!(settings, Settings::default());
        assert_eq!(wrong.len(), 3, "{wrong:?}");
        assert_eq!(Settings::read(&Value::Null), (Settings::default(), Vec::new()));
    }
}
