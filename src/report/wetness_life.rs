//! The life of the paper, as a table that shows how far the published constants disagree.

use super::answer::indented;
use super::text::{aligned, titled};
use super::view::{down, near, up};
use super::wetness_words::degrees;
use crate::ageing::rate::AgeingRate;
use crate::ageing::scission::AgeingSet;
use crate::assessment::paper_life::{LifeAtWater, LifeFigure, LifeOfSet, PaperLife};
use tabled::builder::Builder;

/// The life of the paper at each water content, by every set and their span.
pub(super) fn paper_life(life: &PaperLife) -> String {
    let Some(hot_spots) = hot_spots(life) else {
        return String::new();
    };
    let mut builder = Builder::default();
    let mut heading = vec!["  at a hot spot of".to_owned()];
    heading.extend(hot_spots.iter().map(|hot_spot_c| format!("{} °C", degrees(*hot_spot_c))));
    if let Some(usual_c) = life.usual_hot_spot_c {
        heading.push(format!("left, {} °C", degrees(usual_c)));
    }
    builder.push_record(heading);
    for water in &life.waters {
        builder.push_record(span_row(life, water));
        for set in &water.sets {
            builder.push_record(set_row(life, set));
        }
    }
    let kind = match life.paper {
        AgeingRate::Kraft => "kraft",
        AgeingRate::ThermallyUpgraded => "thermally upgraded",
    };
    let title = format!(
        "Life of the {kind} paper in years, from DP {} to {}",
        near(life.dp_new, 0),
        near(life.dp_end, 0)
    );
    titled(&title, &format!("{}\n{}", aligned(builder, 1..6), indented(&remarks(life))))
}

/// The hot spots of the table, or nothing where no set gives a life.
fn hot_spots(life: &PaperLife) -> Option<Vec<f64>> {
    let set = life.waters.iter().find_map(|water| water.sets.first())?;
    Some(set.whole.iter().map(|figure| figure.hot_spot_c).collect())
}

/// The span between the sets.
fn span_row(life: &PaperLife, water: &LifeAtWater) -> Vec<String> {
    let (what, percent) = match water.what {
        "counts" => ("counting", up(water.percent, 2)),
        "best-estimate" => ("best", near(water.percent, 2)),
        other => (other, near(water.percent, 2)),
    };
    let mut row = vec![format!("  {what}, {percent} %")];
    let columns = water.sets.first().map_or(0, |set| set.whole.len());
    row.extend((0..columns).map(|column| {
        span(&water.sets.iter().filter_map(|set| set.whole.get(column)).collect::<Vec<_>>())
    }));
    if life.usual_hot_spot_c.is_some() {
        row.push(span(
            &water.sets.iter().filter_map(|set| set.remaining.as_ref()).collect::<Vec<_>>(),
        ));
    }
    row
}

fn span(figures: &[&LifeFigure]) -> String {
    let shorter = |a: &&&LifeFigure, b: &&&LifeFigure| a.years.total_cmp(&b.years);
    let shortest = figures.iter().min_by(shorter);
    let longest = figures.iter().max_by(shorter);
    match (shortest, longest) {
        (Some(shortest), Some(longest)) if figures.len() > 1 => {
            format!("{}-{}", years(shortest), whole_years(longest.years))
        }
        (Some(only), _) => years(only),
        _ => "-".to_owned(),
    }
}

fn set_row(life: &PaperLife, set: &LifeOfSet) -> Vec<String> {
    let mut row = vec![format!("    {}", set_in_words(set.set))];
    row.extend(set.whole.iter().map(years));
    if life.usual_hot_spot_c.is_some() {
        row.push(set.remaining.as_ref().map_or_else(|| "-".to_owned(), years));
    }
    row
}

fn set_in_words(set: AgeingSet) -> &'static str {
    match set {
        AgeingSet::IecWithoutAir => "IEC, without air",
        AgeingSet::IecWithAir => "IEC, with air",
        AgeingSet::EmsleyStevens => "Emsley & Stevens",
    }
}

/// Years, rounded down; `<` where the paper is wetter than the set was published for.
fn years(figure: &LifeFigure) -> String {
    let written = whole_years(figure.years);
    if figure.at_most && written != "0.0" { format!("<{written}") } else { written }
}

fn whole_years(years: f64) -> String {
    down(years, usize::from(years < 10.0))
}

fn remarks(life: &PaperLife) -> Vec<String> {
    let sets = life.waters.first().map_or(&[][..], |water| &water.sets);
    let mut sources: Vec<&str> = sets.iter().map(|set| set.source).collect();
    sources.dedup();
    vec![
        format!(
            "The sets (IEC: oil without and with air) disagree and none is the right one; their constants ({}) are from memory. A < means at most: the paper is wetter than the set was published for.",
            sources.join(", ")
        ),
        today(life, sets),
    ]
}

/// The degree of polymerisation today, and where it comes from.
fn today(life: &PaperLife, sets: &[LifeOfSet]) -> String {
    let estimates = sets.iter().filter_map(|set| set.dp_today);
    let (low, high) =
        estimates.fold((f64::MAX, f64::MIN), |(low, high), dp| (low.min(dp), high.max(dp)));
    match (life.dp_entered, life.usual_hot_spot_c) {
        (Some(dp), Some(_)) => format!("Left: from DP {} as entered.", near(dp, 0)),
        (Some(dp), None) => {
            format!("DP {} as entered; no usual hot spot is, so what is left is not known.", near(dp, 0))
        }
        (None, Some(usual_c)) if low <= high => format!(
            "Left: DP today is estimated by each set from the age at {} °C; with {} % water {} to {}.",
            degrees(usual_c),
            near(life.waters.first().map_or(0.0, |water| water.percent), 2),
            down(low, 0),
            down(high, 0)
        ),
        (None, _) => "Neither DP nor usual hot spot and year of manufacture are entered, so what is left is not known.".to_owned(),
    }
}
