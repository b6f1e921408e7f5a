//! What the draws take off the margin from every hour of a long load on, with few thermal draws.

use super::drawn::detailed::{Member, members};
use super::drawn::{Drawn, IEC, IEEE, LAGGED};
use super::few;
use super::inputs::{Inputs, Values};
use super::lift::{Imposed, Lift, about_course, own};
use super::pairs::Inceptions;
use super::propagation::{by_lags, hottest, steps};
use crate::assessment::case::Case;
use crate::assessment::course::Course;
use crate::assessment::evaluation::Evaluation;
use crate::assessment::plant::Plant;
use crate::assessment::possible::WhichStart;
use crate::thermal::Form;
use crate::thermal::detailed::OWN_INPUTS;
use crate::thermal::ensemble::{Ensemble, Lanes, Moment, WIDTH, Watch};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::trajectory::Sample;
use crate::uncertainty::batch::in_chunks;
use crate::uncertainty::points::Points;

const POINTS_EACH: u32 = 32;
const REPLICATES: u32 = 2;

const HOUR_MIN: f64 = 60.0;

/// The same in minutes.
const FIRST_MIN: f64 = 240.0;

/// So many hours after a start its own past still shows: the overshoot of the winding, and fans that do not run yet.
const SHOWS_HOURS: usize = 4;

/// Where the first hours stay so much below the hottest, no draw is hottest in them, K.
const FAR_BELOW_K: f64 = 6.0;

/// The detailed model is sampled so often, min: fans that start within an hour have their effect within a quarter of it.
const SAMPLED_MIN: f64 = 5.0;

/// Draws never take off more than this, K: with more to spare, or with less than nothing, no verdict waits for them.
const MOST_TAKEN_OFF_K: f64 = 35.0;

/// A minute that is that of a full hour but for rounding is one, min.
const EARLIER_MIN: f64 = 1.0e-6;

/// Draws of the hot spot hour by hour, and of the inception temperature.
///
/// ```text
/// P(margin < x) = mean over thermal draws of P(inception < x + hot spot)
/// ```
/// # Source       `project-choice`: no input of the inception temperature is one of the hot spot, so that every
/// thermal draw can be held against every inception temperature, and few of the dear ones are enough.
/// # Valid        Paper as wet as the bulk: then water does not depend on the load.
/// # Departures   From the fifth hour after a start on, draws are those of the load carried all the time: oil that
/// is a little hotter than after a start.
/// # Checked      `tests/plan/brute_force.rs` against all draws from every start.
#[derive(Debug)]
pub(in crate::assessment) struct ByHour {
    inputs: Inputs,
    /// Of every thermal draw, then the medians.
    values: Vec<Values>,
    /// The inputs of each that only the detailed model has.
    own: Vec<[f64; OWN_INPUTS]>,
    /// Hottest hot spot from so many hours after each start to its end, °C; empty where that is all.
    later_c: Vec<Vec<f64>>,
    inceptions: Inceptions,
    inception_of_medians_c: f64,
}

impl ByHour {
    /// Takes the draws through the load of a case, for starts of so many hours; `None` where there is no margin
    /// to spread.
    pub(in crate::assessment) fn of(
        case: &Case,
        plant: &Plant<'_>,
        evaluation: &Evaluation<'_>,
        hours: usize,
    ) -> Option<Self> {
        let sampling = case.request.sampling;
        let inputs = Inputs::of(case, &evaluation.facts)?;
        let columns = u32::try_from(inputs.columns()).ok()?;
        let points = Points::new(sampling.seed, REPLICATES, POINTS_EACH, columns).ok()?;
        let values = few::values(&inputs, &points);
        let own = own_inputs(&inputs, values.len(), sampling.seed);
        let drawn = Drawn::from_values(case, plant, (&inputs, &values), WhichStart::Stated);
        let each = sampling.draws / super::REPLICATES;
        let all = Points::new(sampling.seed, super::REPLICATES, each, columns).ok()?;
        let later_c = match hours.checked_sub(SHOWS_HOURS).filter(|later| *later > 0) {
            Some(later) => hottest_by_hour((case, plant), (&inputs, &values, &own), &drawn)
                .iter()
                .map(|by_hour| highest_within(&by_hour[SHOWS_HOURS.min(by_hour.len())..], later))
                .collect(),
            None => Vec::new(),
        };
        Some(Self {
            inceptions: Inceptions::of(
                &Drawn::inceptions_c(case, &inputs, &all),
                super::REPLICATES as usize,
            ),
            inception_of_medians_c: drawn.inception_c.last().copied().unwrap_or(f64::NAN),
            inputs,
            values,
            own,
            later_c,
        })
    }

