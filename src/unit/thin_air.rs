//! What the altitude of a unit adds to the rises of its stages.

use super::profile::UnitFile;
use super::validate::value;
use super::{Auxiliaries, StageData};
use crate::quantities::OutsideValidity;
use crate::thermal::altitude::{Coolant, HOLDS_UP_TO_M, added_rise_k};

/// Raises the top-oil rises of all stages. Typical rises are figures up to 1000 m; those of the profile hold for
/// `rises_at_altitude_m`, else for low level. Without an altitude nothing is added: nothing is decided then either,
/// because the pressure at the hot spot is unknown.
pub(super) fn raise(stages: &mut [StageData], file: &UnitFile) -> Result<(), OutsideValidity> {
    let oil = file.oil.as_ref();
    let Some(altitude_m) = oil.and_then(|oil| value(oil.altitude_m.as_ref())) else {
        return Ok(());
    };
    let own = file.thermal.as_ref();
    let stated_m = own.and_then(|own| value(own.rises_at_altitude_m.as_ref())).unwrap_or(0.0);
    for data in stages {
        let typical = data.typical.contains(&"top_oil_rise_k");
        let rises_at_m = if typical { HOLDS_UP_TO_M } else { stated_m };
        data.altitude_k = added_rise_k(altitude_m, rises_at_m, coolant(data))?;
        data.stage.nameplate.top_oil_rise_k += data.altitude_k;
    }
    Ok(())
}

/// By the last two letters of a cooling class of four, such as OFAF or ODWF; by what it needs running where the name
/// is another. Fans count then: air that they move loses more.
fn coolant(data: &StageData) -> Coolant {
    let name = data.stage.name.to_ascii_uppercase();
    let inside = ["ON", "OF", "OD", "KN", "KF", "KD", "LN", "LF", "LD"];
    let is_class = name.len() == 4 && inside.iter().any(|begins| name.starts_with(begins));
    let outside = name.get(2..).filter(|_| is_class);
    match (outside, data.auxiliaries) {
        (Some("WF" | "WN"), _) => Coolant::Water,
        (_, Auxiliaries::None) | (Some("AN"), Auxiliaries::Pumps) => Coolant::NaturalAir,
        (_, Auxiliaries::Fans | Auxiliaries::Pumps) => Coolant::ForcedAir,
    }
}
