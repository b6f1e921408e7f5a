//! Witnesses of how wet the paper is.

use crate::quantities::MoisturePercent;
use serde::{Deserialize, Serialize};

/// How a moisture figure was come by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Dielectric response in the frequency or time domain.
    DielectricResponse,
    /// Water in an oil sample with an equilibrium isotherm.
    OilSample,
    /// Relative-saturation probe in the oil.
    SaturationProbe,
    /// Paper sample by Karl Fischer titration.
    PaperSample,
    /// Assumed from age and preservation.
    Assumed,
}

impl Method {
    /// The method in words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::DielectricResponse => "dielectric response",
            Self::OilSample => "oil sample",
            Self::SaturationProbe => "saturation probe",
            Self::PaperSample => "paper sample",
            Self::Assumed => "assumption",
        }
    }
}

/// What a witness says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Statement {
    /// Water in paper with its standard uncertainty in % points, `None` if not stated.
    Paper {
        /// The figure.
        percent: MoisturePercent,
        /// Its standard uncertainty, % points.
        std: Option<f64>,
    },
    /// A figure for the oil, which this version cannot turn into water in paper.
    Oil,
}

/// One witness of the moisture in the paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Witness {
    /// How the figure was come by, if stated.
    pub method: Option<Method>,
    /// What it says.
    pub statement: Statement,
    /// Date of the measurement, as written in the profile.
    pub date: Option<String>,
    /// Who set the witness aside and why, if somebody did.
    pub set_aside: Option<SetAside>,
}

/// A named person's decision that a witness does not count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetAside {
    /// Who decided.
    pub by: String,
    /// Why.
    pub why: String,
}

impl Witness {
    /// The witness in a few words, for findings.
    pub fn in_words(&self) -> String {
        let method = self.method.map_or("moisture figure", Method::in_words);
        match &self.date {
            Some(date) => format!("{method} of {date}"),
            None => method.to_owned(),
        }
    }
}
