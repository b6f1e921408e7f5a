//! Both thermal forms over the same load, and the hotter of the two.

use super::case::{Case, StartFrom};
use crate::loading::history::History;
use crate::thermal::Form;
use crate::thermal::cooling::{Control, Cooling, Stage};
use crate::thermal::iec::{Iec, IecState};
use crate::thermal::ieee::{Ieee, IeeeState};
use crate::thermal::schedule::{AmbientLine, LoadSteps, breakpoints};
use crate::thermal::start::{Settled, Start, after_history, beginning, settled, through_history};
use crate::thermal::trajectory::{Peak, Plan, Run, Sample, simulate};
use crate::unit::Thermal;

/// One form with its starting state.
#[derive(Debug, Clone, Copy)]
pub struct Prepared<F: Form> {
    /// The form, with the added rise it carries forward.
    pub form: F,
    /// State and stage at minute 0.
    pub start: Start<F::State>,
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
    /// Finds the state at minute 0 for both forms.
    pub fn of(case: &Case, cooling: &Cooling) -> Self {
        let added = |difference: Option<f64>| difference.unwrap_or(0.0).max(0.0);
        Self {
            iec: prepare(case, cooling, &Iec::default(), |difference| Iec {
                added_rise_k: added(difference),
            }),
            ieee: prepare(case, cooling, &Ieee::default(), |difference| Ieee {
                added_rise_k: added(difference),
            }),
        }
    }
}

/// A unit that is hotter than its model has a cooling fault or a wrong profile: the difference
/// is carried forward as an added rise. A cooler one earns no credit. The hottest gradients that
/// the past allows are taken, and without a measured top oil the hottest oil too; a measured one
/// is held against the coolest, so that no doubt about the past can explain an excess away.
fn prepare<F: Form>(
    case: &Case,
    cooling: &Cooling,
    plain: &F,
    with_difference: impl Fn(Option<f64>) -> F,
) -> Prepared<F> {
    let ambient_c = case.request.ambient.at(0.0);
    let past = past(case, cooling, plain);
    let top_oil_c = |state: &F::State| plain.top_oil_c(state, ambient_c);
    let hottest_c = top_oil_c(&past.hottest);
    let (computed_c, begins_c) = match case.request.top_oil_c {
        None => (hottest_c, hottest_c),
        Some(measured) => (top_oil_c(&past.steady.state), measured.max(top_oil_c(&past.coolest))),
    };
    let difference_k = case.request.top_oil_c.map(|measured| measured - computed_c);
    let stage = match cooling.control {
        Control::Fixed(stage) => stage,
        Control::Automatic => past.steady.stage,
    };
    let state = plain.shifted(&past.hottest, begins_c - hottest_c);
    Prepared {
        start: Start { state, stage },
        form: with_difference(difference_k),
        computed_top_oil_c: computed_c,
        difference_k,
    }
}

/// The states that the unit may be in at minute 0.
fn past<F: Form>(case: &Case, cooling: &Cooling, plain: &F) -> Settled<F::State> {
    let request = &case.request;
    let before = Before::of(cooling);
    match &request.start {
        StartFrom::Preload(load_pu) => {
            let settled_with =
                |cooling: &Cooling| settled(plain, cooling, *load_pu, request.ambient.at(0.0));
            let weak = settled_with(&before.weakest);
            let settled = settled_with(&before.strongest);
            Settled { hottest: plain.hotter_of(&weak.hottest, &settled.hottest), ..settled }
        }
        StartFrom::History(history) => {
            let ambient = ambient_before(case, history);
            let ends = |cooling: &Cooling, hottest: bool| {
                let begin = beginning(plain, cooling, &history.load, &ambient, hottest);
                after_history(plain, cooling, &history.load, &ambient, begin)
            };
            let (hot, cool) = (ends(&before.weakest, true), ends(&before.strongest, false));
            let stage = hot.stage.min(cool.stage);
            let steady = Start { state: cool.state, stage };
            let hottest = plain.hotter_of(&hot.state, &cool.state);
            Settled { steady, hottest, coolest: cool.state }
        }
    }
}

fn ambient_before(case: &Case, history: &History) -> AmbientLine {
    let request = &case.request;
    match &history.ambient {
        Some(own) => own.continued(&request.ambient, 0.0),
        None => request.ambient.clone(),
    }
}

/// A moment of the load history, as far as the models leave it open.
#[derive(Debug, Clone, Copy)]
pub struct PastMoment {
    /// Minute, before 0.
    pub minute: f64,
    /// The hottest top oil that either form and any beginning allow, °C.
    pub hottest_top_oil_c: f64,
    /// The coolest hot spot that either form and any beginning allow, °C.
    pub coolest_hot_spot_c: f64,
}

