//! What the unit may have been through before minute 0, as far as nobody stated it.

use super::case::{Case, StartFrom};
use super::possible::{Pasts, WhichStart};
use crate::loading::history::History;
use crate::thermal::Model;
use crate::thermal::State;
use crate::thermal::cooling::{Control, Cooling, Stage, Switching};
use crate::thermal::detailed::Detailed;
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::schedule::AmbientLine;
use crate::thermal::start::{
    Began, Settled, Start, after_history, beginning, settled_in, through_history, waiting_in,
};
use crate::thermal::trajectory::Sample;

/// What the load was just before a minute, and not what it becomes there, says whether stages cycle, min.
pub(super) const JUST_BEFORE_MIN: f64 = 1.0e-6;

/// The states that the unit may be in at minute 0.
fn past<M: Model>(case: &Case, cooling: &Cooling, plain: &M) -> Settled {
    let request = &case.request;
    match &request.start {
        StartFrom::Preload(load_pu) => after_preload(case, cooling, plain, *load_pu),
        StartFrom::History(history) => {
            let (ambient, before) = (ambient_before(case, history), Before::of(cooling));
            let end = |began: Began| {
                let cooling = &before.cooling(cooling, began.is_hot());
                let begin = beginning(plain, cooling, &history.load, &ambient, began);
                let end = after_history(plain, cooling, &history.load, &ambient, begin);
                let (from_c, to_c) = (ambient.at(0.0), request.ambient.at(0.0));
                let state = plain.with_ambient(&end.state, from_c, to_c);
                Start { state, ..end }
            };
            let now = after_preload(case, cooling, plain, history.load.at(-JUST_BEFORE_MIN));
            let ends = Ends {
                hot: end(Began::Hottest),
                waiting: end(Began::Waiting),
                cool: end(Began::Coolest),
                own_cool: end(Began::OwnCoolest),
            };
            ends.between(&now, before.stages(&cooling.stages))
        }
    }
}

/// The states that the unit may be in after a long time at a load.
fn after_preload<M: Model>(case: &Case, cooling: &Cooling, plain: &M, load_pu: f64) -> Settled {
    let (before, ambient_c) = (Before::of(cooling), case.request.ambient.at(0.0));
    settled_at(plain, &cooling.stages, before, load_pu, ambient_c)
}

/// What all starts of one model have in common.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shared {
    /// After the load before as stated, or after the history.
    pub(super) stated: Settled,
    /// After the least load before, where the load may have changed up to minute 0.
    least: Option<Settled>,
    /// By how much the oil that explains a reading may be cooler than this, K.
    pub(super) cooler_k: f64,
}

impl Shared {
    pub(super) fn of<M: Model>(case: &Case, cooling: &Cooling, plain: &M) -> Self {
        let request = &case.request;
        let varies = request.preload_varies.then_some(request.preload_from_pu);
        let least = varies.map(|least_pu| after_preload(case, cooling, plain, least_pu));
        Self { stated: past(case, cooling, plain), least, cooler_k: 0.0 }
    }

    /// The same where a reading is held against the oil of another cooling too, if that explains less of it.
    pub(super) fn held_against<M: Model>(self, case: &Case, cooling: &Cooling, plain: &M) -> Self {
        let other_c = past(case, cooling, plain).explained_c;
        Self { cooler_k: (self.stated.explained_c - other_c).max(0.0), ..self }
    }
}

/// The states of one of the starts that the knowledge allows.
pub(super) fn pasts<M: Model>(
    case: &Case,
    cooling: &Cooling,
    (plain, shared): (&M, &Shared),
    which: WhichStart,
) -> Pasts {
    let Shared { stated, least, .. } = *shared;
    let own = match which {
        WhichStart::From(load_pu) => after_preload(case, cooling, plain, load_pu),
        WhichStart::InCycle { load_pu, weaker, .. } => {
            waiting_in(plain, &cooling.stages, weaker, (load_pu, case.request.ambient.at(0.0)))
        }
        WhichStart::Stated | WhichStart::Cooler { .. } | WhichStart::AsRead => stated,
    };
    Pasts { which, stated, own, least }
}

/// The states after a long time at a preload.
pub(super) fn settled_at<M: Model>(
    plain: &M,
    stages: &[Stage],
    before: Before,
    load_pu: f64,
    ambient_c: f64,
) -> Settled {
    let stages = &stages[..before.stages];
    let settled_under = |control| settled_in(plain, stages, control, load_pu, ambient_c);
    let settled = settled_under(before.strongest);
    if before.weakest == before.strongest {
        return settled;
    }
    let weak = settled_under(before.weakest);
    Settled { hottest: weak.hottest.hotter_of(&settled.hottest), ..settled }
}

/// The ends of what is possible after a history.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ends {
    /// After the hottest that may have been before it.
    pub(super) hot: Start,
    /// The same, where the next stage was just about to start.
    pub(super) waiting: Start,
    /// After the coolest that may have been before it.
    pub(super) cool: Start,
    /// After the coolest of its own loads.
    pub(super) own_cool: Start,
}

