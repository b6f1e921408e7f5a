//! Loads stated winding by winding.

use super::flags;
use clap::Args;

/// Flags of the loads of windings.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Clone, Default, Args)]
pub struct WindingArguments {
    /// Overload of a winding, constant, by its name and per unit of its own rating, LV=1.1; repeated, needs --for and a profile with winding_losses. A winding that is left out counts at its rating, or at the greatest of the others
    #[arg(help_heading = "Overload", long, value_name = "NAME=PU", value_parser = flags::winding_load, conflicts_with_all = ["loading", "step", "load"], requires = "duration")]
    pub(super) winding_load: Vec<(String, f64)>,
}

impl WindingArguments {
    /// What an answer depends on; nothing where nothing is stated, so that questions of before keep their hash.
    pub(super) fn hashed(&self) -> String {
        let one = |(name, load_pu): &(String, f64)| format!(" winding {name} {load_pu:?}");
        self.winding_load.iter().map(one).collect()
    }
}
