//! The three models over the same load, and the hottest of them.

use super::case::{Case, Resolution};
use super::hottest_start::Looked;
use super::past::{Shared, pasts};
use super::possible::{Pasts, WhichStart};
use super::together::{Together, together};
use super::{AmbientFelt, ByModel, CountedFrom};
use crate::thermal::cooling::{Control, Cooling};
use crate::thermal::detailed::Detailed;
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use crate::thermal::start::Start;
use crate::thermal::trajectory::{Peak, Plan, Run};
use crate::thermal::{Form, Model};
use crate::unit::Thermal;

/// One model with its starting state.
#[derive(Debug, Clone, Copy)]
pub struct Prepared<M: Model> {
    /// The model, with the added rise it carries forward.
    pub form: M,
    /// State and stage at minute 0.
    pub start: Start,
    /// Top oil at minute 0 as computed, °C.
    pub computed_top_oil_c: f64,
    /// Measured minus computed, K, if measured.
    pub difference_k: Option<f64>,
}

/// The models ready to run.
#[derive(Debug, Clone, Copy)]
pub struct Starts {
    /// The IEC form.
    pub iec: Prepared<Iec>,
    /// The IEEE form.
    pub ieee: Prepared<Ieee>,
    /// The same with the ambient through the oil's lag; `None` where the ambient does not change.
    pub lagged: Option<Prepared<Ieee>>,
    /// The detailed model.
    pub detailed: Prepared<Detailed>,
}

/// What all starts have in common, model by model.
#[derive(Debug, Clone, Copy)]
pub(super) struct SharedByAll {
    pub(super) iec: Shared,
    pub(super) ieee: Shared,
    /// `None` where the ambient does not change.
    pub(super) lagged: Option<Shared>,
    pub(super) detailed: Shared,
}

impl Starts {
    /// Finds the state at minute 0 for each model, for one of the starts that the knowledge allows.
    pub(super) fn of(
        case: &Case,
        cooling: &Cooling,
        shared: &SharedByAll,
        which: WhichStart,
    ) -> Self {
        let added = |difference: Option<f64>| difference.unwrap_or(0.0).max(0.0);
        let ieee = |plain: Ieee, shared: &Shared| {
            prepare(case, cooling, (&plain, shared, which), |difference| Ieee {
                added_rise_k: added(difference),
                ..plain
            })
        };
        Self {
            iec: prepare(case, cooling, (&Iec::default(), &shared.iec, which), |difference| Iec {
                added_rise_k: added(difference),
            }),
            ieee: ieee(Ieee::default(), &shared.ieee),
            lagged: shared.lagged.as_ref().map(|shared| ieee(Ieee::LAGGED, shared)),
            detailed: prepare(
                case,
                cooling,
                (&Detailed::default(), &shared.detailed, which),
                |difference| Detailed { added_rise_k: added(difference) },
            ),
        }
    }

    /// Where each model starts.
    pub(super) fn each(&self) -> impl Iterator<Item = Start> {
        let all = [self.iec.start, self.ieee.start, self.detailed.start];
        all.into_iter().chain(self.lagged.map(|lagged| lagged.start))
    }

    /// The added rise that each model carries forward, K; of the IEEE form the greater.
    pub(super) fn added_rises_k(&self) -> [f64; 3] {
        let (iec, ieee) = (self.iec.form.added_rise_k, self.ieee.form.added_rise_k);
        let lagged = self.lagged.map_or(0.0, |lagged| lagged.form.added_rise_k);
        [iec, ieee.max(lagged), self.detailed.form.added_rise_k]
    }

    /// Top oil at minute 0 of the model that computes the coolest, °C.
    pub(super) fn coolest_computed_c(&self) -> f64 {
        let (iec, ieee) = (self.iec.computed_top_oil_c, self.ieee.computed_top_oil_c);
        let all = [iec, ieee, self.detailed.computed_top_oil_c].into_iter();
        let lagged = self.lagged.map(|lagged| lagged.computed_top_oil_c);
        all.chain(lagged).fold(f64::MAX, f64::min)
    }

    /// Measured less computed top oil of the model that computes the coolest, K, if it is measured.
    pub(super) fn greatest_difference_k(&self) -> Option<f64> {
        let (iec, ieee) = (self.iec.difference_k?, self.ieee.difference_k?);
        let all = [iec, ieee, self.detailed.difference_k?].into_iter();
        let lagged = self.lagged.and_then(|lagged| lagged.difference_k);
        Some(all.chain(lagged).fold(f64::MIN, f64::max))
    }
}

impl<M: Model> Prepared<M> {
    /// Runs the model from its start.
    pub(super) fn run(&self, plan: &Plan<'_>) -> Run {
        self.form.run(plan, self.start.state, self.start.stage)
    }
}

