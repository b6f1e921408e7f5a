//! The pages as people use them, in a real browser (Debian's chromium, driven through WebDriver).
//!
//! What is missing is installed where that is possible without asking anybody.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

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
