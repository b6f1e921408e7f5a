//! One load, run through the models and the rules.

use super::basis::Basis;
use super::case::{Case, Sampling, StartFrom};
use super::colder_day::colder_day;
use super::cool_down;
use super::counted_gas;
use super::course::Course;
use super::hot_spot_paper;
use super::hottest_start::Among;
use super::paper_life::{cost_if_dry, cost_with_water, most_hours};
use super::plant::{Plant, ageing_hours, costliest_hot_spot, rate_of};
use super::spread::Spread;
use super::typical_figures::typical_figures;
use super::{Ageing, Asked, Bubbling, ForecastStd, Peak, TracePoint};
use crate::ageing::rate::AgeingRate;
use crate::bubbling::inception::Inception;
use crate::loading::history::History;
use crate::quantities::{Celsius, MoisturePercent, Pascals};
use crate::rules::facts::{self, Facts, Held, Required, SpreadFacts, ThermalFacts};
use crate::rules::finding::Finding;
use crate::rules::judge;
use crate::rules::limits::ceilings;
use crate::rules::local_file::{CAUTION_MARGIN_K, NO_GO_MARGIN_K};
use crate::rules::verdict::Verdict;
use crate::thermal::cooling::Control;
use crate::thermal::schedule::{AmbientLine, LoadSteps};

/// Required margins are widened by this where rises or losses are not from a heat run, K.
/// Our choice, no source; that they should be widened is common practice.
pub(super) const WIDENED_BY_K: f64 = 5.0;

/// One load, run through the models and the rules.
#[derive(Debug)]
pub struct Evaluation<'a> {
    /// The facts that the rules saw.
    pub facts: Facts<'a>,
    /// What they found.
    pub findings: Vec<Finding>,
    /// The verdict.
    pub verdict: Verdict,
    /// Temperatures over time.
    pub course: Option<Course>,
    /// Water in the hot-spot paper at each sample of the course, %; empty if not followed.
    pub hot_spot_percent: Vec<f64>,
}

impl<'a> Evaluation<'a> {
    /// Runs a load through models and rules.
    ///
    /// `spread`: how uncertain the margin is, as far as it is known.
    pub fn of(
        case: &'a Case,
        basis: &'a Basis<'_>,
        load: &LoadSteps,
        spread: Option<SpreadFacts>,
    ) -> Self {
        let mut evaluation = Self::unjudged(case, basis, load);
        evaluation.verdict_with(spread);
        evaluation
    }

    /// Runs a load through the models alone; until it is judged the answer is not known.
    pub(super) fn unjudged(case: &'a Case, basis: &'a Basis<'_>, load: &LoadSteps) -> Self {
        Self::unjudged_among(case, basis, load, Among::All)
    }

    /// The same with the detailed model from some of the starts.
    pub(super) fn unjudged_among(
        case: &'a Case,
        basis: &'a Basis<'_>,
        load: &LoadSteps,
        among: Among,
    ) -> Self {
        let plant = basis.plant.as_ref();
        let course = plant.map(|plant| plant.run_among(case, load, among));
        let thermal = plant.zip(course.as_ref()).map(|(plant, course)| plant.facts(case, course));
        let hot_spot = hot_spot_paper::through(case, basis, course.as_ref());
        let mut facts = Facts {
            unit: &case.unit,
            condition: case.condition(),
            restated: case.restated(),
            limits: &case.limits,
            local: case.local.as_ref(),
            asked: asked_facts(case, load),
            windings: case.request.in_service.windings.as_ref(),
            required: required(case, thermal.as_ref()),
            moisture: &basis.paper.facts,
            hot_spot: hot_spot.facts,
            bubbling: basis.paper.bubbling(hot_spot.facts.counted),
            draws_asked: case.request.sampling.draws > 0,
            spread: None,
            thermal,
            held: Vec::new(),
            hours_with_water: hours_with_water(case, basis, course.as_ref()),
            oil_before: basis.oil.as_ref().and_then(|oil| oil.before),
            cooldown: None,
            colder_day: None,
        };
        let local = case.local.iter().flat_map(|local| local.ceilings.clone());
        let held = ceilings(&case.limits).into_iter().chain(local);
        facts.held =
            held.map(|ceiling| Held { value: facts.value_of(ceiling.quantity), ceiling }).collect();
        let (findings, hot_spot_percent) = (Vec::new(), hot_spot.percent);
        Self { verdict: Verdict::of(&findings), facts, findings, course, hot_spot_percent }
    }

