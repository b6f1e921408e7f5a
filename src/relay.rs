//! Relays and indicators as far as load and temperature make them act: settings as plain data, and when each acts.
//!
//! What stands here is generic. A maker's relay differs from it in ways that only its manual tells, and
//! no winding indicator measures the winding: it shows top oil and a heater that the current drives.
//!
//! Where a profile leaves out how far a device may be off, both ends of what is common are taken, each
//! for the question for which it is the worse one ([`Side`]).

pub mod indicator;
pub mod inverse_time;
pub mod thermal_image;

use indicator::{OilIndicator, WindingIndicator};
use inverse_time::Overcurrent;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use thermal_image::ThermalImage;

/// A relay or indicator of a unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Relay {
    /// Its name, as in the profile.
    pub name: String,
    /// What it does, and its settings.
    pub function: Function,
}

/// What a relay does, and its settings.
#[derive(Debug, Clone, PartialEq)]
pub enum Function {
    /// A thermal image of the current.
    ThermalImage(ThermalImage),
    /// Overcurrent with inverse or definite time.
    Overcurrent(Overcurrent),
    /// A winding-temperature indicator with contacts.
    WindingTemperature(WindingIndicator),
    /// A top-oil thermometer with contacts.
    OilTemperature(OilIndicator),
    /// A contact that starts fans or pumps.
    FanStart(FanStart),
}

/// A contact that starts a cooling stage.
#[derive(Debug, Clone, PartialEq)]
pub struct FanStart {
    /// The indicator that carries the contact.
    pub indicator: Indicator,
    /// It starts them at this reading, °C.
    pub start_c: f64,
    /// It stops them at this reading, °C.
    pub stop_c: f64,
    /// Index of the cooling stage; `None`: the first one that starts by itself.
    pub stage: Option<usize>,
}

/// Which indicator carries a contact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Indicator {
    /// The top-oil thermometer.
    Oil,
    /// The winding indicator.
    Winding,
}

/// Which end of what a device may be off counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// It acts as early as it may: for whether it lets a load through.
    Early,
    /// It acts as late as it may: for whether it acts in time.
    Late,
}

impl Side {
    /// 1 where a device that reads too much counts, −1 where one that reads too little does.
    pub fn sign(self) -> f64 {
        match self {
            Self::Early => 1.0,
            Self::Late => -1.0,
        }
    }
}

/// How far current and time of a relay may be off where nothing is stated, %. Common practice, no source.
pub const USUAL_TOLERANCE_PERCENT: f64 = 5.0;

impl Function {
    /// What it is, in words.
    pub fn in_words(&self) -> &'static str {
        match self {
            Self::ThermalImage(_) => "thermal image, generic first-order",
            Self::Overcurrent(relay) => relay.in_words(),
            Self::WindingTemperature(_) => "winding indicator",
            Self::OilTemperature(_) => "oil thermometer",
            Self::FanStart(_) => "fan start",
        }
    }
}