impl Ends {
    /// The states between the ends; `now` is where the load at minute 0 would lead: if stages cycle there, nobody
    /// knows at which point of the cycle the unit is. What is explained of a reading is explained by the history itself.
    pub(super) fn between(self, now: &Settled, stages: &[Stage]) -> Settled {
        let Self { hot, waiting, cool, own_cool } = self;
        let cycles = now.coolest.top_oil_c < now.steady.state.top_oil_c;
        let hottest = hot.state.hotter_of(&waiting.state).hotter_of(&cool.state);
        let (hottest, stage) = match self.about_to_start(now.steady.stage, cycles, stages) {
            Some(about) => (hottest.hotter_of(&about.state), about.stage),
            None => (hottest, cool.stage),
        };
        let stage = stage.min(hot.stage).min(cool.stage).min(waiting.stage);
        // Fans that started earlier may have left another end cooler than the one that began coolest.
        let cooler =
            |one: State, other: State| if other.top_oil_c < one.top_oil_c { other } else { one };
        let coolest = cooler(cooler(cool.state, hot.state), waiting.state);
        let steady = Start { state: coolest, stage };
        let cycle_c = if cycles { now.explained_c } else { f64::NEG_INFINITY };
        Settled {
            steady,
            hottest,
            on_the_way: hottest,
            waiting: None,
            coolest,
            explained_c: own_cool.state.top_oil_c.max(cycle_c),
        }
    }

    /// The hottest that a weaker stage can be, with the next one about to start. Where from the coolest beginning that has
    /// not started yet and from a hotter one it has, there is a beginning between from which it starts at this moment;
    /// and where stages cycle, nobody knows at which point of the cycle they are.
    fn about_to_start(self, weaker: usize, cycles: bool, stages: &[Stage]) -> Option<Start> {
        let cool = self.cool;
        let reading_c = |switching: Switching| switching.sensor.of(&cool.state);
        let after = |stage: usize| stages.get(stage + 1).and_then(|next| next.switching);
        let cycling = after(weaker).filter(|next| cycles && reading_c(*next) >= next.stop_c);
        let late = after(cool.stage).filter(|_| self.waiting.stage > cool.stage);
        let (stage, next) = match cycling {
            Some(next) => (weaker, next),
            None => (cool.stage, late?),
        };
        let state = cool.state.shifted((next.start_c - reading_c(next)).max(0.0));
        Some(Start { state, stage })
    }
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
    /// The hottest top oil that any model and any beginning allow, °C.
    pub hottest_top_oil_c: f64,
    /// The coolest hot spot that any model and any beginning allow, °C.
    pub coolest_hot_spot_c: f64,
}

/// The temperatures through the load history; empty without one.
pub fn past_moments(case: &Case, cooling: &Cooling) -> Vec<PastMoment> {
    let iec = past_samples(case, cooling, &Iec::default());
    let ieee = past_samples(case, cooling, &Ieee::default());
    let detailed = past_samples(case, cooling, &Detailed::default());
    let lagged = past_samples(case, cooling, &Ieee::LAGGED);
    let mut runs = iec.into_iter().chain(ieee).chain(detailed).chain(lagged);
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

/// One model through the history from the hottest and from the coolest beginning; the samples of
/// all runs are at the same minutes.
fn past_samples<M: Model>(case: &Case, cooling: &Cooling, plain: &M) -> Vec<Vec<Sample>> {
    let StartFrom::History(history) = &case.request.start else {
        return Vec::new();
    };
    let ambient = ambient_before(case, history);
    let before = Before::of(cooling);
    let run = |began: Began| {
        let cooling = &before.cooling(cooling, began.is_hot());
        let begin = beginning(plain, cooling, &history.load, &ambient, began);
        Some(through_history(plain, cooling, &history.load, &ambient, begin)?.samples)
    };
    [Began::OwnHottest, Began::OwnCoolest].into_iter().filter_map(run).collect()
}

/// The cooling before minute 0: the least and the most that may have been in service. They
/// differ where a stage is stated for now and nothing says when it was started.
#[derive(Debug, Clone, Copy)]
pub(super) struct Before {
    /// How many of the stages count.
    stages: usize,
    weakest: Control,
    strongest: Control,
}

impl Before {
    /// Stages above a stated one are not credited to the past either; stages up to it started
    /// and stopped by their own temperatures, where the profile has them.
    pub(super) fn of(cooling: &Cooling) -> Self {
        let under = |stages, weakest, strongest| Self { stages, weakest, strongest };
        let Control::Fixed(stage) = cooling.control else {
            return under(cooling.stages.len(), Control::Automatic, Control::Automatic);
        };
        let stages = &cooling.stages[..=stage];
        let switches = stages.iter().skip(1).all(|stage| stage.switching.is_some());
        if stage > 0 && switches {
            return under(stages.len(), Control::Automatic, Control::Automatic);
        }
        under(stages.len(), Control::Fixed(0), Control::Fixed(stage))
    }

    /// Whether stages started and stopped by their own temperatures.
    pub(super) fn is_automatic(self) -> bool {
        self.weakest == Control::Automatic
    }

    /// The control that leads to the hottest or to the coolest state.
    pub(super) fn control(self, hottest: bool) -> Control {
        if hottest { self.weakest } else { self.strongest }
    }

    /// The stages that count.
    pub(super) fn stages(self, stages: &[Stage]) -> &[Stage] {
        &stages[..self.stages]
    }

    /// The same as a cooling of its own.
    pub(super) fn cooling(self, cooling: &Cooling, hottest: bool) -> Cooling {
        let (stages, control) = (self.stages(&cooling.stages).to_vec(), self.control(hottest));
        Cooling { stages, control, lost_at_min: None }
    }
}
