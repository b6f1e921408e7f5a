//! The plan file: read as written, or refused where it is wrong.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "plan_file/demo.rs"]
mod demo;
#[path = "plan_file/loads.rs"]
mod loads;
#[path = "plan_file/options.rs"]
mod options;
#[path = "plan_file/refused.rs"]
mod refused;
#[path = "plan_file/scene.rs"]
mod scene;
