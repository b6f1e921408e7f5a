//! Draws made ready: what of each does not depend on the load that is tried.

pub(super) mod detailed;
mod paper;
mod past;
mod stages;

use super::inputs::{Inputs, Quantity, Values};
use crate::assessment::case::Case;
use crate::assessment::course::prepared;
use crate::assessment::plant::Plant;
use crate::assessment::possible::{Pasts, WhichStart};
use crate::thermal::cooling::Stage;
use crate::thermal::ensemble::{Common, Doubt, Lags, Member};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::start::Start;
use crate::thermal::{Form, Model};
use crate::uncertainty::batch::in_chunks;
use crate::uncertainty::points::Points;
use past::{Errors, Past};
use std::ops::Range;

/// Draws are prepared in chunks of this many, whatever the number of processors.
const CHUNK: usize = 32;

/// Places of the forms; the last is the IEEE form with the ambient through the oil's lag, which is left out where the ambient is level.
pub(super) const IEC: usize = 0;
pub(super) const IEEE: usize = 1;
pub(super) const LAGGED: usize = 2;

/// Draws made ready.
#[derive(Debug)]
pub(in crate::assessment) struct Drawn {
    chunks: Vec<Chunk>,
    /// Inception temperature, °C; −∞ where the draw lies beyond the range of the correlations on the
    /// side on which bubbling comes sooner.
    pub(super) inception_c: Vec<f64>,
    stages: usize,
    /// Whether they are made ready in the last form too.
    lagged: bool,
    pub(super) common: Common,
}

/// Some of the draws. They stay where they were made: moving them costs as much as making them.
#[derive(Debug, Default)]
struct Chunk {
    forms: [InForm; 3],
    errors: Vec<Off>,
}

/// Some of the draws in one form.
#[derive(Debug, Default)]
struct InForm {
    /// Lags of every stage of every draw, draw by draw.
    lags: Vec<Lags<f64>>,
    starts: Vec<Start>,
}

/// How far off a draw is in what is imposed on it: errors of load and ambient, in standard uncertainties,
/// the thermostats and the models of the hot spot, K.
#[derive(Debug, Clone, Copy)]
struct Off {
    load: f64,
    ambient: f64,
    thermostat_k: f64,
    model_k: f64,
}

impl Off {
    fn of(values: &Values) -> Self {
        Self {
            load: values.of(Quantity::Load),
            ambient: values.of(Quantity::Ambient),
            thermostat_k: values.of(Quantity::Thermostat),
            model_k: values.of(Quantity::HotSpotModel),
        }
    }
}

impl Drawn {
    /// Makes the draws of some points ready.
    pub(super) fn of(
        case: &Case,
        plant: &Plant<'_>,
        (inputs, points): (&Inputs, &Points),
        which: WhichStart,
    ) -> Self {
        let values = |draws: Range<usize>| {
            points.rows(draws).chunks(inputs.columns()).map(|row| inputs.values(row)).collect()
        };
        let count = points.draws();
        Self::made(&Making { case, plant, which, inputs, count, values: &values, known: None })
    }

    /// The same draws from another start: their inception temperatures are known.
    pub(super) fn restarted(
        &self,
        case: &Case,
        plant: &Plant<'_>,
        (inputs, points): (&Inputs, &Points),
        which: WhichStart,
    ) -> Self {
        let values = |draws: Range<usize>| {
            points.rows(draws).chunks(inputs.columns()).map(|row| inputs.values(row)).collect()
        };
        let (count, known) = (points.draws(), Some(&self.inception_c[..]));
        Self::made(&Making { case, plant, which, inputs, count, values: &values, known })
    }

    /// The inception temperature of each of some points alone, °C.
    pub(super) fn inceptions_c(case: &Case, inputs: &Inputs, points: &Points) -> Vec<f64> {
        let of = |row: &[f64]| paper::inception_c(&case.unit, inputs, &inputs.values(row));
        in_chunks(points.draws(), CHUNK, |draws| {
            points.rows(draws).chunks(inputs.columns()).map(of).collect()
        })
    }

    /// The same from the values themselves.
    pub(super) fn from_values(
        case: &Case,
        plant: &Plant<'_>,
        (inputs, values): (&Inputs, &[Values]),
        which: WhichStart,
    ) -> Self {
        let (count, values) = (values.len(), |draws: Range<usize>| values[draws].to_vec());
        Self::made(&Making { case, plant, which, inputs, count, values: &values, known: None })
    }

