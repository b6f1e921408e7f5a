//! One unit's row of the answer, as plain data that can be written and read back without loss.

use super::recent::Recent;
use crate::rules::verdict::Verdict;
use crate::unit::SizeClass;
use serde::{Deserialize, Serialize};

/// What came of one unit.
///
/// A `null` means "not known" or "none", never zero; NaN and infinity never appear.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// Name of the unit; that of its file where the profile does not tell.
    pub unit: String,
    /// Where it stands.
    pub site: Option<String>,
    /// Size class.
    pub size_class: Option<SizeClass>,
    /// Rated power, MVA.
    pub rated_mva: Option<f64>,
    /// What came of it: a verdict, or why there is none.
    #[serde(rename = "verdict")]
    pub standing: Standing,
    /// What was asked of it; `null` where something for it is not known.
    pub asked: Option<AskedOfUnit>,
    /// The margin that decides, K, as in `check`.
    pub margin_low_k: Option<f64>,
    /// With the moisture that counts, everything else at its own value, K.
    pub margin_counting_k: Option<f64>,
    /// With the best estimate of moisture, K.
    pub margin_k: Option<f64>,
    /// Margin that a go needs, K.
    pub required_margin_k: Option<f64>,
    /// Probability of bubbling; `null` without draws.
    pub probability: Option<f64>,
    /// Its standard error.
    pub probability_standard_error: Option<f64>,
    /// Hottest hot spot, °C.
    pub hot_spot_c: Option<f64>,
    /// Inception temperature with the moisture that counts, °C.
    pub inception_c: Option<f64>,
    /// Moisture that counts, %.
    pub counting_moisture_percent: Option<f64>,
    /// Greatest constant load that would pass, pu; `null` if none, or not asked for.
    pub largest_load_pu: Option<f64>,
    /// Why.
    pub governs: Governs,
    /// Data that is missing.
    pub missing: Vec<Missing>,
    /// Codes of the cautions.
    pub cautions: Vec<String>,
    /// The measurement or entry that is worth making next.
    pub next: Option<Next>,
    /// What it went through lately; `null` without recent loads.
    pub recent: Option<Recent>,
    /// The margin and the verdict along the heat map; empty without one.
    pub heat: Vec<HeatCell>,
    /// SHA-256 of everything that this row depends on; empty where an input was refused.
    pub inputs_sha256: String,
}

/// What came of a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Outside a limit.
    NoGo,
    /// A safety question could not be answered.
    CannotDecide,
    /// An input was refused, so that nothing was computed.
    Refused,
    /// Ours: computing it failed.
    Failed,
    /// Within the entered limits, with cautions to mind.
    GoWithCautions,
    /// Within the entered limits.
    Go,
}

impl From<Verdict> for Standing {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Go => Self::Go,
            Verdict::GoWithCautions => Self::GoWithCautions,
            Verdict::CannotDecide => Self::CannotDecide,
            Verdict::NoGo => Self::NoGo,
        }
    }
}

impl Standing {
    /// All, worst first.
    pub const ALL: [Self; 6] = [
        Self::NoGo,
        Self::CannotDecide,
        Self::Refused,
        Self::Failed,
        Self::GoWithCautions,
        Self::Go,
    ];

    /// Name in results and flags.
    pub fn name(self) -> &'static str {
        match self {
            Self::NoGo => "no-go",
            Self::CannotDecide => "cannot-decide",
            Self::Refused => "refused",
            Self::Failed => "failed",
            Self::GoWithCautions => "go-with-cautions",
            Self::Go => "go",
        }
    }

    /// As people read it.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::NoGo => Verdict::NoGo.in_words(),
            Self::CannotDecide => Verdict::CannotDecide.in_words(),
            Self::Refused => "REFUSED",
            Self::Failed => "FAILED",
            Self::GoWithCautions => Verdict::GoWithCautions.in_words(),
            Self::Go => Verdict::Go.in_words(),
        }
    }
}

/// What was asked of a unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AskedOfUnit {
    /// Load of the contingency, pu.
    pub load_pu: f64,
    /// Load before, pu.
    pub preload_pu: f64,
    /// The least load before, pu: where fans start by themselves every load between the two counts.
    pub preload_from_pu: f64,
    /// Load after, pu.
    pub drop_back_pu: f64,
    /// Ambient, °C.
    pub ambient_c: f64,
    /// The limit set.
    pub limits: String,
}

/// What governs a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Governs {
    /// Its kind: those of `rate`, `caution` for a go with cautions, `refused` or `failed`.
    pub what: String,
    /// Code of the finding, for `explain`.
    pub code: Option<String>,
    /// In words.
    pub words: String,
}

/// Something that is missing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Missing {
    /// Code of the finding, if one says so.
    pub code: Option<String>,
    /// Whether nothing can be decided without it.
    pub needed: bool,
    /// What is missing.
    pub words: String,
    /// What would change it.
    pub remedy: String,
}

/// What is worth doing next.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Next {
    /// In words.
    pub words: String,
    /// What the margin would gain if it read the best estimate, K; `null` where it is not known.
    pub gain_k: Option<f64>,
}

/// A cell of the heat map.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HeatCell {
    /// Ambient, °C, or load, pu.
    pub at: f64,
    /// The verdict there, with what the draws took off the margin of the contingency as asked.
    pub verdict: Verdict,
    /// The margin that decides there, K.
    pub margin_low_k: Option<f64>,
}

impl Row {
    /// A row of a unit of which nothing was computed.
    pub fn without_answer(unit: &str, standing: Standing, words: String) -> Self {
        Self {
            unit: unit.to_owned(),
            site: None,
            size_class: None,
            rated_mva: None,
            standing,
            asked: None,
            margin_low_k: None,
            margin_counting_k: None,
            margin_k: None,
            required_margin_k: None,
            probability: None,
            probability_standard_error: None,
            hot_spot_c: None,
            inception_c: None,
            counting_moisture_percent: None,
            largest_load_pu: None,
            governs: Governs { what: standing.name().to_owned(), code: None, words },
            missing: Vec::new(),
            cautions: Vec::new(),
            next: None,
            recent: None,
            heat: Vec::new(),
            inputs_sha256: String::new(),
        }
    }
}
