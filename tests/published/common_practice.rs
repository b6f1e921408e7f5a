//! Common practice, no source: values that engineers of the trade state, used as sanity checks.

use super::printed::{assert_within, rows};
use bubblemargin::assessment::assess;
use bubblemargin::assessment::case::{
    Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom,
};
use bubblemargin::assessment::plant::Plant;
use bubblemargin::assessment::wet_paper::WetPaper;
use bubblemargin::bubbling::inception::inception;
use bubblemargin::bubbling::{Conditions, fessler};
use bubblemargin::loading::load::Proposal;
use bubblemargin::moisture::reconcile::ONE_SIDED_95;
use bubblemargin::moisture::validity::Standing;
use bubblemargin::quantities::{GasPercent, MoisturePercent, Pascals, STANDARD_ATMOSPHERE_PA};
use bubblemargin::rules::finding::Severity;
use bubblemargin::rules::limits::{LimitSet, usual_set};
use bubblemargin::rules::local_file::NO_GO_MARGIN_K;
use bubblemargin::rules::verdict::Verdict;
use bubblemargin::thermal::schedule::AmbientLine;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit;
use bubblemargin::unit::{Condition, Unit};
use chrono::NaiveDate;
use serde::Deserialize;

/// Length of the short-time emergency tried, min; the guides call it short below 30.
const SHORT_MIN: f64 = 25.0;

#[derive(Debug, Deserialize)]
struct Row {
    fact: String,
    value: String,
}

/// The value of the one fact that begins so; common practice, no source.
fn fact(beginning: &str) -> f64 {
    stated(beginning).parse().expect("a number")
}

/// As [`fact`], for a spread: its ends.
fn spread(beginning: &str) -> (f64, f64) {
    let value = stated(beginning);
    let (least, most) = value.split_once(" to ").expect("a spread");
    (least.parse().expect("a number"), most.parse().expect("a number"))
}

/// The value as it stands in the table.
fn stated(beginning: &str) -> String {
    let table: Vec<Row> = rows(include_str!("common_practice/trade_facts.csv"));
    let mut found = table.iter().filter(|row| row.fact.starts_with(beginning));
    let row = found.next().expect("a fact that begins so");
    assert!(found.next().is_none(), "only one fact begins so");
    row.value.clone()
}

/// Kraft paper in oil at sea level with no head over it.
fn at_sea_level(water_percent: f64, gas_percent: f64) -> Conditions {
    Conditions {
        water: MoisturePercent::new(water_percent).unwrap(),
        pressure: Pascals::new(STANDARD_ATMOSPHERE_PA).unwrap(),
        gas: GasPercent::new(gas_percent).unwrap(),
    }
}

fn working_c(water_percent: f64, gas_percent: f64) -> f64 {
    let found = inception(&at_sea_level(water_percent, gas_percent)).unwrap();
    found.working().value()
}

/// Common practice, no source: 4 % paper on a heated conductor began to bubble at 110 °C.
/// Oil without gas is the case that is hardest to keep below it.
#[test]
fn four_per_cent_less_the_required_margin_stays_below_the_bubbling_conductor() {
    let bubbling_c = fact("paper at 4 % water");
    for gas_percent in [0.0, 2.0, 6.0, 9.5] {
        let allowed_c = working_c(4.0, gas_percent) - NO_GO_MARGIN_K;
        assert!(
            allowed_c <= bubbling_c,
            "{allowed_c} °C would be allowed with {gas_percent} % gas"
        );
    }
}

/// Common practice, no source; and the distance that an independent recomputation found, which
/// is why the required margin must never be set below 10 K.
#[test]
fn the_isotherm_lies_a_little_above_the_bubbling_conductor() {
    let isotherm_c = fessler::inception(&at_sea_level(4.0, 0.0)).unwrap().value();
    let above_k = isotherm_c - fact("paper at 4 % water");
    // Stated as 6.7 K; a tenth allows for the rounding of the constants it was found with.
    assert_within(0.1, above_k, 6.7, "isotherm above the conductor");
}

