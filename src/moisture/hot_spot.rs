//! Water in the paper at the hot spot: drier than the bulk, once it has been hot for long enough.
//!
//! The oil circulates one water content everywhere, so that hot paper is in equilibrium with drier
//! surroundings than cool paper. Water leaves through the paper's thickness, slowly.
//!
//! Not modelled: water that the hot paper makes by ageing, and vapour bubbles themselves.

use super::conversion::MOST_SATURATION;
use super::diffusion::{CELLS, Diffusivity, Sheet};
use super::isotherm::{vapour_over, water_at};
use super::solubility::Solubility;
use super::vapour::saturation_pressure;
use crate::quantities::{Celsius, MoisturePercent, Pascals, WaterPpm};

/// Paper dries with this share of the diffusivity, whose constants are from memory, and takes water up
/// with all of it. Our choice.
const DRYING_SHARE: f64 = 0.5;

/// No credit makes the paper drier than this, %. Our choice: the driest of published ageing and
/// bubbling tables.
const DRIEST_PERCENT: f64 = 0.5;

/// Temperatures at one moment; between two of them the less drying end of each is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Time, min.
    pub minute: f64,
    /// Top oil, °C: the hotter it is, the more water the oil carries.
    pub top_oil_c: f64,
    /// Hot spot, °C: the hotter it is, the drier the paper there.
    pub hot_spot_c: f64,
}

/// Water in paper at the hot spot in equilibrium with oil that carries what the bulk gives to it.
///
/// ```text
/// oil:       RS = p_v(W, θo)/p_sat(θo)      ppm = RS·S(θo)
/// hot spot:  p_v = ppm/S(θh)·p_sat(θh)      then the isotherm at p_v and θh
/// ```
/// # Source       `fessler-1989`, `iapws-sr1-86`, `solubility-table`; one water content in all the oil is common
/// practice, no source.
/// # Valid        Oil from 40 °C and up to 30 % of saturation, hot spot up to 150 °C; otherwise `None`.
/// # Departures   Never wetter than the bulk.
/// # Checked      `tests/published/independent_recomputation.rs` (3 % at 50 °C is about 1.3 % at 75 °C).
pub fn equilibrium(
    bulk: MoisturePercent,
    top_oil: Celsius,
    hot_spot: Celsius,
    solubility: Solubility,
) -> Option<MoisturePercent> {
    let saturation =
        vapour_over(bulk, top_oil).ok()?.value() / saturation_pressure(top_oil).ok()?.value();
    if !(saturation <= MOST_SATURATION) {
        return None;
    }
    let ppm = saturation * solubility.saturation(top_oil).ok()?.value();
    let there = solubility.relative(WaterPpm::new(ppm).ok()?, hot_spot).ok()?;
    let vapour = Pascals::new(there.value() * saturation_pressure(hot_spot).ok()?.value()).ok()?;
    let dried = water_at(vapour, hot_spot).ok()?;
    Some(if dried < bulk { dried } else { bulk })
}

/// The paper on the conductor at the hot spot.
#[derive(Debug, Clone)]
pub struct HotSpotPaper {
    bulk: MoisturePercent,
    holding_factor: f64,
    solubility: Solubility,
    wet: Sheet,
    sheet: Sheet,
    surface_percent: f64,
    last: Option<Moment>,
}

impl HotSpotPaper {
    /// Paper as wet as the bulk throughout, which holds this share of what new paper holds.
    ///
    /// `None` for a thickness that is none.
    pub fn new(
        bulk: MoisturePercent,
        thickness_mm: f64,
        holding_factor: f64,
        solubility: Solubility,
    ) -> Option<Self> {
        let sheet = Sheet::new(Diffusivity::KRAFT, thickness_mm / 1000.0, CELLS, bulk.value())?;
        let wet = sheet.clone();
        let surface_percent = bulk.value();
        Some(Self { bulk, holding_factor, solubility, wet, sheet, surface_percent, last: None })
    }

    /// Carries the paper on to the next moment. Where the equilibrium is outside its range the
    /// surface is taken to be as wet as the bulk.
    pub fn carry_on(&mut self, to: Moment) {
        if let Some(from) = self.last.replace(to) {
            let seconds = (to.minute - from.minute) * 60.0;
            let surface = self.surface(&from).max(self.surface(&to));
            let outermost = self.sheet.profile().next().map_or(0.0, |(_, percent)| percent);
            let (seconds, temperature_c) = if surface > outermost {
                (seconds, from.hot_spot_c.max(to.hot_spot_c))
            } else {
                (seconds * DRYING_SHARE, from.hot_spot_c.min(to.hot_spot_c))
            };
            // What cannot be computed dries nothing.
            if self.sheet.advance(seconds, surface, temperature_c).is_none() {
                self.sheet = self.wet.clone();
            }
            self.surface_percent = surface;
        }
    }