    /// The same with typical figures, colder days and the cool-down looked at and judged too.
    pub(super) fn with_cooldown(mut self, case: &Case, basis: &Basis<'_>) -> Self {
        if let (Some(thermal), Some(plant), Some(course)) =
            (&mut self.facts.thermal, &basis.plant, &self.course)
        {
            thermal.typical_figures = typical_figures(case, plant, course);
        }
        self.facts.colder_day = colder_day(case, basis, &self);
        self.facts.cooldown = cool_down::after(case, basis, self.course.as_ref());
        self.findings = judge(&self.facts);
        self.verdict = Verdict::of(&self.findings);
        self
    }

    /// The same with the uncertainty of the margin judged too.
    pub(super) fn with_spread(mut self, spread: SpreadFacts) -> Self {
        self.verdict_with(Some(spread));
        self
    }

    /// Judges again, with another uncertainty of the margin.
    pub(super) fn verdict_with(&mut self, spread: Option<SpreadFacts>) -> Verdict {
        self.facts.spread = spread;
        self.findings = judge(&self.facts);
        self.verdict = Verdict::of(&self.findings);
        self.verdict
    }

    /// What was asked, for the record.
    pub fn asked(&self, case: &Case, plant: Option<&Plant<'_>>) -> Asked {
        let request = &case.request;
        let end_min = request.loading.end_min;
        let knots = request
            .ambient
            .knots()
            .iter()
            .filter(|knot| knot.0 > 0.0 && knot.0 < end_min)
            .map(|knot| knot.1);
        let ends = [request.ambient.at(0.0), request.ambient.at(end_min)];
        Asked {
            load: self.facts.asked.greatest_load_pu,
            duration_min: end_min,
            drop_back_pu: request.loading.load.at(end_min),
            preload_pu: match request.start {
                StartFrom::Preload(load_pu) => Some(load_pu),
                StartFrom::History(_) => None,
            },
            preload_from_pu: match request.start {
                StartFrom::Preload(_) => {
                    plant.filter(|plant| plant.looks_below()).map(|_| request.preload_from_pu)
                }
                StartFrom::History(_) => None,
            },
            preload_varies: request.preload_varies,
            ambient_at_start_c: ends[0],
            ambient_highest_c: knots.chain(ends).fold(f64::NEG_INFINITY, f64::max),
            top_oil_c: request.top_oil_c,
            cooling: plant.map(|plant| match plant.cooling.control {
                Control::Fixed(stage) => plant.cooling.stages[stage].name.clone(),
                Control::Automatic => "automatic".to_owned(),
            }),
            cooling_lost_at_min: request.cooling_lost_at_min,
            limits: case.limits.name.clone(),
            local_rules: case.local.as_ref().map(|local| local.name.clone()),
            required_margin_k: self.facts.required.no_go_k,
            caution_margin_k: self.facts.required.caution_k,
            voltage_pu: request.in_service.voltage_pu,
            voltage_std_percent: request.load_error.voltage_std(),
            tap: request.in_service.tap,
            windings: request.in_service.windings.clone(),
            load_error_percent: ForecastStd::of(&request.load_error, end_min),
            ambient_error_k: ForecastStd::of(&request.ambient_error, end_min),
            why: request.sampling.why,
            as_of: case.as_of.map(|day| day.to_string()),
        }
    }

    /// Hottest temperatures.
    pub fn peak(&self) -> Option<Peak> {
        let thermal = self.facts.thermal.as_ref()?;
        Some(Peak {
            hot_spot_c: thermal.hot_spot.value_c,
            hot_spot_at_min: thermal.hot_spot.at_min,
            top_oil_c: thermal.top_oil.value_c,
            top_oil_at_min: thermal.top_oil.at_min,
            governed_by: thermal.governed_by,
            by_model: self.course.as_ref().map_or_else(Vec::new, Course::by_model),
        })
    }

