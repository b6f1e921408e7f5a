//! How long a load is followed through the detailed model for the highest of its hot spots.

use crate::thermal::Model;
use crate::thermal::cooling::{Control, Cooling, Sensor, Stage, Switching};
use crate::thermal::detailed::Detailed;
use crate::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use crate::thermal::start::{Start, settled_in};
use crate::thermal::trajectory::Plan;

/// A hot spot of the overload that lies so much above all that the load after it leads to in the end, K, was the hottest. Our
/// choice: on the way there a hot spot gets hotter than at its end by less.
const SURELY_COOLER_K: f64 = 2.0;

/// For so long after it, min, it is followed in any case: the oil beside the hot spot goes on warming up while the winding
/// gives off its heat. Our choice: some time constants of a winding.
const GOES_ON_MIN: f64 = 60.0;

/// The minutes to follow, and what the load after the overload leads to.
#[derive(Debug)]
pub(super) struct Followed {
    all: Vec<f64>,
    /// How many of them are followed in any case.
    surely: usize,
}

impl Followed {
    /// Of a load up to a minute; `more`: other minutes at which something changes.
    pub(super) fn of(
        cooling: &Cooling,
        (load, ambient): (&LoadSteps, &AmbientLine),
        (end_min, until_min): (f64, f64),
        more: impl Iterator<Item = f64>,
    ) -> Self {
        let surely_min = (end_min + GOES_ON_MIN).min(until_min);
        let samples: Vec<f64> = more.chain(cooling.lost_at_min).chain([surely_min]).collect();
        let all = breakpoints(0.0, until_min, load, ambient, &samples);
        let surely = all.partition_point(|minute| *minute <= surely_min);
        Self { all, surely }
    }

    /// The minutes at which something changes.
    pub(super) fn minutes(&self) -> &[f64] {
        &self.all
    }

    /// The hottest hot spot by the detailed model from a start, °C.
    pub(super) fn hottest_c(
        &self,
        form: Detailed,
        start: Start,
        (cooling, load, ambient): (&Cooling, &LoadSteps, &AmbientLine),
    ) -> f64 {
        let run = |breakpoints: &[f64], start: Start| {
            let plan = Plan { cooling, load, ambient, breakpoints };
            form.run(&plan, start.state, start.stage)
        };
        let during = run(&self.all[..self.surely], start);
        let after = &self.all[self.surely.saturating_sub(1)..];
        let during_c = during.hot_spot.value_c;
        let over =
            || during_c.is_nan() || during_c >= surely_c(form, (cooling, load, ambient), after);
        if after.len() < 2 || over() {
            return during_c;
        }
        let after_c = run(after, Start { state: during.end, stage: during.end_stage });
        // In this order a NaN stays.
        let after_c = after_c.hot_spot.value_c;
        if after_c <= during_c { during_c } else { after_c }
    }
}

/// Bottom oil that differs by more than this from one stage to another, per unit of the top-oil rise, makes the top oil jump
/// where they change.
const SAME_BOTTOM_PU: f64 = 0.05;

/// Whether it can be said without following it how hot it gets after an overload: not where cooling is still to be lost, where
/// a winding indicator stops fans, or where the top oil jumps from stage to stage.
fn is_plain(cooling: &Cooling, from_min: f64) -> bool {
    let stages = &cooling.stages;
    let winding = |own: &Switching| own.sensor == Sensor::Winding;
    let bottom = |stage: &Stage| stage.detailed.bottom_oil_pu;
    let differ = stages
        .windows(2)
        .any(|pair| !((bottom(&pair[0]) - bottom(&pair[1])).abs() <= SAME_BOTTOM_PU));
    let alone = matches!(cooling.control, Control::Fixed(_));
    let plain_stages = stages.len() <= 2
        && !differ
        && !stages.iter().filter_map(|stage| stage.switching.as_ref()).any(winding);
    cooling.lost_at_min.is_none_or(|lost_min| lost_min <= from_min) && (alone || plain_stages)
}

/// From which hot spot of the overload on the minutes after it need not be followed, °C; infinite where they must be.
fn surely_c(
    form: Detailed,
    (cooling, load, ambient): (&Cooling, &LoadSteps, &AmbientLine),
    after: &[f64],
) -> f64 {
    if !is_plain(cooling, after[0]) {
        return f64::INFINITY;
    }
    let most =
        |at: &dyn Fn(f64) -> f64| after.iter().map(|minute| at(*minute)).fold(f64::MIN, f64::max);
    let (load_pu, ambient_c) =
        (most(&|minute| load.at(minute)), most(&|minute| ambient.at(minute)));
    let control = if cooling.lost_at_min.is_some() { Control::Fixed(0) } else { cooling.control };
    let hottest = settled_in(&form, &cooling.stages, control, load_pu, ambient_c).on_the_way;
    // Where oil that cools down stops fans, the weaker stage takes over as warm as that.
    let stops = cooling.stages.iter().filter_map(|stage| stage.switching);
    let stops = stops.filter(|own| control == Control::Automatic && own.sensor == Sensor::TopOil);
    let oil_c = stops.map(|own| own.stop_c).fold(hottest.top_oil_c, f64::max);
    hottest.hot_spot_c() + (oil_c - hottest.top_oil_c) + SURELY_COOLER_K
}
