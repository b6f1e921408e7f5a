//! What must hold for the detailed model whatever the unit: heat is kept, and more of what heats is never cooler.

use crate::detailed::Invented;
use crate::dice::Dice;
use bubblemargin::thermal::cooling::{Control, Cooling};
use bubblemargin::thermal::detailed::{Course, Detail, Rated, through};
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::trajectory::Plan;

/// Iterations and steps leave rounding errors; hundreds of thousands of them would not add up to this, K.
const ROUNDING_K: f64 = 1.0e-6;

/// Twice what a course may be off by, K.
const WITHIN_K: f64 = 0.1;

fn steady_for(rated: &Rated, load_pu: f64, ambient_c: f64, hours: f64) -> Course {
    let (load, ambient) = (LoadSteps::constant(load_pu), AmbientLine::constant(ambient_c));
    let minutes = breakpoints(0.0, 60.0 * hours, &load, &ambient, &[]);
    let cooling = Cooling { stages: Vec::new(), control: Control::Fixed(0), lost_at_min: None };
    let plan = Plan { cooling: &cooling, load: &load, ambient: &ambient, breakpoints: &minutes };
    through(&[*rated], &plan, (rated.steady_at(load_pu, ambient_c), 0), 0.0, 1.0)
}

#[test]
fn a_steady_state_stays_as_it_is() {
    let mut dice = Dice(21);
    for case in 0..200 {
        let invented = Invented::of(&mut dice);
        let rated = Rated::of(&invented.nameplate, &invented.detail, 1.0);
        let (load_pu, ambient_c) = (dice.between(0.0, 1.6), dice.between(-20.0, 40.0));
        let begin = rated.steady_at(load_pu, ambient_c);
        let end = steady_for(&rated, load_pu, ambient_c, 48.0).end;
        let moved_k = (end.hot_spot_c - begin.hot_spot_c)
            .abs()
            .max((end.oil_c - begin.oil_c).abs())
            .max((end.winding_c - begin.winding_c).abs());
        assert!(moved_k < ROUNDING_K, "case {case}, {load_pu} pu: {moved_k} K, {begin:?} {end:?}");
    }
}

#[test]
fn the_rated_load_returns_what_the_heat_run_measured() {
    let mut dice = Dice(22);
    for case in 0..200 {
        let invented = Invented::of(&mut dice);
        let winding_rise_k = invented.detail.winding_rise_k;
        // Losses are those of the winding as warm as it was.
        let detail = Detail { guaranteed_winding_rise_k: winding_rise_k, ..invented.detail };
        let rated = Rated::of(&invented.nameplate, &detail, 1.0);
        let heat = rated.steady_at(1.0, detail.rated_ambient_c);
        let top_c = detail.rated_ambient_c + invented.nameplate.top_oil_rise_k;
        let found = [
            heat.winding_c - detail.rated_ambient_c - winding_rise_k,
            rated.top_oil_c(&heat, detail.rated_ambient_c) - top_c,
        ];
        let hot_k = heat.hot_spot_c - top_c - invented.nameplate.hot_spot_gradient_k;
        // Where more eddy loss is stated at the hot spot than on average, that is in its measured rise already.
        for off_k in found.into_iter().chain([hot_k]) {
            assert!(off_k.abs() < ROUNDING_K, "case {case}: {off_k} K");
        }
    }
}

#[test]
fn more_load_or_warmer_air_is_never_cooler() {
    let mut dice = Dice(23);
    let mut hotter = 0;
    for case in 0..100 {
        let invented = Invented::of(&mut dice);
        let more = |factor: f64, add_c: f64| Invented {
            nameplate: invented.nameplate,
            detail: invented.detail,
            load: invented.load.iter().map(|(minute, pu)| (*minute, pu * factor)).collect(),
            ambient: invented.ambient.iter().map(|(minute, c)| (*minute, c + add_c)).collect(),
        };
        let plain = invented.course(1.0);
        for other in [more(1.05, 0.0), more(1.0, 4.0)] {
            let course = other.course(1.0);
            for (before, after) in plain.samples.iter().zip(&course.samples) {
                let cooler_k = before.hot_spot_c - after.hot_spot_c;
                assert!(cooler_k < WITHIN_K, "case {case}, {}: {cooler_k} K", before.minute);
            }
            hotter += u32::from(course.hot_spot.value_c > plain.hot_spot.value_c + 1.0);
        }
    }
    assert!(hotter > 150, "most of them are hotter: {hotter}");
}

#[test]
fn the_peak_is_no_lower_than_any_sample() {
    let mut dice = Dice(24);
    for case in 0..60 {
        let course = Invented::of(&mut dice).course(1.0);
        let highest_c = course.samples.iter().map(|s| s.hot_spot_c).fold(f64::MIN, f64::max);
        let highest_oil_c = course.samples.iter().map(|s| s.top_oil_c).fold(f64::MIN, f64::max);
        assert!(course.hot_spot.value_c >= highest_c, "case {case}");
        assert!(course.top_oil.value_c >= highest_oil_c, "case {case}");
        // Between samples five minutes apart a peak is little higher.
        assert!(course.hot_spot.value_c < highest_c + 3.0, "case {case}");
    }
}
