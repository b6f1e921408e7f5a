//! How long a load can be held, and when a reading of the thermometer says stop: held against the answers to the
//! same questions asked again.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "second_opinion/dice.rs"]
#[allow(dead_code, reason = "shared with another test")]
mod dice;
#[path = "times/held_on.rs"]
mod held_on;
#[path = "spread/scene.rs"]
#[allow(dead_code, reason = "shared with another test")]
mod scene;
#[path = "times/starts.rs"]
mod starts;
#[path = "times/watch.rs"]
mod watch;
