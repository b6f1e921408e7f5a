//! Cooling stages: what each can do, and when one takes over from another.

use super::detailed::Figures;
use super::iec::IecConstants;
use super::ieee::IeeeConstants;
use super::{Nameplate, State};

/// Which temperature starts and stops a stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sensor {
    /// The top-oil thermometer.
    TopOil,
    /// The winding indicator, taken as the computed hot spot.
    Winding,
}

impl Sensor {
    /// What it reads of a state, °C.
    pub fn of(self, state: &State) -> f64 {
        match self {
            Self::TopOil => state.top_oil_c,
            Self::Winding => state.hot_spot_c(),
        }
    }
}

/// The temperatures at which a stage starts and stops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Switching {
    /// What is measured.
    pub sensor: Sensor,
    /// The stage starts at or above this, °C.
    pub start_c: f64,
    /// The stage stops at or below this, °C; lower than `start_c`.
    pub stop_c: f64,
}

impl Switching {
    /// The same where the thermostat acts at temperatures so much higher, K: starts and stops together.
    #[must_use]
    pub fn shifted(self, thermostat_k: f64) -> Self {
        let (start_c, stop_c) = (self.start_c + thermostat_k, self.stop_c + thermostat_k);
        Self { start_c, stop_c, ..self }
    }
}

/// One cooling stage with its own rating, rises and constants.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// Name as in the profile.
    pub name: String,
    /// Rating of the stage per unit of the transformer's rating.
    pub rating_pu: f64,
    /// Rises and loss ratio at the stage's rating.
    pub nameplate: Nameplate,
    /// Whether its hot-spot gradient is typical and not the unit's own.
    pub gradient_typical: bool,
    /// Constants of the IEC form.
    pub iec: IecConstants,
    /// Constants of the IEEE form.
    pub ieee: IeeeConstants,
    /// Figures of the detailed model.
    pub detailed: Figures,
    /// When it starts and stops by itself; `None` if it does not.
    pub switching: Option<Switching>,
}

/// Which stage is in service.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Control {
    /// One stage throughout, by its index.
    Fixed(usize),
    /// Stages start and stop by their own temperatures.
    Automatic,
}

impl Control {
    /// The stage to start from when nothing else is known.
    pub fn first(self) -> usize {
        match self {
            Self::Fixed(index) => index,
            Self::Automatic => 0,
        }
    }
}

/// The cooling of the unit as it will be during the overload.
///
/// Stages run from the weakest to the strongest.
#[derive(Debug, Clone, PartialEq)]
pub struct Cooling {
    /// At least one stage, weakest first.
    pub stages: Vec<Stage>,
    /// How the stage in service is chosen.
    pub control: Control,
    /// From this minute on only the weakest stage is left (fans or pumps lost).
    pub lost_at_min: Option<f64>,
}

impl Cooling {
    /// The same with one oil exponent for all loads in the IEEE form; `None` where it has no other.
    pub(crate) fn with_one_exponent(&self) -> Option<Self> {
        let two = self.stages.iter().any(|stage| stage.ieee.below_rating < 1.0);
        let of = |stage: &Stage| {
            let ieee = IeeeConstants { below_rating: 1.0, ..stage.ieee };
            Stage { ieee, ..stage.clone() }
        };
        two.then(|| Self { stages: self.stages.iter().map(of).collect(), ..self.clone() })
    }

    /// The stage to start from when nothing else is known.
    pub fn first(&self) -> usize {
        self.control.first()
    }

    /// Whether any stage starts and stops by this sensor.
    pub fn switches_by(&self, sensor: Sensor) -> bool {
        let mut switchings = self.stages.iter().filter_map(|stage| stage.switching);
        switchings.any(|switching| switching.sensor == sensor)
    }

    /// The temperatures that start and stop a stage where thermostats act so much above them, K.
    pub(super) fn switching(&self, stage: usize, thermostat_k: f64) -> Option<Switching> {
        self.stages.get(stage)?.switching.map(|switching| switching.shifted(thermostat_k))
    }

    /// The stage that should follow `stage` at these temperatures, top oil and hot spot, if any;
    /// thermostats act `thermostat_k` above the temperatures at which they are set.
    pub(super) fn next(
        &self,
        (stage, thermostat_k): (usize, f64),
        time_min: f64,
        [top_oil_c, hot_spot_c]: [f64; 2],
    ) -> Option<usize> {
        if self.lost_at_min.is_some_and(|lost| time_min >= lost) {
            return (stage != 0).then_some(0);
        }
        if self.control != Control::Automatic {
            return None;
        }
        let reading = |sensor| match sensor {
            Sensor::TopOil => top_oil_c,
            Sensor::Winding => hot_spot_c,
        };
        let above = self.switching(stage + 1, thermostat_k);
        if above.is_some_and(|s| reading(s.sensor) >= s.start_c) {
            return Some(stage + 1);
        }
        let own = self.switching(stage, thermostat_k);
        if stage > 0 && own.is_some_and(|s| reading(s.sensor) <= s.stop_c) {
            return Some(stage - 1);
        }
        None
    }
}
