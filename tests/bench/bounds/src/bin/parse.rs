//! The least that any checker of JSON has to do: read every file and parse it, and nothing more.
//!
//! usage: parse FOLDER read|serde|simd|sonic THREADS

use bounds::{Work, each};
use std::hint::black_box;
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, folder, how, threads] = &arguments[..] else { return ExitCode::from(2) };
    let Ok(threads) = threads.parse() else { return ExitCode::from(2) };
    each(Path::new(folder), "json", threads, || {
        let work: Work = match how.as_str() {
            "read" => Box::new(|bytes| Ok(!black_box(bytes).is_empty())),
            "serde" => Box::new(|bytes| {
                black_box(serde_json::from_slice::<serde_json::Value>(&bytes)?);
                Ok(true)
            }),
            "simd" => Box::new(|mut bytes| {
                black_box(simd_json::to_borrowed_value(&mut bytes)?);
                Ok(true)
            }),
            "sonic" => Box::new(|bytes| {
                black_box(sonic_rs::from_slice::<sonic_rs::Value>(&bytes)?);
                Ok(true)
            }),
            other => return Err(format!("{other}?").into()),
        };
        Ok(work)
    })
}
