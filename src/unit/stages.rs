//! Thermal data of a profile: stages, rises and constants, with typical values filled in and marked.

use super::cooling_class::needs;
use super::defaults::{Catalogue, CoolingConstants};
use super::gradient::{Gradient, GradientFrom, Stated, typical_factor};
use super::heat_run::{self, Printed};
use super::profile::{StageFile, ThermalFile, UnitFile};
use super::validate::{Refuse, value};
use super::{SizeClass, StageData, Thermal, detailed, natural, thin_air};
use crate::input::InputError;
use crate::input::text::Name;
use crate::thermal::Nameplate;
use crate::thermal::cooling::{Sensor, Stage, Switching};
use crate::thermal::iec::IecConstants;
use crate::thermal::ieee::IeeeConstants;

/// Key of a hot-spot factor that is typical and not the unit's own.
pub(super) const FACTOR: &str = "hot_spot_factor";

/// The thermal data, or `None` if the profile has none.
pub(super) fn thermal(
    refuse: &Refuse<'_>,
    file: &UnitFile,
    catalogue: &Catalogue,
) -> Result<Option<Thermal>, InputError> {
    let Some(own) = &file.thermal else {
        return Ok(None);
    };
    let rated = &file.rated.cooling;
    let assumed = natural::stages(file, catalogue)?;
    let files = file.cooling_stages.as_deref().or(assumed.as_deref());
    let completed = heat_run::completed(refuse, file, own, files)?;
    let (own, files) = (&completed.own, files.map(|_| completed.stages.as_slice()));
    let others = files.unwrap_or_default();
    let gradient = Stated::of_unit(own, others).gradient(refuse, file.size_class)?;
    let unit = OfUnit { own, gradient, size: file.size_class, rated, printed: completed.rated };
    let (mut stages, rated_stage) = match files {
        None => (vec![only_stage(refuse, &unit, rated, catalogue)?], 0),
        Some(files) => {
            check_stages(refuse, files)?;
            let rated_stage = rated_stage(refuse, own, rated, files)?;
            let stage = |(index, file)| {
                one_of_several(refuse, &unit, file, index == rated_stage, catalogue)
            };
            let stages: Result<_, _> = files.iter().enumerate().map(stage).collect();
            (stages?, rated_stage)
        }
    };
    thin_air::raise(&mut stages, file).map_err(|error| {
        refuse.whole("oil.altitude_m", error.found.to_string(), error.to_string())
    })?;
    let heat_run = completed.date.map(|date| date.to_string());
    let rises_at_altitude_m = value(own.rises_at_altitude_m.as_ref());
    let heat_run_liquid = completed.liquid;
    Ok(Some(Thermal { stages, heat_run, heat_run_liquid, rated_stage, rises_at_altitude_m }))
}

/// What the unit states of all its stages, or of the rated one.
struct OfUnit<'a> {
    own: &'a ThermalFile,
    gradient: Option<Gradient>,
    size: SizeClass,
    rated: &'a Name,
    printed: Printed,
}

fn only_stage(
    refuse: &Refuse<'_>,
    unit: &OfUnit<'_>,
    rated: &Name,
    catalogue: &Catalogue,
) -> Result<StageData, InputError> {
    let own = unit.own;
    let set = own.constants.clone().unwrap_or_else(|| lower(rated));
    let constants = constants(refuse, "thermal.constants", &set, catalogue)?;
    let own_set = catalogue.is_own(&cooling_path(&set));
    let named = Named { name: &rated.0, rating_pu: 1.0, set: set.0, own: own_set };
    Ok(stage_data(&named, &constants, own, &Rises::from(unit), None))
}

/// The name of a stage as the name of its usual set of constants.
fn lower(name: &Name) -> Name {
    Name(name.0.to_lowercase(), name.1)
}

