//! The natural cooling that is assumed of a unit with fans or pumps whose cooling stages nobody states: what is not
//! stated counts as the weakest.

use super::cooling_class::needs;
use super::defaults::{Catalogue, CoolingConstants};
use super::gradient::Gradient;
use super::heat_run::Printed;
use super::profile::{StageFile, StagePu, ThermalFile, UnitFile};
use super::validate::value;
use super::{Auxiliaries, SizeClass};
use crate::input::InputError;
use crate::input::number::Number;
use crate::input::text::Name;
use crate::thermal::Nameplate;

/// Rating without fans of a unit that has fans, per unit of its rating: common practice, no source. Its uncertainty
/// is `natural_rating_pu` of the usual ones.
pub const WITHOUT_FANS_PU: f64 = 0.60;

/// Rating without pumps of a unit that has pumps. Our choice, no source: such a unit may have compact coolers or water
/// and no radiators, and then only its tank takes heat away. A unit with radiators carries more, and can state it.
pub const WITHOUT_PUMPS_PU: f64 = 0.30;

/// The stages of a unit with fans or pumps that states none, as a profile would state them: natural cooling, and the
/// rated one, which nothing starts. `None` where the stages are stated, the rated cooling is natural by its class and
/// by its set of constants, or that set is not known (which is refused where it is looked for).
///
/// # Errors
/// [`InputError`] if the set of constants of the rated cooling is not valid.
pub fn stages(
    file: &UnitFile,
    catalogue: &Catalogue,
) -> Result<Option<Vec<StageFile>>, InputError> {
    let rated = &file.rated.cooling;
    let own = file.thermal.as_ref().and_then(|own| own.constants.as_ref());
    let set = own.map_or_else(|| rated.0.to_lowercase(), |own| own.0.clone());
    if file.cooling_stages.is_some() || catalogue.text(&format!("cooling/{set}.yaml")).is_none() {
        return Ok(None);
    }
    // The class counts too: a unit with fans may be entered with constants of natural cooling.
    let rating_pu = match catalogue.cooling(&set)?.auxiliaries.max(needs(&rated.0)) {
        Auxiliaries::None => return Ok(None),
        Auxiliaries::Fans => WITHOUT_FANS_PU,
        Auxiliaries::Pumps => WITHOUT_PUMPS_PU,
    };
    let line = rated.1;
    let ratings = (Number::stated(rating_pu, line), Number::stated(1.0, line));
    let (Some(natural_pu), Some(rated_pu)) = ratings else { return Ok(None) };
    let natural = StageFile {
        constants: Some(Name(natural_set(file.size_class, &set).to_owned(), line)),
        assumed: true,
        ..bare(&Name(natural_name(&rated.0), line), natural_pu)
    };
    Ok(Some(vec![natural, bare(rated, rated_pu)]))
}

/// A stage of which nothing is stated but name and rating.
pub fn bare(name: &Name, rating_pu: Number<StagePu>) -> StageFile {
    StageFile {
        name: name.clone(),
        rating_pu,
        constants: None,
        top_oil_rise_k: None,
        hot_spot_gradient_k: None,
        average_gradient_k: None,
        hot_spot_factor: None,
        heat_run: None,
        start_top_oil_c: None,
        stop_top_oil_c: None,
        start_winding_c: None,
        stop_winding_c: None,
        assumed: false,
        printed: Printed::default(),
    }
}

/// The class of natural cooling, unless the rated stage has that name.
fn natural_name(rated: &str) -> String {
    let letter = if rated.starts_with(['K', 'k']) { "K" } else { "O" };
    let name = format!("{letter}NAN");
    if rated.eq_ignore_ascii_case(&name) { "natural".to_owned() } else { name }
}

/// The set of natural cooling that goes with the set of the rated one.
fn natural_set(size: SizeClass, rated: &str) -> &'static str {
    match size {
        _ if rated.ends_with("-restricted") => "onan-restricted",
        SizeClass::Distribution => "distribution-onan",
        SizeClass::Medium | SizeClass::Large => "onan",
    }
}