    /// Hottest hot spot, °C.
    pub(super) fn hot_spot_c(&self) -> Option<f64> {
        self.facts.thermal.as_ref().map(|thermal| thermal.hot_spot.value_c)
    }

    /// Margin with the moisture that counts, K.
    pub(super) fn margin_counting_k(&self) -> Option<f64> {
        self.facts.margin_k(self.facts.bubbling.low.inception())
    }

    /// The margin to bubbling and what it rests on.
    pub fn bubbling(&self, case: &Case, spread: Option<&Spread>) -> Bubbling {
        let found = &self.facts.bubbling;
        let low = found.low.inception();
        let known = found.low.known();
        let gas = found.gas.as_ref();
        let counting = self.facts.moisture.counting;
        Bubbling {
            margin_k: self.facts.margin_k(found.best.inception()),
            margin_low_k: self.facts.margin_low_k(),
            margin_counting_k: self.margin_counting_k(),
            margin_p05_k: spread.and_then(|spread| spread.margin_p05_k),
            margin_p05_standard_error_k: spread
                .and_then(|spread| spread.margin_p05_standard_error_k),
            probability: spread.map(|spread| spread.below_zero.probability),
            probability_standard_error: spread.map(|spread| spread.below_zero.standard_error),
            at_min: low.and(self.facts.thermal.as_ref()).map(|thermal| thermal.hot_spot.at_min),
            inception_c: low.map(Celsius::value),
            inception_below_c: match low {
                Some(_) => None,
                None => found.low.ceiling().map(Celsius::value),
            },
            inception_best_c: found.best.inception().map(Celsius::value),
            inception_by: known.map(Inception::governed_by),
            inception_oommen_lindgren_c: known.map(|known| known.oommen_lindgren.value()),
            inception_fessler_c: known.map(|known| known.fessler.value()),
            inception_bound_c: found.bound.map(Celsius::value),
            hot_spot_moisture: case.request.hot_spot,
            hot_spot_moisture_percent: self.facts.hot_spot.counted.map(MoisturePercent::value),
            hot_spot_credit_k: self.facts.hot_spot.credit_k,
            margin_with_drying_k: self.facts.hot_spot.drying.and_then(|drying| drying.margin_k),
            counting_moisture_percent: counting.map(|counting| counting.upper.value()),
            best_moisture_percent: counting.map(|counting| counting.best.value()),
            holding_factor: self.facts.moisture.holding.factor.central,
            gas_sampled: gas.and_then(|gas| gas.sampled).map(|day| day.to_string()),
            gas_percent: counted_gas::percent(gas),
            gas_assumed: counted_gas::is_assumed(&case.unit, gas),
            gas: counted_gas::line(&case.unit, gas),
            pressure_pa: found.pressure.map(Pascals::value),
        }
    }

    /// Paper life used.
    pub fn ageing(&self, case: &Case) -> Option<Ageing> {
        let course = self.course.as_ref()?;
        let counting = self.facts.moisture.counting;
        let hot_spot = costliest_hot_spot(case, course, |hot_spot| {
            let water = counting.map(|counting| counting.upper);
            water.map_or(f64::NAN, |water| hours_at(case, water, hot_spot))
        });
        let cost = |percent: f64| cost_with_water(&case.unit, percent, &hot_spot);
        Some(Ageing {
            hours_used: ageing_hours(case, course, rate_of(&case.unit)),
            kraft_hours: ageing_hours(case, course, AgeingRate::Kraft),
            thermally_upgraded_hours: ageing_hours(case, course, AgeingRate::ThermallyUpgraded),
            hours_with_water: self.facts.hours_with_water,
            if_dry: cost_if_dry(&case.unit, &hot_spot),
            with_water: counting.map_or_else(Vec::new, |counting| cost(counting.upper.value())),
            if_dried: cost(case.request.dried_to_percent),
        })
    }

