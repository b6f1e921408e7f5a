//! Many draws through the kernel at once are the same draws one by one: to the last digit, whatever
//! the number of draws and of threads.
//!
//! No tolerance anywhere: the kernel does the same operations in the same order for every lane.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "second_opinion/dice.rs"]
mod dice;

use bubblemargin::thermal::cooling::{Control, Cooling};
use bubblemargin::thermal::ensemble::{
    Common, Doubt, Ensemble, Lags, Lanes, Member, Moment, OnlyHottest, Outcome, Steps, Unwatched,
    WIDTH, Watch,
};
use bubblemargin::thermal::iec::Iec;
use bubblemargin::thermal::ieee::Ieee;
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use bubblemargin::thermal::series::Series;
use bubblemargin::thermal::start::Start;
use bubblemargin::thermal::trajectory::{Plan, simulate};
use bubblemargin::thermal::{Form, State};
use dice::{Dice, UNTIL_MIN};

/// Two full fronts and some lanes left over.
const DRAWS: usize = 2 * WIDTH + 7;

/// A case with draws around it.
#[derive(Debug)]
struct Case {
    cooling: Cooling,
    load: LoadSteps,
    ambient: AmbientLine,
    minutes: Vec<f64>,
    /// The stages of each draw.
    drawn: Vec<Cooling>,
    start: State,
    /// Errors of load and ambient of each draw, and one standard uncertainty of both.
    errors: Vec<[f64; 2]>,
    doubt: [f64; 2],
    /// How far above their settings the thermostats of each draw act, K.
    thermostat_k: Vec<f64>,
}

impl Case {
    fn random(seed: u64, common: Common) -> Self {
        let mut dice = Dice(seed);
        let control = if dice.coin() { Control::Automatic } else { Control::Fixed(1) };
        let lost_at_min = dice.coin().then(|| dice.between(100.0, 500.0));
        let cooling = Cooling { stages: dice.stages(), control, lost_at_min };
        let load = LoadSteps::new(dice.course(0.0, 1.8)).unwrap();
        let ambient = AmbientLine::new(dice.course(-20.0, 40.0)).unwrap();
        // Once in steps in which every peak counts, once in fine ones of uneven length.
        let every_min = if dice.coin() { 10.0 } else { 0.5 };
        let mut samples: Vec<f64> = lost_at_min.into_iter().collect();
        let mut minute = every_min;
        while minute < UNTIL_MIN {
            samples.push(minute);
            minute += every_min;
        }
        let minutes = breakpoints(0.0, UNTIL_MIN, &load, &ambient, &samples);
        let drawn = (0..DRAWS).map(|_| draw(&mut dice, &cooling, common)).collect();
        let doubt = if dice.coin() { [0.0; 2] } else { [0.03, dice.between(0.5, 3.0)] };
        let errors = (0..DRAWS).map(|_| [0; 2].map(|_| dice.between(-2.0, 2.0))).collect();
        let thermostat_k = (0..DRAWS).map(|_| dice.between(-4.0, 4.0)).collect();
        let top_oil_c = dice.between(20.0, 70.0);
        let start = State { top_oil_c, gradient_1_k: dice.between(0.0, 20.0), gradient_2_k: 0.0 };
        Self { cooling, load, ambient, minutes, drawn, start, errors, doubt, thermostat_k }
    }

    fn plan<'a>(&'a self, cooling: &'a Cooling) -> Plan<'a> {
        Plan { cooling, load: &self.load, ambient: &self.ambient, breakpoints: &self.minutes }
    }

    fn start(&self) -> Start {
        Start { state: self.start, stage: self.cooling.first() }
    }

    fn lags<F: Form>(form: &F, cooling: &Cooling) -> Vec<Lags<f64>> {
        cooling.stages.iter().map(|stage| form.lags(stage)).collect()
    }

    /// The draws of a list, in one ensemble.
    fn together<F: Form>(
        &self,
        form: &F,
        common: Common,
        cooling: &Cooling,
        draws: &[usize],
        errors: bool,
    ) -> Vec<Outcome<[f64; 3]>> {
        let sums = |_: &[usize; WIDTH]| Sums::new();
        let seen = |sums: &Sums<WIDTH>, lane: usize| sums.0.map(|sum| sum[lane]);
        self.watched(form, (common, cooling), (draws, errors), (sums, seen))
    }

