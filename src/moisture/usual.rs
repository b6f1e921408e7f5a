//! How sure each method usually is of its figure, and the limits outside which it is no witness.

use super::conversion::{MOST_SATURATION, from_ppm, from_saturation, std_percent};
use super::evidence::Method;
use super::isotherm;
use super::solubility::Solubility;
use super::vapour::saturation_pressure;
use crate::quantities::{Celsius, MoisturePercent, RelativeSaturation, WaterPpm};

/// One laboratory's standard deviation of water in oil by coulometric titration, ppm: the
/// reproducibility of 14 mg/kg over 2.77. Source: `astm-d1533` (round robin of 34 laboratories).
pub const OIL_STD_PPM: f64 = 14.0 / 2.77;

/// Standard uncertainty of a saturation probe's reading, fraction of saturation. Common
/// practice, no source: makers state ±2 %.
pub const PROBE_STD: f64 = 0.02;

/// Standard uncertainty of the oil temperature that goes with a sample, K. Our choice, no source:
/// it stands for the temperature of the paper that the oil is in exchange with.
pub const SAMPLE_STD_K: f64 = 3.0;

/// The same for a probe, which measures it in place, K. Our choice, no source.
pub const PROBE_STD_K: f64 = 2.0;

/// An oil witness of which nobody says whether it was in equilibrium is this much less sure.
/// Our choice, no source.
pub const UNKNOWN_EQUILIBRIUM: f64 = 1.5;

/// Standard uncertainty of what is assumed for the water after drying, % points. Our choice.
pub const START_STD: f64 = 0.5;

/// Share of an assumed increase that is its standard uncertainty. Our choice, no source.
pub const INCREASE_RELATIVE: f64 = 0.5;

/// Water after the last drying where none is stated, %. Common practice, no source.
pub const START_PERCENT: f64 = 0.5;

/// Usual standard uncertainty of a figure for water in paper, % points; `None` for a method that
/// must state its own, and for oil, see [`super::conversion::std_percent`].
///
/// ```text
/// u = √(a² + (b·W)²)
/// ```
/// Common practice, no source: a dielectric response is trusted to about half a per cent, a
/// paper sample somewhat better, and both worse when wet. a and b are our choice.
pub fn paper_std(method: Method, percent: f64) -> Option<f64> {
    let (a, b) = match method {
        Method::DielectricResponse => (0.3, 0.10),
        Method::PaperSample => (0.25, 0.08),
        Method::OilSample | Method::SaturationProbe | Method::Assumed => return None,
    };
    let (a, b): (f64, f64) = (a, b);
    Some(a.hypot(b * percent))
}

/// What a witness must fulfil to count. Local rules may tighten it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Criteria {
    /// Evidence older than this is stale, months. Common practice, no source.
    pub oldest_months: f64,
    /// Oil colder than this is a poor witness of the paper, °C. Common practice, no source.
    pub coldest_oil_c: f64,
    /// A sample drier than this is within the method's noise, ppm. Common practice, no source:
    /// about twice the detection limit of 8 mg/kg of `astm-d1533`.
    pub least_ppm: f64,
    /// A probe reading below this is within the method's noise, fraction of saturation. Our choice.
    pub least_saturation: f64,
    /// Load and temperature must have been steady for this long, h: the time in which water
    /// moves through half a millimetre of paper at 60 °C, twice over. Our choice, no source.
    pub steady_h: f64,
}

impl Criteria {
    /// The laxer of two sets in every point.
    #[must_use]
    pub fn laxer(self, other: Self) -> Self {
        Self {
            oldest_months: self.oldest_months.max(other.oldest_months),
            coldest_oil_c: self.coldest_oil_c.min(other.coldest_oil_c),
            least_ppm: self.least_ppm.min(other.least_ppm),
            least_saturation: self.least_saturation.min(other.least_saturation),
            steady_h: self.steady_h.min(other.steady_h),
        }
    }
}

impl Default for Criteria {
    fn default() -> Self {
        Self {
            oldest_months: 24.0,
            coldest_oil_c: 50.0,
            least_ppm: 15.0,
            least_saturation: 0.03,
            steady_h: 8.0,
        }
    }
}

