//! The uncertain inputs of a case as distributions, each with a column of its own in the draws.

use super::drawn_water::DrawnAtHotSpot;
use crate::assessment::case::Case;
use crate::assessment::course::cooling;
use crate::assessment::past::Before;
use crate::bubbling::gas_age::{CountedGas, raised};
use crate::loading::forecast_error::{ForecastError, Origin};
use crate::quantities::Metres;
use crate::rules::facts::{Facts, HoldingFacts, HoldingFrom};
use crate::thermal::cooling::{Control, Stage};
use crate::uncertainty::distribution::{Distribution, NoDistribution, Shape};
use crate::unit::spread::{CorrelationChoice, NaturalSpread, Spread, Uncertain};
use crate::unit::{StageData, Thermal};
use serde::Serialize;

/// A normal quantity is held within so many standard uncertainties: none of the usual ones then
/// reaches below zero.
pub(super) const HELD_WITHIN: f64 = 3.0;

/// What is uncertain, in the order of the columns: first what usually matters most, because the first
/// columns of a Sobol sequence are the most even.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Quantity {
    /// Water in the paper at the hot spot, %.
    Moisture,
    /// Departure of the hot spot from its hottest model, K.
    HotSpotModel,
    /// Rating of a natural cooling stage that is assumed, per unit.
    NaturalRating,
    /// Its top-oil rise, K.
    NaturalTopOilRise,
    /// Its hot-spot rise over top oil, K.
    NaturalGradient,
    /// Departure of the inception temperature from the correlation, K.
    Correlation,
    /// Hot-spot rise over top oil, K.
    HotSpotGradient,
    /// Error of the load, in standard uncertainties.
    Load,
    /// Error of the ambient, in standard uncertainties.
    Ambient,
    /// Top-oil rise, K.
    TopOilRise,
    /// How far above the temperatures at which they are set the thermostats of the cooling act, K.
    Thermostat,
    /// Total dissolved gas, % by volume.
    Gas,
    /// Constant k21.
    K21,
    /// Winding exponent y, and 2m by as much.
    WindingExponent,
    /// Oil exponent x, and n by as much.
    OilExponent,
    /// Oil time constant, min.
    OilTimeConstant,
    /// Winding time constant, min.
    WindingTimeConstant,
    /// Load loss over no-load loss.
    LossRatio,
    /// Departure of the true top oil from the measured one, K.
    MeasuredTopOil,
    /// What aged paper still holds.
    HoldingFactor,
    /// Oil above the hot spot, m.
    Head,
    /// Departure of the air pressure from the standard atmosphere, kPa.
    Weather,
    /// Which of both correlations, where one is drawn: below ½ Oommen–Lindgren, else Fessler.
    WhichCorrelation,
}

impl Quantity {
    /// Every one of them, in the order of the columns.
    pub const ALL: [Self; 23] = [
        Self::Moisture,
        Self::HotSpotModel,
        Self::NaturalRating,
        Self::NaturalTopOilRise,
        Self::NaturalGradient,
        Self::Correlation,
        Self::HotSpotGradient,
        Self::Load,
        Self::Ambient,
        Self::TopOilRise,
        Self::Thermostat,
        Self::Gas,
        Self::K21,
        Self::WindingExponent,
        Self::OilExponent,
        Self::OilTimeConstant,
        Self::WindingTimeConstant,
        Self::LossRatio,
        Self::MeasuredTopOil,
        Self::HoldingFactor,
        Self::Head,
        Self::Weather,
        Self::WhichCorrelation,
    ];

    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Moisture => "water in the paper",
            Self::HotSpotModel => "hot-spot model",
            Self::Correlation => "bubbling correlation",
            Self::HotSpotGradient => "hot-spot gradient",
            Self::Load => "load forecast",
            Self::Ambient => "ambient forecast",
            Self::TopOilRise => "top-oil rise",
            Self::Thermostat => "cooling thermostats",
            Self::Gas => "dissolved gas",
            Self::K21 => "winding overshoot k21",
            Self::WindingExponent => "winding exponent",
            Self::OilExponent => "oil exponent",
            Self::OilTimeConstant => "oil time constant",
            Self::WindingTimeConstant => "winding time constant",
            Self::LossRatio => "loss ratio",
            Self::MeasuredTopOil => "measured top oil",
            Self::HoldingFactor => "holding factor",
            Self::Head => "oil head",
            Self::Weather => "air pressure",
            Self::WhichCorrelation => "choice of correlation",
            Self::NaturalRating => "natural cooling rating",
            Self::NaturalTopOilRise => "natural top-oil rise",
            Self::NaturalGradient => "natural hot-spot gradient",
        }
    }

    /// Unit of the values drawn; empty for a pure number.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Moisture => "%",
            Self::Gas => "% by volume",
            Self::Correlation
            | Self::HotSpotGradient
            | Self::TopOilRise
            | Self::Thermostat
            | Self::HotSpotModel
            | Self::NaturalTopOilRise
            | Self::NaturalGradient
            | Self::MeasuredTopOil => "K",
            Self::OilTimeConstant | Self::WindingTimeConstant => "min",
            Self::Load | Self::Ambient => "standard uncertainties",
            Self::Head => "m",
            Self::Weather => "kPa",
            Self::NaturalRating => "pu",
            Self::K21
            | Self::WindingExponent
            | Self::OilExponent
            | Self::LossRatio
            | Self::HoldingFactor
            | Self::WhichCorrelation => "",
        }
    }
}