    /// The same under any watch.
    fn watched<F: Form, W: Watch<WIDTH>, T: Send>(
        &self,
        form: &F,
        (common, cooling): (Common, &Cooling),
        (draws, errors): (&[usize], bool),
        (watch, seen): (impl Fn(&[usize; WIDTH]) -> W + Sync, impl Fn(&W, usize) -> T + Sync),
    ) -> Vec<Outcome<T>> {
        let load = |_minute: f64| self.doubt[0];
        let ambient_k = |minute: f64| self.doubt[1] * (1.0 + minute / 500.0);
        let doubtful = errors && self.doubt[1] > 0.0;
        let doubt = if doubtful {
            // Draws that have the factors or their logarithms in common have the load in common.
            let load: Option<&(dyn Fn(f64) -> f64 + Sync)> = Some(&load);
            let load = load.filter(|_| common == Common::Nothing);
            Doubt { load, ambient_k: Some(&ambient_k) }
        } else {
            Doubt::NONE
        };
        let steps = Steps::of(&self.plan(cooling), doubt);
        let lags: Vec<_> = self.drawn.iter().map(|drawn| Self::lags(form, drawn)).collect();
        let member = |i: usize| Member {
            lags: &lags[draws[i]],
            start: self.start(),
            load_error: self.errors[draws[i]][0],
            ambient_error: self.errors[draws[i]][1],
            thermostat_k: if errors { self.thermostat_k[draws[i]] } else { 0.0 },
        };
        let ensemble = Ensemble::new(form, &steps, cooling, common);
        ensemble.run(draws.len(), member, watch, seen)
    }
}

/// A stage of each kind a few per cent off, in what the draws do not have in common.
fn draw(dice: &mut Dice, cooling: &Cooling, common: Common) -> Cooling {
    let mut drawn = cooling.clone();
    for stage in &mut drawn.stages {
        let mut off = |value: &mut f64| *value *= dice.between(0.9, 1.1);
        off(&mut stage.nameplate.top_oil_rise_k);
        off(&mut stage.nameplate.hot_spot_gradient_k);
        off(&mut stage.iec.oil_time_constant_min);
        off(&mut stage.iec.winding_time_constant_min);
        off(&mut stage.ieee.oil_time_constant_min);
        off(&mut stage.ieee.winding_time_constant_min);
        if common != Common::Factors {
            off(&mut stage.iec.x);
            off(&mut stage.iec.y);
            off(&mut stage.ieee.n);
            off(&mut stage.ieee.m);
        }
        if common == Common::Nothing {
            off(&mut stage.nameplate.loss_ratio);
        }
    }
    drawn
}

/// Adds up everything that is seen, so that no sample can differ unnoticed.
struct Sums<const N: usize>([[f64; N]; 3]);

impl<const N: usize> Sums<N> {
    fn new() -> Self {
        Self([[0.0; N]; 3])
    }
}

impl<const N: usize> Watch<N> for Sums<N> {
    fn see(&mut self, moment: &Moment<'_, N>) {
        let ambient_c = moment.ambient_c();
        for i in 0..N {
            self.0[0][i] += moment.hot_spot_c.0[i];
            self.0[1][i] +=
                moment.top_oil_c.0[i] + f64::from(u8::try_from(moment.stage[i]).unwrap());
            self.0[2][i] += ambient_c.0[i];
        }
    }
}

fn digits(outcome: &Outcome<[f64; 3]>) -> [u64; 8] {
    let state = outcome.end.state;
    let [hot_spot, top_oil, ambient] = outcome.seen;
    let gradients = [state.gradient_1_k, state.gradient_2_k];
    let highest = [outcome.hot_spot_c, outcome.top_oil_c];
    let numbers = [highest, gradients, [state.top_oil_c, hot_spot], [top_oil, ambient]];
    let numbers: Vec<u64> = numbers.as_flattened().iter().map(|number| number.to_bits()).collect();
    assert!(numbers.iter().all(|bits| f64::from_bits(*bits).is_finite()), "{outcome:?}");
    numbers.try_into().unwrap()
}

