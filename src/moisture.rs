//! From moisture evidence to the counting moisture: the figure that counts for safety.
//!
//! This version takes witnesses that already state water in paper; witnesses that must be
//! converted first (oil samples, saturation probes) are read and held back, and the rules
//! say so rather than leave them out quietly.

pub mod diffusion;
mod diffusion_step;
pub mod evidence;
pub mod reconcile;
