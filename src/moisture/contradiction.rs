//! Who contradicts whom, by how much, and which physical reason fits.

use super::evidence::{Method, Witness};
use super::figure::months_between;
use super::holding::Holding;
use super::reconcile::Counting;
use super::validity::{Doubt, Judged, Side, Standing};
use serde::Serialize;

/// Two figures further apart than this many of their joint standard deviations contradict
/// each other: the two-sided 95 % quantile, a convention.
pub const CONTRADICTS_AT: f64 = 1.96;

/// Measurements further apart than this may both have been right, months. Our choice, no source.
const LONG_APART_MONTHS: f64 = 12.0;

/// Which of two witnesses the reasons speak for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Belief {
    /// Something may have led the drier astray and nothing the wetter.
    Wetter,
    /// Something may have led the wetter astray and nothing the drier; the wetter still counts.
    DrierButWetterCounts,
    /// Nothing tells; the wetter counts.
    Undecided,
}

/// Why two witnesses may differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// Something about the drier.
    OfDrier(Doubt),
    /// Something about the wetter.
    OfWetter(Doubt),
    /// They were taken long apart.
    LongApart,
    /// One sees the oil, the other the solid insulation, and water moves slowly between them.
    DifferentPlaces,
}

/// Two witnesses that differ.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction {
    /// Index of the drier.
    pub drier: usize,
    /// Index of the wetter.
    pub wetter: usize,
    /// Distance over the root of the summed variances.
    pub deviations: f64,
    /// Reasons that fit what is stated of the two.
    pub causes: Vec<Cause>,
    /// What they speak for.
    pub belief: Belief,
}

/// Pairs of witnesses that contradict each other in water as new paper would hold it, gravest first. Where the set as a whole
/// scatters more than its uncertainties allow and no pair does, the pair furthest apart.
pub fn contradictions(
    witnesses: &[Witness],
    judged: &[Judged],
    counting: Option<&Counting>,
    holding: &Holding,
) -> Vec<Contradiction> {
    let mut pairs = pairs(witnesses, judged, holding);
    pairs.sort_by(|a, b| b.deviations.total_cmp(&a.deviations));
    let beyond = pairs.iter().filter(|pair| pair.deviations > CONTRADICTS_AT).count();
    let scattered = counting.is_some_and(|counting| counting.combined.tau2 > 0.0);
    pairs.truncate(if beyond == 0 && scattered { 1 } else { beyond });
    pairs
}

fn pairs(witnesses: &[Witness], judged: &[Judged], holding: &Holding) -> Vec<Contradiction> {
    let figures: Vec<(usize, f64, f64)> = judged
        .iter()
        .enumerate()
        // A stale witness still contradicts, even where it no longer lowers anything.
        .filter(|(_, own)| own.standing != Standing::DoesNotCount)
        .filter(|(_, own)| !own.doubts.contains(&Doubt::Assumed))
        .filter_map(|(index, own)| {
            let figure = own.figure?;
            let factor = if figure.by_mass { holding.central } else { 1.0 };
            Some((index, figure.percent.value() / factor, figure.std / factor))
        })
        .collect();
    let mut pairs = Vec::new();
    for (at, one) in figures.iter().enumerate() {
        for other in &figures[at + 1..] {
            let (drier, wetter) = if one.1 <= other.1 { (one, other) } else { (other, one) };
            let causes = causes(drier.0, wetter.0, witnesses, judged);
            pairs.push(Contradiction {
                drier: drier.0,
                wetter: wetter.0,
                deviations: (wetter.1 - drier.1) / wetter.2.hypot(drier.2),
                belief: belief(&causes),
                causes,
            });
        }
    }
    pairs
}

fn causes(drier: usize, wetter: usize, witnesses: &[Witness], judged: &[Judged]) -> Vec<Cause> {
    let fitting = |index: usize, side: Side| {
        let doubts = judged[index].doubts.iter().copied();
        doubts.filter(move |doubt| doubt.side() == side || doubt.side() == Side::Either)
    };
    let mut causes: Vec<Cause> = fitting(drier, Side::Dry).map(Cause::OfDrier).collect();
    causes.extend(fitting(wetter, Side::Wet).map(Cause::OfWetter));
    let (one, other) = (&witnesses[drier], &witnesses[wetter]);
    if let (Some(a), Some(b)) = (one.date, other.date) {
        let apart_months = months_between(a, b).abs();
        causes.extend((apart_months > LONG_APART_MONTHS).then_some(Cause::LongApart));
    }
    let sees_oil = |witness: &Witness| witness.method.is_some_and(Method::sees_oil);
    let apart = sees_oil(one) != sees_oil(other);
    causes.extend((causes.is_empty() && apart).then_some(Cause::DifferentPlaces));
    causes
}

fn belief(causes: &[Cause]) -> Belief {
    let drier = causes.iter().any(|cause| matches!(cause, Cause::OfDrier(_)));
    let wetter = causes.iter().any(|cause| matches!(cause, Cause::OfWetter(_)));
    match (drier, wetter) {
        (true, false) => Belief::Wetter,
        (false, true) => Belief::DrierButWetterCounts,
        _ => Belief::Undecided,
    }
}
