//! How wet the paper is, as plain data: every witness, what they amount to, who contradicts whom,
//! what the answer would be without each, and what to measure next.

use super::measure_next::{NextMeasurement, measure_next};
use super::wet_paper::WetPaper;
use crate::moisture::contradiction::{Belief, Cause, Contradiction};
use crate::moisture::evidence::{Location, Method, SetAside, Statement, Witness};
use crate::moisture::reconcile::{Counting, CountsBy, ONE_SIDED_95};
use crate::moisture::validity::{Judged, Standing};
use crate::quantities::{Celsius, MoisturePercent, Pascals};
use crate::unit::Unit;
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
    /// Holding factor of aged paper.
    pub holding_factor: f64,
}

/// What counts.
#[derive(Debug, Clone, Serialize)]
pub struct CountingLine {
    /// The moisture that counts, %.
    pub percent: f64,
    /// How it came about.
    pub by: CountsBy,
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

/// Everything there is to say about the evidence of a unit, with margins to a hot spot.
pub fn wetness(unit: &Unit, paper: &WetPaper<'_>, hot_spot_c: Option<f64>) -> Wetness {
    let look = Look { unit, paper, hot_spot_c };
    let indices = 0..unit.witnesses.len();
    Wetness {
        hot_spot_c,
        counting: paper.facts.counting.as_ref().map(|counting| look.counting(counting)),
        witnesses: indices.clone().map(|index| look.witness(index)).collect(),
        contradictions: paper.facts.contradictions.iter().map(contradiction).collect(),
        without: indices.map(|index| look.without(index)).collect(),
        measure_next: measure_next(unit, paper),
        scale: (1..=12).map(|half| look.scale(f64::from(half) * 0.5)).collect(),
        pressure_pa: paper.pressure.map(Pascals::value),
        gas_percent: unit.gas.as_ref().map(|gas| gas.total.value()),
        holding_factor: unit.holding_factor,
    }
}

struct Look<'a> {
    unit: &'a Unit,
    paper: &'a WetPaper<'a>,
    hot_spot_c: Option<f64>,
}

impl Look<'_> {
    fn inception_c(&self, percent: f64) -> Option<f64> {
        let water = MoisturePercent::new(percent).ok();
        self.paper.reading(water).inception().map(Celsius::value)
    }

    fn margin_k(&self, inception_c: Option<f64>) -> Option<f64> {
        Some(inception_c? - self.hot_spot_c?)
    }

    fn counting(&self, counting: &Counting) -> CountingLine {
        let combined = &counting.combined;
        let inception_c = self.inception_c(counting.upper.value());
        CountingLine {
            percent: counting.upper.value(),
            by: counting.by,
            witness: counting.witness,
            best_percent: counting.best.value(),
            best_std: combined.std,
            best_upper_percent: combined.upper(),
            fixed_mean_percent: combined.fixed_mean,
            fixed_std: combined.fixed_std,
            n: combined.n,
            q: combined.q,
            birge_ratio: combined.birge,
            tau: combined.tau2.sqrt(),
            inception_c,
            inception_best_c: self.inception_c(counting.best.value()),
            margin_k: self.margin_k(inception_c),
        }
    }

    fn witness(&self, index: usize) -> WitnessLine {
        let (witness, own) = (&self.unit.witnesses[index], &self.paper.facts.judged[index]);
        let (read, read_unit) = read(witness);
        let figure = own.figure.map(|figure| (figure.percent.value(), figure.std));
        let bound = |side: f64| {
            figure.map(|(percent, std)| (percent + side * ONE_SIDED_95 * std).clamp(0.0, 100.0))
        };
        let inception_c = figure.and_then(|(percent, _)| self.inception_c(percent));
        let inception_low_c = bound(1.0).and_then(|percent| self.inception_c(percent));
        WitnessLine {
            method: witness.method,
            method_in_words: witness.method_in_words(),
            read,
            read_unit,
            oil_c: witness.oil.map(Celsius::value),
            insulation_c: witness.insulation_c,
            date: witness.date.map(|date| date.to_string()),
            location: witness.location,
            note: witness.note.clone(),
            percent: figure.map(|(percent, _)| percent),
            std: figure.map(|(_, std)| std),
            std_stated: own.figure.map(|figure| figure.std_stated),
            lower_percent: bound(-1.0),
            upper_percent: bound(1.0),
            standing: own.standing,
            reasons: reasons(own),
            doubts: own.doubts.iter().map(|doubt| doubt.in_words()).collect(),
            set_aside: witness.set_aside.clone(),
            margin_k: self.margin_k(inception_c),
            margin_low_k: self.margin_k(inception_low_c),
            inception_c,
            inception_low_c,
        }
    }

    fn without(&self, index: usize) -> WithoutLine {
        let mut others = self.unit.witnesses.clone();
        others.remove(index);
        let counting = self.paper.reconciled(&others).counting;
        let counting_percent = counting.map(|counting| counting.upper.value());
        let inception_c = counting_percent.and_then(|percent| self.inception_c(percent));
        WithoutLine {
            witness: index,
            counting_percent,
            inception_c,
            margin_k: self.margin_k(inception_c),
        }
    }

    fn scale(&self, percent: f64) -> ScalePoint {
        ScalePoint { percent, inception_c: self.inception_c(percent) }
    }
}

/// What was read, and in which unit.
fn read(witness: &Witness) -> (Option<f64>, &'static str) {
    match &witness.statement {
        Statement::Paper { percent, .. } => (Some(percent.value()), "%"),
        Statement::Oil { ppm, .. } => (Some(ppm.value()), "ppm"),
        Statement::Probe { saturation, .. } => {
            (Some(saturation.value() * 100.0), "% of saturation")
        }
        #[allow(clippy::cast_precision_loss, reason = "a number of readings")]
        Statement::Series { points, .. } => (Some(points.len() as f64), "readings"),
        Statement::Age { yearly_percent, .. } => (Some(*yearly_percent), "% a year"),
    }
}

fn reasons(own: &Judged) -> Vec<ReasonLine> {
    let line = |reason: &crate::moisture::validity::Reason| ReasonLine {
        why: reason.why.in_words(),
        found: reason.found.map(|(found, _)| found),
        asked: reason.asked.map(|(asked, _)| asked),
        unit: reason.found.map(|(_, unit)| unit),
    };
    own.reasons.iter().map(line).collect()
}

fn contradiction(pair: &Contradiction) -> ContradictionLine {
    let cause = |cause: &Cause| {
        let (of, words) = match cause {
            Cause::OfDrier(doubt) => ("drier", doubt.in_words()),
            Cause::OfWetter(doubt) => ("wetter", doubt.in_words()),
            Cause::LongApart => ("both", "they were taken more than a year apart"),
            Cause::DifferentPlaces => {
                ("both", "one sees the oil and the other the solid insulation")
            }
        };
        CauseLine { of, words }
    };
    ContradictionLine {
        drier: pair.drier,
        wetter: pair.wetter,
        deviations: pair.deviations,
        causes: pair.causes.iter().map(cause).collect(),
        belief: pair.belief,
    }
}
