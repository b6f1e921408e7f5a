//! The unit ready to run: its cooling, and the thermal models at minute 0.

use super::StartState;
use super::case::{Case, StartFrom};
use super::course::{Course, Prepared, SharedByAll, Starts, cooling, sample_minutes};
use super::followed::Followed;
use super::hottest_start::{Among, Around, hottest_start, order};
use super::past::Shared;
use super::possible::{WhichStart, others};
use crate::ageing::rate::AgeingRate;
use crate::quantities::Celsius;
use crate::rules::facts::{LaterStart, ThermalFacts};
use crate::thermal::cooling::{Control, Cooling, Stage};
use crate::thermal::detailed::Detailed;
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::LoadSteps;
use crate::thermal::start::Settled;
use crate::thermal::trajectory::Sample;
use crate::uncertainty::batch::in_chunks;
use crate::unit::{Auxiliaries, Paper, Thermal, Unit};

/// What does not depend on the load that is tried: cooling and starting state.
#[derive(Debug, Clone)]
pub struct Plant<'a> {
    thermal: &'a Thermal,
    /// Cooling as the models see it.
    pub cooling: Cooling,
    control_unknown: bool,
    /// By how much the oil that explains a reading may be cooler in the IEEE form, with the ambient at once and through the oil, K.
    pub(super) cooler_k: [f64; 2],
    /// The models at minute 0, from the load before as stated or the history.
    pub starts: Starts,
    /// The other starts that the knowledge allows.
    pub others: Vec<(WhichStart, Starts)>,
}

impl<'a> Plant<'a> {
    /// `None` without thermal data.
    pub fn of(case: &'a Case) -> Option<Self> {
        let thermal = case.unit.thermal.as_ref()?;
        let request = &case.request;
        let (cooling, control_unknown) =
            cooling(thermal, request.stage, request.cooling_lost_at_min);
        let shared = shared(case, &cooling);
        let starts_of = |which| Starts::of(case, &cooling, &shared, which);
        let starts = starts_of(WhichStart::Stated);
        let all = [shared.iec, shared.ieee, shared.detailed].into_iter().chain(shared.lagged);
        let all = all.map(|own| own.stated).collect::<Vec<Settled>>();
        let others = others(case, &cooling, &all);
        let others: Vec<(WhichStart, Starts)> = in_chunks(others.len(), 4, |some| {
            others[some].iter().map(|which| (*which, starts_of(*which))).collect()
        });
        let others = match cooling.control {
            Control::Automatic => others,
            Control::Fixed(_) => ends_and_kinks(&others),
        };
        let of = |shared: Option<Shared>| shared.map_or(0.0, |shared| shared.cooler_k);
        let cooler_k = [of(Some(shared.ieee)), of(shared.lagged)];
        Some(Self { thermal, cooling, control_unknown, cooler_k, starts, others })
    }

    /// Whether the ambient changes, so that it matters whether the oil feels it at once or with a lag.
    pub(super) fn ambient_changes(&self) -> bool {
        self.starts.lagged.is_some()
    }

    /// The models at minute 0 from one of the starts; the stated one where it is not among the others.
    pub(super) fn starts_of(&self, which: WhichStart) -> &Starts {
        let other = self.others.iter().find(|(own, _)| *own == which);
        other.map_or(&self.starts, |(_, starts)| starts)
    }

    /// Whether stages start by their own temperatures.
    pub(super) fn is_automatic(&self) -> bool {
        self.cooling.control == Control::Automatic
    }

    /// Whether lower loads before are looked at too.
    pub(super) fn looks_below(&self) -> bool {
        self.is_automatic() || !self.others.is_empty()
    }

    /// How far a load is followed, min.
    pub(super) fn until_min(&self, case: &Case) -> f64 {
        case.request.loading.end_min + self.gone_min()
    }

    /// Runs the models through the overload and until long after it: at least a day, and
    /// eight of the longest time constants, when every exponential has died away and the peak
    /// is past.
    pub fn run(&self, case: &Case, load: &LoadSteps) -> Course {
        self.run_among(case, load, Among::All)
    }

