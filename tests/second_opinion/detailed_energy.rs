//! Heat is neither made nor lost on the way, by the equations written again.

use crate::detailed::{Invented, UNTIL_MIN};
use crate::detailed_equations::{Temperatures, temperatures};
use crate::dice::Dice;
use bubblemargin::thermal::schedule::breakpoints;

/// Iterations end this close to a steady state, K/min.
const STEADY_K_PER_MIN: f64 = 1.0e-8;

#[test]
fn in_a_steady_state_what_is_lost_is_what_is_made() {
    let mut dice = Dice(41);
    for case in 0..200 {
        let invented = Invented::of(&mut dice);
        let mut equations = invented.equations([0.0, 1.0], 0.0);
        (equations.load, equations.per_min) = (dice.between(0.0, 1.6), 0.0);
        let begin = invented.rated().steady_at(equations.load, equations.ambient_c);
        let moment = equations.moment(0.0, &temperatures(begin));
        let [_, oil] = moment.capacities;
        let left_k_per_min = (moment.made - moment.out) / oil;
        assert!(left_k_per_min.abs() < STEADY_K_PER_MIN, "case {case}: {left_k_per_min} K/min");
        // The hot spot may rest on the winding or the oil beside it.
        for part in [0, 2] {
            let rate = moment.rates[part];
            assert!(rate.abs() < STEADY_K_PER_MIN, "case {case}, part {part}: {rate} K/min");
        }
    }
}

/// Heat is summed up by Simpson's rule over pieces of at most this, min.
const PIECE_MIN: f64 = 2.0;

/// Minutes so that an even number of equal pieces lies between two changes.
fn minutes(invented: &Invented) -> Vec<f64> {
    let (load, ambient) = invented.lines();
    let changes = breakpoints(0.0, UNTIL_MIN, &load, &ambient, &[]);
    let mut minutes = vec![0.0];
    for pair in changes.windows(2) {
        let pieces = 2.0 * ((pair[1] - pair[0]) / PIECE_MIN).ceil();
        let mut piece = 1.0;
        while piece < pieces {
            minutes.push(pair[0] + (pair[1] - pair[0]) * piece / pieces);
            piece += 1.0;
        }
        minutes.push(pair[1]);
    }
    minutes
}

/// How far the heat that is kept may be off, K of the oil: half of what a course itself is held to, 0.05 K against far shorter
/// steps. Parabolas about a state are renewed long before; 0.005 K was seen.
const KEPT_K: f64 = 0.025;

#[test]
fn heat_made_less_heat_given_off_is_heat_stored() {
    let mut dice = Dice(42);
    let mut most_k = 0.0_f64;
    for case in 0..10 {
        let invented = Invented::of(&mut dice);
        let minutes = minutes(&invented);
        // Where the same course stands at each minute: what it does later changes nothing but its last steps.
        let states: Vec<Temperatures> = (1..=minutes.len())
            .map(|count| temperatures(invented.through(&minutes[..count], 0.0, 1.0).end))
            .collect();
        let mut into = 0.0;
        for (at, three) in minutes.windows(3).enumerate().step_by(2) {
            let equations = invented.equations([three[0], three[2]], three[0]);
            let sixth = (three[2] - three[0]) / 6.0;
            let mut capacities = [0.0; 2];
            for (part, weight) in [1.0, 4.0, 1.0].into_iter().enumerate() {
                let moment = equations.moment(three[part] - three[0], &states[at + part]);
                into += weight * sixth * (moment.made - moment.out);
                capacities = moment.capacities;
            }
            let until = states[at + 2];
            let [winding, oil] = capacities;
            let stored = winding * (until[0] - states[0][0]) + oil * (until[2] - states[0][2]);
            let off_k = (into - stored) / oil;
            most_k = most_k.max((stored / oil).abs());
            assert!(off_k.abs() < KEPT_K, "case {case}, minute {}: {off_k} K", three[2]);
        }
    }
    assert!(most_k > 20.0, "much heat is stored: {most_k} K of the oil");
}
