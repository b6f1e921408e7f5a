//! What a witness says of the paper: the figure and its standard uncertainty.

use super::conversion::{MOST_SATURATION, from_saturation, std_percent};
use super::evidence::{Method, Statement, Witness};
use super::isotherm;
use super::judgement::{Context, Reason, Why};
use super::outside::Outside;
use super::series::{Equilibrium, ProbePoint, equilibrium};
use super::usual;
use crate::quantities::{Celsius, MoisturePercent, OutsideValidity, RelativeSaturation, WaterPpm};
use chrono::{Datelike, NaiveDate};

/// Paper in oil holds no more water than this, %: the most that a profile may state.
const MOST_PERCENT: f64 = 20.0;

/// Days in a year on average.
const DAYS_A_YEAR: f64 = 365.25;
/// Days in a month on average.
const DAYS_A_MONTH: f64 = DAYS_A_YEAR / 12.0;

/// Water in paper as a witness sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The figure, at the edge of what the method asks for if the measurement lies outside.
    pub percent: MoisturePercent,
    /// Its standard uncertainty, % points.
    pub std: f64,
    /// The same under good conditions, % points; no more than `std`.
    pub std_at_best: f64,
    /// Whether the profile states that uncertainty.
    pub std_stated: bool,
    /// Whether it is by mass of this paper; else it is what new paper would hold in equilibrium with the oil.
    pub by_mass: bool,
}

impl Figure {
    /// A figure by mass of which only so much is known.
    pub fn by_mass(percent: MoisturePercent, std: f64) -> Self {
        Self { percent, std, std_at_best: std, std_stated: true, by_mass: true }
    }

    fn best_for(self, witness: &Witness, context: &Context) -> Self {
        let best = usual::std_at_best(witness.method, self.percent, context.solubility);
        // Where no method is stated nobody knows better than the profile.
        Self { std_at_best: best.map_or(self.std, |best| best.min(self.std)), ..self }
    }

    pub(super) fn widened(self, outside: Outside) -> Self {
        Self { std: self.std * outside.widens(), ..self }
    }
}

/// What the witness says of the paper, and how far outside its criteria a series is.
pub(super) fn figure(
    witness: &Witness,
    context: &Context,
) -> Result<(Figure, Vec<Reason>), Reason> {
    let (found, reasons) = match &witness.statement {
        Statement::Paper { percent, std } => (paper(witness, *percent, *std)?, Vec::new()),
        Statement::Oil { ppm, std_ppm } => {
            (oil_sample(witness, *ppm, *std_ppm, context)?, Vec::new())
        }
        Statement::Probe { saturation, std } => {
            (probe(witness, *saturation, *std, context)?, Vec::new())
        }
        Statement::Series { points, std } => series(witness, points, *std, context)?,
        Statement::Age { start_percent, yearly_percent } => {
            (assumed(*start_percent, *yearly_percent, context)?, Vec::new())
        }
    };
    Ok((found.best_for(witness, context), reasons))
}

fn paper(
    witness: &Witness,
    percent: MoisturePercent,
    stated: Option<f64>,
) -> Result<Figure, Reason> {
    let usual = witness.method.and_then(|method| usual::paper_std(method, percent.value()));
    let std = match witness.method {
        // Nobody can be surer of an assumption than of age and preservation.
        Some(Method::Assumed) => Some(prior_std(percent.value()).max(stated.unwrap_or(0.0))),
        _ => stated.or(usual),
    };
    let std = std.ok_or(Reason::plain(Why::UncertaintyMissing))?;
    Ok(Figure { std_stated: stated.is_some(), ..Figure::by_mass(percent, std) })
}

/// A figure for new paper in equilibrium with the oil.
fn in_new_paper(percent: MoisturePercent, std: f64, stated: Option<f64>) -> Figure {
    Figure { by_mass: false, std_stated: stated.is_some(), ..Figure::by_mass(percent, std) }
}

/// Oil colder than is accepted counts at the coldest that is: the isotherm is not extrapolated.
fn not_colder(oil: Celsius, context: &Context) -> Celsius {
    Celsius::new(context.criteria.coldest_oil_c)
        .map_or(oil, |coldest| if oil.value() < coldest.value() { coldest } else { oil })
}

/// Oil nearer to saturation than the isotherm covers counts at its edge.
fn not_wetter(saturation: RelativeSaturation) -> RelativeSaturation {
    RelativeSaturation::new(saturation.value().min(MOST_SATURATION)).unwrap_or(saturation)
}

fn oil_sample(
    witness: &Witness,
    ppm: WaterPpm,
    stated: Option<f64>,
    context: &Context,
) -> Result<Figure, Reason> {
    let solubility = context.solubility;
    if !solubility.is_known() {
        return Err(Reason::plain(Why::SolubilityUnknown));
    }
    let oil = witness.oil.ok_or(Reason::plain(Why::OilTemperatureUnknown))?;
    let oil = not_colder(oil, context);
    let at = |oil: Celsius| from_saturation(not_wetter(solubility.relative(ppm, oil)?), oil);
    let percent = at(oil).map_err(|why| outside(&why))?;
    let relative = stated.unwrap_or(usual::OIL_STD_PPM) / ppm.value().max(f64::MIN_POSITIVE);
    let oil_k = witness.std_oil_k.unwrap_or(usual::SAMPLE_STD_K);
    let std = std_percent(relative, oil, oil_k, at).map_err(|why| outside(&why))?;
    Ok(in_new_paper(percent, std * unless_in_equilibrium(witness), stated))
}

