//! A heat run as lines of a profile, with the uncertainty of each figure, or why there are none.

use super::view::{down, near, up, wrapped};
use crate::heat_run::rating::{AtRating, CURRENT_WITHIN, LOSSES_WITHIN};
use crate::heat_run::shutdown::{self, Winding};
use crate::heat_run::warm_up::{self, CUT_OFF_K_PER_H};
use crate::heat_run::{Estimate, HeatRun, Reason, TestAnswer, Undecided};
use crate::input::number::{Range, inside};
use crate::unit::profile::{AverageGradientK, Exponent, OilRiseK, OilTau, WindingTau};
use chrono::NaiveDate;
use serde::Serialize;

/// Columns of a comment.
const WIDTH: usize = 78;

/// The two ways to the gradient may differ by this factor of their uncertainty, and 1 K; our choice.
const APART: f64 = 3.0;

/// What was stated beside the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Stated {
    /// The log, as named.
    pub log: String,
    /// Day of the heat run.
    pub day: Option<NaiveDate>,
    /// Altitude of the test site, m.
    pub altitude_m: Option<f64>,
    /// Rated total losses, kW.
    pub rated_losses_kw: f64,
}

/// A refusal for programs.
#[derive(Debug, Serialize)]
pub struct Refused {
    /// Always true.
    cannot_decide: bool,
    #[serde(flatten)]
    undecided: Undecided,
    /// The reason in words.
    why: String,
}

impl Refused {
    /// A refusal.
    pub fn of(undecided: Undecided) -> Self {
        Self { cannot_decide: true, undecided, why: why(undecided.reason) }
    }
}

/// Lines for a profile.
pub fn rendered(answer: &HeatRun, stated: &Stated) -> String {
    let rating = &answer.at_rating;
    let mut lines = comment(&format!(
        "From {}, by the method of IEC 60076-2 (from memory). Compare with the maker's report before use. \
         ± is one standard uncertainty, in brackets that of the fit alone.",
        stated.log
    ));
    lines.push("thermal:".to_owned());
    lines.extend(stated.day.map(|day| format!("  heat_run: {day}")));
    lines.extend(stated.altitude_m.map(|m| format!("  rises_at_altitude_m: {}", near(m, 0))));
    lines.push(key::<OilRiseK>("top_oil_rise_k", rating.top_oil_rise_k, up, 1, "K"));
    lines.extend(
        rating
            .average_gradient_k
            .map(|g| key::<AverageGradientK>("average_gradient_k", g, up, 1, "K")),
    );
    let test = &answer.tests[rating.test];
    if let Some(oil) = &test.average_oil {
        lines.push(key::<OilTau>("oil_time_constant_min", oil.tau_min, down, 0, "min"));
    }
    let top = test.top_oil.tau_min;
    lines.push(key::<OilTau>("ieee_oil_time_constant_min", top, down, 0, "min"));
    if let Some(winding) = &test.winding {
        lines.push(key::<WindingTau>("winding_time_constant_min", winding.tau_min, down, 1, "min"));
    }
    lines.extend(exponents(rating));
    lines.extend(no_key(rating, test));
    lines.extend(remarks(answer, stated));
    lines.join("\n") + "\n"
}

/// x and n are one figure, y twice m; only fitted ones are written.
/// An exponent that is less sure than this stays a comment: a milder one by chance would cool every overload. Our choice:
/// about how uncertain a typical one is.
const MOST_EXPONENT_STD: f64 = 0.1;

fn exponents(rating: &AtRating) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = |name: &str, estimate: Estimate, std: f64| {
        // Written so that a NaN is too uncertain.
        if std <= MOST_EXPONENT_STD {
            lines.push(key::<Exponent>(name, estimate, up, 2, ""));
        } else {
            let (value, spread) = (up(estimate.value, 2), spread(estimate, 2, ""));
            lines.push(format!(
                "  # {name}: {value} {spread}: too uncertain, the typical one stays"
            ));
        }
    };
    if rating.x_fitted {
        line("x", rating.x, rating.x.std);
        line("n", rating.x, rating.x.std);
    }
    if rating.y_fitted {
        let half = Estimate::of(rating.y.value / 2.0, rating.y.std_fit / 2.0, 0.0, 1.96);
        line("y", rating.y, rating.y.std);
        // Half of y, and no surer.
        let m = Estimate { std: rating.y.std / 2.0, ..half };
        line("m", m, rating.y.std);
    }
    lines
}

/// One line, or a comment where the profile would refuse the figure.
fn key<R: Range>(
    name: &str,
    estimate: Estimate,
    rounded: fn(f64, usize) -> String,
    decimals: usize,
    unit: &str,
) -> String {
    let value = rounded(estimate.value, decimals);
    let spread = spread(estimate, decimals, unit);
    if value.parse().is_ok_and(inside::<R>) {
        format!("  {name}: {value} # {spread}")
    } else {
        format!("  # {name}: {value} ({spread}); a profile accepts {} to {}", R::LEAST, R::MOST)
    }
}