/// One uncertain input.
#[derive(Debug, Clone, Copy)]
pub struct Input {
    /// What it is.
    pub quantity: Quantity,
    /// How it is distributed, as stated or usual; [`Input::at`] is what is drawn.
    pub distribution: Distribution,
    /// Its value without any doubt; what the distribution is about.
    pub value: f64,
    /// Whether its spread is stated; else it is usual, or follows from the evidence.
    pub stated: bool,
    /// Where it moves to, and how far, for the age of its evidence (gas).
    towards: Option<Towards>,
}

/// A figure of which the evidence is old, on the way to what is usual without any.
#[derive(Debug, Clone, Copy)]
struct Towards {
    distribution: Distribution,
    /// 0: not moved; 1: as far as it goes.
    share: f64,
}

impl Input {
    /// The value below which a share `unit` of the distribution lies.
    ///
    /// ```text
    /// q = q_stated + share · max(0, q_usual − q_stated)
    /// ```
    /// So no quantile falls as the evidence grows older.
    pub fn at(&self, unit: f64) -> f64 {
        let stated = self.distribution.at(unit);
        let to = |towards: Towards| raised(stated, towards.distribution.at(unit), towards.share);
        self.towards.map_or(stated, to)
    }

    /// Whether every draw has the same value.
    fn is_fixed(&self) -> bool {
        let fixed = |distribution: Distribution| matches!(distribution.shape(), Shape::Fixed(_));
        let towards = self.towards.filter(|towards| towards.share > 0.0);
        fixed(self.distribution) && towards.is_none_or(|towards| fixed(towards.distribution))
    }
}

/// The inputs of a case: all values, and columns for those that are uncertain.
#[derive(Debug, Clone)]
pub struct Inputs {
    /// What is uncertain, in the order of the columns.
    pub uncertain: Vec<Input>,
    /// Which correlation a draw takes.
    pub choice: CorrelationChoice,
    /// The water at the hot spot, for every holding factor.
    pub water: DrawnAtHotSpot,
    /// Values of [`Quantity::ALL`] where nothing is drawn.
    values: [f64; Quantity::ALL.len()],
    /// Columns of [`Quantity::ALL`].
    columns: [Option<usize>; Quantity::ALL.len()],
}

/// The value of every input in one draw.
#[derive(Debug, Clone, Copy)]
pub struct Values([f64; Quantity::ALL.len()]);

impl Values {
    /// The value of one input.
    pub fn of(&self, quantity: Quantity) -> f64 {
        self.0[quantity as usize]
    }

    /// The same with another value of one input.
    #[must_use]
    pub fn with(mut self, quantity: Quantity, value: f64) -> Self {
        self.0[quantity as usize] = value;
        self
    }
}