/// The stage at the rated cooling, which carries the rated load and the unit's own constants.
fn rated_stage(
    refuse: &Refuse<'_>,
    own: &ThermalFile,
    rated: &Name,
    files: &[StageFile],
) -> Result<usize, InputError> {
    let Some(index) = files.iter().position(|stage| stage.name.0 == rated.0) else {
        let names: Vec<&str> = files.iter().map(|stage| stage.name.as_str()).collect();
        let accepted = format!("the name of a cooling stage: {}", names.join(", "));
        return Err(refuse.at(rated.1, "rated.cooling", &rated.0, accepted));
    };
    let rating = &files[index].rating_pu;
    if (rating.value - 1.0).abs() > 1.0e-9 {
        let accepted = "1 for the stage at the rated cooling";
        return Err(refuse.at(rating.line, "rating_pu", rating.value.to_string(), accepted));
    }
    if let (Some(unit), Some(stage)) = (&own.constants, &files[index].constants)
        && unit.0 != stage.0
    {
        let found = format!("{} here and {} in the stage {}", unit.0, stage.0, rated.0);
        let accepted = "the same set for the rated stage, or one of the two";
        return Err(refuse.at(unit.1, "thermal.constants", found, accepted));
    }
    Ok(index)
}

fn one_of_several(
    refuse: &Refuse<'_>,
    unit: &OfUnit<'_>,
    file: &StageFile,
    is_rated: bool,
    catalogue: &Catalogue,
) -> Result<StageData, InputError> {
    let own = unit.own;
    let of_its_own = heat_run::constants_of(&file.printed);
    let shared = if is_rated { own } else { &of_its_own };
    let set = file.constants.clone().or_else(|| shared.constants.clone());
    let set = set.unwrap_or_else(|| lower(&file.name));
    let constants = constants(refuse, "cooling_stages.constants", &set, catalogue)?;
    let gradient = Stated::of_stage(file, own).gradient(refuse, unit.size)?;
    let rises = Rises::of_stage(file, gradient, unit, is_rated);
    let switching = switching(refuse, file)?;
    let own_set = catalogue.is_own(&cooling_path(&set));
    let rating_pu = file.rating_pu.value;
    let named = Named { name: &file.name.0, rating_pu, set: set.0, own: own_set };
    let mut data = stage_data(&named, &constants, shared, &rises, switching);
    if file.assumed {
        data.assumed = true;
        let rated = own.constants.clone().unwrap_or_else(|| lower(unit.rated));
        let rated = self::constants(refuse, "thermal.constants", &rated, catalogue)?;
        data.stage.nameplate =
            natural::nameplate(&constants, &rated, own, unit.gradient, rating_pu);
    }
    Ok(data)
}

fn check_stages(refuse: &Refuse<'_>, files: &[StageFile]) -> Result<(), InputError> {
    let key = "cooling_stages";
    let Some(weakest) = files.first() else {
        return Err(refuse.whole(key, "an empty list", "at least one stage, or no such key"));
    };
    if weakest.start_top_oil_c.is_some() || weakest.start_winding_c.is_some() {
        let found = format!("a start temperature for the weakest stage {}", weakest.name.0);
        let accepted = "start temperatures only for stages above the weakest, which always runs";
        return Err(refuse.at(weakest.name.1, key, found, accepted));
    }
    for (index, file) in files.iter().enumerate() {
        let same = |other: &StageFile| other.name.0.eq_ignore_ascii_case(&file.name.0);
        if files[..index].iter().any(same) {
            let found = format!("two stages named {}", file.name.0);
            return Err(refuse.at(file.name.1, key, found, "each name once"));
        }
        let weaker = files[..index].last();
        if weaker.is_some_and(|weaker| weaker.rating_pu.value >= file.rating_pu.value) {
            let found = format!("{} with rating_pu {}", file.name.0, file.rating_pu.value);
            let accepted = "stages from the weakest to the strongest";
            return Err(refuse.at(file.rating_pu.line, key, found, accepted));
        }
    }
    Ok(())
}

fn cooling_path(set: &Name) -> String {
    format!("cooling/{}.yaml", set.0)
}

fn constants(
    refuse: &Refuse<'_>,
    key: &str,
    set: &Name,
    catalogue: &Catalogue,
) -> Result<CoolingConstants, InputError> {
    if catalogue.text(&cooling_path(set)).is_none() {
        let known = catalogue.names("cooling").join(", ");
        return Err(refuse.at(set.1, key, &set.0, format!("a set of typical constants: {known}")));
    }
    catalogue.cooling(&set.0)
}

/// Rises and loss ratio that the profile itself states for a stage.
struct Rises {
    top_oil_rise_k: Option<f64>,
    gradient: Option<Gradient>,
    loss_ratio: Option<f64>,
    /// Hot-spot factor, stated or typical.
    factor: f64,
    printed: Printed,
}

