//! Numbers from outside this project, one module per source.
//!
//! Beside each module lies a folder of the same name: `SOURCE.md` says where the numbers come
//! from and how far their digits can be trusted, the CSV files hold them as printed. Every row
//! is asserted. Unless the source says otherwise the tolerance is half a unit of the last
//! printed digit. Nothing here was computed by this code itself.

#[cfg(test)]
#[path = "published/printed.rs"]
mod printed;

#[cfg(test)]
#[path = "published/ageing_rates.rs"]
mod ageing_rates;
#[cfg(test)]
#[path = "published/astm_d3612.rs"]
mod astm_d3612;
#[cfg(test)]
#[path = "published/common_practice.rs"]
mod common_practice;
#[cfg(test)]
#[path = "published/iec_60076_7.rs"]
mod iec_60076_7;
#[cfg(test)]
#[path = "published/iec_60354_1991.rs"]
mod iec_60354_1991;
#[cfg(test)]
#[path = "published/independent_recomputation.rs"]
mod independent_recomputation;
