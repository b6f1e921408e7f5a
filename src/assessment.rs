//! The one orchestrator: case → models → rules → assessment.
//!
//! An [`Assessment`] is plain data, unrounded, ready to be serialised or rendered. Nothing
//! here reads a file or a clock, so that the same case always gives the same assessment.

pub mod all_cooling;
pub mod basis;
pub mod brief;
pub mod case;
pub mod colder_day;
pub mod cool_down;
pub mod counted_gas;
pub mod course;
mod cycles;
pub mod evaluation;
pub mod evidence_lines;
mod followed;
pub mod held_on;
pub mod hot_spot_paper;
mod hottest_start;
pub mod limits;
pub mod long_history;
pub mod measure_next;
pub mod moisture_answer;
mod paper_holding;
pub mod paper_life;
pub mod past;
pub mod planned;
pub mod plant;
pub mod possible;
pub mod rated;
pub mod search;
pub mod spread;
mod times;
mod together;
mod typical_figures;
pub mod watch;
pub mod wet_paper;
pub mod wetness;

use crate::loading::forecast_error::{ForecastError, Origin};
use crate::loading::windings::WindingsCarried;
use crate::rules::facts::TypicalFigure;
use crate::rules::finding::Finding;
use crate::rules::verdict::Verdict;
use all_cooling::{AllCoolingNow, all_cooling_now};
use basis::Basis;
use case::{Case, HotSpotMoisture};
use cool_down::Cooldown;
use counted_gas::GasLine;
use evaluation::Evaluation;
use evidence_lines::wetness;
use limits::LimitLine;
use paper_life::CostWithWater;
use serde::Serialize;
use spread::Spread;
use watch::{WatchGuard, WatchPoint};
use wetness::Wetness;

/// Everything there is to say about one case.
///
/// The JSON of `check` is this structure. A `null` means "not computable" or "none", never
/// zero; NaN and infinity never appear.
#[derive(Debug, Clone, Serialize)]
pub struct Assessment {
    /// What computed it.
    pub tool: Tool,
    /// Name of the unit.
    pub unit: String,
    /// Where it stands.
    pub site: Option<String>,
    /// What was asked.
    pub asked: Asked,
    /// SHA-256 of every input file and option.
    pub inputs_sha256: String,
    /// The verdict.
    pub verdict: Verdict,
    /// Hottest temperatures.
    pub peak: Option<Peak>,
    /// The margin to bubbling and what it rests on.
    pub bubbling: Bubbling,
    /// How uncertain the answer is; `null` without draws, or without a margin.
    pub spread: Option<Spread>,
    /// How wet the paper is, with margins to the hottest hot spot.
    pub moisture: Wetness,
    /// Water in the oil after the overload; `null` without moisture or thermal data, or with oil above 150 °C.
    pub cooldown: Option<Cooldown>,
    /// Every limit with its value.
    pub limits: Vec<LimitLine>,
    /// The longest duration, min, for which the same load, its last step held on, would have no stop and no
    /// unknown, with limit set, start and draws kept; 0 if none; `null` if that is longer than
    /// [`Self::horizon_min`].
    pub time_to_limit_min: Option<f64>,
    /// How far `time_to_limit_min` looks, min.
    pub horizon_min: f64,
    /// Greatest load of the same shape that would pass, with cautions or without, pu.
    pub largest_load_pu: Option<f64>,
    /// Probability that the paper bubbles at any time at `largest_load_pu`; `null` without draws.
    pub largest_load_probability: Option<f64>,
    /// Greatest load of the same shape that would pass without cautions, pu.
    pub largest_load_without_cautions_pu: Option<f64>,
    /// Paper life used.
    pub ageing: Option<Ageing>,
    /// State at minute 0.
    pub start: Option<StartState>,
    /// Figures of the detailed model that no heat run states, with what each is worth.
    pub typical_figures: Vec<TypicalFigure>,
    /// What it buys to start all cooling at minute 0; `null` where no stage starts by itself, or where it buys nothing.
    pub all_cooling_now: Option<AllCoolingNow>,
    /// Readings to compare during the overload; empty unless it may go ahead.
    pub watch: Vec<WatchPoint>,
    /// Whether the thermometer can guard the overload; `null` without readings to compare.
    pub watch_guard: Option<WatchGuard>,
    /// What the rules found, gravest first.
    pub findings: Vec<Finding>,
    /// Temperatures over time.
    pub trace: Vec<TracePoint>,
}

/// What computed an assessment.
#[derive(Debug, Clone, Serialize)]
pub struct Tool {
    /// Name of the program.
    pub name: &'static str,
    /// Its version.
    pub version: &'static str,
}

