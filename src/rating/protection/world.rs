//! What all relays have in common: the permitted courses, the loads carried on, and when the paper bubbles.

use super::courses::{Lane, lanes};
use super::device::Device;
use super::{Asked, BubblesFirst, Paper, Permitted};
use crate::assessment::basis::Basis;
use crate::assessment::case::Case;
use crate::assessment::evaluation::Evaluation;
use crate::assessment::plant::Plant;
use crate::loading::LONGEST_OVERLOAD_MIN;
use crate::quantities::Celsius;
use crate::relay::Function;
use crate::relay::indicator::WindingIndicator;
use crate::relay::inverse_time::Supervision;
use crate::rules::trips::{low_in_words, reads_low_k};
use crate::thermal::schedule::LoadSteps;
use crate::uncertainty::batch::in_chunks;

/// Loads are carried on in steps of this, pu.
const STEP_PU: f64 = 0.025;

/// Up to this, pu, or the greatest permitted load: the highest ceiling of any loading guide.
const GREATEST_PU: f64 = 2.0;

/// No relay is asked about a greater load, pu.
const SENSELESS_PU: f64 = 5.0;

/// The least load that bubbles is found to this, pu.
const FINE_PU: f64 = 0.001;

/// After so many of the longest time constants less than a hundredth of a kelvin is to come.
const SETTLED: f64 = 12.0;

/// What all relays have in common.
pub(super) struct World<'a> {
    pub(super) case: &'a Case,
    pub(super) paper: Paper,
    pub(super) passing: Vec<Passing>,
    /// Empty without thermal data, or where a temperature is not finite.
    pub(super) held: Vec<Held>,
}

/// A permitted load and what follows it.
pub(super) struct Passing {
    pub(super) permitted: Permitted,
    /// `None`: no thermal data, or no sense.
    pub(super) lanes: Option<Vec<Lane>>,
}

/// A load carried on for ever.
pub(super) struct Held {
    pub(super) load_pu: f64,
    pub(super) lanes: Vec<Lane>,
    /// When the paper bubbles in each of them; `None`: never.
    pub(super) bubbles_min: Vec<Option<f64>>,
}

impl<'a> World<'a> {
    pub(super) fn of(case: &'a Case, basis: &'a Basis<'_>, permitted: &[Permitted]) -> Self {
        let evaluation = Evaluation::of(case, basis, &case.request.loading.load, None);
        let paper = paper(&evaluation, permitted);
        let mut world = Self { case, paper, passing: Vec::new(), held: Vec::new() };
        let (Some(plant), Some(thermal)) = (&basis.plant, &evaluation.facts.thermal) else {
            let without = |permitted: &Permitted| Passing { permitted: *permitted, lanes: None };
            world.passing = permitted.iter().map(without).collect();
            return world;
        };
        let until_min = until_min(case, permitted, thermal.slowest_min);
        let passing = |permitted: &Permitted| Passing {
            permitted: *permitted,
            lanes: passing_lanes(case, plant, permitted, until_min),
        };
        world.passing = permitted.iter().map(passing).collect();
        world.held = world.carried_on(plant, until_min).unwrap_or_default();
        world
    }

    /// Every load of the grid, and of each form the least that bubbles.
    fn carried_on(&self, plant: &Plant<'_>, until_min: f64) -> Option<Vec<Held>> {
        let run = |load_pu: f64| self.held(plant, load_pu, until_min);
        let loads = self.loads();
        let held =
            in_chunks(loads.len(), 4, |at| loads[at].iter().map(|load| run(*load)).collect());
        let mut held: Vec<Held> = held.into_iter().collect::<Option<_>>()?;
        for form in 0..2 {
            let least = held.windows(2).find(|pair| {
                pair[0].bubbles_min[form].is_none() && pair[1].bubbles_min[form].is_some()
            });
            let Some((mut never, mut bubbles)) =
                least.map(|pair| (pair[0].load_pu, pair[1].load_pu))
            else {
                continue;
            };
            while bubbles - never > FINE_PU {
                let middle = run(f64::midpoint(never, bubbles))?;
                if middle.bubbles_min[form].is_some() {
                    bubbles = middle.load_pu;
                    held.push(middle);
                } else {
                    never = middle.load_pu;
                }
            }
            held.sort_by(|one, other| one.load_pu.total_cmp(&other.load_pu));
        }
        Some(held)
    }

    /// From the rating, or the least permitted load, up; the permitted loads, and the greatest load at which
    /// each relay never trips.
    fn loads(&self) -> Vec<f64> {
        let permitted =
            self.passing.iter().map(|own| own.permitted.load_pu).filter(|load| sensible(*load));
        let least = permitted.clone().fold(1.0, f64::min);
        let greatest = permitted.clone().fold(GREATEST_PU, f64::max);
        let relays = self.case.unit.relays.iter();
        let never = relays.filter_map(|relay| Device::of(&relay.function)?.pickup_pu());
        // A hair below, so that rounding does not make it trip.
        let never = never.map(|load_pu| load_pu * (1.0 - 1.0e-9));
        let never = never.filter(|load_pu| *load_pu >= least && *load_pu <= greatest);
        let mut loads: Vec<f64> = permitted.chain(never).chain([least, greatest]).collect();
        let steps = (0_u32..).map(|step| least + f64::from(step) * STEP_PU);
        loads.extend(steps.take_while(|load_pu| *load_pu < greatest));
        loads.sort_by(f64::total_cmp);
        loads.dedup_by(|later, earlier| later.total_cmp(earlier).is_eq());
        loads
    }

