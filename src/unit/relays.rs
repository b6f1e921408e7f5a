//! Relays of a profile: what belongs to each function, and contradictions refused.

use super::Thermal;
use super::relays_file::{CurveFile, RelayFile, RelayFunction};
use super::validate::{Refuse, value};
use crate::input::InputError;
use crate::input::number::Number;
use crate::relay::indicator::{OilIndicator, WindingIndicator};
use crate::relay::inverse_time::{Curve, Overcurrent, Supervision, Timing};
use crate::relay::thermal_image::ThermalImage;
use crate::relay::{FanStart, Function, Relay};

/// All relays; none stated is an empty list.
pub(super) fn relays(
    refuse: &Refuse<'_>,
    files: &[RelayFile],
    thermal: Option<&Thermal>,
) -> Result<Vec<Relay>, InputError> {
    for (index, file) in files.iter().enumerate() {
        let same = |other: &RelayFile| other.name.0.eq_ignore_ascii_case(&file.name.0);
        if files[..index].iter().any(same) {
            let found = format!("two relays named {}", file.name.0);
            return Err(refuse.at(file.name.1, "relays.name", found, "each name once"));
        }
    }
    files.iter().map(|file| Checked { refuse, file }.relay(thermal)).collect()
}

/// One relay with a way to refuse it.
struct Checked<'a> {
    refuse: &'a Refuse<'a>,
    file: &'a RelayFile,
}

