//! Outage planning: which planned outages a unit lets go, when, and at which load.
//!
//! Only searches over `assessment`; nothing here computes physics, reads a file or looks at a clock.

mod carried;
pub mod option;
pub mod orders;
mod outages;
pub mod plan;
pub mod plan_file;
pub mod read;