/// The rises of the assumed stage: those typical of its cooling, and no lower than what the unit itself states, the
/// gradient at the current of the stage. It is the same winding, and a unit that was built for higher rises has them
/// in all its stages (our choice). The typical gradient is one at [`WITHOUT_FANS_PU`], and lower at a current below
/// that. The losses are the unit's.
pub(super) fn nameplate(
    typical: &CoolingConstants,
    rated: &CoolingConstants,
    own: &ThermalFile,
    gradient: Option<Gradient>,
    rating_pu: f64,
) -> Nameplate {
    let Nameplate { top_oil_rise_k, hot_spot_gradient_k, .. } = typical.typical;
    let at = |current: f64| current.powf(typical.iec.y);
    let typical_gradient_k = hot_spot_gradient_k * at(rating_pu / WITHOUT_FANS_PU);
    let own_gradient_k = gradient.map_or(0.0, |gradient| gradient.hot_spot_k * at(rating_pu));
    let loss_ratio = value(own.loss_ratio.as_ref()).unwrap_or(rated.typical.loss_ratio);
    Nameplate {
        top_oil_rise_k: top_oil_rise_k.max(value(own.top_oil_rise_k.as_ref()).unwrap_or(0.0)),
        hot_spot_gradient_k: typical_gradient_k.max(own_gradient_k),
        loss_ratio: loss_ratio * rating_pu * rating_pu,
    }
}

#[cfg(test)]
mod tests {
    use crate::unit::defaults::Catalogue;
    use crate::unit::validate::read_unit;
    use crate::unit::{Auxiliaries, Thermal};
    use approx::assert_relative_eq;

    fn thermal(size: &str, cooling: &str, thermal: &str) -> Thermal {
        let text = format!(
            "unit: test\nsize_class: {size}\nrated: {{ mva: 2, cooling: {cooling} }}\npaper: kraft\n\
             liquid: mineral\nthermal: {{ {thermal} }}\n"
        );
        read_unit("test", &text, &Catalogue::embedded()).unwrap().thermal.unwrap()
    }

    #[test]
    fn the_assumed_stage_is_typical_and_no_cooler_than_the_units_own_winding_and_oil() {
        let natural = |own: &str| {
            let found = thermal("medium", "ONAF", own);
            assert_eq!((found.stages.len(), found.rated_stage), (2, 1));
            assert!(!found.stages[1].assumed);
            found.assumed().unwrap().stage.clone()
        };
        let typical = natural("top_oil_rise_k: 40, hot_spot_gradient_k: 15, loss_ratio: 8");
        assert_relative_eq!(typical.rating_pu, 0.6);
        assert_relative_eq!(typical.nameplate.top_oil_rise_k, 52.0);
        assert_relative_eq!(typical.nameplate.hot_spot_gradient_k, 26.0);
        // The same losses at 0.6 of the current: 8 × 0.36.
        assert_relative_eq!(typical.nameplate.loss_ratio, 2.88, max_relative = 1.0e-12);
        let hot = natural("top_oil_rise_k: 63, hot_spot_gradient_k: 60, x: 0.9, y: 1.6");
        assert_relative_eq!(hot.nameplate.top_oil_rise_k, 63.0);
        let gradient_k = 60.0 * 0.6_f64.powf(1.3);
        assert_relative_eq!(hot.nameplate.hot_spot_gradient_k, gradient_k, max_relative = 1.0e-12);
        assert_relative_eq!(hot.iec.x, 0.8);
    }

    #[test]
    fn the_assumed_stage_goes_with_what_the_rated_one_needs_running() {
        for (size, cooling, constants, name, set, rating_pu) in [
            ("medium", "ONAF", "onaf", "ONAN", "onan", 0.6),
            ("medium", "ONAF", "onaf-restricted", "ONAN", "onan-restricted", 0.6),
            ("distribution", "ONAF", "onaf", "ONAN", "distribution-onan", 0.6),
            ("large", "ODWF", "od", "ONAN", "onan", 0.3),
            ("medium", "KNAF", "onaf", "KNAN", "onan", 0.6),
            ("medium", "ONAN", "of", "natural", "onan", 0.3),
            // By the class, whatever the constants.
            ("medium", "ONAF", "onan", "ONAN", "onan", 0.6),
            ("medium", "onaf", "onan-restricted", "ONAN", "onan-restricted", 0.6),
            ("distribution", "ONAF", "distribution-onan", "ONAN", "distribution-onan", 0.6),
            ("medium", "KNAF", "onan", "KNAN", "onan", 0.6),
            ("large", "OFAF", "onaf", "ONAN", "onan", 0.3),
            ("large", "ONWF", "onan", "ONAN", "onan", 0.3),
        ] {
            let found = thermal(size, cooling, &format!("constants: {constants}"));
            let assumed = found.assumed().unwrap();
            assert_eq!((assumed.stage.name.as_str(), assumed.constants.as_str()), (name, set));
            assert_relative_eq!(assumed.stage.rating_pu, rating_pu);
            assert_ne!(found.stages[1].auxiliaries, Auxiliaries::None, "{cooling} {constants}");
        }
        let natural = thermal("medium", "ONAN", "constants: onan");
        assert!(natural.stages.len() == 1 && natural.assumed().is_none());
    }
}
