//! What heats more is never cooler, at any minute, whatever the unit.
//!
//! Rises are those of the heat run, made by all losses together. So more of one loss with the same rises is less of the
//! others: a no-load loss that is higher counts for more below the rated load and for less above it.

use crate::detailed::Invented;
use crate::dice::Dice;
use bubblemargin::thermal::detailed::{Course, HeatCapacity};

/// Steps are so much shorter than usual, so that what they are off by does not hide what is asked.
const FINER: f64 = 20.0;

/// What the two courses are off by with such steps, K: usual ones stay within 0.05 K, and what they are off by shrinks
/// faster than they do.
const WITHIN_K: f64 = 2.0e-3;

/// So much hotter counts as an effect, K.
const EFFECT_K: f64 = 0.1;

const CASES: u32 = 60;

/// How far the second is cooler at any sample, and how far hotter, K.
fn apart_k(before: &Course, after: &Course) -> (f64, f64) {
    let apart = before.samples.iter().zip(&after.samples);
    apart.fold((f64::MIN, f64::MIN), |(cooler_k, hotter_k), (before, after)| {
        let more_k = after.hot_spot_c - before.hot_spot_c;
        assert!(more_k.is_finite(), "{before:?} {after:?}");
        (cooler_k.max(-more_k), hotter_k.max(more_k))
    })
}

/// Units as they are and changed; the second course is never cooler and mostly hotter.
fn never_cooler(
    seed: u64,
    what: &str,
    prepare: impl Fn(&mut Invented, &mut Dice),
    heat: impl Fn(&mut Invented, &mut Dice),
) {
    let mut dice = Dice(seed);
    let mut hotter = 0;
    for case in 0..CASES {
        let mut before = Invented::of(&mut dice);
        prepare(&mut before, &mut dice);
        let mut after = before.clone();
        heat(&mut after, &mut dice);
        let (cooler_k, hotter_k) = apart_k(&before.course(FINER), &after.course(FINER));
        assert!(cooler_k < WITHIN_K, "{what}, case {case}: cooler by {cooler_k} K");
        hotter += u32::from(hotter_k > EFFECT_K);
    }
    assert!(hotter > CASES * 9 / 10, "{what}: only {hotter} of {CASES} show an effect");
}

/// The ambient goes up and down by some kelvins from one hour to the next, not by tens of them: top and bottom oil of the
/// printed rules move apart with what the coolers take, which jumps with the ambient
/// (`an_ambient_that_rises_for_a_while_takes_the_printed_top_oil_down`).
fn calm(invented: &mut Invented, _: &mut Dice) {
    for knot in &mut invented.ambient {
        knot.1 = 14.0 + 0.25 * (knot.1 - 14.0);
    }
}

/// The load never falls, and the ambient stays: with an ambient that rises, the printed top oil falls at first.
fn ever_more(invented: &mut Invented, _: &mut Dice) {
    let mut values: Vec<f64> = invented.load.iter().map(|knot| knot.1).collect();
    values.sort_by(f64::total_cmp);
    for (step, value) in invented.load.iter_mut().zip(values) {
        step.1 = value;
    }
    invented.ambient.truncate(1);
}

fn loads_between(invented: &mut Invented, dice: &mut Dice, (least, most): (f64, f64)) {
    calm(invented, dice);
    for step in &mut invented.load {
        step.1 = dice.between(least, most);
    }
}

#[test]
fn more_load_for_a_while_is_never_cooler() {
    never_cooler(51, "load", calm, |invented, dice| {
        // The first too, now and then; at least one of them is in the ten hours.
        let some = dice.between(0.0, 4.0);
        for (index, step) in invented.load.iter_mut().enumerate() {
            if dice.coin() || (f64::from(u32::try_from(index).unwrap()) - some).abs() < 0.5 {
                step.1 *= dice.between(1.01, 1.2);
            }
        }
    });
}

#[test]
fn a_hotter_ambient_throughout_is_never_cooler() {
    never_cooler(52, "ambient", calm, |invented, dice| {
        let more_k = dice.between(0.5, 10.0);
        for knot in &mut invented.ambient {
            knot.1 += more_k;
        }
    });
}

#[test]
fn a_measured_excess_is_never_cooler() {
    let mut dice = Dice(53);
    for case in 0..CASES {
        let invented = Invented::of(&mut dice);
        let more_k = dice.between(0.5, 10.0);
        let (before, after) = (invented.course(FINER), invented.course_with(more_k, FINER));
        let (cooler_k, hotter_k) = apart_k(&before, &after);
        assert!(cooler_k < WITHIN_K, "case {case}: cooler by {cooler_k} K");
        // Where eddy and stray losses prevail, which fall with the temperature, a little less than what is added.
        assert!(hotter_k > 0.7 * more_k, "case {case}: {hotter_k} K of {more_k} K");
    }
}

/// An altitude adds to the rises of top oil, bottom oil and winding alike; the losses stay those of the heat run.
#[test]
fn thinner_air_is_never_cooler() {
    never_cooler(54, "altitude", calm, |invented, dice| {
        let more_k = dice.between(0.5, 12.0);
        invented.nameplate.top_oil_rise_k += more_k;
        invented.detail.bottom_oil_rise_k += more_k;
        invented.detail.winding_rise_k += more_k;
    });
}