    /// The wettest part of it, not below the driest that is credited.
    pub fn wettest(&self) -> MoisturePercent {
        let wettest = self.sheet.greatest_percent().max(self.surface_percent).max(DRIEST_PERCENT);
        MoisturePercent::new(wettest.min(self.bulk.value())).unwrap_or(self.bulk)
    }

    fn surface(&self, moment: &Moment) -> f64 {
        let bulk = self.bulk.value();
        let (Ok(oil), Ok(hot_spot)) =
            (Celsius::new(moment.top_oil_c), Celsius::new(moment.hot_spot_c))
        else {
            return bulk;
        };
        // New paper at the same vapour pressure holds so much, and this paper its share of it.
        let new = MoisturePercent::new(bulk / self.holding_factor).ok();
        let dried = new.and_then(|new| equilibrium(new, oil, hot_spot, self.solubility));
        dried.map_or(bulk, |dried| (dried.value() * self.holding_factor).min(bulk))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn percent(value: f64) -> MoisturePercent {
        MoisturePercent::new(value).unwrap()
    }

    fn after(hours: f64, hot_spot_c: f64, top_oil_c: f64) -> f64 {
        let mut paper = HotSpotPaper::new(percent(3.0), 0.5, 1.0, Solubility::MINERAL).unwrap();
        for step in 0..=12 {
            let minute = hours * 60.0 * f64::from(step) / 12.0;
            paper.carry_on(Moment { minute, top_oil_c, hot_spot_c });
        }
        paper.wettest().value()
    }

    #[test]
    fn hot_paper_dries_slowly_toward_its_equilibrium() {
        let equilibrium = equilibrium(
            percent(3.0),
            Celsius::new(60.0).unwrap(),
            Celsius::new(85.0).unwrap(),
            Solubility::MINERAL,
        );
        let dry = equilibrium.unwrap().value();
        let course = [0.1, 1.0, 10.0, 100.0, 1000.0].map(|hours| after(hours, 85.0, 60.0));
        assert!(course.windows(2).all(|pair| pair[1] <= pair[0]), "{course:?}");
        // Six minutes are a fiftieth of the time constant of half a millimetre at this temperature.
        assert!(course[0] > 2.9, "{course:?}");
        assert!(course[4] - dry < 0.01 && course[4] >= dry, "{course:?} to {dry}");
    }

    #[test]
    fn nothing_dries_without_a_gradient_or_outside_the_range() {
        assert!((after(1000.0, 60.0, 60.0) - 3.0).abs() < 1.0e-9, "no gradient");
        assert!((after(1000.0, 55.0, 30.0) - 3.0).abs() < 1.0e-9, "cold oil");
        assert!((after(1000.0, 160.0, 90.0) - 3.0).abs() < 1.0e-9, "hotter than the solubility");
        assert!((after(1000.0, f64::NAN, 60.0) - 3.0).abs() < 1.0e-9, "not a number");
    }

    /// A cold spell wets the paper at full speed; an hour's heat afterwards dries the surface only.
    #[test]
    fn water_that_came_back_is_not_forgotten() {
        let mut paper = HotSpotPaper::new(percent(3.3), 0.6, 1.0, Solubility::MINERAL).unwrap();
        let spells = [(720.0, 70.0, 102.0), (24.0, 50.0, 52.0), (1.0, 72.0, 104.0)];
        let (mut minute, mut after) = (0.0, Vec::new());
        for (hours, top_oil_c, hot_spot_c) in spells {
            for _ in 0..24 {
                paper.carry_on(Moment { minute, top_oil_c, hot_spot_c });
                minute += hours * 60.0 / 24.0;
            }
            after.push(paper.wettest().value());
        }
        assert!(after[0] < 1.5 && after[1] > 3.0, "{after:?}");
        // The hour is little more than one time constant of drying: a third is still inside.
        let left = (after[2] - after[0]) / (after[1] - after[0]);
        assert!(left > 0.3, "{after:?}");
    }

    #[test]
    fn a_hot_spot_cooler_than_the_oil_is_not_wetter_than_the_bulk() {
        let (oil, hot_spot) = (Celsius::new(70.0).unwrap(), Celsius::new(60.0).unwrap());
        let found = equilibrium(percent(2.0), oil, hot_spot, Solubility::MINERAL);
        assert_eq!(found, Some(percent(2.0)));
    }

    #[test]
    fn hotter_oil_dries_less() {
        assert!(after(20.0, 90.0, 75.0) > after(20.0, 90.0, 60.0));
    }
}
