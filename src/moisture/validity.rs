//! Each witness judged on its own: what it says of the paper, whether that counts, and why not.

use super::conversion::{MOST_SATURATION, from_ppm, from_saturation, std_percent};
use super::evidence::{Location, Method, Statement, Witness};
use super::series::{Equilibrium, ProbePoint, equilibrium};
use super::solubility::Solubility;
use super::usual::{self, Criteria};
use crate::quantities::{Celsius, MoisturePercent, OutsideValidity, RelativeSaturation, WaterPpm};
use chrono::{Datelike, NaiveDate};
use serde::Serialize;

/// Days in a month on average, and in a year.
const DAYS_A_MONTH: f64 = 30.44;
const DAYS_A_YEAR: f64 = 365.25;

/// What a witness is judged by, beside itself.
#[derive(Debug, Clone, Copy)]
pub struct Context {
    /// What it must fulfil.
    pub criteria: Criteria,
    /// Solubility of water in the unit's oil.
    pub solubility: Solubility,
    /// The day on which the question is asked; `None`: age is not judged.
    pub as_of: Option<NaiveDate>,
    /// Last drying of the insulation.
    pub dried: Option<NaiveDate>,
    /// Year of manufacture.
    pub made: Option<f64>,
}

/// Whether a witness counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// It counts.
    Counts,
    /// It may raise the counting moisture and never lower it.
    WetSideOnly,
    /// It is shown and does not count.
    DoesNotCount,
}

/// Water in paper as a witness sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The figure.
    pub percent: MoisturePercent,
    /// Its standard uncertainty, % points.
    pub std: f64,
    /// Whether the profile states that uncertainty.
    pub std_stated: bool,
}

/// Why a witness does not count, or only on the wet side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// Somebody decided so.
    SetAside,
    /// Oil too cold for the method.
    TooCold,
    /// Oil too dry for the method.
    TooDry,
    /// Load or temperature changed shortly before.
    LoadChanged,
    /// A series that shows no equilibrium.
    NoEquilibrium,
    /// Nobody says how warm the oil was.
    OilTemperatureUnknown,
    /// Oil too close to saturation for the isotherm.
    TooWetForIsotherm,
    /// Outside another range of the conversion.
    OutsideIsotherm,
    /// Too old.
    Old,
    /// Dated after the day of the question.
    DatedLater,
    /// Taken before the last drying.
    BeforeDrying,
    /// No date, so nobody knows whether it was before the last drying.
    Undated,
    /// No standard uncertainty, and no method to infer it from.
    UncertaintyMissing,
    /// An assumption, while there are measurements.
    Assumption,
}

impl Why {
    /// The reason in words, to follow "because".
    pub fn in_words(self) -> &'static str {
        match self {
            Self::SetAside => "set aside",
            Self::TooCold => "the oil was too cold for the method",
            Self::TooDry => "the oil was too dry for the method",
            Self::LoadChanged => "load or temperature had changed shortly before",
            Self::NoEquilibrium => "oil and paper were never in equilibrium",
            Self::OilTemperatureUnknown => "the oil temperature is not stated",
            Self::TooWetForIsotherm => "the oil was too near saturation for the isotherm",
            Self::OutsideIsotherm => "outside the range of the isotherm",
            Self::Old => "too old",
            Self::DatedLater => "dated after the day of the question",
            Self::BeforeDrying => "taken before the last drying",
            Self::Undated => "undated, so perhaps from before the last drying",
            Self::UncertaintyMissing => "no standard uncertainty is stated",
            Self::Assumption => "an assumption, and there are measurements",
        }
    }

    fn standing(self) -> Standing {
        match self {
            // Paper does not dry by itself: what was wet may still be.
            Self::Old | Self::DatedLater | Self::Undated | Self::Assumption => {
                Standing::WetSideOnly
            }
            _ => Standing::DoesNotCount,
        }
    }
}

/// A reason with what was found and what is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reason {
    /// The reason.
    pub why: Why,
    /// What was found, with its unit.
    pub found: Option<(f64, &'static str)>,
    /// What is asked for, with its unit.
    pub asked: Option<(f64, &'static str)>,
}

impl Reason {
    fn plain(why: Why) -> Self {
        Self { why, found: None, asked: None }
    }

    fn because(why: Why, found: f64, asked: f64, unit: &'static str) -> Self {
        Self { why, found: Some((found, unit)), asked: Some((asked, unit)) }
    }
}

/// Something that may have led a witness astray without ruling it out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Doubt {
    /// Nobody says whether oil and paper were in equilibrium.
    EquilibriumUnknown,
    /// Oil not much above the coldest that is accepted.
    CoolOil,
    /// One spot at the hot end of a winding.
    HotSpot,
    /// One spot at the cool end.
    CoolSpot,
    /// Aged oil conducts, and a dielectric response takes that for moisture.
    ConductiveOil,
    /// Paper in the air takes up water.
    Exposed,
    /// Nobody says how long the paper was in the air.
    ExposureUnknown,
    /// Aged oil dissolves more water than new oil, whose constants are used.
    NewOilConstants,
    /// An assumption.
    Assumed,
}

