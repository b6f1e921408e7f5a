//! What a unit has been through, as plain data.

use super::LongHistory;
use super::findings::findings;
use super::parts::Part;
use super::span::{Span, When};
use super::tally::Highest;
use crate::assessment::Tool;
use crate::assessment::counted_gas;
use crate::assessment::evaluation::WIDENED_BY_K;
use crate::assessment::paper_life::CostWithWater;
use crate::bubbling::inception::Inception;
use crate::quantities::{Celsius, MoisturePercent};
use crate::rules::finding::{Finding, Severity};
use crate::rules::local_file::{LocalRules, NO_GO_MARGIN_K};
use crate::thermal::cooling::Control;
use crate::thermal::detailed::Detailed;
use crate::thermal::iec::Iec;
use crate::thermal::ieee::Ieee;
use crate::thermal::{Form, Model};
use serde::Serialize;

/// What a unit has been through.
///
/// The JSON of `history` is this structure. A `null` means "not computable" or "none", never
/// zero; NaN and infinity never appear.
#[derive(Debug, Clone, Serialize)]
pub struct HistoryAnswer {
    /// What computed it.
    pub tool: Tool,
    /// Name of the unit.
    pub unit: String,
    /// Where it stands.
    pub site: Option<String>,
    /// The day for which the age of evidence is judged.
    pub as_of: Option<String>,
    /// The local rules.
    pub local_rules: Option<String>,
    /// SHA-256 of every input file and option.
    pub inputs_sha256: String,
    /// What the history covers.
    pub span: Span,
    /// Ambient taken for a history that has none of its own, °C.
    pub ambient_c: Option<f64>,
    /// Whether the history has an ambient of its own.
    pub own_ambient: bool,
    /// Cooling stage counted on, or `automatic`.
    pub cooling: Option<String>,
    /// Greatest load, per unit.
    pub greatest_load: Option<Extreme>,
    /// Hottest hot spot, °C.
    pub hot_spot: Option<Extreme>,
    /// Hottest top oil, °C.
    pub top_oil: Option<Extreme>,
    /// Which form is the hotter one.
    pub governing: Option<Governing>,
    /// The margin to bubbling and what it rests on.
    pub bubbling: Bubbling,
    /// Life of the paper used.
    pub paper: Option<PaperUsed>,
    /// Days, months or years; a single one is left out.
    pub parts: Vec<Part>,
    /// What is to know and to mind, gravest first.
    pub findings: Vec<Finding>,
}

impl HistoryAnswer {
    /// Whether the margin to bubbling has no answer.
    pub fn unanswered(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity >= Severity::Unknown)
    }
}

/// An extreme value and when it was reached first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Extreme {
    /// The value.
    pub value: f64,
    /// When.
    pub at: When,
}

/// Which model is the hottest one; at each moment the hottest counts.
#[derive(Debug, Clone, Serialize)]
pub struct Governing {
    /// The model that gives the hottest hot spot.
    pub at_hottest: &'static str,
    /// Hours during which the IEC form gave the hottest hot spot.
    pub iec_hours: f64,
    /// Hours during which the IEEE form did.
    pub ieee_hours: f64,
    /// Hours during which the detailed model did.
    pub detailed_hours: f64,
}

impl Governing {
    /// The model that is the hottest one for most hours, and its share of them.
    pub fn mostly(&self) -> (&'static str, f64) {
        let all = self.iec_hours + self.ieee_hours + self.detailed_hours;
        let others =
            [(<Ieee as Form>::NAME, self.ieee_hours), (Detailed::NAME, self.detailed_hours)];
        let longer = |known: (&'static str, f64), next: (&'static str, f64)| {
            if next.1 > known.1 { next } else { known }
        };
        let (model, hours) = others.into_iter().fold((<Iec as Form>::NAME, self.iec_hours), longer);
        (model, if all > 0.0 { hours / all } else { 1.0 })
    }
}

/// The margin to bubbling and what it rests on, with the moisture that counts for all of the time.
#[derive(Debug, Clone, Serialize)]
pub struct Bubbling {
    /// Smallest margin, K.
    pub margin_k: Option<f64>,
    /// Where there is none: it lies below this, K.
    pub margin_below_k: Option<f64>,
    /// When it was smallest.
    pub at: Option<When>,
    /// The margin that an overload needs, K.
    pub required_margin_k: f64,
    /// Hours with less than that.
    pub hours_below_required: Option<f64>,
    /// Hours with less than none.
    pub hours_below_zero: Option<f64>,
    /// Inception temperature, °C.
    pub inception_c: Option<f64>,
    /// Where there is none: it lies below this, °C.
    pub inception_below_c: Option<f64>,
    /// The correlation that gives it.
    pub inception_by: Option<&'static str>,
    /// Moisture that counts, %, before the holding factor.
    pub counting_moisture_percent: Option<f64>,
    /// Total dissolved gas, % by volume.
    pub gas_percent: Option<f64>,
    /// Whether that is assumed.
    pub gas_assumed: bool,
}

