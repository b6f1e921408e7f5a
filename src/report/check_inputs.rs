//! What an answer was computed from: every input with its source and its age.

use super::answer::{load_before, up_to};
use super::in_service_words::{of_check, windings};
use super::view::{near, near_or_dash};
use crate::assessment::Assessment;
use crate::assessment::case::{Case, StartFrom};
use crate::assessment::wetness::WitnessLine;
use crate::moisture::validity::Standing;
use crate::unit::Unit;
use chrono::NaiveDate;

/// An input.
#[derive(Debug)]
pub(super) struct InputRow {
    /// What it is.
    pub(super) what: String,
    /// Its value.
    pub(super) value: String,
    /// Where it comes from.
    pub(super) from: String,
    /// How old it was on the day asked for; empty where that has no meaning.
    pub(super) age: String,
}

impl InputRow {
    fn new(what: impl Into<String>, value: impl Into<String>, from: impl Into<String>) -> Self {
        Self { what: what.into(), value: value.into(), from: from.into(), age: String::new() }
    }

    fn aged(mut self, date: Option<&str>, as_of: Option<NaiveDate>) -> Self {
        self.age = age(date, as_of);
        self
    }
}

/// Every input.
pub(super) fn inputs(case: &Case, assessment: &Assessment) -> Vec<InputRow> {
    let asked = [load(assessment), before(case, assessment), ambient(case, assessment)];
    let mut rows: Vec<InputRow> = asked.into();
    rows.extend(voltage(assessment));
    rows.extend(
        windings(&assessment.asked)
            .map(|value| InputRow::new("windings", value, "as asked".to_owned())),
    );
    rows.push(top_oil(assessment));
    rows.push(cooling(assessment));
    rows.extend(thermal(&case.unit, case.as_of));
    rows.push(gas(case, assessment));
    rows.push(pressure(assessment));
    rows.extend(assessment.moisture.witnesses.iter().map(|own| witness(own, case.as_of)));
    rows.extend(limits(case));
    rows
}

fn load(assessment: &Assessment) -> InputRow {
    let asked = &assessment.asked;
    let error = near(asked.load_error_percent.at_end, 1);
    let value = format!("up to {} pu for {} min", near(asked.load, 2), near(asked.duration_min, 0));
    InputRow::new(
        "load proposed",
        value,
        format!("as asked, off by {error} % (one standard uncertainty)"),
    )
}

fn voltage(assessment: &Assessment) -> Option<InputRow> {
    let asked = &assessment.asked;
    let error = near(asked.voltage_std_percent, 1);
    let from = match (asked.voltage_pu, asked.voltage_std_percent > 0.0) {
        (Some(_), false) => "as asked".to_owned(),
        (Some(_), true) => {
            format!("stated in part, else off by {error} % (one standard uncertainty)")
        }
        (None, true) => format!("not stated, off by {error} % (one standard uncertainty)"),
        (None, false) => "loads are currents".to_owned(),
    };
    let value = of_check(asked)?;
    Some(InputRow::new("voltage", value, from))
}

fn before(case: &Case, assessment: &Assessment) -> InputRow {
    match (&case.request.start, assessment.asked.preload_pu) {
        (StartFrom::History(_), _) => InputRow::new("load before", "as it was", "a load history"),
        (StartFrom::Preload(_), load_pu) => {
            let from_pu = assessment.asked.preload_from_pu;
            let value = load_pu.map_or_else(|| "-".to_owned(), |pu| load_before(from_pu, pu));
            let steady = if assessment.asked.preload_varies { "not steady" } else { "steady" };
            let value = format!("{value}, {steady}");
            InputRow::new("load before", value, "as asked")
        }
    }
}

fn ambient(case: &Case, assessment: &Assessment) -> InputRow {
    let asked = &assessment.asked;
    let value = format!("{}{} °C", up_to(asked), near(asked.ambient_highest_c, 1));
    let kind = if case.request.forecast_until_min.is_some() { "a forecast" } else { "as asked" };
    let error = near(asked.ambient_error_k.at_end, 1);
    InputRow::new("ambient", value, format!("{kind}, off by {error} K (one standard uncertainty)"))
}

fn top_oil(assessment: &Assessment) -> InputRow {
    assessment.asked.top_oil_c.map_or_else(
        || InputRow::new("top oil at minute 0", "not measured", "computed from the load before"),
        |oil_c| InputRow::new("top oil at minute 0", format!("{} °C", near(oil_c, 1)), "measured"),
    )
}

fn cooling(assessment: &Assessment) -> InputRow {
    let asked = &assessment.asked;
    let cooling = asked.cooling.clone().unwrap_or_else(|| "unknown".to_owned());
    let lost = asked
        .cooling_lost_at_min
        .map_or_else(String::new, |min| format!(", lost at {} min", near(min, 0)));
    InputRow::new("cooling", format!("{cooling}{lost}"), "as asked")
}

