//! How wet the paper is, as plain data: every witness, what they amount to, who contradicts whom,
//! what the answer would be without each, and what to measure next.

use super::counted_gas::GasLine;
use super::measure_next::NextMeasurement;
use crate::moisture::contradiction::Belief;
use crate::moisture::evidence::{Location, Method, SetAside};
use crate::moisture::reconcile::CountsBy;
use crate::moisture::validity::Standing;
use crate::rules::facts::{HoldingFacts, HoldingFrom};
use serde::Serialize;

/// How wet the paper is.
#[derive(Debug, Clone, Serialize)]
pub struct Wetness {
    /// Hot spot that the margins are taken to, °C; `null` without one.
    pub hot_spot_c: Option<f64>,
    /// What counts; `null` if no witness does.
    pub counting: Option<CountingLine>,
    /// Every witness, in the order of the profile.
    pub witnesses: Vec<WitnessLine>,
    /// Witnesses that contradict each other, gravest first.
    pub contradictions: Vec<ContradictionLine>,
    /// What would count without each witness.
    pub without: Vec<WithoutLine>,
    /// What to measure next, most useful first.
    pub measure_next: Vec<NextMeasurement>,
    /// Inception temperature against water in paper, for the second axis of a picture.
    pub scale: Vec<ScalePoint>,
    /// Absolute pressure at the hot spot, Pa.
    pub pressure_pa: Option<f64>,
    /// Total dissolved gas, % by volume.
    pub gas_percent: Option<f64>,
    /// The same with how old its sample is and what that does; `null` if none is known.
    pub gas: Option<GasLine>,
    /// Holding factor of aged paper.
    pub holding_factor: f64,
    /// How that is known, and what it rests on.
    pub holding: HoldingLine,
}

/// What aged paper still holds.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct HoldingLine {
    /// The factor with which the evidence is shown, 1 = as new.
    pub factor: f64,
    /// The lowest that is drawn.
    pub lowest: f64,
    /// How it is known.
    pub from: HoldingFrom,
    /// Degree of polymerisation today; `null` if none is known.
    pub dp: Option<f64>,
    /// Whether that was measured; else it is an estimate.
    pub dp_measured: bool,
}

impl HoldingLine {
    /// From the facts.
    pub(super) fn of(holding: &HoldingFacts) -> Self {
        let HoldingFacts { factor, from, dp, dp_measured } = *holding;
        Self { factor: factor.central, lowest: factor.lowest, from, dp, dp_measured }
    }
}

/// What counts, in water as new paper would hold it.
#[derive(Debug, Clone, Serialize)]
pub struct CountingLine {
    /// The assessed moisture, %.
    pub percent: f64,
    /// Median of the water that is drawn, %.
    pub median_percent: f64,
    /// What the random-effects rule alone would give, without the hold on contradictions, %.
    pub random_effects_rule_percent: f64,
    /// How it came about.
    pub by: CountsBy,
    /// Who lowered it below the evidence in the local rules, if somebody did.
    pub lowered_by: Option<String>,
    /// Index of the witness that governs.
    pub witness: usize,
    /// Best estimate, the random-effects mean, %.
    pub best_percent: f64,
    /// Standard error of the random-effects mean, % points.
    pub best_std: f64,
    /// Its upper 95 % bound, %.
    pub best_upper_percent: f64,
    /// Inverse-variance mean, %.
    pub fixed_mean_percent: f64,
    /// Its standard error, % points.
    pub fixed_std: f64,
    /// Number of witnesses combined.
    pub n: usize,
    /// Q, or χ².
    pub q: f64,
    /// Birge ratio; `null` for a single witness.
    pub birge_ratio: Option<f64>,
    /// Standard deviation between the witnesses beyond their own, √τ², % points.
    pub tau: f64,
    /// Inception temperature with the moisture that counts, °C.
    pub inception_c: Option<f64>,
    /// Whether that is only a floor: the paper is drier than the correlations cover.
    pub inception_is_floor: bool,
    /// Where there is none: it lies below this, °C, the value at the wet edge of the correlations.
    pub inception_below_c: Option<f64>,
    /// Inception temperature with the best estimate, °C.
    pub inception_best_c: Option<f64>,
    /// Margin with the moisture that counts, K.
    pub margin_k: Option<f64>,
}

