//! What the picture of the moisture evidence shows, before it is drawn in characters or lines.

use super::view::{down_or_dash, near, up};
use crate::assessment::wetness::{CountingLine, ScalePoint, Wetness, WitnessLine};
use crate::moisture::validity::Standing;

/// The axis ends here at the latest, %; what lies beyond gets an arrow.
const MOST_PERCENT: u32 = 8;

/// Up to this axis every half per cent has a tick, %.
const HALVES_UP_TO: u32 = 4;

/// What a bar stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A witness that counts.
    Counts,
    /// A witness that may only raise.
    WetSide,
    /// A witness that does not count.
    NotCounted,
    /// All that count, combined.
    Combined,
}

impl Kind {
    /// Every kind, in the order of a legend.
    pub(super) const ALL: [Self; 4] =
        [Self::Counts, Self::WetSide, Self::NotCounted, Self::Combined];

    /// What it stands for, in words.
    pub(super) fn in_words(self) -> &'static str {
        match self {
            Self::Counts => "witness that counts",
            Self::WetSide => "may only raise",
            Self::NotCounted => "does not count",
            Self::Combined => "random-effects mean",
        }
    }
}

/// A row of the picture.
pub(super) struct Bar {
    pub(super) kind: Kind,
    pub(super) label: String,
    /// Lower bound, value and upper bound, %.
    pub(super) reach: Option<[f64; 3]>,
}

/// A tick of both axes.
pub(super) struct Tick {
    pub(super) percent: f64,
    /// Water in paper, as written.
    pub(super) water: String,
    /// The inception temperature that it implies, rounded down, or a dash.
    pub(super) inception: String,
}

/// The picture.
pub(super) struct Plot {
    pub(super) bars: Vec<Bar>,
    pub(super) ticks: Vec<Tick>,
    /// The moisture that counts and what is written at it.
    pub(super) counting: Option<(f64, String)>,
    /// Water with which the paper bubbles at the hot spot of the question, %, and that hot spot.
    pub(super) at_hot_spot: Option<(f64, f64)>,
    /// End of the axis, %.
    pub(super) most: u32,
}

impl Plot {
    /// The picture, or nothing where no witness has a figure.
    pub(super) fn of(moisture: &Wetness, decided: bool) -> Option<Self> {
        let bars = bars(moisture);
        let reaches = bars.iter().filter_map(|bar| bar.reach);
        let counting = moisture.counting.as_ref();
        let ends = reaches.map(|reach| reach[2]).chain(counting.map(|counting| counting.percent));
        let largest = ends.reduce(f64::max)?;
        let most = (1..MOST_PERCENT).find(|most| f64::from(*most) > largest);
        let most = most.unwrap_or(MOST_PERCENT);
        let at_hot_spot = moisture
            .hot_spot_c
            .and_then(|hot_spot_c| Some((water_at(&moisture.scale, hot_spot_c)?, hot_spot_c)));
        Some(Self {
            ticks: ticks(most, &moisture.scale),
            counting: counting.map(|own| (own.percent, counting_words(own, decided))),
            at_hot_spot: at_hot_spot.filter(|(percent, _)| *percent <= f64::from(most)),
            bars,
            most,
        })
    }

    /// Where a water content lies between the ends of the axis, 0 to 1.
    pub(super) fn share(&self, percent: f64) -> f64 {
        (percent / f64::from(self.most)).clamp(0.0, 1.0)
    }

    /// Whether it lies beyond the end of the axis.
    pub(super) fn beyond(&self, percent: f64) -> bool {
        percent > f64::from(self.most)
    }

    /// The kinds that occur, for the legend.
    pub(super) fn kinds(&self) -> impl Iterator<Item = Kind> + '_ {
        let drawn =
            |kind: &Kind| self.bars.iter().any(|bar| bar.kind == *kind && bar.reach.is_some());
        Kind::ALL.into_iter().filter(drawn)
    }
}

/// What is written at the moisture that counts.
fn counting_words(counting: &CountingLine, decided: bool) -> String {
    let counts = if decided { "counts" } else { "as far as it can be read" };
    let inception = counting.inception_c;
    let at = inception
        .map_or_else(String::new, |_| format!(", bubbles at {} °C", down_or_dash(inception, 1)));
    format!("{} % {counts}{at}", up(counting.percent, 2))
}

fn bars(moisture: &Wetness) -> Vec<Bar> {
    let witness = |(index, own): (usize, &WitnessLine)| Bar {
        kind: match own.standing {
            Standing::Counts => Kind::Counts,
            Standing::WetSideOnly => Kind::WetSide,
            Standing::DoesNotCount => Kind::NotCounted,
        },
        label: format!("{} {}", index + 1, own.method_in_words),
        reach: reach(own),
    };
    let combined = moisture.counting.as_ref().filter(|counting| counting.n > 1).map(|own| Bar {
        kind: Kind::Combined,
        label: "combined".to_owned(),
        reach: Some([
            (own.best_percent * 2.0 - own.best_upper_percent).max(0.0),
            own.best_percent,
            own.best_upper_percent,
        ]),
    });
    moisture.witnesses.iter().enumerate().map(witness).chain(combined).collect()
}

/// Lower bound, figure and upper bound of a measurement, all as new paper would hold the water: the axes beside
/// it say when that bubbles.
fn reach(own: &WitnessLine) -> Option<[f64; 3]> {
    let (percent, in_new_paper) = (own.percent?, own.in_new_paper_percent?);
    let times = if percent > 0.0 { in_new_paper / percent } else { 1.0 };
    Some([own.lower_percent? * times, in_new_paper, own.upper_percent? * times])
}

fn ticks(most: u32, scale: &[ScalePoint]) -> Vec<Tick> {
    let (halves, decimals) = if most <= HALVES_UP_TO { (1, 1) } else { (2, 0) };
    let all = (0..=2 * most).step_by(halves).map(|half| f64::from(half) * 0.5);
    all.map(|percent| {
        let same = scale.iter().find(|point| (point.percent - percent).abs() < 1.0e-9);
        Tick {
            percent,
            water: near(percent, decimals),
            inception: down_or_dash(same.and_then(|point| point.inception_c), 0),
        }
    })
    .collect()
}

/// Water with which the paper bubbles at a temperature, on the straight line between two points.
fn water_at(scale: &[ScalePoint], hot_spot_c: f64) -> Option<f64> {
    scale.windows(2).find_map(|pair| {
        let (dry, wet) = (pair[0], pair[1]);
        let (above_c, below_c) = (dry.inception_c?, wet.inception_c?);
        let between = above_c >= hot_spot_c && hot_spot_c > below_c;
        let share = (above_c - hot_spot_c) / (above_c - below_c);
        between.then_some(dry.percent + share * (wet.percent - dry.percent))
    })
}
