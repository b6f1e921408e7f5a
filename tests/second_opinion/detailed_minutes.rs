//! The detailed model where the load is another one in every minute: there it goes by parabolas.

use crate::detailed::Invented;
use crate::dice::Dice;
use bubblemargin::thermal::cooling::{Control, Cooling};
use bubblemargin::thermal::detailed::{Course, Rated, Series, through};
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps};
use bubblemargin::thermal::trajectory::Plan;

/// Two days.
const MINUTES: u32 = 2880;

/// What a course may be off by, K.
const BOUND_K: f64 = 0.05;

/// Loads that go up and down with noise, and now and then jump; the ambient at the ends of the minutes.
fn metered(dice: &mut Dice) -> (Vec<f64>, Vec<f64>) {
    let (middle, swing, noise) =
        (dice.between(0.1, 1.1), dice.between(0.0, 0.4), dice.between(0.0, 0.05));
    let mut jump = 0.0;
    let loads = (0..MINUTES).map(|minute| {
        if dice.between(0.0, 200.0) < 1.0 {
            jump = dice.between(-0.4, 0.5);
        }
        let day = swing * (f64::from(minute) / 229.0).sin();
        (middle + day + jump + dice.between(-noise, noise)).max(0.0)
    });
    let loads = loads.collect();
    let (mean_c, swing_c) = (dice.between(-15.0, 30.0), dice.between(0.0, 8.0));
    let ambient = |minute: u32| mean_c + swing_c * (f64::from(minute) / 228.0).sin();
    (loads, (0..=MINUTES).map(ambient).collect())
}

fn cooling() -> Cooling {
    Cooling { stages: Vec::new(), control: Control::Fixed(0), lost_at_min: None }
}

fn course(rated: Rated, (load_pu, ambient_c): (&[f64], &[f64]), finer: f64) -> Course {
    let minutes: Vec<f64> = (0..=MINUTES).map(f64::from).collect();
    let load = minutes.iter().copied().zip(load_pu.iter().copied()).collect();
    let load = LoadSteps::new(load).unwrap();
    let ambient = minutes.iter().copied().zip(ambient_c.iter().copied()).collect();
    let ambient = AmbientLine::new(ambient).unwrap();
    let cooling = cooling();
    let plan = Plan { cooling: &cooling, load: &load, ambient: &ambient, breakpoints: &minutes };
    let begin = rated.steady_at(load_pu[0], ambient_c[0]);
    through(&[rated], &plan, (begin, 0), 0.0, finer)
}

#[test]
fn minutes_of_other_loads_stay_within_the_bound_of_far_shorter_steps() {
    let mut dice = Dice(31);
    let (mut worst_k, mut moved) = (0.0_f64, 0);
    for case in 0..24 {
        let invented = Invented::of(&mut dice);
        let (load_pu, ambient_c) = metered(&mut dice);
        let rated = Rated::of(&invented.nameplate, &invented.detail, 1.0);
        let usual = course(rated, (&load_pu, &ambient_c), 1.0);
        let fine = course(rated, (&load_pu, &ambient_c), 20.0);
        for (usual, fine) in usual.samples.iter().zip(&fine.samples) {
            let apart_k = (usual.hot_spot_c - fine.hot_spot_c).abs();
            let oil_k = (usual.top_oil_c - fine.top_oil_c).abs();
            let off_k = apart_k.max(oil_k);
            assert!(off_k < BOUND_K, "case {case}, minute {}: {apart_k} {oil_k} K", usual.minute);
            worst_k = worst_k.max(off_k);
        }
        let peak_k = (usual.hot_spot.value_c - fine.hot_spot.value_c).abs();
        assert!(peak_k < BOUND_K, "case {case}: the peak by {peak_k} K");
        let least_c = fine.samples.iter().map(|s| s.hot_spot_c).fold(f64::MAX, f64::min);
        moved += u32::from(fine.hot_spot.value_c - least_c > 20.0);
    }
    assert!(worst_k > 1.0e-6, "the two are not the same: {worst_k} K");
    assert!(moved > 12, "most of them move: {moved}");
}

#[test]
fn a_series_in_pieces_is_the_course() {
    let mut dice = Dice(32);
    for case in 0..20 {
        let invented = Invented::of(&mut dice);
        let (load_pu, ambient_c) = metered(&mut dice);
        let stages = [Rated::of(&invented.nameplate, &invented.detail, 1.0)];
        let whole = course(stages[0], (&load_pu, &ambient_c), 1.0);
        let cooling = cooling();
        let begin = (stages[0].steady_at(load_pu[0], ambient_c[0]), 0);
        let mut series = Series::new(&stages, &cooling, begin, 1.0);
        let mut hot_spots_c = Vec::new();
        for from in (0..load_pu.len()).step_by(500) {
            let until = (from + 500).min(load_pu.len());
            // The first of a piece is the last of the one before.
            hot_spots_c.pop();
            let (load_pu, ambient_c) = (&load_pu[from..until], &ambient_c[from..=until]);
            series.advance(load_pu, ambient_c, |sample| hot_spots_c.push(sample.hot_spot_c));
        }
        assert_eq!(hot_spots_c.len(), whole.samples.len(), "case {case}");
        for (hot_spot_c, sample) in hot_spots_c.iter().zip(&whole.samples) {
            let apart_k = (hot_spot_c - sample.hot_spot_c).abs();
            // A piece begins with other parabolas.
            assert!(apart_k < BOUND_K, "case {case}, minute {}: {apart_k} K", sample.minute);
        }
        let peak_k = (series.hot_spot.value_c - whole.hot_spot.value_c).abs();
        assert!(peak_k < BOUND_K, "case {case}: the peak by {peak_k} K");
        assert!(series.minute.to_bits() == f64::from(MINUTES).to_bits(), "case {case}");
    }
}
