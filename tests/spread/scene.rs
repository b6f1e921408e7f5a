//! An invented unit and question in plain numbers, with every spread in the test's hand.

use bubblemargin::assessment::case::{
    Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom,
};
use bubblemargin::assessment::spread::Spread;
use bubblemargin::assessment::{Assessment, assess};
use bubblemargin::loading::forecast_error::{ForecastError, Origin};
use bubblemargin::loading::history::History;
use bubblemargin::loading::load::Proposal;
use bubblemargin::moisture::evidence::Statement;
use bubblemargin::quantities::MoisturePercent;
use bubblemargin::rules::limits::LimitSet;
use bubblemargin::rules::local_file::read_local_rules;
use bubblemargin::thermal::schedule::{AmbientLine, LoadSteps};
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::spread::{Spread as Given, Uncertain, UnitSpread};
use bubblemargin::unit::validate::read_unit;
use bubblemargin::unit::{Condition, Unit};

/// Standard uncertainties, in the order of [`Stds::names`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stds(pub(crate) [f64; 18]);

/// Names in the order of [`Stds`]; load and ambient are the forecasts, constant in time.
pub(crate) const NAMES: [&str; 18] = [
    "top_oil_rise_k",
    "hot_spot_gradient_k",
    "loss_ratio",
    "oil_exponent",
    "winding_exponent",
    "oil_time_constant_min",
    "winding_time_constant_min",
    "k21",
    "gas_percent",
    "head_above_hot_spot_m",
    "weather_kpa",
    "holding_factor",
    "correlation_k",
    "measured_top_oil_k",
    "load_percent",
    "ambient_k",
    "thermostat_k",
    "hot_spot_model_k",
];

impl Stds {
    /// Everything is known exactly.
    pub(crate) const NONE: Self = Self([0.0; 18]);

    /// The usual ones of the scene's unit, the forecasts as an hour or two ahead.
    pub(crate) const USUAL: Self = Self([
        2.0, 2.6, 0.2, 0.03, 0.05, 15.0, 1.05, 0.15, 0.5, 0.2, 1.0, 0.0, 4.0, 1.0, 2.0, 1.5, 1.5,
        2.0,
    ]);

    pub(crate) fn with(mut self, name: &str, std: f64) -> Self {
        self.0[NAMES.iter().position(|known| *known == name).unwrap()] = std;
        self
    }
}

/// One question.
#[derive(Debug, Clone)]
pub(crate) struct Scene {
    pub(crate) load_pu: f64,
    pub(crate) duration_min: f64,
    pub(crate) preload_pu: f64,
    /// The least load before; `None`: it is the preload exactly.
    pub(crate) preload_from_pu: Option<f64>,
    /// Whether it may have changed between the two up to minute 0.
    pub(crate) preload_varies: bool,
    /// The load that follows; `None`: the preload.
    pub(crate) after_pu: Option<f64>,
    pub(crate) ambient_c: f64,
    pub(crate) top_oil_c: Option<f64>,
    pub(crate) moisture: f64,
    /// Standard uncertainty of the moisture; `None`: a local rule states the moisture exactly.
    pub(crate) moisture_std: Option<f64>,
    pub(crate) gas: f64,
    pub(crate) altitude_m: f64,
    pub(crate) head_m: f64,
    /// Index of the cooling stage; `None`: they start by themselves.
    pub(crate) stage: Option<usize>,
    pub(crate) cooling_lost_at_min: Option<f64>,
    /// Load history, (minute, pu).
    pub(crate) history: Option<Vec<(f64, f64)>>,
    pub(crate) stds: Stds,
    pub(crate) sampling: Sampling,
}

/// Number of draws of the tests: few, because the tests run unoptimised.
pub(crate) const DRAWS: u32 = 512;

impl Scene {
    /// A wet unit at an overload that leaves some kelvin.
    pub(crate) fn usual() -> Self {
        Self {
            load_pu: 1.2,
            duration_min: 120.0,
            preload_pu: 0.7,
            preload_from_pu: None,
            preload_varies: false,
            after_pu: None,
            ambient_c: 20.0,
            top_oil_c: None,
            moisture: 2.5,
            moisture_std: Some(0.3),
            gas: 5.0,
            altitude_m: 200.0,
            head_m: 1.5,
            stage: Some(1),
            cooling_lost_at_min: None,
            history: None,
            stds: Stds::USUAL,
            sampling: Sampling { draws: DRAWS, seed: 1, why: false, ..Sampling::default() },
        }
    }

    /// The same with nothing uncertain, not even the moisture.
    pub(crate) fn exact() -> Self {
        Self { stds: Stds::NONE, moisture_std: None, ..Self::usual() }
    }

    pub(crate) fn with_stds(&self, stds: Stds) -> Self {
        Self { stds, ..self.clone() }
    }

