//! From a plan as written to a [`Plan`]: contradictions refused.

use super::plan::{Plan, PlanOption, PlannedUnit};
use super::plan_file::{OptionFile, PlanFile, PlannedUnitFile, SeriesFile};
use super::voltage::PlanVoltage;
use crate::input::text::Name;
use crate::input::{InputError, yaml};
use crate::loading::current::{InService, LoadBase};
use crate::loading::planned::{Demand, Edge, PlannedAmbient};
use crate::unit::Unit;
use crate::unit::defaults::Catalogue;
use crate::unit::validate::{Refuse, value};
use chrono::{SecondsFormat, TimeDelta};

/// More outages, units, series or options than this are some other table.
const MOST: usize = 64;
/// Rows of load that are held in all, so that a small file cannot ask for all memory.
const MOST_LOAD_ROWS: usize = 8_000_000;
/// Longest time that an option takes, min: ten years.
const LONGEST_TAKES_MIN: f64 = 10.0 * 365.25 * 1440.0;

/// Reads the files that a plan names, relative to the plan's folder.
pub trait PlanFiles {
    /// Place and text of a CSV file.
    ///
    /// # Errors
    /// [`InputError`] if it cannot be read, or lies elsewhere.
    fn text(&mut self, name: &str) -> Result<(String, String), InputError>;

    /// A unit by its profile, with the files that the profile names in turn.
    ///
    /// # Errors
    /// [`InputError`] if one of them cannot be read or is refused.
    fn unit(&mut self, name: &str, catalogue: &Catalogue) -> Result<Unit, InputError>;
}

/// Reads and checks a plan. `replaced` is a unit that stands in the place of the plan's profile of that name,
/// which is not read then.
///
/// # Errors
/// [`InputError`] for anything that is not strictly a plan, for contradictions in it, for a `replaced` that it does
/// not name, and whatever `files` refuses.
pub fn read_plan(
    place: &str,
    text: &str,
    catalogue: &Catalogue,
    files: &mut dyn PlanFiles,
    replaced: Option<Unit>,
) -> Result<Plan, InputError> {
    read_plan_at(place, text, catalogue, files, (replaced, None))
}

/// The same with the voltage of every unit, pu, if it is stated; series may state it row by row instead.
///
/// # Errors
/// As [`read_plan`], and for a voltage that is stated twice.
pub fn read_plan_at(
    place: &str,
    text: &str,
    catalogue: &Catalogue,
    files: &mut dyn PlanFiles,
    (replaced, voltage_pu): (Option<Unit>, Option<f64>),
) -> Result<Plan, InputError> {
    let file: PlanFile = yaml::read(place, text)?;
    let refuse = Refuse { place };
    refuse.counts(&file)?;
    refuse.names(&file)?;
    let limits =
        refuse.limit_set("limits", file.limits.as_ref(), "iec-normal-cyclic", catalogue)?;
    let key = "next_trip_limits";
    let next_trip = file.next_trip_limits.as_ref();
    let next_trip_limits =
        refuse.limit_set(key, next_trip, "iec-long-time-emergency", catalogue)?;
    let options = options(&refuse, &file)?;
    let (ambient_place, ambient) = files.text(&file.ambient.0)?;
    let ambient = PlannedAmbient::from_csv(&ambient_place, &ambient)?;
    let demands = demands(&file.series, &ambient, files)?;
    let voltage = PlanVoltage::of(voltage_pu, &file, &demands)?;
    let mut reading = Reading { refuse, demands, ambient, rows_left: MOST_LOAD_ROWS, voltage };
    let (units, normal_edges) = reading.units(&file.units, catalogue, files, replaced)?;
    let outages = reading.outages(&file.outages, &units, &normal_edges)?;
    let ambient = reading.ambient;
    Ok(Plan {
        name: file.plan.0,
        limits,
        next_trip_limits,
        currency: file.currency.map(|currency| currency.0),
        begins: ambient.begins,
        ambient: ambient.line,
        ambient_until_min: ambient.cover.until.minute,
        ambient_error: ambient.error,
        units,
        outages,
        options,
        voltage_pu: voltage.lowest_stated,
        voltage_known: voltage.known,
    })
}

