//! Which units of a fleet are the problem: every unit under one standard contingency.
//!
//! Nothing here computes physics or reads a file: each unit is a case for [`crate::assessment`], its recent
//! loads a history for the same, and what comes out is a row. Rows do not depend on one another, so that
//! units can be computed in any order, on any number of threads, and in parts on many machines.

pub mod contingency;
pub mod journal;
pub mod part;
pub mod ranking;
pub mod recent;
pub mod row;
pub mod unit_answer;
pub mod whole;
