//! Numbers from outside this project, one module per source.
//!
//! Beside each module lies a folder of the same name: `SOURCE.md` says where the numbers come
//! from and how far their digits can be trusted, the CSV files hold them as printed. Every row
//! is asserted. Unless the source says otherwise the tolerance is half a unit of the last
//! printed digit. Nothing here was computed by this code itself.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a failed unwrap is a failed test")]

#[path = "published/printed.rs"]
mod printed;

#[path = "published/ageing_rates.rs"]
mod ageing_rates;
#[path = "published/astm_d3612.rs"]
mod astm_d3612;
#[path = "published/chain_scission.rs"]
mod chain_scission;
#[path = "published/common_practice.rs"]
mod common_practice;
#[path = "published/crank_1975.rs"]
mod crank_1975;
#[path = "published/dersimonian_laird_1986.rs"]
mod dersimonian_laird_1986;
#[path = "published/energies_2021_14_2089.rs"]
mod energies_2021_14_2089;
#[path = "published/iapws.rs"]
mod iapws;
#[path = "published/iec_60076_7.rs"]
mod iec_60076_7;
#[path = "published/iec_60076_7_step.rs"]
mod iec_60076_7_step;
#[path = "published/iec_60255_149.rs"]
mod iec_60255_149;
#[path = "published/iec_60255_151.rs"]
mod iec_60255_151;
#[path = "published/iec_60354_1991.rs"]
mod iec_60354_1991;
#[path = "published/ieee_c57_91_annex_g.rs"]
mod ieee_c57_91_annex_g;
#[path = "published/independent_recomputation.rs"]
mod independent_recomputation;
#[path = "published/ishigami_homma_1990.rs"]
mod ishigami_homma_1990;
#[path = "published/normal_table.rs"]
mod normal_table;
#[path = "published/solubility_table.rs"]
mod solubility_table;
#[path = "published/two_routes.rs"]
mod two_routes;
