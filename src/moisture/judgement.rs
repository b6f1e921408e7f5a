//! The words in which a witness is judged.

use super::outside::Outside;
use super::solubility::Solubility;
use super::usual::Criteria;
use chrono::NaiveDate;
use serde::Serialize;

/// What a witness is judged by, beside itself.
#[derive(Debug, Clone, Copy)]
pub struct Context {
    /// What it must fulfil.
    pub criteria: Criteria,
    /// Solubility of water in the unit's oil.
    pub solubility: Solubility,
    /// The day on which the question is asked; `None`: age is not judged.
    pub as_of: Option<NaiveDate>,
    /// Last drying of the insulation.
    pub dried: Option<NaiveDate>,
    /// Last treatment of the oil.
    pub oil_treated: Option<NaiveDate>,
    /// Year of manufacture.
    pub made: Option<f64>,
}

impl Context {
    /// Last drying of the insulation, if it is over: one that is still to come dries nothing yet.
    pub(super) fn dried(&self) -> Option<NaiveDate> {
        self.dried.filter(|dried| self.as_of.is_none_or(|as_of| *dried <= as_of))
    }
}

/// Whether a witness counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// It counts.
    Counts,
    /// It may raise the counting moisture; what it may lower fades with how far outside its criteria it is.
    WetSideOnly,
    /// It is shown and does not count.
    DoesNotCount,
}

/// Why a witness does not count, or only on the wet side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// Somebody decided so.
    SetAside,
    /// Oil too cold for the method.
    TooCold,
    /// Oil too dry for the method.
    TooDry,
    /// Load or temperature changed shortly before.
    LoadChanged,
    /// A series that shows no equilibrium.
    NoEquilibrium,
    /// Nobody says how warm the oil was.
    OilTemperatureUnknown,
    /// Nobody says how much water the liquid dissolves.
    SolubilityUnknown,
    /// Oil too close to saturation for the isotherm.
    TooWetForIsotherm,
    /// Outside another range of the conversion.
    OutsideIsotherm,
    /// Too old.
    Old,
    /// Dated after the day of the question.
    DatedLater,
    /// Taken before the last drying.
    BeforeDrying,
    /// No date, so nobody knows how old it is.
    Undated,
    /// Oil treated shortly before: it holds less water than the paper would give it.
    OilTreated,
    /// More water than paper in oil can hold.
    Implausible,
    /// No standard uncertainty, and no method to infer it from.
    UncertaintyMissing,
    /// An assumption, while there are measurements.
    Assumption,
}

impl Why {
    /// The reason in words, to follow "because".
    pub fn in_words(self) -> &'static str {
        match self {
            Self::SetAside => "set aside",
            Self::TooCold => "the oil was too cold for the method",
            Self::TooDry => "the oil was too dry for the method",
            Self::LoadChanged => "load or temperature had changed shortly before",
            Self::NoEquilibrium => "oil and paper were never in equilibrium",
            Self::OilTemperatureUnknown => "the oil temperature is not stated",
            Self::SolubilityUnknown => "the solubility of water in this liquid is not known",
            Self::TooWetForIsotherm => "the oil was too near saturation for the isotherm",
            Self::OutsideIsotherm => "outside the range of the isotherm",
            Self::Old => "too old",
            Self::DatedLater => "dated after the day of the question",
            Self::BeforeDrying => "taken before the last drying",
            Self::Undated => "undated, so nobody knows how old it is",
            Self::OilTreated => "the oil had been treated shortly before",
            Self::Implausible => "it comes to more water than paper can hold",
            Self::UncertaintyMissing => "no standard uncertainty is stated",
            Self::Assumption => "an assumption, and there are measurements",
        }
    }

    /// What it does to the witness.
    pub(super) fn standing(self) -> Standing {
        match self {
            // Paper does not dry by itself: what was wet may still be. Nor is a reading under poor conditions
            // no reading: what it reads wetter may be so.
            Self::Old
            | Self::DatedLater
            | Self::Undated
            | Self::Assumption
            | Self::TooCold
            | Self::TooDry
            | Self::LoadChanged
            | Self::NoEquilibrium
            | Self::TooWetForIsotherm
            | Self::OilTreated => Standing::WetSideOnly,
            Self::SetAside
            | Self::OilTemperatureUnknown
            | Self::SolubilityUnknown
            | Self::OutsideIsotherm
            | Self::BeforeDrying
            | Self::Implausible
            | Self::UncertaintyMissing => Standing::DoesNotCount,
        }
    }
}

/// A reason with what was found and what is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reason {
    /// The reason.
    pub why: Why,
    /// How far outside it is; `None`: there is no distance to speak of.
    pub(super) outside: Option<Outside>,
    /// What was found, with its unit.
    pub found: Option<(f64, &'static str)>,
    /// What is asked for, with its unit.
    pub asked: Option<(f64, &'static str)>,
}

impl Reason {
    pub(super) fn plain(why: Why) -> Self {
        Self { why, outside: None, found: None, asked: None }
    }

    pub(super) fn because(why: Why, found: f64, asked: f64, unit: &'static str) -> Self {
        let (found, asked) = (Some((found, unit)), Some((asked, unit)));
        Self { why, outside: None, found, asked }
    }

    /// The same so far outside.
    pub(super) fn by(self, outside: Outside) -> Self {
        Self { outside: Some(outside), ..self }
    }
}