    /// The 5 % point of the margin from a start, less what doubt alone would gain, K; −∞ beyond the range of the
    /// correlations. `case` is that of the start, the hour that from which `later_c` counts.
    pub(in crate::assessment) fn margin_p05_k(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        (evaluation, hour): (&Evaluation<'_>, usize),
    ) -> f64 {
        let later = || self.later_c.iter().map(|of_draw| of_draw.get(hour).copied());
        let whole = |first: Vec<f64>| -> Option<Vec<f64>> {
            if self.later_c.is_empty() {
                return Some(first);
            }
            first.into_iter().zip(later()).map(|(first, later)| Some(first.max(later?))).collect()
        };
        let first_too = self.later_c.is_empty()
            || (open_to_draws(evaluation) && first_hours_matter(evaluation));
        if !first_too {
            let hot_c: Option<Vec<f64>> = later().collect();
            return self.of_hot_spots(hot_c);
        }
        let counted = evaluation.course.as_ref().map(Course::which);
        // The least load before, some on the way to the stated one, and the start that is hottest without draws.
        let others = plant
            .others
            .iter()
            .map(|other| other.0)
            .enumerate()
            .filter(|(at, which)| *at == 0 || which.is_drawn() || Some(*which) == counted);
        let until_min = case.request.loading.end_min.min(FIRST_MIN);
        let unknown = || Lift::straight((0.0, f64::INFINITY));
        // What draws are off by is about the same by all models.
        let lift = evaluation
            .course
            .as_ref()
            .map_or_else(unknown, |course| about_course(course, until_min));
        let imposed = Imposed::of(
            (case, plant),
            &self.inputs,
            (&case.request.loading.load, until_min),
            std::iter::empty(),
        );
        let from = |(at, which): (usize, WhichStart)| {
            let all_models = at == 0 || Some(which) == counted;
            let by = if all_models { ByModels::All(&imposed) } else { ByModels::Lags(&lift) };
            self.of_hot_spots(whole(self.first_hours_c((case, plant), which, by)))
        };
        let stated = std::iter::once((0, WhichStart::Stated));
        // In this order a NaN stays.
        stated.chain(others).map(from).fold(
            f64::INFINITY,
            |least, k| {
                if k >= least { least } else { k }
            },
        )
    }

    fn of_hot_spots(&self, hot_c: Option<Vec<f64>>) -> f64 {
        let of = |hot_c: Vec<f64>| {
            few::margin_p05_k(&self.inceptions, self.inception_of_medians_c, &hot_c)
        };
        hot_c.map_or(f64::NEG_INFINITY, of)
    }

    /// The hottest hot spot of each draw in the first hours after a start, °C.
    fn first_hours_c(
        &self,
        (case, plant): (&Case, &Plant<'_>),
        which: WhichStart,
        by: ByModels<'_>,
    ) -> Vec<f64> {
        let request = &case.request;
        let drawn = Drawn::from_values(case, plant, (&self.inputs, &self.values), which);
        let until_min = request.loading.end_min.min(FIRST_MIN);
        let load = &request.loading.load;
        let imposed = match by {
            ByModels::Lags(lift) => {
                return hottest(case, plant, &self.inputs, &drawn, (load, lift), until_min);
            }
            ByModels::All(imposed) => imposed,
        };
        let all = members((case, plant), (&self.inputs, &self.values), &self.own, which);
        let lags_c = by_lags(case, plant, &self.inputs, &drawn, load, until_min);
        let each = lags_c.into_iter().zip(&all).enumerate();
        let hottest = |(draw, (lags_c, member)): (usize, (f64, &Member))| {
            hotter(lags_c, imposed.hottest_c(member)) + drawn.model_k(draw)
        };
        each.map(hottest).collect()
    }
}

/// How the first hours of draws are followed.
#[derive(Clone, Copy)]
enum ByModels<'a> {
    /// Through all models.
    All(&'a Imposed<'a>),
    /// Through the lag forms, with what the detailed model adds without draws.
    Lags(&'a Lift),
}

/// Whether what draws take off the margin may decide; where it may not, a rougher estimate will do.
fn open_to_draws(evaluation: &Evaluation<'_>) -> bool {
    let spare_k = evaluation.margin_counting_k().map(|k| k - evaluation.facts.required.no_go_k);
    spare_k.is_none_or(|spare_k| (0.0..=MOST_TAKEN_OFF_K).contains(&spare_k))
}

/// Whether a draw may be hottest in the first hours; so it is where nothing is known.
fn first_hours_matter(evaluation: &Evaluation<'_>) -> bool {
    let Some((course, hottest_c)) = evaluation.course.as_ref().zip(evaluation.hot_spot_c()) else {
        return true;
    };
    let first = course.samples().take_while(|models| models.minute() <= FIRST_MIN);
    let first_c = first.map(|models| models.hot_spot_c()).fold(f64::MIN, f64::max);
    let peak_min = course.hot_spot().peak.at_min;
    !(peak_min > FIRST_MIN && first_c + FAR_BELOW_K < hottest_c)
}

/// The hottest hot spot of the hottest model in each hour of each draw, °C.
fn hottest_by_hour(
    (case, plant): (&Case, &Plant<'_>),
    (inputs, values, own): (&Inputs, &[Values], &[[f64; OWN_INPUTS]]),
    drawn: &Drawn,
) -> Vec<Vec<f64>> {
    let end_min = case.request.loading.end_min;
    let steps = steps(case, plant, inputs, &case.request.loading.load, end_min);
    let by_lags = || {
        rayon::join(
            || in_form((IEC, &Iec::default()), plant, &steps, drawn),
            || in_either_ambient(plant, &steps, drawn),
        )
    };
    let ((iec, ieee), detailed) =
        rayon::join(by_lags, || by_detailed((case, plant), (inputs, values, own)));
    let lags = iec.into_iter().zip(ieee).map(|(iec, ieee)| -> Vec<f64> {
        iec.into_iter().zip(ieee).map(|(iec, ieee)| hotter(iec, ieee)).collect()
    });
    let of_draw = |(draw, (lags, hours)): (usize, (Vec<f64>, Vec<f64>))| {
        let model_k = drawn.model_k(draw);
        let detailed = hours.into_iter().chain(std::iter::repeat(f64::INFINITY));
        let all = lags.into_iter().zip(detailed);
        all.map(|(lags, detailed)| hotter(lags, detailed) + model_k).collect()
    };
    lags.zip(detailed).enumerate().map(of_draw).collect()
}

/// The same in the IEEE form, with the ambient at once or through the oil's lag.
fn in_either_ambient(
    plant: &Plant<'_>,
    steps: &crate::thermal::ensemble::Steps,
    drawn: &Drawn,
) -> Vec<Vec<f64>> {
    let mut all = in_form((IEEE, &Ieee::default()), plant, steps, drawn);
    if drawn.lagged() {
        let lagged = in_form((LAGGED, &Ieee::LAGGED), plant, steps, drawn);
        let hours = all.iter_mut().zip(lagged).flat_map(|(own, other)| own.iter_mut().zip(other));
        hours.for_each(|(own_c, other_c)| *own_c = hotter(*own_c, other_c));
    }
    all
}

/// What is not a number is as bad as the worst.
fn hotter(one_c: f64, other_c: f64) -> f64 {
    let known = |c: f64| if c.is_nan() { f64::INFINITY } else { c };
    known(one_c).max(known(other_c))
}

/// The hottest hot spot by the detailed model in each hour of each draw, °C; none where it cannot be made.
fn by_detailed(
    (case, plant): (&Case, &Plant<'_>),
    (inputs, values, own): (&Inputs, &[Values], &[[f64; OWN_INPUTS]]),
) -> Vec<Vec<f64>> {
    let request = &case.request;
    let end_min = request.loading.end_min;
    let sampled = (1..).map(|step| f64::from(step) * SAMPLED_MIN).take_while(|min| *min < end_min);
    let imposed = Imposed::of((case, plant), inputs, (&request.loading.load, end_min), sampled);
    let all = members((case, plant), (inputs, values), own, WhichStart::Stated);
    in_chunks(all.len(), 1, |draws| {
        let hours =
            |member| imposed.samples(member).map_or_else(Vec::new, |samples| by_hour(&samples));
        all[draws].iter().map(hours).collect()
    })
}

/// The inputs that only the detailed model has, for some draws, the last with all at their medians.
fn own_inputs(inputs: &Inputs, draws: usize, seed: u32) -> Vec<[f64; OWN_INPUTS]> {
    // Beside the other inputs' points: other numbers than theirs.
    let columns = u32::try_from(inputs.columns() + OWN_INPUTS).ok();
    let points = columns.and_then(|all| Points::new(seed, REPLICATES, POINTS_EACH, all).ok());
    let rows = points.map_or_else(Vec::new, |points| points.rows(0..points.draws()));
    let each = rows.chunks(inputs.columns() + OWN_INPUTS);
    let drawn = each.map(|row| own(inputs, &row[inputs.columns()..]));
    let medians = std::iter::repeat([0.0; OWN_INPUTS]);
    drawn.take(draws - 1).chain(medians).take(draws).collect()
}

/// The highest hot spot of each hour, °C.
fn by_hour(samples: &[Sample]) -> Vec<f64> {
    let mut hours: Vec<f64> = Vec::new();
    for sample in samples {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "hours within two years, from minute 0 on"
        )]
        let hour = |off_min: f64| ((sample.minute + off_min) / HOUR_MIN).max(0.0) as usize;
        // A full hour ends one and begins the next.
        for hour in hour(-EARLIER_MIN)..=hour(EARLIER_MIN) {
            hours.resize(hours.len().max(hour + 1), f64::NEG_INFINITY);
            hours[hour] = hotter(hours[hour], sample.hot_spot_c);
        }
    }
    hours
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

/// The hottest hot spot of each lane in each hour.
struct Hours(Vec<Lanes<WIDTH>>);

impl Watch<WIDTH> for Hours {
    const WATCHES: bool = false;
    const TOP_OIL: bool = false;
    const BY_SPAN: bool = true;

    fn see(&mut self, _moment: &Moment<'_, WIDTH>) {}

    fn span(&mut self, (from_min, until_min): (f64, f64), hottest_c: &Lanes<WIDTH>) {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "hours within two years, from minute 0 on"
        )]
        let hour = |minute: f64| (minute / HOUR_MIN).max(0.0) as usize;
        let (first, last) = (hour(from_min + EARLIER_MIN), hour(until_min - EARLIER_MIN));
        while self.0.len() <= last {
            self.0.push(Lanes::all(f64::NEG_INFINITY));
        }
        for hour in &mut self.0[first..=last] {
            for (highest_c, now_c) in hour.0.iter_mut().zip(&hottest_c.0) {
                // In this order a NaN stays.
                *highest_c = if *now_c <= *highest_c { *highest_c } else { *now_c };
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