impl Tool {
    /// This program.
    pub fn this() -> Self {
        Self { name: env!("CARGO_PKG_NAME"), version: env!("CARGO_PKG_VERSION") }
    }
}

/// What was asked.
#[derive(Debug, Clone, Serialize)]
pub struct Asked {
    /// Greatest load of the overload, pu.
    pub load: f64,
    /// Duration of the overload, min.
    pub duration_min: f64,
    /// Load after the overload, pu.
    pub drop_back_pu: f64,
    /// Load before the overload, pu; `null` with a history.
    pub preload_pu: Option<f64>,
    /// The least load before that counts too, pu; `null` with a history, and where it is that load itself.
    pub preload_from_pu: Option<f64>,
    /// Whether the load before may have changed between the two up to minute 0.
    pub preload_varies: bool,
    /// Ambient at minute 0, °C.
    pub ambient_at_start_c: f64,
    /// Highest ambient during the overload, °C.
    pub ambient_highest_c: f64,
    /// Measured top oil at minute 0, °C.
    pub top_oil_c: Option<f64>,
    /// Cooling stage counted on, or `automatic`.
    pub cooling: Option<String>,
    /// When forced cooling is lost, min.
    pub cooling_lost_at_min: Option<f64>,
    /// The limit set.
    pub limits: String,
    /// The local rules.
    pub local_rules: Option<String>,
    /// Margin required for a go with cautions, K.
    pub required_margin_k: f64,
    /// Margin required for a go without cautions, K.
    pub caution_margin_k: f64,
    /// Voltage by which the load was turned into current, pu of the rated one, the lowest where it changes; `null` if
    /// it is not stated, or the load is a current.
    pub voltage_pu: Option<f64>,
    /// How wrong the current may be for a voltage that is not stated and taken as 1 pu, % of it, one standard
    /// uncertainty; 0 where it is known. It adds to `load_error_percent` in quadrature.
    pub voltage_std_percent: f64,
    /// Tap in service; `null` if it is not stated, or given row by row.
    pub tap: Option<u32>,
    /// What each of three windings carries at the greatest load, and which of them, or whose losses, `load` follows
    /// from; `null` where windings are not told apart.
    pub windings: Option<WindingsCarried>,
    /// How wrong the load may be, % of it, without what the voltage adds.
    pub load_error_percent: ForecastStd,
    /// How wrong the ambient may be, K.
    pub ambient_error_k: ForecastStd,
    /// Whether to say which uncertainty matters most.
    pub why: bool,
    /// The day by which the age of evidence is judged, YYYY-MM-DD; `null`: none, so that no age counts.
    pub as_of: Option<String>,
}

/// How wrong a forecast may be, as a standard uncertainty.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ForecastStd {
    /// At minute 0.
    pub at_start: f64,
    /// At the end of the overload.
    pub at_end: f64,
    /// Who states it.
    pub from: Origin,
}

impl ForecastStd {
    fn of(error: &ForecastError, end_min: f64) -> Self {
        let (at_start, at_end) = (error.own_std_at(0.0), error.own_std_at(end_min));
        Self { at_start, at_end, from: error.origin() }
    }
}

/// Hottest temperatures.
#[derive(Debug, Clone, Serialize)]
pub struct Peak {
    /// Hot spot, °C.
    pub hot_spot_c: f64,
    /// When, min.
    pub hot_spot_at_min: f64,
    /// Top oil, °C.
    pub top_oil_c: f64,
    /// When, min.
    pub top_oil_at_min: f64,
    /// The model that gives the hottest hot spot.
    pub governed_by: &'static str,
    /// What each model gives.
    pub by_model: Vec<ByModel>,
}

/// How the oil feels the ambient.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum AmbientFelt {
    /// The oil's rise is above the ambient of the moment.
    AtOnce,
    /// With the oil's time constant.
    ThroughTheOil,
}

/// Hottest temperatures by one model.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ByModel {
    /// Name of the model.
    pub model: &'static str,
    /// How the oil feels the ambient in it: of the two that are told for IEEE clause 7 the one that makes the load hotter.
    pub ambient: AmbientFelt,
    /// Hot spot, °C.
    pub hot_spot_c: f64,
    /// Top oil, °C.
    pub top_oil_c: f64,
}

