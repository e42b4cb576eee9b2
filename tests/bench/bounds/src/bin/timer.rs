//! Runs one process after another, as lines of JSON ask, and tells of each how long it took, what
//! it cost and how much memory its largest process held.
//!
//! A line is `{"command": [..], "folder": ".."}`; an answer is
//! `{"wall": s, "cpu": s, "memory": bytes, "code": n or null}`. This program is small so that its
//! own memory, which the system counts as the least of a child, is small.

use serde_json::{Value, json};
use std::error::Error;
use std::io::{BufRead, Write};
use std::os::unix::process::CommandExt;
use std::process::{Command, Stdio};
use std::time::Instant;
use wait4::Wait4;

fn timed(line: &str) -> Result<Value, Box<dyn Error>> {
    let asked: Value = serde_json::from_str(line)?;
    let words = asked["command"].as_array().ok_or("no command")?;
    let mut words = words.iter().filter_map(Value::as_str);
    let mut command = Command::new(words.next().ok_or("no program")?);
    command.args(words).current_dir(asked["folder"].as_str().ok_or("no folder")?);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    // A group of its own, so that whoever runs out of patience can end all of it.
    command.process_group(0);
    let start = Instant::now();
    let child = command.spawn()?;
    let used = child.wait4()?;
    let wall = start.elapsed().as_secs_f64();
    let cpu = (used.rusage.utime + used.rusage.stime).as_secs_f64();
    let code = used.status.code();
    Ok(json!({ "wall": wall, "cpu": cpu, "memory": used.rusage.maxrss, "code": code }))
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut out = std::io::stdout();
    for line in std::io::stdin().lock().lines() {
        let answer = timed(&line?).unwrap_or_else(|error| json!({ "error": error.to_string() }));
        writeln!(out, "{answer}")?;
        out.flush()?;
    }
    Ok(())
}
