//! Loads run through the models, for relays to look at.

use crate::assessment::case::Case;
use crate::assessment::course::Course;
use crate::assessment::plant::Plant;
use crate::thermal::schedule::LoadSteps;
use crate::thermal::trajectory::Sample;

/// One model over one load.
#[derive(Debug)]
pub(super) struct Lane {
    pub(super) form: &'static str,
    pub(super) samples: Vec<Sample>,
    /// Load before minute 0, pu.
    pub(super) before_pu: f64,
    /// Hot-spot gradient of the rated stage, K.
    pub(super) gradient_k: f64,
    pub(super) hot_spot: Line,
}

/// A figure over time, straight between its points.
#[derive(Debug)]
pub(super) struct Line(pub(super) Vec<(f64, f64)>);

impl Line {
    /// One point for each sample.
    pub(super) fn of(samples: &[Sample], mut value: impl FnMut(&Sample) -> f64) -> Self {
        Self(samples.iter().map(|sample| (sample.minute, value(sample))).collect())
    }

    /// The first minute at which it reaches a limit; `None`: never.
    pub(super) fn first_at(&self, limit: f64) -> Option<f64> {
        let at = self.0.iter().position(|point| point.1 >= limit)?;
        let (minute, value) = self.0[at];
        let Some(before) = at.checked_sub(1).map(|before| self.0[before]) else {
            return Some(minute);
        };
        let share = (limit - before.1) / (value - before.1);
        // From minus infinity, which is a relay that has not picked up, there is no straight line.
        Some(if share.is_finite() { before.0 + (minute - before.0) * share } else { minute })
    }

    /// The highest value up to a minute.
    pub(super) fn highest_until(&self, until_min: f64) -> f64 {
        let after = self.0.partition_point(|point| point.0 <= until_min);
        let within = self.0[..after].iter().map(|point| point.1).fold(f64::NEG_INFINITY, f64::max);
        let (Some(left), Some(right)) =
            (after.checked_sub(1).map(|left| self.0[left]), self.0.get(after))
        else {
            return within;
        };
        let share = (until_min - left.0) / (right.0 - left.0);
        within.max(left.1 + (right.1 - left.1) * share)
    }

    /// The highest value of all.
    pub(super) fn highest(&self) -> f64 {
        self.highest_until(f64::INFINITY)
    }
}

/// Runs a load through the models, from the start as stated and, where from another one the hot spot gets hotter, from
/// that one too: from the one a device may read earlier, from the other later. `None` unless every temperature is finite.
pub(super) fn lanes(
    case: &Case,
    plant: &Plant<'_>,
    load: &LoadSteps,
    until_min: f64,
) -> Option<Vec<Lane>> {
    let thermal = case.unit.thermal.as_ref()?;
    let gradient_k = thermal.stages.get(thermal.rated_stage)?.stage.nameplate.hot_spot_gradient_k;
    let course = plant.course(case, load, until_min, &minutes(until_min));
    let finite = |sample: &Sample| sample.hot_spot_c.is_finite() && sample.top_oil_c.is_finite();
    let all_finite = |course: &Course| course.runs().all(|(_, run)| run.samples.iter().all(finite));
    let lane = |form: &'static str, samples: &[Sample], before_pu: f64| Lane {
        form,
        before_pu,
        gradient_k,
        hot_spot: Line::of(samples, |sample| sample.hot_spot_c),
        samples: samples.to_vec(),
    };
    let all = |course: &Course, before_pu: f64| -> Vec<Lane> {
        course.runs().map(|(form, run)| lane(form, &run.samples, before_pu)).collect()
    };
    let stated_pu = case.load_before_pu();
    if !(all_finite(&course) && all_finite(course.stated())) {
        return None;
    }
    let mut lanes = all(course.stated(), stated_pu);
    if let Some(from) = course.counted_from() {
        lanes.extend(all(&course, from.load_before_pu.unwrap_or(stated_pu)));
    }
    Some(lanes)
}

/// Close together at first, when the winding moves, then ever further apart. A straight line across a
/// quarter of a minute misses a winding that follows in 4 min by less than 0.1 K.
fn minutes(until_min: f64) -> Vec<f64> {
    let mut minutes = Vec::new();
    let mut minute = 0.25;
    while minute < until_min {
        minutes.push(minute);
        minute += match minute {
            early if early < 15.0 => 0.25,
            soon if soon < 480.0 => 1.0,
            later if later < 2880.0 => 5.0,
            _ => 30.0,
        };
    }
    minutes
}
