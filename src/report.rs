//! An assessment rendered for people and programs. Rendering is pure, and rounding lives only here.

mod answer;
pub mod chart;
pub mod json;
pub mod text;
pub mod view;
pub mod wetness_chart;
pub mod wetness_svg;
pub mod wetness_text;
