//! The thermal models, carried on over a piece of a history.

use crate::assessment::together::{Together, together};
use crate::loading::long_history::HistoryRow;
use crate::thermal::cooling::Cooling;
use crate::thermal::detailed::Detailed;
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::{AmbientLine, LoadSteps};
use crate::thermal::start::{Start, settled};
use crate::thermal::trajectory::{Plan, Run};
use crate::thermal::{Form, Model, State};

/// Into how many pieces a step between rows is cut, so that samples are no further apart than asked.
pub(super) fn pieces(step_min: f64, sample_min: f64) -> usize {
    // Clock times are read to a millisecond, 1.7e-5 min.
    let pieces = ((step_min - 1.0e-6) / sample_min).ceil().max(1.0);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most the longest gap, which is no step"
    )]
    let pieces = pieces as usize;
    pieces
}

/// Temperatures at one moment, of the hottest model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Minute.
    pub minute: f64,
    /// Load from this minute on, per unit.
    pub load_pu: f64,
    /// Ambient, °C.
    pub ambient_c: f64,
    /// Hottest top oil, °C.
    pub top_oil_c: f64,
    /// Hottest hot spot, °C.
    pub hot_spot_c: f64,
    /// Margin to bubbling with the moisture that counts, K, if it can be computed.
    pub margin_k: Option<f64>,
}

/// Where a model stands.
#[derive(Debug, Clone, Copy)]
struct Standing<M: Model> {
    form: M,
    at: Option<Start>,
    /// Top oil there, °C; a form that keeps rises would lose it with the ambient of before.
    top_oil_c: f64,
    /// Whether something unknown lies between `at` and the next row.
    stopped: bool,
}

impl<M: Model + Default> Default for Standing<M> {
    fn default() -> Self {
        Self { form: M::default(), at: None, top_oil_c: f64::NEG_INFINITY, stopped: true }
    }
}

impl<M: Model> Standing<M> {
    /// A stretch begins in the hottest state that its first load allows; after a gap with the oil
    /// of before if that is hotter, and with whichever winding is the hotter above its oil. Not part
    /// by part: the gradients of two loads together make a winding that was never so hot.
    fn begin(&mut self, cooling: &Cooling, load_pu: f64, ambient_c: f64) -> Start {
        if let (Some(at), false) = (self.at, self.stopped) {
            return at;
        }
        let form = &self.form;
        let found = settled(form, cooling, load_pu, ambient_c);
        let stage = found.steady.stage;
        let Some(before) = self.at else {
            return Start { state: found.hottest, stage };
        };
        let oil_c = |state: &State| state.top_oil_c;
        let hotter_oil_c = oil_c(&before.state).max(oil_c(&found.hottest)).max(self.top_oil_c);
        let raised = |state: &State| state.shifted(hotter_oil_c - oil_c(state));
        let ends = [raised(&found.hottest), raised(&before.state)];
        let [settled_c, before_c] = ends.map(|state| state.hot_spot_c());
        let state = if before_c > settled_c { ends[1] } else { ends[0] };
        Start { state, stage: before.stage.min(stage) }
    }

    fn carry_on(&mut self, plan: &Plan<'_>, from: Start) -> Run {
        let run = self.form.run(plan, from.state, from.stage);
        self.at = Some(Start { state: run.end, stage: run.end_stage });
        self.top_oil_c = run.samples.last().map_or(self.top_oil_c, |last| last.top_oil_c);
        self.stopped = false;
        run
    }
}

/// The three models, the IEEE form with the ambient at once and through the oil's lag.
#[derive(Debug)]
pub(super) struct Carried {
    iec: Standing<Iec>,
    ieee: Standing<Ieee>,
    lagged: Standing<Ieee>,
    detailed: Standing<Detailed>,
}

impl Default for Carried {
    fn default() -> Self {
        Self {
            iec: Standing::default(),
            ieee: Standing::default(),
            lagged: Standing { form: Ieee::LAGGED, ..Standing::default() },
            detailed: Standing::default(),
        }
    }
}

/// One piece of a history, gone through.
pub(super) struct Chunk {
    pub(super) iec: Run,
    pub(super) ieee: Run,
    pub(super) lagged: Run,
    pub(super) detailed: Run,
    /// Whether the first sample is the last one of the piece before.
    continues: bool,
}

