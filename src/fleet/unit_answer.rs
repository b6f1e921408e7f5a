//! One unit's answer: the contingency judged as `check` judges it, and what its recent loads did.

use super::contingency::{Contingency, Heat, Lacking, NotAsked};
use super::recent::{Recent, RecentLoads};
use super::row::{AskedOfUnit, Governs, HeatCell, Missing, Next, Row, Standing};
use crate::assessment::brief::Brief;
use crate::assessment::case::Case;
use crate::assessment::colder_day::worst_ambient;
use crate::assessment::measure_next::NextMeasurement;
use crate::input::InputError;
use crate::rating::Limiting;
use crate::rating::governs::governs;
use crate::rules::accessory::is_rating;
use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;
use crate::unit::Unit;

/// A gain smaller than this is none, K.
const NO_GAIN_K: f64 = 0.05;

/// Findings that something typical or assumed stands for data that is missing.
const ASSUMED: [&str; 7] = [
    "thermal-typical-values",
    "bubbling-gas-assumed",
    "bubbling-gas-sample-old",
    "bubbling-gas-sample-treatment",
    "bubbling-gas-sample-undated",
    "bubbling-gas-sample-later",
    "moisture-assumed",
];

/// Kind of what governs a go with cautions.
pub const CAUTION: &str = "caution";

/// The row of one unit.
///
/// # Errors
/// [`InputError`] where the contingency and the unit contradict each other.
pub fn answer(
    contingency: &Contingency,
    unit: Unit,
    loads: Option<&RecentLoads>,
    inputs_sha256: String,
) -> Result<Row, InputError> {
    let (local, as_of) = (contingency.local.as_ref(), contingency.as_of);
    let recent = loads.map(|loads| Recent::of(&unit, loads, local, as_of));
    let row = match contingency.case(unit.clone(), loads, inputs_sha256.clone()) {
        Ok(case) => judged(contingency, &at_worst_ambient(contingency, case, loads)),
        Err(NotAsked::Lacking(what)) => undecided(&unit, what),
        Err(NotAsked::Refused(error)) => return Err(error),
    };
    Ok(Row {
        site: unit.site,
        size_class: Some(unit.size_class),
        rated_mva: Some(unit.rated_mva),
        recent,
        inputs_sha256,
        ..row
    })
}

/// The same at whichever of its recent ambients leaves least, where none is asked for: where fans start by themselves
/// that may be a cool one.
fn at_worst_ambient(contingency: &Contingency, case: Case, loads: Option<&RecentLoads>) -> Case {
    let lowest_c = loads.and_then(|loads| loads.lowest_ambient_c);
    match lowest_c.filter(|_| contingency.ambient_c.is_none()) {
        Some(lowest_c) => worst_ambient(case, lowest_c),
        None => case,
    }
}

fn judged(contingency: &Contingency, case: &Case) -> Row {
    let brief = Brief::of(case, contingency.largest);
    let request = &case.request;
    let end_min = request.loading.end_min;
    let asked = AskedOfUnit {
        load_pu: case.greatest_load_pu(),
        preload_pu: case.load_before_pu(),
        preload_from_pu: request.preload_from_pu,
        drop_back_pu: request.loading.load.at(end_min),
        ambient_c: request.ambient.at(0.0),
        limits: case.limits.name.clone(),
    };
    let found = &brief.bubbling;
    let missing = missing(&brief.findings);
    Row {
        asked: Some(asked),
        margin_low_k: found.margin_low_k,
        margin_counting_k: found.margin_counting_k,
        margin_k: found.margin_k,
        required_margin_k: Some(brief.required.no_go_k),
        probability: found.probability,
        probability_standard_error: found.probability_standard_error,
        hot_spot_c: brief.peak.as_ref().map(|peak| peak.hot_spot_c),
        inception_c: found.inception_c,
        counting_moisture_percent: found.counting_moisture_percent,
        largest_load_pu: brief.largest_load_pu,
        governs: why(&brief),
        cautions: cautions(&brief.findings),
        next: next(&missing, &brief),
        missing,
        heat: heat(contingency.heat, case, &brief),
        ..Row::without_answer(&case.unit.name, brief.verdict.into(), String::new())
    }
}

