//! Properties of the moisture evidence that must hold for every case: wetter is never milder, what is
//! stale, assumed or decided by nobody never lowers, and what is no witness gives no answer.
//!
//! The seed is fixed so that a run can be repeated; the properties were run with 6000 cases each,
//! those of whole assessments with 600.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "moisture_properties/margins.rs"]
mod margins;
#[path = "moisture_properties/rule.rs"]
mod rule;
#[path = "moisture_properties/unit.rs"]
mod unit;

use bubblemargin::moisture::reconcile::{ONE_SIDED_95, counting};
use bubblemargin::moisture::validity::{Figure, Judged, Standing};
use bubblemargin::quantities::MoisturePercent;
use bubblemargin::rules::verdict::Verdict;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use unit::{counts, local, read, verdict};

/// Sums of a handful of doubles below ten, and their roots: noise stays below 1e-9 %.
const NOISE: f64 = 1.0e-9;

/// A witness as the reconciliation sees it.
#[derive(Debug, Clone, Copy)]
struct Seen {
    percent: f64,
    std: f64,
    standing: Standing,
}

impl Seen {
    fn upper(self) -> f64 {
        self.percent + ONE_SIDED_95 * self.std
    }

    fn judged(self) -> Judged {
        let percent = MoisturePercent::new(self.percent).unwrap();
        Judged {
            figure: Some(Figure::by_mass(percent, self.std)),
            standing: self.standing,
            reasons: Vec::new(),
            doubts: Vec::new(),
            saturation: None,
            share: if self.standing == Standing::Counts { 1.0 } else { 0.0 },
        }
    }
}

/// What a set amounts to, %; `None` without a witness that counts.
fn upper(set: &[Seen]) -> Option<f64> {
    let judged: Vec<Judged> = set.iter().map(|seen| seen.judged()).collect();
    counting(&judged).map(|counting| counting.upper.value())
}

fn of_standing(standing: impl Strategy<Value = Standing>) -> impl Strategy<Value = Seen> {
    (0.3..6.0_f64, 0.05..1.5_f64, standing).prop_map(|(percent, std, standing)| Seen {
        percent,
        std,
        standing,
    })
}

fn credible() -> impl Strategy<Value = Seen> {
    of_standing(Just(Standing::Counts))
}

fn any_standing() -> impl Strategy<Value = Seen> {
    let standings = [Standing::Counts, Standing::WetSideOnly, Standing::DoesNotCount];
    of_standing(proptest::sample::select(standings.to_vec()))
}

fn no_counting() -> impl Strategy<Value = Seen> {
    of_standing(proptest::sample::select(vec![Standing::WetSideOnly, Standing::DoesNotCount]))
}

/// One to six witnesses, the first of them credible.
fn set() -> impl Strategy<Value = Vec<Seen>> {
    (credible(), proptest::collection::vec(any_standing(), 0..6))
        .prop_map(|(first, rest)| [vec![first], rest].concat())
}

prop_compose! {
    /// A paper figure as the profile states it: a dielectric response or a paper sample.
    fn paper()(percent in 0.3..6.0_f64, std in proptest::option::of(0.05..1.5_f64), sample in any::<bool>()) -> String {
        let method = if sample { "paper-sample" } else { "dielectric-response" };
        let std = std.map_or(String::new(), |std| format!(", std: {std}"));
        format!("method: {method}, percent: {percent}{std}, date: 2026-09-01")
    }
}

/// An oil sample with what is known of it, its uncertainty no larger than itself.
#[derive(Debug, Clone, Copy)]
struct Sample {
    ppm: f64,
    std_ppm: Option<f64>,
    oil_c: f64,
    steady_h: Option<f64>,
}

impl Sample {
    fn yaml(self) -> String {
        let std = self.std_ppm.map_or(String::new(), |std| format!(", std_ppm: {std}"));
        let steady = self.steady_h.map_or(String::new(), |hours| format!(", steady_h: {hours}"));
        format!("ppm: {}, oil_c: {}, date: 2026-09-01{std}{steady}", self.ppm, self.oil_c)
    }
}

prop_compose! {
    fn oil()(
        ppm in 15.0..60.0_f64, std in proptest::option::of(0.05..1.0_f64), oil_c in 50.0..90.0_f64,
        steady_h in proptest::option::of(8.0..100.0_f64),
    ) -> Sample {
        Sample { ppm, std_ppm: std.map(|std| std * ppm), oil_c, steady_h }
    }
}

