//! Statistics on plain numbers: what is uncertain, how it is sampled, and what the sample says.
//!
//! [`distribution`] says how far an input may be off; [`points`] spreads draws evenly over all of
//! them; [`batch`] evaluates the draws on all cores with the same digits on any number of them;
//! [`estimate`] makes probabilities and quantiles of the results, with a standard error that can
//! be trusted; [`indices`] says whose doubt matters most.
//!
//! Nothing here knows of transformers: a draw is a row of numbers in (0, 1), a result is a number.
//!
//! Not modelled: inputs that depend on one another. Who needs that maps several columns of a row
//! onto one another before they become inputs.

pub mod batch;
pub mod distribution;
pub mod estimate;
pub mod indices;
pub mod odds;
pub mod points;
