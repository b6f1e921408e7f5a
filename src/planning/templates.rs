//! The cases of every unit of a plan, into which each start puts its load and ambient.

use super::plan::Plan;
use crate::assessment::case::{Case, HotSpotMoisture, Request, Resolution, Sampling, StartFrom};
use crate::assessment::paper_life::DRIED_TO_PERCENT;
use crate::input::InputError;
use crate::loading::load::Loading;
use crate::rules::limits::{LimitSet, Quantity};
use crate::rules::local_file::LocalRules;
use crate::thermal::schedule::{AmbientLine, LoadSteps};
use crate::unit::defaults::Catalogue;
use crate::unit::{Condition, Unit};
use chrono::NaiveDate;

/// Until a start puts its own there, min.
const ANY_MIN: f64 = 60.0;

/// One unit of a plan under the limits of each case.
#[derive(Debug, Clone)]
pub struct Templates {
    /// While the outage runs.
    pub while_out: Case,
    /// After the next trip.
    pub after_trip: Case,
}

/// What all units have in common.
#[derive(Debug, Clone)]
pub struct Common {
    /// The local operating rules, if any.
    pub local: Option<LocalRules>,
    /// The day by which the age of evidence is judged.
    pub as_of: Option<NaiveDate>,
    /// SHA-256 of every input, in hexadecimal.
    pub inputs_sha256: String,
    /// How the uncertainties are sampled.
    pub sampling: Sampling,
}

impl Common {
    /// The cases of every unit, in the order of the plan.
    ///
    /// # Errors
    /// [`InputError`] for a limit set that is not for the size class of a unit.
    pub fn templates(
        &self,
        plan: &Plan,
        catalogue: &Catalogue,
    ) -> Result<Vec<Templates>, InputError> {
        let of = |unit: &Unit| -> Result<Templates, InputError> {
            let set = |name: &str| LimitSet::of_class(name, unit.size_class, catalogue);
            Ok(Templates {
                while_out: self.case(unit, set(&plan.limits)?)?,
                after_trip: self.case(unit, set(&plan.next_trip_limits)?)?,
            })
        };
        plan.units.iter().map(|own| of(&own.unit)).collect()
    }

    /// A case whose load, start and ambient do not matter.
    ///
    /// # Errors
    /// None that a caller could cause.
    pub fn case(&self, unit: &Unit, limits: LimitSet) -> Result<Case, InputError> {
        let unordered = || InputError::new("plan", "times out of order", "ascending times");
        let load = LoadSteps::new(vec![(0.0, 1.0), (ANY_MIN, 0.0)]).ok_or_else(unordered)?;
        Ok(Case {
            unit: unit.clone(),
            request: Request {
                loading: Loading { load, end_min: ANY_MIN },
                start: StartFrom::Preload(0.0),
                ambient: AmbientLine::constant(0.0),
                forecast_until_min: None,
                top_oil_c: None,
                stage: None,
                cooling_lost_at_min: None,
                condition: Condition::default(),
                hot_spot: HotSpotMoisture::Bulk,
                dried_to_percent: DRIED_TO_PERCENT,
                load_error: unit.spread.load_percent.clone(),
                ambient_error: unit.spread.ambient_k.clone(),
                sampling: self.sampling,
                resolution: self.resolution(),
            },
            limits,
            local: self.local.clone(),
            as_of: self.as_of,
            inputs_sha256: self.inputs_sha256.clone(),
            water_as_percent: None,
        })
    }

    /// Ageing is added up over what is sampled, so that a ceiling on it asks for every minute.
    fn resolution(&self) -> Resolution {
        let mut ceilings = self.local.iter().flat_map(|local| &local.ceilings);
        if ceilings.any(|ceiling| ceiling.quantity == Quantity::Ageing) {
            Resolution::Minutes
        } else {
            Resolution::Hours
        }
    }
}
