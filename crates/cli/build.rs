//! Puts the functions that nearly every run calls side by side in the program.
//!
//! The linker would lay them out crate by crate, a few here and a few there among code that a run
//! seldom comes to; the system reads and holds whole stretches around each. `first/functions.txt`
//! lists them, `first/make` writes it, and the decision `the-code-that-runs-lies-together` tells what
//! it gains. A list that has grown old gains less and breaks nothing.

use std::env;
use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// Names another list: a program that is made by counts has other functions.
const OTHER_LIST: &str = "CURTILAGE_FIRST";

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-changed=first/functions.txt");
    println!("cargo:rerun-if-env-changed={OTHER_LIST}");
    if !linker_takes_scripts() {
        return Ok(());
    }
    let own = || Path::new("first").join("functions.txt");
    let list = fs::read_to_string(env::var_os(OTHER_LIST).map_or_else(own, PathBuf::from))?;
    let script = Path::new(&env::var("OUT_DIR")?).join("first.ld");
    fs::write(&script, script_of(&list)?)?;
    println!("cargo:rustc-link-arg-bin=curtilage=-Wl,-T,{}", script.display());
    Ok(())
}

/// Those of Rust on Linux with glibc do, its own and the system's. One that somebody has chosen is
/// not asked to; and what is built to be worked on is linked as quickly as can be.
fn linker_takes_scripts() -> bool {
    let is = |name: &str, value: &str| env::var(name).is_ok_and(|found| found == value);
    let chosen = env::var("CARGO_ENCODED_RUSTFLAGS").is_ok_and(|flags| flags.contains("link"))
        || env::var_os("RUSTC_LINKER").is_some();
    is("PROFILE", "release")
        && is("CARGO_CFG_TARGET_OS", "linux")
        && is("CARGO_CFG_TARGET_ENV", "gnu")
        && !chosen
}

/// A section before all other code, of the functions listed, one a line, each in a section of its
/// own that is named after it, after a prefix where the compiler takes it for seldom called, or knows
/// from a profile that it is called often.
fn script_of(list: &str) -> Result<String, std::fmt::Error> {
    let mut script = String::from("SECTIONS {\n  .text.first : {\n");
    for name in list.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        writeln!(script, "    *(.text.{name}* .text.unlikely.{name}* .text.hot.{name}*)")?;
    }
    script.push_str("  }\n}\nINSERT BEFORE .text;\n");
    Ok(script)
}
