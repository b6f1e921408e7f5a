//! The detailed model as one of the models of the envelope.

use super::super::cooling::Stage;
use super::super::trajectory::{Plan, Run};
use super::super::{Model, State};
use super::balance::Heat;
use super::course::through;
use super::plate::Rated;

/// Rounds to a state of which a reading is known, and how close, K: the gradient changes by a few tenths of what the oil does.
const ROUNDS: usize = 12;
const CLOSE_K: f64 = 1.0e-6;

/// The detailed model. Its state is kept as those of the lag forms are: top oil, how far the average winding is above
/// it (first gradient), and how far the hot spot is below the average winding (second gradient, negative as a rule).
#[derive(Debug, Clone, Copy, Default)]
pub struct Detailed {
    /// Measured minus computed top oil, K, never negative: the coolers feel an ambient that is so much hotter.
    pub added_rise_k: f64,
}

impl Model for Detailed {
    const NAME: &'static str = "ieee-c57.91-detailed";

    fn steady_state(&self, stage: &Stage, load_pu: f64, ambient_c: f64) -> State {
        let (rated, ambient_c) = (Rated::of_stage(stage), ambient_c + self.added_rise_k);
        state(&rated, &rated.steady_at(load_pu, ambient_c), ambient_c)
    }

    fn cooled(
        &self,
        stage: &Stage,
        (load_pu, ambient_c): (f64, f64),
        (state, by_k): (&State, f64),
        reading_c: impl Fn(&State) -> f64,
    ) -> State {
        let (rated, ambient_c) = (Rated::of_stage(stage), ambient_c + self.added_rise_k);
        let wanted_c = reading_c(state) - by_k;
        let mut cooler = state.shifted(-by_k);
        for _ in 0..ROUNDS {
            let heat = rated.above(cooler.top_oil_c, load_pu, ambient_c);
            cooler = self::state(&rated, &heat, ambient_c);
            let off_k = reading_c(&cooler) - wanted_c;
            cooler = cooler.shifted(-off_k);
            // Written so that a NaN ends it.
            if !(off_k.abs() > CLOSE_K) {
                break;
            }
        }
        cooler
    }

    /// The oil's heat does not change with the ambient at once.
    fn with_ambient(&self, state: &State, _from_c: f64, _to_c: f64) -> State {
        *state
    }

    fn run(&self, plan: &Plan<'_>, start: State, stage: usize) -> Run {
        let stages: Vec<Rated> = plan.cooling.stages.iter().map(Rated::of_stage).collect();
        let ambient_c = |minute: Option<&f64>| {
            plan.ambient.at(minute.copied().unwrap_or(0.0)) + self.added_rise_k
        };
        let from = heat(&stages[stage], &start, ambient_c(plan.breakpoints.first()));
        let course = through(&stages, plan, (from, stage), self.added_rise_k, 1.0);
        let end_c = ambient_c(plan.breakpoints.last());
        Run {
            samples: course.samples,
            hot_spot: course.hot_spot,
            top_oil: course.top_oil,
            end: state(&stages[course.end_stage], &course.end, end_c),
            end_stage: course.end_stage,
            stages_used: course.stages_used,
        }
    }
}

fn state(rated: &Rated, heat: &Heat, ambient_c: f64) -> State {
    let top_oil_c = rated.top_oil_c(heat, ambient_c);
    State {
        top_oil_c,
        gradient_1_k: heat.winding_c - top_oil_c,
        gradient_2_k: heat.winding_c - heat.hot_spot_c,
    }
}

fn heat(rated: &Rated, state: &State, ambient_c: f64) -> Heat {
    Heat {
        winding_c: state.top_oil_c + state.gradient_1_k,
        hot_spot_c: state.hot_spot_c(),
        oil_c: rated.oil_under(state.top_oil_c, ambient_c),
    }
}
