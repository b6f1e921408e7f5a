//! What the overload costs in paper life.

pub mod rate;
