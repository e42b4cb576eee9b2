//! Writes the table of what characters look like (UTS #39), as `unicode-security` gives it, without a
//! pointer: the library's own has one for each of 6,700 characters, which every run of the program would
//! have put right before it begins.

use std::env;
use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use unicode_normalization::UnicodeNormalization;
use unicode_security::skeleton;

#[expect(clippy::disallowed_methods, reason = "a file is written while the crate is built")]
fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=build.rs");
    let (mut keys, mut ends, mut looks) = (String::new(), String::new(), String::new());
    // Private planes and those with no letter yet look like nothing else; a test asks all of them.
    let letters = ('\0'..='\u{3ffff}').chain('\u{e0000}'..='\u{e0fff}');
    for letter in letters {
        // Others do not stand in a decomposed text (NFD), of which the skeleton is made.
        let stands = letter.nfd().eq([letter]);
        let look: String = skeleton(letter.encode_utf8(&mut [0; 4])).collect();
        if stands && !look.chars().eq([letter]) {
            looks.push_str(&look);
            write!(keys, "{letter:?},")?;
            write!(ends, "{},", looks.len())?;
        }
    }
    let count = ends.matches(',').count();
    let table = format!(
        "static LETTERS: [char; {count}] = [{keys}];\nstatic ENDS: [u16; {count}] = [{ends}];\nstatic LOOKS: &str = {looks:?};\n"
    );
    fs::write(Path::new(&env::var("OUT_DIR")?).join("looks.rs"), table)?;
    Ok(())
}
