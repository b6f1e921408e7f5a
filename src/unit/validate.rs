//! From the profile as written to a [`Unit`]: defaults filled in and marked as typical,
//! contradictions refused.

use super::defaults::{Catalogue, CoolingConstants};
use super::profile::{
    AccessoriesFile, GasFile, OilFile, RatingFile, StageFile, ThermalFile, UnitFile, WitnessFile,
};
use super::{Accessories, Condition, Gas, Rating, StageData, Surroundings, Thermal, Unit};
use crate::bubbling::gas::{self, GASES, Preservation};
use crate::bubbling::pressure;
use crate::input::number::Number;
use crate::input::{InputError, shown, yaml};
use crate::moisture::evidence::{Method, SetAside, Statement, Witness};
use crate::quantities::{GasPercent, Metres, MoisturePercent, NotAQuantity};
use crate::thermal::Nameplate;
use crate::thermal::cooling::{Sensor, Stage, Switching};
use crate::thermal::iec::IecConstants;
use crate::thermal::ieee::IeeeConstants;

/// Reads and checks a unit profile.
///
/// # Errors
/// [`InputError`] for anything that is not strictly a unit profile, and for contradictions
/// between its keys.
pub fn read_unit(place: &str, text: &str, catalogue: &Catalogue) -> Result<Unit, InputError> {
    let file: UnitFile = yaml::read(place, text)?;
    let refuse = Refuse { place };
    check_size(&refuse, &file)?;
    let surroundings = surroundings(&refuse, file.oil.as_ref())?;
    Ok(Unit {
        name: file.unit.0.clone(),
        site: file.site.as_ref().map(|site| site.0.clone()),
        size_class: file.size_class,
        rated_mva: file.rated.mva.value,
        paper: file.paper,
        liquid: file.liquid,
        thermal: thermal(&refuse, &file, catalogue)?,
        gas: gas_content(&refuse, file.gas.as_ref(), file.oil.as_ref(), &surroundings)?,
        surroundings,
        witnesses: witnesses(&refuse, file.moisture.as_deref().unwrap_or_default())?,
        holding_factor: value(file.holding_factor.as_ref()).unwrap_or(1.0),
        accessories: accessories(file.accessories.as_ref()),
        condition: file.condition.as_ref().map_or_else(Condition::default, |condition| Condition {
            gas_relay_alarm: condition.gas_relay_alarm,
            fault_gas: condition.fault_gas,
            partial_discharge: condition.partial_discharge,
            oil_level: condition.oil_level,
        }),
    })
}

/// Makes errors that name this file.
struct Refuse<'a> {
    place: &'a str,
}

impl Refuse<'_> {
    fn at(
        &self,
        line: usize,
        key: &str,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) -> InputError {
        InputError::new(self.place, found, accepted).at_line(line).at_key(key)
    }

    fn whole(
        &self,
        key: &str,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) -> InputError {
        InputError::new(self.place, found, accepted).at_key(key)
    }

    fn impossible(&self, key: &str, error: &NotAQuantity) -> InputError {
        self.whole(key, error.found.to_string(), error.to_string())
    }
}

fn value<R>(number: Option<&Number<R>>) -> Option<f64> {
    number.map(|number| number.value)
}

/// A class for smaller units has wider limits, so it is refused for a larger unit.
fn check_size(refuse: &Refuse<'_>, file: &UnitFile) -> Result<(), InputError> {
    let mva = &file.rated.mva;
    match file.size_class.largest_mva() {
        Some(largest) if mva.value > largest => Err(refuse.at(
            mva.line,
            "rated.mva",
            format!("{} MVA with size_class {}", mva.value, file.size_class.name()),
            format!("at most {largest} MVA in this class, or a larger size_class"),
        )),
        _ => Ok(()),
    }
}

fn thermal(
    refuse: &Refuse<'_>,
    file: &UnitFile,
    catalogue: &Catalogue,
) -> Result<Option<Thermal>, InputError> {
    let Some(own) = &file.thermal else {
        return Ok(None);
    };
    let rated_cooling = file.rated.cooling.as_str();
    let (stages, rated_stage) = match file.cooling_stages.as_deref() {
        None => (vec![only_stage(refuse, own, rated_cooling, catalogue)?], 0),
        Some(stages) => several_stages(refuse, own, rated_cooling, stages, catalogue)?,
    };
    let heat_run = own.heat_run.map(|date| date.to_string());
    Ok(Some(Thermal { stages, heat_run, rated_stage }))
}