/// Common practice, no source: a fairly dry unit can bubble in a short emergency at 150 °C.
#[test]
fn two_per_cent_bubbles_below_the_short_emergency_hot_spot() {
    let emergency_c = fact("a fairly dry unit");
    for gas_percent in [0.0, 2.0, 6.0, 9.5] {
        let bubbles_c = working_c(2.0, gas_percent);
        assert!(bubbles_c < emergency_c, "{bubbles_c} °C");
    }
}

/// Common practice, no source: four methods on one transformer gave 0.7 % to 4 %. Each with the
/// uncertainty that its method usually has; the two between are oil of 60 °C, steady for half a day.
fn four_methods() -> Unit {
    let (least, most) = spread("spread of four moisture methods");
    let alone = format!(
        "moisture:
  - {{ method: paper-sample, percent: {least}, exposure_min: 3, date: 2026-06-15 }}
  - {{ method: oil-sample, ppm: 20, oil_c: 60, steady_h: 12, date: 2026-09-03 }}
  - {{ method: saturation-probe, rs_percent: 12, oil_c: 60, steady_h: 12, date: 2026-10-02 }}
  - {{ method: dielectric-response, percent: {most}, date: 2026-10-02 }}
paper_condition: {{ dp: 1000, date: 2026-06-15 }}
accessories:"
    );
    let whole = profile(2.0);
    let (before, rest) = whole.split_once("moisture:").unwrap();
    let (_, after) = rest.split_once("accessories:").unwrap();
    read_unit("invented", &format!("{before}{alone}{after}"), &Catalogue::embedded()).unwrap()
}

/// Common practice, no source: contradiction is the normal case. It must be shown, and the wet side
/// must count, not the average.
#[test]
fn four_methods_far_apart_contradict_each_other_and_the_wet_side_counts() {
    let (least, most) = spread("spread of four moisture methods");
    let unit = four_methods();
    let facts = WetPaper::of(&unit, None, NaiveDate::from_ymd_opt(2026, 10, 20)).facts;
    assert!(facts.judged.iter().all(|own| own.standing == Standing::Counts));
    let figures: Vec<(f64, f64)> = facts
        .judged
        .iter()
        .map(|own| own.figure.unwrap())
        .map(|f| (f.percent.value(), f.std))
        .collect();
    assert!(figures.iter().all(|(percent, _)| (least..=most).contains(percent)), "{figures:?}");
    let counting = facts.counting.unwrap();
    assert!(counting.combined.tau2 > 0.0, "scatter beyond the methods' own uncertainties");
    assert!(counting.combined.birge.unwrap() > 1.0);
    let pair = facts.contradictions.first().unwrap();
    assert_eq!((pair.drier, pair.wetter), (0, 3), "the two ends of the spread, gravest first");
    assert!(counting.upper.value() >= most, "{} counts", counting.upper.value());
    let believing_the_wettest = most + ONE_SIDED_95 * figures[3].1;
    assert!(counting.upper.value() <= believing_the_wettest);
    assert!(counting.best.value() < most, "the best estimate stays an average");
}

/// An invented unit with nothing else to object to, whose one moisture figure lies so much lower
/// that `water_percent` is what counts: its one-sided 95 % bound.
fn profile(water_percent: f64) -> String {
    let measured_percent = water_percent - 1.645 * 0.05;
    format!(
        "unit: invented
size_class: medium
rated: {{ mva: 40, cooling: ONAF }}
paper: kraft
liquid: mineral
thermal:
  top_oil_rise_k: 52
  hot_spot_gradient_k: 26
  loss_ratio: 6
  heat_run: 1990-01-01
cooling_stages: [ {{ name: ONAF, rating_pu: 1 }} ]
oil: {{ preservation: sealed, altitude_m: 0, head_above_hot_spot_m: 0 }}
gas: {{ total_percent: 1.0 }}
moisture:
  - {{ method: paper-sample, percent: {measured_percent}, std: 0.05, date: 2026-01-01 }}
paper_condition: {{ dp: 1000, date: 2026-01-01 }}
accessories:
  {{ bushings_pu: 2, tap_changer_pu: 2, cable_box_pu: 2, current_transformers_pu: 2 }}
condition:
  {{ gas_relay_alarm: false, fault_gas: none, partial_discharge: false, oil_level: normal }}
"
    )
}