/// Life of the paper used, h of normal life.
#[derive(Debug, Clone, Serialize)]
pub struct PaperUsed {
    /// At the guide's rate for dry paper of the unit's kind.
    pub hours: f64,
    /// For each hour that passed.
    pub per_hour: Option<f64>,
    /// By chain scission if the paper were dry, by every published set that reaches through all of it; only figures
    /// of the same set may be held against each other.
    pub if_dry: Vec<CostWithWater>,
    /// By chain scission with the moisture that counts, by every published set that reaches through
    /// all of it.
    pub with_water: Vec<CostWithWater>,
}

/// Margins below which hours are counted, K: none, required, and required with typical data.
pub(super) fn required_k(local: Option<&LocalRules>) -> [f64; 3] {
    let required_k = local.map_or(NO_GO_MARGIN_K, |local| local.no_go_margin_k);
    [0.0, required_k, required_k + WIDENED_BY_K]
}

/// Puts the answer together.
pub(super) fn answer(history: LongHistory<'_>, inputs_sha256: String) -> HistoryAnswer {
    let (question, clock) = (history.question, history.clock);
    let extreme = |found: Option<Highest>| {
        let peak = found?.peak;
        Some(Extreme { value: peak.value_c, at: When::of(peak.at_min, clock) })
    };
    let hours_known: f64 = history.tally.hours_of.iter().sum();
    let hot_spot = history.tally.hot_spot();
    let bubbling = bubbling(&history, extreme(hot_spot));
    let findings = findings(&history, &bubbling);
    let tally = history.tally;
    let mut parts = history.parts.finished(tally.inception_c());
    // The last row only ends the history, though a new day may begin with it.
    parts.retain(|part| part.hours > 0.0);
    if parts.len() < 2 || hot_spot.is_none() {
        parts.clear();
    }
    HistoryAnswer {
        tool: Tool::this(),
        unit: question.unit.name.clone(),
        site: question.unit.site.clone(),
        as_of: question.as_of.map(|day| day.to_string()),
        local_rules: question.local.as_ref().map(|local| local.name.clone()),
        inputs_sha256,
        span: history.span.finished(clock),
        ambient_c: question.ambient_c,
        own_ambient: history.own_ambient,
        cooling: history.plant.map(|(_, cooling, _)| match cooling.control {
            Control::Fixed(stage) => cooling.stages[stage].name.clone(),
            Control::Automatic => "automatic".to_owned(),
        }),
        greatest_load: tally
            .greatest_load
            .map(|(value, minute)| Extreme { value, at: When::of(minute, clock) }),
        hot_spot: extreme(hot_spot),
        top_oil: extreme(tally.top_oil()),
        governing: hot_spot.map(|highest| Governing {
            at_hottest: highest.form,
            iec_hours: tally.hours_of[0],
            ieee_hours: tally.hours_of[1],
            detailed_hours: tally.hours_of[2],
        }),
        bubbling,
        paper: hot_spot.filter(|_| question.life_and_parts).map(|_| PaperUsed {
            hours: tally.life_hours,
            per_hour: (hours_known > 0.0).then(|| tally.life_hours / hours_known),
            if_dry: tally.if_dry(),
            with_water: tally.with_water(),
        }),
        parts,
        findings,
    }
}

fn bubbling(history: &LongHistory<'_>, hottest: Option<Extreme>) -> Bubbling {
    let (paper, tally, unit) = (&history.paper, &history.tally, &history.question.unit);
    let counting = paper.facts.counting.map(|counting| counting.upper);
    let reading = paper.reading(counting);
    let inception_c = reading.inception().map(Celsius::value);
    let below_c = reading.ceiling().map(Celsius::value).filter(|_| inception_c.is_none());
    let hot_spot_c = hottest.as_ref().map(|hottest| hottest.value);
    let less = |inception_c: Option<f64>| Some(inception_c? - hot_spot_c?);
    let margin_k = less(inception_c);
    let [_, required_k, widened_k] = required_k(history.question.local.as_ref());
    let widened = !history.not_own().is_empty();
    let hours = |index: usize| margin_k.map(|_| tally.hours_below[index]);
    Bubbling {
        margin_k,
        margin_below_k: less(below_c),
        at: hottest.filter(|_| margin_k.is_some()).map(|hottest| hottest.at),
        required_margin_k: if widened { widened_k } else { required_k },
        hours_below_required: hours(if widened { 2 } else { 1 }),
        hours_below_zero: hours(0),
        inception_c,
        inception_below_c: below_c,
        inception_by: reading.known().map(Inception::governed_by),
        counting_moisture_percent: counting.map(MoisturePercent::value),
        gas_percent: counted_gas::percent(paper.gas.as_ref()),
        gas_assumed: counted_gas::is_assumed(unit, paper.gas.as_ref()),
    }
}
