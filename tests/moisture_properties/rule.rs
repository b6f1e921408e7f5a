//! The rule that assesses the moisture: nobody can make it drier by stating a measurement less certain, by
//! adding one that is wetter, or by adding one that contradicts it.

use crate::unit::{local, read, reads};
use bubblemargin::moisture::assessed::contradiction_degree;
use bubblemargin::moisture::holding::Holding;
use bubblemargin::moisture::reconcile::{ONE_SIDED_95, counting, random_effects_rule, reconciled};
use bubblemargin::moisture::validity::{Figure, Judged, Standing};
use bubblemargin::quantities::MoisturePercent;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// Sums of a handful of doubles below ten, and their roots.
const NOISE: f64 = 1.0e-9;

/// A measurement with its standard uncertainty under good conditions, and by how much more it is stated.
#[derive(Debug, Clone, Copy)]
struct Measured {
    percent: f64,
    at_best: f64,
    more: f64,
    share: f64,
    by_mass: bool,
}

impl Measured {
    fn judged(self) -> Judged {
        let percent = MoisturePercent::new(self.percent).unwrap();
        let figure = Figure {
            std_at_best: self.at_best,
            by_mass: self.by_mass,
            ..Figure::by_mass(percent, self.at_best + self.more)
        };
        let standing = if self.share >= 1.0 { Standing::Counts } else { Standing::WetSideOnly };
        Judged {
            figure: Some(figure),
            standing,
            reasons: Vec::new(),
            doubts: Vec::new(),
            saturation: None,
            share: self.share,
        }
    }
}

prop_compose! {
    fn measured()(
        percent in 0.5..4.5_f64, at_best in 0.2..0.7_f64, more in prop_oneof![Just(0.0), 0.0..1.5_f64],
        share in prop_oneof![3 => Just(1.0), 1 => 0.0..1.0_f64], by_mass in any::<bool>(),
    ) -> Measured {
        Measured { percent, at_best, more, share, by_mass }
    }
}

/// One to five measurements, the first of which counts.
fn set() -> impl Strategy<Value = Vec<Measured>> {
    proptest::collection::vec(measured(), 1..6).prop_map(|mut set| {
        set[0].share = 1.0;
        set
    })
}

/// Median drawn and assessed moisture, %, of paper that holds so much.
fn water(set: &[Measured], factor: f64) -> (f64, f64) {
    let judged: Vec<Judged> = set.iter().map(|own| own.judged()).collect();
    let holding = Holding { central: factor, lowest: factor };
    reconciled(&judged, &holding).unwrap().1.at(factor)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, rng_seed: RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_measurement_stated_less_certain_never_counts_for_less(set in set(), which in 0usize..5, more in 0.0..3.0_f64) {
        let mut wider = set.clone();
        wider[which % set.len()].more += more;
        let (before, after) = (water(&set, 1.0), water(&wider, 1.0));
        prop_assert!(after.0 >= before.0 - NOISE && after.1 >= before.1 - NOISE, "{before:?} became {after:?}");
    }

    #[test]
    fn a_measurement_above_the_assessed_moisture_never_lowers_it(set in set(), above in 0.0..2.0_f64, one in measured()) {
        let before = water(&set, 1.0);
        let wetter = Measured { percent: before.1 + above, ..one };
        let after = water(&[&set[..], &[wetter]].concat(), 1.0);
        prop_assert!(after.0 >= before.0 - NOISE && after.1 >= before.1 - NOISE, "{before:?} became {after:?}");
    }

    #[test]
    fn a_drier_measurement_that_contradicts_never_helps(percent in 1.5..4.0_f64, at_best in 0.2..0.5_f64, drier in measured()) {
        let wetter = Measured { percent, at_best, more: 0.0, share: 1.0, by_mass: true };
        // As far below as contradicts in full, and somewhat further.
        let drier = Measured { percent: percent - (1.97 + drier.percent / 4.0) * at_best.hypot(drier.at_best), share: 1.0, ..drier };
        prop_assume!(drier.percent > 0.05);
        let deviations = (percent - drier.percent) / at_best.hypot(drier.at_best);
        prop_assert!(contradiction_degree(deviations) >= 1.0);
        let (alone, both) = (water(&[wetter], 1.0), water(&[wetter, drier], 1.0));
        prop_assert!(both.0 >= alone.0 - NOISE && both.1 >= alone.1 - NOISE, "{alone:?} became {both:?}");
    }

    #[test]
    fn what_holds_less_is_never_drier(set in set(), factor in 0.5..1.0_f64, less in 0.0..0.3_f64) {
        let (before, after) = (water(&set, factor), water(&set, factor - less));
        prop_assert!(after.0 >= before.0 - NOISE && after.1 >= before.1 - NOISE, "{before:?} became {after:?}");
    }

    #[test]
    fn the_assessed_moisture_lies_between_the_wettest_value_and_the_largest_own_bound(set in set()) {
        let set: Vec<Measured> = set.into_iter().map(|own| Measured { share: 1.0, ..own }).collect();
        let (median, upper) = water(&set, 1.0);
        let wettest = set.iter().map(|own| own.percent).fold(0.0, f64::max);
        let bounds = set.iter().map(|own| own.percent + ONE_SIDED_95 * (own.at_best + own.more));
        prop_assert!(upper >= wettest - NOISE && upper <= bounds.fold(0.0, f64::max) + NOISE);
        prop_assert!(median <= upper + NOISE);
    }

    #[test]
    fn where_all_agree_under_good_conditions_it_is_the_random_effects_rule(
        percent in 1.0..3.0_f64, stds in proptest::collection::vec(0.3..0.6_f64, 2..5), off in proptest::collection::vec(-0.2..0.2_f64, 4),
    ) {
        // No two of them further apart than one of their joint standard uncertainties, which are 0.42 or more.
        let set: Vec<Measured> = stds.iter().zip(&off)
            .map(|(std, off)| Measured { percent: percent + off, at_best: *std, more: 0.0, share: 1.0, by_mass: true })
            .collect();
        let plain: Vec<(f64, f64)> = set.iter().map(|own| (own.percent, own.at_best)).collect();
        let (found, rule) = (water(&set, 1.0).1, random_effects_rule(&plain).unwrap());
        prop_assert!((found - rule).abs() <= NOISE, "{found} and not {rule}");
    }

    #[test]
    fn nothing_changes_at_once_where_a_share_fades(set in set(), which in 0usize..5) {
        let mut outside = set.clone();
        let own = &mut outside[which % set.len()];
        prop_assume!(own.share >= 1.0 && set.iter().filter(|own| own.share >= 1.0).count() > 1);
        own.share = 1.0 - 1.0e-9;
        let (before, after) = (water(&set, 1.0), water(&outside, 1.0));
        let close = |a: f64, b: f64| (a - b).abs() <= 1.0e-6;
        prop_assert!(close(before.0, after.0) && close(before.1, after.1), "{before:?} became {after:?}");
    }
}

