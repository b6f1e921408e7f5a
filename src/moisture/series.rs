//! A saturation probe over time: was the oil ever in equilibrium with the paper?
//!
//! When oil warms, paper gives water to it; when it cools, the paper takes water back. Where the
//! water in the oil stops rising or stops falling, nothing migrates: paper surface and oil are in
//! equilibrium at that moment, whatever the load does.

use super::solubility::Solubility;
use crate::quantities::{Celsius, RelativeSaturation};

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProbePoint {
    /// Time, min, from any zero.
    pub minute: f64,
    /// Relative saturation.
    pub saturation: RelativeSaturation,
    /// Oil temperature.
    pub oil: Celsius,
}

/// What a series shows.
#[derive(Debug, Clone, PartialEq)]
pub enum Equilibrium {
    /// Steady to its end: these readings are in equilibrium.
    Steady(Vec<ProbePoint>),
    /// Cycling: the moments at which the migration of water reverses.
    Reversals(Vec<ProbePoint>),
    /// Neither.
    None {
        /// The readings that would have had to be steady; empty where there are too few.
        recent: Vec<ProbePoint>,
        /// How many times as much as they may, or as short as they may be, they vary; above 1.
        times: f64,
    },
}

/// Temperature within this is steady, K. Our choice, no source.
const STEADY_K: f64 = 3.0;

/// A swing of the water in the oil below this is noise: ppm, and share of the median. Our choice:
/// a probe reads to about 2 % of saturation, but repeats itself ten times better.
const NOISE_PPM: f64 = 1.0;
const NOISE_RELATIVE: f64 = 0.05;

/// A series that is long enough must have been steady for this many times the hours asked for, so
/// that oil which was treated or changed within it is not taken for steady. Our choice.
const STEADY_TIMES: f64 = 3.0;

/// Looks for equilibrium in a series: steady for `steady_h` up to its end (three times that if the
/// series is so long), or at least two reversals of the migration.
///
/// # Source       Common practice, no source; the thresholds are our choice.
/// # Valid        Readings inside the range of the solubility; others are left out.
/// # Departures   The first and the last reading are never a reversal.
/// # Checked      See the tests of this file.
pub fn equilibrium(points: &[ProbePoint], solubility: Solubility, steady_h: f64) -> Equilibrium {
    let water = |point: &ProbePoint| {
        let full = solubility.saturation(point.oil).ok()?;
        Some((*point, full.value() * point.saturation.value()))
    };
    let readings: Vec<(ProbePoint, f64)> = points.iter().filter_map(water).collect();
    let readings = after_the_last_gap(&readings);
    let noise_ppm = NOISE_PPM.max(NOISE_RELATIVE * median(readings.iter().map(|(_, ppm)| *ppm)));
    let (recent, times) = variation(readings, noise_ppm, steady_h);
    if times <= 1.0 {
        return Equilibrium::Steady(recent);
    }
    let turns = turning_points(readings, noise_ppm);
    let apart = |pair: &[ProbePoint]| pair[1].minute - pair[0].minute >= LEAST_APART_MIN;
    if turns.len() >= 2 && turns.windows(2).all(apart) {
        Equilibrium::Reversals(turns)
    } else {
        Equilibrium::None { recent, times }
    }
}

/// Readings further apart than this tell nothing of what lies between, min. Our choice.
const LONGEST_GAP_MIN: f64 = 180.0;

/// Oil does not turn from taking up water to giving it back and again within this, min: a series
/// that does jumps for another reason. Our choice, from the winding's and the oil's time constants.
const LEAST_APART_MIN: f64 = 120.0;

fn after_the_last_gap(readings: &[(ProbePoint, f64)]) -> &[(ProbePoint, f64)] {
    let gap = |pair: &[(ProbePoint, f64)]| pair[1].0.minute - pair[0].0.minute > LONGEST_GAP_MIN;
    let begins = readings.windows(2).rposition(gap).map_or(0, |at| at + 1);
    &readings[begins..]
}

/// The readings that have to be steady, and how many times as much as they may they vary: at most 1 if they
/// are steady.
fn variation(
    readings: &[(ProbePoint, f64)],
    noise_ppm: f64,
    steady_h: f64,
) -> (Vec<ProbePoint>, f64) {
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else {
        return (Vec::new(), f64::INFINITY);
    };
    let (first_min, last_min) = (first.0.minute, last.0.minute);
    let from_min = first_min.max(last_min - STEADY_TIMES * steady_h * 60.0);
    let recent: Vec<(ProbePoint, f64)> =
        readings.iter().filter(|(point, _)| point.minute >= from_min).copied().collect();
    let temperature_k = range(recent.iter().map(|(point, _)| point.oil.value()));
    let water_ppm = range(recent.iter().map(|(_, ppm)| *ppm));
    let short = steady_h * 60.0 / (last_min - first_min).max(f64::MIN_POSITIVE);
    // Two readings are no series.
    let few = if recent.len() >= 3 { 0.0 } else { f64::INFINITY };
    let times = (temperature_k / STEADY_K).max(water_ppm / noise_ppm).max(short).max(few);
    (recent.into_iter().map(|(point, _)| point).collect(), times)
}