/// A witness.
#[derive(Debug, Clone, Serialize)]
pub struct WitnessLine {
    /// Method.
    pub method: Option<Method>,
    /// Method in words.
    pub method_in_words: &'static str,
    /// What was read.
    pub read: Option<f64>,
    /// Unit of that.
    pub read_unit: &'static str,
    /// Oil temperature, °C.
    pub oil_c: Option<f64>,
    /// Insulation temperature, °C.
    pub insulation_c: Option<f64>,
    /// Date.
    pub date: Option<String>,
    /// Where it looks.
    pub location: Option<Location>,
    /// Free text.
    pub note: Option<String>,
    /// Water in paper, %; `null` where it cannot be given inside every range.
    pub percent: Option<f64>,
    /// The same as new paper would hold it, which is what bubbles and what is assessed, %.
    pub in_new_paper_percent: Option<f64>,
    /// Its standard uncertainty, % points.
    pub std: Option<f64>,
    /// Whether the profile states that uncertainty.
    pub std_stated: Option<bool>,
    /// One-sided 95 % bounds, %.
    pub lower_percent: Option<f64>,
    /// One-sided 95 % bounds, %.
    pub upper_percent: Option<f64>,
    /// Whether it counts.
    pub standing: Standing,
    /// How much of its weight it has where it lowers the result, 0 to 1.
    pub share: f64,
    /// Why not, or only on the wet side.
    pub reasons: Vec<ReasonLine>,
    /// What may have led it astray.
    pub doubts: Vec<&'static str>,
    /// Who set it aside and why.
    pub set_aside: Option<SetAside>,
    /// Inception temperature at its figure, °C.
    pub inception_c: Option<f64>,
    /// Inception temperature at its upper bound, °C.
    pub inception_low_c: Option<f64>,
    /// Margin at its figure, K.
    pub margin_k: Option<f64>,
    /// Margin at its upper bound, as if it were the only witness, K.
    pub margin_low_k: Option<f64>,
}

/// Why a witness does not count.
#[derive(Debug, Clone, Serialize)]
pub struct ReasonLine {
    /// In words.
    pub why: &'static str,
    /// What was found.
    pub found: Option<f64>,
    /// What is asked for.
    pub asked: Option<f64>,
    /// Unit of both.
    pub unit: Option<&'static str>,
}

/// Two witnesses that contradict each other.
#[derive(Debug, Clone, Serialize)]
pub struct ContradictionLine {
    /// Index of the drier.
    pub drier: usize,
    /// Index of the wetter.
    pub wetter: usize,
    /// Distance in joint standard deviations.
    pub deviations: f64,
    /// Physical reasons that fit what is stated of them.
    pub causes: Vec<CauseLine>,
    /// What the reasons speak for.
    pub belief: Belief,
}

/// A physical reason for a contradiction.
#[derive(Debug, Clone, Serialize)]
pub struct CauseLine {
    /// Whether it is about the drier, the wetter or both.
    pub of: &'static str,
    /// In words.
    pub words: &'static str,
}

/// What would count without a witness.
#[derive(Debug, Clone, Serialize)]
pub struct WithoutLine {
    /// Index of the witness left out.
    pub witness: usize,
    /// What would count, %; `null` if nothing would.
    pub counting_percent: Option<f64>,
    /// Inception temperature with it, °C.
    pub inception_c: Option<f64>,
    /// Margin with it, K.
    pub margin_k: Option<f64>,
}

/// A point of the second axis.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ScalePoint {
    /// Water in paper, %.
    pub percent: f64,
    /// Inception temperature, °C; `null` where the correlations do not reach.
    pub inception_c: Option<f64>,
}