fn probe() -> impl Strategy<Value = String> {
    (3.0..30.0_f64, 50.0..90.0_f64).prop_map(|(rs_percent, oil_c)| {
        format!("rs_percent: {rs_percent}, oil_c: {oil_c}, date: 2026-10-01")
    })
}

/// One to four witnesses of any kind, as YAML.
fn evidence() -> impl Strategy<Value = Vec<String>> {
    let one = prop_oneof![paper(), oil().prop_map(Sample::yaml), probe()];
    proptest::collection::vec(one, 1..5)
}

/// One witness that may raise and never lower: stale, dated later, or assumed.
fn wet_side_only() -> impl Strategy<Value = String> {
    let figure = |date: &'static str| {
        (0.3..6.0_f64, 0.05..1.5_f64).prop_map(move |(percent, std)| {
            format!("method: dielectric-response, percent: {percent}, std: {std}, date: {date}")
        })
    };
    let assumed = (0.3..6.0_f64, 0.05..1.5_f64)
        .prop_map(|(percent, std)| format!("method: assumed, percent: {percent}, std: {std}"));
    let from_age = (0.01..0.2_f64).prop_map(|yearly| format!("yearly_increase_percent: {yearly}"));
    prop_oneof![figure("2019-01-01"), figure("2031-01-01"), assumed, from_age]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, rng_seed: RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_witness_wetter_than_what_counts_never_makes_it_drier(
        set in set(), above in 0.0..3.0_f64, std in 0.05..1.5_f64, credible in any::<bool>(),
    ) {
        let before = upper(&set).unwrap();
        let standing = if credible { Standing::Counts } else { Standing::WetSideOnly };
        let percent = (before + above).min(100.0);
        let after = upper(&[&set[..], &[Seen { percent, std, standing }]].concat()).unwrap();
        prop_assert!(after >= before - NOISE, "{before} % became {after} %");
        prop_assert!(!credible || after >= percent - NOISE);
    }

    #[test]
    fn what_counts_lies_between_the_wettest_value_and_the_largest_own_bound(set in set()) {
        let judged: Vec<Judged> = set.iter().map(|seen| seen.judged()).collect();
        let found = counting(&judged).unwrap();
        let counting = || set.iter().filter(|seen| seen.standing == Standing::Counts);
        let wettest = counting().map(|seen| seen.percent).fold(0.0, f64::max);
        prop_assert!(found.upper.value() >= wettest - NOISE);
        let governs = set[found.witness];
        prop_assert!(governs.standing != Standing::DoesNotCount);
        let bounds = set.iter().filter(|seen| seen.standing != Standing::DoesNotCount);
        let largest = bounds.map(|seen| seen.upper()).fold(0.0, f64::max);
        prop_assert!(found.upper.value() <= largest + NOISE);
        prop_assert!(found.upper >= found.best && found.upper >= found.median);
    }

    #[test]
    fn a_lone_witness_counts_at_its_own_upper_bound_and_a_wider_one_never_drier(one in credible(), wider in 0.0..2.0_f64) {
        let found = upper(&[one]).unwrap();
        prop_assert!((found - one.upper()).abs() <= NOISE);
        let wider = upper(&[Seen { std: one.std + wider, ..one }]).unwrap();
        prop_assert!(wider >= found);
    }

    #[test]
    fn only_a_witness_that_counts_can_lower(set in set(), other in no_counting()) {
        let before = upper(&set).unwrap();
        let after = upper(&[&set[..], &[other]].concat()).unwrap();
        prop_assert!(after >= before - NOISE);
        if other.standing == Standing::DoesNotCount {
            prop_assert!((after - before).abs() <= NOISE);
        }
        let none: Vec<Seen> = set.into_iter().filter(|seen| seen.standing != Standing::Counts).collect();
        prop_assert!(upper(&none).is_none(), "nothing counts, so nothing is known");
    }

    #[test]
    fn the_order_of_witnesses_does_not_matter(set in set(), by in 0usize..6) {
        let before = upper(&set).unwrap();
        let mut turned = set.clone();
        turned.rotate_left(by % set.len());
        prop_assert!((upper(&turned).unwrap() - before).abs() <= NOISE);
        turned.reverse();
        prop_assert!((upper(&turned).unwrap() - before).abs() <= NOISE);
    }

    #[test]
    fn the_order_in_the_profile_does_not_matter(evidence in evidence()) {
        let reversed: Vec<String> = evidence.iter().rev().cloned().collect();
        let (one, other) = (counts(&evidence), counts(&reversed));
        prop_assert!(one.to_bits() == other.to_bits() || (one - other).abs() <= NOISE);
    }

    // Where nothing counts an assumption may, by itself and with its caution: nothing is there to lower.
    #[test]
    fn a_stale_or_assumed_witness_never_lowers(evidence in evidence(), valid in paper(), more in wet_side_only()) {
        let evidence = [&evidence[..], &[valid]].concat();
        let before = counts(&evidence);
        prop_assert!(before.is_finite());
        let after = counts(&[&evidence[..], &[more]].concat());
        prop_assert!(after >= before - NOISE, "{before} % became {after} %");
    }

    #[test]
    fn more_water_in_a_lone_oil_sample_is_never_drier(oil in oil(), more in 0.0..60.0_f64) {
        let wetter = Sample { ppm: oil.ppm + more, ..oil };
        let (before, after) = (counts(&[oil.yaml()]), counts(&[wetter.yaml()]));
        // Hot oil with little water is too far from saturation to count.
        prop_assume!(before.is_finite());
        prop_assert!(after >= before - NOISE, "{before} % became {after} %");
    }

    #[test]
    fn a_less_certain_lone_oil_sample_is_never_drier(oil in oil(), std_ppm in 0.1..60.0_f64, more in 0.0..60.0_f64) {
        let with = |std_ppm: f64| counts(&[Sample { std_ppm: Some(std_ppm), ..oil }.yaml()]);
        let (before, after) = (with(std_ppm), with(std_ppm + more));
        prop_assert!(after >= before - NOISE, "{before} % became {after} %");
        let unknown = counts(&[Sample { steady_h: None, ..oil }.yaml()]);
        let known = counts(&[Sample { steady_h: Some(8.0), ..oil }.yaml()]);
        prop_assert!(unknown >= known, "nobody says whether it was in equilibrium");
    }

    #[test]
    fn a_local_rule_never_lowers_without_a_name(
        evidence in evidence(), counting_percent in proptest::option::of(0.1..8.0_f64),
        at_least in proptest::option::of(0.1..8.0_f64), months in proptest::option::of(1.0..24.0_f64),
        oil_c in proptest::option::of(50.0..100.0_f64), ppm in proptest::option::of(15.0..100.0_f64),
        steady_h in proptest::option::of(8.0..200.0_f64),
    ) {
        let keys = [
            ("counting_percent", counting_percent), ("at_least_percent", at_least), ("oldest_months", months),
            ("coldest_oil_c", oil_c), ("least_ppm", ppm), ("steady_h", steady_h),
        ];
        let stated: Vec<String> =
            keys.iter().filter_map(|(key, value)| value.map(|value| format!("{key}: {value}"))).collect();
        let rules = local(&stated.join(", ")).unwrap();
        let unit = read("", &evidence).unwrap();
        let percent = |rules| unit::counting(&unit, rules).map_or(f64::INFINITY, |found| found.upper.value());
        let (before, after) = (percent(None), percent(Some(&rules)));
        prop_assert!(after >= before - NOISE, "{before} % became {after} %");
        prop_assert!(at_least.is_none_or(|least| after >= least));
    }
}