/// A short overload from 0.9 pu at 30 °C.
fn case(water_percent: f64, load_pu: f64) -> Case {
    let catalogue = Catalogue::embedded();
    let unit = read_unit("invented", &profile(water_percent), &catalogue).unwrap();
    let limits = LimitSet::named(usual_set(SHORT_MIN), unit.size_class, SHORT_MIN, &catalogue);
    Case {
        limits: limits.unwrap(),
        request: Request {
            loading: Proposal::constant(load_pu, SHORT_MIN)
                .unwrap()
                .followed_by(None, 0.9)
                .unwrap(),
            start: StartFrom::Preload(0.9),
            preload_from_pu: 0.9,
            preload_varies: false,
            ambient: AmbientLine::constant(30.0),
            top_oil_c: None,
            stage: None,
            cooling_lost_at_min: None,
            forecast_until_min: None,
            condition: Condition::default(),
            hot_spot: HotSpotMoisture::Bulk,
            dried_to_percent: 1.0,
            load_error: unit.spread.load_percent.clone(),
            ambient_error: unit.spread.ambient_k.clone(),
            sampling: Sampling { draws: 0, ..Sampling::default() },
            in_service: bubblemargin::loading::current::InService::default(),
            resolution: Resolution::Minutes,
        },
        unit,
        local: None,
        as_of: None,
        inputs_sha256: String::new(),
        water_as_percent: None,
    }
}

fn peak_hot_spot_c(load_pu: f64) -> f64 {
    let case = case(2.0, load_pu);
    let plant = Plant::of(&case).unwrap();
    let course = plant.run(&case, &case.request.loading.load);
    course.hot_spot().peak.value_c
}

/// The load that brings the hot spot to a temperature within the short emergency.
fn load_reaching(hot_spot_c: f64) -> f64 {
    let (mut cooler, mut hotter) = (1.0, 2.0);
    // Twenty halvings of 1 pu: a millionth, far below a tenth of a kelvin.
    for _ in 0..20 {
        let middle = f64::midpoint(cooler, hotter);
        if peak_hot_spot_c(middle) < hot_spot_c {
            cooler = middle;
        } else {
            hotter = middle;
        }
    }
    cooler
}

/// Common practice, no source: loading guides are quoted with 150 °C for short emergencies.
/// A wet unit must be refused it, and by the bubbling rule: the guide's own limits let it pass.
#[test]
fn a_short_emergency_hot_spot_is_refused_from_two_per_cent_on() {
    let emergency_c = fact("short-time emergency hot spot");
    let load_pu = load_reaching(emergency_c);
    for water_percent in [2.0, 2.5, 3.0, 4.0] {
        let found = assess(&case(water_percent, load_pu));
        let peak = found.peak.unwrap();
        // A tenth of a kelvin: the load was found for this temperature.
        assert_within(0.1, peak.hot_spot_c, emergency_c, "hot spot");
        assert!(peak.hot_spot_at_min <= SHORT_MIN);
        let counting = found.bubbling.counting_moisture_percent.unwrap();
        // Rounding of the sum and difference only.
        assert_within(1e-9, counting, water_percent, "counting moisture");
        let stops = found.findings.iter();
        let stops = stops.filter(|finding| finding.severity == Severity::Stop);
        let codes: Vec<String> = stops.map(|finding| finding.code.to_string()).collect();
        assert_eq!(codes, ["bubbling-margin"], "{water_percent} %");
        assert_eq!(found.verdict, Verdict::NoGo, "{water_percent} %");
    }
}

/// The control to the test above: it is the water that is refused, and nothing else.
#[test]
fn the_same_short_emergency_passes_with_dry_paper() {
    let load_pu = load_reaching(fact("short-time emergency hot spot"));
    let found = assess(&case(0.5, load_pu));
    assert!(found.verdict.permits(), "{:?}", found.findings);
}
