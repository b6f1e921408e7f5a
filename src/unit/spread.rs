//! How uncertain each quantity of a unit is: plain numbers, in the quantity's own unit and at the rated
//! cooling stage, whether stated or usual.

use crate::loading::forecast_error::ForecastError;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How far a quantity may lie from its value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Spread {
    /// A standard uncertainty; 0 is exact.
    Std(f64),
    /// Somewhere between two ends, with the value inside or on one of them.
    Interval {
        /// Lower end.
        least: f64,
        /// Upper end; above the lower one.
        most: f64,
    },
}

/// A spread and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Uncertain {
    /// How far the quantity may lie from its value.
    pub spread: Spread,
    /// Whether the profile states it; else it is usual.
    pub stated: bool,
}

impl Uncertain {
    /// The same about a value that lies so much higher.
    pub(super) fn shifted(self, by: f64) -> Self {
        let spread = match self.spread {
            Spread::Std(std) => Spread::Std(std),
            Spread::Interval { least, most } => {
                Spread::Interval { least: least + by, most: most + by }
            }
        };
        Self { spread, ..self }
    }
}

/// Which of both correlations of the inception temperature a draw takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CorrelationChoice {
    /// The lower of both.
    Lower,
    /// One of both at random; informs, for half of the draws are then above the lower one.
    Either,
}

/// How uncertain a natural cooling stage is that nobody stated; always usual, for whoever knows better states the stages.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NaturalSpread {
    /// Its rating, per unit of the unit's.
    pub rating_pu: Uncertain,
    /// Its top-oil rise, K.
    pub top_oil_rise_k: Uncertain,
    /// Its hot-spot rise over top oil, K.
    pub hot_spot_gradient_k: Uncertain,
}

/// How uncertain each quantity of a unit is. `None` where the profile lacks the value itself.
///
/// A standard uncertainty says nothing of a distribution. Those in per cent of a value are at most a third
/// of it, so that three of them do not reach below zero; whoever draws from it cuts it there, and
/// keeps k21 at 1 and above and the holding factor at 1 and below.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitSpread {
    /// Top-oil rise, K.
    pub top_oil_rise_k: Option<Uncertain>,
    /// Hot-spot rise over top oil, K.
    pub hot_spot_gradient_k: Option<Uncertain>,
    /// Load loss over no-load loss.
    pub loss_ratio: Option<Uncertain>,
    /// Oil exponent x; n departs from its own value by as much.
    pub oil_exponent: Option<Uncertain>,
    /// Winding exponent y; 2m departs from its own value by as much.
    pub winding_exponent: Option<Uncertain>,
    /// Average-oil time constant τo, min.
    pub oil_time_constant_min: Option<Uncertain>,
    /// Winding time constant τw, min.
    pub winding_time_constant_min: Option<Uncertain>,
    /// Constant k21; `None` also where it is 1, an exponential without overshoot, and none is stated.
    pub k21: Option<Uncertain>,
    /// Of a natural cooling stage that is assumed; `None` where the stages are stated.
    pub natural: Option<NaturalSpread>,
    /// Total dissolved gas, % by volume.
    pub gas_percent: Option<Uncertain>,
    /// The same of what the oil holds when saturated, where an old gas sample falls back on it; always usual.
    pub gas_percent_saturated: Option<Uncertain>,
    /// Oil above the hot spot, m.
    pub head_above_hot_spot_m: Option<Uncertain>,
    /// Departure of the air pressure from the standard atmosphere, kPa; its value is 0.
    pub weather_kpa: Uncertain,
    /// What aged paper still holds.
    pub holding_factor: Uncertain,
    /// Departure of the inception temperature from the correlation, K; its value is 0.
    pub correlation_k: Uncertain,
    /// Departure of the true top oil from a measured one, K; its value is 0.
    pub measured_top_oil_k: Uncertain,
    /// How far above the temperatures at which they are set the thermostats act that start and stop the
    /// cooling, K, of all stages alike; its value is 0.
    pub thermostat_k: Uncertain,
    /// Departure of the hot spot from its hottest model, K; its value is 0.
    pub hot_spot_model_k: Uncertain,
    /// Which correlation a draw takes.
    pub correlation_choice: CorrelationChoice,
    /// Forecast of the load, % of it, with what a voltage adds that nobody states.
    pub load_percent: ForecastError,
    /// Forecast of the ambient, K.
    pub ambient_k: ForecastError,
    /// Whether the usual values are the user's and differ from the embedded ones.
    pub own_usual: bool,
}