fn only_stage(
    refuse: &Refuse<'_>,
    own: &ThermalFile,
    name: &str,
    catalogue: &Catalogue,
) -> Result<StageData, InputError> {
    let set = own.constants.as_ref().map_or_else(|| name.to_lowercase(), |set| set.0.clone());
    let constants = constants(refuse, "thermal.constants", &set, catalogue)?;
    Ok(stage_data(name, 1.0, &constants, own, &Rises::from(own), None))
}

fn several_stages(
    refuse: &Refuse<'_>,
    own: &ThermalFile,
    rated_cooling: &str,
    files: &[StageFile],
    catalogue: &Catalogue,
) -> Result<(Vec<StageData>, usize), InputError> {
    check_stages(refuse, files)?;
    let rated_stage =
        files.iter().position(|stage| stage.name.as_str() == rated_cooling).ok_or_else(|| {
            let names: Vec<&str> = files.iter().map(|stage| stage.name.as_str()).collect();
            refuse.whole(
                "rated.cooling",
                rated_cooling,
                format!("the name of a cooling stage: {}", names.join(", ")),
            )
        })?;
    let rating = &files[rated_stage].rating_pu;
    // The rated stage carries the rated load by definition.
    if (rating.value - 1.0).abs() > 1.0e-9 {
        return Err(refuse.at(
            rating.line,
            "rating_pu",
            rating.value.to_string(),
            "1 for the stage at the rated cooling",
        ));
    }
    if let (Some(unit), Some(stage)) = (&own.constants, &files[rated_stage].constants)
        && unit != stage
    {
        let found = format!("{} here and {} in the stage {rated_cooling}", shown(&unit.0), stage.0);
        return Err(refuse.whole(
            "thermal.constants",
            found,
            "the same set for the rated stage, or one of the two",
        ));
    }
    let nothing_of_its_own = ThermalFile::default();
    let mut stages = Vec::with_capacity(files.len());
    for (index, file) in files.iter().enumerate() {
        let is_rated = index == rated_stage;
        let shared = if is_rated { own } else { &nothing_of_its_own };
        let set = file.constants.as_ref().or(if is_rated { own.constants.as_ref() } else { None });
        let set = set.map_or_else(|| file.name.0.to_lowercase(), |set| set.0.clone());
        let constants = constants(refuse, "cooling_stages.constants", &set, catalogue)?;
        let rises = Rises::of_stage(file, own, is_rated);
        let switching = switching(refuse, file)?;
        stages.push(stage_data(
            file.name.as_str(),
            file.rating_pu.value,
            &constants,
            shared,
            &rises,
            switching,
        ));
    }
    Ok((stages, rated_stage))
}

fn check_stages(refuse: &Refuse<'_>, files: &[StageFile]) -> Result<(), InputError> {
    if files.is_empty() {
        return Err(refuse.whole(
            "cooling_stages",
            "an empty list",
            "at least one stage, or no such key",
        ));
    }
    for (index, file) in files.iter().enumerate() {
        let earlier = &files[..index];
        let (line, key) = (file.rating_pu.line, "cooling_stages");
        if earlier.iter().any(|other| other.name == file.name) {
            return Err(refuse.at(
                line,
                key,
                format!("two stages named {}", file.name.0),
                "each name once",
            ));
        }
        if earlier.last().is_some_and(|weaker| weaker.rating_pu.value >= file.rating_pu.value) {
            let found = format!("{} with rating_pu {}", file.name.0, file.rating_pu.value);
            return Err(refuse.at(line, key, found, "stages from the weakest to the strongest"));
        }
    }
    Ok(())
}

fn constants(
    refuse: &Refuse<'_>,
    key: &str,
    set: &str,
    catalogue: &Catalogue,
) -> Result<CoolingConstants, InputError> {
    if catalogue.text(&format!("cooling/{set}.yaml")).is_none() {
        let accepted =
            format!("a set of typical constants: {}", catalogue.names("cooling").join(", "));
        return Err(refuse.whole(key, shown(set), accepted));
    }
    catalogue.cooling(set)
}