/// The margin to bubbling and what it rests on.
#[derive(Debug, Clone, Serialize)]
pub struct Bubbling {
    /// Margin with the best estimate of moisture, K.
    pub margin_k: Option<f64>,
    /// The lower of the margin with the moisture that counts and the 5 % point of the draws, that less
    /// `spread.guard_k`, K; the verdict uses this one. Without draws the first alone.
    pub margin_low_k: Option<f64>,
    /// Margin with the moisture that counts, everything else at its own value, K.
    pub margin_counting_k: Option<f64>,
    /// 5 % point of the margin, less what doubt alone would gain, K; `null` without draws, or beyond the
    /// range of the correlations.
    pub margin_p05_k: Option<f64>,
    /// Its standard error for the number of draws, K; `null` without draws, or where it is not known.
    pub margin_p05_standard_error_k: Option<f64>,
    /// Probability that the margin falls below 0 K at any time; `null` without draws.
    pub probability: Option<f64>,
    /// Its standard error.
    pub probability_standard_error: Option<f64>,
    /// When the margin is smallest, min.
    pub at_min: Option<f64>,
    /// Inception temperature with the moisture that counts, °C.
    pub inception_c: Option<f64>,
    /// Where there is none: it lies below this, °C, the value at the wet edge of the correlations.
    pub inception_below_c: Option<f64>,
    /// Inception temperature with the best estimate of moisture, °C.
    pub inception_best_c: Option<f64>,
    /// The correlation that gives `inception_c`.
    pub inception_by: Option<&'static str>,
    /// Oommen–Lindgren with gas, with the moisture that counts, °C.
    pub inception_oommen_lindgren_c: Option<f64>,
    /// Fessler, with the moisture that counts, °C.
    pub inception_fessler_c: Option<f64>,
    /// Worst-case bound, °C.
    pub inception_bound_c: Option<f64>,
    /// How wet the paper at the hot spot is taken to be.
    pub hot_spot_moisture: HotSpotMoisture,
    /// Water in it that the verdict uses, %, before the holding factor.
    pub hot_spot_moisture_percent: Option<f64>,
    /// What that is worth against the moisture that counts, K; `null` if no credit was asked for or given.
    pub hot_spot_credit_k: Option<f64>,
    /// Smallest margin with drying during the overload, K; informs, unless a local rule lets it count.
    pub margin_with_drying_k: Option<f64>,
    /// Moisture that counts, %, before the holding factor.
    pub counting_moisture_percent: Option<f64>,
    /// Best estimate of moisture, %.
    pub best_moisture_percent: Option<f64>,
    /// Holding factor of aged paper.
    pub holding_factor: f64,
    /// Date of the gas sample.
    pub gas_sampled: Option<String>,
    /// Total dissolved gas, % by volume.
    pub gas_percent: Option<f64>,
    /// Whether that, or part of it, is assumed: from the oil preservation, or for the age of the sample.
    pub gas_assumed: bool,
    /// The gas that counts, how old its sample is and what that does; `null` if none is known.
    pub gas: Option<GasLine>,
    /// Absolute pressure at the hot spot, Pa.
    pub pressure_pa: Option<f64>,
}

/// Paper life used during the overload, h of normal life, for dry paper and with water.
///
/// Figures of one ageing set may be held against each other, and not against those of the guide's rates.
#[derive(Debug, Clone, Serialize)]
pub struct Ageing {
    /// At the guide's rate for dry paper of the unit's kind.
    pub hours_used: f64,
    /// With the moisture that counts, by the published set that gives most; `null` where the water is not known.
    pub hours_with_water: Option<f64>,
    /// By chain scission if the paper were dry, by every published set.
    pub if_dry: Vec<CostWithWater>,
    /// At the rate of kraft paper.
    pub kraft_hours: f64,
    /// At the rate of thermally upgraded paper.
    pub thermally_upgraded_hours: f64,
    /// By chain scission with the moisture that counts, by every published set; empty without one.
    pub with_water: Vec<CostWithWater>,
    /// The same if the paper were dried as far as asked.
    pub if_dried: Vec<CostWithWater>,
}

/// State at minute 0.
#[derive(Debug, Clone, Serialize)]
pub struct StartState {
    /// Computed top oil, °C, of the model that computes the coolest oil.
    pub computed_top_oil_c: f64,
    /// Measured top oil, °C.
    pub measured_top_oil_c: Option<f64>,
    /// Measured minus computed, K.
    pub measured_minus_computed_k: Option<f64>,
    /// The start that counts, where that is not the load before as stated but another that the knowledge allows, from
    /// which the hot spot gets hotter; else `null`.
    pub counted_from: Option<CountedFrom>,
    /// Added rise carried forward, K, per model: IEC, IEEE, detailed.
    pub added_rise_k: [f64; 3],
    /// Cooling stage at minute 0.
    pub stage: String,
}