/// The side to which a doubt shifts a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// It may read too dry.
    Dry,
    /// It may read too wet.
    Wet,
    /// Either.
    Either,
}

impl Doubt {
    /// The doubt in words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::EquilibriumUnknown => "nobody says that oil and paper were in equilibrium",
            Self::CoolOil => "cool oil says little of the paper",
            Self::HotSpot => "the hot end of a winding is drier than the bulk",
            Self::CoolSpot => "the cool end of a winding is wetter than the bulk",
            Self::ConductiveOil => "aged oil conducts, which reads as moisture",
            Self::Exposed => "paper in the air takes up water",
            Self::ExposureUnknown => "nobody says how long the paper was in the air",
            Self::NewOilConstants => "aged oil dissolves more water than the new oil assumed",
            Self::Assumed => "it is an assumption",
        }
    }

    /// Where it shifts the figure.
    pub fn side(self) -> Side {
        match self {
            Self::HotSpot => Side::Dry,
            Self::CoolSpot
            | Self::ConductiveOil
            | Self::Exposed
            | Self::ExposureUnknown
            | Self::NewOilConstants => Side::Wet,
            Self::EquilibriumUnknown | Self::CoolOil | Self::Assumed => Side::Either,
        }
    }
}

/// A witness, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Water in paper, where it can be given inside every range.
    pub figure: Option<Figure>,
    /// Whether it counts.
    pub standing: Standing,
    /// Why it does not, gravest first.
    pub reasons: Vec<Reason>,
    /// What may have led it astray.
    pub doubts: Vec<Doubt>,
}

/// Judges every witness; an assumption beside a measurement that counts may only raise.
pub fn judge_all(witnesses: &[Witness], context: &Context) -> Vec<Judged> {
    let mut judged: Vec<Judged> = witnesses.iter().map(|witness| judge(witness, context)).collect();
    let assumed = |witness: &Witness| witness.method == Some(Method::Assumed);
    let measured = witnesses
        .iter()
        .zip(&judged)
        .any(|(witness, own)| !assumed(witness) && own.standing == Standing::Counts);
    for (witness, own) in witnesses.iter().zip(&mut judged) {
        if measured && assumed(witness) && own.standing == Standing::Counts {
            own.standing = Standing::WetSideOnly;
            own.reasons.push(Reason::plain(Why::Assumption));
        }
    }
    judged
}

/// Judges one witness.
pub fn judge(witness: &Witness, context: &Context) -> Judged {
    let mut reasons: Vec<Reason> = Vec::new();
    reasons.extend(witness.set_aside.is_some().then(|| Reason::plain(Why::SetAside)));
    let figure = match figure(witness, context) {
        Ok(figure) => Some(figure),
        Err(reason) => {
            reasons.push(reason);
            None
        }
    };
    reasons.extend(in_oil(witness, &context.criteria));
    reasons.extend(in_time(witness, context));
    // What rules a witness out altogether stands first.
    reasons.sort_by_key(|reason| reason.why.standing() == Standing::WetSideOnly);
    let standing = reasons.first().map_or(Standing::Counts, |reason| reason.why.standing());
    Judged { figure, standing, reasons, doubts: doubts(witness, context) }
}

/// What the witness says of the paper.
fn figure(witness: &Witness, context: &Context) -> Result<Figure, Reason> {
    match &witness.statement {
        Statement::Paper { percent, std } => paper(witness, *percent, *std),
        Statement::Oil { ppm, std_ppm } => oil_sample(witness, *ppm, *std_ppm, context.solubility),
        Statement::Probe { saturation, std } => probe(witness, *saturation, *std),
        Statement::Series { points, std } => series(witness, points, *std, context),
        Statement::Age { start_percent, yearly_percent } => {
            assumed(*start_percent, *yearly_percent, context)
        }
    }
}

fn paper(
    witness: &Witness,
    percent: MoisturePercent,
    stated: Option<f64>,
) -> Result<Figure, Reason> {
    let usual = witness.method.and_then(|method| usual::paper_std(method, percent.value()));
    let std = stated.or(usual).ok_or(Reason::plain(Why::UncertaintyMissing))?;
    Ok(Figure { percent, std, std_stated: stated.is_some() })
}

