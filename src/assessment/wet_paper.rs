//! From moisture, gas and pressure to the inception temperatures that the rules look at.

use super::counted_gas;
use super::paper_holding::{TAKEN_LOW, holding_of};
use crate::bubbling::gas_age::CountedGas;
use crate::bubbling::inception::{edge, inception};
use crate::bubbling::{Conditions, partial_pressure, pressure};
use crate::moisture::contradiction::contradictions;
use crate::moisture::evidence::Witness;
use crate::moisture::holding::{DrawnWater, Holding};
use crate::moisture::reconcile::{Counting, CountsBy, counting, reconciled};
use crate::moisture::usual::Criteria;
use crate::moisture::validity::{Context, Figure, Judged, judge_all};
use crate::quantities::{Celsius, Metres, MoisturePercent, Pascals};
use crate::rules::facts::{BubblingFacts, LocalMoistureEffect, MoistureFacts, Reading};
use crate::rules::local_moisture::LocalMoisture;
use crate::unit::Unit;
use chrono::NaiveDate;

/// The wet paper of a unit: what the evidence amounts to, and at what temperature it bubbles.
/// It does not depend on the load.
#[derive(Debug, Clone)]
pub struct WetPaper<'a> {
    unit: &'a Unit,
    local: LocalMoisture,
    as_of: Option<NaiveDate>,
    /// Pressure at the hot spot; `None` if the altitude is missing.
    pub pressure: Option<Pascals>,
    /// The gas that counts; `None` if none is known.
    pub gas: Option<CountedGas>,
    /// What the evidence amounts to.
    pub facts: MoistureFacts,
}

impl<'a> WetPaper<'a> {
    /// Judges and reconciles the evidence of a unit on a day, under local rules.
    pub fn of(unit: &'a Unit, local: Option<&LocalMoisture>, as_of: Option<NaiveDate>) -> Self {
        let local = local.cloned().unwrap_or_default();
        let mut paper = Self {
            unit,
            gas: counted_gas::counted(unit, local.oldest_gas_months, as_of),
            local,
            as_of,
            pressure: pressure_at_hot_spot(unit),
            facts: MoistureFacts {
                judged: Vec::new(),
                evidence: None,
                counting: None,
                drawn: None,
                holding: TAKEN_LOW,
                local: None,
                drying_to_come: false,
                contradictions: Vec::new(),
            },
        };
        paper.facts = paper.reconciled(&unit.witnesses);
        paper
    }

    /// The same paper as if this much water counted, % as new paper would hold it; `None` leaves it as it is.
    ///
    /// ```text
    /// counting' = water        best' = best · water / counting        and so all that is drawn
    /// ```
    /// What the evidence says after the local rules is scaled, so that the relative spread stays and no local
    /// rule raises it again. Without moisture evidence it has no effect; a figure that is no moisture leaves
    /// none that counts.
    #[must_use]
    pub fn as_if(mut self, water_percent: Option<f64>) -> Self {
        if let Some(water_percent) = water_percent {
            let counting = self.facts.counting;
            let factor = counting.map_or(1.0, |found| water_percent / found.upper.value());
            self.facts.counting = counting.and_then(|found| scaled(found, water_percent));
            self.facts.drawn = self.facts.drawn.take().map(|drawn| drawn.times(factor));
        }
        self
    }

    /// What the evidence would amount to with other witnesses.
    pub(super) fn reconciled(&self, witnesses: &[Witness]) -> MoistureFacts {
        let judged = judge_all(witnesses, &self.context(self.local.criteria));
        let as_new = counting(&judged).map(|found| found.upper);
        let holding = holding_of(self.unit, self.as_of, as_new);
        let found = self.evidence(witnesses, &judged, &holding.factor);
        let evidence = found.as_ref().map(|found| found.0);
        let (counting, drawn, local) = if let Some((found, drawn)) = found {
            let (counting, effect) = self.after_local_rules(found);
            let drawn = self.drawn_after_local_rules(&found, drawn, effect.as_ref());
            (counting, Some(drawn), effect)
        } else {
            let stated = self.local.counting_percent.or(self.local.at_least_percent);
            (None, None, stated.map(|_| LocalMoistureEffect::Unused))
        };
        let contradictions = contradictions(witnesses, &judged, evidence.as_ref(), &holding.factor);
        let drying_to_come =
            self.unit.dried.zip(self.as_of).is_some_and(|(dried, as_of)| dried > as_of);
        MoistureFacts {
            judged,
            evidence,
            counting,
            drawn,
            holding,
            local,
            drying_to_come,
            contradictions,
        }
    }

    fn context(&self, criteria: Criteria) -> Context {
        Context {
            criteria,
            solubility: self.unit.solubility.constants,
            as_of: self.as_of,
            dried: self.unit.dried,
            oil_treated: self.unit.oil_treated,
            made: self.unit.made,
        }
    }

    /// Stricter criteria can rule out the wettest witness, and may not make the result drier than
    /// the usual ones do.
    fn evidence(
        &self,
        witnesses: &[Witness],
        judged: &[Judged],
        holding: &Holding,
    ) -> Option<(Counting, DrawnWater)> {
        let (found, drawn) = reconciled(judged, holding)?;
        let laxer = self.local.criteria.laxer(Criteria::default());
        if self.local.criteria == laxer {
            return Some((found, drawn));
        }
        let Some((usual, usually)) =
            reconciled(&judge_all(witnesses, &self.context(laxer)), holding)
        else {
            return Some((found, drawn));
        };
        let wetter = if usual.upper > found.upper { usual } else { found };
        Some((wetter, drawn.wetter(&usually)))
    }

