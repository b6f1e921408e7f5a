//! Water that passes between the oil and the insulation it wets: one moment to the next.
//!
//! Not modelled: cooler oil at the bottom of the tank, hotter paper in the winding, water in wood,
//! and the air in the conservator. All of the insulation is as warm as the top oil.

use super::diffusion::{CELLS, Diffusivity, Sheet};
use super::oil_over::{At, OilOver, oil_over};
use super::solubility::Solubility;
use crate::quantities::{Celsius, MoisturePercent};

/// Oil gives water back with this share of the diffusivity, whose constants are from memory, and takes it
/// up with all of it. Our choice.
const RETURN_SHARE: f64 = 0.5;
/// The oil is found to this share of its water, never below the equilibrium with the surface.
const RELATIVE: f64 = 1.0e-3;
/// The same for saturated oil, which must not creep up from step to step.
const RELATIVE_FULL: f64 = 1.0e-7;
/// Below this no closer share is asked for, ppm.
const LEAST_PPM: f64 = 0.1;
/// Trials of the surface content before the wettest oil found so far is taken.
const TRIALS: usize = 60;

/// Masses that exchange water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Masses {
    /// Oil, kg.
    pub oil_kg: f64,
    /// Dry insulation, kg.
    pub paper_kg: f64,
    /// Its thickness, wetted on both sides, mm.
    pub thickness_mm: f64,
}

/// Oil and the insulation it wets, at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Exchange {
    masses: Masses,
    solubility: Solubility,
    sheet: Sheet,
    ppm: f64,
    /// Surface content that the last step found; where the next one begins to look.
    surface_percent: f64,
    /// Fall of the oil's misfit per % of surface content, as the last step found it.
    slope: f64,
    beyond_isotherm: bool,
}

struct Tried {
    surface_percent: f64,
    sheet: Sheet,
    ppm: f64,
}

impl Exchange {
    /// At rest: the insulation everywhere as wet as stated, the oil in equilibrium with it.
    /// `None` for masses or a thickness that are none, and for oil above 150 °C.
    pub fn at_rest(
        masses: Masses,
        water: MoisturePercent,
        oil: Celsius,
        solubility: Solubility,
    ) -> Option<Self> {
        let is_mass = |kg| (1.0e-3..=1.0e9).contains(&kg);
        let depth_m = 0.5e-3 * masses.thickness_mm;
        let sheet = Sheet::new(Diffusivity::PRESSBOARD, depth_m, CELLS, water.value())?;
        let OilOver { ppm, beyond_isotherm } = oil_over(water, oil, solubility).ok()?;
        let at_rest = Self {
            masses,
            solubility,
            sheet,
            ppm,
            surface_percent: water.value(),
            slope: 0.0,
            beyond_isotherm,
        };
        (is_mass(masses.oil_kg) && is_mass(masses.paper_kg)).then_some(at_rest)
    }

    /// Water in the oil, ppm.
    pub fn ppm(&self) -> f64 {
        self.ppm
    }

    /// Water in oil and insulation together, kg.
    pub fn water_kg(&self) -> f64 {
        let in_paper = self.masses.paper_kg * self.sheet.mean_percent() * 1.0e-2;
        in_paper + self.masses.oil_kg * self.ppm * 1.0e-6
    }

    /// Whether paper wetter than the isotherm covers has given water, so that the oil is an upper bound.
    pub fn beyond_isotherm(&self) -> bool {
        self.beyond_isotherm
    }