fn probe(
    witness: &Witness,
    saturation: RelativeSaturation,
    stated: Option<f64>,
    context: &Context,
) -> Result<Figure, Reason> {
    let oil = witness.oil.ok_or(Reason::plain(Why::OilTemperatureUnknown))?;
    let own = probe_figure(saturation, not_colder(oil, context), stated, witness.std_oil_k)?;
    Ok(Figure { std: own.std * unless_in_equilibrium(witness), ..own })
}

fn probe_figure(
    saturation: RelativeSaturation,
    oil: Celsius,
    stated: Option<f64>,
    std_oil_k: Option<f64>,
) -> Result<Figure, Reason> {
    let saturation = not_wetter(saturation);
    let percent = from_saturation(saturation, oil).map_err(|why| outside(&why))?;
    let relative = stated.unwrap_or(usual::PROBE_STD) / saturation.value().max(f64::MIN_POSITIVE);
    let oil_k = std_oil_k.unwrap_or(usual::PROBE_STD_K);
    let std = std_percent(relative, oil, oil_k, |oil| from_saturation(saturation, oil));
    Ok(in_new_paper(percent, std.map_err(|why| outside(&why))?, stated))
}

/// The mean of the readings in equilibrium; what the probe has in common in all of them does not
/// average out, their scatter does. Without an equilibrium the readings up to the last one, as far outside as
/// they vary more than they may.
fn series(
    witness: &Witness,
    points: &[ProbePoint],
    stated: Option<f64>,
    context: &Context,
) -> Result<(Figure, Vec<Reason>), Reason> {
    let (used, mut reasons) = in_equilibrium(points, context)?;
    reasons.extend(series_outside(&used, context));
    let figures: Result<Vec<Figure>, Reason> = used
        .iter()
        .map(|point| {
            let oil = not_colder(point.oil, context);
            probe_figure(point.saturation, oil, stated, witness.std_oil_k)
        })
        .collect();
    let figures = figures?;
    #[allow(clippy::cast_precision_loss, reason = "a few readings")]
    let n = figures.len() as f64;
    let mean = figures.iter().map(|figure| figure.percent.value()).sum::<f64>() / n;
    let common = figures.iter().map(|figure| figure.std).fold(0.0, f64::max);
    let squares: f64 = figures.iter().map(|figure| (figure.percent.value() - mean).powi(2)).sum();
    let scatter = (squares / (n - 1.0).max(1.0) / n).sqrt();
    let percent =
        MoisturePercent::new(mean).map_err(|error| outside(&error.outside(isotherm::NAME)))?;
    Ok((in_new_paper(percent, common.hypot(scatter), stated), reasons))
}

/// The readings that a series counts with.
fn in_equilibrium(
    points: &[ProbePoint],
    context: &Context,
) -> Result<(Vec<ProbePoint>, Vec<Reason>), Reason> {
    if !context.solubility.is_known() {
        return Err(Reason::plain(Why::SolubilityUnknown));
    }
    match equilibrium(points, context.solubility, context.criteria.steady_h) {
        Equilibrium::Steady(points) | Equilibrium::Reversals(points) => Ok((points, Vec::new())),
        Equilibrium::None { recent, times } => {
            let reason = Reason::plain(Why::NoEquilibrium);
            if recent.is_empty() {
                return Err(reason);
            }
            Ok((recent, vec![reason.by(Outside::varying(times))]))
        }
    }
}

/// How far the readings of a series are outside, on the average of them.
fn series_outside(points: &[ProbePoint], context: &Context) -> Vec<Reason> {
    #[allow(clippy::cast_precision_loss, reason = "a few readings")]
    let mean =
        |of: &dyn Fn(&ProbePoint) -> f64| points.iter().map(of).sum::<f64>() / points.len() as f64;
    let criteria = &context.criteria;
    let colder_k = mean(&|point| (criteria.coldest_oil_c - point.oil.value()).max(0.0));
    let drier = mean(&|point| (criteria.least_saturation - point.saturation.value()).max(0.0));
    let wetter = mean(&|point| (point.saturation.value() - MOST_SATURATION).max(0.0));
    let coldest_c = points.iter().map(|point| point.oil.value()).fold(f64::MAX, f64::min);
    let readings = || points.iter().map(|point| point.saturation.value());
    let (driest, wettest) = (readings().fold(f64::MAX, f64::min), readings().fold(0.0, f64::max));
    let unit = "% of saturation";
    let cold = Reason::because(Why::TooCold, coldest_c, criteria.coldest_oil_c, "°C");
    let (least, most) = (criteria.least_saturation * 100.0, MOST_SATURATION * 100.0);
    let dry = Reason::because(Why::TooDry, driest * 100.0, least, unit);
    let wet = Reason::because(Why::TooWetForIsotherm, wettest * 100.0, most, unit);
    let all = [
        (colder_k, cold.by(Outside::cold(colder_k))),
        (drier, dry.by(Outside::dry_saturation(drier))),
        (wetter, wet.by(Outside::wet_saturation(wetter))),
    ];
    all.into_iter().filter(|(by, _)| *by > 0.0).map(|(_, reason)| reason).collect()
}

