//! What the draws take off the margin from every hour of a long load on, with few thermal draws.

use super::LOW;
use super::drawn::{Drawn, IEC, IEEE};
use super::inputs::{Inputs, Values};
use super::propagation::steps;
use crate::assessment::case::Case;
use crate::assessment::evaluation::Evaluation;
use crate::assessment::plant::Plant;
use crate::quantities::Celsius;
use crate::thermal::Form;
use crate::thermal::ensemble::{Ensemble, Lanes, Moment, WIDTH, Watch};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::uncertainty::points::Points;

/// Inputs at their medians and without any doubt go along as two draws more: together they fill the lanes.
const THERMAL_DRAWS: usize = 2 * WIDTH - 2;
const POINTS_EACH: u32 = 64;
const REPLICATES: u32 = 2;

const HOUR_MIN: f64 = 60.0;

/// Inception temperatures are told apart by this, K.
const GRID_K: f64 = 0.02;

/// A share is closed in on within this, K.
const CLOSE_K: f64 = 0.005;

/// Draws of the hot spot hour by hour, and of the inception temperature.
///
/// ```text
/// P(margin < x) = mean over thermal draws of P(inception < x + hot spot)
/// ```
/// # Source       `project-choice`: no input of the inception temperature is one of the hot spot, so that every
/// thermal draw can be held against every inception temperature, and few of the dear ones are enough.
/// # Valid        Paper as wet as the bulk: then water does not depend on the load.
/// # Departures   The load is carried all the time, so that a start is as hot as the load before it leaves the
/// unit, not as its own past does; only the difference to the run without doubt is used.
/// # Checked      `tests/plan/brute_force.rs` against all draws from every start.
#[derive(Debug)]
pub(in crate::assessment) struct ByHour {
    /// Hottest hot spot in each hour, °C: of every thermal draw, then of the medians, then without doubt.
    hottest_c: Vec<Vec<f64>>,
    inception: Shares,
    inception_of_medians_c: f64,
    counting_c: f64,
}

impl ByHour {
    /// Takes the draws through the load of a case; `None` where there is no margin to spread.
    pub(in crate::assessment) fn of(
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
        draws: u32,
    ) -> Option<Self> {
        let seed = case.request.sampling.seed;
        let inputs = Inputs::of(case, &evaluation.facts)?;
        let columns = u32::try_from(inputs.columns()).ok()?;
        let points = Points::new(seed, REPLICATES, POINTS_EACH, columns).ok()?;
        let rows = points.rows(0..THERMAL_DRAWS);
        let mut values: Vec<Values> =
            rows.chunks(inputs.columns()).map(|row| inputs.values(row)).collect();
        values.extend([inputs.medians(), inputs.central()]);
        let drawn = Drawn::from_values(case, plant, &inputs, &values);
        let all = Points::new(seed, super::REPLICATES, draws / super::REPLICATES, columns).ok()?;
        let counting = evaluation.facts.bubbling.low.inception().map(Celsius::value)?;
        Some(Self {
            hottest_c: hottest_by_hour(case, plant, &inputs, &drawn),
            inception: Shares::of(Drawn::inceptions_c(case, &inputs, &all)),
            inception_of_medians_c: drawn.inception_c[THERMAL_DRAWS],
            counting_c: counting,
        })
    }

    /// What they take off the margin with the moisture that counts within so many hours from each hour on, K, as
    /// far as there are so many; infinite beyond the range of the correlations.
    pub(in crate::assessment) fn taken_off_k(&self, hours: usize) -> Vec<f64> {
        let within: Vec<Vec<f64>> =
            self.hottest_c.iter().map(|hottest_c| highest_within(hottest_c, hours)).collect();
        let starts = within.first().map_or(0, Vec::len);
        (0..starts).map(|start| self.of_start(&within, start)).collect()
    }

    fn of_start(&self, within: &[Vec<f64>], start: usize) -> f64 {
        let (drawn, certain) = within.split_at(THERMAL_DRAWS);
        let hot_c: Vec<f64> = drawn.iter().map(|of_draw| of_draw[start]).collect();
        let [medians_c, central_c] = [certain[0][start], certain[1][start]];
        let p05_k = self.inception.margin_k(&hot_c, LOW);
        // What doubt alone would gain is no gain.
        let gain_k =
            self.inception.margin_k(&hot_c, 0.5) - (self.inception_of_medians_c - medians_c);
        let gain_k = if gain_k.is_finite() { gain_k.max(0.0) } else { 0.0 };
        (self.counting_c - central_c - (p05_k - gain_k)).max(0.0)
    }
}

/// Shares of draws of the inception temperature below a temperature.
#[derive(Debug)]
struct Shares {
    from_c: f64,
    /// Below `from_c` and so many steps more.
    below: Vec<f64>,
}

