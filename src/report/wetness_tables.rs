//! The witnesses one by one, what they amount to, and what would change it, as tables.

use super::answer::{in_rows, indented};
use super::text::{aligned, titled};
use super::view::{down, down_or_dash, near, near_or_dash, up, up_or_dash, wrapped};
use super::wetness_words::{believe, good_oil, how_it_counts, named};
use crate::assessment::measure_next::NextMeasurement;
use crate::assessment::wetness::{CountingLine, ReasonLine, Wetness, WitnessLine};
use crate::moisture::contradiction::Belief;
use crate::moisture::evidence::Method;
use crate::moisture::validity::Standing;
use crate::rules::catalogue::Code;
use crate::rules::facts::HoldingFrom;
use tabled::builder::Builder;

/// Columns that a remark under a witness is indented.
const REMARK: usize = 6;

/// A gain smaller than this is shown as none, K.
const NO_GAIN_K: f64 = 0.05;

/// Every witness: its figures, and under them when and where it looked and whether it counts.
pub(super) fn witnesses(moisture: &Wetness) -> String {
    if moisture.witnesses.is_empty() {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(["  witness", "read", "oil °C", "water %", "upper", "bubbles"]);
    for (index, own) in moisture.witnesses.iter().enumerate() {
        builder.push_record(witness_row(index, own));
    }
    let figures = aligned(builder, 1..6);
    let mut figures = figures.lines();
    let mut lines: Vec<String> = figures.next().map(str::to_owned).into_iter().collect();
    for (own, row) in moisture.witnesses.iter().zip(figures) {
        lines.push(row.to_owned());
        let remark = wrapped(&remark(own), super::text::WIDTH - REMARK);
        lines.extend(remark.iter().map(|line| format!("{:REMARK$}{line}", "")));
    }
    titled("Witnesses (upper: 95 % bound, %; bubbles: °C with that much water)", &lines.join("\n"))
}

/// Its figures.
pub(super) fn witness_row(index: usize, own: &WitnessLine) -> [String; 6] {
    let water = own.percent.zip(own.std).map_or_else(
        || "-".to_owned(),
        |(percent, std)| format!("{} ± {}", near(percent, 2), near(std, 2)),
    );
    [
        format!("  {} {}", index + 1, own.method_in_words),
        read(own),
        near_or_dash(own.oil_c, 0),
        water,
        up_or_dash(own.upper_percent, 2),
        down_or_dash(own.inception_low_c, 1),
    ]
}

/// What was read, with its unit as short as the column.
fn read(own: &WitnessLine) -> String {
    let (decimals, unit) = match own.read_unit {
        "% of saturation" => (1, "% RS"),
        "% a year" => (2, "%/year"),
        "%" => (2, "%"),
        "ppm" => (1, "ppm"),
        other => (0, other),
    };
    own.read.map_or_else(|| "-".to_owned(), |read| format!("{} {unit}", near(read, decimals)))
}

/// When and where, whether it counts, and what is to be held against it.
fn remark(own: &WitnessLine) -> String {
    let doubts = (!own.doubts.is_empty()).then(|| format!("doubt: {}", own.doubts.join("; ")));
    let parts = [Some(circumstances(own)), Some(standing(own)), doubts];
    let said = parts.into_iter().flatten().filter(|part| !part.is_empty());
    said.collect::<Vec<_>>().join("; ")
}

fn circumstances(own: &WitnessLine) -> String {
    let undated = (own.method != Some(Method::Assumed)).then(|| "undated".to_owned());
    let parts = [
        own.date.clone().or(undated),
        own.location.map(|place| place.in_words().to_owned()),
        own.insulation_c.map(|value_c| format!("insulation at {} °C", near(value_c, 0))),
        (own.std_stated == Some(false)).then(|| "usual uncertainty".to_owned()),
        own.note.as_ref().map(|note| note.trim().to_owned()),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// Whether it counts, and why not.
pub(super) fn standing(own: &WitnessLine) -> String {
    let standing = match own.standing {
        Standing::Counts => "counts",
        Standing::WetSideOnly => "may only raise",
        Standing::DoesNotCount => "does not count",
    };
    let decided = own.set_aside.as_ref();
    let decided = decided.map(|decided| format!("{} decided so: {}", decided.by, decided.why));
    let reasons: Vec<String> = own.reasons.iter().map(reason).chain(decided).collect();
    if reasons.is_empty() {
        return standing.to_owned();
    }
    format!("{standing}: {}", reasons.join("; "))
}

fn reason(reason: &ReasonLine) -> String {
    let (Some(found), Some(unit)) = (reason.found, reason.unit) else {
        return reason.why.to_owned();
    };
    let limit =
        reason.asked.map_or_else(String::new, |asked| format!(", limit {} {unit}", near(asked, 1)));
    format!("{} ({} {unit}{limit})", reason.why, near(found, 1))
}

/// What the witnesses amount to.
pub(super) fn amounts(moisture: &Wetness) -> String {
    let Some(own) = &moisture.counting else {
        return String::new();
    };
    let mut rows = Vec::new();
    if own.n > 1 {
        rows.extend(combination(own));
    }
    rows.push(("aged paper", holding(moisture)));
    let code = Code::MoistureCounting.explanation().code;
    rows.push(("outcome", format!("{} [{code}]", how_it_counts(moisture, own))));
    titled("What they amount to", &in_rows(&rows))
}

fn combination(own: &CountingLine) -> Vec<(&'static str, String)> {
    let birge = match own.birge_ratio {
        Some(ratio) if ratio > 1.0 => "more scatter than the uncertainties allow",
        Some(_) => "the scatter that the uncertainties allow",
        None => "-",
    };
    vec![
        (
            "inverse-variance mean",
            format!("{} ± {} %", near(own.fixed_mean_percent, 2), near(own.fixed_std, 2)),
        ),
        (
            "Birge ratio",
            format!(
                "{} ({birge}); tau {} % points between witnesses",
                near_or_dash(own.birge_ratio, 2),
                near(own.tau, 2)
            ),
        ),
        (
            "random-effects mean",
            format!(
                "{} ± {} %, upper 95 % bound {} %; bubbles at {} °C",
                near(own.best_percent, 2),
                near(own.best_std, 2),
                up(own.best_upper_percent, 2),
                down_or_dash(own.inception_best_c, 1)
            ),
        ),
        (
            "by that mean alone",
            format!(
                "{} %, if contradictions were not held to the wetter measurement",
                up(own.random_effects_rule_percent, 2)
            ),
        ),
    ]
}

/// What aged paper holds, and from where that is known.
fn holding(moisture: &Wetness) -> String {
    let own = &moisture.holding;
    let from = match (own.from, own.dp) {
        (HoldingFrom::Stated, _) => "as the profile states".to_owned(),
        (HoldingFrom::Measured, Some(dp)) => {
            format!("by its measured DP, carried on to {} today", near(dp, 0))
        }
        (HoldingFrom::MeasuredOnce, Some(dp)) => {
            format!("by a measured DP of {} that no usual hot spot carries on", near(dp, 0))
        }
        (HoldingFrom::Estimated, Some(dp)) => {
            format!("by a DP of {} estimated from age and usual hot spot", near(dp, 0))
        }
        (
            HoldingFrom::TakenLow
            | HoldingFrom::Measured
            | HoldingFrom::MeasuredOnce
            | HoldingFrom::Estimated,
            _,
        ) => "taken low, for no DP is known".to_owned(),
    };
    let (factor, lowest) = (down(own.factor, 2), down(own.lowest, 2));
    let drawn = if own.from == HoldingFrom::Stated || own.lowest >= 1.0 {
        String::new()
    } else {
        format!(" ({lowest} to 1 drawn)")
    };
    format!("holds {factor} of what new paper holds{drawn}, {from}")
}

/// The contradictions after the gravest, which the three lines have told.
pub(super) fn further_contradictions(moisture: &Wetness) -> String {
    let further = moisture.contradictions.get(1..).unwrap_or_default();
    if further.is_empty() {
        return String::new();
    }
    let told = further.iter().map(|pair| {
        format!(
            "{} and {}, {} standard deviations apart; {}{}",
            named(moisture, pair.drier),
            named(moisture, pair.wetter),
            near(pair.deviations, 1),
            if pair.belief == Belief::Undecided { "" } else { "believe " },
            believe(moisture, pair)
        )
    });
    let lines: Vec<String> = told.collect();
    titled("Further contradictions", &indented(&lines))
}

/// What would count without each witness.
pub(super) fn without_each(moisture: &Wetness) -> String {
    if moisture.witnesses.len() < 2 {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(["  without", "counts %", "bubbles °C", "margin K"]);
    for line in &moisture.without {
        builder.push_record([
            format!("  {} {}", line.witness + 1, method(moisture, line.witness)),
            up_or_dash(line.counting_percent, 2),
            down_or_dash(line.inception_c, 1),
            down_or_dash(line.margin_k, 1),
        ]);
    }
    titled("If one witness were left out", &aligned(builder, 1..6))
}

fn method(moisture: &Wetness, index: usize) -> &'static str {
    moisture.witnesses.get(index).map_or("-", |own| own.method_in_words)
}

/// What to measure next.
pub(super) fn measure_next(moisture: &Wetness) -> String {
    if moisture.measure_next.is_empty() {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(["  measurement", "± %", "counts %", "bubbles °C", "gain K"]);
    for next in &moisture.measure_next {
        builder.push_record([
            format!("  {}", next.in_words()),
            near(next.std, 2),
            up(next.counting_percent, 2),
            down_or_dash(next.inception_c, 1),
            down_or_dash(next.gain_k, 1),
        ]);
    }
    let title = "What to measure next (if it read the best estimate, most useful first)";
    titled(title, &format!("{}\n{}", aligned(builder, 1..6), indented(&advice(moisture))))
}

/// When a measurement is worth taking, and why some would not help.
fn advice(moisture: &Wetness) -> Vec<String> {
    let next = &moisture.measure_next;
    let any = |holds: &dyn Fn(&NextMeasurement) -> bool, words: String| {
        next.iter().any(holds).then_some(words)
    };
    let gain = |next: &NextMeasurement| next.gain_k.unwrap_or(f64::NAN);
    let wettest = moisture.counting.as_ref().map(|own| named(moisture, own.witness));
    let stands = format!(
        "Those that gain nothing would not move the margin while the wettest witness, the {}, stands.",
        wettest.unwrap_or_default()
    );
    let sentences = [
        any(&|next| gain(next).abs() < NO_GAIN_K, stands),
        any(&|next| gain(next) <= -NO_GAIN_K, "A negative gain leaves less margin.".to_owned()),
        any(&|next| gain(next).is_nan(), "A gain that cannot be computed is a dash.".to_owned()),
        any(
            &|next| next.method.sees_oil(),
            format!("Take an oil sample or a probe reading {}.", good_oil()),
        ),
        any(
            &|next| next.replaces.is_some(),
            "A repeat stands in the place of the earlier figure.".to_owned(),
        ),
    ];
    vec![sentences.into_iter().flatten().collect::<Vec<_>>().join(" ")]
}