    fn made(making: &Making<'_>) -> Self {
        let past = Past::of(making);
        let made = making.in_chunks(|draws| making.chunk(&past, draws));
        let mut drawn = Self {
            chunks: Vec::with_capacity(made.len()),
            inception_c: Vec::with_capacity(making.count),
            stages: making.plant.cooling.stages.len(),
            lagged: making.plant.ambient_changes(),
            common: common(making.inputs),
        };
        for (chunk, inception_c) in made {
            drawn.chunks.push(chunk);
            drawn.inception_c.extend(inception_c);
        }
        drawn
    }

    /// Whether the ambient through the oil's lag makes a difference.
    pub(super) fn lagged(&self) -> bool {
        self.lagged
    }

    /// Number of draws.
    pub(super) fn count(&self) -> usize {
        self.inception_c.len()
    }

    /// How far above its hottest model the hot spot of a draw is, K.
    pub(super) fn model_k(&self, draw: usize) -> f64 {
        self.chunks[draw / CHUNK].errors[draw % CHUNK].model_k
    }

    /// One draw in one form, as the kernel takes it.
    pub(super) fn member(&self, form: usize, draw: usize) -> Member<'_> {
        let (chunk, at) = (&self.chunks[draw / CHUNK], draw % CHUNK);
        chunk.forms[form].member(self.stages, at, chunk.errors[at])
    }

    /// The draws of several, one after another.
    pub(super) fn joined(parts: &[Self]) -> Self {
        let all: Vec<(&Self, usize)> =
            parts.iter().flat_map(|part| (0..part.count()).map(move |draw| (part, draw))).collect();
        let of = |draws: &[(&Self, usize)]| {
            let mut chunk = Chunk::default();
            for (part, draw) in draws {
                chunk.push(part, *draw);
            }
            chunk
        };
        Self {
            chunks: all.chunks(CHUNK).map(of).collect(),
            inception_c: all.iter().map(|(part, draw)| part.inception_c[*draw]).collect(),
            stages: parts.first().map_or(0, |part| part.stages),
            lagged: parts.first().is_some_and(|part| part.lagged),
            common: parts.first().map_or(Common::Nothing, |part| part.common),
        }
    }

    /// Only some of the draws.
    pub(super) fn only(&self, draws: &[usize]) -> Self {
        let of = |draws: &[usize]| {
            let mut chunk = Chunk::default();
            for draw in draws {
                chunk.push(self, *draw);
            }
            chunk
        };
        Self {
            chunks: draws.chunks(CHUNK).map(of).collect(),
            inception_c: draws.iter().map(|draw| self.inception_c[*draw]).collect(),
            stages: self.stages,
            lagged: self.lagged,
            common: self.common,
        }
    }
}

impl Chunk {
    fn push(&mut self, from: &Drawn, draw: usize) {
        let (chunk, at) = (&from.chunks[draw / CHUNK], draw % CHUNK);
        self.errors.push(chunk.errors[at]);
        let forms = if from.lagged { LAGGED + 1 } else { LAGGED };
        for (own, form) in self.forms.iter_mut().zip(&chunk.forms).take(forms) {
            own.lags.extend_from_slice(form.lags_of(from.stages, at));
            own.starts.push(form.starts[at]);
        }
    }
}

impl InForm {
    fn with_capacity(draws: usize, stages: usize) -> Self {
        Self { lags: Vec::with_capacity(draws * stages), starts: Vec::with_capacity(draws) }
    }

    fn push<F: Form>(&mut self, form: &F, stages: &[Stage], start: Start) {
        self.lags.extend(stages.iter().map(|stage| form.lags(stage)));
        self.starts.push(start);
    }

    fn lags_of(&self, stages: usize, at: usize) -> &[Lags<f64>] {
        &self.lags[at * stages..(at + 1) * stages]
    }

    fn member(&self, stages: usize, at: usize, off: Off) -> Member<'_> {
        Member {
            lags: self.lags_of(stages, at),
            start: self.starts[at],
            load_error: off.load,
            ambient_error: off.ambient,
            thermostat_k: off.thermostat_k,
        }
    }
}

/// What draws are made from.
#[derive(Clone, Copy)]
struct Making<'a> {
    case: &'a Case,
    plant: &'a Plant<'a>,
    /// The start that they begin in.
    which: WhichStart,
    inputs: &'a Inputs,
    count: usize,
    /// The values of some of the draws.
    values: &'a (dyn Fn(Range<usize>) -> Vec<Values> + Sync),
    /// The inception temperature of each draw, °C, where it is known: it does not depend on the start.
    known: Option<&'a [f64]>,
}