/// A unit that is hotter than its model has a cooling fault or a wrong profile: the difference
/// is carried forward as an added rise. A cooler one earns no credit. The hottest gradients that
/// the past allows are taken, and without a measured top oil the hottest oil too; a measured one
/// is held against the hottest that the controls of the stages explain in the coolest past, so that no doubt about
/// the past can explain an excess away, and a cooling that cycles is no excess.
fn prepare<M: Model>(
    case: &Case,
    cooling: &Cooling,
    (plain, shared, which): (&M, &Shared, WhichStart),
    with_difference: impl Fn(Option<f64>) -> M,
) -> Prepared<M> {
    let pasts = pasts(case, cooling, (plain, shared), which);
    prepared(&pasts, cooling.control, (case.request.top_oil_c, shared.cooler_k), with_difference)
}

/// The same from the states that the past allows; `cooler_k`: the oil that explains a reading may be so much cooler.
pub(super) fn prepared<M: Model>(
    pasts: &Pasts,
    control: Control,
    (measured_c, cooler_k): (Option<f64>, f64),
    with_difference: impl Fn(Option<f64>) -> M,
) -> Prepared<M> {
    let state = pasts.state(measured_c);
    let computed_c = measured_c.map_or(state.top_oil_c, |c| pasts.nearest_c((c, cooler_k)));
    let difference_k = measured_c.map(|measured_c| measured_c - computed_c);
    let stage = match control {
        Control::Fixed(stage) => stage,
        Control::Automatic => pasts.own.steady.stage,
    };
    Prepared {
        start: Start { state, stage },
        form: with_difference(difference_k),
        computed_top_oil_c: computed_c,
        difference_k,
    }
}

/// The models over one load.
#[derive(Debug, Clone)]
pub struct Course {
    /// The IEC form.
    pub iec: Run,
    /// The IEEE form, with that ambient by which it gets hotter; its samples are at the same minutes.
    pub ieee: Run,
    /// The detailed model; its samples too.
    pub detailed: Run,
    /// Which ambient that is, and the IEEE form with the other one, where the ambient changes.
    ambient: AmbientFelt,
    other_ieee: Option<Run>,
    /// Where this is the course from another start than the one stated: that start, and the course that it replaces,
    /// of which the oil may be the hotter one.
    replaces: Option<(WhichStart, Box<Course>)>,
    /// The other starts that were looked at.
    looked: Looked,
}

/// The hottest value and the model that gives it.
#[derive(Debug, Clone, Copy)]
pub struct Hottest {
    /// Value and time.
    pub peak: Peak,
    /// Name of the model.
    pub form: &'static str,
}

impl Course {
    /// Runs the models from minute 0 to `until_min`.
    pub fn run(
        cooling: &Cooling,
        starts: &Starts,
        load: &LoadSteps,
        ambient: &AmbientLine,
        until_min: f64,
        samples: &[f64],
    ) -> Self {
        // Inside an interval only temperatures change the stage, so a loss of cooling is a breakpoint.
        let samples: Vec<f64> = samples.iter().copied().chain(cooling.lost_at_min).collect();
        let minutes = breakpoints(0.0, until_min, load, ambient, &samples);
        Self::through(starts, &Plan { cooling, load, ambient, breakpoints: &minutes })
    }

    /// Runs the models through a plan.
    pub(super) fn through(starts: &Starts, plan: &Plan<'_>) -> Self {
        let lagged = || starts.lagged.map(|lagged| lagged.run(plan));
        let lags = || (starts.iec.run(plan), starts.ieee.run(plan), lagged());
        let (detailed, (iec, ieee, lagged)) = rayon::join(|| starts.detailed.run(plan), lags);
        let of_both = |at_once: Run, lagged: Option<Run>| match lagged {
            Some(hotter) if hotter.hot_spot.value_c > at_once.hot_spot.value_c => {
                (AmbientFelt::ThroughTheOil, hotter, Some(at_once))
            }
            lagged => (AmbientFelt::AtOnce, at_once, lagged),
        };
        let (ambient, ieee, other_ieee) = of_both(ieee, lagged);
        let looked = Looked::default();
        Self { iec, ieee, detailed, ambient, other_ieee, replaces: None, looked }
    }

    /// The same with what was made of other starts.
    pub(super) fn among(self, looked: Looked) -> Self {
        Self { looked, ..self }
    }

    /// The other starts that were looked at.
    pub(super) fn looked(&self) -> &Looked {
        &self.looked
    }

    /// This course from another start in place of the one from the stated start.
    pub(super) fn instead_of(self, stated: Self, which: WhichStart) -> Self {
        Self { replaces: Some((which, Box::new(stated))), ..self }
    }

    /// The course from the start as stated.
    pub fn stated(&self) -> &Self {
        self.replaces.as_ref().map_or(self, |(_, stated)| stated)
    }

    /// The start from which this is the course.
    pub(super) fn which(&self) -> WhichStart {
        self.replaces.as_ref().map_or(WhichStart::Stated, |(which, _)| *which)
    }

    /// The start from which this is the course, if it is not the stated one.
    pub(crate) fn counted_from(&self) -> Option<CountedFrom> {
        let (which, stated) = self.replaces.as_ref()?;
        Some(CountedFrom {
            load_before_pu: match which {
                WhichStart::From(load_pu) | WhichStart::InCycle { load_pu, .. } => Some(*load_pu),
                WhichStart::Stated | WhichStart::Cooler { .. } | WhichStart::AsRead => None,
            },
            top_oil_c: self.samples().next()?.top_oil_c(),
            hotter_k: self.hot_spot().peak.value_c - stated.hot_spot().peak.value_c,
        })
    }

