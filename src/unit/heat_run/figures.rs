//! The figures of a block with the places they stand at, so that those of two blocks can be held together.

use super::super::validate::Refuse;
use super::file::{LossesFile, MassesFile, ReportFile, TwoLoadsFile};
use crate::input::InputError;
use crate::input::number::Number;

/// Two figures are one if they differ by no more: rounding of binary numbers.
const SAME: f64 = 1.0e-9;

/// A key of a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Key {
    Ambient,
    TopOil,
    AverageOil,
    BottomOil,
    Winding,
    HotSpot,
    Guaranteed,
    WindingTau,
    Height,
    HotSpotEddy,
    NoLoad,
    Load,
    I2r,
    Eddy,
    Stray,
    AtC,
    Base,
    Active,
    Tank,
    Oil,
    WindingMass,
    OilExponent,
    WindingExponent,
}

impl Key {
    /// All, in the order of their numbers.
    const ALL: [Self; 23] = [
        Self::Ambient,
        Self::TopOil,
        Self::AverageOil,
        Self::BottomOil,
        Self::Winding,
        Self::HotSpot,
        Self::Guaranteed,
        Self::WindingTau,
        Self::Height,
        Self::HotSpotEddy,
        Self::NoLoad,
        Self::Load,
        Self::I2r,
        Self::Eddy,
        Self::Stray,
        Self::AtC,
        Self::Base,
        Self::Active,
        Self::Tank,
        Self::Oil,
        Self::WindingMass,
        Self::OilExponent,
        Self::WindingExponent,
    ];

    /// As written in the block.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Ambient => "ambient_c",
            Self::TopOil => "top_oil_rise_k",
            Self::AverageOil => "average_oil_rise_k",
            Self::BottomOil => "bottom_oil_rise_k",
            Self::Winding => "average_winding_rise_k",
            Self::HotSpot => "hot_spot_rise_k",
            Self::Guaranteed => "guaranteed_winding_rise_k",
            Self::WindingTau => "winding_time_constant_min",
            Self::Height => "hot_spot_height_pu",
            Self::HotSpotEddy => "hot_spot_eddy_pu",
            Self::NoLoad => "losses.no_load_kw",
            Self::Load => "losses.load_kw",
            Self::I2r => "losses.i2r_kw",
            Self::Eddy => "losses.winding_eddy_kw",
            Self::Stray => "losses.stray_kw",
            Self::AtC => "losses.at_c",
            Self::Base => "losses.base_mva",
            Self::Active => "masses.active_kg",
            Self::Tank => "masses.tank_kg",
            Self::Oil => "masses.oil_kg",
            Self::WindingMass => "masses.winding_kg",
            Self::OilExponent => "two_loads.oil_exponent",
            Self::WindingExponent => "two_loads.winding_exponent",
        }
    }

    /// The load loss and its parts.
    pub(super) const LOAD_LOSSES: [Self; 4] = [Self::Load, Self::I2r, Self::Eddy, Self::Stray];

    /// What those are stated at.
    pub(super) const OF_LOAD_LOSSES: [Self; 2] = [Self::AtC, Self::Base];

    /// Those that belong to the unit, whichever block they stand in.
    pub(super) const OF_UNIT: [Self; 4] = [Self::Active, Self::Tank, Self::Oil, Self::WindingMass];

    /// Those that hold for every stage that states no others: one winding, and one guarantee.
    pub(super) const SHARED: [Self; 4] =
        [Self::Ambient, Self::Guaranteed, Self::Height, Self::HotSpotEddy];
}

/// A figure and where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Figure {
    pub(super) value: f64,
    pub(super) line: usize,
    /// Path of the block, or of the keys beside it.
    pub(super) place: &'static str,
}

impl Figure {
    /// A figure of the keys beside a block.
    pub(super) fn beside<R>(number: Option<&Number<R>>, place: &'static str) -> Option<Self> {
        number.map(|number| Self { value: number.value, line: number.line, place })
    }

    /// This figure refused.
    pub(super) fn refused(
        &self,
        refuse: &Refuse<'_>,
        key: &str,
        found: impl Into<String>,
        accepted: impl Into<String>,
    ) -> InputError {
        refuse.at(self.line, &format!("{}.{key}", self.place), found, accepted)
    }

    /// This figure refused unless another one of the same meaning agrees, to within a tolerance.
    pub(super) fn agrees(
        &self,
        refuse: &Refuse<'_>,
        key: &str,
        other: &Self,
        (other_key, within): (&str, f64),
    ) -> Result<(), InputError> {
        // Written so that NaN does not agree.
        if (self.value - other.value).abs() <= within + SAME {
            return Ok(());
        }
        let Self { value, line, place } = other;
        let accepted =
            format!("{}, as {place}.{other_key} in line {line}, or one of both", shown(*value));
        Err(self.refused(refuse, key, shown(self.value), accepted))
    }
}

