//! The papers of any site can be made, each file once, with no figure that is none.

use crate::site::{OPTIONS, TODAY, scope_of};
use curtilage_facts::Facts;
use curtilage_handover::{Papers, figures};

/// Makes the papers of the text.
pub fn holds(data: &[u8]) {
    let Some(scope) = scope_of(data) else { return };
    let model = curtilage_model::build(&scope);
    let facts = Facts::new(&model, OPTIONS);
    let _ = figures(&facts);
    let Some(papers) = Papers::new(&facts, Some(TODAY)) else { return };
    let files = papers.files();
    for pair in files.windows(2) {
        assert!(pair[0].0 < pair[1].0, "{} is there twice", pair[0].0);
    }
    let named = String::from_utf8_lossy(data);
    let can_name = ["NaN", "inf"].iter().any(|odd| named.contains(odd));
    for (path, text) in &files {
        let safe = path.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-./".contains(&byte));
        assert!(safe && !path.contains(".."), "{path}");
        assert!(can_name || !text.contains("NaN"), "{path}");
        assert!(can_name || !text.contains(" inf "), "{path}");
    }
}