    /// What each model makes of it, with its name; the IEEE form twice where the ambient changes.
    pub fn runs(&self) -> impl Iterator<Item = (&'static str, &Run)> {
        let other = self.other_ieee.as_ref().map(|other| (<Ieee as Form>::NAME, other));
        self.each().into_iter().chain(other)
    }

    fn each(&self) -> [(&'static str, &Run); 3] {
        [
            (<Iec as Form>::NAME, &self.iec),
            (<Ieee as Form>::NAME, &self.ieee),
            (Detailed::NAME, &self.detailed),
        ]
    }

    /// The run of the model that is hottest.
    pub(super) fn governing(&self) -> &Run {
        let by = self.hot_spot().form;
        self.each().into_iter().find(|(form, _)| *form == by).map_or(&self.iec, |(_, run)| run)
    }

    /// How the oil feels the ambient in the IEEE form where that is hotter.
    pub(super) fn ambient(&self) -> AmbientFelt {
        self.ambient
    }

    /// Hottest temperatures by each model.
    pub(super) fn by_model(&self) -> Vec<ByModel> {
        let of = |(model, run): (&'static str, &Run)| ByModel {
            model,
            ambient: match model {
                <Ieee as Form>::NAME => self.ambient,
                _ => AmbientFelt::ThroughTheOil,
            },
            hot_spot_c: run.hot_spot.value_c,
            top_oil_c: self.top_oil_of(model, run),
        };
        self.each().map(of).into()
    }

    /// The hottest top oil of a model, with either ambient, °C.
    fn top_oil_of(&self, model: &str, run: &Run) -> f64 {
        let other = self.other_ieee.as_ref().filter(|_| model == <Ieee as Form>::NAME);
        let c = run.top_oil.value_c;
        other.map_or(c, |other| c.max(other.top_oil.value_c))
    }

    /// Hottest hot spot of the hottest model.
    pub fn hot_spot(&self) -> Hottest {
        self.hottest(|run| run.hot_spot)
    }

    /// Hottest top oil of the hottest model, from whichever start it is hotter.
    pub fn top_oil(&self) -> Hottest {
        let own = self.hottest(|run| run.top_oil);
        match &self.replaces {
            Some((_, stated)) if !(own.peak.value_c >= stated.top_oil().peak.value_c) => {
                stated.top_oil()
            }
            Some(_) | None => own,
        }
    }

    /// Written so that a NaN in any model comes out, and is then refused.
    fn hottest(&self, of: impl Fn(&Run) -> Peak) -> Hottest {
        let first = Hottest { peak: of(&self.iec), form: <Iec as Form>::NAME };
        let all = self.runs().map(|(form, run)| Hottest { peak: of(run), form });
        all.skip(1).fold(first, |hottest, other| {
            let (known_c, value_c) = (hottest.peak.value_c, other.peak.value_c);
            if known_c.is_nan() || value_c <= known_c { hottest } else { other }
        })
    }

    /// What the models say of each minute.
    pub fn samples(&self) -> impl Iterator<Item = Together<'_>> {
        let all = [&self.iec, &self.ieee, &self.detailed].map(|run| &run.samples[..]);
        together(all, self.other_ieee.as_ref().map_or(&[], |other| &other.samples))
    }
}

/// The cooling as the models see it, and whether nothing is known of its control; `stage` as the
/// operator states it.
pub fn cooling(
    thermal: &Thermal,
    stage: Option<usize>,
    lost_at_min: Option<f64>,
) -> (Cooling, bool) {
    let stages: Vec<_> = thermal.stages.iter().map(|data| data.stage.clone()).collect();
    let switches = stages.iter().skip(1).all(|stage| stage.switching.is_some());
    let (control, unknown) = match stage {
        Some(stage) => (Control::Fixed(stage.min(stages.len() - 1)), false),
        None if stages.len() == 1 => (Control::Fixed(0), false),
        None if switches => (Control::Automatic, false),
        None => (Control::Fixed(0), true),
    };
    (Cooling { stages, control, lost_at_min }, unknown)
}

/// Minutes to sample: every minute of the overload and the hour after it, then ever fewer; or every hour.
///
/// The updates are exact whatever the step; close sampling is for the reader, and for cooling
/// stages that start and stop.
pub fn sample_minutes(resolution: Resolution, end_min: f64, until_min: f64) -> Vec<f64> {
    let mut samples = vec![end_min];
    let mut minute = match resolution {
        Resolution::Minutes => 1.0,
        Resolution::Hours => 60.0,
    };
    while minute < until_min {
        samples.push(minute);
        minute += match (resolution, minute - end_min) {
            (Resolution::Hours, _) => 60.0,
            (Resolution::Minutes, after) if after < 60.0 => 1.0,
            (Resolution::Minutes, after) if after < 360.0 => 5.0,
            (Resolution::Minutes, _) => 30.0,
        };
    }
    samples
}
