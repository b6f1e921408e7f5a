//! The largest loads, asked about again.

use crate::scene::Scene;
use bubblemargin::assessment::assess;
use bubblemargin::assessment::case::{Case, HotSpotMoisture};
use bubblemargin::rules::verdict::Verdict;

/// The same case with its overload scaled to another greatest load.
fn at(case: &Case, load_pu: f64) -> Case {
    let mut other = case.clone();
    let loading = &mut other.request.loading;
    let factor = load_pu / case.greatest_load_pu();
    loading.load = loading.load.scaled_before(loading.end_min, factor);
    other
}

/// What the search finds passes when it is asked about, and one per cent more does not.
fn check(name: &str, case: &Case, wanted: Verdict) -> f64 {
    let found = assess(case);
    let largest_pu = match wanted {
        Verdict::Go => found.largest_load_without_cautions_pu,
        Verdict::GoWithCautions | Verdict::CannotDecide | Verdict::NoGo => found.largest_load_pu,
    };
    let largest_pu = largest_pu.expect(name);
    let again = assess(&at(case, largest_pu));
    assert!(again.verdict <= wanted, "{name}: {largest_pu} pu is {:?}", again.verdict);
    let more = assess(&at(case, 1.01 * largest_pu));
    assert!(more.verdict > wanted, "{name}: 1 % over {largest_pu} pu is {:?}", more.verdict);
    largest_pu
}

fn wet() -> Scene {
    // Wet enough for the bubbling margin to be what ends the search, before any ceiling.
    Scene { moisture: 3.0, load_pu: 1.0, ..Scene::usual() }
}

#[test]
fn the_largest_load_passes_when_asked_again() {
    check("fixed", &wet().case(), Verdict::GoWithCautions);
}

#[test]
fn the_largest_load_passes_and_a_little_more_does_not() {
    let history = Some(vec![(-600.0, 0.5), (-300.0, 0.8), (-90.0, 0.6)]);
    for (name, scene) in [
        ("fixed", wet()),
        ("automatic", Scene { stage: None, ..wet() }),
        ("history", Scene { history, ..wet() }),
        ("far above", Scene { load_pu: 0.3, ..wet() }),
        ("measured", Scene { top_oil_c: Some(65.0), ..wet() }),
    ] {
        let largest_pu = check(name, &scene.case(), Verdict::GoWithCautions);
        assert!(largest_pu < 1.5, "{name}: the margin ends it, not the ceiling of the load");
    }
}

/// With followed water the water that counts depends on the load, and so do the draws.
#[test]
fn the_largest_load_with_followed_water_passes_when_asked_again() {
    let rows: Vec<(f64, f64)> = vec![(-4000.0, 0.95), (-60.0, 0.9)];
    for (name, mode, load_pu) in [
        ("equilibrated", HotSpotMoisture::Equilibrated, 1.0),
        ("over time", HotSpotMoisture::OverTime, 1.4),
    ] {
        let scene = Scene { history: Some(rows.clone()), load_pu, duration_min: 480.0, ..wet() };
        let mut case = scene.case();
        case.request.hot_spot = mode;
        case.local = Scene::exact().case().local.map(|mut local| {
            local.moisture.counting_percent = None;
            local.moisture.decided = None;
            local.moisture.allow_drying_credit = true;
            local
        });
        check(name, &case, Verdict::GoWithCautions);
    }
}

#[test]
fn a_larger_required_margin_never_allows_a_larger_load() {
    let mut before = f64::INFINITY;
    for required_k in [10.0, 14.0, 20.0] {
        let mut case = wet().case();
        case.local = Scene::exact().case().local.map(|mut local| {
            local.moisture.counting_percent = None;
            local.moisture.decided = None;
            local.no_go_margin_k = required_k;
            local.caution_margin_k = local.caution_margin_k.max(required_k);
            local
        });
        let largest_pu = check("required", &case, Verdict::GoWithCautions);
        assert!(largest_pu <= before, "{required_k} K: {largest_pu} after {before}");
        before = largest_pu;
    }
}
