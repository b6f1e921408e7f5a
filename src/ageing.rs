//! What the overload costs in paper life.

pub mod rate;
pub mod scission;
mod scission_set;