const COMMONS: [Common; 3] = [Common::Factors, Common::Logarithms, Common::Nothing];

/// Every kind of ensemble, often enough for each combination of switches to come up.
fn every_case(check: impl Fn(&Case, Common)) {
    for seed in 0..6 {
        for common in COMMONS {
            check(&Case::random(seed, common), common);
        }
    }
}

#[test]
fn a_draw_has_the_same_digits_alone_and_among_others() {
    fn check<F: Form>(form: &F, case: &Case, common: Common) {
        let all: Vec<usize> = (0..DRAWS).collect();
        let together = case.together(form, common, &case.cooling, &all, true);
        for i in [0, 1, WIDTH - 1, WIDTH, DRAWS - 1] {
            let alone = case.together(form, common, &case.cooling, &[i], true);
            assert_eq!(digits(&alone[0]), digits(&together[i]), "draw {i} of {common:?}, {case:?}");
            assert_eq!(alone[0].end.stage, together[i].end.stage);
        }
    }
    every_case(|case, common| {
        check(&Iec::default(), case, common);
        check(&Ieee { added_rise_k: 2.5, ..Ieee::default() }, case, common);
    });
}

#[test]
fn a_draw_has_the_same_digits_as_a_single_run() {
    fn check<F: Form>(form: &F, case: &Case, common: Common) {
        for i in [0, DRAWS / 2] {
            let own = &case.drawn[i];
            let outcome = &case.together(form, common, own, &[i], false)[0];
            let run = simulate(form, &case.plan(own), case.start, case.cooling.first());
            let sum = |value: fn(&_) -> f64| run.samples.iter().map(value).sum::<f64>();
            let alone = Outcome {
                hot_spot_c: run.hot_spot.value_c,
                top_oil_c: run.top_oil.value_c,
                end: Start { state: run.end, stage: run.end_stage },
                seen: [
                    sum(|sample| sample.hot_spot_c),
                    sum(|sample| sample.top_oil_c + f64::from(u8::try_from(sample.stage).unwrap())),
                    sum(|sample| sample.ambient_c),
                ],
            };
            assert_eq!(digits(outcome), digits(&alone), "draw {i} of {common:?}, {case:?}");
            assert_eq!(outcome.end.stage, run.end_stage);
        }
    }
    every_case(|case, common| {
        check(&Iec { added_rise_k: 1.5 }, case, common);
        check(&Ieee::default(), case, common);
    });
}

#[test]
fn thermostats_that_act_off_their_settings_are_those_settings_shifted() {
    fn check<F: Form>(form: &F, case: &Case, common: Common) -> bool {
        let drawn: Vec<usize> = (0..DRAWS).collect();
        let seen = |sums: &Sums<WIDTH>, lane: usize| sums.0.map(|sum| sum[lane]);
        let watch = |_: &[usize; WIDTH]| Sums::new();
        let lags = Case::lags(form, &case.cooling);
        let steps = Steps::of(&case.plan(&case.cooling), Doubt::NONE);
        let run = |cooling: &Cooling, thermostat_k: &(dyn Fn(usize) -> f64 + Sync)| {
            let ensemble = Ensemble::new(form, &steps, cooling, common);
            let member = |i: usize| Member {
                lags: &lags,
                start: case.start(),
                load_error: 0.0,
                ambient_error: 0.0,
                thermostat_k: thermostat_k(i),
            };
            ensemble.run(drawn.len(), member, watch, seen)
        };
        let off = run(&case.cooling, &|i| case.thermostat_k[i]);
        for i in [0, WIDTH - 1, DRAWS - 1] {
            let mut shifted = case.cooling.clone();
            for set in shifted.stages.iter_mut().filter_map(|stage| stage.switching.as_mut()) {
                set.start_c += case.thermostat_k[i];
                set.stop_c += case.thermostat_k[i];
            }
            assert_eq!(
                digits(&off[i]),
                digits(&run(&shifted, &|_| 0.0)[i]),
                "{common:?}, {case:?}"
            );
        }
        let exact = digits(&run(&case.cooling, &|_| 0.0)[0]);
        off.iter().any(|outcome| digits(outcome) != exact)
    }
    let matters = std::cell::Cell::new(0);
    every_case(|case, common| {
        matters.set(matters.get() + u32::from(check(&Iec::default(), case, common)));
        matters.set(
            matters.get()
                + u32::from(check(&Ieee { added_rise_k: 2.5, ..Ieee::default() }, case, common)),
        );
    });
    // About half of the cases switch by themselves; the others must not be moved by a thermostat.
    assert!((10..=26).contains(&matters.get()), "it mattered in {} of 36", matters.get());
}