    /// The same with the detailed model from some of the starts.
    pub(super) fn run_among(&self, case: &Case, load: &LoadSteps, among: Among) -> Course {
        let (end_min, until_min) = (case.request.loading.end_min, self.until_min(case));
        let samples = sample_minutes(case.request.resolution, end_min, until_min);
        self.course_among((case, load), until_min, &samples, among)
    }

    /// The models from minute 0 on, from that of the possible starts from which they get hottest.
    pub(crate) fn course(
        &self,
        case: &Case,
        load: &LoadSteps,
        until_min: f64,
        samples: &[f64],
    ) -> Course {
        self.course_among((case, load), until_min, samples, Among::All)
    }

    fn course_among(
        &self,
        (case, load): (&Case, &LoadSteps),
        until_min: f64,
        samples: &[f64],
        among: Among,
    ) -> Course {
        let ambient = &case.request.ambient;
        let from = |starts| Course::run(&self.cooling, starts, load, ambient, until_min, samples);
        let stated = from(&self.starts);
        let around = Around {
            cooling: &self.cooling,
            load,
            ambient,
            end_min: case.request.loading.end_min,
            until_min,
            gone_min: self.gone_min(),
            among,
        };
        let looked = hottest_start(&around, (&self.starts, &self.others), samples, &stated);
        match looked.hottest {
            None => stated.among(looked),
            Some(place) => {
                let (which, starts) = &self.others[place];
                from(starts).instead_of(stated, *which).among(looked)
            }
        }
    }

    /// The hottest hot spot by the detailed model from one of the starts, where that was looked at for a course, °C.
    pub(super) fn detailed_of(&self, course: &Course, which: WhichStart) -> Option<f64> {
        if which == WhichStart::Stated {
            return Some(course.stated().detailed.hot_spot.value_c);
        }
        if which == course.which() {
            return Some(course.detailed.hot_spot.value_c);
        }
        let looked = &course.looked().detailed_c;
        looked.iter().find(|(place, _)| self.others[*place].0 == which).map(|(_, c)| *c)
    }

    /// The same, or about so much by the starts around, where the hotter lag form has `lags_c`.
    pub(super) fn about_detailed_c(&self, course: &Course, which: WhichStart, lags_c: f64) -> f64 {
        self.detailed_of(course, which).unwrap_or_else(|| {
            let place = self.others.iter().position(|other| other.0 == which);
            lags_c + course.looked().above_k(order(&self.others, place))
        })
    }

    /// The same where it was not looked at.
    pub(super) fn detailed_c(
        &self,
        case: &Case,
        which: WhichStart,
        (load, until_min): (&LoadSteps, f64),
    ) -> f64 {
        let (cooling, Prepared { form, start, .. }) =
            (&self.cooling, &self.starts_of(which).detailed);
        let (ambient, end_min) = (&case.request.ambient, case.request.loading.end_min);
        Followed::of(cooling, (load, ambient), (end_min, until_min), std::iter::empty()).hottest_c(
            *form,
            *start,
            (cooling, load, ambient),
        )
    }

    /// From here on nothing of a start is left, min: a day, and eight of the longest time constants.
    fn gone_min(&self) -> f64 {
        (8.0 * self.slowest_min()).max(1440.0)
    }

    /// The longest time constant of any stage in either lag form, min.
    pub(super) fn slowest_min(&self) -> f64 {
        slowest_min(&self.cooling)
    }

    /// Top oil at minute 0 of the hottest and of the coolest model, °C.
    pub(super) fn top_oil_at_start_c(&self) -> (f64, f64) {
        let oils_c = || self.starts.each().map(|start| start.state.top_oil_c);
        (oils_c().fold(f64::MIN, f64::max), oils_c().fold(f64::MAX, f64::min))
    }

    /// The state at minute 0, for the record.
    pub fn start_state(&self, case: &Case, course: Option<&Course>) -> StartState {
        StartState {
            computed_top_oil_c: self.computed_top_oil_c(),
            measured_top_oil_c: case.request.top_oil_c,
            measured_minus_computed_k: self.measured_minus_computed_k(),
            counted_from: course.and_then(Course::counted_from),
            added_rise_k: self.starts.added_rises_k(),
            stage: self.cooling.stages[self.starts.iec.start.stage].name.clone(),
        }
    }