    /// What the exchange is after some time at one temperature; the oil is well mixed.
    ///
    /// ```text
    /// m_o·(ppm' − ppm)·1e-6 = m_p·(C − C')/100        Cs = C(RS(ppm'), T) at the surface
    /// ```
    /// The surface content is found at which the oil at the end of the step is in equilibrium
    /// with it: the wetter the surface, the less the sheet gives.
    ///
    /// # Source       `fessler-1989`, `crank-1975`, `moisture-diffusion-memory`; the coupling is a balance of mass.
    /// # Valid        Surface at RS ≤ 30 % and 40 °C or more; oil up to 150 °C.
    /// # Departures   Below 40 °C the surface is in equilibrium as at 40 °C, and above 30 % it takes what it takes
    /// at 30 %: oil gives its water back slower than it would, and never faster. Paper wetter than at 30 %
    /// gives until the oil is saturated; oil above saturation takes nothing more. Water goes back into
    /// the insulation with half the diffusivity, which is half the time.
    /// # Checked      Balance and limits in the tests of this file; not checked against published numbers.
    ///
    /// Returns `None` for a time or a temperature that [`Sheet::trial`] or the solubility refuses.
    #[must_use]
    pub fn after(&self, seconds: f64, oil_c: f64) -> Option<Self> {
        let at = At::of(oil_c, self.solubility).ok()?;
        let seconds = if self.gives_back(&at) { seconds * RETURN_SHARE } else { seconds };
        let settle = |tried: Tried, slope: f64, beyond: bool| {
            let Tried { surface_percent, sheet, ppm } = tried;
            let beyond_isotherm = self.beyond_isotherm || beyond;
            Self { sheet, ppm, surface_percent, slope, beyond_isotherm, ..self.clone() }
        };
        let inside = |surface: f64| at.ppm_over(surface).unwrap_or(at.saturated_ppm);
        let (tried, slope) =
            self.balanced((0.0, at.edge_percent), RELATIVE, seconds, oil_c, inside)?;
        if tried.surface_percent < at.edge_percent || tried.ppm <= inside(at.edge_percent) {
            return Some(settle(tried, slope, false));
        }
        let gives = tried.ppm > self.ppm;
        if !gives || tried.ppm <= at.saturated_ppm {
            return Some(settle(tried, slope, gives));
        }
        let wettest = self.sheet.greatest_percent().max(at.edge_percent);
        let full_ppm = at.saturated_ppm.max(self.ppm);
        let saturated = |_surface: f64| full_ppm;
        let (tried, slope) =
            self.balanced((at.edge_percent, wettest), RELATIVE_FULL, seconds, oil_c, saturated)?;
        Some(settle(tried, slope, true))
    }

    /// Whether the oil as it is now would wet the outermost insulation.
    fn gives_back(&self, at: &At) -> bool {
        let (outermost, edge) = (self.sheet.profile().next(), at.edge_percent);
        let outermost_percent = outermost.map_or(edge, |(_, percent)| percent).min(edge);
        at.ppm_over(outermost_percent).is_ok_and(|ppm| self.ppm > ppm)
    }

    /// The trial whose oil is in equilibrium with its surface, or just wetter; the wet end of the
    /// range if oil is wetter even there.
    fn balanced(
        &self,
        (mut dry, mut wet): (f64, f64),
        relative: f64,
        seconds: f64,
        oil_c: f64,
        ppm_over: impl Fn(f64) -> f64,
    ) -> Option<(Tried, f64)> {
        let end = wet;
        let (mut best, mut slope) = (None::<Tried>, self.slope);
        let mut last: Option<(f64, f64)> = None;
        let mut surface = self.surface_percent.clamp(dry, wet);
        for _ in 0..TRIALS {
            let tried = self.tried(surface, seconds, oil_c)?;
            let excess = tried.ppm - ppm_over(surface);
            let within = relative * tried.ppm.max(LEAST_PPM);
            if let Some((before, its_excess)) = last
                && (surface - before).abs() > f64::EPSILON
            {
                slope = (its_excess - excess) / (surface - before);
            }
            last = Some((surface, excess));
            let settled = (0.0..=within).contains(&excess) || (excess >= 0.0 && surface >= end);
            if excess >= 0.0 {
                dry = surface;
                best = Some(tried);
            } else {
                wet = surface;
            }
            if settled {
                break;
            }
            // Aim at the middle of what is accepted, from where the straight line leads.
            let next = surface + (excess - 0.5 * within) / slope;
            let inside =
                next.is_finite() && next > dry && (next < wet || next >= end && wet >= end);
            surface = if inside { next.min(end) } else { f64::midpoint(dry, wet) };
        }
        Some((best.or_else(|| self.tried(dry, seconds, oil_c))?, slope))
    }