#[test]
fn the_hottest_hot_spot_is_the_same_where_a_front_stops_once_it_is_past() {
    /// Who does not ask for the highest top oil has fewer lanes taken through a coarse span alone: those
    /// find their peaks and stage changes to a microminute, at a few K/min.
    const SAME_K: f64 = 1.0e-5;
    fn stops<F: Form>(form: &F, case: &Case, common: Common) -> bool {
        let all: Vec<usize> = (0..DRAWS).collect();
        let (kind, draws) = ((common, &case.cooling), (&all[..], true));
        let whole = case.watched(form, kind, draws, (|_: &_| Unwatched, |_: &Unwatched, _| ()));
        let short = case.watched(form, kind, draws, (|_: &_| OnlyHottest, |_: &OnlyHottest, _| ()));
        for (whole, short) in whole.iter().zip(&short) {
            let off_k = (whole.hot_spot_c - short.hot_spot_c).abs();
            assert!(off_k <= SAME_K, "{off_k:e} K, {common:?}, {case:?}");
        }
        let same = |one: &State, other: &State| {
            (one.top_oil_c - other.top_oil_c).abs() + (one.gradient_1_k - other.gradient_1_k).abs()
                <= SAME_K
        };
        whole.iter().zip(&short).any(|(whole, short)| !same(&whole.end.state, &short.end.state))
    }
    let mut stopped = 0;
    for seed in 0..60 {
        for common in COMMONS {
            let mut case = Case::random(seed, common);
            // Half of the cases end with a load that lets the unit cool down.
            if seed % 2 == 0 {
                let steps = case.load.steps().iter().map(|(minute, pu)| (*minute, 0.3 + pu / 2.0));
                let drops = steps.filter(|(minute, _)| *minute < 200.0).chain([(200.0, 0.3)]);
                case.load = LoadSteps::new(drops.collect()).unwrap();
                case.minutes.push(200.0);
                case.minutes.sort_by(f64::total_cmp);
                case.minutes.dedup();
            }
            stopped += u32::from(stops(&Iec::default(), &case, common));
            stopped +=
                u32::from(stops(&Ieee { added_rise_k: 2.5, ..Ieee::default() }, &case, common));
        }
    }
    assert!(stopped >= 60, "only {stopped} of 360 ensembles stopped early");
}

/// Counts the breakpoints at which a lane is at or above a hot spot, and adds up those before them.
struct Above<const ALL: bool>([[f64; WIDTH]; 2]);

const ABOVE_C: f64 = 90.0;

impl<const ALL: bool> Watch<WIDTH> for Above<ALL> {
    fn wants(&self, hot_spot_c: &Lanes<WIDTH>, _top_oil_c: &Lanes<WIDTH>) -> bool {
        ALL || hot_spot_c.0.iter().any(|hot_spot_c| *hot_spot_c >= ABOVE_C)
    }

    fn see(&mut self, moment: &Moment<'_, WIDTH>) {
        for i in (0..WIDTH).filter(|i| moment.hot_spot_c.0[*i] >= ABOVE_C) {
            self.0[0][i] += moment.minute();
            self.0[1][i] += moment.before.map_or(0.0, |[hot_spot_c, _]| hot_spot_c.0[i]);
        }
    }
}

#[test]
fn who_wants_to_see_only_hot_spans_misses_no_hot_breakpoint() {
    fn seen<const ALL: bool>(case: &Case, common: Common) -> Vec<[u64; 2]> {
        let all: Vec<usize> = (0..DRAWS).collect();
        let above = |_: &[usize; WIDTH]| Above::<ALL>([[0.0; WIDTH]; 2]);
        let sums = |above: &Above<ALL>, lane: usize| above.0.map(|sum| sum[lane].to_bits());
        let kind = (common, &case.cooling);
        let outcomes = case.watched(&Iec::default(), kind, (&all, true), (above, sums));
        outcomes.into_iter().map(|outcome| outcome.seen).collect()
    }
    let hot = std::cell::Cell::new(0);
    every_case(|case, common| {
        let all = seen::<true>(case, common);
        assert_eq!(all, seen::<false>(case, common), "{common:?}, {case:?}");
        hot.set(hot.get() + all.iter().filter(|sums| sums[0] > 0).count());
    });
    // The start is below: every hot breakpoint has one before it.
    assert!(hot.get() > DRAWS, "{} draws became hot", hot.get());
}

