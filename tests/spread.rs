//! The spread of the answer through the whole chain: against closed forms, against plain Monte
//! Carlo written again, and against what must hold whatever the case.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "spread/closed_form.rs"]
mod closed_form;
#[path = "second_opinion/dice.rs"]
mod dice;
#[path = "spread/exact.rs"]
mod exact;
#[path = "spread/scene.rs"]
mod scene;
