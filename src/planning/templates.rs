//! The cases of every unit of a plan, into which each start puts its load and ambient.

use super::plan::Plan;
use crate::assessment::case::{Case, Request, Resolution, Sampling};
use crate::input::InputError;
use crate::rules::limits::{LimitSet, Quantity};
use crate::rules::local_file::LocalRules;
use crate::unit::Unit;
use crate::unit::defaults::Catalogue;
use chrono::NaiveDate;

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
                while_out: self.case(unit, set(&plan.limits)?),
                after_trip: self.case(unit, set(&plan.next_trip_limits)?),
            })
        };
        plan.units.iter().map(|own| of(&own.unit)).collect()
    }

    /// A case whose load, start and ambient do not matter.
    pub fn case(&self, unit: &Unit, limits: LimitSet) -> Case {
        let request = Request { resolution: self.resolution(), ..Request::of(unit, self.sampling) };
        Case {
            unit: unit.clone(),
            request,
            limits,
            local: self.local.clone(),
            as_of: self.as_of,
            inputs_sha256: self.inputs_sha256.clone(),
            water_as_percent: None,
        }
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
