//! From the uncertainties as written to a [`UnitSpread`]: impossible ones refused, what is not stated usual.

use super::defaults::Catalogue;
use super::profile::UnitFile;
use super::spread::{NaturalSpread, Spread, Uncertain, UnitSpread};
use super::stages::FACTOR;
use super::uncertainty_file::{ForecastFile, SpreadFile, UncertaintyFile};
use super::uncertainty_limits::Quantity;
use super::usual_uncertainty::{Absolute, PATH};
use super::usual_uncertainty_file::UsualFile;
use super::validate::{Refuse, value};
use super::{Gas, StageData, Thermal};
use crate::bubbling::gas::Preservation;
use crate::input::InputError;
use crate::input::number::Range;
use crate::loading::forecast_error::{ForecastError, Origin};

/// Standard uncertainty of the models of the hot spot where the user's set of usual ones is from before there was one, K:
/// that of the embedded set.
const HOT_SPOT_MODEL_K: Absolute = Absolute { std: 2.0, line: 1 };

/// Reads what is stated and falls back on what is usual.
struct Reader<'a> {
    refuse: &'a Refuse<'a>,
    stated: &'a UncertaintyFile,
    usual: &'a UsualFile,
}

/// How uncertain each quantity of the unit is.
pub(super) fn spread(
    refuse: &Refuse<'_>,
    file: &UnitFile,
    thermal: Option<&Thermal>,
    gas: Option<&Gas>,
    catalogue: &Catalogue,
) -> Result<UnitSpread, InputError> {
    let (nothing, usual) = (UncertaintyFile::default(), catalogue.uncertainty()?);
    let stated = file.uncertainty.as_ref().unwrap_or(&nothing);
    let reader = Reader { refuse, stated, usual: &usual };
    let mut spread = reader.without_thermal(file, gas)?;
    spread.own_usual = catalogue.is_own(PATH);
    if let Some(thermal) = thermal {
        let rated = &thermal.stages[thermal.rated_stage];
        reader.rises(&mut spread, rated, thermal.heat_run.is_some())?;
        reader.constants(&mut spread, rated)?;
        spread.natural = thermal.assumed().map(|stage| reader.natural(stage)).transpose()?;
    }
    Ok(spread)
}

