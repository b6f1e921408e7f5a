//! `rate` against `check`, against printed tables and against itself.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a failed unwrap is a failed test")]

#[path = "rating/asked.rs"]
mod asked;
#[path = "rating/cells.rs"]
mod cells;
#[path = "rating/exports.rs"]
mod exports;
#[path = "rating/monotone.rs"]
mod monotone;
#[path = "rating/table_3.rs"]
mod table_3;