    pub(crate) fn drawn(&self, draws: u32, seed: u32) -> Self {
        Self { sampling: Sampling { draws, seed, ..self.sampling }, ..self.clone() }
    }

    fn profile(&self) -> String {
        let witness_std = self.moisture_std.unwrap_or(0.05);
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
  - {{ method: dielectric-response, percent: {}, std: {witness_std}, date: 2026-10-02 }}
insulation: {{ winding_paper_mm: 0.6 }}
paper_condition: {{ dp: 900, date: 2026-10-01 }}
accessories: {{ bushings_pu: 2.0, tap_changer_pu: 2.0, cable_box_pu: 2.0, current_transformers_pu: 2.0 }}
condition: {{ gas_relay_alarm: false, fault_gas: none, partial_discharge: false, oil_level: normal }}
",
            self.altitude_m, self.head_m, self.gas, self.moisture
        )
    }

    pub(crate) fn unit(&self) -> Unit {
        let mut unit = read_unit("test", &self.profile(), &Catalogue::embedded()).unwrap();
        state(&mut unit.spread, self.stds);
        if self.moisture_std.is_none() {
            // Nothing beside the figure itself.
            let percent = MoisturePercent::new(self.moisture).unwrap();
            unit.witnesses[0].statement = Statement::Paper { percent, std: Some(1.0e-18) };
        }
        unit
    }

    pub(crate) fn case(&self) -> Case {
        let (unit, catalogue) = (self.unit(), Catalogue::embedded());
        let proposal = Proposal::constant(self.load_pu, self.duration_min).unwrap();
        let after_pu = self.after_pu.unwrap_or(self.preload_pu).min(1.0);
        let loading = proposal.followed_by(None, after_pu).unwrap();
        let set = "iec-long-time-emergency";
        let limits = LimitSet::named(set, unit.size_class, self.duration_min, &catalogue).unwrap();
        let start = match &self.history {
            None => StartFrom::Preload(self.preload_pu),
            Some(rows) => {
                let load = LoadSteps::new(rows.clone()).unwrap();
                StartFrom::History(History { load, ambient: None })
            }
        };
        let stated = self.moisture_std.is_none().then(|| {
            let rules = format!(
                "rules: test\nissued_by: test\nmoisture: {{ counting_percent: {}, decided: {{ by: test, why: test }} }}\n",
                self.moisture
            );
            read_local_rules("rules", &rules).unwrap()
        });
        Case {
            request: Request {
                loading,
                start,
                preload_from_pu: self.preload_from_pu.unwrap_or(self.preload_pu),
                preload_varies: self.preload_varies,
                ambient: AmbientLine::constant(self.ambient_c),
                forecast_until_min: None,
                top_oil_c: self.top_oil_c,
                stage: self.stage,
                cooling_lost_at_min: self.cooling_lost_at_min,
                condition: Condition::default(),
                hot_spot: HotSpotMoisture::Bulk,
                dried_to_percent: 1.0,
                load_error: unit.spread.load_percent.clone(),
                ambient_error: unit.spread.ambient_k.clone(),
                sampling: self.sampling,
                in_service: bubblemargin::loading::current::InService::default(),
                resolution: Resolution::Minutes,
            },
            unit,
            limits,
            local: stated,
            as_of: None,
            inputs_sha256: String::new(),
            water_as_percent: None,
        }
    }

    pub(crate) fn assessed(&self) -> Assessment {
        assess(&self.case())
    }

    pub(crate) fn spread(&self) -> Spread {
        self.assessed().spread.unwrap()
    }
}

/// States every standard uncertainty; where the unit has none of a quantity there still is none.
fn state(spread: &mut UnitSpread, stds: Stds) {
    let std = |index: usize| Uncertain { spread: Given::Std(stds.0[index]), stated: true };
    let optional: [&mut Option<Uncertain>; 10] = [
        &mut spread.top_oil_rise_k,
        &mut spread.hot_spot_gradient_k,
        &mut spread.loss_ratio,
        &mut spread.oil_exponent,
        &mut spread.winding_exponent,
        &mut spread.oil_time_constant_min,
        &mut spread.winding_time_constant_min,
        &mut spread.k21,
        &mut spread.gas_percent,
        &mut spread.head_above_hot_spot_m,
    ];
    for (index, field) in optional.into_iter().enumerate() {
        if field.is_some() {
            *field = Some(std(index));
        }
    }
    spread.weather_kpa = std(10);
    spread.holding_factor = std(11);
    spread.correlation_k = std(12);
    spread.measured_top_oil_k = std(13);
    spread.thermostat_k = std(16);
    spread.hot_spot_model_k = std(17);
    let constant = |index: usize| ForecastError::constant(stds.0[index], Origin::Profile).unwrap();
    spread.load_percent = constant(14);
    spread.ambient_k = constant(15);
}