fn oil_sample(
    witness: &Witness,
    ppm: WaterPpm,
    stated: Option<f64>,
    solubility: Solubility,
) -> Result<Figure, Reason> {
    let oil = witness.oil.ok_or(Reason::plain(Why::OilTemperatureUnknown))?;
    let percent = from_ppm(ppm, oil, solubility).map_err(|why| outside(&why))?;
    let relative = stated.unwrap_or(usual::OIL_STD_PPM) / ppm.value().max(f64::MIN_POSITIVE);
    let oil_k = witness.std_oil_k.unwrap_or(usual::SAMPLE_STD_K);
    let std = std_percent(relative, oil, oil_k, |oil| from_ppm(ppm, oil, solubility));
    let std = std.map_err(|why| outside(&why))? * unless_in_equilibrium(witness);
    Ok(Figure { percent, std, std_stated: stated.is_some() })
}

fn probe(
    witness: &Witness,
    saturation: RelativeSaturation,
    stated: Option<f64>,
) -> Result<Figure, Reason> {
    let oil = witness.oil.ok_or(Reason::plain(Why::OilTemperatureUnknown))?;
    let own = probe_figure(saturation, oil, stated, witness.std_oil_k)?;
    Ok(Figure { std: own.std * unless_in_equilibrium(witness), ..own })
}

fn probe_figure(
    saturation: RelativeSaturation,
    oil: Celsius,
    stated: Option<f64>,
    std_oil_k: Option<f64>,
) -> Result<Figure, Reason> {
    let percent = from_saturation(saturation, oil).map_err(|why| outside(&why))?;
    let relative = stated.unwrap_or(usual::PROBE_STD) / saturation.value().max(f64::MIN_POSITIVE);
    let oil_k = std_oil_k.unwrap_or(usual::PROBE_STD_K);
    let std = std_percent(relative, oil, oil_k, |oil| from_saturation(saturation, oil));
    Ok(Figure { percent, std: std.map_err(|why| outside(&why))?, std_stated: stated.is_some() })
}

/// The mean of the readings in equilibrium; what the probe has in common in all of them does not
/// average out, their scatter does.
fn series(
    witness: &Witness,
    points: &[ProbePoint],
    stated: Option<f64>,
    context: &Context,
) -> Result<Figure, Reason> {
    let criteria = &context.criteria;
    let in_equilibrium = match equilibrium(points, context.solubility, criteria.steady_h) {
        Equilibrium::Steady(points) | Equilibrium::Reversals(points) => points,
        Equilibrium::None => return Err(Reason::plain(Why::NoEquilibrium)),
    };
    let warm: Vec<ProbePoint> = in_equilibrium
        .into_iter()
        .filter(|point| point.oil.value() >= criteria.coldest_oil_c)
        .collect();
    if warm.is_empty() {
        let coldest = points.iter().map(|point| point.oil.value()).fold(f64::MAX, f64::min);
        return Err(Reason::because(Why::TooCold, coldest, criteria.coldest_oil_c, "°C"));
    }
    let figures: Result<Vec<Figure>, Reason> = warm
        .iter()
        .map(|point| probe_figure(point.saturation, point.oil, stated, witness.std_oil_k))
        .collect();
    let figures = figures?;
    #[allow(clippy::cast_precision_loss, reason = "a few readings")]
    let n = figures.len() as f64;
    let mean = figures.iter().map(|figure| figure.percent.value()).sum::<f64>() / n;
    let common = figures.iter().map(|figure| figure.std).fold(0.0, f64::max);
    let squares: f64 = figures.iter().map(|figure| (figure.percent.value() - mean).powi(2)).sum();
    let scatter = (squares / (n - 1.0).max(1.0) / n).sqrt();
    let percent = MoisturePercent::new(mean)
        .map_err(|error| outside(&error.outside(super::isotherm::NAME)))?;
    Ok(Figure { percent, std: common.hypot(scatter), std_stated: stated.is_some() })
}

/// What age and preservation alone suggest.
fn assumed(start: f64, yearly: f64, context: &Context) -> Result<Figure, Reason> {
    let years = years_of_service(context).ok_or(Reason::plain(Why::Undated))?;
    let gained = yearly * years;
    let percent = MoisturePercent::new(start + gained)
        .map_err(|error| outside(&error.outside("the assumed increase of water")))?;
    let std = usual::START_STD.hypot(usual::INCREASE_RELATIVE * gained);
    Ok(Figure { percent, std, std_stated: false })
}

/// Years since the insulation was last dry.
fn years_of_service(context: &Context) -> Option<f64> {
    let as_of = context.as_of?;
    let since_drying = context.dried.map(|dried| days_between(dried, as_of) / DAYS_A_YEAR);
    let since_made = context.made.map(|made| f64::from(as_of.year()) - made);
    since_drying.or(since_made).map(|years| years.max(0.0))
}

fn days_between(from: NaiveDate, until: NaiveDate) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "days of a calendar")]
    let days = until.signed_duration_since(from).num_days() as f64;
    days
}

