//! Outage planning: which planned outages a unit lets go, when, and at which load.
//!
//! Only searches over `assessment`; nothing here computes physics, reads a file or looks at a clock.

pub mod answer;
pub mod bought;
mod carried;
pub mod derating;
pub mod needed_water;
pub mod option;
pub mod orders;
pub mod outage;
mod outages;
pub mod parts;
pub mod plan;
pub mod plan_file;
pub mod read;
pub mod stretch;
pub mod templates;
pub mod transfer;
mod voltage;
pub mod windows;
