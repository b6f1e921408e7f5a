//! What it buys to start all cooling at minute 0, where the stages would start by their own temperatures.

use super::basis::Basis;
use super::case::Case;
use super::evaluation::Evaluation;
use super::spread;
use crate::rules::verdict::Verdict;
use crate::thermal::cooling::Control;
use serde::Serialize;

/// Less than this is not worth a word, K.
const WORTH_K: f64 = 1.0;

/// What starting all cooling at minute 0 buys.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AllCoolingNow {
    /// The strongest stage, as `--cooling` would name it.
    pub stage: String,
    /// The verdict with it in service throughout.
    pub verdict: Verdict,
    /// The margin that decides then, K; `null` where it is not known.
    pub margin_low_k: Option<f64>,
}

/// The same question with the strongest stage in service throughout, as `check --cooling` answers it; `None` where
/// stages do not start by themselves, or where it gains less than a kelvin and no milder verdict.
pub(super) fn all_cooling_now(
    case: &Case,
    basis: &Basis<'_>,
    asked: &Evaluation<'_>,
) -> Option<AllCoolingNow> {
    let cooling = &basis.plant.as_ref()?.cooling;
    let strongest = cooling.stages.len() - 1;
    if cooling.control != Control::Automatic || strongest == 0 {
        return None;
    }
    let mut other = case.clone();
    other.request.stage = Some(strongest);
    let basis = Basis::with_paper(&other, basis.paper.clone());
    let load = &other.request.loading.load;
    let evaluation = Evaluation::of(&other, &basis, load, None).with_cooldown(&other, &basis);
    let (evaluation, ..) = spread::judged(&other, &basis, evaluation);
    let margin_low_k = evaluation.facts.margin_low_k();
    let gained_k = margin_low_k.zip(asked.facts.margin_low_k()).map(|(now, asked)| now - asked);
    let worth = evaluation.verdict < asked.verdict || gained_k.is_some_and(|k| k >= WORTH_K);
    let stage = cooling.stages[strongest].name.clone();
    worth.then_some(AllCoolingNow { stage, verdict: evaluation.verdict, margin_low_k })
}
