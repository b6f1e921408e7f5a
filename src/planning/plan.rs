//! A plan of outages, checked. Minutes count from [`Plan::begins`].

use crate::bubbling::gas::Preservation;
use crate::loading::forecast_error::ForecastError;
use crate::thermal::schedule::{AmbientLine, LoadSteps};
use crate::unit::Unit;
use crate::unit::profile::StageFile;
use chrono::{DateTime, FixedOffset, SecondsFormat};

/// Planned outages, and what the units carry with and without them.
#[derive(Debug, Clone)]
pub struct Plan {
    /// Its name.
    pub name: String,
    /// Limit set while an outage runs.
    pub limits: String,
    /// Limit set for the next trip.
    pub next_trip_limits: String,
    /// Currency of every cost; `None` where no cost is stated.
    pub currency: Option<String>,
    /// Minute 0: the first row of the ambient, or the next full hour after it.
    pub begins: DateTime<FixedOffset>,
    /// Ambient; after its last row it goes to the highest of all rows.
    pub ambient: AmbientLine,
    /// Last row of the ambient, min.
    pub ambient_until_min: f64,
    /// How wrong the ambient may be, K, if its file says so.
    pub ambient_error: Option<ForecastError>,
    /// Units, each name once.
    pub units: Vec<PlannedUnit>,
    /// Outages, each name once; at least one.
    pub outages: Vec<Outage>,
    /// What may be bought for the unit that is asked about.
    pub options: Vec<PlanOption>,
    /// Voltage that is stated, by flag or series, pu of the rated one, the lowest where it changes.
    pub voltage_pu: Option<f64>,
    /// Whether the voltage of every load is stated, so that nothing is drawn for it.
    pub voltage_known: bool,
}

impl Plan {
    /// The place of a unit in [`Self::units`].
    pub fn place_of(&self, name: &str) -> Option<usize> {
        self.units.iter().position(|own| own.name == name)
    }

    /// The greatest load that a unit normally carries in the forecast, pu; at most 1.
    pub fn greatest_normal_pu(&self, unit: usize) -> f64 {
        let load = &self.units[unit].normally.load;
        load.greatest_between(0.0, self.ambient_until_min).min(1.0)
    }

    /// The highest ambient of the forecast, up to the next five degrees, °C.
    pub fn highest_ambient_c(&self) -> f64 {
        let knots = self.ambient.knots().iter().map(|knot| knot.1);
        (knots.fold(f64::NEG_INFINITY, f64::max) / 5.0).ceil() * 5.0
    }

    /// A minute of the plan as RFC 3339, to the second.
    pub fn time(&self, minute: f64) -> String {
        #[allow(clippy::cast_possible_truncation, reason = "seconds within some years")]
        let seconds = (minute * 60.0).round() as i64;
        let at = self.begins + chrono::Duration::seconds(seconds);
        at.to_rfc3339_opts(SecondsFormat::Secs, true)
    }
}

/// A unit of the plan.
#[derive(Debug, Clone)]
pub struct PlannedUnit {
    /// Its name, as in its profile.
    pub name: String,
    /// Its profile.
    pub unit: Unit,
    /// Load in MVA that is its rated current, at the plan's lowest voltage and its worst tap.
    pub mva_of_1_pu: f64,
    /// The same at the plan's highest voltage: what has to be given away is no more than by this.
    pub most_mva_of_1_pu: f64,
    /// What it carries where no outage says otherwise.
    pub normally: Carried,
}

/// What a unit carries.
#[derive(Debug, Clone)]
pub struct Carried {
    /// Its place in [`Plan::units`].
    pub unit: usize,
    /// Load, per unit of its rated current; a load holds until the next one.
    pub load: LoadSteps,
    /// From when the series behind it are known, min; before it the first load stands.
    pub from_min: f64,
    /// Until when they are known, min; after it the last load stands.
    pub until_min: f64,
    /// How wrong the load may be, % of it, if the series say so; `None`: as its profile says, or as usual.
    pub error: Option<ForecastError>,
}

/// A planned outage. It lies within what the ambient and every series in it cover.
#[derive(Debug, Clone)]
pub struct Outage {
    /// Its name.
    pub name: String,
    /// The units that are out, as places in [`Plan::units`]; none where what is out lies elsewhere.
    pub out: Vec<usize>,
    /// Earliest start, min.
    pub earliest_min: f64,
    /// By when it must be over, min; at least the duration after the earliest start.
    pub latest_min: f64,
    /// Duration, min; above 0, up to 31 days.
    pub duration_min: f64,
    /// How long until what is out is back after a trip, min; stated where there is a next trip.
    pub recall_min: Option<f64>,
    /// What each carrier carries in all while the outage runs, each unit once; at least one.
    pub carries: Vec<Carried>,
    /// What may trip next.
    pub next_trips: Vec<NextTrip>,
}

/// Something that may trip while an outage runs.
#[derive(Debug, Clone)]
pub struct NextTrip {
    /// Its name.
    pub name: String,
    /// What each carrier carries in all from the trip on, each unit once; at least one.
    pub carries: Vec<Carried>,
}

/// Something that may be bought for a unit; it does at least one thing.
#[derive(Debug, Clone)]
pub struct PlanOption {
    /// Its name.
    pub name: String,
    /// The plan's file and the line there, for errors.
    pub stands_in: (String, usize),
    /// Water that the paper is dried to, %.
    pub dries_to_percent: Option<f64>,
    /// Total gas that the oil holds in service afterwards, % by volume.
    pub gas_to_percent: Option<f64>,
    /// How the oil is kept from the air afterwards.
    pub preservation: Option<Preservation>,
    /// A further cooling stage above the strongest, as in a profile.
    pub cooling_stage: Option<StageFile>,
    /// How long it takes, min.
    pub takes_min: Option<f64>,
    /// What it costs, in the plan's currency.
    pub cost: Option<f64>,
}