impl Reader<'_> {
    fn without_thermal(
        &self,
        file: &UnitFile,
        gas: Option<&Gas>,
    ) -> Result<UnitSpread, InputError> {
        let (stated, usual) = (self.stated, self.usual);
        let metres = file.oil.as_ref().and_then(|oil| value(oil.head_above_hot_spot_m.as_ref()));
        let head = |metres: f64| {
            let quantity = Quantity::up_to("head_above_hot_spot_m", "m", metres, 1.0);
            let usual = usual.head_above_hot_spot_m.of(metres);
            self.std(&quantity, stated.head_above_hot_spot_m.as_ref(), usual)
        };
        let holding = Quantity::holding(value(file.holding_factor.as_ref()).unwrap_or(1.0));
        let weather = Quantity::up_to("weather_kpa", "kPa", 0.0, 3.0);
        let reading = Quantity::up_to("measured_top_oil_k", "K", 0.0, 5.0);
        let thermostat = Quantity::up_to("thermostat_k", "K", 0.0, 5.0);
        let model = Quantity::up_to("hot_spot_model_k", "K", 0.0, 10.0);
        let usual_model =
            usual.hot_spot_model_k.as_ref().map_or(HOT_SPOT_MODEL_K, |usual| usual.of(0.0));
        let correlation = Quantity::up_to("correlation_k", "K", 0.0, 10.0);
        let own = stated.correlation_k.as_ref();
        let own_std = own.map(|own| Uncertain { spread: Spread::Std(own.std.value), stated: true });
        let usual_std = Absolute::from(&usual.correlation_k.std);
        let usual_holding = usual.holding_factor.of(holding.value);
        Ok(UnitSpread {
            top_oil_rise_k: None,
            hot_spot_gradient_k: None,
            loss_ratio: None,
            oil_exponent: None,
            winding_exponent: None,
            oil_time_constant_min: None,
            winding_time_constant_min: None,
            k21: None,
            natural: None,
            gas_percent: gas.map(|gas| self.gas(file, gas)).transpose()?,
            gas_percent_saturated: gas.map(|gas| self.saturated(file, gas)).transpose()?,
            head_above_hot_spot_m: metres.map(head).transpose()?,
            weather_kpa: self.std(
                &weather,
                stated.weather_kpa.as_ref(),
                usual.weather_kpa.of(0.0),
            )?,
            holding_factor: self.std(&holding, stated.holding_factor.as_ref(), usual_holding)?,
            correlation_k: own_std.map_or_else(|| usually(&correlation, usual_std), Ok)?,
            measured_top_oil_k: self.std(
                &reading,
                stated.measured_top_oil_k.as_ref(),
                usual.measured_top_oil_k.of(0.0),
            )?,
            hot_spot_model_k: self.std(&model, stated.hot_spot_model_k.as_ref(), usual_model)?,
            thermostat_k: self.std(
                &thermostat,
                stated.thermostat_k.as_ref(),
                usual.thermostat_k.of(0.0),
            )?,
            correlation_choice: own
                .and_then(|own| own.choice)
                .unwrap_or(usual.correlation_k.choice),
            load_percent: self
                .forecast("load_percent", stated.load_percent.as_ref(), || usual.load_error())?
                .at_unknown_voltage(),
            ambient_k: self
                .forecast("ambient_k", stated.ambient_k.as_ref(), || usual.ambient_error())?,
            own_usual: false,
        })
    }

    fn rises(
        &self,
        spread: &mut UnitSpread,
        rated: &StageData,
        heat_run: bool,
    ) -> Result<(), InputError> {
        let (stated, usual, own) = (self.stated, self.usual, &rated.stage.nameplate);
        let measured = |key: &str| heat_run && !rated.typical.contains(&key);
        // As stated, without what the altitude adds to it.
        let stated_k = own.top_oil_rise_k - rated.altitude_k;
        let rise = Quantity::positive("top_oil_rise_k", "K", stated_k);
        let of_rise = usual.top_oil_rise_k.of(rise.value, measured(rise.key));
        let gradient = Quantity::positive("hot_spot_gradient_k", "K", own.hot_spot_gradient_k);
        let of_gradient = usual
            .hot_spot_gradient_k
            .of(gradient.value, measured(gradient.key) && measured(FACTOR));
        let ratio = Quantity::positive("loss_ratio", "", own.loss_ratio);
        let of_ratio = usual.loss_ratio.of(ratio.value, measured(ratio.key));
        let of_rise = self.std(&rise, stated.top_oil_rise_k.as_ref(), of_rise)?;
        spread.top_oil_rise_k = Some(of_rise.shifted(rated.altitude_k));
        spread.hot_spot_gradient_k =
            Some(self.std(&gradient, stated.hot_spot_gradient_k.as_ref(), of_gradient)?);
        spread.loss_ratio = Some(self.std(&ratio, stated.loss_ratio.as_ref(), of_ratio)?);
        Ok(())
    }

    /// Of the natural stage that is assumed: its figures are typical, whatever was measured of the rated one.
    fn natural(&self, assumed: &StageData) -> Result<NaturalSpread, InputError> {
        let (usual, stage) = (self.usual, &assumed.stage);
        let rating = Quantity::positive("natural_rating_pu", "", stage.rating_pu);
        let rise_k = stage.nameplate.top_oil_rise_k;
        let rise = Quantity::positive("top_oil_rise_k", "K", rise_k);
        let gradient_k = stage.nameplate.hot_spot_gradient_k;
        let gradient = Quantity::positive("hot_spot_gradient_k", "K", gradient_k);
        Ok(NaturalSpread {
            rating_pu: usually(&rating, usual.natural_rating_pu.of(rating.value))?,
            top_oil_rise_k: usually(&rise, usual.top_oil_rise_k.of(rise_k, false))?,
            hot_spot_gradient_k: usually(
                &gradient,
                usual.hot_spot_gradient_k.of(gradient_k, false),
            )?,
        })
    }

    fn constants(&self, spread: &mut UnitSpread, rated: &StageData) -> Result<(), InputError> {
        let (stated, usual, iec) = (self.stated, self.usual, &rated.stage.iec);
        let x = Quantity::exponent("oil_exponent", iec.x, 0.10);
        let y = Quantity::exponent("winding_exponent", iec.y, 0.15);
        let oil = Quantity::positive("oil_time_constant_min", "min", iec.oil_time_constant_min);
        let winding =
            Quantity::positive("winding_time_constant_min", "min", iec.winding_time_constant_min);
        let k21 = Quantity::overshoot(iec.k21);
        spread.oil_exponent =
            Some(self.std(&x, stated.oil_exponent.as_ref(), usual.oil_exponent.of(x.value))?);
        spread.winding_exponent = Some(self.std(
            &y,
            stated.winding_exponent.as_ref(),
            usual.winding_exponent.of(y.value),
        )?);
        spread.oil_time_constant_min = Some(self.std(
            &oil,
            stated.oil_time_constant_min.as_ref(),
            usual.oil_time_constant_min.of(oil.value),
        )?);
        spread.winding_time_constant_min = Some(self.std(
            &winding,
            stated.winding_time_constant_min.as_ref(),
            usual.winding_time_constant_min.of(winding.value),
        )?);
        if iec.k21 > 1.0 || stated.k21.is_some() {
            let usual = usual.k21.of(iec.k21).at_most(k21.most_std);
            spread.k21 = Some(self.std(&k21, stated.k21.as_ref(), usual)?);
        }
        Ok(())
    }

    /// Gas that is assumed is somewhere in what is usual, if the value is: the single gases of a report
    /// may sum to more.
    fn gas(&self, file: &UnitFile, gas: &Gas) -> Result<Uncertain, InputError> {
        let quantity = Quantity::positive("gas_percent", "% by volume", gas.total.value());
        let stated = self.stated.gas_percent.as_ref();
        let kept = file.oil.as_ref().and_then(|oil| oil.preservation);
        let assumed = gas.assumed.as_ref().and_then(|_| self.usual.gas_assumed(kept));
        match assumed {
            Some(Spread::Interval { least, most })
                if stated.is_none() && (least..=most).contains(&quantity.value) =>
            {
                Ok(Uncertain { spread: Spread::Interval { least, most }, stated: false })
            }
            Some(_) | None => {
                self.std(&quantity, stated, self.usual.gas_percent.of(quantity.value))
            }
        }
    }

    /// Oil that holds what it holds when saturated is somewhere in what is usual for the way it is kept; where there
    /// is no such interval, or it leaves the value out, as uncertain as a measured figure.
    fn saturated(&self, file: &UnitFile, gas: &Gas) -> Result<Uncertain, InputError> {
        let percent = gas.saturated.value();
        let kept = file.oil.as_ref().and_then(|oil| oil.preservation);
        let usual = self.usual.gas_assumed(Some(kept.unwrap_or(Preservation::Conservator)));
        match usual {
            Some(Spread::Interval { least, most }) if (least..=most).contains(&percent) => {
                Ok(Uncertain { spread: Spread::Interval { least, most }, stated: false })
            }
            Some(_) | None => usually(
                &Quantity::positive("gas_percent", "% by volume", percent),
                self.usual.gas_percent.of(percent),
            ),
        }
    }

    /// What is stated, else the usual standard uncertainty.
    fn std<R: Range>(
        &self,
        quantity: &Quantity,
        stated: Option<&SpreadFile<R>>,
        usual: Absolute,
    ) -> Result<Uncertain, InputError> {
        match stated {
            Some(stated) => self.stated(quantity, stated),
            None => usually(quantity, usual),
        }
    }

    fn stated<R: Range>(
        &self,
        quantity: &Quantity,
        stated: &SpreadFile<R>,
    ) -> Result<Uncertain, InputError> {
        let key = format!("uncertainty.{}", quantity.key);
        let spread = match (&stated.std, &stated.least, &stated.most) {
            (Some(std), None, None) => {
                let refused = quantity.refuse_std(std.value);
                refused
                    .map(|(found, accepted)| self.refuse.at(std.line, &key, found, accepted))
                    .map_or(Ok(Spread::Std(std.value)), Err)
            }
            (None, Some(least), Some(most)) => {
                let ends = Spread::Interval { least: least.value, most: most.value };
                let refused = quantity.refuse_interval(least.value, most.value);
                refused
                    .map(|(found, accepted)| self.refuse.at(least.line, &key, found, accepted))
                    .map_or(Ok(ends), Err)
            }
            (std, least, most) => {
                let ends = [least, most].into_iter().flatten().map(|end| end.line);
                let line = std.iter().map(|std| std.line).chain(ends).min();
                Err(self.neither(line, &key, "least and most"))
            }
        };
        spread.map(|spread| Uncertain { spread, stated: true })
    }

    fn forecast<R: Range>(
        &self,
        key: &str,
        stated: Option<&ForecastFile<R>>,
        usual: impl FnOnce() -> Result<ForecastError, InputError>,
    ) -> Result<ForecastError, InputError> {
        let Some(stated) = stated else { return usual() };
        let key = format!("uncertainty.{key}");
        let figures = (&stated.std, &stated.at_start, &stated.after_a_day);
        let (line, error) = match figures {
            (Some(std), None, None) => {
                (std.line, ForecastError::constant(std.value, Origin::Profile))
            }
            (None, Some(start), Some(later)) => {
                (start.line, ForecastError::growing(start.value, later.value, Origin::Profile))
            }
            (std, start, later) => {
                let lines = [std, start, later].into_iter().flatten().map(|figure| figure.line);
                return Err(self.neither(lines.min(), &key, "at_start and after_a_day"));
            }
        };
        error.ok_or_else(|| {
            let accepted = "an error that does not shrink: after_a_day no less than at_start";
            self.refuse.at(line, &key, "less after a day than at the start", accepted)
        })
    }

    fn neither(&self, line: Option<usize>, key: &str, both: &str) -> InputError {
        let accepted = format!("either std, or {both}");
        match line {
            Some(line) => self.refuse.at(line, key, "another set of keys", accepted),
            None => self.refuse.whole(key, "none of its keys", accepted),
        }
    }
}

/// The usual standard uncertainty, held to the same ceiling as a stated one.
fn usually(quantity: &Quantity, usual: Absolute) -> Result<Uncertain, InputError> {
    match quantity.refuse_std(usual.std) {
        None => Ok(Uncertain { spread: Spread::Std(usual.std), stated: false }),
        Some((found, accepted)) => {
            let found = format!("{found} for the value {}", quantity.value);
            let refused = InputError::new(PATH, found, accepted);
            Err(refused.at_line(usual.line).at_key(quantity.key))
        }
    }
}
