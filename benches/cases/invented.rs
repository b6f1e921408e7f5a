//! An invented transformer, its loads and its draws, for benches: formulas, so that every run and every
//! peer computes the same.

use bubblemargin::thermal::cooling::{Control, Cooling, Stage};
use bubblemargin::thermal::detailed::{
    self, Conductor, Detail, Figures, Flow, HeatCapacity, Losses, Rated,
};
use bubblemargin::thermal::ensemble::{
    Common, Doubt, Ensemble, Lags, Member, Moment, Outcome, Steps, Watch,
};
use bubblemargin::thermal::iec::{Iec, IecConstants};
use bubblemargin::thermal::ieee::{Ieee, IeeeConstants};
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps};
use bubblemargin::thermal::series::Series;
use bubblemargin::thermal::start::Start;
use bubblemargin::thermal::trajectory::Plan;
use bubblemargin::thermal::{Form, Nameplate, State};

/// What a draw changes: rises, K, time constants, min, and exponents.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Draw {
    pub(crate) top_oil_rise_k: f64,
    pub(crate) gradient_k: f64,
    pub(crate) oil_min: f64,
    pub(crate) winding_min: f64,
    pub(crate) x: f64,
    pub(crate) y: f64,
}

/// The unit without any draw.
pub(crate) const NOMINAL: Draw = Draw {
    top_oil_rise_k: 52.0,
    gradient_k: 26.0,
    oil_min: 150.0,
    winding_min: 7.0,
    x: 0.8,
    y: 1.3,
};

/// One fixed stage.
pub(crate) fn stage(draw: &Draw) -> Stage {
    Stage {
        name: "ONAF".to_owned(),
        rating_pu: 1.0,
        gradient_typical: false,
        nameplate: Nameplate {
            top_oil_rise_k: draw.top_oil_rise_k,
            hot_spot_gradient_k: draw.gradient_k,
            loss_ratio: 6.0,
        },
        iec: IecConstants {
            x: draw.x,
            y: draw.y,
            k11: 0.5,
            k21: 2.0,
            k22: 2.0,
            oil_time_constant_min: draw.oil_min,
            winding_time_constant_min: draw.winding_min,
        },
        ieee: IeeeConstants {
            n: 0.9,
            below_rating: 1.0,
            m: 0.8,
            oil_time_constant_min: 75.0,
            winding_time_constant_min: draw.winding_min,
            correct_time_constant: false,
        },
        detailed: Figures::typical(Flow::ONAF),
        switching: None,
    }
}

/// The cooling of the unit without any draw.
pub(crate) fn cooling() -> Cooling {
    Cooling { stages: vec![stage(&NOMINAL)], control: Control::Fixed(0), lost_at_min: None }
}

/// Where everything begins: top oil 50 °C, gradients 20 and 10 K.
pub(crate) const START: Start =
    Start { state: State { top_oil_c: 50.0, gradient_1_k: 20.0, gradient_2_k: 10.0 }, stage: 0 };

/// Steps of a minute under given loads, at a level ambient.
pub(crate) fn steps(load_pu: &[f64], doubt: Doubt<'_>) -> Option<Steps> {
    let minutes: Vec<f64> = (0_u32..).take(load_pu.len() + 1).map(f64::from).collect();
    let load = LoadSteps::new(minutes.iter().copied().zip(load_pu.iter().copied()).collect())?;
    let ambient = AmbientLine::constant(20.0);
    let cooling = cooling();
    let plan = Plan { cooling: &cooling, load: &load, ambient: &ambient, breakpoints: &minutes };
    Some(Steps::of(&plan, doubt))
}

/// The hottest hot spots of all draws; `load_error`: each has an error of the load of its own, by its number.
pub(crate) fn peaks(
    steps: &Steps,
    lags: &[Lags<f64>],
    common: Common,
    load_error: fn(usize) -> f64,
) -> Vec<Outcome<()>> {
    let cooling = cooling();
    let member = |i: usize| Member {
        lags: &lags[i..=i],
        start: START,
        load_error: load_error(i),
        ambient_error: 0.0,
        thermostat_k: 0.0,
    };
    let ensemble = Ensemble::new(&Iec::default(), steps, &cooling, common);
    ensemble.run(lags.len(), member, |_| HighestHotSpot, |_, _| ())
}

