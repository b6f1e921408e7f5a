//! From judged witnesses to the plain data of [`Wetness`].

use super::counted_gas;
use super::measure_next::measure_next;
use super::wet_paper::WetPaper;
use super::wetness::{
    CauseLine, ContradictionLine, CountingLine, HoldingLine, ReasonLine, ScalePoint, Wetness,
    WithoutLine, WitnessLine,
};
use crate::moisture::contradiction::{Cause, Contradiction};
use crate::moisture::evidence::{Statement, Witness};
use crate::moisture::reconcile::{Counting, ONE_SIDED_95};
use crate::moisture::validity::{Judged, Reason};
use crate::quantities::{Celsius, MoisturePercent, Pascals};
use crate::rules::facts::LocalMoistureEffect;
use crate::unit::Unit;

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
        gas_percent: counted_gas::percent(paper.gas.as_ref()),
        gas: counted_gas::line(unit, paper.gas.as_ref()),
        holding_factor: paper.facts.holding.factor.central,
        holding: HoldingLine::of(&paper.facts.holding),
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
        let reading = self.paper.reading(Some(counting.upper));
        let inception_c = reading.inception().map(Celsius::value);
        CountingLine {
            inception_is_floor: inception_c.is_some() && reading.known().is_none(),
            inception_below_c: match inception_c {
                Some(_) => None,
                None => reading.ceiling().map(Celsius::value),
            },
            percent: counting.upper.value(),
            median_percent: counting.median.value(),
            random_effects_rule_percent: counting.random_effects_upper.value(),
            by: counting.by,
            lowered_by: match &self.paper.facts.local {
                Some(LocalMoistureEffect::Lowered(decided)) => Some(decided.by.clone()),
                _ => None,
            },
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
        let bubbles_c = |percent: f64| {
            let in_new_paper = self.paper.in_new_paper(own.figure.as_ref()?, percent);
            self.inception_c(in_new_paper)
        };
        let inception_c = figure.and_then(|(percent, _)| bubbles_c(percent));
        let inception_low_c = bound(1.0).and_then(bubbles_c);
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
            in_new_paper_percent: own
                .figure
                .map(|own| self.paper.in_new_paper(&own, own.percent.value())),
            std: figure.map(|(_, std)| std),
            std_stated: own.figure.map(|figure| figure.std_stated),
            lower_percent: bound(-1.0),
            upper_percent: bound(1.0),
            standing: own.standing,
            share: own.share,
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
    let line = |reason: &Reason| ReasonLine {
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