impl UnitSpread {
    /// Every uncertain quantity as key, unit (empty for a pure number) and spread, always in this order;
    /// not the forecasts, which change with time.
    pub fn all(&self) -> impl Iterator<Item = (&'static str, &'static str, &Uncertain)> {
        let fields = [
            ("top_oil_rise_k", "K", self.top_oil_rise_k.as_ref()),
            ("hot_spot_gradient_k", "K", self.hot_spot_gradient_k.as_ref()),
            ("loss_ratio", "", self.loss_ratio.as_ref()),
            ("oil_exponent", "", self.oil_exponent.as_ref()),
            ("winding_exponent", "", self.winding_exponent.as_ref()),
            ("oil_time_constant_min", "min", self.oil_time_constant_min.as_ref()),
            ("winding_time_constant_min", "min", self.winding_time_constant_min.as_ref()),
            ("k21", "", self.k21.as_ref()),
            ("gas_percent", "% by volume", self.gas_percent.as_ref()),
            ("head_above_hot_spot_m", "m", self.head_above_hot_spot_m.as_ref()),
            ("weather_kpa", "kPa", Some(&self.weather_kpa)),
            ("holding_factor", "", Some(&self.holding_factor)),
            ("correlation_k", "K", Some(&self.correlation_k)),
            ("measured_top_oil_k", "K", Some(&self.measured_top_oil_k)),
            ("thermostat_k", "K", Some(&self.thermostat_k)),
            ("hot_spot_model_k", "K", Some(&self.hot_spot_model_k)),
        ];
        fields.into_iter().filter_map(|(key, unit, field)| Some((key, unit, field?)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loading::forecast_error::Origin;
    use crate::unit::defaults::Catalogue;
    use crate::unit::usual_uncertainty::{self, PATH};
    use crate::unit::validate::read_unit;
    use approx::assert_relative_eq;
    use std::collections::BTreeMap;

    const HEAT_RUN: &str =
        "{ constants: onaf, top_oil_rise_k: 52, hot_spot_gradient_k: 26, heat_run: 1987-05-12 }";

    /// An invented unit: what follows `thermal:`, what follows `gas:`, and further lines.
    fn read(thermal: &str, gas: &str, more: &str) -> UnitSpread {
        read_by(&Catalogue::embedded(), thermal, gas, more)
    }

    fn read_by(catalogue: &Catalogue, thermal: &str, gas: &str, more: &str) -> UnitSpread {
        let text = format!(
            "unit: test\nsize_class: medium\nrated: {{ mva: 40, cooling: ONAF }}\npaper: kraft\n\
             liquid: mineral\nthermal: {thermal}\ngas: {gas}\n{more}\n"
        );
        read_unit("test", &text, catalogue).unwrap().spread
    }

    fn std(uncertain: Option<Uncertain>) -> f64 {
        match uncertain.unwrap().spread {
            Spread::Std(std) => std,
            Spread::Interval { .. } => f64::NAN,
        }
    }

    #[test]
    fn a_heat_run_makes_only_what_it_measured_surer() {
        let measured = read(HEAT_RUN, "{ total_percent: 6 }", "");
        assert_relative_eq!(std(measured.top_oil_rise_k), 2.0);
        assert_relative_eq!(std(measured.hot_spot_gradient_k), 2.6);
        // The loss ratio is typical of ONAF, 6, with a heat run or without.
        assert_relative_eq!(std(measured.loss_ratio), 0.9);
        let guaranteed = HEAT_RUN.replace(", heat_run: 1987-05-12", "");
        let guaranteed = read(&guaranteed, "{ total_percent: 6 }", "");
        assert_relative_eq!(std(guaranteed.top_oil_rise_k), 5.0);
        assert_relative_eq!(std(guaranteed.hot_spot_gradient_k), 3.9);
    }

    #[test]
    fn usual_values_are_absolute_and_those_of_the_rated_stage() {
        let spread = read(HEAT_RUN, "{ total_percent: 6 }", "oil: { head_above_hot_spot_m: 1.5 }");
        // ONAF: x 0.8, y 1.3, 150 min and 7 min, k21 2.
        for (found, expected) in [
            (spread.oil_exponent, 0.03),
            (spread.winding_exponent, 0.05),
            (spread.oil_time_constant_min, 15.0),
            (spread.winding_time_constant_min, 1.05),
            (spread.k21, 0.15),
            (spread.gas_percent, 0.6),
            (spread.head_above_hot_spot_m, 0.2),
            (Some(spread.weather_kpa), 1.0),
            (Some(spread.holding_factor), 0.0),
            (Some(spread.correlation_k), 4.0),
            (Some(spread.measured_top_oil_k), 1.0),
            (Some(spread.thermostat_k), 1.5),
            (Some(spread.hot_spot_model_k), 2.0),
        ] {
            assert_relative_eq!(std(found), expected, max_relative = 1.0e-12);
        }
        assert_eq!(spread.correlation_choice, CorrelationChoice::Lower);
        assert!(spread.all().count() == 16 && spread.all().all(|(_, _, found)| !found.stated));
        assert_relative_eq!(spread.load_percent.own_std_at(1440.0), 5.0);
        assert_relative_eq!(spread.ambient_k.std_at(1440.0), 3.0);
        assert_eq!(spread.ambient_k.origin(), Origin::Usual);
    }

    #[test]
    fn what_has_no_value_has_no_spread() {
        let none = read_unit(
            "test",
            "unit: test\nsize_class: medium\nrated: { mva: 40, cooling: ONAF }\npaper: kraft\n\
             liquid: mineral\n",
            &Catalogue::embedded(),
        );
        let keys: Vec<&str> = none.as_ref().unwrap().spread.all().map(|found| found.0).collect();
        let without = ["weather_kpa", "holding_factor", "correlation_k", "measured_top_oil_k"];
        assert!(
            keys.iter().eq(without.iter().chain(&["thermostat_k", "hot_spot_model_k"])),
            "{keys:?}"
        );
        let without_overshoot = read("{ constants: od }", "{ total_percent: 6 }", "");
        assert!(without_overshoot.k21.is_none() && without_overshoot.oil_exponent.is_some());
        // Half of what 1.2 exceeds 1 by is less than the usual 0.15.
        let little = read("{ constants: od, k21: 1.2 }", "{ total_percent: 6 }", "");
        assert_relative_eq!(std(little.k21), 0.1, max_relative = 1.0e-12);
    }

    #[test]
    fn gas_that_is_assumed_is_somewhere_in_what_is_usual() {
        let spread = |kept: &str| {
            let oil = format!("oil: {{ preservation: {kept}, altitude_m: 0 }}");
            read(HEAT_RUN, "{ gases: { H2: 10 } }", &oil).gas_percent.unwrap()
        };
        let interval = |least: f64, most: f64| Spread::Interval { least, most };
        assert_eq!(spread("conservator").spread, interval(9.0, 10.0));
        assert_eq!(spread("conservator-membrane").spread, interval(1.0, 2.0));
        assert_eq!(spread("sealed").spread, interval(1.0, 2.0));
        // 8.6 % at one atmosphere of nitrogen, and a tenth of it.
        assert_relative_eq!(std(Some(spread("nitrogen-blanket"))), 0.86, max_relative = 1.0e-9);
        let more = read(
            HEAT_RUN,
            "{ gases: { CO2: 130000 } }",
            "oil: { preservation: conservator, altitude_m: 0 }",
        );
        // 13 % are more than is usual, so that what is usual says nothing of them.
        assert_relative_eq!(std(more.gas_percent), 1.3, max_relative = 1.0e-12);
    }

    #[test]
    fn what_is_stated_counts_as_stated() {
        let stated = "uncertainty:
  top_oil_rise_k: { least: 52, most: 58 }
  k21: { std: 0 }
  weather_kpa: { least: -2, most: 1 }
  correlation_k: { std: 3, choice: either }
  ambient_k: { std: 2 }
  load_percent: { at_start: 0, after_a_day: 8 }";
        let spread = read(HEAT_RUN, "{ total_percent: 6 }", stated);
        let keys: Vec<&str> =
            spread.all().filter(|(_, _, found)| found.stated).map(|found| found.0).collect();
        assert_eq!(keys, ["top_oil_rise_k", "k21", "weather_kpa", "correlation_k"]);
        let rise = spread.top_oil_rise_k.unwrap().spread;
        assert_eq!(rise, Spread::Interval { least: 52.0, most: 58.0 }, "an end may be the value");
        assert_relative_eq!(std(spread.k21), 0.0);
        assert_eq!(spread.correlation_choice, CorrelationChoice::Either);
        assert_relative_eq!(spread.ambient_k.std_at(5.0), 2.0);
        assert_relative_eq!(spread.load_percent.own_std_at(360.0), 4.0);
        assert_eq!(spread.load_percent.origin(), Origin::Profile);
    }

    #[test]
    fn thin_air_moves_what_is_stated_of_the_rise_and_does_not_widen_it() {
        let at = "oil: { altitude_m: 2500 }";
        let interval =
            format!("{at}\nuncertainty: {{ top_oil_rise_k: {{ least: 52, most: 58 }} }}");
        let rise = read(HEAT_RUN, "{ total_percent: 6 }", &interval).top_oil_rise_k.unwrap();
        assert_eq!(rise.spread, Spread::Interval { least: 58.0, most: 64.0 });
        assert_relative_eq!(std(read(HEAT_RUN, "{ total_percent: 6 }", at).top_oil_rise_k), 2.0);
    }

    #[test]
    fn an_assumed_natural_stage_is_as_uncertain_as_typical_figures_are() {
        let natural = read(HEAT_RUN, "{ total_percent: 6 }", "").natural.unwrap();
        assert_relative_eq!(std(Some(natural.rating_pu)), 0.05);
        assert_relative_eq!(std(Some(natural.top_oil_rise_k)), 5.0);
        assert_relative_eq!(std(Some(natural.hot_spot_gradient_k)), 3.9);
        let stages = "cooling_stages: [ { name: ONAF, rating_pu: 1 } ]";
        assert!(read(HEAT_RUN, "{ total_percent: 6 }", stages).natural.is_none());
    }

    #[test]
    fn usual_values_of_the_users_own_count_and_are_held_to_the_same_ceilings() {
        let embedded = Catalogue::embedded();
        let text = embedded.text(PATH).unwrap();
        let altered = |from: &str, to: &str| {
            assert!(text.contains(from), "{from}");
            let files = BTreeMap::from([(PATH.to_owned(), text.replace(from, to))]);
            Catalogue::embedded().overridden_by(files)
        };
        let own = altered("heat_run: 2\n", "heat_run: 4\n");
        let spread = read_by(&own, HEAT_RUN, "{ total_percent: 6 }", "");
        assert!(spread.own_usual && !read(HEAT_RUN, "{ total_percent: 6 }", "").own_usual);
        assert_relative_eq!(std(spread.top_oil_rise_k), 4.0);
        let large =
            altered("std: 10\n  unit: \"% of the value\"", "std: 40\n  unit: \"% of the value\"");
        let unit = format!(
            "unit: test\nsize_class: medium\nrated: {{ mva: 40, cooling: ONAF }}\npaper: kraft\n\
             liquid: mineral\nthermal: {HEAT_RUN}\n"
        );
        let refused = read_unit("test", &unit, &large).unwrap_err();
        assert!(refused.place == PATH && refused.line.is_some(), "{refused}");
        for (from, to) in [
            ("after_a_day: 3", "after_a_day: 0.5"),
            ("least: 9, most: 10", "least: 10, most: 9"),
            ("std: 1\n  unit: kPa", "std: 1\n  unit: \"% of the value\""),
            ("unit: kPa", "unit: mbar"),
            ("uncertainty: usual", "uncertainty: other"),
            ("std: 0.03", "std: .nan"),
        ] {
            let refused = usual_uncertainty::read(PATH, &text.replacen(from, to, 1)).unwrap_err();
            assert!(refused.line.is_some(), "{refused}");
        }
    }
}