/// Rises and loss ratio that the profile itself states for a stage.
struct Rises {
    top_oil_rise_k: Option<f64>,
    hot_spot_gradient_k: Option<f64>,
    loss_ratio: Option<f64>,
}

impl Rises {
    fn from(own: &ThermalFile) -> Self {
        Self {
            top_oil_rise_k: value(own.top_oil_rise_k.as_ref()),
            hot_spot_gradient_k: value(own.hot_spot_gradient_k.as_ref()),
            loss_ratio: value(own.loss_ratio.as_ref()),
        }
    }

    /// The rated stage shares the unit's rises. The losses are the unit's in every stage:
    /// at a lower rating the load loss is lower with the square of the current.
    fn of_stage(file: &StageFile, own: &ThermalFile, is_rated: bool) -> Self {
        let unit = Self::from(own);
        let rating = file.rating_pu.value;
        let shared = |figure: Option<f64>| if is_rated { figure } else { None };
        Self {
            top_oil_rise_k: value(file.top_oil_rise_k.as_ref()).or(shared(unit.top_oil_rise_k)),
            hot_spot_gradient_k: value(file.hot_spot_gradient_k.as_ref())
                .or(shared(unit.hot_spot_gradient_k)),
            loss_ratio: unit.loss_ratio.map(|ratio| ratio * rating * rating),
        }
    }
}

fn switching(refuse: &Refuse<'_>, file: &StageFile) -> Result<Option<Switching>, InputError> {
    let oil = (file.start_top_oil_c.as_ref(), file.stop_top_oil_c.as_ref());
    let winding = (file.start_winding_c.as_ref(), file.stop_winding_c.as_ref());
    let key = "cooling_stages";
    let line = file.rating_pu.line;
    let (sensor, start, stop) = match (oil, winding) {
        ((None, None), (None, None)) => return Ok(None),
        ((Some(start), Some(stop)), (None, None)) => (Sensor::TopOil, start, stop),
        ((None, None), (Some(start), Some(stop))) => (Sensor::Winding, start, stop),
        _ => {
            let found =
                format!("half of the switching temperatures, or both kinds, in {}", file.name.0);
            let accepted = "start_top_oil_c and stop_top_oil_c, or start_winding_c and stop_winding_c, or none";
            return Err(refuse.at(line, key, found, accepted));
        }
    };
    let (start_c, stop_c) = (start.value, stop.value);
    if stop_c < start_c {
        return Ok(Some(Switching { sensor, start_c, stop_c }));
    }
    let found = format!("start at {start_c} °C and stop at {stop_c} °C in {}", file.name.0);
    Err(refuse.at(start.line, key, found, "a stop below the start"))
}

fn stage_data(
    name: &str,
    rating_pu: f64,
    constants: &CoolingConstants,
    own: &ThermalFile,
    rises: &Rises,
    switching: Option<Switching>,
) -> StageData {
    let typical_loss_ratio = constants.typical.loss_ratio;
    let nameplate = Nameplate {
        top_oil_rise_k: rises.top_oil_rise_k.unwrap_or(constants.typical.top_oil_rise_k),
        hot_spot_gradient_k: rises
            .hot_spot_gradient_k
            .unwrap_or(constants.typical.hot_spot_gradient_k),
        loss_ratio: rises.loss_ratio.unwrap_or(typical_loss_ratio),
    };
    let stated = [
        ("top_oil_rise_k", rises.top_oil_rise_k),
        ("hot_spot_gradient_k", rises.hot_spot_gradient_k),
        ("loss_ratio", rises.loss_ratio),
    ];
    StageData {
        stage: Stage {
            name: name.to_owned(),
            rating_pu,
            nameplate,
            iec: iec_constants(constants, own),
            ieee: ieee_constants(constants, own),
            switching,
        },
        oil_flow: constants.oil_flow,
        typical: stated
            .iter()
            .filter(|(_, figure)| figure.is_none())
            .map(|(key, _)| *key)
            .collect(),
    }
}

