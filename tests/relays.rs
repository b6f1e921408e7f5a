//! Relays: what the profile accepts, the two answers, and settings that satisfy both.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "properties/question.rs"]
#[allow(dead_code, reason = "shared with other tests")]
mod question;

#[path = "relays/answers.rs"]
mod answers;
#[path = "relays/profile.rs"]
mod profile;
#[path = "relays/properties.rs"]
mod properties;
#[path = "relays/scene.rs"]
mod scene;
#[path = "relays/shown.rs"]
mod shown;
#[path = "relays/windows.rs"]
mod windows;