/// A start from which the hot spot gets hotter than from the one stated.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CountedFrom {
    /// The steady load before, pu; `null` where it is not a lower load but cooler oil.
    pub load_before_pu: Option<f64>,
    /// Top oil at minute 0 of the hottest model, °C.
    pub top_oil_c: f64,
    /// How much hotter the hot spot gets, K.
    pub hotter_k: f64,
}

/// Temperatures at one instant; the envelope of the models, and each model.
#[derive(Debug, Clone, Serialize)]
pub struct TracePoint {
    /// Minute from the start of the overload.
    pub min: f64,
    /// Load from this minute on, pu.
    pub load_pu: f64,
    /// Ambient, °C.
    pub ambient_c: f64,
    /// Hottest top oil, °C.
    pub top_oil_c: f64,
    /// Hottest hot spot, °C.
    pub hot_spot_c: f64,
    /// Inception temperature with the moisture that counts, °C.
    pub inception_c: Option<f64>,
    /// Top oil by IEC 60076-7, °C.
    pub top_oil_iec_c: f64,
    /// Hot spot by IEC 60076-7, °C.
    pub hot_spot_iec_c: f64,
    /// Top oil by IEEE C57.91, °C, with the ambient at once or through the oil, whichever is hotter at this moment.
    pub top_oil_ieee_c: f64,
    /// Hot spot by it, °C, the same.
    pub hot_spot_ieee_c: f64,
    /// Top oil by the detailed model of IEEE C57.91, °C.
    pub top_oil_detailed_c: f64,
    /// Hot spot by it, °C.
    pub hot_spot_detailed_c: f64,
    /// Cooling stage in service (IEC form).
    pub stage: String,
    /// Water at the wettest depth of the hot-spot paper, %; `null` unless it is followed.
    pub hot_spot_moisture_percent: Option<f64>,
}

/// Assesses one case.
pub fn assess(case: &Case) -> Assessment {
    let basis = Basis::of(case);
    let plant = basis.plant.as_ref();
    let asked = &case.request.loading.load;
    let evaluation = Evaluation::of(case, &basis, asked, None).with_cooldown(case, &basis);
    let (evaluation, draws, mut spread) = spread::judged(case, &basis, evaluation);
    let horizon_min = limits::horizon_min(case);
    let search = || {
        let largest = search::largest_loads(case, &basis, &evaluation, draws.as_ref());
        cool_down::checked(case, &basis, &evaluation, largest)
    };
    let timed = || times::timed(case, &basis, &evaluation, draws.as_ref());
    let now = || all_cooling_now(case, &basis, &evaluation);
    // Much of the search leaves all processors but one alone.
    let (largest, (timed, all_cooling_now)) = rayon::join(search, || rayon::join(timed, now));
    if let Some((spread, drawn_min)) = spread.as_mut().zip(timed.drawn_min) {
        spread.time_to_limit_min = drawn_min;
    }
    let largest_pu = largest.with_cautions_pu;
    let watch = watch::card(case, plant, (asked, &evaluation), draws.as_ref());
    Assessment {
        tool: Tool::this(),
        unit: case.unit.name.clone(),
        site: case.unit.site.clone(),
        asked: evaluation.asked(case, plant),
        inputs_sha256: case.inputs_sha256.clone(),
        verdict: evaluation.verdict,
        peak: evaluation.peak(),
        bubbling: evaluation.bubbling(case, spread.as_ref()),
        spread,
        moisture: wetness(&case.unit, &basis.paper, evaluation.hot_spot_c()),
        cooldown: evaluation.facts.cooldown.as_ref().map(cool_down::plain),
        limits: timed.limits,
        time_to_limit_min: timed.held_min,
        horizon_min,
        largest_load_pu: largest_pu,
        largest_load_probability: largest_pu
            .and_then(|pu| draws.as_ref()?.bubbles_at(case, plant?, pu)),
        largest_load_without_cautions_pu: largest.without_cautions_pu,
        ageing: evaluation.ageing(case),
        start: plant.map(|plant| plant.start_state(case, evaluation.course.as_ref())),
        typical_figures: evaluation
            .facts
            .thermal
            .as_ref()
            .map_or_else(Vec::new, |thermal| thermal.typical_figures.clone()),
        all_cooling_now,
        watch_guard: watch::guard(case, &basis, &watch, draws.as_ref()),
        watch,
        trace: evaluation.trace(plant),
        findings: evaluation.findings,
    }
}