impl Shares {
    /// What is not finite lies below every temperature.
    fn of(mut inception_c: Vec<f64>) -> Self {
        inception_c.sort_by(f64::total_cmp);
        let finite = || inception_c.iter().copied().filter(|c| c.is_finite());
        let (from_c, until_c) = finite()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), c| {
                (c.min(least), c.max(most))
            });
        if !(from_c <= until_c) {
            return Self { from_c: 0.0, below: vec![1.0] };
        }
        #[allow(clippy::cast_precision_loss, reason = "some thousands of draws")]
        let share = |below_c: f64| {
            inception_c.partition_point(|c| !(*c >= below_c)) as f64 / inception_c.len() as f64
        };
        let mut below = Vec::new();
        let mut at_c = from_c;
        while at_c <= until_c + GRID_K {
            below.push(share(at_c));
            at_c += GRID_K;
        }
        Self { from_c, below }
    }

    /// The share below a temperature, up to the next step.
    fn below(&self, temperature_c: f64) -> f64 {
        let steps = ((temperature_c - self.from_c) / GRID_K).ceil();
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and more than there are is as good as all"
        )]
        let place = steps.max(0.0) as usize;
        self.below.get(place).copied().unwrap_or(1.0)
    }

    /// The margin that a share of all pairs of an inception temperature and a hot spot lies below, K.
    fn margin_k(&self, hot_c: &[f64], share: f64) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "some hundreds of draws")]
        let below = |margin_k: f64| {
            hot_c.iter().map(|hot_c| self.below(margin_k + hot_c)).sum::<f64>() / hot_c.len() as f64
        };
        let (coolest_c, hottest_c) =
            hot_c.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), c| {
                (c.min(least), c.max(most))
            });
        let mut low_k = self.from_c - hottest_c - 1.0;
        #[allow(clippy::cast_precision_loss, reason = "some thousands of steps")]
        let mut high_k = self.from_c + self.below.len() as f64 * GRID_K - coolest_c + 1.0;
        // Written so that a NaN is as bad as the worst.
        if !(below(low_k) <= share && high_k.is_finite()) {
            return f64::NEG_INFINITY;
        }
        while high_k - low_k > CLOSE_K {
            let middle_k = f64::midpoint(low_k, high_k);
            if below(middle_k) <= share {
                low_k = middle_k;
            } else {
                high_k = middle_k;
            }
        }
        low_k
    }
}

/// The hottest hot spot of the hotter form in each hour of each draw, °C.
fn hottest_by_hour(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    drawn: &Drawn,
) -> Vec<Vec<f64>> {
    let end_min = case.request.loading.end_min;
    let steps = steps(case, plant, inputs, &case.request.loading.load, end_min);
    let (iec, ieee) = rayon::join(
        || in_form((IEC, &Iec::default()), plant, &steps, drawn),
        || in_form((IEEE, &Ieee::default()), plant, &steps, drawn),
    );
    let known = |c: f64| if c.is_nan() { f64::INFINITY } else { c };
    let hotter = |(iec, ieee): (f64, f64)| known(iec).max(known(ieee));
    let of_draw =
        |(iec, ieee): (Vec<f64>, Vec<f64>)| iec.into_iter().zip(ieee).map(hotter).collect();
    iec.into_iter().zip(ieee).map(of_draw).collect()
}

fn in_form<F: Form>(
    (place, form): (usize, &F),
    plant: &Plant<'_>,
    steps: &crate::thermal::ensemble::Steps,
    drawn: &Drawn,
) -> Vec<Vec<f64>> {
    let ensemble = Ensemble::new(form, steps, &plant.cooling, drawn.common);
    let member = |draw| drawn.member(place, draw);
    let seen = |hours: &Hours, lane: usize| hours.0.iter().map(|hour| hour.0[lane]).collect();
    let found: Vec<_> = ensemble.run(drawn.count(), member, |_| Hours(Vec::new()), seen);
    found.into_iter().map(|outcome| outcome.seen).collect()
}

/// The hottest hot spot of each lane in each hour, at the breakpoints.
struct Hours(Vec<Lanes<WIDTH>>);

impl Watch<WIDTH> for Hours {
    const PEAKS: bool = false;
    const TOP_OIL: bool = false;

    fn see(&mut self, moment: &Moment<'_, WIDTH>) {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "hours within two years, from minute 0 on"
        )]
        let ends = (moment.minute() / HOUR_MIN - 1.0e-6).ceil().max(1.0) as usize;
        while self.0.len() < ends {
            // Each hour begins as the last one ended.
            self.0.push(*moment.before.map_or(moment.hot_spot_c, |[hot_spot_c, _]| hot_spot_c));
        }
        if let Some(hour) = self.0.last_mut() {
            for (hottest_c, now_c) in hour.0.iter_mut().zip(&moment.hot_spot_c.0) {
                // In this order a NaN stays.
                *hottest_c = if *now_c <= *hottest_c { *hottest_c } else { *now_c };
            }
        }
    }
}

/// The highest of so many values from each one on, as far as there are so many.
fn highest_within(values: &[f64], count: usize) -> Vec<f64> {
    let count = count.max(1);
    let mut candidates = std::collections::VecDeque::new();
    let mut highest = Vec::with_capacity((values.len() + 1).saturating_sub(count));
    for (at, value) in values.iter().enumerate() {
        while candidates.back().is_some_and(|last: &usize| values[*last] <= *value) {
            candidates.pop_back();
        }
        candidates.push_back(at);
        if at + 1 >= count {
            let from = at + 1 - count;
            while candidates.front().is_some_and(|first| *first < from) {
                candidates.pop_front();
            }
            highest.extend(candidates.front().map(|first| values[*first]));
        }
    }
    highest
}
