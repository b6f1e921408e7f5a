//! Each witness judged on its own: what it says of the paper, whether that counts, and why not.

pub use super::doubt::{Doubt, Side};
pub use super::figure::Figure;
pub use super::judgement::{Context, Reason, Standing, Why};

use super::conversion::MOST_SATURATION;
use super::doubt::doubts;
use super::evidence::{Method, Statement, Witness};
use super::figure::{days_between, figure, last_day_within, months_between};
use super::outside::Outside;
use super::usual::Criteria;
use crate::quantities::{Celsius, RelativeSaturation};
use chrono::NaiveDate;

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
    /// The nearest to saturation that its oil was, as a fraction, whatever the validity of the figure.
    pub saturation: Option<f64>,
    /// How much of its weight it has where it lowers the result: 1 if it counts, 0 if it may only raise.
    pub share: f64,
}

/// Judges every witness; an assumption beside a measurement that counts may only raise, and takes its place
/// as far as measurements have lost theirs.
pub fn judge_all(witnesses: &[Witness], context: &Context) -> Vec<Judged> {
    let mut judged: Vec<Judged> = witnesses.iter().map(|witness| judge(witness, context)).collect();
    let assumed = |witness: &Witness| witness.method == Some(Method::Assumed);
    let measured: Vec<&Judged> = witnesses
        .iter()
        .zip(&judged)
        .filter(|(witness, own)| !assumed(witness) && own.figure.is_some())
        .map(|(_, own)| own)
        .collect();
    let counts = measured.iter().any(|own| own.standing == Standing::Counts);
    let share = measured.iter().map(|own| own.share).fold(0.0, f64::max);
    for (witness, own) in witnesses.iter().zip(&mut judged) {
        if assumed(witness) && own.standing == Standing::Counts {
            own.share *= 1.0 - share;
            if counts {
                own.standing = Standing::WetSideOnly;
                own.reasons.push(Reason::plain(Why::Assumption));
            }
        }
    }
    judged
}

/// Judges one witness.
pub fn judge(witness: &Witness, context: &Context) -> Judged {
    let mut reasons: Vec<Reason> = Vec::new();
    reasons.extend(witness.set_aside.is_some().then(|| Reason::plain(Why::SetAside)));
    let saturation = saturation(witness, context);
    reasons.extend(in_oil(witness, context, saturation));
    let figure = match figure(witness, context) {
        Ok((figure, of_series)) => {
            reasons.extend(of_series);
            Some(figure)
        }
        Err(reason) => {
            reasons.push(reason);
            None
        }
    };
    reasons.extend(in_time(witness, context));
    // What rules a witness out altogether stands first.
    reasons.sort_by_key(|reason| reason.why.standing() == Standing::WetSideOnly);
    let standing = reasons.first().map_or(Standing::Counts, |reason| reason.why.standing());
    let doubts = doubts(witness, context);
    let outside = reasons.iter().filter_map(|reason| reason.outside);
    let outside = outside.fold(Outside::default(), Outside::and);
    let measured = reasons.iter().all(|reason| reason.outside.is_some());
    let share = if measured { outside.share() } else { 0.0 };
    let figure = figure.map(|figure| figure.widened(outside));
    Judged { figure, standing, reasons, doubts, saturation, share }
}

/// How near saturation its oil was.
fn saturation(witness: &Witness, context: &Context) -> Option<f64> {
    match &witness.statement {
        Statement::Oil { ppm, .. } => {
            let found = context.solubility.relative_anywhere(*ppm, witness.oil?);
            // Without a solubility there is no saturation.
            found.is_finite().then_some(found)
        }
        Statement::Probe { saturation, .. } => Some(saturation.value()),
        Statement::Series { points, .. } => {
            points.iter().map(|point| point.saturation.value()).reduce(f64::max)
        }
        Statement::Paper { .. } | Statement::Age { .. } => None,
    }
}

