//! A device that trips, as a reading over time that it compares with its setting.
//!
//! Whatever it is, a greater setting acts later. So one pair of figures answers both questions: the highest
//! reading under the permitted loads, which the setting must exceed, and the lowest reading at the
//! moment of bubbling, below which it must stay.

use super::courses::{Lane, Line};
use super::{Permitted, Setting};
use crate::relay::indicator::{Heater, OilIndicator, WindingIndicator};
use crate::relay::inverse_time::{Overcurrent, Supervision, Timing};
use crate::relay::thermal_image::ThermalImage;
use crate::relay::{Function, Side};
use crate::thermal::trajectory::Sample;

/// A device that trips.
#[derive(Debug, Clone, Copy)]
pub(super) enum Device<'a> {
    /// Reads H, %.
    Image(&'a ThermalImage),
    /// Reads the time multiplier, or the delay in s, that has been used up since it picked up.
    Overcurrent(&'a Overcurrent),
    /// Reads °C.
    Winding(&'a WindingIndicator),
    /// Reads °C.
    Oil(&'a OilIndicator),
}

impl<'a> Device<'a> {
    /// The trip device of a relay; `None` for contacts that only start cooling.
    pub(super) fn of(function: &'a Function) -> Option<Self> {
        match function {
            Function::ThermalImage(relay) => Some(Self::Image(relay)),
            Function::Overcurrent(relay) => Some(Self::Overcurrent(relay)),
            Function::WindingTemperature(relay) => Some(Self::Winding(relay)),
            Function::OilTemperature(relay) => Some(Self::Oil(relay)),
            Function::FanStart(_) => None,
        }
    }
}

impl Device<'_> {
    /// The key of its setting, its unit, and what the profile accepts for it.
    pub(super) fn kind(&self) -> (&'static str, &'static str, (f64, f64)) {
        match self {
            Self::Image(_) => ("trip_percent", "%", (10.0, 200.0)),
            Self::Overcurrent(relay) => match relay.timing {
                Timing::Inverse(..) => ("time_multiplier", "", (0.01, 20.0)),
                Timing::Definite(_) => ("delay_s", "s", (0.0, 86400.0)),
            },
            Self::Winding(_) | Self::Oil(_) => ("trip_c", "°C", (20.0, 200.0)),
        }
    }

    /// Its setting; `None`: it only gives an alarm.
    pub(super) fn setting(&self) -> Option<Setting> {
        let (key, unit, _) = self.kind();
        let value = match self {
            Self::Image(relay) => Some(relay.trip_percent),
            Self::Overcurrent(relay) => Some(relay.time_setting()),
            Self::Winding(indicator) => indicator.trip_c,
            Self::Oil(indicator) => indicator.trip_c,
        };
        value.map(|value| Setting { key, value, unit })
    }

    /// Where it gives an alarm, as a reading.
    pub(super) fn alarm(&self) -> Option<f64> {
        match self {
            Self::Image(relay) => relay.alarm_percent,
            Self::Overcurrent(_) => None,
            Self::Winding(indicator) => indicator.alarm_c,
            Self::Oil(indicator) => indicator.alarm_c,
        }
    }

    /// Whether it reads a temperature.
    pub(super) fn reads_kelvin(&self) -> bool {
        matches!(self, Self::Winding(_) | Self::Oil(_))
    }

    /// The greatest load at which it never trips, off to the late side, pu; `None` for indicators.
    pub(super) fn pickup_pu(&self) -> Option<f64> {
        match self {
            Self::Image(relay) => Some(relay.at_the(Side::Late).pickup_pu()),
            Self::Overcurrent(relay) => Some(relay.at_the(Side::Late).setting_pu),
            Self::Winding(_) | Self::Oil(_) => None,
        }
    }

    /// Its own longest time constant, min.
    pub(super) fn slowest_min(&self) -> f64 {
        match self {
            Self::Image(relay) => relay.time_constant_min,
            Self::Winding(indicator) => indicator.time_constant_min.unwrap_or(0.0),
            Self::Overcurrent(_) | Self::Oil(_) => 0.0,
        }
    }

    /// What it may read over a lane, off to one side: one line for each of the ends of what is not stated.
    pub(super) fn readings(&self, lane: &Lane, side: Side) -> Vec<Line> {
        match self {
            Self::Image(relay) => vec![image(relay, lane, side)],
            Self::Overcurrent(relay) => vec![overcurrent(relay, lane, side)],
            Self::Winding(indicator) => winding(indicator, lane, side),
            Self::Oil(indicator) => vec![oil(indicator, lane, side)],
        }
    }

    /// The highest reading under a permitted load, off to the early side.
    pub(super) fn highest(&self, lane: &Lane, permitted: &Permitted) -> f64 {
        let lines = self.readings(lane, Side::Early);
        let highest = lines.iter().map(Line::highest).fold(f64::NEG_INFINITY, f64::max);
        let runs_on = matches!(self, Self::Overcurrent(_)) && permitted.duration_min.is_none();
        // A relay that has picked up under a continuous load uses up any time.
        if runs_on && highest > f64::NEG_INFINITY { f64::INFINITY } else { highest }
    }
}

/// Steps through a lane with a state that follows the load of each step.
fn followed(lane: &Lane, begin: f64, mut next: impl FnMut(f64, &Sample, f64) -> f64) -> Line {
    let (mut state, mut last) = (begin, None::<&Sample>);
    let mut points = Vec::with_capacity(lane.samples.len());
    for sample in &lane.samples {
        if let Some(last) = last {
            state = next(state, last, sample.minute - last.minute);
        }
        points.push((sample.minute, state));
        last = Some(sample);
    }
    Line(points)
}

fn image(relay: &ThermalImage, lane: &Lane, side: Side) -> Line {
    let relay = relay.at_the(side);
    let begin = relay.steady(lane.before_pu);
    let heat =
        followed(lane, begin, |heat, from, minutes| relay.after(heat, from.load_pu, minutes));
    Line(heat.0.into_iter().map(|(minute, heat)| (minute, 100.0 * heat)).collect())
}

fn winding(indicator: &WindingIndicator, lane: &Lane, side: Side) -> Vec<Line> {
    let off_k = indicator.off_k(side);
    let heaters = indicator.heaters(lane.gradient_k, side).into_iter();
    let with = |heater: Heater| {
        let begin = heater.steady_k(lane.before_pu);
        let rise =
            followed(lane, begin, |rise_k, from, min| heater.after_k(rise_k, from.load_pu, min));
        let oil = lane.samples.iter().map(|sample| sample.top_oil_c);
        let read = rise.0.into_iter().zip(oil);
        Line(read.map(|((minute, rise_k), oil_c)| (minute, oil_c + rise_k + off_k)).collect())
    };
    heaters.map(with).collect()
}

fn oil(indicator: &OilIndicator, lane: &Lane, side: Side) -> Line {
    let off_k = indicator.off_k(side);
    Line::of(&lane.samples, |sample| sample.top_oil_c + off_k)
}

/// Minus infinity where it has not picked up.
fn overcurrent(relay: &Overcurrent, lane: &Lane, side: Side) -> Line {
    let (off, factor) = (relay.at_the(side), relay.time_factor(side));
    let released_min = released(relay.supervised, lane, side);
    let idle = f64::NEG_INFINITY;
    let counts = |minute: f64| match side {
        // It may count before it is released, and then acts at once.
        Side::Early => true,
        Side::Late => released_min.is_some_and(|released| minute >= released),
    };
    // What the load before picked up may have used up its time already, waiting to be released.
    let waiting = side == Side::Early && off.seconds_per_setting(lane.before_pu).is_some();
    let begins = |sample: &Sample, index: usize| {
        let picked_up = off.seconds_per_setting(sample.load_pu).is_some();
        match index {
            0 if waiting => f64::INFINITY,
            _ if picked_up && counts(sample.minute) => 0.0,
            _ => idle,
        }
    };
    let mut used: Vec<(f64, f64)> = Vec::with_capacity(lane.samples.len());
    for (index, sample) in lane.samples.iter().enumerate() {
        let last = index.checked_sub(1).map(|last| (&lane.samples[last], used[last].1));
        let value = match last {
            Some((from, used)) if used > idle => {
                let seconds = 60.0 * (sample.minute - from.minute);
                let per_setting = off.seconds_per_setting(from.load_pu);
                per_setting.map_or(idle, |per| used + seconds / (per * factor))
            }
            _ => begins(sample, index),
        };
        used.push((sample.minute, value));
    }
    if side == Side::Early {
        // Up to the sample before the release nothing happens.
        let first = lane
            .samples
            .partition_point(|sample| released_min.is_none_or(|released| sample.minute < released));
        let held = if released_min.is_none() { used.len() } else { first.saturating_sub(1) };
        used[..held].iter_mut().for_each(|point| point.1 = idle);
    }
    Line(used)
}

/// When the temperature that supervises a relay lets it operate; `None`: never.
fn released(supervised: Option<Supervision>, lane: &Lane, side: Side) -> Option<f64> {
    let (lines, at_c) = match supervised {
        None => return Some(0.0),
        Some(Supervision::TopOil(at_c)) => (vec![oil(&OilIndicator::default(), lane, side)], at_c),
        Some(Supervision::HotSpot(at_c)) => {
            (winding(&WindingIndicator::default(), lane, side), at_c)
        }
    };
    let mut minutes = lines.iter().map(|line| line.first_at(at_c));
    match side {
        Side::Early => minutes.flatten().reduce(f64::min),
        Side::Late => minutes.try_fold(0.0, |latest: f64, minute| Some(latest.max(minute?))),
    }
}