/// What age and preservation alone suggest.
fn assumed(start: f64, yearly: f64, context: &Context) -> Result<Figure, Reason> {
    let years = years_of_service(context).ok_or(Reason::plain(Why::Undated))?;
    let gained = yearly * years;
    if !(start + gained <= MOST_PERCENT) {
        return Err(Reason::because(Why::Implausible, start + gained, MOST_PERCENT, "%"));
    }
    let percent = MoisturePercent::new(start + gained)
        .map_err(|error| outside(&error.outside("the assumed increase of water")))?;
    Ok(Figure { std_stated: false, ..Figure::by_mass(percent, prior_std(gained)) })
}

/// Standard uncertainty of an assumption, wide on purpose, % points.
fn prior_std(gained: f64) -> f64 {
    usual::START_STD.hypot(usual::INCREASE_RELATIVE * gained)
}

/// Years since the insulation was last dry.
fn years_of_service(context: &Context) -> Option<f64> {
    let as_of = context.as_of?;
    let since_drying = context.dried().map(|dried| days_between(dried, as_of) / DAYS_A_YEAR);
    // Made on the first day of the year: the longer service.
    let since_made = context.made.map(|made| f64::from(as_of.year()) + 1.0 - made);
    since_drying.or(since_made).filter(|years| *years >= 0.0)
}

/// The last day that is no more than so many months of average length after another; `None` beyond the calendar.
pub(super) fn last_day_within(from: NaiveDate, months: f64) -> Option<NaiveDate> {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "days of some years"
    )]
    let days = (months * DAYS_A_MONTH).floor().max(0.0) as u64;
    from.checked_add_days(chrono::Days::new(days))
}

/// Months of average length from one day until another; negative if it is earlier.
pub(super) fn months_between(from: NaiveDate, until: NaiveDate) -> f64 {
    days_between(from, until) / DAYS_A_MONTH
}

/// Days from one day until another; negative if it is earlier.
pub(super) fn days_between(from: NaiveDate, until: NaiveDate) -> f64 {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::moisture::solubility::Solubility;
    use crate::moisture::usual::Criteria;
    use approx::assert_relative_eq;

    fn context() -> Context {
        Context {
            criteria: Criteria::default(),
            solubility: Solubility::MINERAL,
            as_of: NaiveDate::from_ymd_opt(2026, 10, 20),
            dried: None,
            oil_treated: None,
            made: Some(1987.0),
        }
    }

    fn std_of(statement: Statement, context: &Context) -> f64 {
        let witness = Witness {
            oil: Celsius::new(60.0).ok(),
            steady_h: Some(12.0),
            ..Witness::new(None, statement)
        };
        figure(&witness, context).unwrap().0.std
    }

    /// One laboratory's standard deviation after `astm-d1533`: R/2.77 with R = 14 mg/kg.
    #[test]
    fn a_sample_without_a_stated_uncertainty_has_that_of_one_laboratory() {
        let ppm = WaterPpm::new(20.0).unwrap();
        let with = |std_ppm: Option<f64>| std_of(Statement::Oil { ppm, std_ppm }, &context());
        assert_relative_eq!(with(None), with(Some(14.0 / 2.77)));
        let saturation = RelativeSaturation::new(0.12).unwrap();
        let probe = |std: Option<f64>| std_of(Statement::Probe { saturation, std }, &context());
        assert_relative_eq!(probe(None), probe(Some(0.02)));
    }

    #[test]
    fn an_assumption_is_never_sure_of_itself() {
        let percent = MoisturePercent::new(0.5).unwrap();
        let with = |std: Option<f64>| {
            let statement = Statement::Paper { percent, std };
            figure(&Witness::new(Some(Method::Assumed), statement), &context()).unwrap().0.std
        };
        assert!(with(Some(0.05)) >= 0.5 && with(None) >= 0.5);
        assert_relative_eq!(with(Some(2.0)), 2.0);
    }

    #[test]
    fn an_assumption_counts_the_longer_service_and_is_wide() {
        let age = Statement::Age { start_percent: 0.5, yearly_percent: 0.05 };
        let witness = Witness::new(Some(Method::Assumed), age);
        let (found, _) = figure(&witness, &context()).unwrap();
        // From the first day of 1987 to the last of 2026: forty years.
        assert_relative_eq!(found.percent.value(), 0.5 + 40.0 * 0.05);
        assert!(found.std > 1.0);
        let unborn = Context { made: Some(2100.0), ..context() };
        assert_eq!(figure(&witness, &unborn).unwrap_err().why, Why::Undated);
    }
}