impl Inputs {
    /// `None` without thermal data, moisture, gas or pressure: then there is no margin to spread.
    pub fn of(case: &Case, facts: &Facts<'_>) -> Option<Self> {
        let unit = &case.unit;
        let thermal = unit.thermal.as_ref()?;
        let gas = facts.bubbling.gas?;
        facts.bubbling.pressure?;
        let water = DrawnAtHotSpot::of(facts)?;
        let mut inputs = Self {
            uncertain: Vec::new(),
            choice: unit.spread.correlation_choice,
            water,
            values: [0.0; Quantity::ALL.len()],
            columns: [None; Quantity::ALL.len()],
        };
        let spread = &unit.spread;
        let rated = &thermal.stages[thermal.rated_stage];
        for quantity in Quantity::ALL {
            let found = match quantity {
                Quantity::Moisture => inputs.water.distribution(),
                Quantity::HoldingFactor => holding(&facts.moisture.holding, spread.holding_factor),
                Quantity::Gas => held(gas.stated.value(), spread.gas_percent, f64::INFINITY),
                Quantity::Head => {
                    let head_m = unit.surroundings.head.map_or(0.0, Metres::value);
                    held(head_m, spread.head_above_hot_spot_m, head_m)
                }
                Quantity::Load => error(&case.request.load_error),
                Quantity::Ambient => error(&case.request.ambient_error),
                Quantity::WhichCorrelation => choice(spread.correlation_choice),
                Quantity::MeasuredTopOil if case.request.top_oil_c.is_none() => {
                    held(0.0, None, 0.0)
                }
                Quantity::Thermostat if !starts_by_itself(case, thermal) => held(0.0, None, 0.0),
                Quantity::NaturalRating => {
                    assumed(case, |stage| stage.rating_pu, |natural| natural.rating_pu)
                }
                Quantity::NaturalTopOilRise => assumed(
                    case,
                    |stage| stage.nameplate.top_oil_rise_k,
                    |natural| natural.top_oil_rise_k,
                ),
                Quantity::NaturalGradient => assumed(
                    case,
                    |stage| stage.nameplate.hot_spot_gradient_k,
                    |natural| natural.hot_spot_gradient_k,
                ),
                Quantity::Correlation
                | Quantity::HotSpotGradient
                | Quantity::TopOilRise
                | Quantity::Thermostat
                | Quantity::HotSpotModel
                | Quantity::K21
                | Quantity::WindingExponent
                | Quantity::OilExponent
                | Quantity::OilTimeConstant
                | Quantity::WindingTimeConstant
                | Quantity::LossRatio
                | Quantity::MeasuredTopOil
                | Quantity::Weather => {
                    let (value, uncertain) = about(quantity, case, rated);
                    held(value, uncertain, f64::INFINITY)
                }
            };
            // Spreads were checked when they were read; one that makes no distribution is none.
            let (value, distribution, stated) = found.ok()?;
            let mut input = Input { quantity, distribution, value, stated, towards: None };
            if quantity == Quantity::Gas {
                input.value = gas.total.value();
                input.towards = Some(ageing(&gas, spread.gas_percent_saturated)?);
            }
            inputs.push(input);
        }
        Some(inputs)
    }

    fn push(&mut self, input: Input) {
        let index = input.quantity as usize;
        self.values[index] = input.value;
        if !input.is_fixed() {
            self.columns[index] = Some(self.uncertain.len());
            self.uncertain.push(input);
        }
    }

    /// The values of one draw from a row of numbers in (0, 1), one for each uncertain input.
    pub fn values(&self, row: &[f64]) -> Values {
        let mut values = self.values;
        for (index, column) in self.columns.iter().enumerate() {
            if let Some(column) = column {
                values[index] = self.uncertain[*column].at(row[*column]);
            }
        }
        Values(values)
    }

    /// Columns of a row: one for each uncertain input, and one nobody looks at where nothing is
    /// uncertain, so that there are draws all the same.
    pub fn columns(&self) -> usize {
        self.uncertain.len().max(1)
    }

    /// Every input at its median.
    pub fn medians(&self) -> Values {
        self.values(&vec![0.5; self.columns()])
    }

    /// The values without any doubt.
    pub fn central(&self) -> Values {
        Values(self.values)
    }

    /// Whether a quantity is uncertain.
    pub fn varies(&self, quantity: Quantity) -> bool {
        self.columns[quantity as usize].is_some()
    }
}

pub(super) type Found = Result<(f64, Distribution, bool), NoDistribution>;

/// What aged paper still holds: as stated, else evenly from the lower end to new paper.
fn holding(found: &HoldingFacts, stated: Uncertain) -> Found {
    let factor = found.factor;
    if found.from == HoldingFrom::Stated {
        return held(factor.central, Some(stated), f64::INFINITY);
    }
    Ok((factor.central, Distribution::uniform(factor.lowest, 1.0)?, false))
}