/// A unit of which something is not known that comes before any computing.
fn undecided(unit: &Unit, what: Lacking) -> Row {
    let (words, remedy) = what.in_words();
    let missing = vec![Missing {
        code: None,
        needed: true,
        words: words.to_owned(),
        remedy: remedy.to_owned(),
    }];
    let governs =
        Governs { what: Limiting::Unknown.name().to_owned(), code: None, words: words.to_owned() };
    Row {
        next: Some(Next { words: remedy.to_owned(), gain_k: None }),
        missing,
        governs,
        ..Row::without_answer(&unit.name, Standing::CannotDecide, String::new())
    }
}

/// What ends it, or what there is to mind, or nothing.
fn why(brief: &Brief) -> Governs {
    if brief.ended_by.is_some() {
        let found = governs(brief.ended_by.as_ref(), false);
        return Governs {
            what: found.what.name().to_owned(),
            code: found.code.map(str::to_owned),
            words: found.words,
        };
    }
    let caution = brief.findings.iter().find(|finding| finding.severity == Severity::Caution);
    match (brief.verdict, caution) {
        (Verdict::GoWithCautions, Some(caution)) => Governs {
            what: CAUTION.to_owned(),
            code: Some(caution.code.to_owned()),
            words: caution.text.clone(),
        },
        _ => Governs {
            what: Limiting::Nothing.name().to_owned(),
            code: None,
            words: "All limits kept.".to_owned(),
        },
    }
}

fn cautions(findings: &[Finding]) -> Vec<String> {
    let of_them = findings.iter().filter(|finding| finding.severity == Severity::Caution);
    of_them.map(|finding| finding.code.to_owned()).collect()
}

/// What could not be answered, and what the profile does not say though it counts.
fn missing(findings: &[Finding]) -> Vec<Missing> {
    let says_so = |code: &str| {
        code.ends_with("-missing") || code.ends_with("-not-stated") || ASSUMED.contains(&code)
    };
    // A stated rating is kept or not; a caution says that it is unknown.
    let no_rating =
        |finding: &Finding| finding.severity == Severity::Caution && is_rating(finding.code);
    let of_them = findings.iter().filter(|finding| {
        let lacking = finding.severity != Severity::Pass && says_so(finding.code);
        finding.severity == Severity::Unknown || lacking || no_rating(finding)
    });
    of_them
        .map(|finding| Missing {
            code: Some(finding.code.to_owned()),
            needed: finding.severity == Severity::Unknown,
            words: finding.text.clone(),
            remedy: finding.what_would_change_it.clone(),
        })
        .collect()
}

/// Without what is needed nothing is decided, so that comes first; then, where the margin is what weighs, the
/// measurement that would leave the narrowest one, if it would gain anything; else what would change what
/// forbids it, or what else the profile lacks.
fn next(missing: &[Missing], brief: &Brief) -> Option<Next> {
    if let Some(needed) = missing.iter().find(|missing| missing.needed) {
        return Some(Next { words: needed.remedy.clone(), gain_k: None });
    }
    // Written so that an unknown margin weighs.
    let weighs = !brief.bubbling.margin_low_k.is_some_and(|k| k >= brief.required.caution_k);
    let measured = measurement(&brief.measure_next).filter(|_| weighs);
    let remedy = || {
        let ended_by = brief.ended_by.as_ref()?;
        Some(Next { words: ended_by.finding.what_would_change_it.clone(), gain_k: None })
    };
    let lacking = || Some(Next { words: missing.first()?.remedy.clone(), gain_k: None });
    measured.or_else(remedy).or_else(lacking)
}

fn measurement(measurements: &[NextMeasurement]) -> Option<Next> {
    let gains = |next: &&NextMeasurement| next.gain_k.is_some_and(|gain_k| gain_k > NO_GAIN_K);
    let found = measurements.iter().find(gains)?;
    Some(Next { words: found.in_words(), gain_k: found.gain_k })
}

fn heat(heat: Heat, case: &Case, brief: &Brief) -> Vec<HeatCell> {
    let asked_pu = case.greatest_load_pu();
    let cell = |at: f64| {
        let found = match heat {
            Heat::Load => brief.elsewhere(case, None, at / asked_pu),
            Heat::Ambient | Heat::None => brief.elsewhere(case, Some(at), 1.0),
        };
        HeatCell { at, verdict: found.verdict, margin_low_k: found.margin_low_k }
    };
    heat.values().into_iter().map(cell).collect()
}
