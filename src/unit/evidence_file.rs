//! The YAML of moisture evidence, insulation and paper condition, as it stands in the profile.

use super::profile::OilC;
use crate::input::number::Number;
use crate::input::text::{Date, Line};
use crate::moisture::evidence::{Location, Method, SetAside};
use crate::ranges;
use schemars::JsonSchema;
use serde::Deserialize;

ranges! {
    /// Water in paper.
    PaperPercent: "% by mass of dry paper, not a fraction", 0.1, 20.0;
    /// Standard uncertainty of water in paper.
    PaperStd: "% points; no method is better than 0.05", 0.05, 10.0;
    /// Water in oil.
    OilPpm: "ppm by mass", 0.1, 2000.0;
    /// Standard uncertainty of water in oil.
    OilStd: "ppm by mass", 0.1, 500.0;
    /// Relative saturation.
    RsPercent: "% of saturation", 0.1, 100.0;
    /// Standard uncertainty of relative saturation.
    RsStd: "% points of saturation", 0.1, 50.0;
    /// Standard uncertainty of a temperature.
    StdK: "K", 0.1, 50.0;
    /// Oil or insulation temperature of a measurement; hotter oil is a slip.
    WitnessC: "°C", -50.0, 115.0;
    /// Hours of steady load.
    SteadyH: "h", 0.0, 10_000.0;
    /// Minutes in the air.
    ExposureMin: "min", 0.0, 100_000.0;
    /// Yearly increase of water in paper.
    YearlyPercent: "% points a year", 0.01, 1.0;
    /// Water in paper after drying.
    StartPercent: "% by mass of dry paper", 0.1, 5.0;
    /// Constant A of the solubility of water in oil.
    SolubilityA: "log10 S = A - B/T, S in ppm", 3.0, 10.0;
    /// Constant B of the solubility of water in oil.
    SolubilityB: "K", 300.0, 3000.0;
    /// Mass of insulation.
    InsulationKg: "kg", 1.0, 200_000.0;
    /// Thickness of insulation or paper.
    ThicknessMm: "mm", 0.1, 50.0;
    /// Degree of polymerisation.
    Polymerisation: "degree of polymerisation", 100.0, 1300.0;
    /// Degree of polymerisation of new paper.
    NewPolymerisation: "degree of polymerisation", 900.0, 1300.0;
}

/// A witness of the moisture in the paper: exactly one of `percent`, `ppm`, `rs_percent`, `series` and
/// `yearly_increase_percent`, and what is known of how it was found.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WitnessFile {
    /// How the figure was come by.
    pub method: Option<Method>,
    /// Water in paper, % by mass of dry oil-free paper.
    pub percent: Option<Number<PaperPercent>>,
    /// Standard uncertainty of `percent`, in % points; without it the method's usual one.
    pub std: Option<Number<PaperStd>>,
    /// Water in oil, ppm by mass.
    pub ppm: Option<Number<OilPpm>>,
    /// Standard uncertainty of `ppm`; without it one laboratory's usual one, 5.1 ppm.
    pub std_ppm: Option<Number<OilStd>>,
    /// Relative saturation of the oil, %.
    pub rs_percent: Option<Number<RsPercent>>,
    /// Readings of a saturation probe over time: a CSV file in the profile's folder or below it, with
    /// the columns `minute` or `time`, `rs_percent` and `oil_c`.
    pub series: Option<Line>,
    /// Standard uncertainty of `rs_percent` and of a series, % points of saturation; without it 2.
    pub std_rs_percent: Option<Number<RsStd>>,
    /// Increase of water in paper in a year, % points: an assumption from age and preservation.
    pub yearly_increase_percent: Option<Number<YearlyPercent>>,
    /// Water in paper after the last drying, for that assumption (default 0.5), %.
    pub start_percent: Option<Number<StartPercent>>,
    /// Oil temperature at the measurement, °C.
    pub oil_c: Option<Number<WitnessC>>,
    /// Standard uncertainty of that temperature, K; without it 3 for a sample and 2 for a probe.
    pub std_oil_k: Option<Number<StdK>>,
    /// Insulation temperature at the measurement, °C.
    pub insulation_c: Option<Number<WitnessC>>,
    /// Where it looks: the bulk of the barriers, paper surfaces, or one spot of a winding.
    pub location: Option<Location>,
    /// For how long load and oil temperature had been steady before, h.
    pub steady_h: Option<Number<SteadyH>>,
    /// How long a paper sample was in the air before titration, min.
    pub exposure_min: Option<Number<ExposureMin>>,
    /// Whether the oil is aged and conducts.
    pub aged_conductive_oil: Option<bool>,
    /// Date of the measurement.
    pub date: Option<Date>,
    /// Free text.
    pub note: Option<Line>,
    /// Somebody's decision that this witness does not count.
    pub set_aside: Option<SetAsideFile>,
}

/// A named person's decision that a witness does not count.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetAsideFile {
    /// Who decided.
    pub by: Line,
    /// Why.
    pub why: Line,
}

impl SetAsideFile {
    /// What a decision must hold.
    pub const ACCEPTED: &'static str = "who decided (by) and why, each in words";

    /// The decision, if it names somebody and a reason; else the line and what stands there.
    pub(crate) fn named(&self) -> Result<SetAside, (usize, String)> {
        for line in [&self.by, &self.why] {
            if line.0.chars().filter(|c| c.is_alphanumeric()).count() < 3 {
                return Err((line.1, line.0.clone()));
            }
        }
        Ok(SetAside { by: self.by.0.clone(), why: self.why.0.clone() })
    }
}

/// Solubility of water measured in the unit's own, aged oil: log10 S = A − B/T, S in ppm, T in K.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SolubilityFile {
    /// Constant A.
    pub a: Number<SolubilityA>,
    /// Constant B, K.
    pub b: Number<SolubilityB>,
    /// Who measured it, and when.
    pub measured_by: Line,
}

/// Paper and pressboard.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InsulationFile {
    /// Mass of paper and pressboard in exchange with the oil, kg.
    pub mass_kg: Option<Number<InsulationKg>>,
    /// Usual thickness of it, wetted on both sides, mm.
    pub thickness_mm: Option<Number<ThicknessMm>>,
    /// Paper on the conductor at the hot spot, wetted on one side, mm.
    pub winding_paper_mm: Option<Number<ThicknessMm>>,
}

/// Condition of the paper.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PaperConditionFile {
    /// Degree of polymerisation when new (default 1000).
    pub dp_new: Option<Number<NewPolymerisation>>,
    /// Degree of polymerisation now, measured or estimated without furans.
    pub dp: Option<Number<Polymerisation>>,
    /// Date of that.
    pub date: Option<Date>,
    /// Hot spot of an average day, °C, from which the present degree is estimated if none is stated.
    pub usual_hot_spot_c: Option<Number<OilC>>,
}