    fn tried(&self, surface_percent: f64, seconds: f64, oil_c: f64) -> Option<Tried> {
        let (sheet, _) = self.sheet.trial(seconds, surface_percent, oil_c)?;
        // From the sheet itself, so that the balance closes to rounding however long the course.
        let given_percent = self.sheet.mean_percent() - sheet.mean_percent();
        let gained_ppm = given_percent * 1.0e4 * self.masses.paper_kg / self.masses.oil_kg;
        Some(Tried { surface_percent, sheet, ppm: self.ppm + gained_ppm })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const MASSES: Masses = Masses { oil_kg: 18_500.0, paper_kg: 2300.0, thickness_mm: 3.0 };

    fn at_rest(percent: f64, oil_c: f64, masses: Masses) -> Exchange {
        let (water, oil) = (MoisturePercent::new(percent).unwrap(), Celsius::new(oil_c).unwrap());
        Exchange::at_rest(masses, water, oil, Solubility::MINERAL).unwrap()
    }

    fn passed(mut exchange: Exchange, hours: f64, oil_c: f64, step_min: f64) -> Exchange {
        let mut left_min = hours * 60.0;
        while left_min > 0.0 {
            exchange = exchange.after(60.0 * f64::min(step_min, left_min), oil_c).unwrap();
            left_min -= step_min;
        }
        exchange
    }

    proptest! {
            #[test]
        fn water_is_kept(
            percent in 0.0..12.0_f64, start_c in -20.0..150.0_f64, oil_log in 1.0..5.7_f64,
            paper_log in 0.0..5.3_f64, thickness_mm in 0.1..50.0_f64,
            steps in prop::collection::vec((-3.0..7.0_f64, -20.0..150.0_f64), 1..15),
        ) {
            let masses = Masses {
                oil_kg: 10.0_f64.powf(oil_log), paper_kg: 10.0_f64.powf(paper_log), thickness_mm,
            };
            let mut exchange = at_rest(percent, start_c, masses);
            let before_kg = exchange.water_kg();
            for (seconds_log, oil_c) in steps {
                exchange = exchange.after(10.0_f64.powf(seconds_log), oil_c).unwrap();
                let apart = (exchange.water_kg() - before_kg).abs();
                prop_assert!(apart <= 1.0e-10 * before_kg, "{apart} of {before_kg} kg");
                prop_assert!(exchange.ppm() >= 0.0);
            }
        }
    }

    #[test]
    fn at_rest_nothing_moves() {
        for (percent, oil_c) in [(0.5, 20.0), (1.3, 60.0), (3.3, 75.0), (2.0, 110.0)] {
            let rest = at_rest(percent, oil_c, MASSES);
            let later = passed(rest.clone(), 48.0, oil_c, 30.0);
            assert!((later.ppm() / rest.ppm() - 1.0).abs() <= RELATIVE, "{percent} {oil_c}");
        }
    }

    #[test]
    fn hotter_wetter_longer_and_more_surface_make_wetter_oil() {
        let ppm = |percent, oil_c, hours, masses| {
            passed(at_rest(percent, 55.0, masses), hours, oil_c, 10.0).ppm()
        };
        let usual = ppm(2.0, 85.0, 2.0, MASSES);
        assert!(ppm(2.0, 95.0, 2.0, MASSES) > usual);
        assert!(ppm(2.5, 85.0, 2.0, MASSES) > usual);
        assert!(ppm(2.0, 85.0, 4.0, MASSES) > usual);
        assert!(ppm(2.0, 85.0, 2.0, Masses { paper_kg: 4600.0, ..MASSES }) > usual);
        assert!(ppm(2.0, 85.0, 2.0, Masses { thickness_mm: 1.0, ..MASSES }) > usual);
        let most_ppm = at_rest(2.0, 85.0, MASSES).ppm();
        assert!(usual < most_ppm * (1.0 + RELATIVE), "never above the equilibrium");
    }

    /// An overload of two hours and the hours after it, with coarser and coarser steps.
    #[test]
    fn shorter_steps_change_little() {
        let course = |step_min: f64| {
            let hot = passed(at_rest(3.3, 55.0, MASSES), 2.0, 80.0, step_min);
            let cool = passed(hot.clone(), 3.0, 57.0, step_min);
            (hot.ppm(), cool.ppm())
        };
        let fine = course(1.0);
        // No water content in oil is known within 5 %.
        for (step_min, within) in [(2.0, 0.02), (10.0, 0.05)] {
            let coarse = course(step_min);
            assert!((coarse.0 / fine.0 - 1.0).abs() < within, "{coarse:?} {fine:?}");
            assert!((coarse.1 / fine.1 - 1.0).abs() < within, "{coarse:?} {fine:?}");
        }
    }

    #[test]
    fn paper_wetter_than_the_isotherm_saturates_the_oil_and_no_more() {
        let saturated = |oil_c: f64| At::of(oil_c, Solubility::MINERAL).unwrap().saturated_ppm;
        let wet = at_rest(5.5, 45.0, MASSES);
        assert!(!wet.beyond_isotherm());
        let hot = passed(wet, 48.0, 90.0, 30.0);
        assert!(hot.beyond_isotherm() && hot.ppm() <= saturated(90.0) * (1.0 + RELATIVE));
        assert!(hot.ppm() > 0.9 * saturated(90.0));
        let cooled = passed(hot.clone(), 4.0, 50.0, 30.0);
        assert!(cooled.ppm() <= hot.ppm() && cooled.ppm() > 0.0);
    }

    #[test]
    fn cold_oil_gives_back_no_faster_than_at_forty() {
        let wet = passed(at_rest(2.0, 50.0, MASSES), 4.0, 90.0, 10.0);
        let cold = passed(wet.clone(), 6.0, 10.0, 30.0);
        let warm = passed(wet.clone(), 6.0, 40.0, 30.0);
        assert!(cold.ppm() <= wet.ppm() && cold.ppm() > warm.ppm());
    }
}
