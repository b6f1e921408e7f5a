//! The evidence in three lines: who contradicts whom, whom to believe, and what each would leave.

use super::view::{down_or_dash, near, near_or_dash, up};
use crate::assessment::wetness::{ContradictionLine, CountingLine, Wetness, WitnessLine};
use crate::moisture::contradiction::{Belief, CONTRADICTS_AT};
use crate::moisture::reconcile::CountsBy;
use crate::moisture::usual::{Criteria, GOOD_OIL_C};
use crate::moisture::validity::Standing;

/// Which witnesses contradict each other, which to believe and why, and the margin under each.
pub fn in_three_lines(moisture: &Wetness) -> Vec<(&'static str, String)> {
    let (apart, believed) = match moisture.contradictions.as_slice() {
        [] => (agreement(moisture), without_contradiction(moisture)),
        [gravest, more @ ..] => {
            (contradiction(moisture, gravest, more.len()), believed(moisture, gravest))
        }
    };
    vec![apart, ("believe", believed), margins(moisture)]
}

/// A witness by its method; by its date or number too where another is of the same method.
pub(super) fn named(moisture: &Wetness, index: usize) -> String {
    let Some(own) = moisture.witnesses.get(index) else {
        return "-".to_owned();
    };
    let same = |other: &&WitnessLine| other.method == own.method;
    let of_method: Vec<&WitnessLine> = moisture.witnesses.iter().filter(same).collect();
    let of_day = of_method.iter().filter(|other| other.date == own.date).count();
    match &own.date {
        _ if of_method.len() == 1 => own.method_in_words.to_owned(),
        Some(date) if of_day == 1 => format!("{} of {date}", own.method_in_words),
        _ => format!("{} no. {}", own.method_in_words, index + 1),
    }
}

/// A temperature in °C without needless decimals.
pub(super) fn degrees(value_c: f64) -> String {
    let tenths = near(value_c, 1);
    tenths.strip_suffix(".0").map_or(tenths.clone(), str::to_owned)
}

/// Where an oil witness is worth taking.
pub(super) fn good_oil() -> String {
    let steady_h = Criteria::default().steady_h;
    format!(
        "with the oil at {} °C or warmer and steady for {} h",
        degrees(GOOD_OIL_C),
        near(steady_h, 0)
    )
}

/// How the moisture that counts came about.
pub(super) fn how_it_counts(moisture: &Wetness, counting: &CountingLine) -> String {
    let wettest = named(moisture, counting.witness);
    let percent = up(counting.percent, 2);
    let how = match counting.by {
        CountsBy::OnlyWitness => format!("the upper 95 % bound of the {wettest}"),
        CountsBy::UpperBoundOfMean => "the upper 95 % bound of the random-effects mean".to_owned(),
        CountsBy::WettestValue => {
            format!("the value of the {wettest}, the wettest; the mean's upper bound lies below it")
        }
        CountsBy::WettestUpperBound => {
            format!("the upper 95 % bound of the {wettest} as if alone, for others contradict it")
        }
        CountsBy::PartlyContradicted => {
            format!("near the upper 95 % bound of the {wettest}, for others contradict it in part")
        }
        CountsBy::LocalRule => match &counting.lowered_by {
            Some(by) => format!("{by} decided so in the local rules, less than the evidence"),
            None => "the local rules set it".to_owned(),
        },
    };
    format!("assessed at {percent} % water in paper: {how}")
}

fn figure(moisture: &Wetness, index: usize) -> String {
    let percent = moisture.witnesses.get(index).and_then(|own| own.percent);
    format!("{} {} %", named(moisture, index), near_or_dash(percent, 2))
}

fn contradiction(
    moisture: &Wetness,
    gravest: &ContradictionLine,
    more: usize,
) -> (&'static str, String) {
    let raised = raised(moisture);
    let (drier, wetter) = (figure(moisture, gravest.drier), figure(moisture, gravest.wetter));
    let deviations = near(gravest.deviations, 1);
    let pair = format!("{drier} and {wetter}, {deviations} standard deviations apart");
    if !(gravest.deviations > CONTRADICTS_AT) {
        let all = "all together differ more than their uncertainties allow";
        return ("scatter", format!("{pair}; {all}{raised}"));
    }
    let more = match more {
        0 => String::new(),
        1 => "; one more pair contradicts".to_owned(),
        more => format!("; {more} more pairs contradict"),
    };
    ("contradict", format!("{pair}{more}{raised}"))
}

fn believed(moisture: &Wetness, gravest: &ContradictionLine) -> String {
    let by_rule = moisture.counting.as_ref().filter(|c| c.by == CountsBy::LocalRule);
    let local = by_rule.map_or_else(String::new, |counting| {
        let percent = up(counting.percent, 2);
        match &counting.lowered_by {
            Some(by) => {
                format!("; but {by} decided that {percent} % counts, less than the evidence")
            }
            None => format!("; the local rules count {percent} %"),
        }
    });
    format!("{}{local}", believe(moisture, gravest))
}

