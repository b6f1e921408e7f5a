//! The README's demo as a case, through the same readers.

use bubblemargin::assessment::case::{
    Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom,
};
use bubblemargin::input::InputError;
use bubblemargin::input::table::Zero;
use bubblemargin::loading::ambient::{self, Forecast};
use bubblemargin::loading::load::Proposal;
use bubblemargin::rules::limits::{LimitSet, usual_set};
use bubblemargin::unit::Condition;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit_with;

/// The demo with so many draws.
///
/// # Errors
/// As the readers'.
pub(crate) fn demo(draws: u32) -> Result<Case, InputError> {
    let catalogue = Catalogue::embedded();
    let probe = include_str!("../../demo-data/units/fellmoor-t2-probe.csv").to_owned();
    let unit = read_unit_with(
        "unit",
        include_str!("../../demo-data/units/fellmoor-t2.yaml"),
        &catalogue,
        &mut |name| Ok((name.to_owned(), probe.clone())),
    )?;
    let mut zero = Zero(None);
    let load = include_str!("../../demo-data/loading/evening-transfer.csv");
    let proposal = Proposal::from_csv("load", load, unit.rated_mva, &mut zero)?;
    let loading = proposal.followed_by(None, 0.65)?;
    let text = include_str!("../../demo-data/ambient/warm-evening.csv");
    let Forecast { line, .. } = ambient::from_csv("ambient", text, loading.end_min, &mut zero)?;
    let set = usual_set(loading.end_min);
    let limits = LimitSet::named(set, unit.size_class, loading.end_min, &catalogue)?;
    Ok(Case {
        request: Request {
            loading,
            start: StartFrom::Preload(0.65),
            preload_from_pu: 0.0,
            preload_varies: false,
            forecast_until_min: None,
            ambient: line,
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
        },
        unit,
        limits,
        local: None,
        as_of: None,
        inputs_sha256: String::new(),
        water_as_percent: None,
    })
}
