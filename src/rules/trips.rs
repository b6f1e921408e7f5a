//! The stated trips by temperature against the temperature at which the paper may bubble.
//!
//! Settings alone: whether a device acts in time under a load is a question of time, which `rate` answers.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use crate::relay::indicator::{OilIndicator, WindingIndicator};
use crate::relay::inverse_time::{Overcurrent, Purpose, Supervision};
use crate::relay::{Function, Relay, Side};
use crate::unit::Unit;

/// A stated trip.
struct Trip<'a> {
    /// Name of its relay.
    name: &'a str,
    /// Its setting, °C.
    at_c: f64,
    /// How far below the hot spot it may read, K.
    low_k: f64,
    /// Whether it acts on a reading of the hot spot. Others can be too high, and never low enough: the
    /// hot spot is hotter than the oil by what the load makes of it, and an overcurrent relay waits.
    by_hot_spot: bool,
}

/// Whether the stated trips lie below the temperature at which the paper may bubble.
///
/// Our choice: it may bubble from as far below the inception temperature as the draws take off the margin; one trip
/// at or above that is a caution, whatever others are set to, because nobody should rely
/// on it; an indicator counts as reading low by its tolerance and by what its heater lacks of the hot spot at
/// the rated load; a thermal image follows the current and has no temperature. Where no trip by winding
/// temperature is stated that is a notice.
pub(super) fn trip_above_bubbling(facts: &Facts<'_>) -> Option<Finding> {
    let low = &facts.bubbling.low;
    let inception = low.inception();
    // What is uncertain of the margin is taken off, as it is for the verdict.
    let inception_c = inception.or_else(|| low.ceiling())?.value() - facts.allowance_k();
    let trips: Vec<Trip<'_>> =
        facts.unit.relays.iter().filter_map(|relay| trip(facts.unit, relay)).collect();
    // Written so that NaN is too high.
    let too_high = |trip: &&Trip<'_>| !(trip.at_c + trip.low_k < inception_c);
    let bubbles = whole_down(inception_c);
    let finding = |severity, text| Finding::new(Code::TripAboveBubbling, severity, text);
    if !inception_c.is_finite() {
        let text = "At what temperature the paper may bubble is not known: do not rely on a trip.";
        return Some(finding(Severity::Caution, text.to_owned()));
    }
    if trips.iter().any(|trip| too_high(&trip)) {
        let named: Vec<String> =
            trips.iter().filter(too_high).map(|trip| trip.in_words(inception_c)).collect();
        let text = format!(
            "The paper may bubble ({bubbles} °C) before {}: do not rely on a trip.",
            named.join(" and ")
        );
        let found = finding(Severity::Caution, text).measured(inception_c, "°C");
        return Some(found.limit(highest(trips.iter().filter(too_high)), "°C"));
    }
    let by_hot_spot = || trips.iter().filter(|trip| trip.by_hot_spot);
    if by_hot_spot().next().is_none() {
        let text = format!(
            "No trip by winding temperature is stated: whether protection acts before the paper bubbles ({bubbles} °C) is not known."
        );
        return Some(finding(Severity::Notice, text).measured(inception_c, "°C"));
    }
    // Beyond the range of the correlations it bubbles sooner than at their edge, and nobody knows how much.
    inception?;
    let named: Vec<String> = by_hot_spot().map(|trip| trip.in_words(inception_c)).collect();
    let text =
        format!("Set below what makes the paper bubble ({bubbles} °C): {}.", named.join(" and "));
    let found = finding(Severity::Pass, text).measured(inception_c, "°C");
    Some(found.limit(highest(by_hot_spot()), "°C"))
}

impl Trip<'_> {
    /// With what it may read low, where that alone puts it too high.
    fn in_words(&self, inception_c: f64) -> String {
        let trip = format!("the {} trips ({} °C", self.name, whole_up(self.at_c));
        let low = low_in_words(self.at_c, self.low_k, inception_c);
        format!("{trip}{})", low.map_or_else(String::new, |low| format!("; it {low}")))
    }
}

/// What a trip may read low, where that alone puts it above what makes the paper bubble.
pub(crate) fn low_in_words(setting_c: f64, low_k: f64, bubbles_c: f64) -> Option<String> {
    let by_low = setting_c < bubbles_c && setting_c + low_k >= bubbles_c;
    by_low.then(|| format!("may read {} K low", whole_up(low_k)))
}

fn highest<'a>(trips: impl Iterator<Item = &'a Trip<'a>>) -> f64 {
    trips.map(|trip| trip.at_c).fold(f64::NEG_INFINITY, f64::max)
}

/// The trip of a relay, if its setting is a temperature.
fn trip<'a>(unit: &Unit, relay: &'a Relay) -> Option<Trip<'a>> {
    let (at_c, low_k, by_hot_spot) = match &relay.function {
        Function::WindingTemperature(own) => (own.trip_c?, reads_low_k(unit, own), true),
        Function::OilTemperature(own) => (own.trip_c?, -own.off_k(Side::Late), false),
        Function::Overcurrent(own) => supervised(unit, own)?,
        Function::ThermalImage(_) | Function::FanStart(_) => return None,
    };
    Some(Trip { name: &relay.name, at_c, low_k, by_hot_spot })
}

/// A relay against overload that may only operate above a temperature.
fn supervised(unit: &Unit, relay: &Overcurrent) -> Option<(f64, f64, bool)> {
    match relay.supervised.filter(|_| relay.purpose == Purpose::Overload)? {
        Supervision::HotSpot(at_c) => {
            Some((at_c, reads_low_k(unit, &WindingIndicator::default()), false))
        }
        Supervision::TopOil(at_c) => {
            Some((at_c, -OilIndicator::default().off_k(Side::Late), false))
        }
    }
}

/// How far below the hot spot a winding indicator may read at the rated load, K.
pub(crate) fn reads_low_k(unit: &Unit, indicator: &WindingIndicator) -> f64 {
    let tolerance_k = -indicator.off_k(Side::Late);
    let rated = unit.thermal.as_ref().and_then(|thermal| thermal.stages.get(thermal.rated_stage));
    let lacks_k = rated.map_or(0.0, |rated| {
        let hot_spot_k = rated.stage.nameplate.hot_spot_gradient_k;
        let heaters = indicator.heaters(hot_spot_k, Side::Late);
        heaters.iter().map(|heater| hot_spot_k - heater.gradient_k).fold(0.0, f64::max)
    });
    tolerance_k + lacks_k
}

/// Whole kelvin, toward the sooner bubble.
fn whole_down(celsius: f64) -> String {
    format!("{:.0}", (celsius + 1.0e-6).floor())
}

/// Whole kelvin, toward the later trip.
fn whole_up(celsius: f64) -> String {
    format!("{:.0}", (celsius - 1.0e-6).ceil())
}