    /// What a local rule raises is drawn up to there; what it lowers by name keeps its spread about the new
    /// figure, and is not drawn wetter than the evidence was.
    fn drawn_after_local_rules(
        &self,
        evidence: &Counting,
        drawn: DrawnWater,
        effect: Option<&LocalMoistureEffect>,
    ) -> DrawnWater {
        let stated = self.local.counting_percent;
        let lowered = matches!(effect, Some(LocalMoistureEffect::Lowered(_)));
        let drawn = match stated.filter(|_| lowered) {
            Some(stated) => drawn.times((stated / evidence.median.value()).min(1.0)),
            None => drawn,
        };
        let raised = stated.filter(|stated| !lowered && *stated > evidence.upper.value());
        let least = raised.into_iter().chain(self.local.at_least_percent).fold(0.0, f64::max);
        drawn.at_least(least)
    }

    /// Local rules raise at will, and lower only by name and reason.
    fn after_local_rules(
        &self,
        found: Counting,
    ) -> (Option<Counting>, Option<LocalMoistureEffect>) {
        let evidence = found.upper.value();
        let stated = self.local.counting_percent;
        let (mut percent, mut effect) = match (stated, &self.local.decided) {
            (Some(stated), Some(decided)) if stated < evidence => {
                (stated, Some(LocalMoistureEffect::Lowered(decided.clone())))
            }
            (Some(stated), None) if stated < evidence => {
                (evidence, Some(LocalMoistureEffect::Refused))
            }
            (Some(stated), _) if stated > evidence => (stated, Some(LocalMoistureEffect::Raised)),
            _ => (evidence, None),
        };
        if let Some(least) = self.local.at_least_percent
            && least > percent
        {
            percent = least;
            let raised = least > evidence && effect != Some(LocalMoistureEffect::Refused);
            effect = raised.then_some(LocalMoistureEffect::Raised).or(effect);
        }
        let by =
            if percent.to_bits() == evidence.to_bits() { found.by } else { CountsBy::LocalRule };
        let counting = MoisturePercent::new(percent).ok().map(|upper| {
            let best = if found.best > upper { upper } else { found.best };
            Counting { best, upper, by, ..found }
        });
        (counting, effect)
    }

    /// Whether a local rule lets drying of the hot spot count.
    pub(super) fn drying_may_count(&self) -> bool {
        self.local.allow_drying_credit
    }

    /// The day for which it is asked.
    pub(super) fn as_of(&self) -> Option<NaiveDate> {
        self.as_of
    }

    /// The inception temperature with this much water in the paper, as new paper would hold it.
    pub(super) fn reading(&self, water: Option<MoisturePercent>) -> Reading {
        self.conditions(water).map_or(Reading::Missing, reading)
    }

    /// New paper that holds water as firmly as this paper holds the moisture that counts.
    pub(super) fn held(&self) -> Option<MoisturePercent> {
        self.facts.counting.map(|counting| counting.upper)
    }

    /// Water as new paper would hold it, from a figure of this unit's evidence, %.
    pub(super) fn in_new_paper(&self, figure: &Figure, percent: f64) -> f64 {
        let factor = if figure.by_mass { self.facts.holding.factor.central } else { 1.0 };
        (percent / factor).min(100.0)
    }

    fn conditions(&self, water: Option<MoisturePercent>) -> Option<Conditions> {
        Some(Conditions { water: water?, pressure: self.pressure?, gas: self.gas?.total })
    }

    /// The inception temperature if the paper held all that new paper holds.
    fn as_new(&self) -> Option<Celsius> {
        let (_, percent) = self.facts.drawn.as_ref()?.at(1.0);
        self.reading(MoisturePercent::new(percent).ok()).inception()
    }

    /// What the bubbling models say, with this much water at the hot spot.
    pub(super) fn bubbling(&self, at_hot_spot: Option<MoisturePercent>) -> BubblingFacts {
        // A credit that makes the counting moisture drier than the best estimate holds for both.
        let best = self.facts.counting.map(|counting| counting.best);
        let best = match (best, at_hot_spot) {
            (Some(best), Some(water)) if water < best => Some(water),
            _ => best,
        };
        let gas_pressure = self.gas.map(|gas| gas.pressure);
        let bound = self
            .conditions(at_hot_spot)
            .zip(gas_pressure)
            .and_then(|(conditions, gas)| partial_pressure::bound(&conditions, gas).ok());
        BubblingFacts {
            as_new: self.as_new(),
            pressure: self.pressure,
            gas: self.gas,
            best: self.reading(best),
            low: self.reading(at_hot_spot),
            bound: bound.flatten(),
            gas_alone_bubbles: bound.is_some_and(|bound| bound.is_none()),
        }
    }
}

fn scaled(found: Counting, water_percent: f64) -> Option<Counting> {
    let factor = water_percent / found.upper.value();
    let upper = MoisturePercent::new(water_percent).ok()?;
    let times = |water: MoisturePercent| MoisturePercent::new(water.value() * factor).ok();
    Some(Counting { best: times(found.best)?, median: times(found.median)?, upper, ..found })
}

fn reading(conditions: Conditions) -> Reading {
    match inception(&conditions) {
        Ok(found) => Reading::Known(found),
        Err(why) => Reading::Outside(why, edge(&conditions)),
    }
}

/// `None` if the altitude is missing. Without a stated head none is counted.
fn pressure_at_hot_spot(unit: &Unit) -> Option<Pascals> {
    let around = &unit.surroundings;
    let head = around.head.or_else(|| Metres::new(0.0).ok())?;
    pressure::at_hot_spot(around.altitude?, head, around.blanket_pa).ok()
}
