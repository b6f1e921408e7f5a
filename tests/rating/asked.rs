//! Units of the demo and questions about them, through the same readers as the command line.

use bubblemargin::assessment::case::{
    Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom,
};
use bubblemargin::loading::load::Proposal;
use bubblemargin::rating::question::{Ambient, Question};
use bubblemargin::rules::limits::LimitSet;
use bubblemargin::rules::local_file::read_local_rules;
use bubblemargin::thermal::schedule::AmbientLine;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit_with;
use bubblemargin::unit::{Condition, Unit};

pub(crate) const LONG_TIME: &str = "iec-long-time-emergency";

pub(crate) fn wet() -> Unit {
    let probe = include_str!("../../demo-data/units/fellmoor-t2-probe.csv");
    let text = include_str!("../../demo-data/units/fellmoor-t2.yaml");
    read_unit_with("t2", text, &Catalogue::embedded(), &mut |name| {
        Ok((name.to_owned(), probe.to_owned()))
    })
    .unwrap()
}

pub(crate) fn unit(text: &str) -> Unit {
    read_unit_with("unit", text, &Catalogue::embedded(), &mut |_| panic!("no other file")).unwrap()
}

pub(crate) fn set(name: &str, unit: &Unit) -> LimitSet {
    LimitSet::of_class(name, unit.size_class, &Catalogue::embedded()).unwrap()
}

/// One constant load as `check` asks it.
pub(crate) fn check(
    unit: &Unit,
    (load_pu, minutes): (f64, f64),
    (preload_pu, ambient_c): (f64, f64),
    (set, draws): (LimitSet, u32),
) -> Case {
    let proposal = Proposal::constant(load_pu, minutes).unwrap();
    let request = Request {
        loading: proposal.followed_by(None, preload_pu).unwrap(),
        start: StartFrom::Preload(preload_pu),
        preload_from_pu: 0.0,
        preload_varies: false,
        ambient: AmbientLine::constant(ambient_c),
        forecast_until_min: None,
        top_oil_c: None,
        stage: None,
        cooling_lost_at_min: None,
        condition: Condition::default(),
        hot_spot: HotSpotMoisture::Bulk,
        dried_to_percent: 1.0,
        load_error: unit.spread.load_percent.clone(),
        ambient_error: unit.spread.ambient_k.clone(),
        sampling: Sampling { draws, ..Sampling::default() },
        in_service: bubblemargin::loading::current::InService::default(),
        resolution: Resolution::Minutes,
    };
    let unit = unit.clone();
    let inputs_sha256 = String::new();
    let water_as_percent = None;
    Case { unit, request, limits: set, local: None, as_of: None, water_as_percent, inputs_sha256 }
}

/// A table under the long-time limits.
pub(crate) fn table(
    unit: &Unit,
    durations_min: &[Option<f64>],
    ambients_c: &[f64],
    preloads_pu: &[f64],
    draws: u32,
) -> Question {
    let set = set(LONG_TIME, unit);
    Question {
        template: check(unit, (1.0, 60.0), (0.5, 20.0), (set.clone(), draws)),
        durations_min: durations_min.to_vec(),
        ambients: ambients_c.iter().copied().map(Ambient::constant).collect(),
        preloads_pu: preloads_pu.to_vec(),
        sets: vec![set],
    }
}

/// The same under local rules that put a ceiling on the hot spot.
pub(crate) fn under_a_hot_spot_ceiling(mut question: Question, hot_spot_c: f64) -> Question {
    let text = format!(
        "rules: test\nissued_by: test (invented)\nceilings: {{ hot_spot_c: {hot_spot_c} }}\n"
    );
    question.template.local = Some(read_local_rules("rules", &text).unwrap());
    question
}