fn iec_constants(typical: &CoolingConstants, own: &ThermalFile) -> IecConstants {
    let iec = &typical.iec;
    IecConstants {
        x: value(own.x.as_ref()).unwrap_or(iec.x),
        y: value(own.y.as_ref()).unwrap_or(iec.y),
        k11: value(own.k11.as_ref()).unwrap_or(iec.k11),
        k21: value(own.k21.as_ref()).unwrap_or(iec.k21),
        k22: value(own.k22.as_ref()).unwrap_or(iec.k22),
        oil_time_constant_min: value(own.oil_time_constant_min.as_ref())
            .unwrap_or(iec.oil_time_constant_min),
        winding_time_constant_min: value(own.winding_time_constant_min.as_ref())
            .unwrap_or(iec.winding_time_constant_min),
    }
}

fn ieee_constants(typical: &CoolingConstants, own: &ThermalFile) -> IeeeConstants {
    let iec = iec_constants(typical, own);
    IeeeConstants {
        n: value(own.n.as_ref()).unwrap_or(typical.n),
        m: value(own.m.as_ref()).unwrap_or(typical.m),
        oil_time_constant_min: value(own.ieee_oil_time_constant_min.as_ref())
            .unwrap_or(iec.k11 * iec.oil_time_constant_min),
        winding_time_constant_min: iec.winding_time_constant_min,
        correct_time_constant: own.ieee_correct_time_constant.unwrap_or(false),
    }
}

fn surroundings(refuse: &Refuse<'_>, oil: Option<&OilFile>) -> Result<Surroundings, InputError> {
    let Some(oil) = oil else {
        return Ok(Surroundings { altitude: None, head: None, blanket_pa: 0.0 });
    };
    let metres = |figure: Option<f64>, key: &str| {
        figure.map(|m| Metres::new(m).map_err(|error| refuse.impossible(key, &error))).transpose()
    };
    if let Some(gauge) = &oil.blanket_lowest_gauge_kpa
        && oil.preservation.is_some_and(|kind| {
            kind != Preservation::NitrogenBlanket && kind != Preservation::Sealed
        })
    {
        let accepted = "no blanket pressure where the oil is not under a gas blanket";
        return Err(refuse.at(
            gauge.line,
            "oil.blanket_lowest_gauge_kpa",
            gauge.value.to_string(),
            accepted,
        ));
    }
    Ok(Surroundings {
        altitude: metres(value(oil.altitude_m.as_ref()), "oil.altitude_m")?,
        head: metres(value(oil.head_above_hot_spot_m.as_ref()), "oil.head_above_hot_spot_m")?,
        blanket_pa: value(oil.blanket_lowest_gauge_kpa.as_ref()).unwrap_or(0.0) * 1000.0,
    })
}

fn gas_content(
    refuse: &Refuse<'_>,
    file: Option<&GasFile>,
    oil: Option<&OilFile>,
    surroundings: &Surroundings,
) -> Result<Option<Gas>, InputError> {
    let Some(file) = file else { return Ok(None) };
    let sampled = file.sampled.map(|date| date.to_string());
    let report = single_gases(refuse, file)?;
    let total_of =
        |percent: f64| GasPercent::new(percent).map_err(|error| refuse.impossible("gas", &error));
    let total = value(file.total_percent.as_ref()).map(total_of).transpose()?;
    let complete = gas::names_nitrogen_and_oxygen(&report);
    let sum = gas::total(&report).map_err(|error| refuse.impossible("gas.gases", &error))?;
    let (total, assumed) = match (total, complete) {
        // Both stated: the higher counts, for gas lowers the inception temperature.
        (Some(total), _) => (if total > sum { total } else { sum }, None),
        (None, true) => (sum, None),
        (None, false) => {
            let Some(usual) = usual_content(refuse, oil, surroundings)? else {
                return Ok(None);
            };
            let why = "the report lacks nitrogen or oxygen, which are most of the gas".to_owned();
            (if usual > sum { usual } else { sum }, Some(why))
        }
    };
    let pressure = if complete { gas::pressure_of(&report) } else { gas::pressure_of_total(total) };
    let pressure = pressure.map_err(|error| refuse.impossible("gas", &error))?;
    Ok(Some(Gas { total, pressure, assumed, sampled }))
}

