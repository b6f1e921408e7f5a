//! What makes the answer uncertain, for those who ask why.

use super::answer::indented;
use super::text::{aligned, titled};
use super::tornado;
use super::view::near;
use crate::assessment::spread::inputs::Quantity;
use crate::assessment::spread::why::Cause;
use crate::assessment::spread::{InputLine, Spread};
use crate::assessment::{Assessment, ForecastStd};
use crate::loading::forecast_error::Origin;
use tabled::builder::Builder;

/// Inputs with a smaller share of the variance are told in one line.
const SHOWN_FROM: f64 = 0.01;

/// Both sections; nothing unless asked for.
pub(super) fn sections(assessment: &Assessment) -> String {
    if !assessment.asked.why {
        return String::new();
    }
    let title = "What makes this answer uncertain";
    let Some(spread) = &assessment.spread else {
        return titled(title, &indented(&[without_draws(assessment).to_owned()]));
    };
    let why = causes(assessment, spread).unwrap_or_else(|| indented(&[unknown(spread)]));
    let inputs = inputs(assessment, spread);
    let sections = [titled(title, &why), inputs];
    sections.into_iter().filter(|section| !section.is_empty()).collect::<Vec<_>>().join("\n\n")
}

fn without_draws(assessment: &Assessment) -> &'static str {
    if assessment.bubbling.margin_counting_k.is_some() {
        "Not known: no draws were made."
    } else {
        "Not known: there is no margin to bubbling that could be drawn."
    }
}

/// Why no shares can be given.
fn unknown(spread: &Spread) -> String {
    if spread.inputs.is_empty() {
        "Nothing: every uncertainty is stated as none.".to_owned()
    } else if spread.beyond_range_share > 0.0 {
        format!(
            "The shares of the inputs are not known: {} draws lie beyond the range of the correlations, so \
             that the margin has no variance.",
            beyond(spread)
        )
    } else {
        "The shares of the inputs are not known: some draws lie beyond the range of the correlations, or \
         the margin does not vary."
            .to_owned()
    }
}

fn beyond(spread: &Spread) -> String {
    #[allow(clippy::cast_precision_loss, reason = "at most a million draws")]
    let draws = spread.sampling.draws as f64;
    format!("{} of {}", near(spread.beyond_range_share * draws, 0), spread.sampling.draws)
}

/// The bars, what they mean and what is left out.
fn causes(assessment: &Assessment, spread: &Spread) -> Option<String> {
    let (shown, others): (Vec<Cause>, Vec<Cause>) =
        spread.why.iter().partition(|cause| cause.total.probability >= SHOWN_FROM);
    if shown.is_empty() {
        return None;
    }
    let bars = tornado::drawn(assessment, &shown)?;
    let mut lines = Vec::new();
    if !others.is_empty() {
        let together: f64 = others.iter().map(|cause| cause.total.probability.max(0.0)).sum();
        let percent =
            if together < 0.001 { "less than 0.1".to_owned() } else { near(100.0 * together, 1) };
        lines.push(format!("{} others below 1 % each, together {percent} %", others.len()));
    }
    lines.push(
        "L: the input at its 5 % point, H: at its 95 % point, everything else at its own value"
            .to_owned(),
    );
    let errors = shown.iter().flat_map(|cause| [cause.total, cause.first_order]);
    let error = errors.map(|share| share.standard_error).fold(0.0, f64::max);
    lines.push(format!(
        "all: share of the variance left if all but this were known; alone: share that goes if it alone \
         were (standard errors up to {} %)",
        near((100.0 * error).max(1.0), 0)
    ));
    Some(format!("{bars}\n\n{}", indented(&lines)))
}

/// Every uncertain input, those that matter most first where that is known.
fn inputs(assessment: &Assessment, spread: &Spread) -> String {
    if spread.inputs.is_empty() {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(["  uncertain", "value", "5 %", "95 %", "", ""]);
    for [name, rest @ ..] in input_rows(assessment, spread) {
        builder.push_record([vec![format!("  {name}")], rest.into()].concat());
    }
    titled("Uncertainties (of a forecast: at the end of the overload)", &aligned(builder, 1..4))
}

/// Name, value, 5 % point, 95 % point, unit and origin of every uncertain input, those that matter most first.
pub(super) fn input_rows(assessment: &Assessment, spread: &Spread) -> Vec<[String; 6]> {
    let rank =
        |line: &&InputLine| spread.why.iter().position(|cause| cause.quantity == line.quantity);
    let mut ordered: Vec<&InputLine> = spread.inputs.iter().collect();
    ordered.sort_by_key(rank);
    ordered.into_iter().map(|line| input_row(assessment, line)).collect()
}

fn input_row(assessment: &Assessment, line: &InputLine) -> [String; 6] {
    let name = line.quantity.name().to_owned();
    let origin = origin(assessment, line).to_owned();
    if line.quantity == Quantity::WhichCorrelation {
        let either = "both equally likely".to_owned();
        return [name, "-".to_owned(), "-".to_owned(), "-".to_owned(), either, origin];
    }
    let (factor, unit) =
        forecast(assessment, line).map_or((1.0, line.unit), |(error, unit)| (error.at_end, unit));
    let decimals = if line.value.abs() >= 20.0 { 1 } else { 2 };
    let figure = |value: f64| near(value * factor, decimals);
    [name, figure(line.value), figure(line.p05), figure(line.p95), unit.to_owned(), origin]
}

/// The error of a forecast, which is drawn in standard uncertainties, and its unit.
fn forecast<'a>(
    assessment: &'a Assessment,
    line: &InputLine,
) -> Option<(&'a ForecastStd, &'static str)> {
    let asked = &assessment.asked;
    if line.quantity == Quantity::Load {
        Some((&asked.load_error_percent, "% of the load"))
    } else {
        (line.quantity == Quantity::Ambient).then_some((&asked.ambient_error_k, "K"))
    }
}

/// Whose spread it is.
fn origin(assessment: &Assessment, line: &InputLine) -> &'static str {
    let forecast = forecast(assessment, line);
    if line.quantity == Quantity::Moisture {
        "evidence"
    } else if forecast.map_or(line.stated, |(error, _)| error.from != Origin::Usual) {
        "stated"
    } else {
        "usual"
    }
}
