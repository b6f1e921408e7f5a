//! An invented unit with nothing to object to but its moisture evidence.

use bubblemargin::assessment::assess;
use bubblemargin::assessment::case::{
    Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom,
};
use bubblemargin::assessment::wet_paper::WetPaper;
use bubblemargin::input::InputError;
use bubblemargin::loading::load::Proposal;
use bubblemargin::moisture::reconcile::Counting;
use bubblemargin::rules::facts::MoistureFacts;
use bubblemargin::rules::limits::LimitSet;
use bubblemargin::rules::local_file::{LocalRules, read_local_rules};
use bubblemargin::rules::verdict::Verdict;
use bubblemargin::thermal::schedule::AmbientLine;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit;
use bubblemargin::unit::{Condition, Unit};
use chrono::NaiveDate;

/// The day on which every question is asked.
pub(crate) fn as_of() -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(2026, 10, 20)
}

/// The unit as YAML: further top-level lines, and the witnesses as flow mappings without braces.
pub(crate) fn profile(top: &str, witnesses: &[String]) -> String {
    let lines: String = witnesses
        .iter()
        .fold(String::new(), |lines, witness| [lines, format!("  - {{ {witness} }}\n")].concat());
    let moisture = if lines.is_empty() { lines } else { format!("moisture:\n{lines}") };
    format!(
        "unit: test-unit
made: 1987
size_class: medium
rated: {{ mva: 40, cooling: ONAF }}
paper: kraft
liquid: mineral
thermal:
  constants: onaf
  top_oil_rise_k: 52
  hot_spot_gradient_k: 26
  loss_ratio: 6
  heat_run: 1987-05-12
cooling_stages: [ {{ name: ONAF, rating_pu: 1 }} ]
oil: {{ preservation: conservator, altitude_m: 200, head_above_hot_spot_m: 1.5 }}
gas: {{ sampled: 2026-09-03, total_percent: 5 }}
accessories: {{ bushings_pu: 2.0, tap_changer_pu: 2.0, cable_box_pu: 2.0, current_transformers_pu: 2.0 }}
condition: {{ gas_relay_alarm: false, fault_gas: none, partial_discharge: false, oil_level: normal }}
{top}
{moisture}"
    )
}

/// The same of several figures.
pub(crate) fn reads(top: &str, witnesses: &[&str]) -> Unit {
    let witnesses: Vec<String> = witnesses.iter().map(|witness| (*witness).to_owned()).collect();
    read(top, &witnesses).unwrap()
}

/// What the evidence amounts to, under local rules or without.
pub(crate) fn facts(unit: &Unit, rules: Option<&LocalRules>) -> MoistureFacts {
    WetPaper::of(unit, rules.map(|rules| &rules.moisture), as_of()).facts
}

/// The assessed moisture of paper that holds what new paper holds, %.
pub(crate) fn assessed_percent(witnesses: &[String]) -> f64 {
    let unit = read("paper_condition: { dp: 900, date: 2026-10-01 }", witnesses).unwrap();
    counting(&unit, None).map_or(f64::INFINITY, |counting| counting.upper.value())
}

/// The unit, read as the command line reads it.
pub(crate) fn read(top: &str, witnesses: &[String]) -> Result<Unit, InputError> {
    read_unit("test", &profile(top, witnesses), &Catalogue::embedded())
}

/// Local rules with a moisture section.
pub(crate) fn local(moisture: &str) -> Result<LocalRules, InputError> {
    read_local_rules(
        "rules",
        &format!("rules: test\nissued_by: nobody\nmoisture: {{ {moisture} }}\n"),
    )
}

/// What the witnesses amount to, under local rules or without.
pub(crate) fn counting(unit: &Unit, rules: Option<&LocalRules>) -> Option<Counting> {
    WetPaper::of(unit, rules.map(|rules| &rules.moisture), as_of()).facts.counting
}

/// The moisture that counts, %; without an answer worse than any answer.
pub(crate) fn counts(witnesses: &[String]) -> f64 {
    let unit = read("", witnesses).unwrap();
    counting(&unit, None).map_or(f64::INFINITY, |counting| counting.upper.value())
}

/// The verdict on a load, for two hours from 0.6 pu at 20 °C.
pub(crate) fn verdict(unit: Unit, load_pu: f64) -> Verdict {
    assess(&asked(unit, load_pu, 0)).verdict
}

/// That question with so many draws.
pub(crate) fn asked(unit: Unit, load_pu: f64, draws: u32) -> Case {
    let catalogue = Catalogue::embedded();
    let duration_min = 120.0;
    let loading = Proposal::constant(load_pu, duration_min).unwrap();
    let limits =
        LimitSet::named("iec-long-time-emergency", unit.size_class, duration_min, &catalogue);
    let sampling = Sampling { draws, ..Sampling::default() };
    Case {
        limits: limits.unwrap(),
        request: Request {
            loading: loading.followed_by(None, 0.6).unwrap(),
            start: StartFrom::Preload(0.6),
            preload_from_pu: 0.6,
            preload_varies: false,
            ambient: AmbientLine::constant(20.0),
            forecast_until_min: None,
            top_oil_c: None,
            stage: None,
            cooling_lost_at_min: None,
            condition: Condition::default(),
            hot_spot: HotSpotMoisture::Bulk,
            dried_to_percent: 1.0,
            load_error: unit.spread.load_percent.clone(),
            ambient_error: unit.spread.ambient_k.clone(),
            sampling,
            in_service: bubblemargin::loading::current::InService::default(),
            resolution: Resolution::Minutes,
        },
        unit,
        local: None,
        as_of: as_of(),
        inputs_sha256: String::new(),
        water_as_percent: None,
    }
}