fn thermal(unit: &Unit, as_of: Option<NaiveDate>) -> Vec<InputRow> {
    let Some(thermal) = &unit.thermal else {
        return vec![InputRow::new("thermal data", "none", "the profile")];
    };
    let run = thermal.heat_run.as_deref();
    let stage = |data: &crate::unit::StageData| {
        let nameplate = &data.stage.nameplate;
        let value = format!(
            "top oil {} K, hot spot {} K above it, loss ratio {}",
            near(nameplate.top_oil_rise_k, 1),
            near(nameplate.hot_spot_gradient_k, 1),
            near(nameplate.loss_ratio, 1),
        );
        let from = match (data.typical.as_slice(), run) {
            ([], Some(_)) => "heat run".to_owned(),
            ([], None) => "the profile, no heat run".to_owned(),
            (typical, _) => format!("typical of {}: {}", data.constants, typical.join(", ")),
        };
        let assumed = if data.assumed { "no stages are stated; " } else { "" };
        let thin_air = match data.altitude_k {
            added_k if added_k > 0.0 => format!("; {} K for the altitude", near(added_k, 1)),
            _ => String::new(),
        };
        let from = format!("{assumed}{from}{thin_air}");
        let row = InputRow::new(format!("rated rises, {}", data.stage.name), value, from);
        row.aged(run.filter(|_| data.typical.is_empty()), as_of)
    };
    thermal.stages.iter().map(stage).collect()
}

fn gas(case: &Case, assessment: &Assessment) -> InputRow {
    let bubbling = &assessment.bubbling;
    let value = bubbling
        .gas_percent
        .map_or_else(|| "not known".to_owned(), |gas| format!("{} %", near(gas, 1)));
    let assumed = case.unit.gas.as_ref().and_then(|gas| gas.assumed.clone());
    let fell_back = bubbling.gas.as_ref().filter(|gas| gas.fell_back);
    let from = match (assumed, fell_back) {
        (Some(why), _) => format!("assumed: {why}"),
        (None, Some(gas)) => {
            let stated = near(gas.stated_percent, 1);
            format!("gas-in-oil report ({stated} %), raised for its age")
        }
        (None, None) => "gas-in-oil report".to_owned(),
    };
    let row = InputRow::new("gas in oil", value, from);
    row.aged(bubbling.gas_sampled.as_deref(), case.as_of)
}

fn pressure(assessment: &Assessment) -> InputRow {
    let pressure = assessment.bubbling.pressure_pa.map(|pascals| pascals / 1000.0);
    let value = format!("{} kPa", near_or_dash(pressure, 1));
    InputRow::new("pressure at the hot spot", value, "altitude and oil head of the profile")
}

fn witness(own: &WitnessLine, as_of: Option<NaiveDate>) -> InputRow {
    let read = own.read.map_or_else(
        || "not readable".to_owned(),
        |read| format!("{} {}", near(read, 2), own.read_unit),
    );
    let oil = own.oil_c.map_or_else(String::new, |oil_c| format!(", oil {} °C", near(oil_c, 0)));
    let paper = format!("{} % in paper", near_or_dash(own.percent, 2));
    let counts = match own.standing {
        Standing::Counts => "counts",
        Standing::WetSideOnly => "may only raise what counts",
        Standing::DoesNotCount => "does not count",
    };
    let value = format!("{read}{oil}: {paper}, {counts}");
    InputRow::new("moisture", value, own.method_in_words).aged(own.date.as_deref(), as_of)
}

fn limits(case: &Case) -> Vec<InputRow> {
    let set = &case.limits;
    let mut rows = vec![InputRow::new("loading limits", set.name.clone(), set.title.clone())];
    rows.push(match &case.local {
        Some(local) => InputRow::new("local rules", local.name.clone(), local.issued_by.clone()),
        None => InputRow::new("local rules", "none given", "they decide all the same"),
    });
    rows
}

/// How old something was on the day asked for.
pub(super) fn age(date: Option<&str>, as_of: Option<NaiveDate>) -> String {
    let Some(date) = date else {
        return "no date".to_owned();
    };
    let day = NaiveDate::parse_from_str(date, "%Y-%m-%d").ok();
    let Some((day, as_of)) = day.zip(as_of) else {
        return date.to_owned();
    };
    let days = (as_of - day).num_days();
    let age = match days {
        ..0 => "after the day asked for".to_owned(),
        0..120 => format!("{days} days"),
        120..1100 => format!("{} months", days / 30),
        _ => format!("{} years", days / 365),
    };
    format!("{date}, {age}")
}
