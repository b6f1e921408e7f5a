//! What was asked and what is answered, in a few rows of text.

use super::in_service_words::{of_check, windings};
use super::spread_words;
use super::text::WIDTH;
use super::time_words;
use super::view::{
    down, down_or_dash, duration, figures, near, near_or_dash, up, up_or_dash, wrapped,
};
use crate::assessment::cool_down::Cooldown;
use crate::assessment::paper_life::{CostWithWater, common_sets};
use crate::assessment::{Ageing, Asked, Assessment, Bubbling, Peak};
use crate::rules::accessory::is_rating;
use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;
use crate::uncertainty::odds::odds;

/// What was asked, with the unit before it and what every answer is subject to after it.
pub(super) fn question(assessment: &Assessment) -> String {
    let site = assessment.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
    let unit = format!("{}{site}", assessment.unit);
    indented(&[vec![unit], asked(assessment), vec![WITHIN.to_owned()]].concat())
}

/// What every verdict is subject to.
pub(super) const WITHIN: &str = "within the entered limits; local rules decide";

/// What was asked: the load, what surrounds it, and by which voltage and tap it became a current.
pub(super) fn asked(assessment: &Assessment) -> Vec<String> {
    let asked = &assessment.asked;
    let varies = if asked.preload_varies { ", not steady" } else { "" };
    let before = asked.preload_pu.map_or_else(
        || "from its load history".to_owned(),
        |load| format!("from {}{varies}", load_before(asked.preload_from_pu, load)),
    );
    let oil = asked.top_oil_c.map_or_else(
        || "top oil not measured".to_owned(),
        |oil| format!("top oil {} °C measured", near(oil, 1)),
    );
    let cooling = asked.cooling.clone().unwrap_or_else(|| "unknown".to_owned());
    let lost = asked
        .cooling_lost_at_min
        .map_or_else(String::new, |minute| format!(", lost at {} min", near(minute, 0)));
    let lines = [
        format!(
            "asked: up to {} pu for {}, {before}, then {} pu",
            near(asked.load, 2),
            duration(asked.duration_min),
            near(asked.drop_back_pu, 2)
        ),
        format!(
            "ambient {}{} °C, {oil}, cooling {cooling}{lost}; {}",
            up_to(asked),
            near(asked.ambient_highest_c, 1),
            judged_for(asked.as_of.as_deref())
        ),
    ];
    lines.into_iter().chain(of_check(asked)).chain(windings(asked)).collect()
}

/// A constant ambient is one day, and says nothing of colder ones.
pub(super) fn up_to(asked: &Asked) -> &'static str {
    if asked.ambient_highest_c > asked.ambient_at_start_c { "up to " } else { "" }
}

/// The load before, or the loads between which it lies.
pub(super) fn load_before(from_pu: Option<f64>, load_pu: f64) -> String {
    match from_pu.map(|from_pu| near(from_pu, 2)) {
        None => format!("{} pu", near(load_pu, 2)),
        Some(from) if from == near(load_pu, 2) => format!("{from} pu"),
        Some(from) if from == near(0.0, 2) => format!("up to {} pu", near(load_pu, 2)),
        Some(from) => format!("{from} to {} pu", near(load_pu, 2)),
    }
}

/// The day by which the age of evidence is judged; it stands wherever an age does.
pub(super) fn judged_for(as_of: Option<&str>) -> String {
    as_of.map_or_else(
        || "the age of the evidence is not judged".to_owned(),
        |day| format!("evidence judged for {day}"),
    )
}

/// Lines of text, wrapped and indented.
pub(super) fn indented(lines: &[String]) -> String {
    let wrapped = lines.iter().flat_map(|line| wrapped(line, WIDTH - 4));
    wrapped.map(|line| format!("    {line}")).collect::<Vec<_>>().join("\n")
}

/// The answer in a few rows.
pub(super) fn answer(assessment: &Assessment) -> String {
    let why = why(assessment).map(|why| ("why", why));
    in_rows(&why.into_iter().chain(answer_rows(assessment)).collect::<Vec<_>>())
}