impl Making<'_> {
    /// Makes something of every chunk of draws.
    fn in_chunks<T: Send>(&self, make: impl Fn(Range<usize>) -> T + Sync) -> Vec<T> {
        in_chunks(self.count.div_ceil(CHUNK), 1, |chunks| {
            vec![make(chunks.start * CHUNK..self.count.min(chunks.end * CHUNK))]
        })
    }

    /// Looks at some draws with the stages as they are in each.
    fn each(&self, draws: Range<usize>, mut look: impl FnMut(usize, &Values, &[Stage])) {
        let thermal = self.case.unit.thermal.as_ref();
        let rated = thermal.map_or(0, |thermal| thermal.rated_stage);
        let assumed = thermal.is_some_and(|thermal| thermal.assumed().is_some());
        let plain = &self.plant.cooling.stages;
        let mut stages = plain.clone();
        for (draw, values) in draws.clone().zip((self.values)(draws)) {
            stages::put(&mut stages, plain, rated, &values);
            if let (true, Some(natural), Some(plain)) = (assumed, stages.first_mut(), plain.first())
            {
                stages::put_assumed(natural, plain, &values);
            }
            look(draw, &values, &stages);
        }
    }

    /// Some of the draws, and their inception temperatures.
    fn chunk(&self, past: &Past, draws: Range<usize>) -> (Chunk, Vec<f64>) {
        let (count, stages) = (draws.len(), self.plant.cooling.stages.len());
        let mut chunk = Chunk {
            forms: [(); 3].map(|()| InForm::with_capacity(count, stages)),
            errors: Vec::with_capacity(count),
        };
        let mut inception_c = Vec::with_capacity(count);
        self.each(draws, |draw, values, stages| {
            let errors = Errors::of(self.case, self.inputs, values);
            let pasts = past.pasts((IEC, &Iec::default()), draw, stages, &errors);
            let iec = |added_rise_k| Iec { added_rise_k };
            let (iec, start) = self.begun((&pasts, 0.0), values, iec);
            chunk.forms[IEC].push(&iec, stages, start);
            let [at_once_k, lagged_k] = self.plant.cooler_k;
            let mut push_ieee = |place: usize, plain: Ieee, cooler_k: f64| {
                let pasts = past.pasts((place, &plain), draw, stages, &errors);
                let with_rise = |added_rise_k| Ieee { added_rise_k, ..plain };
                let (ieee, start) = self.begun((&pasts, cooler_k), values, with_rise);
                chunk.forms[place].push(&ieee, stages, start);
            };
            push_ieee(IEEE, Ieee::default(), at_once_k);
            if self.plant.ambient_changes() {
                push_ieee(LAGGED, Ieee::LAGGED, lagged_k);
            }
            chunk.errors.push(Off::of(values));
            inception_c.push(match self.known {
                Some(known) => known[draw],
                None => paper::inception_c(&self.case.unit, self.inputs, values),
            });
        });
        (chunk, inception_c)
    }

    /// One form at minute 0, with the rise that it carries forward; `cooler_k`: the oil that explains a reading may be so much cooler.
    fn begun<M: Model>(
        &self,
        (pasts, cooler_k): (&Pasts, f64),
        values: &Values,
        with_rise: impl Fn(f64) -> M,
    ) -> (M, Start) {
        let measured_c = self.case.request.top_oil_c;
        let measured_c = measured_c.map(|c| c + values.of(Quantity::MeasuredTopOil));
        let with_difference = |k: Option<f64>| with_rise(k.unwrap_or(0.0).max(0.0));
        let found =
            prepared(pasts, self.plant.cooling.control, (measured_c, cooler_k), with_difference);
        (found.form, found.start)
    }
}

/// What the draws have in common: nothing, as soon as loads, ratings or loss ratios differ.
fn common(inputs: &Inputs) -> Common {
    let varies = |quantity| inputs.varies(quantity);
    let alone = [Quantity::Load, Quantity::LossRatio, Quantity::NaturalRating];
    if alone.into_iter().any(varies) {
        Common::Nothing
    } else if varies(Quantity::OilExponent) || varies(Quantity::WindingExponent) {
        Common::Logarithms
    } else {
        Common::Factors
    }
}

/// Standard uncertainties over time as the kernel takes them.
pub(super) fn with_doubt<T>(case: &Case, inputs: &Inputs, use_it: impl Fn(Doubt<'_>) -> T) -> T {
    let load = |minute: f64| case.request.load_error.held_from(minute) / 100.0;
    let ambient_k = |minute: f64| case.request.ambient_error.std_at(minute);
    use_it(Doubt {
        load: inputs.varies(Quantity::Load).then_some(&load),
        ambient_k: inputs.varies(Quantity::Ambient).then_some(&ambient_k),
    })
}
