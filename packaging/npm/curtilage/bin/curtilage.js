#!/usr/bin/env node
// Runs the program of the package that npm chose for this machine. Nothing is downloaded.
"use strict";

const { spawnSync } = require("node:child_process");

const name = `@curtilage/${process.platform}-${process.arch}`;
const file = process.platform === "win32" ? "curtilage.exe" : "curtilage";
let program;
try {
  program = require.resolve(`${name}/bin/${file}`);
} catch {
  console.error(`curtilage: there is no package ${name} here; optional dependencies may be switched off`);
  process.exit(3);
}
const run = spawnSync(program, process.argv.slice(2), { stdio: "inherit" });
if (run.error) {
  console.error(`curtilage: ${run.error.message}`);
  process.exit(3);
}
if (run.signal) {
  process.kill(process.pid, run.signal);
}
process.exit(run.status ?? 3);
