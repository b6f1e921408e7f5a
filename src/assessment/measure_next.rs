//! Which further measurement would narrow the answer most.

use super::wet_paper::WetPaper;
use crate::moisture::evidence::{Method, Statement, Witness};
use crate::moisture::reconcile::Counting;
use crate::moisture::usual::std_under_good_conditions;
use crate::quantities::{Celsius, MoisturePercent};
use crate::unit::Unit;
use serde::Serialize;

/// The methods of measurement, those that see the solid insulation first.
const METHODS: [Method; 4] =
    [Method::DielectricResponse, Method::PaperSample, Method::SaturationProbe, Method::OilSample];

/// A further measurement and what it would do if it read the best estimate.
#[derive(Debug, Clone, Serialize)]
pub struct NextMeasurement {
    /// Its method.
    pub method: Method,
    /// Index of the witness that it would replace, if it repeats one.
    pub replaces: Option<usize>,
    /// Its usual standard uncertainty under good conditions, % points.
    pub std: f64,
    /// What would count then, %.
    pub counting_percent: f64,
    /// Inception temperature with it, °C.
    pub inception_c: Option<f64>,
    /// What the margin would gain, K.
    pub gain_k: Option<f64>,
    /// Distance between the inception temperatures of best estimate and counting moisture now, K.
    pub spread_now_k: Option<f64>,
    /// The same then, K.
    pub spread_then_k: Option<f64>,
}

impl NextMeasurement {
    /// The measurement in words.
    pub fn in_words(&self) -> String {
        match self.replaces {
            Some(_) => format!("repeat the {}", self.method.in_words()),
            None if self.method == Method::OilSample => "another oil sample".to_owned(),
            None => format!("another {}", self.method.in_words()),
        }
    }
}

/// Every method as an additional witness, and the governing witness repeated; the one that
/// would leave the narrowest margin first.
pub(super) fn measure_next(unit: &Unit, paper: &WetPaper<'_>) -> Vec<NextMeasurement> {
    let Some(now) = &paper.facts.counting else {
        return Vec::new();
    };
    let solubility = unit.solubility.constants;
    let usable = METHODS.into_iter().filter_map(|method| {
        Some((method, std_under_good_conditions(method, now.best, solubility)?))
    });
    let governing = unit.witnesses.get(now.witness).and_then(|witness| witness.method);
    let tries = usable.flat_map(|(method, std)| {
        let repeated = (governing == Some(method)).then_some(now.witness);
        [Some(None), repeated.map(Some)].into_iter().flatten().map(move |own| (method, std, own))
    });
    let mut found: Vec<NextMeasurement> = tries
        .filter_map(|(method, std, own)| tried(unit, paper, now, (method, std, own)))
        .collect();
    let narrowest = |next: &NextMeasurement| next.spread_then_k.unwrap_or(f64::INFINITY);
    found.sort_by(|a, b| {
        let wetter = || a.counting_percent.total_cmp(&b.counting_percent);
        narrowest(a).total_cmp(&narrowest(b)).then_with(wetter)
    });
    found
}

fn tried(
    unit: &Unit,
    paper: &WetPaper<'_>,
    now: &Counting,
    (method, std, replaces): (Method, f64, Option<usize>),
) -> Option<NextMeasurement> {
    let mut witnesses = unit.witnesses.clone();
    if let Some(index) = replaces {
        witnesses.remove(index);
    }
    // By mass of this paper it would read less than new paper would hold.
    let factor = paper.facts.holding.factor.central;
    let percent = MoisturePercent::new(now.best.value() * factor).ok()?;
    let reading = Statement::Paper { percent, std: Some(std) };
    witnesses.push(Witness { date: paper.as_of(), ..Witness::new(Some(method), reading) });
    let then = paper.reconciled(&witnesses).counting?;
    let inception_c =
        |water: MoisturePercent| paper.reading(Some(water)).inception().map(Celsius::value);
    let spread_k =
        |counting: &Counting| Some(inception_c(counting.best)? - inception_c(counting.upper)?);
    let gain_k = inception_c(then.upper).zip(inception_c(now.upper)).map(|(then, now)| then - now);
    Some(NextMeasurement {
        method,
        replaces,
        std,
        counting_percent: then.upper.value(),
        inception_c: inception_c(then.upper),
        gain_k,
        spread_now_k: spread_k(now),
        spread_then_k: spread_k(&then),
    })
}