/// What an oil witness must fulfil; a series is judged where its readings are read.
fn in_oil(witness: &Witness, context: &Context, saturation: Option<f64>) -> Vec<Reason> {
    let criteria = &context.criteria;
    let least = criteria.least_saturation;
    let dry = match &witness.statement {
        Statement::Oil { ppm, .. } if ppm.value() < criteria.least_ppm => {
            let reason = Reason::because(Why::TooDry, ppm.value(), criteria.least_ppm, "ppm");
            Some(reason.by(Outside::dry_ppm(criteria.least_ppm - ppm.value())))
        }
        Statement::Oil { .. } | Statement::Probe { .. } => {
            saturation.filter(|found| *found < least).map(|found| {
                Reason::because(Why::TooDry, found * 100.0, least * 100.0, "% of saturation")
                    .by(Outside::dry_saturation(least - found))
            })
        }
        Statement::Paper { .. } | Statement::Series { .. } | Statement::Age { .. } => {
            return Vec::new();
        }
    };
    let cold = witness.oil.map(Celsius::value).filter(|oil_c| *oil_c < criteria.coldest_oil_c);
    let cold = cold.map(|oil_c| {
        Reason::because(Why::TooCold, oil_c, criteria.coldest_oil_c, "°C")
            .by(Outside::cold(criteria.coldest_oil_c - oil_c))
    });
    let unsteady = witness.steady_h.filter(|steady_h| *steady_h < criteria.steady_h);
    let unsteady = unsteady.map(|h| {
        Reason::because(Why::LoadChanged, h, criteria.steady_h, "h steady")
            .by(Outside::unsteady(h, criteria.steady_h))
    });
    let wet = wetter_than_isotherm(witness, context);
    [cold, dry, unsteady, wet].into_iter().flatten().collect()
}

/// Oil nearer to saturation than the isotherm covers, at the temperature at which it counts.
fn wetter_than_isotherm(witness: &Witness, context: &Context) -> Option<Reason> {
    let found = match &witness.statement {
        Statement::Oil { ppm, .. } => {
            let coldest = Celsius::new(context.criteria.coldest_oil_c).ok()?;
            let oil = witness.oil?;
            let oil = if oil.value() < coldest.value() { coldest } else { oil };
            context.solubility.relative(*ppm, oil).ok().map(RelativeSaturation::value)?
        }
        Statement::Probe { saturation, .. } => saturation.value(),
        Statement::Paper { .. } | Statement::Series { .. } | Statement::Age { .. } => return None,
    };
    let (most, unit) = (MOST_SATURATION * 100.0, "% of saturation");
    (found > MOST_SATURATION).then(|| {
        Reason::because(Why::TooWetForIsotherm, found * 100.0, most, unit)
            .by(Outside::wet_saturation(found - MOST_SATURATION))
    })
}

/// The last day on which a witness of this day is not too old; `None` beyond the calendar.
pub fn counts_until(date: NaiveDate, criteria: &Criteria) -> Option<NaiveDate> {
    last_day_within(date, criteria.oldest_months)
}

/// Oil that was treated holds less water than the paper would give it for this long, days.
/// Common practice, no source: weeks to months.
const TREATED_DAYS: f64 = 90.0;

/// What a witness must fulfil in time.
fn in_time(witness: &Witness, context: &Context) -> Vec<Reason> {
    if matches!(witness.statement, Statement::Age { .. }) {
        return Vec::new();
    }
    let mut reasons = Vec::new();
    let Some(date) = witness.date else {
        let measured = witness.method != Some(Method::Assumed);
        let matters = measured && (context.as_of.is_some() || context.dried().is_some());
        reasons.extend(matters.then(|| Reason::plain(Why::Undated)));
        return reasons;
    };
    if context.dried().is_some_and(|dried| date < dried) {
        reasons.push(Reason::plain(Why::BeforeDrying));
    }
    let sees_oil = witness.method.is_some_and(Method::sees_oil);
    if let Some(treated) = context.oil_treated.filter(|_| sees_oil) {
        let days = days_between(treated, date);
        let soon = (0.0..TREATED_DAYS).contains(&days);
        reasons.extend(soon.then(|| {
            Reason::because(Why::OilTreated, days, TREATED_DAYS, "days")
                .by(Outside::treated(TREATED_DAYS - days))
        }));
    }
    if let Some(as_of) = context.as_of {
        let months = months_between(date, as_of);
        let oldest = context.criteria.oldest_months;
        if months < 0.0 {
            reasons.push(Reason::plain(Why::DatedLater).by(Outside::later(-months)));
        } else if !(months <= oldest) {
            let reason = Reason::because(Why::Old, months, oldest, "months");
            reasons.push(reason.by(Outside::old(months - oldest)));
        }
    }
    reasons
}
