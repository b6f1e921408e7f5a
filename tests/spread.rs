//! The spread of the answer through the whole chain: against closed forms, against plain Monte
//! Carlo written again, and against what must hold whatever the case.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "spread/closed_form.rs"]
mod closed_form;
#[path = "spread/demo.rs"]
mod demo;
#[path = "second_opinion/dice.rs"]
#[allow(dead_code, reason = "shared with another test")]
mod dice;
#[path = "spread/edges.rs"]
mod edges;
#[path = "second_opinion/equations.rs"]
mod equations;
#[path = "spread/exact.rs"]
mod exact;
#[path = "spread/five_percent_point.rs"]
mod five_percent_point;
#[path = "spread/gas.rs"]
mod gas;
#[path = "spread/plain_monte_carlo.rs"]
mod plain_monte_carlo;
#[path = "json_second_opinion/recomputed.rs"]
#[allow(dead_code, reason = "shared with another test")]
mod recomputed;
#[path = "spread/rows.rs"]
mod rows;
#[path = "spread/sampling.rs"]
mod sampling;
#[path = "spread/scene.rs"]
mod scene;
#[path = "spread/search.rs"]
mod search;
#[path = "second_opinion/solution.rs"]
#[allow(dead_code, reason = "shared with another test")]
mod solution;
#[path = "spread/thermostats.rs"]
mod thermostats;
#[path = "spread/worse.rs"]
mod worse;
