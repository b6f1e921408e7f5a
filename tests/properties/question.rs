//! Builds cases through the same readers that the command line uses.

use bubblemargin::assessment::case::{
    Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom,
};
use bubblemargin::loading::load::Proposal;
use bubblemargin::rules::limits::LimitSet;
use bubblemargin::thermal::schedule::AmbientLine;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit;
use bubblemargin::unit::{Condition, Unit};

/// One question in plain numbers; every field makes the answer worse when it grows,
/// except `head_m`, which makes it better.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Question {
    pub(crate) load_pu: f64,
    pub(crate) duration_min: f64,
    pub(crate) preload_pu: f64,
    pub(crate) ambient_c: f64,
    pub(crate) top_oil_c: Option<f64>,
    pub(crate) moisture: f64,
    pub(crate) std: f64,
    pub(crate) gas: f64,
    pub(crate) altitude_m: f64,
    pub(crate) head_m: f64,
    /// Index of the cooling stage in service, weakest first.
    pub(crate) stage: usize,
    pub(crate) cooling_lost_at_min: Option<f64>,
}

impl Question {
    /// An overload that a dry unit carries easily.
    pub(crate) fn easy() -> Self {
        Self {
            load_pu: 1.1,
            duration_min: 120.0,
            preload_pu: 0.7,
            ambient_c: 20.0,
            top_oil_c: None,
            moisture: 1.0,
            std: 0.2,
            gas: 5.0,
            altitude_m: 200.0,
            head_m: 1.5,
            stage: 1,
            cooling_lost_at_min: None,
        }
    }

    /// The invented unit that the question is about, as YAML.
    pub(crate) fn profile(&self) -> String {
        format!(
            "unit: test-unit
size_class: medium
rated: {{ mva: 40, cooling: ONAF }}
paper: kraft
liquid: mineral
thermal:
  constants: onaf
  top_oil_rise_k: 52
  hot_spot_gradient_k: 26
  loss_ratio: 6
  heat_run: 1987-05-12
cooling_stages:
  - {{ name: ONAN, rating_pu: 0.6, constants: onan, top_oil_rise_k: 48, hot_spot_gradient_k: 17 }}
  - {{ name: ONAF, rating_pu: 1.0, start_top_oil_c: 60, stop_top_oil_c: 50 }}
oil: {{ preservation: conservator, altitude_m: {}, head_above_hot_spot_m: {} }}
gas: {{ sampled: 2026-09-03, total_percent: {} }}
moisture:
  - {{ method: dielectric-response, percent: {}, std: {}, date: 2026-10-02 }}
paper_condition: {{ dp: 900, date: 2026-10-01 }}
accessories: {{ bushings_pu: 2.0, tap_changer_pu: 2.0, cable_box_pu: 2.0, current_transformers_pu: 2.0 }}
condition: {{ gas_relay_alarm: false, fault_gas: none, partial_discharge: false, oil_level: normal }}
",
            self.altitude_m, self.head_m, self.gas, self.moisture, self.std
        )
    }

    /// The case, with the long-time emergency limits whatever the duration.
    pub(crate) fn case(&self) -> Case {
        let unit = read_unit("test", &self.profile(), &Catalogue::embedded()).unwrap();
        self.case_for(unit)
    }

    /// The same question about another unit.
    pub(crate) fn case_for(&self, unit: Unit) -> Case {
        let catalogue = Catalogue::embedded();
        let proposal = Proposal::constant(self.load_pu, self.duration_min).unwrap();
        let loading = proposal.followed_by(None, self.preload_pu.min(1.0)).unwrap();
        let limits = LimitSet::named(
            "iec-long-time-emergency",
            unit.size_class,
            self.duration_min,
            &catalogue,
        )
        .unwrap();
        Case {
            request: Request {
                loading,
                start: StartFrom::Preload(self.preload_pu),
                preload_from_pu: 0.0,
                preload_varies: false,
                ambient: AmbientLine::constant(self.ambient_c),
                forecast_until_min: None,
                top_oil_c: self.top_oil_c,
                stage: Some(self.stage),
                cooling_lost_at_min: self.cooling_lost_at_min,
                condition: Condition::default(),
                hot_spot: HotSpotMoisture::Bulk,
                dried_to_percent: 1.0,
                load_error: unit.spread.load_percent.clone(),
                ambient_error: unit.spread.ambient_k.clone(),
                sampling: Sampling { draws: 0, ..Sampling::default() },
                in_service: bubblemargin::loading::current::InService::default(),
                resolution: Resolution::Minutes,
            },
            unit,
            limits,
            local: None,
            as_of: None,
            inputs_sha256: String::new(),
            water_as_percent: None,
        }
    }
}
