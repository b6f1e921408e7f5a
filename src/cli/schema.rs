//! `schema`: JSON Schema of the profile files, so that editors complete and check them.

use super::Failure;
use super::output::print;
use crate::planning::plan_file::PlanFile;
use crate::report::json;
use crate::rules::limits::LimitSetFile;
use crate::rules::local_file::LocalRulesFile;
use crate::unit::defaults::CoolingFile;
use crate::unit::profile::UnitFile;
use crate::unit::sources::SourcesFile;
use crate::unit::usual_uncertainty_file::UsualFile;
use clap::{Args, ValueEnum};
use schemars::schema_for;

/// Flags of `schema`.
#[derive(Debug, Args)]
pub struct SchemaArguments {
    /// Kind of profile
    #[arg(value_enum)]
    kind: Kind,
}

/// Kind of profile.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Kind {
    /// Unit profile.
    Unit,
    /// Plan of outages.
    Plan,
    /// Local operating rules.
    Rules,
    /// Loading-limit set.
    Limits,
    /// Typical cooling constants.
    Cooling,
    /// Usual uncertainties.
    Uncertainty,
    /// Bibliography.
    Sources,
}

/// Runs `schema`.
///
/// # Errors
/// [`Failure`] if the schema cannot be written.
pub fn run(arguments: &SchemaArguments) -> Result<u8, Failure> {
    let schema = match arguments.kind {
        Kind::Unit => schema_for!(UnitFile),
        Kind::Plan => schema_for!(PlanFile),
        Kind::Rules => schema_for!(LocalRulesFile),
        Kind::Limits => schema_for!(LimitSetFile),
        Kind::Cooling => schema_for!(CoolingFile),
        Kind::Uncertainty => schema_for!(UsualFile),
        Kind::Sources => schema_for!(SourcesFile),
    };
    print(&json::pretty(&schema).map_err(|error| Failure::Internal(error.to_string()))?)?;
    Ok(0)
}