#[test]
fn thinner_air_is_never_cooler_with_masses() {
    let masses = |invented: &mut Invented, dice: &mut Dice| {
        calm(invented, dice);
        let active_kg = dice.between(40.0, 80.0);
        invented.detail.heat_capacity = HeatCapacity::Masses {
            active_kg,
            tank_kg: dice.between(10.0, 30.0),
            oil_kg: dice.between(10.0, 25.0),
        };
    };
    never_cooler(55, "altitude with masses", masses, |invented, dice| {
        let more_k = dice.between(0.5, 12.0);
        invented.nameplate.top_oil_rise_k += more_k;
        invented.detail.bottom_oil_rise_k += more_k;
        invented.detail.winding_rise_k += more_k;
    });
}

/// Less heat capacity is hotter on the way up, and cooler on the way down; so load and ambient only rise.
#[test]
fn less_heat_capacity_is_never_cooler_while_it_gets_hotter() {
    never_cooler(56, "oil", ever_more, |invented, dice| {
        let HeatCapacity::TimeConstant { oil_min } = &mut invented.detail.heat_capacity else {
            unreachable!()
        };
        *oil_min *= dice.between(0.6, 0.95);
    });
    never_cooler(57, "winding", ever_more, |invented, dice| {
        invented.detail.winding_time_constant_min *= dice.between(0.6, 0.95);
    });
}

/// With the same rises a load loss counts for more above the rated load.
#[test]
fn more_load_loss_is_never_cooler_above_the_rated_load() {
    never_cooler(
        58,
        "load loss",
        |invented, dice| loads_between(invented, dice, (1.05, 1.5)),
        |invented, dice| {
            let factor = dice.between(1.2, 2.0);
            let losses = &mut invented.detail.losses;
            losses.winding *= factor;
            losses.winding_eddy *= factor;
            losses.stray *= factor;
        },
    );
}

/// With the same rises a no-load loss counts for more below the rated load.
#[test]
fn more_core_loss_is_never_cooler_below_the_rated_load() {
    never_cooler(
        59,
        "core",
        |invented, dice| loads_between(invented, dice, (0.2, 0.85)),
        |invented, dice| invented.detail.losses.core *= dice.between(1.2, 2.0),
    );
}

/// What the printed rules make of an ambient that rises for a while, and no fault of the steps: the coolers take less at
/// once, by which top oil falls towards the average oil before that has got warmer. At the same average oil it falls by
///
/// ```text
/// (Tt' − Tb')/2 · z/y / (To' − Ta')        for each kelvin of the ambient, near the rated load
/// ```
/// which is 0.1 to 0.55 for these units; at a light load top oil is what lies beside the hot spot. The two lags do not
/// have it.
#[test]
fn an_ambient_that_rises_for_a_while_takes_the_printed_top_oil_down() {
    let mut dice = Dice(60);
    let (mut most_k, more_k) = (0.0_f64, 5.0);
    for _ in 0..CASES {
        let before = Invented::of(&mut dice);
        let mut after = before.clone();
        let from = 1 + after.ambient.len() / 2;
        for knot in after.ambient.iter_mut().skip(from) {
            knot.1 += more_k;
        }
        let (cooler_k, hotter_k) = apart_k(&before.course(FINER), &after.course(FINER));
        most_k = most_k.max(cooler_k);
        assert!(hotter_k > 0.3 * more_k, "in the end it is hotter: {hotter_k} K");
    }
    // Found: 1.6 K.
    assert!(most_k < 0.55 * more_k, "cooler by {most_k} K");
    assert!(most_k > 0.1 * more_k, "cooler by {most_k} K");
}

/// With a hot spot below the top of the winding, the printed rules make the oil beside it jump from the tank's top down to
/// that height of the duct, when the duct's own top gets hotter than the tank's. A little more load brings that on sooner;
/// where the two tops stay close, a thousandth of a kelvin of either moves it by minutes. Peaks come long after it.
#[test]
fn a_hot_spot_below_the_top_is_off_by_more_for_a_while_but_not_at_its_peak() {
    let mut dice = Dice(61);
    let mut lower = 0;
    for case in 0..CASES {
        let mut invented = Invented::of(&mut dice);
        invented.detail.hot_spot_height_pu = dice.between(0.8, 1.0);
        let (usual, fine) = (invented.course(1.0), invented.course(FINER));
        let (cooler_k, hotter_k) = apart_k(&usual, &fine);
        // Found: 0.17 K.
        assert!(cooler_k.max(hotter_k) < 0.5, "case {case}: {cooler_k} {hotter_k} K");
        let peak_k = (usual.hot_spot.value_c - fine.hot_spot.value_c).abs();
        // What steps are chosen for.
        assert!(peak_k < 0.05, "case {case}: {peak_k} K at the peak");
        let mut more = invented.clone();
        for step in &mut more.load {
            step.1 *= 1.05;
        }
        let (cooler_k, _) = apart_k(&fine, &more.course(FINER));
        // Found: 0.6 K.
        assert!(cooler_k < 2.0, "case {case}: with more load cooler by {cooler_k} K");
        lower += u32::from(invented.detail.hot_spot_height_pu < 0.95);
    }
    assert!(lower > CASES / 2, "most hot spots are well below the top: {lower}");
}
