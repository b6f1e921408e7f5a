//! A fleet: every unit as `check` answers it, ranked, in parts, on any number of threads, interrupted or not.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "fleet/answers.rs"]
mod answers;
#[path = "fleet/interrupted.rs"]
mod interrupted;
#[path = "fleet/memory.rs"]
mod memory;
#[path = "fleet/parts.rs"]
mod parts;
#[path = "fleet/refused.rs"]
mod refused;
#[path = "cli/run.rs"]
#[allow(dead_code, reason = "shared with the tests of the command line")]
mod run;
#[path = "fleet/scene.rs"]
mod scene;
#[path = "fleet/shown.rs"]
mod shown;
