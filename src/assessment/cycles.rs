//! Loads before under which the cooling may come and go, so that nobody knows at which point of its cycle the unit is.
//!
//! The oil of such a cycle can be the worse start the cooler it is: the fans come later, and the winding is as loaded.

use super::case::Case;
use crate::thermal::Model;
use crate::thermal::cooling::{Cooling, Stage, Switching};
use crate::thermal::detailed::Detailed;
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;

/// A load this share beside those under which the cooling cycles counts as one of them. Our choice, no source: load and voltage
/// are known to some 3 %, and the rises of a heat run are worth as much again.
const MAY_BE_OFF: f64 = 0.05;

/// A load under which a stage may wait for the next one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cycle {
    /// The load, pu.
    pub(super) load_pu: f64,
    /// Index of the stage that waits.
    pub(super) weaker: usize,
    /// From the temperature that starts the next down to the one that stops it, K.
    pub(super) apart_k: f64,
}

/// For each stage the greatest of some loads under which the next may come and go, by any model; `loads_pu`: the greatest first.
/// Above the same oil the winding is the hotter the greater the load is.
pub(super) fn cycles(case: &Case, cooling: &Cooling, loads_pu: &[f64]) -> Vec<Cycle> {
    let ambient_c = case.request.ambient.at(0.0);
    let stages = cooling.stages.windows(2).enumerate();
    let greatest = stages.filter_map(|(weaker, pair)| {
        let switching = pair[1].switching?;
        let may = |load_pu: f64| {
            let of = (pair, switching);
            cycles_under(&Iec::default(), of, load_pu, ambient_c)
                || cycles_under(&Ieee::default(), of, load_pu, ambient_c)
                || cycles_under(&Detailed::default(), of, load_pu, ambient_c)
        };
        let load_pu = *loads_pu.iter().find(|load_pu| may(**load_pu))?;
        Some(Cycle { load_pu, weaker, apart_k: switching.start_c - switching.stop_c })
    });
    greatest.collect()
}

/// Whether the weaker stage gets so hot that the stronger one starts, and that one so cool that it stops.
fn cycles_under<M: Model>(
    form: &M,
    (pair, switching): (&[Stage], Switching),
    load_pu: f64,
    ambient_c: f64,
) -> bool {
    let reading_c = |stage: &Stage, load_pu: f64| {
        switching.sensor.of(&form.steady_state(stage, load_pu, ambient_c))
    };
    // Written so that what is not a number cycles.
    let starts = !(reading_c(&pair[0], load_pu * (1.0 + MAY_BE_OFF)) < switching.start_c);
    starts && !(reading_c(&pair[1], load_pu / (1.0 + MAY_BE_OFF)) > switching.stop_c)
}
