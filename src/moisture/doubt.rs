//! What may have led a witness astray without ruling it out.

use super::evidence::{Location, Method, Statement, Witness};
use super::judgement::Context;
use super::solubility::Solubility;
use serde::Serialize;

/// Something that may have led a witness astray without ruling it out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Doubt {
    /// Nobody says whether oil and paper were in equilibrium.
    EquilibriumUnknown,
    /// Oil not much above the coldest that is accepted.
    CoolOil,
    /// One spot at the hot end of a winding.
    HotSpot,
    /// One spot at the cool end.
    CoolSpot,
    /// Aged oil conducts, and a dielectric response takes that for moisture.
    ConductiveOil,
    /// Paper in the air takes up water.
    Exposed,
    /// Nobody says how long the paper was in the air.
    ExposureUnknown,
    /// Aged oil dissolves more water than new oil, whose constants are used.
    NewOilConstants,
    /// An assumption.
    Assumed,
}

/// The side to which a doubt shifts a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// It may read too dry.
    Dry,
    /// It may read too wet.
    Wet,
    /// Either.
    Either,
}

impl Doubt {
    /// The doubt in words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::EquilibriumUnknown => "nobody says that oil and paper were in equilibrium",
            Self::CoolOil => "cool oil says little of the paper",
            Self::HotSpot => "the hot end of a winding is drier than the bulk",
            Self::CoolSpot => "the cool end of a winding is wetter than the bulk",
            Self::ConductiveOil => "aged oil conducts, which reads as moisture",
            Self::Exposed => "paper in the air takes up water",
            Self::ExposureUnknown => "nobody says how long the paper was in the air",
            Self::NewOilConstants => "aged oil dissolves more water than the new oil assumed",
            Self::Assumed => "it is an assumption",
        }
    }

    /// Where it shifts the figure.
    pub fn side(self) -> Side {
        match self {
            Self::HotSpot => Side::Dry,
            Self::CoolSpot
            | Self::ConductiveOil
            | Self::Exposed
            | Self::ExposureUnknown
            | Self::NewOilConstants => Side::Wet,
            Self::EquilibriumUnknown | Self::CoolOil | Self::Assumed => Side::Either,
        }
    }
}

/// An oil witness within this of the coldest that is accepted is doubtful, K. Our choice.
const COOL_WITHIN_K: f64 = 10.0;

/// A paper sample longer in the air than this is doubtful, min. Common practice, no source.
const LONG_EXPOSURE_MIN: f64 = 5.0;

/// Every doubt about a witness.
pub(super) fn doubts(witness: &Witness, context: &Context) -> Vec<Doubt> {
    let single_oil = matches!(witness.statement, Statement::Oil { .. } | Statement::Probe { .. });
    let cool_c = context.criteria.coldest_oil_c + COOL_WITHIN_K;
    let sample = witness.method == Some(Method::PaperSample);
    let exposed = witness.exposure_min.map(|minutes| minutes > LONG_EXPOSURE_MIN);
    let aged = witness.aged_conductive_oil == Some(true);
    let from_ppm = matches!(witness.statement, Statement::Oil { .. });
    let new_oil = context.solubility == Solubility::MINERAL;
    let all = [
        (Doubt::EquilibriumUnknown, single_oil && witness.steady_h.is_none()),
        (Doubt::CoolOil, single_oil && witness.oil.is_some_and(|oil| oil.value() < cool_c)),
        (Doubt::HotSpot, witness.location == Some(Location::TopOfWinding)),
        (Doubt::CoolSpot, witness.location == Some(Location::BottomOfWinding)),
        (Doubt::ConductiveOil, aged && witness.method == Some(Method::DielectricResponse)),
        (Doubt::Exposed, sample && exposed == Some(true)),
        (Doubt::ExposureUnknown, sample && exposed.is_none()),
        (Doubt::NewOilConstants, aged && from_ppm && new_oil),
        (Doubt::Assumed, witness.method == Some(Method::Assumed)),
    ];
    all.into_iter().filter(|(_, holds)| *holds).map(|(doubt, _)| doubt).collect()
}
