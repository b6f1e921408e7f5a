//! A unit with relays, and loads that are permitted to it.

use crate::question::Question;
use bubblemargin::rating::protection::{Permitted, Protection, RelayAnswer, protection};
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit;

/// Every kind of relay, invented.
pub(crate) const RELAYS: &str = "relays:
  - { name: thermal image, function: thermal-image, k: 1.05, base_current_pu: 1.0, time_constant_min: 60, alarm_percent: 90 }
  - { name: backup, function: overcurrent, purpose: fault, curve: standard-inverse, setting_pu: 1.8, time_multiplier: 0.4 }
  - { name: overload, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.3, delay_s: 1800, supervised_hot_spot_c: 140 }
  - { name: winding, function: winding-temperature, alarm_c: 110, trip_c: 125 }
  - { name: oil, function: oil-temperature, alarm_c: 90, trip_c: 105 }
  - { name: fans, function: fan-start, indicator: oil, start_c: 60, stop_c: 50 }
";

/// The question with its unit's relays, 1.0 % of water and little gas unless changed.
#[derive(Debug, Clone)]
pub(crate) struct Scene {
    pub(crate) question: Question,
    pub(crate) relays: String,
    pub(crate) permitted: Vec<Permitted>,
}

pub(crate) fn permitted(load_pu: f64, duration_min: f64) -> Permitted {
    Permitted { duration_min: Some(duration_min), load_pu, allowance_k: 2.0 }
}

impl Scene {
    pub(crate) fn dry() -> Self {
        Self {
            question: Question::easy(),
            relays: RELAYS.to_owned(),
            permitted: vec![permitted(1.25, 30.0), permitted(1.1, 240.0)],
        }
    }

    pub(crate) fn wet() -> Self {
        let question = Question { moisture: 3.6, std: 0.4, gas: 8.0, ..Question::easy() };
        Self { question, ..Self::dry() }
    }

    /// With other relays.
    pub(crate) fn with(self, relays: &str) -> Self {
        let relays = if relays.is_empty() { String::new() } else { format!("relays:\n{relays}\n") };
        Self { relays, ..self }
    }

    pub(crate) fn answer(&self) -> Protection {
        let profile = self.question.profile() + &self.relays;
        self.answer_of(&profile)
    }

    pub(crate) fn answer_of(&self, profile: &str) -> Protection {
        let unit = read_unit("test", profile, &Catalogue::embedded()).unwrap();
        protection(&self.question.case_for(unit), &self.permitted)
    }

    /// The answer about the only relay.
    pub(crate) fn one(&self) -> RelayAnswer {
        let mut relays = self.answer().relays;
        assert_eq!(relays.len(), 1);
        relays.remove(0)
    }
}
