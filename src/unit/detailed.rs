//! Figures of the detailed model for a stage: those that its heat run printed, else typical for how its oil moves.

use super::Auxiliaries;
use super::heat_run::Printed;
use crate::thermal::Nameplate;
use crate::thermal::detailed::{Figures, Flow, Masses};

/// A figure of a heat run is in doubt by so much of a typical one's. Our choice: thermometers within 1 K, losses within 2 %.
const PRINTED_DOUBT: f64 = 0.2;

/// The figures for a stage of this name that needs so much running, with its hot-spot factor H; those that a heat run
/// printed are the unit's own.
pub(super) fn figures(
    (name, auxiliaries): (&str, Auxiliaries),
    factor: f64,
    nameplate: &Nameplate,
    printed: &Printed,
) -> Figures {
    let typical = Figures::typical(flow(name, auxiliaries));
    let losses = &printed.losses;
    let bottom_oil = printed.bottom_oil_rise_k().map(|k| k / nameplate.top_oil_rise_k);
    let gradient = printed.average_gradient_k().map(|k| k / nameplate.hot_spot_gradient_k);
    let of_load = |kw: Option<f64>| kw.zip(losses.load_kw()).map(|(kw, load_kw)| kw / load_kw);
    let (eddy, stray) = (of_load(losses.winding_eddy_kw()), of_load(losses.stray_kw()));
    let doubt = |known: bool| if known { PRINTED_DOUBT } else { 1.0 };
    Figures {
        rated_ambient_c: printed.ambient_c.unwrap_or(typical.rated_ambient_c),
        bottom_oil_pu: bottom_oil.unwrap_or(typical.bottom_oil_pu),
        average_gradient_pu: gradient.unwrap_or(1.0 / factor),
        winding_eddy_pu: eddy.unwrap_or(typical.winding_eddy_pu),
        stray_pu: stray.unwrap_or(typical.stray_pu),
        losses_at_c: losses.at_c.unwrap_or(typical.losses_at_c),
        hot_spot_eddy_pu: printed.hot_spot_eddy_pu.unwrap_or(typical.hot_spot_eddy_pu),
        hot_spot_height_pu: printed.hot_spot_height_pu.unwrap_or(typical.hot_spot_height_pu),
        conductor: printed.conductor.unwrap_or(typical.conductor),
        masses: masses(printed),
        flow: typical.flow,
        doubt: [
            doubt(bottom_oil.is_some()),
            doubt(eddy.is_some() && stray.is_some()),
            doubt(printed.hot_spot_eddy_pu.is_some()),
        ],
    }
}

/// The masses with the no-load loss that goes with them; all of them or none.
fn masses(printed: &Printed) -> Option<Masses> {
    let known = &printed.masses;
    Some(Masses {
        active_kg: known.active_kg?,
        tank_kg: known.tank_kg?,
        oil_kg: known.oil_kg?,
        no_load_w: 1000.0 * printed.losses.no_load_kw?,
    })
}

/// By the second letter of a cooling class of four where there are pumps. Where no class says whether they direct the
/// oil into the winding they count as if they did: then the gradient grows most with the load.
fn flow(name: &str, auxiliaries: Auxiliaries) -> Flow {
    let class = name.to_ascii_uppercase();
    let letter = |at: usize| class.as_bytes().get(at).copied();
    match auxiliaries {
        Auxiliaries::None => Flow::ONAN,
        Auxiliaries::Fans => Flow::ONAF,
        Auxiliaries::Pumps if class.len() == 4 && letter(1) == Some(b'F') => Flow::OF,
        // The pumps of water coolers alone: oil moves by itself.
        Auxiliaries::Pumps if class.len() == 4 && letter(1) == Some(b'N') => Flow::ONAF,
        Auxiliaries::Pumps => Flow::OD,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn oil_moves_as_the_class_says_and_unknown_pumps_count_as_directed() {
        for (name, auxiliaries, found) in [
            ("ONAN", Auxiliaries::None, Flow::ONAN),
            ("natural", Auxiliaries::None, Flow::ONAN),
            ("ONAF", Auxiliaries::Fans, Flow::ONAF),
            ("OFAF", Auxiliaries::Pumps, Flow::OF),
            ("ODWF", Auxiliaries::Pumps, Flow::OD),
            ("ONWF", Auxiliaries::Pumps, Flow::ONAF),
            ("pumps", Auxiliaries::Pumps, Flow::OD),
        ] {
            assert_eq!(flow(name, auxiliaries), found, "{name}");
        }
    }
}
