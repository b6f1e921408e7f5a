//! The pages as people use them, in a real browser (Debian's chromium, driven through its driver).
//!
//! What is missing is installed where that is possible without asking anybody.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::format_collect,
    clippy::format_push_string,
    reason = "what fails is a failed test; texts are small and need not be quick"
)]

#[path = "browser/contrast.rs"]
mod contrast;
#[path = "browser/installed.rs"]
mod installed;
#[path = "browser/keyboard.rs"]
mod keyboard;
#[path = "browser/layout.rs"]
mod layout;
#[path = "browser/names.rs"]
mod names;
#[path = "browser/path.rs"]
mod path;
#[path = "browser/plain.rs"]
mod plain;
#[path = "browser/printed.rs"]
mod printed;
#[path = "browser/scene.rs"]
mod scene;