impl Carried {
    /// What comes next is not known: the next piece is a stretch of its own.
    pub(super) fn stop(&mut self) {
        self.iec.stopped = true;
        self.ieee.stopped = true;
        self.lagged.stopped = true;
        self.detailed.stopped = true;
    }

    /// Carries the models on from the first row to the last; `None` without an ambient or a row,
    /// or where nothing is left to go through.
    pub(super) fn on(
        &mut self,
        cooling: &Cooling,
        rows: &[HistoryRow],
        (ambient_c, sample_min): (Option<f64>, f64),
    ) -> Option<Chunk> {
        let continues = !self.iec.stopped;
        if continues && rows.len() < 2 {
            return None;
        }
        let ambient_of = |row: &HistoryRow| Some((row.minute, row.ambient_c.or(ambient_c)?));
        let load = LoadSteps::new(rows.iter().map(|row| (row.minute, row.load_pu)).collect())?;
        let ambient = AmbientLine::new(rows.iter().map(ambient_of).collect::<Option<_>>()?)?;
        let breakpoints = breakpoints(rows, sample_min);
        let plan = Plan { cooling, load: &load, ambient: &ambient, breakpoints: &breakpoints };
        let (load_pu, ambient_c) = (rows[0].load_pu, ambient.at(rows[0].minute));
        let iec = self.iec.begin(cooling, load_pu, ambient_c);
        let ieee = self.ieee.begin(cooling, load_pu, ambient_c);
        let lagged = self.lagged.begin(cooling, load_pu, ambient_c);
        let detailed = self.detailed.begin(cooling, load_pu, ambient_c);
        let (iec, ieee) = (self.iec.carry_on(&plan, iec), self.ieee.carry_on(&plan, ieee));
        let lagged = self.lagged.carry_on(&plan, lagged);
        let detailed = self.detailed.carry_on(&plan, detailed);
        Some(Chunk { iec, ieee, lagged, detailed, continues })
    }
}

fn breakpoints(rows: &[HistoryRow], sample_min: f64) -> Vec<f64> {
    let mut minutes: Vec<f64> = rows.iter().take(1).map(|row| row.minute).collect();
    for pair in rows.windows(2) {
        let step_min = pair[1].minute - pair[0].minute;
        let pieces = pieces(step_min, sample_min);
        #[allow(clippy::cast_precision_loss, reason = "a few hundred pieces")]
        let inside = |piece: usize| pair[0].minute + step_min * piece as f64 / pieces as f64;
        minutes.extend((1..pieces).map(inside));
        minutes.push(pair[1].minute);
    }
    minutes
}

impl Chunk {
    /// Samples of the models at the same minutes.
    pub(super) fn samples(&self) -> impl Iterator<Item = Together<'_>> {
        let all = [&self.iec.samples, &self.ieee.samples, &self.detailed.samples];
        together(all.map(Vec::as_slice), &self.lagged.samples)
    }

    /// What each model makes of the piece, with its name.
    pub(super) fn runs(&self) -> [(&'static str, &Run); 4] {
        [
            (<Iec as Form>::NAME, &self.iec),
            (<Ieee as Form>::NAME, &self.ieee),
            (<Ieee as Form>::NAME, &self.lagged),
            (Detailed::NAME, &self.detailed),
        ]
    }

    /// The first minute, where a stretch begins with this piece.
    pub(super) fn began_min(&self) -> Option<f64> {
        self.iec.samples.first().filter(|_| !self.continues).map(|first| first.minute)
    }

    /// The temperatures that have not been given out with the piece before.
    pub(super) fn moments(&self, inception_c: Option<f64>) -> impl Iterator<Item = Moment> {
        self.samples().skip(usize::from(self.continues)).map(move |models| {
            let hot_spot_c = models.hot_spot_c();
            Moment {
                minute: models.minute(),
                load_pu: models.iec.load_pu,
                ambient_c: models.iec.ambient_c,
                top_oil_c: models.top_oil_c(),
                hot_spot_c,
                margin_k: inception_c.map(|inception_c| inception_c - hot_spot_c),
            }
        })
    }
}
