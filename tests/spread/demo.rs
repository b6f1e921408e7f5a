//! The demonstration case with a load history, read as the command line reads it.

use bubblemargin::assessment::case::{
    Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom,
};
use bubblemargin::input::table::Zero;
use bubblemargin::loading::ambient;
use bubblemargin::loading::history::History;
use bubblemargin::loading::load::Proposal;
use bubblemargin::rules::limits::{LimitSet, usual_set};
use bubblemargin::unit::Condition;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit_with;

pub(crate) fn demo(sampling: Sampling) -> Case {
    let catalogue = Catalogue::embedded();
    let unit = include_str!("../../demo-data/units/fellmoor-t2.yaml");
    let probe = include_str!("../../demo-data/units/fellmoor-t2-probe.csv");
    let mut beside = |name: &str| Ok((name.to_owned(), probe.to_owned()));
    let mut unit = read_unit_with("unit", unit, &catalogue, &mut beside).unwrap();
    // What paper holds is drawn in the water's own tests.
    unit.holding_factor = Some(1.0);
    let mut zero = Zero(None);
    let loading = include_str!("../../demo-data/loading/evening-transfer.csv");
    let loading = Proposal::from_csv("loading", loading, unit.rated_mva, &mut zero).unwrap();
    let history = include_str!("../../demo-data/history/afternoon.csv");
    let history = History::from_csv("history", history, unit.rated_mva, &mut zero).unwrap();
    let loading = loading.followed_by(None, history.load.at(0.0)).unwrap();
    let ambient = include_str!("../../demo-data/ambient/warm-evening.csv");
    let ambient = ambient::from_csv("ambient", ambient, loading.end_min, &mut zero).unwrap().line;
    let set = usual_set(loading.end_min);
    let limits = LimitSet::named(set, unit.size_class, loading.end_min, &catalogue).unwrap();
    Case {
        request: Request {
            loading,
            start: StartFrom::History(history),
            preload_from_pu: 0.0,
            preload_varies: false,
            top_oil_c: None,
            stage: None,
            cooling_lost_at_min: None,
            forecast_until_min: None,
            ambient,
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
        limits,
        local: None,
        as_of: None,
        inputs_sha256: String::new(),
        water_as_percent: None,
    }
}
