//! Each witness judged on its own: what it says of the paper, whether that counts, and why not.

pub use super::doubt::{Doubt, Side};
pub use super::figure::Figure;
pub use super::judgement::{Context, Reason, Standing, Why};

use super::doubt::doubts;
use super::evidence::{Method, Statement, Witness};
use super::figure::{days_between, figure, last_day_within, months_between};
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
    let saturation = saturation(witness, context);
    reasons.extend(in_oil(witness, &context.criteria, saturation));
    let figure = match figure(witness, context) {
        Ok(figure) => Some(figure),
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
    Judged { figure, standing, reasons, doubts, saturation }
}

/// How near saturation its oil was.
fn saturation(witness: &Witness, context: &Context) -> Option<f64> {
    match &witness.statement {
        Statement::Oil { ppm, .. } => {
            context.solubility.relative(*ppm, witness.oil?).ok().map(RelativeSaturation::value)
        }
        Statement::Probe { saturation, .. } => Some(saturation.value()),
        Statement::Series { points, .. } => {
            points.iter().map(|point| point.saturation.value()).reduce(f64::max)
        }
        Statement::Paper { .. } | Statement::Age { .. } => None,
    }
}

/// What an oil witness must fulfil.
fn in_oil(witness: &Witness, criteria: &Criteria, saturation: Option<f64>) -> Vec<Reason> {
    let mut reasons = Vec::new();
    let dry = match &witness.statement {
        Statement::Oil { ppm, .. } if ppm.value() < criteria.least_ppm => {
            Some(Reason::because(Why::TooDry, ppm.value(), criteria.least_ppm, "ppm"))
        }
        Statement::Oil { .. } | Statement::Probe { .. } => {
            let asked = criteria.least_saturation * 100.0;
            saturation
                .map(|saturation| saturation * 100.0)
                .filter(|found| *found < asked)
                .map(|found| Reason::because(Why::TooDry, found, asked, "% of saturation"))
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
        reasons.extend(soon.then(|| Reason::because(Why::OilTreated, days, TREATED_DAYS, "days")));
    }
    if let Some(as_of) = context.as_of {
        let months = months_between(date, as_of);
        let oldest = context.criteria.oldest_months;
        if months < 0.0 {
            reasons.push(Reason::plain(Why::DatedLater));
        } else if !(months <= oldest) {
            reasons.push(Reason::because(Why::Old, months, oldest, "months"));
        }
    }
    reasons
}
