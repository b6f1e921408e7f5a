//! Draws made ready: what of each does not depend on the load that is tried.

use super::inputs::{Inputs, Quantity, Values};
use crate::assessment::case::{Case, StartFrom};
use crate::assessment::course::prepared;
use crate::assessment::past::{Before, ambient_before, between, settled_at};
use crate::assessment::plant::Plant;
use crate::bubbling::inception::{edge, inception};
use crate::bubbling::{Conditions, pressure};
use crate::loading::history::History;
use crate::quantities::{GasPercent, Metres, MoisturePercent, Pascals};
use crate::thermal::Form;
use crate::thermal::cooling::Stage;
use crate::thermal::ensemble::{Common, Doubt, Ensemble, Lags, Member, OnlyEnd, Steps};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::start::{Settled, Start, history_minutes, settled_in};
use crate::thermal::trajectory::Plan;
use crate::uncertainty::batch::in_chunks;
use crate::uncertainty::points::Points;
use crate::unit::Unit;
use crate::unit::spread::CorrelationChoice;
use std::ops::Range;

/// Draws are prepared in chunks of this many, whatever the number of processors.
const CHUNK: usize = 256;

/// One form of all draws.
#[derive(Debug)]
pub(super) struct Forms {
    /// Lags of every stage of every draw, draw by draw.
    pub(super) lags: Vec<Lags<f64>>,
    pub(super) starts: Vec<Start>,
}

/// Draws made ready.
#[derive(Debug)]
pub(in crate::assessment) struct Drawn {
    pub(super) iec: Forms,
    pub(super) ieee: Forms,
    /// Errors of load and ambient, in standard uncertainties.
    errors: Vec<(f64, f64)>,
    /// Inception temperature, °C; −∞ where the draw lies beyond the range of the correlations on the
    /// side on which bubbling comes sooner.
    pub(super) inception_c: Vec<f64>,
    stages: usize,
    pub(super) common: Common,
}

impl Drawn {
    /// Makes the draws of some points ready.
    pub(super) fn of(case: &Case, plant: &Plant<'_>, inputs: &Inputs, points: &Points) -> Self {
        let values: Vec<Values> = in_chunks(points.draws(), CHUNK, |draws| {
            points.rows(draws).chunks(inputs.columns()).map(|row| inputs.values(row)).collect()
        });
        Self::from_values(case, plant, inputs, &values)
    }

    /// The same from the values themselves.
    pub(super) fn from_values(
        case: &Case,
        plant: &Plant<'_>,
        inputs: &Inputs,
        values: &[Values],
    ) -> Self {
        let errors = values.iter().map(|v| (v.of(Quantity::Load), v.of(Quantity::Ambient)));
        Self {
            common: common(inputs),
            iec: Forms::of(case, plant, inputs, values, |k| Iec { added_rise_k: k }),
            ieee: Forms::of(case, plant, inputs, values, |k| Ieee { added_rise_k: k }),
            errors: errors.collect(),
            inception_c: in_chunks(values.len(), CHUNK, |draws| {
                draws.map(|draw| inception_c(&case.unit, inputs.choice, &values[draw])).collect()
            }),
            stages: plant.cooling.stages.len(),
        }
    }

    /// Number of draws.
    pub(super) fn count(&self) -> usize {
        self.errors.len()
    }

    /// One draw of one form, as the kernel takes it.
    pub(super) fn member<'a>(&self, form: &'a Forms, draw: usize) -> Member<'a> {
        member(form, self.stages, self.errors[draw], draw)
    }

    /// Only some of the draws.
    pub(super) fn only(&self, draws: &[usize]) -> Self {
        let forms = |form: &Forms| Forms {
            lags: draws
                .iter()
                .flat_map(|draw| &form.lags[draw * self.stages..(draw + 1) * self.stages])
                .copied()
                .collect(),
            starts: draws.iter().map(|draw| form.starts[*draw]).collect(),
        };
        Self {
            iec: forms(&self.iec),
            ieee: forms(&self.ieee),
            errors: draws.iter().map(|draw| self.errors[*draw]).collect(),
            inception_c: draws.iter().map(|draw| self.inception_c[*draw]).collect(),
            stages: self.stages,
            common: self.common,
        }
    }
}