    /// The greater of the added rises carried forward, K.
    pub(super) fn added_rise_k(&self) -> f64 {
        self.starts.added_rises_k().into_iter().fold(0.0, f64::max)
    }

    /// Of the model that computes the coolest oil, against which a measured excess is larger.
    fn computed_top_oil_c(&self) -> f64 {
        self.starts.coolest_computed_c()
    }

    /// Against the model that computes the coolest oil: the largest excess.
    fn measured_minus_computed_k(&self) -> Option<f64> {
        self.starts.greatest_difference_k()
    }

    /// What the rules may know of a course.
    pub(super) fn facts(&self, case: &Case, course: &Course) -> ThermalFacts {
        let (hot_spot, top_oil) = (course.hot_spot(), course.top_oil());
        let used = self.stages_in_service(course);
        let data = |stage: &usize| &self.thermal.stages[*stage];
        let typical = used.iter().map(data).filter(|data| !data.typical.is_empty());
        ThermalFacts {
            hot_spot: hot_spot.peak,
            governed_by: hot_spot.form,
            top_oil: top_oil.peak,
            start_top_oil_c: self.computed_top_oil_c(),
            later_start: course.counted_from().map(|from| LaterStart {
                load_before_pu: from.load_before_pu,
                hotter_k: from.hotter_k,
                fans: self.is_automatic(),
            }),
            measured_minus_computed_k: self.measured_minus_computed_k(),
            typical: typical
                .map(|data| format!("{}: typical {}", data.stage.name, data.typical.join(", ")))
                .collect(),
            typical_figures: Vec::new(),
            heat_run: self.thermal.heat_run.is_some(),
            stages_in_service: used
                .iter()
                .map(|stage| self.cooling.stages[*stage].name.clone())
                .collect(),
            constants: used
                .iter()
                .map(data)
                .map(|data| format!("{} {}", data.stage.name, data.constants))
                .collect(),
            forced_stages: used
                .iter()
                .map(data)
                .filter(|data| data.auxiliaries != Auxiliaries::None)
                .map(|data| data.stage.name.clone())
                .collect(),
            own_constants: used.iter().map(data).any(|data| data.own_constants),
            weakest_needs_auxiliaries: data(&0).auxiliaries != Auxiliaries::None,
            slowest_min: self.slowest_min(),
            control_unknown: self.control_unknown,
            pumps: used.iter().map(data).any(|data| data.auxiliaries == Auxiliaries::Pumps),
            greatest_stage_load: self.greatest_stage_load(case, course),
            ageing_hours: ageing_hours(case, course, rate_of(&case.unit)),
        }
    }

    /// The stages that may be in service at any time, from whichever of the possible starts: those of the course that
    /// counts, of the one from the stated start, and those in which the other starts begin.
    fn stages_in_service(&self, course: &Course) -> Vec<usize> {
        let begins =
            |starts: &Starts, stage: usize| starts.each().any(|start| start.stage == stage);
        let runs =
            |course: &Course, stage: usize| course.runs().any(|(_, run)| run.stages_used[stage]);
        let may_be = |stage: &usize| {
            runs(course, *stage)
                || runs(course.stated(), *stage)
                || self.others.iter().any(|(_, starts)| begins(starts, *stage))
        };
        (0..self.cooling.stages.len()).filter(may_be).collect()
    }

    /// The load of each interval over the weaker of the stages at its two ends, and the load
    /// before the overload over the stage that it begins in.
    fn greatest_stage_load(&self, case: &Case, course: &Course) -> f64 {
        let rating = |stage: usize| self.cooling.stages[stage].rating_pu;
        let of_form = |samples: &[Sample]| {
            let intervals = samples.windows(2);
            intervals
                .map(|pair| pair[0].load_pu / rating(pair[0].stage).min(rating(pair[1].stage)))
                .fold(0.0, f64::max)
        };
        let before = case.load_before_pu() / rating(self.starts.iec.start.stage);
        let of = |course: &Course| {
            let each = course.runs().map(|(_, run)| of_form(&run.samples));
            each.fold(0.0, f64::max)
        };
        of(course).max(of(course.stated())).max(before)
    }
}

