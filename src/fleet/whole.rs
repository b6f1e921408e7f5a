//! The whole answer: what was asked of all units, and every row, the worst first.

use super::contingency::{Contingency, ContingencyLoad, Heat};
use super::journal::digest;
use super::ranking::rank;
use super::row::{Row, Standing};
use serde::{Deserialize, Serialize};

/// What was asked of every unit, and of what the answers come.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// The load.
    pub load: ContingencyLoad,
    /// How long, min.
    pub duration_min: f64,
    /// Ambient, °C; `null`: the highest of each unit's recent loads.
    pub ambient_c: Option<f64>,
    /// Load before, pu, of units without recent loads.
    pub preload_pu: Option<f64>,
    /// The limit set.
    pub limits: String,
    /// The local rules.
    pub local_rules: Option<String>,
    /// Draws of the uncertainties; 0 is none.
    pub draws: u32,
    /// Seed of the draws.
    pub seed: u32,
    /// The day by which the age of evidence is judged.
    pub as_of: Option<String>,
    /// What the heat map varies.
    pub heat: Heat,
    /// Whether the largest loads were looked for.
    pub largest: bool,
}

impl Asked {
    /// What a contingency asks.
    pub fn of(contingency: &Contingency, limits: &str) -> Self {
        Self {
            load: contingency.load,
            duration_min: contingency.duration_min,
            ambient_c: contingency.ambient_c,
            preload_pu: contingency.preload_pu,
            limits: limits.to_owned(),
            local_rules: contingency.local.as_ref().map(|local| local.name.clone()),
            draws: contingency.sampling.draws,
            seed: contingency.sampling.seed,
            as_of: contingency.as_of.map(|day| day.to_string()),
            heat: contingency.heat,
            largest: contingency.largest,
        }
    }
}

/// How many units came to what.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// All units.
    pub units: usize,
    /// Outside a limit.
    pub no_go: usize,
    /// A safety question could not be answered.
    pub cannot_decide: usize,
    /// An input was refused.
    pub refused: usize,
    /// Ours: computing them failed.
    pub failed: usize,
    /// Within the entered limits, with cautions to mind.
    pub go_with_cautions: usize,
    /// Within the entered limits.
    pub go: usize,
}

/// The whole answer.
#[derive(Debug, Clone)]
pub struct Fleet {
    /// What was asked.
    pub asked: Asked,
    /// SHA-256 of everything that the rows depend on.
    pub inputs_sha256: String,
    /// Every unit, the worst first.
    pub ranked: Vec<Row>,
    /// Units that have recent loads and no profile, by name.
    pub without_profile: Vec<String>,
}

impl Fleet {
    /// Ranks the rows of all units.
    pub fn of(
        asked: Asked,
        base_sha256: &str,
        mut rows: Vec<Row>,
        mut without_profile: Vec<String>,
    ) -> Self {
        without_profile.sort();
        rank(&mut rows);
        let mut each: Vec<String> = rows
            .iter()
            .map(|row| format!("{} {} {}\n", row.unit, row.standing.name(), row.inputs_sha256))
            .collect();
        each.sort();
        let inputs_sha256 = digest(format!("{base_sha256}\n{}", each.concat()).as_bytes());
        Self { asked, inputs_sha256, ranked: rows, without_profile }
    }

    /// How many units came to what.
    pub fn counts(&self) -> Counts {
        let of = |standing| self.ranked.iter().filter(|row| row.standing == standing).count();
        Counts {
            units: self.ranked.len(),
            no_go: of(Standing::NoGo),
            cannot_decide: of(Standing::CannotDecide),
            refused: of(Standing::Refused),
            failed: of(Standing::Failed),
            go_with_cautions: of(Standing::GoWithCautions),
            go: of(Standing::Go),
        }
    }
}