    fn held(&self, plant: &Plant<'_>, load_pu: f64, until_min: f64) -> Option<Held> {
        let load = LoadSteps::new(vec![(0.0, load_pu)])?;
        let lanes = lanes(self.case, plant, &load, until_min)?;
        let bubbles = |lane: &Lane| lane.hot_spot.first_at(self.paper.at_c?);
        let bubbles_min = lanes.iter().map(bubbles).collect();
        Some(Held { load_pu, lanes, bubbles_min })
    }

    /// The load carried on that is a permitted one.
    pub(super) fn held_at(&self, load_pu: f64) -> Option<&Held> {
        self.held.iter().find(|held| held.load_pu.total_cmp(&load_pu).is_eq())
    }

    pub(super) fn asked(&self) -> Asked {
        let (request, held) = (&self.case.request, &self.held);
        Asked {
            preload_pu: self.case.load_before_pu(),
            ambient_c: request.ambient.at(0.0),
            drop_back_pu: drop_back_pu(self.case),
            permitted: self.passing.iter().map(|own| own.permitted).collect(),
            tried_pu: held.first().zip(held.last()).map(|(a, b)| (a.load_pu, b.load_pu)),
        }
    }

    /// Winding trips and supervision by a hot spot that the paper may bubble below.
    pub(super) fn first(&self) -> Vec<BubblesFirst> {
        let relays = self.case.unit.relays.iter();
        let low_k = |indicator: &WindingIndicator| reads_low_k(&self.case.unit, indicator);
        let trips = relays.filter_map(|relay| {
            let (setting_c, low_k, how) = match &relay.function {
                Function::WindingTemperature(own) => (own.trip_c?, low_k(own), "trips"),
                Function::Overcurrent(own) => match own.supervised? {
                    Supervision::HotSpot(at_c) => {
                        (at_c, low_k(&WindingIndicator::default()), "is released to trip")
                    }
                    Supervision::TopOil(_) => return None,
                },
                Function::ThermalImage(_) | Function::OilTemperature(_) | Function::FanStart(_) => {
                    return None;
                }
            };
            let latest_c = setting_c + low_k;
            let surely_below =
                self.paper.known && self.paper.at_c.is_some_and(|at_c| latest_c < at_c);
            let bubbles_c = self.paper.at_c.filter(|at_c| latest_c >= *at_c);
            let setting = (relay.name.as_str(), setting_c, low_k);
            (!surely_below).then(|| bubbles_first(setting, how, bubbles_c))
        });
        trips.collect()
    }
}

/// `setting` is the relay's name, its setting, °C, and what it may read low, K.
fn bubbles_first(setting: (&str, f64, f64), how: &str, at_c: Option<f64>) -> BubblesFirst {
    let (relay, setting_c, may_read_low_k) = setting;
    let words = match at_c {
        Some(at_c) => {
            let low = low_in_words(setting_c, may_read_low_k, at_c);
            let low = low.map_or_else(String::new, |low| format!("; it {low}"));
            format!("The paper may bubble before {relay} {how}{low}.")
        }
        None => format!("It is not known whether the paper bubbles before {relay} {how}."),
    };
    BubblesFirst { relay: relay.to_owned(), setting_c, may_read_low_k, bubbles_at_c: at_c, words }
}

/// Whether a load is one that may be asked about; NaN is not.
fn sensible(load_pu: f64) -> bool {
    load_pu > 0.0 && load_pu <= SENSELESS_PU
}

/// Whether a duration is one; NaN is not.
fn lasting(duration_min: f64) -> bool {
    duration_min > 0.0 && duration_min <= LONGEST_OVERLOAD_MIN
}

fn drop_back_pu(case: &Case) -> f64 {
    case.request.loading.load.at(case.request.loading.end_min)
}

/// How far loads are carried on, min.
fn until_min(case: &Case, permitted: &[Permitted], slowest_min: f64) -> f64 {
    let durations = permitted.iter().filter_map(|own| own.duration_min);
    let longest_min = durations.filter(|min| lasting(*min)).fold(0.0, f64::max);
    let relays = case.unit.relays.iter().filter_map(|relay| Device::of(&relay.function));
    let slowest_min = relays.map(|own| own.slowest_min()).fold(slowest_min, f64::max);
    longest_min + (SETTLED * slowest_min).max(1440.0)
}

fn passing_lanes(
    case: &Case,
    plant: &Plant<'_>,
    permitted: &Permitted,
    until_min: f64,
) -> Option<Vec<Lane>> {
    let mut steps = vec![(0.0, Some(permitted.load_pu).filter(|load| sensible(*load))?)];
    if let Some(duration_min) = permitted.duration_min {
        steps.push((Some(duration_min).filter(|min| lasting(*min))?, drop_back_pu(case)));
    }
    lanes(case, plant, &LoadSteps::new(steps)?, until_min)
}

/// Beyond the range of the correlations there may still be a temperature above which the paper surely
/// bubbles: enough for a no, never for a yes.
fn paper(evaluation: &Evaluation<'_>, permitted: &[Permitted]) -> Paper {
    let low = &evaluation.facts.bubbling.low;
    let inception_c = low.inception().map(Celsius::value);
    let below_c = low.ceiling().filter(|_| inception_c.is_none()).map(Celsius::value);
    let each = permitted.iter().map(|own| own.allowance_k);
    let known = !permitted.is_empty() && each.clone().all(f64::is_finite);
    let allowance_k = known.then(|| each.fold(0.0, f64::max));
    let at_c = inception_c.or(below_c).map(|at_c| at_c - allowance_k.unwrap_or(0.0));
    Paper {
        inception_c,
        inception_is_floor: inception_c.is_some() && low.known().is_none(),
        inception_below_c: below_c,
        allowance_k,
        at_c: at_c.filter(|at_c| at_c.is_finite()),
        known: inception_c.is_some() && allowance_k.is_some(),
        required_margin_k: evaluation.facts.required.no_go_k,
    }
}