fn spread(estimate: Estimate, decimals: usize, unit: &str) -> String {
    let decimals = decimals.max(1);
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    format!("± {}{unit} ({})", up(estimate.std, decimals), up(estimate.std_fit, decimals))
}

/// Figures for which a profile has no key.
fn no_key(rating: &AtRating, test: &TestAnswer) -> Vec<String> {
    let figures = [
        ("average oil rise", rating.average_oil_rise_k),
        ("bottom oil rise", rating.bottom_oil_rise_k),
        ("average winding rise", rating.winding_rise_k),
    ];
    let mut lines: Vec<String> = figures
        .into_iter()
        .filter_map(|(name, figure)| figure.map(|figure| (name, figure)))
        .map(|(name, figure)| {
            format!("#   {name} {} K {}", up(figure.value, 1), spread(figure, 1, "K"))
        })
        .collect();
    if let Some(winding) = &test.winding {
        let (winding_c, oil_c) = (winding.winding_c, winding.oil_c);
        lines.push(format!(
            "#   winding at shutdown {} °C {}",
            up(winding_c.value, 1),
            spread(winding_c, 1, "K")
        ));
        lines.push(format!(
            "#   average oil at shutdown {} °C {}",
            up(oil_c.value, 1),
            spread(oil_c, 1, "K")
        ));
    }
    if !lines.is_empty() {
        lines.insert(0, "# Results without a key in the profile:".to_owned());
    }
    lines
}

/// What somebody should know before using the figures.
fn remarks(answer: &HeatRun, stated: &Stated) -> Vec<String> {
    let rating = &answer.at_rating;
    let test = &answer.tests[rating.test];
    let mut remarks = vec![format!(
        "Top oil rise: end of the fitted curve, corrected from {} kW to {} kW with x = {}. \
         The mean of the last hour of the test was {} K.",
        near(test.losses_kw, 1),
        near(stated.rated_losses_kw, 1),
        near(rating.x.value, 2),
        near(test.top_oil.last_hour_k, 1)
    )];
    remarks.extend(test.winding.as_ref().map(|winding| winding_remark(winding, rating)));
    remarks.extend(test.winding.as_ref().and_then(two_gradients));
    if test.winding.is_none() {
        remarks.push("The log has no shutdown, so there is no gradient.".to_owned());
    }
    if test.average_oil.is_none() {
        remarks.push(
            "Bottom oil was not measured in every row: no average oil rise and no \
             oil_time_constant_min. The typical time constant stays."
                .to_owned(),
        );
    } else {
        remarks.push(
            "oil_time_constant_min is that of the average oil. k11 is not a result of a heat run; \
             leave it at its typical value."
                .to_owned(),
        );
    }
    if !(rating.x_fitted && rating.y_fitted) {
        let which = match (rating.x_fitted, rating.y_fitted) {
            (true, _) => "y",
            (_, true) => "x",
            _ => "x and y",
        };
        remarks.push(format!(
            "No value for {which}: that takes two tests with losses and currents at least 15 % apart. \
             Typical values stay."
        ));
    }
    remarks.push(
        "The figures hold for the cooling that was in service during the test, and for no other stage."
            .to_owned(),
    );
    remarks.iter().flat_map(|remark| comment(remark)).collect()
}

fn winding_remark(winding: &Winding, rating: &AtRating) -> String {
    let from = if winding.oil_measured {
        "winding at shutdown less average oil at shutdown"
    } else {
        "from the curve after shutdown alone, because bottom oil was not measured"
    };
    format!(
        "Gradient: {from}, corrected from {} to 1 pu with y = {}. {} resistance readings, the first after {} min.",
        near(winding.load_pu, 3),
        near(rating.y.value, 2),
        winding.points.len(),
        near(winding.first_min, 1)
    )
}

/// The curve's own gradient against the one by oil thermometers.
fn two_gradients(winding: &Winding) -> Option<String> {
    let apart = (winding.drop_k - winding.gradient_k.value).abs();
    (winding.oil_measured && !(apart <= (APART * winding.gradient_k.std).max(1.0))).then(|| {
        format!(
            "CAUTION: the curve after shutdown alone gives a gradient of {} K, {} K from the one by oil \
             thermometers. Check the oil thermometers and the cold resistance.",
            near(winding.drop_k, 1),
            near(apart, 1)
        )
    })
}

/// The answer where nothing can be said.
pub fn undecided(undecided: &Undecided, stated: &Stated) -> String {
    let test = undecided.test.map_or_else(String::new, |test| format!(", test {test}"));
    let mut lines = vec!["CANNOT DECIDE".to_owned(), format!("  {}{test}", stated.log)];
    lines.extend(wrapped(&why(undecided.reason), WIDTH - 2).iter().map(|line| format!("  {line}")));
    lines.join("\n") + "\n"
}