/// A number to three decimals: enough to find it in the file.
pub(super) fn shown(number: f64) -> String {
    ((number * 1000.0).round() / 1000.0).to_string()
}

/// The figures of a block.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Figures([Option<Figure>; Key::ALL.len()]);

impl Figures {
    /// Those of a block, if there is one.
    pub(super) fn of(report: Option<&ReportFile>, place: &'static str) -> Self {
        let mut figures = Self::default();
        let Some(report) = report else { return figures };
        let (losses, masses, two_loads) =
            (LossesFile::default(), MassesFile::default(), TwoLoadsFile::default());
        let losses = report.losses.as_ref().unwrap_or(&losses);
        let masses = report.masses.as_ref().unwrap_or(&masses);
        let two_loads = report.two_loads.as_ref().unwrap_or(&two_loads);
        figures.put(Key::Ambient, report.ambient_c.as_ref(), place);
        figures.put(Key::TopOil, report.top_oil_rise_k.as_ref(), place);
        figures.put(Key::AverageOil, report.average_oil_rise_k.as_ref(), place);
        figures.put(Key::BottomOil, report.bottom_oil_rise_k.as_ref(), place);
        figures.put(Key::Winding, report.average_winding_rise_k.as_ref(), place);
        figures.put(Key::HotSpot, report.hot_spot_rise_k.as_ref(), place);
        figures.put(Key::Guaranteed, report.guaranteed_winding_rise_k.as_ref(), place);
        figures.put(Key::WindingTau, report.winding_time_constant_min.as_ref(), place);
        figures.put(Key::Height, report.hot_spot_height_pu.as_ref(), place);
        figures.put(Key::HotSpotEddy, report.hot_spot_eddy_pu.as_ref(), place);
        figures.put(Key::NoLoad, losses.no_load_kw.as_ref(), place);
        figures.put(Key::Load, losses.load_kw.as_ref(), place);
        figures.put(Key::I2r, losses.i2r_kw.as_ref(), place);
        figures.put(Key::Eddy, losses.winding_eddy_kw.as_ref(), place);
        figures.put(Key::Stray, losses.stray_kw.as_ref(), place);
        figures.put(Key::AtC, losses.at_c.as_ref(), place);
        figures.put(Key::Base, losses.base_mva.as_ref(), place);
        figures.put(Key::Active, masses.active_kg.as_ref(), place);
        figures.put(Key::Tank, masses.tank_kg.as_ref(), place);
        figures.put(Key::Oil, masses.oil_kg.as_ref(), place);
        figures.put(Key::WindingMass, masses.winding_kg.as_ref(), place);
        figures.put(Key::OilExponent, two_loads.oil_exponent.as_ref(), place);
        figures.put(Key::WindingExponent, two_loads.winding_exponent.as_ref(), place);
        figures
    }

    fn put<R>(&mut self, key: Key, number: Option<&Number<R>>, place: &'static str) {
        self.0[key as usize] = Figure::beside(number, place);
    }

    /// The figure of a key.
    pub(super) fn at(&self, key: Key) -> Option<Figure> {
        self.0[key as usize]
    }

    /// The number of a key.
    pub(super) fn value(&self, key: Key) -> Option<f64> {
        self.at(key).map(|figure| figure.value)
    }

    /// How many of these keys are stated.
    pub(super) fn count(&self, keys: &[Key]) -> usize {
        keys.iter().filter(|key| self.at(**key).is_some()).count()
    }

    /// These, and those of another block where these are silent; of figures in both one is refused unless they agree.
    pub(super) fn joined(
        mut self,
        refuse: &Refuse<'_>,
        other: &Self,
        keys: &[Key],
    ) -> Result<Self, InputError> {
        for key in keys {
            if let (Some(own), Some(other)) = (self.at(*key), other.at(*key)) {
                other.agrees(refuse, key.name(), &own, (key.name(), 0.0))?;
            }
            self.0[*key as usize] = self.at(*key).or(other.at(*key));
        }
        Ok(self)
    }

    /// [`Self::joined`] for every key.
    pub(super) fn joined_whole(
        self,
        refuse: &Refuse<'_>,
        other: &Self,
    ) -> Result<Self, InputError> {
        self.joined(refuse, other, &Key::ALL)
    }

    /// These, with the keys of another block in their place.
    pub(super) fn with(mut self, other: &Self, keys: &[Key]) -> Self {
        for key in keys {
            self.0[*key as usize] = other.at(*key);
        }
        self
    }

    /// These, and those of another block where these are silent.
    pub(super) fn or(mut self, other: &Self, keys: &[Key]) -> Self {
        for key in keys {
            self.0[*key as usize] = self.at(*key).or(other.at(*key));
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_has_its_own_place_and_name() {
        for (index, key) in Key::ALL.into_iter().enumerate() {
            assert_eq!(key as usize, index);
            let same = Key::ALL.into_iter().filter(|other| other.name() == key.name()).count();
            assert_eq!(same, 1, "{}", key.name());
        }
    }
}
