//! What the unit may have been through before minute 0, as far as nobody stated it.

use super::case::{Case, StartFrom};
use crate::loading::history::History;
use crate::thermal::Form;
use crate::thermal::cooling::{Control, Cooling, Stage};
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::AmbientLine;
use crate::thermal::start::{Settled, Start, after_history, beginning, settled, through_history};
use crate::thermal::trajectory::Sample;

/// The states that the unit may be in at minute 0.
pub(super) fn past<F: Form>(case: &Case, cooling: &Cooling, plain: &F) -> Settled {
    let request = &case.request;
    match &request.start {
        StartFrom::Preload(load_pu) => {
            settled_at(plain, cooling, *load_pu, request.ambient.at(0.0))
        }
        StartFrom::History(history) => {
            let (ambient, before) = (ambient_before(case, history), Before::of(cooling));
            let ends = |cooling: &Cooling, hottest: bool| {
                let begin = beginning(plain, cooling, &history.load, &ambient, hottest);
                let end = after_history(plain, cooling, &history.load, &ambient, begin);
                let state = plain.moved(&end.state, ambient.at(0.0), request.ambient.at(0.0));
                Start { state, ..end }
            };
            between(ends(&before.weakest, true), ends(&before.strongest, false))
        }
    }
}

/// The states after a long time at a preload.
pub(super) fn settled_at<F: Form>(
    plain: &F,
    cooling: &Cooling,
    load_pu: f64,
    ambient_c: f64,
) -> Settled {
    let before = Before::of(cooling);
    let settled_with = |cooling: &Cooling| settled(plain, cooling, load_pu, ambient_c);
    let weak = settled_with(&before.weakest);
    let settled = settled_with(&before.strongest);
    Settled { hottest: weak.hottest.hotter_of(&settled.hottest), ..settled }
}

/// The states between a hot and a cool end of what is possible.
pub(super) fn between(hot: Start, cool: Start) -> Settled {
    let steady = Start { state: cool.state, stage: hot.stage.min(cool.stage) };
    Settled { steady, hottest: hot.state.hotter_of(&cool.state), coolest: cool.state }
}

pub(super) fn ambient_before(case: &Case, history: &History) -> AmbientLine {
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
pub(super) struct Before {
    pub(super) weakest: Cooling,
    pub(super) strongest: Cooling,
}

impl Before {
    /// Stages above a stated one are not credited to the past either; stages up to it started
    /// and stopped by their own temperatures, where the profile has them.
    pub(super) fn of(cooling: &Cooling) -> Self {
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
