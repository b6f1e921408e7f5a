//! # bubblemargin
//!
//! May this oil-immersed transformer, as wet as it is, carry this overload for
//! this long, and what is left between the winding hot spot and the temperature
//! at which its paper starts to bubble?
//!
//! The modules, in the direction in which data flows. A module uses only what
//! stands above it; nothing above [`cli`] reads a file, a clock or the
//! environment, and nothing below [`assessment`] computes physics.
//!
//! | module | what it holds |
//! |---|---|
//! | [`quantities`] | types for what gets confused: °C and K, % in paper, ppm in oil |
//! | [`thermal`] | top oil and hot spot over time, in two standard forms |
//! | [`moisture`] | from moisture evidence to the counting moisture |
//! | [`bubbling`] | pressure, gas content and the bubble inception temperature |
//! | [`ageing`] | relative ageing rates |
//! | [`relay`] | relays and indicators: settings, and when each acts |
//! | [`input`] | strict reading of YAML, CSV and numbers, with errors that say where and what |
//! | [`mod@unit`] | the transformer as data: YAML profiles, checked and complete, or refused |
//! | [`loading`] | load, ambient and history over time, from flags or CSV |
//! | [`heat_run`] | from the raw log of a heat run to rises, gradient, time constants and exponents |
//! | [`rules`] | findings, verdict, loading limits, local rules |
//! | [`uncertainty`] | distributions, quasi-random points, probabilities and whose doubt counts: plain numbers |
//! | [`assessment`] | the one orchestrator: case → models → rules → assessment |
//! | [`rating`] | emergency ratings: only searches over `assessment` |
//! | [`planning`] | planned outages: only searches over `assessment` |
//! | [`fleet`] | every unit of a fleet under one contingency: rows, ranking, parts |
//! | [`record`] | the record of authorisations: what may be recorded, the hash chain, the file |
//! | [`report`] | an assessment rendered as text or JSON |
//! | [`cli`] | the command line: flags, files, clock, output |
//! | [`web`] | the operator's page and the interface for programs, which ask as the command line does |

pub mod ageing;
pub mod assessment;
pub mod bubbling;
pub mod cli;
pub mod fleet;
pub mod heat_run;
pub mod input;
pub mod loading;
pub mod moisture;
pub mod planning;
pub mod quantities;
pub mod rating;
pub mod record;
pub mod relay;
pub mod report;
pub mod rules;
pub mod thermal;
pub mod uncertainty;
pub mod unit;
pub mod web;