/// The extremes between swings of more than the noise.
fn turning_points(readings: &[(ProbePoint, f64)], noise_ppm: f64) -> Vec<ProbePoint> {
    let Some(first) = readings.first() else {
        return Vec::new();
    };
    let (mut high, mut low) = (*first, *first);
    let mut rising: Option<bool> = None;
    let mut turns = Vec::new();
    for reading in readings {
        if reading.1 > high.1 {
            high = *reading;
        }
        if reading.1 < low.1 {
            low = *reading;
        }
        if rising != Some(false) && high.1 - reading.1 >= noise_ppm {
            turns.extend((rising == Some(true)).then_some(high.0));
            rising = Some(false);
            low = *reading;
        } else if rising != Some(true) && reading.1 - low.1 >= noise_ppm {
            turns.extend((rising == Some(false)).then_some(low.0));
            rising = Some(true);
            high = *reading;
        }
    }
    turns
}

fn range(values: impl Iterator<Item = f64>) -> f64 {
    let ends = (f64::INFINITY, f64::NEG_INFINITY);
    let (low, high) = values.fold(ends, |(low, high), value| (low.min(value), high.max(value)));
    high - low
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A day's cycle of the oil with a water content that follows it late.
    fn cycling(hours: u32, swing_k: f64, swing_ppm: f64) -> Vec<ProbePoint> {
        (0..hours * 4)
            .map(|quarter| {
                let minute = f64::from(quarter) * 15.0;
                let day = minute / 1440.0 * std::f64::consts::TAU;
                let oil_c = 58.0 + swing_k * day.sin();
                let ppm = 24.0 + swing_ppm * (day - 1.0).sin();
                let oil = Celsius::new(oil_c).unwrap();
                let full = Solubility::MINERAL.saturation(oil).unwrap().value();
                let saturation = RelativeSaturation::new(ppm / full).unwrap();
                ProbePoint { minute, saturation, oil }
            })
            .collect()
    }

    fn no_equilibrium(series: &[ProbePoint]) -> bool {
        matches!(equilibrium(series, Solubility::MINERAL, 8.0), Equilibrium::None { .. })
    }

    #[test]
    fn finds_the_reversals_of_a_daily_cycle() {
        let Equilibrium::Reversals(turns) =
            equilibrium(&cycling(60, 6.0, 4.0), Solubility::MINERAL, 8.0)
        else {
            panic!("cycling");
        };
        // Two and a half days have five extremes; the last lies inside, the first may not count.
        assert!((4..=5).contains(&turns.len()), "{}", turns.len());
        for turn in turns {
            let full = Solubility::MINERAL.saturation(turn.oil).unwrap().value();
            let ppm = full * turn.saturation.value();
            // A reading every quarter of an hour misses the extreme by less than a thousandth.
            assert!((ppm - 24.0).abs() > 3.99, "{ppm}");
        }
    }

    #[test]
    fn a_steady_series_is_in_equilibrium() {
        let found = equilibrium(&cycling(24, 1.0, 0.3), Solubility::MINERAL, 8.0);
        assert!(matches!(found, Equilibrium::Steady(points) if points.len() == 96));
        // Two days of it: the last 24 hours, both ends included.
        let found = equilibrium(&cycling(48, 1.0, 0.3), Solubility::MINERAL, 8.0);
        assert!(matches!(found, Equilibrium::Steady(points) if points.len() == 97));
    }

    #[test]
    fn oil_that_was_treated_in_between_is_not_steady() {
        let mut series = cycling(48, 1.0, 0.3);
        for point in series.iter_mut().rev().take(40) {
            let dried = RelativeSaturation::new(point.saturation.value() / 4.0).unwrap();
            point.saturation = dried;
        }
        assert!(no_equilibrium(&series));
    }

    /// One reading that jumps would make two turns of a steady rise.
    #[test]
    fn an_outlier_makes_no_reversal() {
        let mut warming: Vec<ProbePoint> = cycling(5, 6.0, 4.0);
        let jump = RelativeSaturation::new(warming[10].saturation.value() * 1.4).unwrap();
        warming[10].saturation = jump;
        assert!(no_equilibrium(&warming));
    }

    #[test]
    fn a_few_readings_after_a_gap_are_not_eight_steady_hours() {
        let mut series: Vec<ProbePoint> = cycling(24, 1.0, 0.3)[90..].to_vec();
        series.insert(0, ProbePoint { minute: -4000.0, ..series[0] });
        assert!(no_equilibrium(&series));
    }

    #[test]
    fn a_warming_unit_is_not() {
        let warming: Vec<ProbePoint> = cycling(5, 6.0, 4.0);
        assert!(no_equilibrium(&warming));
        assert!(no_equilibrium(&[]));
    }
}
