//! An invented transformer, its loads and its draws, for benches: formulas, so that every run and every
//! peer computes the same.

use bubblemargin::thermal::cooling::{Control, Cooling, Stage};
use bubblemargin::thermal::ensemble::{
    Common, Doubt, Ensemble, Lags, Member, Moment, Outcome, Steps, Watch,
};
use bubblemargin::thermal::iec::{Iec, IecConstants};
use bubblemargin::thermal::ieee::IeeeConstants;
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
            m: 0.8,
            oil_time_constant_min: 75.0,
            winding_time_constant_min: draw.winding_min,
            correct_time_constant: false,
        },
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

/// Keeps the hot spot at each breakpoint, °C.
struct HotSpots<'a>(&'a mut [f64]);

impl Watch<1> for HotSpots<'_> {
    const TOP_OIL: bool = false;

    fn see(&mut self, moment: &Moment<'_, 1>) {
        self.0[moment.index] = moment.hot_spot_c.0[0];
    }
}
