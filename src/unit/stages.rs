//! Thermal data of a profile: stages, rises and constants, with typical values filled in and marked.

use super::defaults::{Catalogue, CoolingConstants};
use super::profile::{StageFile, ThermalFile, UnitFile};
use super::validate::{Refuse, value};
use super::{StageData, Thermal};
use crate::input::{InputError, shown};
use crate::thermal::Nameplate;
use crate::thermal::cooling::{Sensor, Stage, Switching};
use crate::thermal::iec::IecConstants;
use crate::thermal::ieee::IeeeConstants;

/// The thermal data, or `None` if the profile has none.
pub(super) fn thermal(
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
