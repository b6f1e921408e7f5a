//! The facility rating: the lowest of the transformer's and of everything in series with it.
//!
//! A facility is rated by its lowest series element. Source: `nerc-fac-008-5` (second-hand).

use super::{Cell, Winding};
use crate::unit::facility::{SeriesElement, TRANSFORMER};
use serde::Serialize;

/// The rating of the facility under the conditions of a cell.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FacilityRating {
    /// The largest load, pu of the transformer's rated current; `null`: none, or not known.
    pub load_pu: Option<f64>,
    /// What the figure, or the lack of one, is owed to.
    pub basis: FacilityBasis,
    /// The lowest element, `transformer` or a name of the profile; where there is no figure, what leaves
    /// none, several separated by commas.
    pub lowest: String,
    /// The same load in each winding; empty where there is no figure or the profile states no windings.
    pub a: Vec<WindingCurrent>,
}

/// What a facility rating is owed to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FacilityBasis {
    /// Every element is known; the lowest counts.
    Lowest,
    /// The limit of at least one element is not known for this duration.
    Unknown,
    /// The transformer has no rating here.
    NoTransformerRating,
    /// The load before exceeds what an element carries for any time.
    PreloadTooHigh,
}

/// A current in a winding.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindingCurrent {
    /// Name of the winding.
    pub winding: String,
    /// Current, A.
    pub a: f64,
}

/// The facility rating under the conditions of a cell; `None` where no element is entered, for then the
/// transformer's rating must not pass for the facility's.
///
/// A load of 1 pu is the rated current in every winding. What an element carries for a time is taken as
/// entered, whatever the load before, as long as that is not above its continuous limit.
pub fn facility_rating(
    cell: &Cell,
    windings: &[Winding],
    elements: &[SeriesElement],
) -> Option<FacilityRating> {
    if elements.is_empty() {
        return None;
    }
    let Some(transformer_pu) = cell.load_pu.filter(|load| load.is_finite()) else {
        return Some(FacilityRating::none(FacilityBasis::NoTransformerRating, &[TRANSFORMER]));
    };
    let limits: Vec<(&str, Limit)> = elements
        .iter()
        .map(|element| (element.name.as_str(), Limit::of(element, cell, windings)))
        .collect();
    for (prevents, basis) in [
        (Limit::BelowPreload, FacilityBasis::PreloadTooHigh),
        (Limit::Unknown, FacilityBasis::Unknown),
    ] {
        let which = limits.iter().filter(|(_, limit)| *limit == prevents);
        let names: Vec<&str> = which.map(|(name, _)| *name).collect();
        if !names.is_empty() {
            return Some(FacilityRating::none(basis, &names));
        }
    }
    let (lowest, load_pu) = lowest(transformer_pu, &limits);
    let current = |winding: &Winding| WindingCurrent {
        winding: winding.name.clone(),
        a: load_pu * winding.rated_a,
    };
    Some(FacilityRating {
        load_pu: Some(load_pu),
        basis: FacilityBasis::Lowest,
        lowest: lowest.to_owned(),
        a: windings.iter().map(current).collect(),
    })
}

impl FacilityRating {
    fn none(basis: FacilityBasis, because_of: &[&str]) -> Self {
        Self { load_pu: None, basis, lowest: because_of.join(", "), a: Vec::new() }
    }
}

/// The lowest of the transformer and the elements, the first named where several are equal.
fn lowest<'a>(transformer_pu: f64, limits: &[(&'a str, Limit)]) -> (&'a str, f64) {
    let mut lowest = (TRANSFORMER, transformer_pu);
    for (name, limit) in limits {
        if let Limit::PerUnit(pu) = *limit
            && pu < lowest.1
        {
            lowest = (name, pu);
        }
    }
    lowest
}

/// What an element allows the transformer to carry.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Limit {
    /// So much, pu of the transformer's rated current.
    PerUnit(f64),
    /// Nothing, for the load before is above its continuous limit.
    BelowPreload,
    /// Not known.
    Unknown,
}

impl Limit {
    fn of(element: &SeriesElement, cell: &Cell, windings: &[Winding]) -> Self {
        let winding = windings.iter().find(|winding| winding.name == element.winding);
        let rated_a = winding.map_or(f64::NAN, |winding| winding.rated_a);
        if !(rated_a > 0.0 && rated_a.is_finite()) {
            return Self::Unknown;
        }
        if let Some(continuous_a) = element.continuous_a
            && !(cell.preload_pu * rated_a <= continuous_a)
        {
            return Self::BelowPreload;
        }
        match element.limit_a(cell.duration_min) {
            Some(a) if a.is_finite() => Self::PerUnit(a / rated_a),
            _ => Self::Unknown,
        }
    }
}
