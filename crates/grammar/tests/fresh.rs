//! The files that are made from the parser's tables are those tables. The test writes them anew
//! and fails when that changed anything: look at the difference and commit it.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test writes the files")]

use curtilage_testkit::root;

#[test]
fn the_made_files_are_fresh() {
    let made = curtilage_grammar::made().unwrap();
    let mut stale = Vec::new();
    for file in &made {
        let path = root().join(&file.path);
        if std::fs::read_to_string(&path).is_ok_and(|old| old == file.text) {
            continue;
        }
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &file.text).unwrap();
        stale.push(file.path.as_str());
    }
    // A picture of something that is no more is stale too.
    for entry in std::fs::read_dir(root().join("docs/grammar")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let known = made.iter().any(|file| file.path == format!("docs/grammar/{name}"));
        assert!(known, "docs/grammar/{name} is made by nothing: remove it");
    }
    assert!(stale.is_empty(), "written anew: {}", stale.join(", "));
}
