//! Planned outages: what is known by construction, every start tried one by one, and the way back.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]
#![allow(clippy::cast_precision_loss, reason = "some hundreds of hours")]

#[path = "plan/brute_force.rs"]
mod brute_force;
#[path = "plan/check.rs"]
mod check;
#[path = "plan/command.rs"]
mod command;
#[path = "plan/construction.rs"]
mod construction;
#[path = "plan/options.rs"]
mod options;
#[allow(dead_code, reason = "shared with the tests of other commands")]
#[path = "cli/run.rs"]
mod run;
#[path = "plan/scene.rs"]
mod scene;
#[path = "plan/warm_start.rs"]
mod warm_start;
#[path = "plan/water.rs"]
mod water;