/// A change of the slope of the oil over the loads before that is a kink and no curve, K from one load to the next: a
/// tenth of it is the most that a smooth one bends.
const KINK_K: f64 = 0.3;

/// The least load before, and those at which the oil has a kink because fans came or went. In a stated stage the hot spot
/// is a straight line in the state at minute 0, and between kinks the oil bends more than the gradient, so that it is
/// hottest at one of the ends.
fn ends_and_kinks(others: &[(WhichStart, Starts)]) -> Vec<(WhichStart, Starts)> {
    let oil_c = |at: usize| others[at].1.each().map(|start| start.state.top_oil_c);
    let bends = |at: usize| {
        let ([before, here], after) = ([at - 1, at].map(oil_c), oil_c(at + 1));
        let all = before.zip(here).zip(after);
        let mut by_k = all.map(|((before, here), after)| (after - 2.0 * here + before).abs());
        // What is not a number is looked at.
        !by_k.all(|k| k < KINK_K)
    };
    let last = others.len().saturating_sub(1);
    let kept = |at: &usize| {
        let near = at.saturating_sub(1).max(1)..(at + 2).min(last);
        *at == 0 || *at == last || near.into_iter().any(bends)
    };
    (0..others.len()).filter(kept).map(|at| others[at]).collect()
}

/// What all starts have in common.
fn shared(case: &Case, cooling: &Cooling) -> SharedByAll {
    let request = &case.request;
    let level = request.ambient.is_level() && matches!(request.start, StartFrom::Preload(_));
    // Below the rating the smaller of two oil exponents makes the hotter oil: it would explain more of what is measured, and is no
    // hotter under an overload.
    let one_exponent = cooling.with_one_exponent().filter(|_| request.top_oil_c.is_some());
    let ieee = |plain: Ieee| {
        let shared = Shared::of(case, cooling, &plain);
        one_exponent.as_ref().map_or(shared, |other| shared.held_against(case, other, &plain))
    };
    SharedByAll {
        iec: Shared::of(case, cooling, &Iec::default()),
        ieee: ieee(Ieee::default()),
        lagged: (!level).then(|| ieee(Ieee::LAGGED)),
        detailed: Shared::of(case, cooling, &Detailed::default()),
    }
}

fn slowest_min(cooling: &Cooling) -> f64 {
    let of = |stage: &Stage| {
        let (iec, tau_min) = (&stage.iec, stage.iec.oil_time_constant_min);
        let iec_min = (iec.k11 * tau_min).max(tau_min / iec.k22);
        stage.ieee.oil_time_constant_min.max(iec_min)
    };
    cooling.stages.iter().map(of).fold(0.0, f64::max)
}

/// The ageing rate of the unit's paper.
pub(super) fn rate_of(unit: &Unit) -> AgeingRate {
    match unit.paper {
        Paper::Kraft => AgeingRate::Kraft,
        Paper::ThermallyUpgraded => AgeingRate::ThermallyUpgraded,
    }
}

/// Normal-life hours used during the overload, from the hotter hot spot.
pub(super) fn ageing_hours(case: &Case, course: &Course, rate: AgeingRate) -> f64 {
    let stated = course.stated();
    let used = |course: &Course| rate.hours_used(&hotter_hot_spot(case, course));
    used(course).max(used(stated))
}

/// The hotter hot spot during the overload as `(minute, °C)`, from the stated start or the one that counts: the one
/// from which a cost, h, is greater. A cost that is no number is the greatest.
pub(super) fn costliest_hot_spot(
    case: &Case,
    course: &Course,
    cost: impl Fn(&[(f64, Celsius)]) -> f64,
) -> Vec<(f64, Celsius)> {
    let (own, stated) = (hotter_hot_spot(case, course), hotter_hot_spot(case, course.stated()));
    if cost(&stated) <= cost(&own) { own } else { stated }
}

/// The hotter hot spot during the overload as `(minute, °C)`.
pub(super) fn hotter_hot_spot(case: &Case, course: &Course) -> Vec<(f64, Celsius)> {
    let end_min = case.request.loading.end_min;
    let during = course.samples().filter(|models| models.minute() <= end_min);
    during.filter_map(|models| models.hottest_at()).collect()
}