impl Checked<'_> {
    fn relay(&self, thermal: Option<&Thermal>) -> Result<Relay, InputError> {
        self.nothing_foreign()?;
        let function = match self.file.function {
            RelayFunction::ThermalImage => Function::ThermalImage(self.thermal_image()?),
            RelayFunction::Overcurrent => Function::Overcurrent(self.overcurrent()?),
            RelayFunction::WindingTemperature => {
                Function::WindingTemperature(self.winding_indicator()?)
            }
            RelayFunction::OilTemperature => Function::OilTemperature(self.oil_indicator()?),
            RelayFunction::FanStart => Function::FanStart(self.fan_start(thermal)?),
        };
        Ok(Relay { name: self.file.name.0.clone(), function })
    }

    /// A key of another function would be ignored quietly.
    fn nothing_foreign(&self) -> Result<(), InputError> {
        let (file, function) = (self.file, self.file.function);
        let own = own_keys(function);
        let foreign = stated_keys(file).into_iter().find(|(key, _)| !own.contains(key));
        let Some((key, line)) = foreign else { return Ok(()) };
        let line = if line > 0 { line } else { file.name.1 };
        let found = format!("{key} for {} ({})", file.name.0, function.name());
        let accepted = format!("only {} with this function", own.join(", "));
        Err(self.refuse.at(line, &in_relays(key), found, accepted))
    }

    fn thermal_image(&self) -> Result<ThermalImage, InputError> {
        let file = self.file;
        let trip_percent = value(file.trip_percent.as_ref()).unwrap_or(100.0);
        self.alarm_below(file.alarm_percent.as_ref(), Some(trip_percent), "alarm_percent", "%")?;
        Ok(ThermalImage {
            k: self.needed("k", file.k.as_ref())?,
            base_current_pu: self.needed("base_current_pu", file.base_current_pu.as_ref())?,
            time_constant_min: self.needed("time_constant_min", file.time_constant_min.as_ref())?,
            alarm_percent: value(file.alarm_percent.as_ref()),
            trip_percent,
            tolerance_percent: value(file.tolerance_percent.as_ref()),
        })
    }

    fn overcurrent(&self) -> Result<Overcurrent, InputError> {
        let file = self.file;
        let Some(purpose) = file.purpose else {
            return Err(self.missing("purpose", "fault or overload"));
        };
        Ok(Overcurrent {
            purpose,
            timing: self.timing()?,
            setting_pu: self.needed("setting_pu", file.setting_pu.as_ref())?,
            tolerance_percent: value(file.tolerance_percent.as_ref()),
            supervised: self.supervision()?,
        })
    }

    fn timing(&self) -> Result<Timing, InputError> {
        let file = self.file;
        let curve = match file.curve {
            None => {
                let accepted = "standard-inverse, very-inverse, extremely-inverse or definite-time";
                return Err(self.missing("curve", accepted));
            }
            Some(CurveFile::DefiniteTime) => None,
            Some(CurveFile::StandardInverse) => Some(Curve::StandardInverse),
            Some(CurveFile::VeryInverse) => Some(Curve::VeryInverse),
            Some(CurveFile::ExtremelyInverse) => Some(Curve::ExtremelyInverse),
        };
        match (curve, &file.time_multiplier, &file.delay_s) {
            (Some(curve), Some(multiplier), None) => Ok(Timing::Inverse(curve, multiplier.value)),
            (None, None, Some(delay)) => Ok(Timing::Definite(delay.value)),
            (Some(_), None, _) => {
                Err(self.missing("time_multiplier", "a time multiplier with an inverse curve"))
            }
            (None, _, None) => Err(self.missing("delay_s", "a delay with definite-time")),
            (Some(_), Some(_), Some(delay)) => {
                let accepted = "a time multiplier alone with an inverse curve";
                Err(self.contradiction(delay.line, "delay_s", "a delay as well", accepted))
            }
            (None, Some(multiplier), Some(_)) => {
                let accepted = "a delay alone with definite-time";
                let found = "a time multiplier as well";
                Err(self.contradiction(multiplier.line, "time_multiplier", found, accepted))
            }
        }
    }

    fn supervision(&self) -> Result<Option<Supervision>, InputError> {
        match (&self.file.supervised_top_oil_c, &self.file.supervised_hot_spot_c) {
            (None, None) => Ok(None),
            (Some(oil), None) => Ok(Some(Supervision::TopOil(oil.value))),
            (None, Some(winding)) => Ok(Some(Supervision::HotSpot(winding.value))),
            (Some(_), Some(winding)) => {
                let found = "supervision by top oil as well";
                let key = "supervised_hot_spot_c";
                Err(self.contradiction(winding.line, key, found, "one of the two"))
            }
        }
    }

    fn winding_indicator(&self) -> Result<WindingIndicator, InputError> {
        let file = self.file;
        self.contacts()?;
        Ok(WindingIndicator {
            alarm_c: value(file.alarm_c.as_ref()),
            trip_c: value(file.trip_c.as_ref()),
            gradient_k: value(file.gradient_k.as_ref()),
            exponent: value(file.exponent.as_ref()),
            time_constant_min: value(file.time_constant_min.as_ref()),
            tolerance_k: value(file.tolerance_k.as_ref()),
        })
    }

    fn oil_indicator(&self) -> Result<OilIndicator, InputError> {
        let file = self.file;
        self.contacts()?;
        Ok(OilIndicator {
            alarm_c: value(file.alarm_c.as_ref()),
            trip_c: value(file.trip_c.as_ref()),
            tolerance_k: value(file.tolerance_k.as_ref()),
        })
    }

    fn contacts(&self) -> Result<(), InputError> {
        let (alarm, trip) = (self.file.alarm_c.as_ref(), self.file.trip_c.as_ref());
        if alarm.is_none() && trip.is_none() {
            return Err(self.missing("alarm_c", "alarm_c, trip_c or both"));
        }
        self.alarm_below(alarm, value(trip), "alarm_c", "°C")
    }

    fn fan_start(&self, thermal: Option<&Thermal>) -> Result<FanStart, InputError> {
        let file = self.file;
        let Some(indicator) = file.indicator else {
            return Err(self.missing("indicator", "oil or winding"));
        };
        let start_c = self.needed("start_c", file.start_c.as_ref())?;
        let stop_c = self.needed("stop_c", file.stop_c.as_ref())?;
        if !(stop_c < start_c) {
            let found = format!("start at {start_c} °C and stop at {stop_c} °C");
            let line = file.stop_c.as_ref().map_or(file.name.1, |stop| stop.line);
            return Err(self.contradiction(line, "stop_c", &found, "a stop below the start"));
        }
        Ok(FanStart { indicator, start_c, stop_c, stage: self.stage(thermal)? })
    }

    fn stage(&self, thermal: Option<&Thermal>) -> Result<Option<usize>, InputError> {
        let Some(name) = &self.file.stage else { return Ok(None) };
        let names = thermal.iter().flat_map(|thermal| &thermal.stages);
        let names: Vec<&str> = names.map(|data| data.stage.name.as_str()).collect();
        let found = names.iter().position(|own| own.eq_ignore_ascii_case(name.as_str()));
        if found == Some(0) && names.len() > 1 {
            let accepted = "a stage above the weakest, which always runs";
            return Err(self.refuse.at(name.1, "relays.stage", name.as_str(), accepted));
        }
        found.map(Some).ok_or_else(|| {
            let accepted = format!("the name of a cooling stage: {}", names.join(", "));
            self.refuse.at(name.1, "relays.stage", name.as_str(), accepted)
        })
    }

    fn alarm_below<R>(
        &self,
        alarm: Option<&Number<R>>,
        trip: Option<f64>,
        key: &str,
        unit: &str,
    ) -> Result<(), InputError> {
        let (Some(alarm), Some(trip)) = (alarm, trip) else { return Ok(()) };
        if alarm.value < trip {
            return Ok(());
        }
        let found = format!("alarm at {} {unit} and trip at {trip} {unit}", alarm.value);
        Err(self.contradiction(alarm.line, key, &found, "an alarm below the trip"))
    }

    fn needed<R>(&self, key: &str, number: Option<&Number<R>>) -> Result<f64, InputError> {
        let function = self.file.function.name();
        value(number).ok_or_else(|| self.missing(key, &format!("the key {key} with {function}")))
    }

    fn missing(&self, key: &str, accepted: &str) -> InputError {
        let found = format!("no {key} for {}", self.file.name.0);
        self.refuse.at(self.file.name.1, &in_relays(key), found, accepted)
    }

    fn contradiction(&self, line: usize, key: &str, found: &str, accepted: &str) -> InputError {
        let found = format!("{found} for {}", self.file.name.0);
        self.refuse.at(line, &in_relays(key), found, accepted)
    }
}