impl Rises {
    fn from(unit: &OfUnit<'_>) -> Self {
        let own = unit.own;
        Self {
            top_oil_rise_k: value(own.top_oil_rise_k.as_ref()),
            gradient: unit.gradient,
            loss_ratio: value(own.loss_ratio.as_ref()),
            factor: factor(unit.gradient, unit.size),
            printed: unit.printed,
        }
    }

    /// The rated stage shares the unit's rises. The losses are the unit's in every stage:
    /// at a lower rating the load loss is lower with the square of the current.
    fn of_stage(
        file: &StageFile,
        gradient: Option<Gradient>,
        unit: &OfUnit<'_>,
        is_rated: bool,
    ) -> Self {
        let size = unit.size;
        let unit = Self::from(unit);
        let rating = file.rating_pu.value;
        let shared = |figure: Option<f64>| if is_rated { figure } else { None };
        let gradient = gradient.or(unit.gradient.filter(|_| is_rated));
        Self {
            top_oil_rise_k: value(file.top_oil_rise_k.as_ref()).or(shared(unit.top_oil_rise_k)),
            gradient,
            factor: factor(gradient.or(unit.gradient), size),
            loss_ratio: unit.loss_ratio.map(|ratio| ratio * rating * rating),
            printed: file.printed,
        }
    }
}

/// The hot-spot factor of a stated gradient, else the typical one.
fn factor(gradient: Option<Gradient>, size: SizeClass) -> f64 {
    gradient.and_then(|gradient| gradient.factor).unwrap_or_else(|| typical_factor(size))
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

/// A stage's name, rating and set of constants.
struct Named<'a> {
    name: &'a str,
    rating_pu: f64,
    set: String,
    own: bool,
}

fn stage_data(
    named: &Named<'_>,
    constants: &CoolingConstants,
    own: &ThermalFile,
    rises: &Rises,
    switching: Option<Switching>,
) -> StageData {
    let typical_loss_ratio = constants.typical.loss_ratio;
    let nameplate = Nameplate {
        top_oil_rise_k: rises.top_oil_rise_k.unwrap_or(constants.typical.top_oil_rise_k),
        hot_spot_gradient_k: rises
            .gradient
            .map_or(constants.typical.hot_spot_gradient_k, |gradient| gradient.hot_spot_k),
        loss_ratio: rises.loss_ratio.unwrap_or(typical_loss_ratio),
    };
    let gradient_from = rises.gradient.map_or(GradientFrom::Typical, |gradient| gradient.from);
    let iec = iec_constants(constants, own);
    let auxiliaries = constants.auxiliaries.max(needs(named.name));
    let typical = [
        ("top_oil_rise_k", rises.top_oil_rise_k.is_none()),
        ("hot_spot_gradient_k", rises.gradient.is_none()),
        (FACTOR, gradient_from == GradientFrom::AverageAndTypicalFactor),
        ("loss_ratio", rises.loss_ratio.is_none()),
    ];
    StageData {
        stage: Stage {
            name: named.name.to_owned(),
            rating_pu: named.rating_pu,
            nameplate,
            gradient_typical: rises.gradient.is_none(),
            iec,
            ieee: ieee_constants(constants, own),
            detailed: detailed::figures(
                (named.name, auxiliaries),
                rises.factor,
                &nameplate,
                &rises.printed,
            ),
            switching,
        },
        auxiliaries,
        constants: named.set.clone(),
        own_constants: named.own,
        typical: typical.iter().filter(|(_, typical)| *typical).map(|(key, _)| *key).collect(),
        gradient_from,
        // The same winding at the current of its stage.
        usual_gradient_k: constants.typical.hot_spot_gradient_k * named.rating_pu.powf(iec.y),
        assumed: false,
        altitude_k: 0.0,
        printed: rises.printed,
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
        below_rating: own.n.as_ref().map_or(typical.below_rating, |_| 1.0),
        m: value(own.m.as_ref()).unwrap_or(typical.m),
        oil_time_constant_min: value(own.ieee_oil_time_constant_min.as_ref())
            .unwrap_or(iec.k11 * iec.oil_time_constant_min),
        winding_time_constant_min: iec.winding_time_constant_min,
        correct_time_constant: own.ieee_correct_time_constant.unwrap_or(false),
    }
}