/// A number that somebody may type.
fn junk() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<f64>().prop_map(|value| format!("{value:e}")),
        (-1.0e3..1.0e3_f64).prop_map(|value| value.to_string()),
        (0.0..100.0_f64).prop_map(|value| value.to_string()),
        (0i64..100).prop_map(|value| value.to_string()),
        proptest::sample::select(vec![".nan", ".inf", "-.inf", "0", "-0.0", "1e-300", "[]", "~"])
            .prop_map(str::to_owned),
    ]
}

/// One key of a witness with a number that fits, or not.
fn key() -> impl Strategy<Value = (&'static str, String)> {
    let keys = [
        "percent",
        "std",
        "ppm",
        "std_ppm",
        "rs_percent",
        "std_rs_percent",
        "yearly_increase_percent",
        "start_percent",
        "oil_c",
        "std_oil_k",
        "insulation_c",
        "steady_h",
        "exposure_min",
    ];
    let plausible = (0.0..60.0_f64).prop_map(|value| value.to_string());
    (proptest::sample::select(keys.to_vec()), prop_oneof![3 => plausible, 1 => junk()])
}

proptest! {
    // More cases than the others: most junk is refused where it enters.
    #![proptest_config(ProptestConfig { cases: 600, rng_seed: RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn junk_is_refused_or_judged_and_never_panics(
        witnesses in proptest::collection::vec(proptest::collection::btree_map(
            proptest::sample::select(vec!["percent", "ppm", "rs_percent", "yearly_increase_percent"]), junk(), 1..2,
        ), 1..3),
        more in proptest::collection::vec(key(), 0..3),
        load_pu in 0.3..2.0_f64,
    ) {
        let mut texts: Vec<String> = witnesses.iter().flatten().map(|(key, value)| format!("{key}: {value}")).collect();
        for (key, value) in more {
            texts[0] = format!("{}, {key}: {value}", texts[0]);
        }
        let Ok(read) = read("", &texts) else { return Ok(()) };
        let found = unit::counting(&read, None);
        prop_assert!(found.is_none_or(|found| (0.0..=100.0).contains(&found.upper.value())));
        let verdict = verdict(read, load_pu);
        prop_assert!(found.is_some() || !verdict.permits(), "nothing counts, so nothing is permitted");
    }
}

