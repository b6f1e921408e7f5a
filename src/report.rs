//! An assessment rendered for people and programs. Rendering is pure, and rounding lives only here.

mod answer;
pub mod chart;
pub mod history_text;
pub mod json;
pub mod rate_changes;
pub mod rate_cim;
pub mod rate_relays;
mod spread_words;
mod svg_parts;
pub mod text;
mod tornado;
pub mod trajectory_row;
mod uncertainty_text;
pub mod view;
pub mod wetness_chart;
mod wetness_life;
mod wetness_plot;
pub mod wetness_svg;
mod wetness_tables;
pub mod wetness_text;
pub mod wetness_words;