/// A gas figure whose sample is old moves towards what the oil holds when saturated, spread as that is.
fn ageing(gas: &CountedGas, saturated: Option<Uncertain>) -> Option<Towards> {
    let (_, distribution, _) = held(gas.saturated.value(), saturated, f64::INFINITY).ok()?;
    Some(Towards { distribution, share: gas.age.share })
}

/// A quantity of the natural stage that is assumed; fixed where the stages are stated.
fn assumed(
    case: &Case,
    value: fn(&Stage) -> f64,
    uncertain: fn(&NaturalSpread) -> Uncertain,
) -> Found {
    let stage = case.unit.thermal.as_ref().and_then(Thermal::assumed);
    let (Some(data), Some(natural)) = (stage, case.unit.spread.natural.as_ref()) else {
        return held(0.0, None, 0.0);
    };
    held(value(&data.stage), Some(uncertain(natural)), f64::INFINITY)
}

/// Whether a thermostat starts a stage: in the question, or before minute 0 where a stage is stated. Where none
/// does nothing is drawn, and fixed cooling keeps its draws.
fn starts_by_itself(case: &Case, thermal: &Thermal) -> bool {
    let (cooling, _) = cooling(thermal, case.request.stage, None);
    Before::of(&cooling).control(false) == Control::Automatic
}

fn error(error: &ForecastError) -> Found {
    let spread = if error.is_some() { 1.0 } else { 0.0 };
    let stated = error.origin() != Origin::Usual;
    Ok((0.0, Distribution::normal(0.0, spread, HELD_WITHIN)?, stated))
}

fn choice(choice: CorrelationChoice) -> Found {
    Ok(match choice {
        CorrelationChoice::Lower => (0.0, Distribution::fixed(0.0)?, false),
        CorrelationChoice::Either => (0.0, Distribution::uniform(0.0, 1.0)?, true),
    })
}

/// A value with its spread, held within three standard uncertainties and `most_off`.
fn held(value: f64, uncertain: Option<Uncertain>, most_off: f64) -> Found {
    let Some(Uncertain { spread, stated }) = uncertain else {
        return Ok((value, Distribution::fixed(value)?, false));
    };
    let distribution = match spread {
        Spread::Std(std) => Distribution::normal(value, std, (HELD_WITHIN * std).min(most_off))?,
        Spread::Interval { least, most } => Distribution::uniform(least, most)?,
    };
    Ok((value, distribution, stated))
}

/// The value of a quantity of the unit, at the rated stage, and its spread.
fn about(quantity: Quantity, case: &Case, rated: &StageData) -> (f64, Option<Uncertain>) {
    let (spread, stage) = (&case.unit.spread, &rated.stage);
    let nameplate = &stage.nameplate;
    match quantity {
        Quantity::Correlation => (0.0, Some(spread.correlation_k)),
        Quantity::HotSpotGradient => (nameplate.hot_spot_gradient_k, spread.hot_spot_gradient_k),
        Quantity::TopOilRise => (nameplate.top_oil_rise_k, spread.top_oil_rise_k),
        Quantity::LossRatio => (nameplate.loss_ratio, spread.loss_ratio),
        Quantity::K21 => (stage.iec.k21, spread.k21),
        Quantity::WindingExponent => (stage.iec.y, spread.winding_exponent),
        Quantity::OilExponent => (stage.iec.x, spread.oil_exponent),
        Quantity::OilTimeConstant => {
            (stage.iec.oil_time_constant_min, spread.oil_time_constant_min)
        }
        Quantity::WindingTimeConstant => {
            (stage.iec.winding_time_constant_min, spread.winding_time_constant_min)
        }
        Quantity::Thermostat => (0.0, Some(spread.thermostat_k)),
        Quantity::HotSpotModel => (0.0, Some(spread.hot_spot_model_k)),
        Quantity::MeasuredTopOil => (0.0, Some(spread.measured_top_oil_k)),
        Quantity::Weather => (0.0, Some(spread.weather_kpa)),
        Quantity::Moisture
        | Quantity::HoldingFactor
        | Quantity::Load
        | Quantity::Ambient
        | Quantity::Gas
        | Quantity::Head
        | Quantity::WhichCorrelation
        | Quantity::NaturalRating
        | Quantity::NaturalTopOilRise
        | Quantity::NaturalGradient => (0.0, None),
    }
}