/// A reason, and what to do.
fn why(reason: Reason) -> String {
    let percent = |share: f64| near(share * 100.0, 1);
    match reason {
        Reason::NotSteady { rate_k_per_h } => format!(
            "The oil was not steady: its rise changed by {} K/h during the last 3 h, and must change by \
             less than {} K/h. Continue the test.",
            up(rate_k_per_h.abs(), 1),
            near(CUT_OFF_K_PER_H, 0)
        ),
        Reason::FewRows { rows } => format!(
            "The period total-losses has {rows} readings; at least {} are needed.",
            warm_up::LEAST_ROWS
        ),
        Reason::ShortWarmUp { lasts_min, tau_min } => {
            let needed = tau_min.map_or(warm_up::STEADY_MIN, |tau| {
                (warm_up::LEAST_TIME_CONSTANTS * tau).max(warm_up::STEADY_MIN)
            });
            let fitted = tau_min.map_or_else(
                || "3 h".to_owned(),
                |tau| format!("3 oil time constants ({} min each)", near(tau, 0)),
            );
            format!(
                "The period total-losses lasts {} min. It must last {fitted}: {} min.",
                down(lasts_min, 0),
                up(needed, 0)
            )
        }
        Reason::NoWarmUpCurve => {
            "The oil rise does not follow a warm-up curve. Log from the moment the \
                                  losses are switched on, with the oil cold."
                .to_owned()
        }
        Reason::WarmUpResidual { residual_k } => format!(
            "The oil rise does not follow one curve: readings scatter by {} K around it, more than {} K. \
             Check for a change of losses or cooling within the period.",
            up(residual_k, 1),
            near(warm_up::MOST_RESIDUAL_K, 1)
        ),
        Reason::NoLosses => {
            "No losses are stated. Fill in losses_kw for the period total-losses.".to_owned()
        }
        Reason::UnevenLosses { apart } => format!(
            "The losses were not held: a reading is {} % from the median, and 5 % is accepted.",
            percent(apart)
        ),
        Reason::FarFromRatedLosses { losses_kw } => format!(
            "The test ran at {} kW. Results can be corrected to the rated losses within {} % only.",
            near(losses_kw, 1),
            percent(LOSSES_WITHIN)
        ),
        Reason::NoColdResistance
        | Reason::NoCurrent
        | Reason::UnevenCurrent { .. }
        | Reason::ShortCurrent { .. }
        | Reason::FewReadings { .. }
        | Reason::LateReading { .. }
        | Reason::ShortCooling { .. }
        | Reason::NoCoolingCurve
        | Reason::FarFromRatedCurrent { .. } => why_winding(reason),
    }
}

fn why_winding(reason: Reason) -> String {
    match reason {
        Reason::NoColdResistance => {
            "The log has a shutdown, but no cold resistance is stated. Add \
                                     --cold-ohm, --cold-c and --conductor."
                .to_owned()
        }
        Reason::NoCurrent => {
            "No current before the shutdown is stated. Fill in load_pu for the rows before it."
                .to_owned()
        }
        Reason::UnevenCurrent { apart } => format!(
            "The current before shutdown was not held: a reading is {} % from the median, and 3 % is accepted.",
            near(apart * 100.0, 1)
        ),
        Reason::ShortCurrent { lasts_min } => format!(
            "The current before shutdown was held for {} min; {} min are needed.",
            down(lasts_min, 0),
            near(shutdown::HELD_MIN, 0)
        ),
        Reason::FewReadings { readings } => format!(
            "There are {readings} resistance readings after shutdown; at least {} are needed.",
            shutdown::LEAST_READINGS
        ),
        Reason::LateReading { first_min } => format!(
            "The first resistance reading came {} min after shutdown; it must come within {} min. \
             The winding has cooled too far to extrapolate back.",
            up(first_min, 1),
            near(shutdown::FIRST_READING_MIN, 0)
        ),
        Reason::ShortCooling { lasts_min, tau_min } => format!(
            "Resistance was read for {} min after shutdown. It must be read for 2 winding time constants \
             ({} min each): {} min.",
            down(lasts_min, 0),
            near(tau_min, 1),
            up(2.0 * tau_min, 0)
        ),
        Reason::NoCoolingCurve => {
            "The resistance readings do not follow a cooling curve closely enough to \
                                   extrapolate. Take more readings, over a longer time."
                .to_owned()
        }
        Reason::FarFromRatedCurrent { load_pu } => format!(
            "The current before shutdown was {} pu. The gradient can be corrected to rated current within {} % only.",
            near(load_pu, 3),
            near(CURRENT_WITHIN * 100.0, 0)
        ),
        Reason::FewRows { .. }
        | Reason::ShortWarmUp { .. }
        | Reason::NotSteady { .. }
        | Reason::NoWarmUpCurve
        | Reason::WarmUpResidual { .. }
        | Reason::NoLosses
        | Reason::UnevenLosses { .. }
        | Reason::FarFromRatedLosses { .. } => "The log does not give the figures.".to_owned(),
    }
}

/// A comment, wrapped.
fn comment(text: &str) -> Vec<String> {
    wrapped(text, WIDTH - 2).iter().map(|line| format!("# {line}")).collect()
}