    /// Temperatures over time.
    pub fn trace(&self, plant: Option<&Plant<'_>>) -> Vec<TracePoint> {
        let inception_c = self.facts.bubbling.low.inception().map(Celsius::value);
        let (Some(course), Some(plant)) = (&self.course, plant) else {
            return Vec::new();
        };
        course
            .samples()
            .enumerate()
            .map(|(index, models)| TracePoint {
                min: models.minute(),
                load_pu: models.iec.load_pu,
                ambient_c: models.iec.ambient_c,
                top_oil_c: models.top_oil_c(),
                hot_spot_c: models.hot_spot_c(),
                inception_c,
                top_oil_iec_c: models.iec.top_oil_c,
                hot_spot_iec_c: models.iec.hot_spot_c,
                top_oil_ieee_c: models.ieee_c(|sample| sample.top_oil_c),
                hot_spot_ieee_c: models.ieee_c(|sample| sample.hot_spot_c),
                top_oil_detailed_c: models.detailed.top_oil_c,
                hot_spot_detailed_c: models.detailed.hot_spot_c,
                stage: plant.cooling.stages[models.iec.stage].name.clone(),
                hot_spot_moisture_percent: self.hot_spot_percent.get(index).copied(),
            })
            .collect()
    }
}

/// What the overload costs with the assessed water, h, from the start from which it costs more.
fn hours_with_water(case: &Case, basis: &Basis<'_>, course: Option<&Course>) -> Option<f64> {
    let (water, course) = (basis.paper.facts.counting?.upper, course?);
    let cost = |hot_spot: &[(f64, Celsius)]| hours_at(case, water, hot_spot);
    most_hours(&case.unit, water, &costliest_hot_spot(case, course, cost))
}

/// Hours at a water content; NaN where no set gives a figure.
fn hours_at(case: &Case, water: MoisturePercent, hot_spot: &[(f64, Celsius)]) -> f64 {
    most_hours(&case.unit, water, hot_spot).unwrap_or(f64::NAN)
}

fn asked_facts(case: &Case, load: &LoadSteps) -> facts::Asked {
    let request = &case.request;
    let (sampling, usual) = (request.sampling, Sampling::default().seed);
    facts::Asked {
        greatest_load_pu: load.greatest_between(0.0, request.loading.end_min),
        duration_min: request.loading.end_min,
        cooling_lost: request.cooling_lost_at_min.is_some(),
        cooling_stated: request.stage.is_some(),
        cooling_reduced: case
            .unit
            .thermal
            .as_ref()
            .is_some_and(|thermal| request.stage.is_some_and(|stage| stage < thermal.rated_stage)),
        top_oil_measured: request.top_oil_c.is_some(),
        history: match &request.start {
            StartFrom::Preload(_) => None,
            StartFrom::History(history) => Some(facts::HistoryFacts {
                length_min: -history.load.steps()[0].0,
                has_ambient: history.ambient.is_some(),
                ambient_differs_k: ambient_differs_k(history, &request.ambient),
            }),
        },
        forecast_until_min: request.forecast_until_min,
        load_before_pu: case.load_before_pu(),
        other_seed: (sampling.draws > 0 && sampling.seed != usual)
            .then_some((sampling.seed, usual)),
    }
}

/// An older last row says nothing about the ambient of the overload, min.
const COMPARABLE_MIN: f64 = 60.0;

fn ambient_differs_k(history: &History, ambient: &AmbientLine) -> Option<f64> {
    let (minute, last_c) = history.ambient.as_ref()?.knots().last().copied()?;
    (minute >= -COMPARABLE_MIN).then(|| last_c - ambient.at(minute))
}

fn required(case: &Case, thermal: Option<&ThermalFacts>) -> Required {
    let widened = thermal.is_some_and(|thermal| !thermal.heat_run || !thermal.typical.is_empty());
    let wider_k = if widened { WIDENED_BY_K } else { 0.0 };
    let (no_go_k, caution_k) = match &case.local {
        Some(local) => (local.no_go_margin_k, local.caution_margin_k),
        None => (NO_GO_MARGIN_K, CAUTION_MARGIN_K),
    };
    Required { no_go_k: no_go_k + wider_k, caution_k: caution_k + wider_k }
}