/// The temperatures through the load history; empty without one.
pub fn past_moments(case: &Case, cooling: &Cooling) -> Vec<PastMoment> {
    let iec = past_samples(case, cooling, &Iec::default());
    let ieee = past_samples(case, cooling, &Ieee::default());
    let mut runs = iec.into_iter().chain(ieee);
    let Some(first) = runs.next() else {
        return Vec::new();
    };
    let mut moments: Vec<PastMoment> = first.iter().map(PastMoment::of).collect();
    for run in runs {
        for (moment, sample) in moments.iter_mut().zip(&run) {
            moment.hottest_top_oil_c = moment.hottest_top_oil_c.max(sample.top_oil_c);
            moment.coolest_hot_spot_c = moment.coolest_hot_spot_c.min(sample.hot_spot_c);
        }
    }
    moments
}

impl PastMoment {
    fn of(sample: &Sample) -> Self {
        Self {
            minute: sample.minute,
            hottest_top_oil_c: sample.top_oil_c,
            coolest_hot_spot_c: sample.hot_spot_c,
        }
    }
}

/// One form through the history from the hottest and from the coolest beginning; the samples of
/// all runs are at the same minutes.
fn past_samples<F: Form>(case: &Case, cooling: &Cooling, plain: &F) -> Vec<Vec<Sample>> {
    let StartFrom::History(history) = &case.request.start else {
        return Vec::new();
    };
    let ambient = ambient_before(case, history);
    let before = Before::of(cooling);
    let ends = [(&before.weakest, true), (&before.strongest, false)];
    let run = |(cooling, hottest): (&Cooling, bool)| {
        let begin = beginning(plain, cooling, &history.load, &ambient, hottest);
        Some(through_history(plain, cooling, &history.load, &ambient, begin)?.samples)
    };
    ends.into_iter().filter_map(run).collect()
}

/// The cooling before minute 0: the least and the most that may have been in service. They
/// differ where a stage is stated for now and nothing says when it was started.
struct Before {
    weakest: Cooling,
    strongest: Cooling,
}

impl Before {
    /// Stages above a stated one are not credited to the past either; stages up to it started
    /// and stopped by their own temperatures, where the profile has them.
    fn of(cooling: &Cooling) -> Self {
        let with = |stages: &[Stage], control| Cooling {
            stages: stages.to_vec(),
            control,
            lost_at_min: None,
        };
        let Control::Fixed(stage) = cooling.control else {
            let automatic = with(&cooling.stages, Control::Automatic);
            return Self { weakest: automatic.clone(), strongest: automatic };
        };
        let stages = &cooling.stages[..=stage];
        let switches = stages.iter().skip(1).all(|stage| stage.switching.is_some());
        if stage > 0 && switches {
            let automatic = with(stages, Control::Automatic);
            return Self { weakest: automatic.clone(), strongest: automatic };
        }
        Self {
            weakest: with(stages, Control::Fixed(0)),
            strongest: with(stages, Control::Fixed(stage)),
        }
    }
}

/// Both forms over one load.
#[derive(Debug, Clone)]
pub struct Course {
    /// The IEC form.
    pub iec: Run<IecState>,
    /// The IEEE form; its samples are at the same minutes.
    pub ieee: Run<IeeeState>,
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
        }
    }

    /// Hottest hot spot of the hotter form.
    pub fn hot_spot(&self) -> Hottest {
        hotter(self.iec.hot_spot, self.ieee.hot_spot)
    }

    /// Hottest top oil of the hotter form.
    pub fn top_oil(&self) -> Hottest {
        hotter(self.iec.top_oil, self.ieee.top_oil)
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

/// The cooling as the models see it, and whether nothing is known of its control.
pub fn cooling(case: &Case, thermal: &Thermal) -> (Cooling, bool) {
    let stages: Vec<_> = thermal.stages.iter().map(|data| data.stage.clone()).collect();
    let switches = stages.iter().skip(1).all(|stage| stage.switching.is_some());
    let (control, unknown) = match case.request.stage {
        Some(stage) => (Control::Fixed(stage.min(stages.len() - 1)), false),
        None if stages.len() == 1 => (Control::Fixed(0), false),
        None if switches => (Control::Automatic, false),
        None => (Control::Fixed(0), true),
    };
    let cooling = Cooling { stages, control, lost_at_min: case.request.cooling_lost_at_min };
    (cooling, unknown)
}

/// Minutes to sample: every minute of the overload and the hour after it, then ever fewer.
///
/// The updates are exact whatever the step; close sampling is for the reader, and for cooling
/// stages that start and stop.
pub fn sample_minutes(end_min: f64, until_min: f64) -> Vec<f64> {
    let mut samples = vec![end_min];
    let mut minute = 1.0;
    while minute < until_min {
        samples.push(minute);
        minute += match minute - end_min {
            after if after < 60.0 => 1.0,
            after if after < 360.0 => 5.0,
            _ => 30.0,
        };
    }
    samples
}