/// Stated less certain, the wettest lost its weight by the random-effects rule: 3.96 % became 3.3 %.
#[test]
fn the_random_effects_rule_alone_believed_a_wet_reading_less_the_less_certain_it_was() {
    let rule = |std: f64| random_effects_rule(&[(3.3, std), (1.6, 0.3)]).unwrap();
    assert!(rule(2.0) < rule(0.4), "what this rule is held against");
    let of = |std: f64| {
        let one = |percent, std| Measured {
            percent,
            at_best: 0.4,
            more: std - 0.4,
            share: 1.0,
            by_mass: true,
        };
        water(&[one(3.3, std), Measured { at_best: 0.3, more: 0.0, ..one(1.6, 0.4) }], 1.0)
    };
    assert!(of(2.0).1 >= of(0.4).1 && of(2.0).0 >= of(0.4).0);
}

/// By name a lower figure may be set, and it keeps the spread of the evidence about it.
#[test]
fn a_figure_lowered_by_name_keeps_its_spread() {
    let unit =
        reads("", &["method: dielectric-response, percent: 3.0, std: 0.4, date: 2026-10-02"]);
    let rules =
        local("counting_percent: 2.0, decided: { by: A. Engineer, why: dried last week }").unwrap();
    let facts = crate::unit::facts(&unit, Some(&rules));
    let (median, upper) = facts.drawn.unwrap().at(facts.holding.factor.central);
    let evidence = crate::unit::facts(&unit, None).counting.unwrap();
    let ratio = evidence.upper.value() / evidence.median.value();
    assert!(
        (median - 2.0).abs() < 1.0e-9 && (upper / median - ratio).abs() < 1.0e-9,
        "{median} {upper}"
    );
    assert!((facts.counting.unwrap().upper.value() - 2.0).abs() < 1.0e-9);
    // One between the median and the assessed moisture takes nothing from what is drawn.
    let between = 0.5 * (evidence.median.value() + evidence.upper.value());
    let rules = format!(
        "counting_percent: {between}, decided: {{ by: A. Engineer, why: dried last week }}"
    );
    let facts = crate::unit::facts(&unit, Some(&local(&rules).unwrap()));
    let drawn = facts.drawn.unwrap().at(facts.holding.factor.central);
    assert!((drawn.1 - evidence.upper.value()).abs() < 1.0e-9);
}

/// DP 310 changed nothing; oil says how new paper would hold it already, a figure by mass does not.
#[test]
fn aged_paper_holds_less_water_and_figures_by_mass_count_for_more() {
    let by_mass = "method: paper-sample, percent: 2.0, std: 0.2, date: 2026-10-02";
    let oil = "ppm: 24, oil_c: 60, steady_h: 12, date: 2026-10-02";
    let assessed = |condition: &str, witness: &str| {
        let unit = read(&format!("paper_condition: {condition}"), &[witness.to_owned()]).unwrap();
        let facts = crate::unit::facts(&unit, None);
        facts.drawn.unwrap().at(facts.holding.factor.lowest).1
    };
    let new = assessed("{ dp: 900, date: 2026-10-01 }", by_mass);
    let old = assessed("{ dp: 310, date: 2026-10-01 }", by_mass);
    assert!((old / new - 1.0 / 0.75).abs() < 1.0e-9, "{new} {old}");
    let unknown = assessed("{ dp_new: 1000 }", by_mass);
    assert!((unknown - old).abs() < 1.0e-9, "what is not known is taken low");
    let stale = assessed("{ dp: 900, date: 2015-10-01 }", by_mass);
    assert!((stale - old).abs() < 1.0e-9, "a figure of eleven years ago says nothing of today");
    let (new, old) = (
        assessed("{ dp: 900, date: 2026-10-01 }", oil),
        assessed("{ dp: 310, date: 2026-10-01 }", oil),
    );
    assert!((new - old).abs() < 1.0e-9, "{new} {old}");
}

/// The figure that a test of the whole program would see.
#[test]
fn counting_is_that_of_new_paper() {
    let judged =
        [Measured { percent: 2.0, at_best: 0.4, more: 0.0, share: 1.0, by_mass: true }.judged()];
    let found = counting(&judged).unwrap();
    assert!((found.upper.value() - (2.0 + ONE_SIDED_95 * 0.4)).abs() < 1.0e-12);
}
