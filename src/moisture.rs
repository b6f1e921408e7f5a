//! From moisture evidence to the counting moisture: the figure that counts for safety.
//!
//! [`evidence`] is what the profile says; [`conversion`] turns water in oil into water in paper
//! with [`vapour`], [`solubility`] and [`isotherm`]; [`series`] finds the moments at which a probe
//! was in equilibrium; [`validity`] judges each witness; [`reconcile`] decides what counts, and
//! [`contradiction`] who contradicts whom and why.
//!
//! [`exchange`] lets water pass between oil and insulation, starting from [`oil_over`]; [`cooldown`]
//! follows it through an overload and after it, and [`strength`] says what it does to the oil.
//!
//! Not modelled: water bound to the oil's own ageing products, temperature differences inside
//! the paper that a witness saw, water in wood and resin.

pub mod assessed;
pub mod contradiction;
pub mod conversion;
pub mod cooldown;
pub mod diffusion;
mod diffusion_step;
mod doubt;
pub mod evidence;
pub mod exchange;
mod figure;
pub mod holding;
pub mod hot_spot;
pub mod isotherm;
mod judgement;
pub mod oil_over;
mod outside;
pub mod reconcile;
pub mod series;
pub mod solubility;
pub mod strength;
pub mod usual;
pub mod validity;
pub mod vapour;
