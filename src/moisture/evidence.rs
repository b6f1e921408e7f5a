//! Witnesses of how wet the paper is, as somebody measured or assumed them.

use super::series::ProbePoint;
use crate::quantities::{Celsius, MoisturePercent, RelativeSaturation, WaterPpm};
use chrono::NaiveDate;
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

    /// Whether it sees the oil and infers the paper.
    pub fn sees_oil(self) -> bool {
        matches!(self, Self::OilSample | Self::SaturationProbe)
    }
}

/// Where in the insulation a witness looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Location {
    /// The bulk of the barriers and spacers between the windings.
    Bulk,
    /// Paper surfaces in exchange with the oil.
    Surface,
    /// One spot at the hot end of a winding, drier than the bulk.
    TopOfWinding,
    /// One spot at the cool end of a winding, wetter than the bulk.
    BottomOfWinding,
}

impl Location {
    /// The place in words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Bulk => "bulk",
            Self::Surface => "surface",
            Self::TopOfWinding => "top of winding",
            Self::BottomOfWinding => "bottom of winding",
        }
    }
}

/// What a witness says.
#[derive(Debug, Clone, PartialEq)]
pub enum Statement {
    /// Water in paper with its standard uncertainty in % points, `None` if not stated.
    Paper {
        /// The figure.
        percent: MoisturePercent,
        /// Its standard uncertainty, % points.
        std: Option<f64>,
    },
    /// Water in an oil sample.
    Oil {
        /// The figure.
        ppm: WaterPpm,
        /// Its standard uncertainty, ppm.
        std_ppm: Option<f64>,
    },
    /// One reading of a relative-saturation probe.
    Probe {
        /// The reading.
        saturation: RelativeSaturation,
        /// Its standard uncertainty, as a fraction of saturation.
        std: Option<f64>,
    },
    /// A series of readings of a relative-saturation probe.
    Series {
        /// The readings, in order of time.
        points: Vec<ProbePoint>,
        /// Standard uncertainty of a reading, as a fraction of saturation.
        std: Option<f64>,
    },
    /// Nothing but age and preservation.
    Age {
        /// Water after the last drying, %.
        start_percent: f64,
        /// Increase in a year, % points.
        yearly_percent: f64,
    },
}

/// One witness of the moisture in the paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Witness {
    /// How the figure was come by, if stated.
    pub method: Option<Method>,
    /// What it says.
    pub statement: Statement,
    /// Date of the measurement.
    pub date: Option<NaiveDate>,
    /// Oil temperature at the measurement.
    pub oil: Option<Celsius>,
    /// Standard uncertainty of that temperature, K.
    pub std_oil_k: Option<f64>,
    /// Insulation temperature at the measurement, °C.
    pub insulation_c: Option<f64>,
    /// Where it looks, if stated.
    pub location: Option<Location>,
    /// For how long load and temperature had been steady, h.
    pub steady_h: Option<f64>,
    /// How long a paper sample was in air before titration, min.
    pub exposure_min: Option<f64>,
    /// Whether the oil is aged and conducts.
    pub aged_conductive_oil: Option<bool>,
    /// Free text.
    pub note: Option<String>,
    /// Who set the witness aside and why, if somebody did.
    pub set_aside: Option<SetAside>,
}

/// A named person's decision.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SetAside {
    /// Who decided.
    pub by: String,
    /// Why.
    pub why: String,
}

impl Witness {
    /// A witness that states nothing but its figure.
    pub fn new(method: Option<Method>, statement: Statement) -> Self {
        Self {
            method,
            statement,
            date: None,
            oil: None,
            std_oil_k: None,
            insulation_c: None,
            location: None,
            steady_h: None,
            exposure_min: None,
            aged_conductive_oil: None,
            note: None,
            set_aside: None,
        }
    }

    /// Whether two entries tell of one measurement, however sure each says it is.
    pub fn same_measurement(&self, other: &Self) -> bool {
        let figure = |witness: &Self| match &witness.statement {
            Statement::Paper { percent, .. } => (0, percent.value()),
            Statement::Oil { ppm, .. } => (1, ppm.value()),
            Statement::Probe { saturation, .. } => (2, saturation.value()),
            Statement::Series { points, .. } => {
                (3, points.iter().map(|point| point.saturation.value()).sum())
            }
            Statement::Age { .. } => (4, 0.0),
        };
        let ((kind, own), (other_kind, others)) = (figure(self), figure(other));
        kind == other_kind
            && own.to_bits() == others.to_bits()
            && (self.method, self.date, self.oil, self.location)
                == (other.method, other.date, other.oil, other.location)
    }

    /// The method in words, also where none is stated.
    pub fn method_in_words(&self) -> &'static str {
        self.method.map_or("moisture figure", Method::in_words)
    }

    /// The witness in a few words, for findings.
    pub fn in_words(&self) -> String {
        match &self.date {
            Some(date) => format!("{} of {date}", self.method_in_words()),
            None => self.method_in_words().to_owned(),
        }
    }
}