/// A plan while its files are read.
pub(super) struct Reading<'a> {
    refuse: Refuse<'a>,
    /// Series by name.
    pub(super) demands: Vec<(String, Demand)>,
    pub(super) ambient: PlannedAmbient,
    /// Rows of load that may still be added.
    pub(super) rows_left: usize,
    /// What is stated of its voltage.
    pub(super) voltage: PlanVoltage,
}

/// Where a unit's normal load begins and ends to be known.
pub(super) type Edges = Option<(Edge, Edge)>;

impl Reading<'_> {
    pub(super) fn at(
        &self,
        line: usize,
        key: &str,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) -> InputError {
        self.refuse.at(line, key, found, accepted)
    }

    /// What turns a load of a unit into a current. Its tap is not known so far ahead: the worst one counts.
    pub(super) fn base(&self, unit: &Unit) -> Result<LoadBase, InputError> {
        LoadBase::of(unit, &InService { voltage_pu: self.voltage.flag, ..InService::default() })
    }

    /// A minute as an instant, in the zone of the ambient.
    pub(super) fn when(&self, minute: f64) -> String {
        #[allow(clippy::cast_possible_truncation, reason = "milliseconds within some years")]
        let after = TimeDelta::milliseconds((minute * 60_000.0).round() as i64);
        let instant = self.ambient.begins.checked_add_signed(after);
        instant.map_or_else(
            || format!("minute {minute}"),
            |instant| instant.to_rfc3339_opts(SecondsFormat::Secs, false),
        )
    }

    fn units(
        &mut self,
        written: &[PlannedUnitFile],
        catalogue: &Catalogue,
        files: &mut dyn PlanFiles,
        mut replaced: Option<Unit>,
    ) -> Result<(Vec<PlannedUnit>, Vec<Edges>), InputError> {
        let (mut units, mut edges) = (Vec::new(), Vec::new());
        for (index, file) in written.iter().enumerate() {
            let name = &file.unit.0;
            let mut unit = match replaced.take_if(|unit| unit.name == *name) {
                Some(unit) => unit,
                None => files.unit(&file.profile.0, catalogue)?,
            };
            if unit.name != *name {
                let found = format!("{}, the profile of {}", file.profile.0, unit.name);
                let accepted = format!("the profile of {name}");
                return Err(self.at(file.profile.1, "units.profile", found, accepted));
            }
            if self.voltage.known {
                unit.spread.load_percent = unit.spread.load_percent.clone().at_stated_voltage();
            }
            let mva = unit.rated_mva / self.base(&unit)?.current_of_1_pu();
            let (lowest, highest) = self.voltage.of_rows;
            let parts: Result<Vec<_>, _> =
                file.normally.iter().map(|part| self.part(part, file.unit.1)).collect();
            let known = self.carried("units.normally", (index, &unit), &parts?)?;
            let (name, normally) = (name.clone(), known.carried);
            units.push(PlannedUnit {
                name,
                unit,
                mva_of_1_pu: mva * lowest,
                most_mva_of_1_pu: mva * highest,
                normally,
            });
            edges.push(known.edges);
        }
        let Some(unit) = replaced else { return Ok((units, edges)) };
        let names: Vec<&str> = units.iter().map(|unit| unit.name.as_str()).collect();
        let found = format!("{}, and a plan for {}", unit.name, names.join(", "));
        Err(self.refuse.whole("units", found, "a plan that names the unit that is asked about"))
    }
}