proptest! {
    // Each case is two whole assessments.
    #![proptest_config(ProptestConfig { cases: 20, rng_seed: RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn more_water_in_the_oil_never_permits_more(oil in oil(), more in 0.0..200.0_f64, load_pu in 0.5..1.5_f64) {
        let wetter = Sample { ppm: oil.ppm + more, ..oil };
        let ask = |oil: Sample| verdict(read("", &[oil.yaml()]).unwrap(), load_pu);
        prop_assert!(ask(oil).permits() || !ask(wetter).permits());
    }
}

/// Witnesses far outside what is asked of them, or none at all, with the top-level line that makes them so.
const INVALID: [(&str, &str, &str); 15] = [
    ("too cold", "", "ppm: 20, oil_c: 39, date: 2026-09-01"),
    ("colder than the isotherm", "", "ppm: 20, oil_c: 35, date: 2026-09-01"),
    ("too dry", "", "ppm: 7, oil_c: 60, date: 2026-09-01"),
    ("a probe that reads next to nothing", "", "rs_percent: 1, oil_c: 60, date: 2026-09-01"),
    ("load changed", "", "ppm: 20, oil_c: 60, steady_h: 2, date: 2026-09-01"),
    ("no oil temperature", "", "ppm: 20, date: 2026-09-01"),
    ("no oil temperature of a probe", "", "rs_percent: 12, date: 2026-09-01"),
    ("above 30 % of saturation", "", "ppm: 140, oil_c: 60, date: 2026-09-01"),
    ("a probe above 30 % of saturation", "", "rs_percent: 55, oil_c: 60, date: 2026-09-01"),
    ("colder than the solubility goes", "", "ppm: 20, oil_c: -5, date: 2026-09-01"),
    ("too old", "", "method: paper-sample, percent: 1, std: 0.2, date: 2023-09-01"),
    (
        "dated later than the question",
        "",
        "method: paper-sample, percent: 1, std: 0.2, date: 2027-01-01",
    ),
    (
        "before the last drying",
        "dried: 2026-09-02",
        "method: paper-sample, percent: 1, std: 0.2, date: 2026-09-01",
    ),
    ("undated, after a drying", "dried: 2026-09-02", "method: paper-sample, percent: 1, std: 0.2"),
    ("neither method nor uncertainty", "", "percent: 1, date: 2026-09-01"),
];

/// A load that dry paper carries easily.
const EASY_PU: f64 = 1.05;

#[test]
fn a_lone_witness_that_is_none_cannot_be_decided() {
    let valid = "method: paper-sample, percent: 1, std: 0.2, date: 2026-09-01".to_owned();
    assert!(verdict(read("", std::slice::from_ref(&valid)).unwrap(), EASY_PU).permits());
    let aside = format!("{valid}, set_aside: {{ by: A. Nother, why: taken from another unit }}");
    let all = INVALID.iter().map(|(what, top, witness)| (*what, *top, (*witness).to_owned()));
    for (what, top, witness) in all.chain([("set aside", "", aside)]) {
        let unit = read(top, std::slice::from_ref(&witness)).unwrap();
        assert!(unit::counting(&unit, None).is_none(), "{what}");
        assert_eq!(verdict(unit, EASY_PU), Verdict::CannotDecide, "{what}");
    }
}

/// The same beside a witness that counts: it may not make the answer milder.
#[test]
fn a_witness_that_is_none_never_lowers_what_counts() {
    let valid = "method: paper-sample, percent: 2, std: 0.3, date: 2026-09-03".to_owned();
    for (what, top, witness) in INVALID {
        let percent = |witnesses: &[String]| {
            let unit = read(top, witnesses).unwrap();
            unit::counting(&unit, None).unwrap().upper.value()
        };
        let alone = percent(std::slice::from_ref(&valid));
        let beside = percent(&[valid.clone(), witness.to_owned()]);
        assert!(beside >= alone - NOISE, "{what}: {alone} % became {beside} %");
    }
}