/// Asks for the highest hot spot, as the peer does, but of all steps: a front that stops where nothing
/// hotter can come would do less than the peer.
struct HighestHotSpot;

impl<const N: usize> Watch<N> for HighestHotSpot {
    const WATCHES: bool = false;
    const TOP_OIL: bool = false;
    fn see(&mut self, _moment: &Moment<'_, N>) {}
}

/// The lags of draws.
pub(crate) fn lags(draws: &[Draw]) -> Vec<Lags<f64>> {
    draws.iter().map(|draw| Iec::default().lags(&stage(draw))).collect()
}

/// Samples in a piece of a series: their factors and hot spots stay in the second level of memory.
const PIECE: usize = 4096;

/// Goes through a series of one-minute samples; `each` is handed the hot spots of every piece, from its
/// first breakpoint to its last. Answers the highest, °C.
pub(crate) fn through(load_pu: &[f64], ambient_c: &[f64], mut each: impl FnMut(&[f64])) -> f64 {
    let cooling = cooling();
    let mut series = Series::new(&Iec::default(), &cooling, START, 1.0);
    let mut hot_spots_c = vec![0.0; PIECE + 1];
    for from in (0..load_pu.len()).step_by(PIECE) {
        let until = (from + PIECE).min(load_pu.len());
        let seen = &mut hot_spots_c[..=until - from];
        series.advance(&load_pu[from..until], &ambient_c[from..=until], &mut HotSpots(seen));
        each(seen);
    }
    series.hot_spot.value_c
}

/// What the detailed model knows of the unit.
pub(crate) fn detailed() -> Rated {
    let detail = Detail {
        rated_ambient_c: 20.0,
        guaranteed_winding_rise_k: 65.0,
        winding_rise_k: 57.0,
        bottom_oil_rise_k: 30.0,
        losses: Losses { at_c: 75.0, winding: 180.0, winding_eddy: 12.0, stray: 20.0, core: 34.0 },
        conductor: Conductor::Copper,
        hot_spot_eddy_pu: 0.0,
        hot_spot_height_pu: 1.0,
        winding_time_constant_min: NOMINAL.winding_min,
        heat_capacity: HeatCapacity::TimeConstant { oil_min: 150.0 },
        flow: Flow::ONAF,
    };
    Rated::of(&stage(&NOMINAL).nameplate, &detail, 1.0)
}

/// Goes through a series of one-minute samples with all three models, piece by piece; answers the highest hot spot of each,
/// °C.
pub(crate) fn three_models(load_pu: &[f64], ambient_c: &[f64]) -> [f64; 3] {
    let (cooling, stages) = (cooling(), [detailed()]);
    let begin = (stages[0].steady_at(load_pu[0], ambient_c[0]), 0);
    let mut iec = Series::new(&Iec::default(), &cooling, START, 1.0);
    let mut ieee = Series::new(&Ieee::default(), &cooling, IEEE_START, 1.0);
    let mut detailed = detailed::Series::new(&stages, &cooling, begin, 1.0);
    for from in (0..load_pu.len()).step_by(PIECE) {
        let until = (from + PIECE).min(load_pu.len());
        let (load_pu, ambient_c) = (&load_pu[from..until], &ambient_c[from..=until]);
        iec.advance(load_pu, ambient_c, &mut OnlyHighest);
        ieee.advance(load_pu, ambient_c, &mut OnlyHighest);
        detailed.advance(load_pu, ambient_c, |_| ());
    }
    [iec.hot_spot.value_c, ieee.hot_spot.value_c, detailed.hot_spot.value_c]
}

/// The same start in the form that has one gradient.
const IEEE_START: Start =
    Start { state: State { top_oil_c: 50.0, gradient_1_k: 10.0, gradient_2_k: 0.0 }, stage: 0 };

/// Asks for the highest hot spot.
struct OnlyHighest;

impl Watch<1> for OnlyHighest {
    const TOP_OIL: bool = false;

    fn see(&mut self, _moment: &Moment<'_, 1>) {}
}

/// Keeps the hot spot at each breakpoint, °C.
struct HotSpots<'a>(&'a mut [f64]);

impl Watch<1> for HotSpots<'_> {
    const TOP_OIL: bool = false;

    fn see(&mut self, moment: &Moment<'_, 1>) {
        self.0[moment.index] = moment.hot_spot_c.0[0];
    }
}
