//! From the loads of three windings to the one load that the models take.

use super::current::{LoadBase, Number, within};
use super::parse_mva;
use crate::input::InputError;
use crate::input::columns::{Column, Header};
use crate::input::number::parse;
use crate::unit::profile::LoadPu;
use crate::unit::windings::ThreeWindings;
use serde::Serialize;

/// Beginnings of the columns of a load of one winding: per unit of its own rating, and MVA.
const STEMS: [&str; 2] = ["load_pu_", "load_mva_"];

/// The load of a winding.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindingLoad {
    /// Its name.
    pub name: String,
    /// Its current, pu of its own rated one.
    pub load_pu: f64,
    /// Whether it is stated; else the weakest case counts.
    pub stated: bool,
}

/// What the one load of the models follows from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WindingGoverns {
    /// The winding nearest its own rating.
    Winding,
    /// The losses of all windings.
    Losses,
    /// One load for all, in proportion to the state that the rises hold for.
    InProportion,
}

/// The loads of the windings at the greatest load, and what they count as.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindingsCarried {
    /// Load of each; empty where one load is stated for all.
    pub loads: Vec<WindingLoad>,
    /// What governs.
    pub governs: WindingGoverns,
    /// The winding nearest its own rating.
    pub nearest: Option<String>,
    /// Its load, pu of its own rating: what the gradient follows.
    pub gradient_pu: Option<f64>,
    /// Load of the unit with the same load loss, pu: what the oil follows.
    pub losses_pu: Option<f64>,
    /// Windings whose load is not stated at some time of the overload or of the history.
    pub not_stated: Vec<String>,
}

impl WindingsCarried {
    /// One load for all windings.
    pub fn in_proportion() -> Self {
        Self {
            loads: Vec::new(),
            governs: WindingGoverns::InProportion,
            nearest: None,
            gradient_pu: None,
            losses_pu: None,
            not_stated: Vec::new(),
        }
    }

    /// The one load that the loads of the windings count as, pu; a winding without one counts at its rating, or at the
    /// greatest load of the others where that is more.
    ///
    /// ```text
    /// K = max(max_i k_i, √(Σ max(P_i, 0)·k_i² / P))        k_i = S_i / (S'_i · V) · c, current of a winding over its rated one
    /// ```
    /// `P_i` load loss of a winding at its rated current (the star), P load loss that the top-oil rise holds for.
    ///
    /// # Source       `project-choice`, from `common-practice`: the gradient follows the winding nearest its own rating, the
    ///   oil the losses of all windings.
    /// # Valid        Three windings whose pair losses are stated; the gradient of the unit is the greatest of theirs.
    /// # Departures   The models take one load for oil and gradient: the greater of the two counts for both, which is
    ///   never cooler than what is known. A negative loss of the star is left out, so that no winding's load
    ///   lowers another's temperature. One voltage, and the tap's current, count for all windings.
    /// # Checked      Not checked against published numbers; see the tests of this file.
    pub fn of(windings: &ThreeWindings, loads_pu: [Option<f64>; 3]) -> Self {
        let greatest_pu = loads_pu.iter().flatten().copied().fold(1.0, f64::max);
        let k = loads_pu.map(|load_pu| load_pu.unwrap_or(greatest_pu));
        let lost_kw: f64 = windings.loss_kw.iter().zip(k).map(|(kw, k)| kw.max(0.0) * k * k).sum();
        let losses_pu = (lost_kw / windings.rises_at_kw).sqrt();
        let nearest = (1..3).fold(0, |nearest, at| if k[at] > k[nearest] { at } else { nearest });
        let name = |at: usize| windings.names[at].clone();
        let load = |at: usize| WindingLoad {
            name: name(at),
            load_pu: k[at],
            stated: loads_pu[at].is_some(),
        };
        let by_losses = losses_pu > k[nearest];
        Self {
            loads: (0..3).map(load).collect(),
            governs: if by_losses { WindingGoverns::Losses } else { WindingGoverns::Winding },
            nearest: Some(name(nearest)),
            gradient_pu: Some(k[nearest]),
            losses_pu: Some(losses_pu),
            not_stated: (0..3).filter(|at| loads_pu[*at].is_none()).map(name).collect(),
        }
    }

    /// The load that the models take, pu; NaN where one load is stated for all.
    pub fn counted_pu(&self) -> f64 {
        let gradient_pu = self.gradient_pu.unwrap_or(f64::NAN);
        self.losses_pu.map_or(f64::NAN, |losses_pu| gradient_pu.max(losses_pu))
    }
}