/// Oil this near to saturation is never left out of account, whatever else was wrong with the measurement:
/// free water may be about, and the isotherm says nothing of it. Our choice, no source: a probe's usual ±2 %
/// and a laboratory's ±10 % leave it below saturation.
pub const NEAR_SATURATION: f64 = 0.80;

/// Oil temperature at which an oil witness is worth taking, °C. Our choice, no source.
pub const GOOD_OIL_C: f64 = 60.0;

/// Standard uncertainty that a method usually reaches under good conditions at this water content,
/// % points: oil witnesses at [`GOOD_OIL_C`] and in equilibrium. `None` where the method could not
/// be used, such as an oil sample of dry paper.
pub fn std_under_good_conditions(
    method: Method,
    water: MoisturePercent,
    solubility: Solubility,
) -> Option<f64> {
    if !method.sees_oil() {
        return paper_std(method, water.value());
    }
    if method == Method::OilSample
        && ppm_at_good_oil(water, solubility)? < Criteria::default().least_ppm
    {
        return None;
    }
    oil_std_at_best(method, water, solubility)
}

/// Standard uncertainty that a figure of this method has under good conditions, % points, whatever the method
/// is worth there: below it nobody's doubt about a measurement is looked at when measurements are weighed
/// against each other. `None` where no method is stated.
///
/// # Source       As [`std_under_good_conditions`]; that it serves as a floor is our choice.
/// # Valid        Any water content; where oil gives none it is that of a paper sample.
/// # Departures   Oil nearer to saturation than the isotherm covers has the relative uncertainty of its edge.
/// # Checked      Not checked against published numbers.
/// # Errors       None.
pub(super) fn std_at_best(
    method: Option<Method>,
    water: MoisturePercent,
    solubility: Solubility,
) -> Option<f64> {
    let own = match method? {
        method @ (Method::OilSample | Method::SaturationProbe) => {
            oil_std_at_best(method, water, solubility)
        }
        method @ (Method::DielectricResponse | Method::PaperSample | Method::Assumed) => {
            paper_std(method, water.value())
        }
    };
    own.or_else(|| paper_std(Method::PaperSample, water.value()))
}

/// Oil at [`GOOD_OIL_C`] in equilibrium with paper of this water content, fraction of saturation.
fn saturation_at_good_oil(water: MoisturePercent) -> Option<(Celsius, f64)> {
    let oil = Celsius::new(GOOD_OIL_C).ok()?;
    let vapour = isotherm::vapour_over(water, oil).ok()?;
    Some((oil, vapour.value() / saturation_pressure(oil).ok()?.value()))
}

fn ppm_at_good_oil(water: MoisturePercent, solubility: Solubility) -> Option<f64> {
    let (oil, saturation) = saturation_at_good_oil(water)?;
    Some(saturation * solubility.saturation(oil).ok()?.value())
}

fn oil_std_at_best(method: Method, water: MoisturePercent, solubility: Solubility) -> Option<f64> {
    let (oil, saturation) = saturation_at_good_oil(water)?;
    // Nearer to saturation than the isotherm covers the relative uncertainty is that of its edge.
    let reading = RelativeSaturation::new(saturation.min(MOST_SATURATION)).ok()?;
    let of_reading = |oil| from_saturation(reading, oil);
    let at_edge = water.value() / of_reading(oil).ok()?.value();
    let (relative, oil_k) = if method == Method::SaturationProbe {
        (PROBE_STD / saturation, PROBE_STD_K)
    } else {
        (OIL_STD_PPM / ppm_at_good_oil(water, solubility)?, SAMPLE_STD_K)
    };
    // Of oil with a stated content the saturation falls as it warms; of one with a stated saturation not.
    let std = if method == Method::SaturationProbe || saturation > MOST_SATURATION {
        std_percent(relative, oil, oil_k, of_reading).ok()?
    } else {
        let ppm = WaterPpm::new(ppm_at_good_oil(water, solubility)?).ok()?;
        std_percent(relative, oil, oil_k, |oil| from_ppm(ppm, oil, solubility)).ok()?
    };
    Some(std * at_edge)
}