impl Refuse<'_> {
    fn counts(&self, file: &PlanFile) -> Result<(), InputError> {
        let options = file.options.as_ref().map_or(0, Vec::len);
        for (key, least, count) in [
            ("series", 0, file.series.len()),
            ("units", 1, file.units.len()),
            ("outages", 1, file.outages.len()),
            ("options", 0, options),
        ] {
            if !(least..=MOST).contains(&count) {
                let found = if count == 0 { "none".to_owned() } else { format!("{count} of them") };
                return Err(self.whole(key, found, format!("{least} to {MOST} {key}")));
            }
        }
        Ok(())
    }

    fn names(&self, file: &PlanFile) -> Result<(), InputError> {
        let options = file.options.iter().flatten().map(|option| (&option.name.0, option.name.1));
        self.each_once("series.name", file.series.iter().map(|own| (&own.name.0, own.name.1)))?;
        self.each_once("units.unit", file.units.iter().map(|own| (&own.unit.0, own.unit.1)))?;
        self.each_once("outages.name", file.outages.iter().map(|own| (&own.name.0, own.name.1)))?;
        for outage in &file.outages {
            let trips = outage.next_trip.iter().flatten();
            let names = trips.map(|trip| (&trip.name.0, trip.name.1));
            self.each_once("outages.next_trip.name", names)?;
        }
        self.each_once("options.name", options)
    }

    fn each_once<'n>(
        &self,
        key: &str,
        names: impl Iterator<Item = (&'n String, usize)>,
    ) -> Result<(), InputError> {
        let mut seen = std::collections::BTreeSet::new();
        for (name, line) in names {
            if !seen.insert(name.trim().to_lowercase()) {
                return Err(self.at(line, key, format!("{name} twice"), "each name once"));
            }
        }
        Ok(())
    }

    fn limit_set(
        &self,
        key: &str,
        stated: Option<&Name>,
        usual: &str,
        catalogue: &Catalogue,
    ) -> Result<String, InputError> {
        let Some(stated) = stated else { return Ok(usual.to_owned()) };
        if catalogue.text(&format!("limits/{}.yaml", stated.0)).is_some() {
            return Ok(stated.0.clone());
        }
        let accepted = format!("a limit set: {}", catalogue.names("limits").join(", "));
        Err(self.at(stated.1, key, &stated.0, accepted))
    }
}

fn demands(
    series: &[SeriesFile],
    ambient: &PlannedAmbient,
    files: &mut dyn PlanFiles,
) -> Result<Vec<(String, Demand)>, InputError> {
    let demand = |file: &SeriesFile| {
        let (place, text) = files.text(&file.file.0)?;
        let demand = Demand::from_csv(&place, &text, ambient.begins)?;
        Ok((file.name.0.clone(), demand))
    };
    series.iter().map(demand).collect()
}

fn options(refuse: &Refuse<'_>, file: &PlanFile) -> Result<Vec<PlanOption>, InputError> {
    let currency = file.currency.is_some();
    file.options.iter().flatten().map(|option| one_option(refuse, option, currency)).collect()
}

fn one_option(
    refuse: &Refuse<'_>,
    file: &OptionFile,
    currency: bool,
) -> Result<PlanOption, InputError> {
    let (name, line) = (&file.name.0, file.name.1);
    let does = [
        file.dries_to_percent.is_some(),
        file.gas_to_percent.is_some(),
        file.preservation.is_some(),
        file.cooling_stage.is_some(),
    ];
    if !does.contains(&true) {
        let accepted = "dries_to_percent, gas_to_percent, preservation, cooling_stage";
        let found = format!("{name}, which changes nothing");
        return Err(refuse.at(line, "options", found, accepted));
    }
    if let Some(takes) = file.takes.filter(|takes| !(takes.minutes <= LONGEST_TAKES_MIN)) {
        let found = format!("{} days", takes.minutes / 1440.0);
        return Err(refuse.at(takes.line, "options.takes", found, "at most ten years"));
    }
    if let Some(cost) = file.cost.filter(|_| !currency) {
        let found = format!("{} without a currency", cost.value);
        return Err(refuse.at(cost.line, "options.cost", found, "the key currency as well"));
    }
    Ok(PlanOption {
        name: name.clone(),
        stands_in: (refuse.place.to_owned(), line),
        dries_to_percent: value(file.dries_to_percent.as_ref()),
        gas_to_percent: value(file.gas_to_percent.as_ref()),
        preservation: file.preservation,
        cooling_stage: file.cooling_stage.clone(),
        takes_min: file.takes.map(|takes| takes.minutes),
        cost: value(file.cost.as_ref()),
    })
}