fn single_gases(refuse: &Refuse<'_>, file: &GasFile) -> Result<Vec<(String, f64)>, InputError> {
    let mut report = Vec::new();
    for (gas, ppm) in file.gases.iter().flatten() {
        if !GASES.iter().any(|(symbol, _)| symbol == gas) {
            let symbols: Vec<&str> = GASES.iter().map(|(symbol, _)| *symbol).collect();
            return Err(refuse.at(ppm.line, "gas.gases", shown(gas), symbols.join(", ")));
        }
        report.push((gas.clone(), ppm.value));
    }
    Ok(report)
}

fn usual_content(
    refuse: &Refuse<'_>,
    oil: Option<&OilFile>,
    surroundings: &Surroundings,
) -> Result<Option<GasPercent>, InputError> {
    let (Some(preservation), Some(altitude)) =
        (oil.and_then(|oil| oil.preservation), surroundings.altitude)
    else {
        return Ok(None);
    };
    let none = Metres::new(0.0).map_err(|error| refuse.impossible("oil", &error))?;
    let blanket = pressure::at_hot_spot(altitude, none, surroundings.blanket_pa)
        .map_err(|error| refuse.whole("oil", error.found.to_string(), error.to_string()))?;
    gas::assumed(preservation, blanket).map(Some).map_err(|error| refuse.impossible("gas", &error))
}

fn witnesses(refuse: &Refuse<'_>, files: &[WitnessFile]) -> Result<Vec<Witness>, InputError> {
    files.iter().map(|file| witness(refuse, file)).collect()
}

fn witness(refuse: &Refuse<'_>, file: &WitnessFile) -> Result<Witness, InputError> {
    let statement = statement(refuse, file)?;
    Ok(Witness {
        method: file.method,
        statement,
        date: file.date.map(|date| date.to_string()),
        set_aside: file
            .set_aside
            .as_ref()
            .map(|decision| SetAside { by: decision.by.0.clone(), why: decision.why.0.clone() }),
    })
}

fn statement(refuse: &Refuse<'_>, file: &WitnessFile) -> Result<Statement, InputError> {
    let key = "moisture";
    match (&file.percent, &file.ppm, &file.rs_percent) {
        (Some(percent), None, None) => {
            if matches!(file.method, Some(Method::OilSample | Method::SaturationProbe)) {
                let accepted = "ppm for an oil sample, rs_percent for a saturation probe";
                return Err(refuse.at(percent.line, key, "percent of water in paper", accepted));
            }
            let std = value(file.std.as_ref());
            if let Some(zero) = file.std.as_ref().filter(|std| std.value <= 0.0) {
                return Err(refuse.at(
                    zero.line,
                    "moisture.std",
                    "0",
                    "more than 0: no measurement is exact",
                ));
            }
            let percent = MoisturePercent::new(percent.value)
                .map_err(|error| refuse.impossible(key, &error))?;
            Ok(Statement::Paper { percent, std })
        }
        (None, Some(ppm), None) => oil_figure(refuse, ppm.line, file.method, Method::OilSample),
        (None, None, Some(rs)) => oil_figure(refuse, rs.line, file.method, Method::SaturationProbe),
        _ => Err(refuse.whole(
            key,
            format!(
                "a witness ({}) with none or several of percent, ppm and rs_percent",
                file.method.map_or("no method", Method::in_words)
            ),
            "exactly one of them in each witness",
        )),
    }
}

fn oil_figure(
    refuse: &Refuse<'_>,
    line: usize,
    method: Option<Method>,
    needed: Method,
) -> Result<Statement, InputError> {
    if method.is_none_or(|method| method == needed) {
        return Ok(Statement::Oil);
    }
    let found = format!("method {}", method.map_or("none", Method::in_words));
    Err(refuse.at(
        line,
        "moisture.method",
        found,
        format!("the method of this figure: {}", needed.in_words()),
    ))
}

fn accessories(file: Option<&AccessoriesFile>) -> Accessories {
    let rating = |figure: Option<RatingFile>| match figure {
        Some(RatingFile::PerUnit(pu)) => Rating::PerUnit(pu),
        Some(RatingFile::Unknown) | None => Rating::Unknown,
    };
    let pick = |of: fn(&AccessoriesFile) -> Option<RatingFile>| rating(file.and_then(of));
    Accessories {
        bushings: pick(|a| a.bushings_pu),
        tap_changer: pick(|a| a.tap_changer_pu),
        cable_box: pick(|a| a.cable_box_pu),
        current_transformers: pick(|a| a.current_transformers_pu),
    }
}