/// Whom the reasons of a contradiction speak for.
pub(super) fn believe(moisture: &Wetness, pair: &ContradictionLine) -> String {
    let causes = |of: &str| {
        let of_them = pair.causes.iter().filter(|cause| cause.of == of);
        of_them.map(|cause| cause.words).collect::<Vec<_>>().join("; ")
    };
    let (drier, wetter) = (named(moisture, pair.drier), named(moisture, pair.wetter));
    let of_both = causes("both");
    let also = if of_both.is_empty() { String::new() } else { format!("; {of_both}") };
    match pair.belief {
        Belief::Wetter => format!("the {wetter}: {}{also}", causes("drier")),
        Belief::DrierButWetterCounts => format!(
            "perhaps the {drier}: {}{also}; the wetter counts until a measurement settles it",
            causes("wetter")
        ),
        Belief::Undecided if pair.causes.is_empty() => {
            "nothing shows which is wrong: the wetter counts".to_owned()
        }
        Belief::Undecided if causes("drier").is_empty() => {
            format!("neither is shown wrong: {of_both}; the wetter counts")
        }
        Belief::Undecided => format!(
            "neither alone. The {drier}: {}. The {wetter}: {}{also}. The wetter counts",
            causes("drier"),
            causes("wetter")
        ),
    }
}

/// Who agrees with whom where nobody contradicts.
fn agreement(moisture: &Wetness) -> (&'static str, String) {
    let counts = |own: &(usize, &WitnessLine)| own.1.standing == Standing::Counts;
    let heard: Vec<usize> =
        moisture.witnesses.iter().enumerate().filter(counts).map(|(index, _)| index).collect();
    let raises = raised(moisture);
    match heard.as_slice() {
        [] if moisture.witnesses.is_empty() => ("evidence", "none is entered".to_owned()),
        [] => ("evidence", "no witness counts".to_owned()),
        [only] if raises.is_empty() => {
            let only = figure(moisture, *only);
            ("witness", format!("{only}: a single witness, so its upper bound counts"))
        }
        [only] => ("witness", format!("{}{raises}", figure(moisture, *only))),
        several => {
            let figures = several.iter().filter_map(|index| moisture.witnesses[*index].percent);
            let (driest, wettest) =
                figures.fold((f64::MAX, f64::MIN), |(low, high), x| (low.min(x), high.max(x)));
            let (driest, wettest) = (near(driest, 2), near(wettest, 2));
            let within = format!("between {driest} % and {wettest} %, within their uncertainties");
            ("agree", format!("{} witnesses, {within}{raises}", several.len()))
        }
    }
}

/// That a witness governs which does not count in full, or nothing.
fn raised(moisture: &Wetness) -> String {
    let governs = moisture.counting.as_ref().map(|counting| counting.witness);
    let own = governs.and_then(|index| Some((index, moisture.witnesses.get(index)?.standing)));
    match own {
        Some((index, Standing::WetSideOnly)) => {
            let figure = figure(moisture, index);
            format!("; the {figure}, which may only raise, raises what counts")
        }
        Some((index, Standing::DoesNotCount)) => {
            let figure = figure(moisture, index);
            format!("; the {figure} governs still: nobody put a name to leaving it out")
        }
        Some((_, Standing::Counts)) | None => String::new(),
    }
}

fn without_contradiction(moisture: &Wetness) -> String {
    match &moisture.counting {
        Some(counting) => how_it_counts(moisture, counting),
        None => format!(
            "nothing yet; a dielectric response, or an oil sample {}, would tell",
            good_oil()
        ),
    }
}

/// What each witness would leave, as if it were the only one.
fn margins(moisture: &Wetness) -> (&'static str, String) {
    let to_hot_spot = moisture.hot_spot_c.is_some();
    let (label, unit) = if to_hot_spot { ("margin", "K") } else { ("bubbles at", "°C") };
    let shown = |value: Option<f64>| match down_or_dash(value, 1) {
        dash if value.is_none() => dash,
        figure => format!("{figure} {unit}"),
    };
    let one = |(index, own): (usize, &WitnessLine)| {
        let standing = match own.standing {
            Standing::Counts => "",
            Standing::WetSideOnly => " (may only raise)",
            Standing::DoesNotCount => " (not counted)",
        };
        let value = if to_hot_spot { own.margin_low_k } else { own.inception_low_c };
        format!("{} {}{standing}", shown(value), named(moisture, index))
    };
    if moisture.witnesses.is_empty() {
        return (label, "-".to_owned());
    }
    let each = moisture.witnesses.iter().enumerate().map(one).collect::<Vec<_>>().join(", ");
    let alone = match moisture.witnesses.len() {
        1 => "at its upper 95 % bound",
        _ => "each alone at its upper 95 % bound",
    };
    let counts = moisture.counting.as_ref().map_or_else(
        || "nothing counts".to_owned(),
        |counting| {
            let value = if to_hot_spot { counting.margin_k } else { counting.inception_c };
            value.map_or_else(
                || "that of what counts is unknown".to_owned(),
                |value| format!("{} with the assessed moisture", shown(Some(value))),
            )
        },
    );
    (label, format!("{each}, {alone}; {counts}"))
}