fn member(form: &Forms, stages: usize, errors: (f64, f64), draw: usize) -> Member<'_> {
    Member {
        lags: &form.lags[draw * stages..(draw + 1) * stages],
        start: form.starts[draw],
        load_error: errors.0,
        ambient_error: errors.1,
    }
}

/// What the draws have in common: nothing, as soon as loads or loss ratios differ.
fn common(inputs: &Inputs) -> Common {
    let varies = |quantity| inputs.varies(quantity);
    if varies(Quantity::Load) || varies(Quantity::LossRatio) {
        Common::Nothing
    } else if varies(Quantity::OilExponent) || varies(Quantity::WindingExponent) {
        Common::Logarithms
    } else {
        Common::Factors
    }
}

/// Standard uncertainties over time as the kernel takes them.
pub(super) fn with_doubt<T>(case: &Case, inputs: &Inputs, use_it: impl Fn(Doubt<'_>) -> T) -> T {
    let load = |minute: f64| case.request.load_error.std_at(minute) / 100.0;
    let ambient_k = |minute: f64| case.request.ambient_error.std_at(minute);
    use_it(Doubt {
        load: inputs.varies(Quantity::Load).then_some(&load),
        ambient_k: inputs.varies(Quantity::Ambient).then_some(&ambient_k),
    })
}

impl Forms {
    fn of<F: Form + Default>(
        case: &Case,
        plant: &Plant<'_>,
        inputs: &Inputs,
        values: &[Values],
        with_rise: impl Fn(f64) -> F + Sync,
    ) -> Self {
        let pasts = pasts::<F>(case, plant, inputs, values);
        let measured = |values: &Values| {
            case.request.top_oil_c.map(|c| c + values.of(Quantity::MeasuredTopOil))
        };
        let control = plant.cooling.control;
        Self::gathered(case, plant, values, |draw, stages, lags| {
            let with_difference = |k: Option<f64>| with_rise(k.unwrap_or(0.0).max(0.0));
            let prepared =
                prepared(&pasts[draw], control, measured(&values[draw]), with_difference);
            lags.extend(stages.iter().map(|stage| prepared.form.lags(stage)));
            prepared.start
        })
    }

    /// Gathers the lags that `look` adds for each draw and the starts that it answers.
    fn gathered(
        case: &Case,
        plant: &Plant<'_>,
        values: &[Values],
        look: impl Fn(usize, &[Stage], &mut Vec<Lags<f64>>) -> Start + Sync,
    ) -> Self {
        let mut all = Self { lags: Vec::new(), starts: Vec::with_capacity(values.len()) };
        let chunks = values.len().div_ceil(CHUNK);
        for chunk in in_chunks(chunks, 1, |chunks| {
            let draws = chunks.start * CHUNK..values.len().min(chunks.end * CHUNK);
            let mut own = Self { lags: Vec::new(), starts: Vec::with_capacity(draws.len()) };
            in_stages(case, plant, values, draws, |draw, stages| {
                let start = look(draw, stages, &mut own.lags);
                own.starts.push(start);
            });
            vec![own]
        }) {
            all.lags.extend(chunk.lags);
            all.starts.extend(chunk.starts);
        }
        all
    }
}

/// The states that each draw may be in at minute 0.
fn pasts<F: Form + Default>(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    values: &[Values],
) -> Vec<Settled> {
    let request = &case.request;
    match &request.start {
        StartFrom::Preload(load_pu) => {
            let (before, ambient_c) = (Before::of(&plant.cooling), request.ambient.at(0.0));
            in_chunks(values.len(), CHUNK, |draws| {
                let mut found = Vec::with_capacity(draws.len());
                in_stages(case, plant, values, draws, |draw, stages| {
                    let errors = Errors::of(case, inputs, &values[draw]);
                    let (load_pu, ambient_c) =
                        (errors.load_pu(*load_pu), ambient_c + errors.ambient_k);
                    found.push(settled_at(&F::default(), stages, before, load_pu, ambient_c));
                });
                found
            })
        }
        StartFrom::History(history) => {
            let ends = |hottest| history_ends::<F>(case, plant, inputs, values, history, hottest);
            let (hot, cool) = (ends(true), ends(false));
            hot.into_iter().zip(cool).map(|(hot, cool)| between(hot, cool)).collect()
        }
    }
}

/// Errors of what was measured at and before minute 0.
struct Errors {
    load_share: f64,
    ambient_k: f64,
}

impl Errors {
    fn of(case: &Case, inputs: &Inputs, values: &Values) -> Self {
        let std = |quantity, std: f64| if inputs.varies(quantity) { std } else { 0.0 };
        let request = &case.request;
        let load = std(Quantity::Load, request.load_error.std_at(0.0) / 100.0);
        let ambient_k = std(Quantity::Ambient, request.ambient_error.std_at(0.0));
        Self {
            load_share: values.of(Quantity::Load) * load,
            ambient_k: values.of(Quantity::Ambient) * ambient_k,
        }
    }

    fn load_pu(&self, load_pu: f64) -> f64 {
        (load_pu * (1.0 + self.load_share)).max(0.0)
    }
}

/// Each draw at the end of the history, from the hottest or the coolest beginning.
fn history_ends<F: Form + Default>(
    case: &Case,
    plant: &Plant<'_>,
    inputs: &Inputs,
    values: &[Values],
    history: &History,
    hottest: bool,
) -> Vec<Start> {
    let ambient = ambient_before(case, history);
    let loads = history.load.steps().iter().map(|step| step.1);
    let begins_pu =
        if hottest { loads.fold(0.0, f64::max) } else { loads.fold(f64::MAX, f64::min) };
    let begins_c = ambient.at(history.load.steps()[0].0);
    let before = Before::of(&plant.cooling);
    let form = Forms::gathered(case, plant, values, |draw, stages, lags| {
        let errors = Errors::of(case, inputs, &values[draw]);
        let (stages, control) = (before.stages(stages), before.control(hottest));
        let (load_pu, ambient_c) = (errors.load_pu(begins_pu), begins_c + errors.ambient_k);
        let found = settled_in(&F::default(), stages, control, load_pu, ambient_c);
        lags.extend(stages.iter().map(|stage| F::default().lags(stage)));
        let state = if hottest { found.hottest } else { found.coolest };
        Start { state, stage: found.steady.stage }
    });
    let cooling = before.cooling(&plant.cooling, hottest);
    let minutes = history_minutes(&history.load, &ambient);
    let plan =
        Plan { cooling: &cooling, load: &history.load, ambient: &ambient, breakpoints: &minutes };
    let steps = with_doubt(case, inputs, |doubt| Steps::of(&plan, doubt));
    let ensemble = Ensemble::new(&F::default(), &steps, &cooling, common(inputs));
    let stages = cooling.stages.len();
    let errors =
        |draw: usize| (values[draw].of(Quantity::Load), values[draw].of(Quantity::Ambient));
    let outcomes = ensemble.run(
        values.len(),
        |draw| member(&form, stages, errors(draw), draw),
        |_| OnlyEnd,
        |_, _| (),
    );
    let moved = |end: Start| {
        let (from_c, to_c) = (ambient.at(0.0), case.request.ambient.at(0.0));
        Start { state: F::default().moved(&end.state, from_c, to_c), ..end }
    };
    outcomes.into_iter().map(|outcome| moved(outcome.end)).collect()
}

/// Looks at some draws with the stages as they are in each.
fn in_stages(
    case: &Case,
    plant: &Plant<'_>,
    values: &[Values],
    draws: Range<usize>,
    mut look: impl FnMut(usize, &[Stage]),
) {
    let rated = case.unit.thermal.as_ref().map_or(0, |thermal| thermal.rated_stage);
    let plain = &plant.cooling.stages;
    let mut stages = plain.clone();
    for draw in draws {
        put(&mut stages, plain, rated, &values[draw]);
        look(draw, &stages);
    }
}

/// Puts the values of a draw into the stages. Values are those of the rated stage; the others depart
/// from their own by as much, in proportion or for exponents and k21 by the difference.
fn put(stages: &mut [Stage], plain: &[Stage], rated: usize, values: &Values) {
    let of = &plain[rated.min(plain.len() - 1)];
    let share = |quantity, value: f64| values.of(quantity) / value;
    let rise = share(Quantity::TopOilRise, of.nameplate.top_oil_rise_k);
    let gradient = share(Quantity::HotSpotGradient, of.nameplate.hot_spot_gradient_k);
    let losses = share(Quantity::LossRatio, of.nameplate.loss_ratio);
    let oil_tau = share(Quantity::OilTimeConstant, of.iec.oil_time_constant_min);
    let winding_tau = share(Quantity::WindingTimeConstant, of.iec.winding_time_constant_min);
    let oil_exponent = values.of(Quantity::OilExponent) - of.iec.x;
    let winding_exponent = values.of(Quantity::WindingExponent) - of.iec.y;
    let k21 = values.of(Quantity::K21) - of.iec.k21;
    for (stage, plain) in stages.iter_mut().zip(plain) {
        stage.nameplate.top_oil_rise_k = plain.nameplate.top_oil_rise_k * rise;
        stage.nameplate.hot_spot_gradient_k = plain.nameplate.hot_spot_gradient_k * gradient;
        stage.nameplate.loss_ratio = plain.nameplate.loss_ratio * losses;
        stage.iec.x = plain.iec.x + oil_exponent;
        stage.ieee.n = plain.ieee.n + oil_exponent;
        stage.iec.y = plain.iec.y + winding_exponent;
        stage.ieee.m = plain.ieee.m + winding_exponent / 2.0;
        // An exponential without overshoot has none to be in doubt about.
        if plain.iec.k21 > 1.0 {
            stage.iec.k21 = (plain.iec.k21 + k21).max(1.0);
        }
        stage.iec.oil_time_constant_min = plain.iec.oil_time_constant_min * oil_tau;
        stage.ieee.oil_time_constant_min = plain.ieee.oil_time_constant_min * oil_tau;
        stage.iec.winding_time_constant_min = plain.iec.winding_time_constant_min * winding_tau;
        stage.ieee.winding_time_constant_min = plain.ieee.winding_time_constant_min * winding_tau;
    }
}

/// The inception temperature of one draw, °C; −∞ beyond the range of the correlations on the side on
/// which bubbling comes sooner, and the floor at its edge where the paper is drier.
fn inception_c(unit: &Unit, choice: CorrelationChoice, values: &Values) -> f64 {
    let Some(conditions) = conditions(unit, values) else {
        return f64::NEG_INFINITY;
    };
    let reading = match inception(&conditions) {
        Ok(found) => match choice {
            CorrelationChoice::Lower => found.working(),
            CorrelationChoice::Either if values.of(Quantity::WhichCorrelation) < 0.5 => {
                found.oommen_lindgren
            }
            CorrelationChoice::Either => found.fessler,
        },
        Err(_beyond) => match edge(&conditions).floor {
            Some(floor) => floor,
            None => return f64::NEG_INFINITY,
        },
    };
    reading.value() + values.of(Quantity::Correlation)
}

fn conditions(unit: &Unit, values: &Values) -> Option<Conditions> {
    // Paper holds no more than new paper.
    let holding = values.of(Quantity::HoldingFactor).min(1.0);
    let water = (values.of(Quantity::Moisture) / holding).min(100.0);
    let head = Metres::new(values.of(Quantity::Head).max(0.0)).ok()?;
    let around = &unit.surroundings;
    let still = pressure::at_hot_spot(around.altitude?, head, around.blanket_pa).ok()?;
    Some(Conditions {
        water: MoisturePercent::new(water).ok()?,
        pressure: Pascals::new(still.value() + 1000.0 * values.of(Quantity::Weather)).ok()?,
        gas: GasPercent::new(values.of(Quantity::Gas).max(0.0)).ok()?,
    })
}
