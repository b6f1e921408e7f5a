//! A long series of evenly spaced samples, gone through piece by piece in memory that is used again.
//!
//! The same kernel as [`super::trajectory::simulate`]; only what is imposed comes from plain slices.

use super::cooling::Cooling;
use super::front::{Begin, Front};
use super::hoisted::{Common, Hoisted};
use super::lags::Lags;
use super::prepared::{Imposed, Prepared};
use super::start::Start;
use super::steps::Steps;
use super::trajectory::Peak;
use super::watch::Watch;
use super::{Form, State};

/// One form on its way through a series.
#[derive(Debug)]
pub struct Series<'a> {
    cooling: &'a Cooling,
    lags: Vec<Lags<f64>>,
    step_min: f64,
    steps: Steps,
    prepared: Prepared,
    /// Where it stands.
    pub now: Start,
    /// Minute at which it stands.
    pub minute: f64,
    /// Highest hot spot so far.
    pub hot_spot: Peak,
    /// Highest top oil so far.
    pub top_oil: Peak,
}

impl<'a> Series<'a> {
    /// Begins at minute 0; a sample every `step_min`.
    pub fn new<F: Form>(form: &F, cooling: &'a Cooling, start: Start, step_min: f64) -> Self {
        let lags: Vec<Lags<f64>> = cooling.stages.iter().map(|stage| form.lags(stage)).collect();
        let hoisted = lags.iter().map(|lags| Hoisted::of(Common::Factors, *lags)).collect();
        let steps = Steps::default();
        Self {
            prepared: Prepared::new(&steps, cooling, hoisted),
            steps,
            cooling,
            lags,
            step_min,
            now: start,
            minute: 0.0,
            hot_spot: Peak { value_c: start.state.hot_spot_c(), at_min: 0.0 },
            top_oil: Peak { value_c: start.state.top_oil_c, at_min: 0.0 },
        }
    }

    /// Goes on over one piece: a load for each step, per unit, and the ambient at its start, °C, with
    /// one more at the end of the last step. Between samples the ambient is a straight line.
    ///
    /// `watch` sees the first sample too, which is the last one of the piece before. Some thousands of
    /// samples are a good piece. A time constant that follows the load is set anew in every piece.
    /// Without steps, or with another number of ambients than of loads and one, nothing happens.
    pub fn advance<W: Watch<1>>(&mut self, load_pu: &[f64], ambient_c: &[f64], watch: &mut W) {
        if load_pu.is_empty() || ambient_c.len() != load_pu.len() + 1 {
            return;
        }
        self.steps.fill((self.minute, self.step_min), load_pu, ambient_c);
        self.prepared.renew(&self.steps, self.cooling);
        let begin = Begin {
            stages: self.lags.iter().map(|lags| Lags::of(&[*lags])).collect(),
            state: State::of(&[self.now.state]),
            stage: [self.now.stage],
            load_error: super::Lanes([0.0]),
            ambient_error: super::Lanes([0.0]),
            thermostat_k: super::Lanes([0.0]),
        };
        let (steps, prepared) = (&self.steps, &self.prepared);
        let mut front = Front::new(Imposed { steps, cooling: self.cooling, prepared }, begin);
        front.run_alone(watch);
        let (hot_spot, top_oil) = (front.hot_spot.lane(0), front.top_oil.lane(0));
        self.now = Start { state: front.state.lane(0).only(), stage: front.stage[0] };
        if hot_spot.value_c > self.hot_spot.value_c {
            self.hot_spot = hot_spot;
        }
        if top_oil.value_c > self.top_oil.value_c {
            self.top_oil = top_oil;
        }
        self.minute = self.steps.minutes[load_pu.len()];
    }
}
