//! The best that was found for JSON: a validator of schemas and an engine of policies, both
//! libraries in Rust, in one process, their rules compiled once.
//!
//! usage: rules FOLDER SCHEMA|- POLICY|- THREADS

use bounds::{Work, each};
use std::error::Error;
use std::path::Path;
use std::process::ExitCode;

fn make(schema: &str, policy: &str) -> Result<Work, Box<dyn Error>> {
    let validator = if schema == "-" {
        None
    } else {
        let schema = serde_json::from_slice(&std::fs::read(schema)?)?;
        Some(jsonschema::validator_for(&schema).map_err(|error| error.to_string())?)
    };
    let mut engine = if policy == "-" {
        None
    } else {
        let mut engine = regorus::Engine::new();
        engine.add_policy_from_file(policy)?;
        Some(engine)
    };
    Ok(Box::new(move |bytes| {
        let value: serde_json::Value = serde_json::from_slice(&bytes)?;
        if validator.as_ref().is_some_and(|validator| !validator.is_valid(&value)) {
            return Ok(false);
        }
        let Some(engine) = &mut engine else { return Ok(true) };
        engine.set_input(regorus::Value::from(value));
        let denied = engine.eval_rule("data.site.deny".to_owned())?;
        Ok(denied.as_set()?.is_empty())
    }))
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, folder, schema, policy, threads] = &arguments[..] else { return ExitCode::from(2) };
    let Ok(threads) = threads.parse() else { return ExitCode::from(2) };
    each(Path::new(folder), "json", threads, || make(schema, policy))
}