/// What it buys to start all cooling at once.
fn cooling_words(assessment: &Assessment) -> Option<String> {
    let now = assessment.all_cooling_now.as_ref()?;
    let margin = spread_words::deciding(now.margin_low_k, assessment.spread.is_some());
    let verdict = now.verdict.in_words();
    let then = if now.verdict.permits() {
        format!("{verdict}; confirm that it runs")
    } else {
        format!("still {verdict}")
    };
    Some(format!("now ({}): margin {margin}, {then}", now.stage))
}

/// Why it is no plain go, with the figures.
pub(super) fn why(assessment: &Assessment) -> Option<String> {
    let first = assessment.findings.first().filter(|_| assessment.verdict != Verdict::Go)?;
    let figures = figures(first);
    let figures = if figures.is_empty() { figures } else { format!(" ({figures})") };
    Some(format!("{}{figures}", first.text))
}

/// What the answer rests on, each with its label.
pub(super) fn answer_rows(assessment: &Assessment) -> Vec<(&'static str, String)> {
    let mut rows: Vec<(&'static str, String)> = Vec::new();
    rows.push(("margin to bubbling", margin_words(assessment)));
    if let Some(spread) = &assessment.spread {
        let required_k = assessment.asked.required_margin_k;
        rows.push(("chance of bubbling", spread_words::chances(spread, required_k)));
    }
    if let Some(words) = cooling_words(assessment) {
        rows.push(("start all cooling", words));
    }
    rows.push(("paper bubbles at", inception_words(assessment)));
    if let Some(peak) = &assessment.peak {
        rows.push(("hottest", hottest_words(assessment, peak)));
    }
    if let Some(words) = time_words::if_held_on(assessment) {
        rows.push(("if held on", words));
    }
    let times = |spread| time_words::of_cases(spread, assessment.horizon_min);
    if let Some(times) = assessment.spread.as_ref().and_then(times) {
        rows.push(("time to a limit", times));
    }
    rows.push(("largest load", largest_words(assessment)));
    if let Some(ageing) = &assessment.ageing {
        rows.push(("paper life used", ageing_words(ageing)));
    }
    if let Some(cooldown) = &assessment.cooldown {
        rows.push(("afterwards", afterwards_words(cooldown, assessment.asked.duration_min)));
    }
    if let Some(difference) =
        assessment.start.as_ref().and_then(|start| start.measured_minus_computed_k)
    {
        rows.push((
            "measured - computed",
            format!("{} K top oil at the start", near(difference, 1)),
        ));
    }
    rows
}

/// Labels and their texts, one below the other.
pub(super) fn in_rows(rows: &[(&str, String)]) -> String {
    let label = rows.iter().map(|(label, _)| label.len()).max().unwrap_or(0);
    let lines = rows.iter().flat_map(|(name, text)| labelled(name, text, label));
    lines.collect::<Vec<_>>().join("\n")
}

fn margin_words(assessment: &Assessment) -> String {
    let bubbling = &assessment.bubbling;
    let at = bubbling
        .at_min
        .map_or_else(String::new, |minute| format!(", smallest at {} min", near(minute, 0)));
    let margin = match &assessment.spread {
        Some(spread) if bubbling.margin_counting_k.is_some() => {
            spread_words::conservative(bubbling, spread)
        }
        _ => format!(
            "{} K with the assessed moisture alone, no cases simulated",
            low_words(assessment)
        ),
    };
    format!("{margin}; needs {} K{at}", near(assessment.asked.required_margin_k, 1))
}

/// The conservative margin, or below which one it lies.
fn low_words(assessment: &Assessment) -> String {
    let bubbling = &assessment.bubbling;
    let peak_c = assessment.peak.as_ref().map(|peak| peak.hot_spot_c);
    match (bubbling.margin_low_k, bubbling.inception_below_c.zip(peak_c)) {
        (None, Some((below_c, peak_c))) => format!("below {}", up(below_c - peak_c, 1)),
        (margin_k, _) => down_or_dash(margin_k, 1),
    }
}

fn inception_words(assessment: &Assessment) -> String {
    let bubbling = &assessment.bubbling;
    let assumed = if bubbling.gas_assumed { " (assumed)" } else { "" };
    format!(
        "{} with {}, {} % gas{assumed}",
        bubbles_at(bubbling),
        water_words(bubbling),
        near_or_dash(bubbling.gas_percent, 1),
    )
}

/// The inception temperature, or below which one it lies.
fn bubbles_at(bubbling: &Bubbling) -> String {
    match (bubbling.inception_c, bubbling.inception_below_c) {
        (Some(inception_c), _) => format!("{} °C", down(inception_c, 1)),
        (None, Some(below_c)) => format!("below {} °C", up(below_c, 1)),
        (None, None) => "unknown temperature".to_owned(),
    }
}

/// The water that the inception temperature is for.
fn water_words(bubbling: &Bubbling) -> String {
    let counts = format!("{} % water", up_or_dash(bubbling.counting_moisture_percent, 2));
    match (bubbling.hot_spot_credit_k, bubbling.hot_spot_moisture_percent) {
        (Some(credit_k), Some(percent)) => format!(
            "{} % water at the hot spot (a credit of {} K on {counts})",
            up(percent, 2),
            down(credit_k, 1)
        ),
        _ => counts,
    }
}

fn hottest_words(assessment: &Assessment, peak: &Peak) -> String {
    let band = assessment.spread.as_ref().and_then(spread_words::hot_spot).unwrap_or_default();
    format!(
        "hot spot {} °C{band} at {} min, top oil {} °C at {} min ({} governs{})",
        near(peak.hot_spot_c, 1),
        near(peak.hot_spot_at_min, 0),
        near(peak.top_oil_c, 1),
        near(peak.top_oil_at_min, 0),
        peak.governed_by,
        others_words(peak),
    )
}

/// How much lower the other models come out.
fn others_words(peak: &Peak) -> String {
    let others = peak.by_model.iter().filter(|model| model.model != peak.governed_by);
    let lower: Vec<String> =
        others.map(|model| near(peak.hot_spot_c - model.hot_spot_c, 1)).collect();
    if lower.is_empty() {
        return String::new();
    }
    format!("; the others are {} K lower", lower.join(" and "))
}

fn largest_words(assessment: &Assessment) -> String {
    let clean = assessment.largest_load_without_cautions_pu;
    match assessment.largest_load_pu {
        None if unanswered(assessment) => {
            "not known while the question cannot be answered".to_owned()
        }
        None if assessment.verdict.permits() => {
            "not found; the load that was asked about passes".to_owned()
        }
        None => "no load of this shape would pass".to_owned(),
        Some(load) => {
            let largest = down(load, 2);
            let how = match clean.map(|load| down(load, 2)) {
                None => ", with cautions".to_owned(),
                Some(clean) if clean == largest => String::new(),
                Some(clean) => format!(", with cautions; to {clean} pu, without"),
            };
            format!(
                "Scaled to a {largest} pu peak this loading passes{how}. Re-run with the load you intend to \
                 carry.{}",
                at_largest_words(assessment)
            )
        }
    }
}

/// What the requirement amounts to at the largest load: the margin and the share of cases stand on top of each other.
fn at_largest_words(assessment: &Assessment) -> String {
    let required = kelvin(assessment.asked.required_margin_k);
    assessment.largest_load_probability.map_or_else(String::new, |probability| {
        format!(
            " There the chance of bubbling is {}: {required} K must be left in 95 % of cases.",
            odds(probability)
        )
    })
}

/// Without decimals where there are none.
pub(super) fn kelvin(value_k: f64) -> String {
    near(value_k, usize::from((value_k - value_k.round()).abs() > 0.05))
}

/// The oil after the overload, as an operator needs it.
fn afterwards_words(cooldown: &Cooldown, end_min: f64) -> String {
    let most = if cooldown.bound_only { "at most " } else { "up to " };
    let wait = match cooldown.wait_min {
        Some(wait_min) => {
            format!("at least {} before a second overload", duration(wait_min.ceil()))
        }
        None if cooldown.bound_only || cooldown.beyond_isotherm => {
            "the wait before a second overload is not known".to_owned()
        }
        None => format!(
            "more than {} before a second overload",
            duration(cooldown.horizon_min - end_min)
        ),
    };
    let saturation = match cooldown.peak_saturation_percent {
        Some(percent) if percent >= 100.0 => "above saturation: free water".to_owned(),
        Some(percent) => format!("{most}{} % of saturation", up(percent, 0)),
        None => "too cold to tell how near saturation".to_owned(),
    };
    format!(
        "oil holds {most}{} ppm, {saturation}, and gives off water below {} °C; {wait}",
        up(cooldown.peak_ppm, 0),
        up_or_dash(cooldown.saturates_below_c, 0),
    )
}

fn ageing_words(ageing: &Ageing) -> String {
    let guide = by_guide(ageing.hours_used);
    let scission = by_scission(&ageing.if_dry, &ageing.with_water, &ageing.if_dried);
    let unknown = ageing.with_water.is_empty().then(|| "the water is not known".to_owned());
    std::iter::once(guide).chain(scission).chain(unknown).collect::<Vec<_>>().join("; ")
}

/// Hours by the guide's rate, which knows no water and is held against nothing that does.
pub(super) fn by_guide(hours: f64) -> String {
    format!("{} h of normal life by the guide's rate for dry paper", near(hours, 1))
}

/// Dry, with water and dried by the same sets, so that the figures may be held against each other.
pub(super) fn by_scission(
    dry: &[CostWithWater],
    with_water: &[CostWithWater],
    dried: &[CostWithWater],
) -> Option<String> {
    let sets = common_sets([dry, dried], with_water);
    let of = |costs: &[CostWithWater]| -> Vec<CostWithWater> {
        costs.iter().filter(|cost| sets.contains(&cost.set)).copied().collect()
    };
    let (dry, with_water, dried) = (of(dry), of(with_water), of(dried));
    let water = |costs: &[CostWithWater]| costs.first().map(|cost| up(cost.percent, 2));
    let parts = [
        spread(&dry).map(|hours| format!("{hours} dry")),
        spread(&with_water)
            .zip(water(&with_water))
            .map(|(hours, water)| format!("{hours} with {water} % water")),
        // Paper that is drier already is not dried to more.
        spread(&dried)
            .zip(water(&dried))
            .filter(|_| would_dry(&dried, &with_water))
            .map(|(hours, water)| format!("{hours} if dried to {water} % water")),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| format!("by chain scission {}", parts.join(", ")))
}

/// Whether drying would leave less water than there is, as far as that is known.
fn would_dry(dried: &[CostWithWater], with_water: &[CostWithWater]) -> bool {
    match (dried.first(), with_water.first()) {
        (Some(dried), Some(now)) => dried.percent < now.percent,
        (Some(_), None) => true,
        (None, _) => false,
    }
}

/// The span of the published ageing sets, or what they have for a floor.
fn spread(costs: &[CostWithWater]) -> Option<String> {
    let hours = || costs.iter().map(|cost| cost.hours);
    let (least, most) = (hours().reduce(f64::min)?, hours().reduce(f64::max)?);
    let [low, high] = [least, most].map(|hours| near(hours, usize::from(hours < 10.0)));
    Some(if costs.iter().any(|cost| cost.at_least) {
        format!("more than {high} h")
    } else if low == high {
        format!("{high} h")
    } else {
        format!("{low} to {high} h")
    })
}

/// Whether some safety question has no answer, so that no load can pass whatever it is.
fn unanswered(assessment: &Assessment) -> bool {
    // An unknown rating leaves smaller loads decided.
    let unanswered =
        |finding: &Finding| finding.severity == Severity::Unknown && !is_rating(finding.code);
    assessment.findings.iter().any(unanswered)
}

/// A label and its text, wrapped and indented.
pub(super) fn labelled(name: &str, text: &str, label: usize) -> Vec<String> {
    let lines = wrapped(text, WIDTH - label - 6);
    let first = std::iter::once(name).chain(std::iter::repeat(""));
    lines.iter().zip(first).map(|(line, name)| format!("    {name:<label$}  {line}")).collect()
}
