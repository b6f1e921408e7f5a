//! The record of authorisations: nothing acknowledged is lost, nothing is changed unseen, nothing is recorded that may
//! not be.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "record/after.rs"]
mod after;
#[path = "record/decisions.rs"]
mod decisions;
#[path = "record/files.rs"]
mod files;
#[cfg(unix)]
#[path = "record/full.rs"]
mod full;
#[path = "record/guards.rs"]
mod guards;
#[path = "record/hostile.rs"]
mod hostile;
#[path = "record/judged_day.rs"]
mod judged_day;
#[cfg(unix)]
#[path = "record/killed.rs"]
mod killed;
#[allow(dead_code, reason = "shared with the properties, which use all of it")]
#[path = "properties/question.rs"]
mod question;
#[path = "record/recheck.rs"]
mod recheck;
#[path = "record/recomputed.rs"]
mod recomputed;
#[allow(dead_code, reason = "shared with the tests of other commands")]
#[path = "cli/run.rs"]
mod run;
#[path = "record/scene.rs"]
mod scene;
#[path = "record/shown.rs"]
mod shown;
#[path = "record/tampered.rs"]
mod tampered;
#[path = "record/together.rs"]
mod together;
#[path = "record/writer.rs"]
mod writer;