fn unless_in_equilibrium(witness: &Witness) -> f64 {
    if witness.steady_h.is_some() { 1.0 } else { usual::UNKNOWN_EQUILIBRIUM }
}

fn outside(why: &OutsideValidity) -> Reason {
    let too_wet = why.quantity == "relative saturation" && why.found > MOST_SATURATION * 100.0;
    let kind = if too_wet { Why::TooWetForIsotherm } else { Why::OutsideIsotherm };
    let edge = if why.found > why.most { why.most } else { why.least };
    Reason::because(kind, why.found, edge, why.unit)
}

/// What an oil witness must fulfil.
fn in_oil(witness: &Witness, criteria: &Criteria) -> Vec<Reason> {
    let mut reasons = Vec::new();
    let dry = match &witness.statement {
        Statement::Oil { ppm, .. } => (ppm.value() < criteria.least_ppm)
            .then(|| Reason::because(Why::TooDry, ppm.value(), criteria.least_ppm, "ppm")),
        Statement::Probe { saturation, .. } => {
            let (found, asked) = (saturation.value() * 100.0, criteria.least_saturation * 100.0);
            (found < asked).then(|| Reason::because(Why::TooDry, found, asked, "% of saturation"))
        }
        Statement::Paper { .. } | Statement::Series { .. } | Statement::Age { .. } => {
            return reasons;
        }
    };
    let cold = witness.oil.map(Celsius::value).filter(|oil_c| *oil_c < criteria.coldest_oil_c);
    reasons.extend(
        cold.map(|oil_c| Reason::because(Why::TooCold, oil_c, criteria.coldest_oil_c, "°C")),
    );
    reasons.extend(dry);
    let unsteady = witness.steady_h.filter(|steady_h| *steady_h < criteria.steady_h);
    reasons.extend(
        unsteady.map(|h| Reason::because(Why::LoadChanged, h, criteria.steady_h, "h steady")),
    );
    reasons
}

/// What a witness must fulfil in time.
fn in_time(witness: &Witness, context: &Context) -> Vec<Reason> {
    let mut reasons = Vec::new();
    match (witness.date, context.dried) {
        (Some(date), Some(dried)) if date < dried => {
            reasons.push(Reason::plain(Why::BeforeDrying));
        }
        (None, Some(_)) if !matches!(witness.statement, Statement::Age { .. }) => {
            reasons.push(Reason::plain(Why::Undated));
        }
        _ => {}
    }
    if let (Some(date), Some(as_of)) = (witness.date, context.as_of) {
        let months = days_between(date, as_of) / DAYS_A_MONTH;
        let oldest = context.criteria.oldest_months;
        if months < 0.0 {
            reasons.push(Reason::plain(Why::DatedLater));
        } else if !(months <= oldest) {
            reasons.push(Reason::because(Why::Old, months, oldest, "months"));
        }
    }
    reasons
}

/// An oil witness within this of the coldest that is accepted is doubtful, K. Our choice.
const COOL_WITHIN_K: f64 = 10.0;

/// A paper sample longer in the air than this is doubtful, min. Common practice, no source.
const LONG_EXPOSURE_MIN: f64 = 5.0;

fn doubts(witness: &Witness, context: &Context) -> Vec<Doubt> {
    let single_oil = matches!(witness.statement, Statement::Oil { .. } | Statement::Probe { .. });
    let cool_c = context.criteria.coldest_oil_c + COOL_WITHIN_K;
    let sample = witness.method == Some(Method::PaperSample);
    let exposed = witness.exposure_min.map(|minutes| minutes > LONG_EXPOSURE_MIN);
    let aged = witness.aged_conductive_oil == Some(true);
    let from_ppm = matches!(witness.statement, Statement::Oil { .. });
    let new_oil = context.solubility == Solubility::MINERAL;
    let all = [
        (Doubt::EquilibriumUnknown, single_oil && witness.steady_h.is_none()),
        (Doubt::CoolOil, single_oil && witness.oil.is_some_and(|oil| oil.value() < cool_c)),
        (Doubt::HotSpot, witness.location == Some(Location::TopOfWinding)),
        (Doubt::CoolSpot, witness.location == Some(Location::BottomOfWinding)),
        (Doubt::ConductiveOil, aged && witness.method == Some(Method::DielectricResponse)),
        (Doubt::Exposed, sample && exposed == Some(true)),
        (Doubt::ExposureUnknown, sample && exposed.is_none()),
        (Doubt::NewOilConstants, aged && from_ppm && new_oil),
        (Doubt::Assumed, witness.method == Some(Method::Assumed)),
    ];
    all.into_iter().filter(|(_, holds)| *holds).map(|(doubt, _)| doubt).collect()
}