/// Names of the columns that a table for these windings may have, beside those of every table.
pub fn columns(windings: Option<&ThreeWindings>) -> Vec<String> {
    let names = windings.iter().flat_map(|windings| &windings.names);
    names.flat_map(|name| STEMS.map(|stem| format!("{stem}{name}"))).collect()
}

/// The windings without a column of a table that has columns of windings; none for any other table.
pub fn without_column(windings: &ThreeWindings, columns: &[String]) -> Vec<String> {
    let has = |name: &&String| {
        STEMS.iter().any(|stem| columns.iter().any(|own| *own == format!("{stem}{name}")))
    };
    let without: Vec<String> = windings.names.iter().filter(|name| !has(name)).cloned().collect();
    if without.len() < windings.names.len() { without } else { Vec::new() }
}

/// The columns of the loads of the windings.
#[derive(Debug, Clone)]
pub(super) struct WindingColumns {
    windings: ThreeWindings,
    /// Column of each winding, and whether it is in MVA.
    columns: [Option<(Column, bool)>; 3],
}

impl WindingColumns {
    /// Those of a table; `None` where it has none.
    pub(super) fn of(header: &Header, base: &LoadBase) -> Result<Option<Self>, InputError> {
        let Some(windings) = base.windings() else { return Ok(None) };
        let mut columns: [Option<(Column, bool)>; 3] = [None; 3];
        for (name, column) in windings.names.iter().zip(&mut columns) {
            let found = STEMS.map(|stem| header.column(&format!("{stem}{name}")));
            *column = match found {
                [Some(pu), None] => Some((pu, false)),
                [None, Some(mva)] => Some((mva, true)),
                [None, None] => None,
                [Some(_), Some(_)] => {
                    let found = format!("load_pu_{name} beside load_mva_{name}");
                    return Err(header.refused_whole(found, "one of the two for each winding"));
                }
            };
        }
        let any = columns.iter().any(Option::is_some);
        Ok(any.then(|| Self { windings: windings.clone(), columns }))
    }

    /// The columns in MVA, each with its winding and the rating of that, MVA.
    pub(super) fn in_mva(&self) -> Vec<(Column, String, f64)> {
        let windings = self.windings.names.iter().zip(self.windings.rated_mva);
        let of = |((name, rated_mva), column): ((&String, f64), &Option<(Column, bool)>)| {
            let (column, is_mva) = (*column)?;
            is_mva.then(|| (column, name.clone(), rated_mva))
        };
        windings.zip(&self.columns).filter_map(of).collect()
    }

    /// What the windings carry in a row; `factor` is current over load.
    pub(super) fn carried(
        &self,
        factor: f64,
        number: &Number<'_>,
    ) -> Result<WindingsCarried, InputError> {
        let mut loads_pu = [None; 3];
        for (at, load_pu) in loads_pu.iter_mut().enumerate() {
            let Some((column, is_mva)) = self.columns[at] else { continue };
            let rated_mva = self.windings.rated_mva[at];
            *load_pu = Some(number(column, &|cell| {
                let load_pu =
                    if is_mva { parse_mva(rated_mva, cell)? } else { parse::<LoadPu>(cell)? };
                within(load_pu * factor)
            })?);
        }
        Ok(WindingsCarried::of(&self.windings, loads_pu))
    }

    /// The load that counts for what windings carry, pu, or an error at the first of the columns.
    pub(super) fn counted(
        &self,
        carried: &WindingsCarried,
        number: &Number<'_>,
    ) -> Result<f64, InputError> {
        let counted_pu = carried.counted_pu();
        match (within(counted_pu), self.columns.iter().flatten().next()) {
            (Ok(_), _) | (Err(_), None) => Ok(counted_pu),
            (Err(accepted), Some((column, _))) => number(*column, &|_| Err(accepted.clone())),
        }
    }

    /// The windings without a column.
    pub(super) fn without_column(&self) -> Vec<String> {
        let names = self.windings.names.iter().zip(&self.columns);
        names.filter(|own| own.1.is_none()).map(|own| own.0.clone()).collect()
    }

    /// The columns for errors.
    pub(super) fn columns_in_words(&self) -> String {
        let names = self.windings.names.iter().zip(&self.columns);
        let of = |(name, column): (&String, &Option<(Column, bool)>)| {
            let is_mva = column.as_ref()?.1;
            Some(format!("{}{name}", STEMS[usize::from(is_mva)]))
        };
        names.filter_map(of).collect::<Vec<_>>().join(", ")
    }
}