#[test]
fn the_digits_do_not_depend_on_the_number_of_threads() {
    let case = Case::random(3, Common::Logarithms);
    let all: Vec<usize> = (0..20 * DRAWS).map(|i| i % DRAWS).collect();
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let run = || case.together(&Iec::default(), Common::Logarithms, &case.cooling, &all, true);
        pool.install(run).iter().map(digits).collect::<Vec<_>>()
    };
    assert_eq!(on(1), on(2));
}

#[test]
fn a_load_of_nothing_is_as_good_among_draws_as_alone() {
    // The logarithm of no load is far from zero, so no short series will do for its power.
    let mut case = Case::random(5, Common::Logarithms);
    case.load = LoadSteps::new(vec![(0.0, 0.0), (120.0, 1.2), (300.0, 0.0)]).unwrap();
    case.minutes.extend([120.0, 300.0]);
    case.minutes.sort_by(f64::total_cmp);
    case.minutes.dedup();
    let all: Vec<usize> = (0..DRAWS).collect();
    let together = case.together(&Iec::default(), Common::Logarithms, &case.cooling, &all, false);
    let alone = case.together(&Iec::default(), Common::Logarithms, &case.cooling, &[9], false);
    assert_eq!(digits(&together[9]), digits(&alone[0]));
}

#[test]
fn a_series_in_pieces_is_a_single_run() {
    /// A piece begins a span of its own, in which the last digits may differ: 600 minutes of
    /// rounding at 100 °C. Stages switch at moments found to a microminute, at a few K/min.
    const SAME_K: f64 = 1.0e-5;
    struct HotSpots(Vec<f64>);
    impl Watch<1> for HotSpots {
        fn see(&mut self, moment: &Moment<'_, 1>) {
            self.0.push(moment.hot_spot_c.0[0]);
        }
    }
    for seed in 0..12 {
        let mut case = Case::random(seed, Common::Factors);
        let form = Iec::default();
        case.minutes = (0..=600_u16).map(f64::from).collect();
        case.cooling.lost_at_min = case.cooling.lost_at_min.map(f64::round);
        let load_pu: Vec<f64> = case.minutes[..600].iter().map(|at| case.load.at(*at)).collect();
        let ambient_c: Vec<f64> = case.minutes.iter().map(|at| case.ambient.at(*at)).collect();
        let pairs = |values: &[f64]| case.minutes.iter().copied().zip(values.to_vec()).collect();
        let load = LoadSteps::new(pairs(&load_pu)).unwrap();
        let ambient = AmbientLine::new(pairs(&ambient_c)).unwrap();
        let cooling = &case.cooling;
        let plan = Plan { cooling, load: &load, ambient: &ambient, breakpoints: &case.minutes };
        let whole = simulate(&form, &plan, case.start, cooling.first());
        let mut series = Series::new(&form, cooling, case.start(), 1.0);
        let mut seen = HotSpots(Vec::new());
        for from in (0..600).step_by(97) {
            let until = (from + 97).min(600);
            seen.0.pop();
            series.advance(&load_pu[from..until], &ambient_c[from..=until], &mut seen);
        }
        assert_eq!(seen.0.len(), whole.samples.len());
        for (one, other) in seen.0.iter().zip(&whole.samples) {
            assert!((one - other.hot_spot_c).abs() <= SAME_K, "{seed}: {one} {other:?}");
        }
        assert!((series.hot_spot.value_c - whole.hot_spot.value_c).abs() <= SAME_K);
        assert!((series.hot_spot.at_min - whole.hot_spot.at_min).abs() <= 1.0e-3);
        assert_eq!(series.now.stage, whole.end_stage);
    }
}