fn in_relays(key: &str) -> String {
    format!("relays.{key}")
}

/// The keys that belong to a function, beside its name.
fn own_keys(function: RelayFunction) -> &'static [&'static str] {
    match function {
        RelayFunction::ThermalImage => &[
            "k",
            "base_current_pu",
            "time_constant_min",
            "alarm_percent",
            "trip_percent",
            "tolerance_percent",
        ],
        RelayFunction::Overcurrent => &[
            "purpose",
            "curve",
            "setting_pu",
            "time_multiplier",
            "delay_s",
            "tolerance_percent",
            "supervised_top_oil_c",
            "supervised_hot_spot_c",
        ],
        RelayFunction::WindingTemperature => {
            &["alarm_c", "trip_c", "gradient_k", "exponent", "time_constant_min", "tolerance_k"]
        }
        RelayFunction::OilTemperature => &["alarm_c", "trip_c", "tolerance_k"],
        RelayFunction::FanStart => &["indicator", "start_c", "stop_c", "stage"],
    }
}

/// The keys that a relay states beside name and function, with their lines; 0 where
/// the line is not known.
fn stated_keys(file: &RelayFile) -> Vec<(&'static str, usize)> {
    fn line<R>(number: Option<&Number<R>>) -> Option<usize> {
        number.map(|number| number.line)
    }
    let keys = [
        ("purpose", file.purpose.map(|_| 0)),
        ("curve", file.curve.map(|_| 0)),
        ("setting_pu", line(file.setting_pu.as_ref())),
        ("time_multiplier", line(file.time_multiplier.as_ref())),
        ("delay_s", line(file.delay_s.as_ref())),
        ("supervised_top_oil_c", line(file.supervised_top_oil_c.as_ref())),
        ("supervised_hot_spot_c", line(file.supervised_hot_spot_c.as_ref())),
        ("tolerance_percent", line(file.tolerance_percent.as_ref())),
        ("k", line(file.k.as_ref())),
        ("base_current_pu", line(file.base_current_pu.as_ref())),
        ("time_constant_min", line(file.time_constant_min.as_ref())),
        ("alarm_percent", line(file.alarm_percent.as_ref())),
        ("trip_percent", line(file.trip_percent.as_ref())),
        ("alarm_c", line(file.alarm_c.as_ref())),
        ("trip_c", line(file.trip_c.as_ref())),
        ("gradient_k", line(file.gradient_k.as_ref())),
        ("exponent", line(file.exponent.as_ref())),
        ("tolerance_k", line(file.tolerance_k.as_ref())),
        ("indicator", file.indicator.map(|_| 0)),
        ("start_c", line(file.start_c.as_ref())),
        ("stop_c", line(file.stop_c.as_ref())),
        ("stage", file.stage.as_ref().map(|name| name.1)),
    ];
    keys.into_iter().filter_map(|(key, line)| line.map(|line| (key, line))).collect()
}
