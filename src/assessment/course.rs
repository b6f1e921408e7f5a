//! Both thermal forms over the same load, and the hotter of the two.

use super::CountedFrom;
use super::case::{Case, Resolution};
use super::past::pasts;
use super::possible::{Pasts, WhichStart};
use crate::thermal::Form;
use crate::thermal::cooling::{Control, Cooling};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use crate::thermal::start::Start;
use crate::thermal::trajectory::{Peak, Plan, Run, Sample, simulate};
use crate::unit::Thermal;

/// One form with its starting state.
#[derive(Debug, Clone, Copy)]
pub struct Prepared<F: Form> {
    /// The form, with the added rise it carries forward.
    pub form: F,
    /// State and stage at minute 0.
    pub start: Start,
    /// Top oil at minute 0 as computed, °C.
    pub computed_top_oil_c: f64,
    /// Measured minus computed, K, if measured.
    pub difference_k: Option<f64>,
}

/// Both forms ready to run.
#[derive(Debug, Clone, Copy)]
pub struct Starts {
    /// The IEC form.
    pub iec: Prepared<Iec>,
    /// The IEEE form.
    pub ieee: Prepared<Ieee>,
}

impl Starts {
    /// Finds the state at minute 0 for both forms, for one of the starts that the knowledge allows.
    pub(super) fn of(case: &Case, cooling: &Cooling, which: WhichStart) -> Self {
        let added = |difference: Option<f64>| difference.unwrap_or(0.0).max(0.0);
        Self {
            iec: prepare(case, cooling, (&Iec::default(), which), |difference| Iec {
                added_rise_k: added(difference),
            }),
            ieee: prepare(case, cooling, (&Ieee::default(), which), |difference| Ieee {
                added_rise_k: added(difference),
            }),
        }
    }
}

/// A unit that is hotter than its model has a cooling fault or a wrong profile: the difference
/// is carried forward as an added rise. A cooler one earns no credit. The hottest gradients that
/// the past allows are taken, and without a measured top oil the hottest oil too; a measured one
/// is held against the hottest that the controls of the stages explain in the coolest past, so that no doubt about
/// the past can explain an excess away, and a cooling that cycles is no excess.
fn prepare<F: Form>(
    case: &Case,
    cooling: &Cooling,
    (plain, which): (&F, WhichStart),
    with_difference: impl Fn(Option<f64>) -> F,
) -> Prepared<F> {
    let pasts = pasts(case, cooling, plain, which);
    prepared(&pasts, cooling.control, case.request.top_oil_c, with_difference)
}

/// The same from the states that the past allows.
pub(super) fn prepared<F: Form>(
    pasts: &Pasts,
    control: Control,
    measured_c: Option<f64>,
    with_difference: impl Fn(Option<f64>) -> F,
) -> Prepared<F> {
    let state = pasts.state(measured_c);
    let computed_c = measured_c.map_or(state.top_oil_c, |c| pasts.nearest_c(c));
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

/// Both forms over one load.
#[derive(Debug, Clone)]
pub struct Course {
    /// The IEC form.
    pub iec: Run,
    /// The IEEE form; its samples are at the same minutes.
    pub ieee: Run,
    /// Where this is the course from another start than the one stated: that start, and the course that it replaces,
    /// of which the oil may be the hotter one.
    replaces: Option<(WhichStart, Box<Course>)>,
}

/// The hottest value and the form that gives it.
#[derive(Debug, Clone, Copy)]
pub struct Hottest {
    /// Value and time.
    pub peak: Peak,
    /// Name of the form.
    pub form: &'static str,
}

impl Course {
    /// Runs both forms from minute 0 to `until_min`.
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
        let plan = Plan { cooling, load, ambient, breakpoints: &minutes };
        Self {
            iec: simulate(&starts.iec.form, &plan, starts.iec.start.state, starts.iec.start.stage),
            ieee: simulate(
                &starts.ieee.form,
                &plan,
                starts.ieee.start.state,
                starts.ieee.start.stage,
            ),
            replaces: None,
        }
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
        let (iec, ieee) = (self.iec.samples.first()?, self.ieee.samples.first()?);
        Some(CountedFrom {
            load_before_pu: match which {
                WhichStart::From(load_pu) => Some(*load_pu),
                WhichStart::Stated | WhichStart::Cooler { .. } | WhichStart::AsRead => None,
            },
            top_oil_c: iec.top_oil_c.max(ieee.top_oil_c),
            hotter_k: self.hot_spot().peak.value_c - stated.hot_spot().peak.value_c,
        })
    }

    /// Hottest hot spot of the hotter form.
    pub fn hot_spot(&self) -> Hottest {
        hotter(self.iec.hot_spot, self.ieee.hot_spot)
    }

    /// Hottest top oil of the hotter form, from whichever start it is hotter.
    pub fn top_oil(&self) -> Hottest {
        let own = hotter(self.iec.top_oil, self.ieee.top_oil);
        match &self.replaces {
            Some((_, stated)) if !(own.peak.value_c >= stated.top_oil().peak.value_c) => {
                stated.top_oil()
            }
            Some(_) | None => own,
        }
    }

    /// Samples of both forms at the same minutes.
    pub fn samples(&self) -> impl Iterator<Item = (&Sample, &Sample)> {
        self.iec.samples.iter().zip(&self.ieee.samples)
    }
}

/// Written so that a NaN in either form comes out, and is then refused.
fn hotter(iec: Peak, ieee: Peak) -> Hottest {
    if ieee.value_c > iec.value_c || ieee.value_c.is_nan() {
        Hottest { peak: ieee, form: Ieee::NAME }
    } else {
        Hottest { peak: iec, form: Iec::NAME }
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
