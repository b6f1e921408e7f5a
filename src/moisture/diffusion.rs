//! Diffusion of water through the thickness of oil-impregnated paper or board.
//!
//! Not modelled: swelling, cracks, temperature differences within the sheet, and transport along it.

use super::diffusion_step::{Step, bounds};
use std::f64::consts::PI;

/// Cells that keep the uptake of a sheet within 0.0012 of the final one (`crank-1975`).
pub const CELLS: usize = 16;

/// How fast water diffuses, against water content and temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Diffusivity {
    /// D0, at no water and 298 K.
    pub d0_m2_s: f64,
    /// k, growth of ln D per per cent of water.
    pub per_percent: f64,
    /// Ea, activation energy over the gas constant.
    pub activation_k: f64,
}

impl Diffusivity {
    /// Kraft paper in oil; from memory (`moisture-diffusion-memory`).
    pub const KRAFT: Self = Self { d0_m2_s: 1.34e-13, per_percent: 0.5, activation_k: 8074.0 };

    /// Pressboard in oil; from memory (`moisture-diffusion-memory`).
    pub const PRESSBOARD: Self = Self { d0_m2_s: 6.44e-14, per_percent: 0.5, activation_k: 7646.0 };

    /// One that neither water nor temperature changes.
    pub const fn constant(d_m2_s: f64) -> Self {
        Self { d0_m2_s: d_m2_s, per_percent: 0.0, activation_k: 0.0 }
    }

    /// Diffusivity in m²/s.
    ///
    /// ```text
    /// D = D0·exp[k·C + Ea·(1/T0 − 1/T)]      C in %, T = θ + 273 K, T0 = 298 K
    /// ```
    /// # Source       `moisture-diffusion-memory`: form and constants from memory.
    /// # Valid        Mineral oil; the range of the measurements behind it is not known to us.
    /// # Departures   273 and not 273.15, so that T0 is 25 °C.
    /// # Checked      Not checked against published numbers.
    pub fn at(&self, percent: f64, temperature_c: f64) -> f64 {
        let hotter = 1.0 / 298.0 - 1.0 / (temperature_c + 273.0);
        self.d0_m2_s * (self.per_percent * percent + self.activation_k * hotter).exp()
    }

    /// Whether no exponent can overflow with it.
    fn is_plausible(&self) -> bool {
        self.d0_m2_s > 0.0
            && self.d0_m2_s <= 1.0
            && (0.0..=1.0).contains(&self.per_percent)
            && (0.0..=20_000.0).contains(&self.activation_k)
    }
}

/// Time constant in s of the slowest mode of a sheet that one side dries or wets.
///
/// ```text
/// t = 4·L²/(π²·D)
/// ```
/// # Source       `crank-1975`, plane sheet (second-hand).
/// # Valid        Constant D.
/// # Departures   None.
/// # Checked      See the tests of this file: 0.33, 4.4 and 71 h, which come out with D at 2 % water.
pub fn time_constant_s(depth_m: f64, d_m2_s: f64) -> f64 {
    4.0 * depth_m * depth_m / (PI * PI * d_m2_s)
}

/// Accuracy of a step in time, %: by how much one implicit step and two of half its length may
/// differ, averaged over the sheet. What is kept is the extrapolation of both, far closer than this.
const STEP_PERCENT: f64 = 1.0e-3;
/// No step is split into more parts than this.
const PARTS: f64 = 4096.0;
/// The innermost cell is so many times wider than the outermost.
const GRADING: f64 = 5.0;

/// Water over the thickness of a sheet with oil on one side and the other side closed
/// (a conductor, or the middle of a sheet with oil on both sides).
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    diffusivity: Diffusivity,
    depth_m: f64,
    /// From the surface inwards.
    widths_m: Vec<f64>,
    percent: Vec<f64>,
}

impl Sheet {
    /// A sheet with the same water content all through. `None` for what is no sheet: a depth
    /// outside 1 µm to 1 m, cells outside 2 to 1000, water outside 0 to 100 %, a diffusivity that is
    /// zero or could overflow, and anything that is not finite.
    pub fn new(
        diffusivity: Diffusivity,
        depth_m: f64,
        cells: usize,
        initial_percent: f64,
    ) -> Option<Self> {
        let is_sheet = diffusivity.is_plausible()
            && (1.0e-6..=1.0).contains(&depth_m)
            && (2..=1000).contains(&cells)
            && (0.0..=100.0).contains(&initial_percent);
        let last = f64::from(u16::try_from(cells).ok()?) - 1.0;
        let relative = |cell: u16| GRADING.powf(f64::from(cell) / last);
        let relative: Vec<f64> = (0..).take(cells).map(relative).collect();
        let whole: f64 = relative.iter().sum();
        let widths_m = relative.iter().map(|width| width * depth_m / whole).collect();
        let percent = vec![initial_percent; cells];
        is_sheet.then_some(Self { diffusivity, depth_m, widths_m, percent })
    }

    /// Mean water content, %.
    pub fn mean_percent(&self) -> f64 {
        let pairs = self.widths_m.iter().zip(&self.percent);
        pairs.map(|(width_m, percent)| width_m * percent).sum::<f64>() / self.depth_m
    }

    /// Water content of the wettest cell, %. The surface itself is not a cell.
    pub fn greatest_percent(&self) -> f64 {
        self.percent.iter().copied().fold(0.0, f64::max)
    }

    /// Depth of the middle of each cell in m and its water content in %, from the surface inwards.
    pub fn profile(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let mut outer_m = 0.0;
        self.widths_m.iter().zip(&self.percent).map(move |(width_m, percent)| {
            let middle_m = outer_m + 0.5 * width_m;
            outer_m += width_m;
            (middle_m, *percent)
        })
    }

    /// Lets time pass with the surface held at a water content and the whole sheet at a temperature.
    ///
    /// Returns the water that has left, as a fall of the mean in % points; negative if it came in.
    /// `None`, and an unchanged sheet, if an argument is not finite, the time negative or above 1e10 s,
    /// the surface outside 0 to 100 %, or the temperature outside −200 to 1000 °C.
    pub fn advance(
        &mut self,
        seconds: f64,
        surface_percent: f64,
        temperature_c: f64,
    ) -> Option<f64> {
        let (after, left_percent) = self.trial(seconds, surface_percent, temperature_c)?;
        *self = after;
        Some(left_percent)
    }

    /// As [`Self::advance`], leaving this sheet as it is: for a caller that must find a surface
    /// content at which the oil takes up what the sheet gives off.
    ///
    /// ```text
    /// dC/dt = d/dx (D·dC/dx),  C = Cs at the surface,  dC/dx = 0 at depth L
    /// ```
    /// Finite volumes, finest at the surface. Two implicit Euler steps and one of double length are
    /// extrapolated to second order, and the extrapolation is limited face by face (Zalesak), so that no
    /// cell ever leaves the range that the sheet and its surface had before the step, whatever the step.
    ///
    /// # Source       `crank-1975`, diffusion in a plane sheet (second-hand); the scheme is `project-choice`.
    /// # Valid        One temperature and one surface content for the step.
    /// # Departures   None.
    /// # Checked      `tests/published/crank_1975.rs` (constant D); with D of water, convergence only.
    pub fn trial(
        &self,
        seconds: f64,
        surface_percent: f64,
        temperature_c: f64,
    ) -> Option<(Self, f64)> {
        let is_step = (0.0..=1.0e10).contains(&seconds)
            && (0.0..=100.0).contains(&surface_percent)
            && (-200.0..=1000.0).contains(&temperature_c);
        if !is_step {
            return None;
        }
        let step = Step {
            widths_m: &self.widths_m,
            depth_m: self.depth_m,
            per_percent: self.diffusivity.per_percent,
            surface_m2_s: self.diffusivity.at(surface_percent, temperature_c),
        };
        let mut excess: Vec<f64> = self.percent.iter().map(|c| c - surface_percent).collect();
        let (mut remaining_s, mut part_s, mut left) = (seconds, seconds, 0.0);
        while remaining_s > 0.0 {
            let tried_s = f64::min(part_s, remaining_s);
            let (moved, apart_percent) = step.extrapolated(&excess, tried_s);
            let miss = STEP_PERCENT / apart_percent.max(1.0e-3 * STEP_PERCENT);
            if apart_percent <= STEP_PERCENT || tried_s <= seconds / PARTS {
                left += moved.passed[0];
                excess = moved.excess;
                remaining_s -= tried_s;
                part_s = tried_s * (0.9 * miss.sqrt()).clamp(0.5, 4.0);
            } else {
                part_s = tried_s * (0.8 * miss).clamp(0.05, 0.5);
            }
        }
        // Rounding only: the scheme itself keeps to these bounds.
        let (least, most) = bounds(&self.percent, surface_percent);
        let percent = excess.iter().map(|e| (surface_percent + e).clamp(least, most)).collect();
        left.is_finite().then(|| (Self { percent, ..self.clone() }, left / self.depth_m))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const DAY_S: f64 = 86_400.0;

    fn sheet(cells: usize, initial_percent: f64) -> Sheet {
        Sheet::new(Diffusivity::KRAFT, 1.0e-3, cells, initial_percent).unwrap()
    }

    /// Mean water after a day of drying at 90 °C and a day of wetting at 60 °C.
    fn after_two_days(cells: usize, parts: u32) -> f64 {
        let mut sheet = sheet(cells, 3.0);
        for (surface_percent, temperature_c) in [(0.5, 90.0), (4.0, 60.0)] {
            for _ in 0..parts {
                sheet.advance(DAY_S / f64::from(parts), surface_percent, temperature_c).unwrap();
            }
        }
        sheet.mean_percent()
    }

    proptest! {
        #[test]
        fn water_is_kept_and_never_leaves_its_bounds(
            initial_percent in 0.0..10.0_f64,
            steps in prop::collection::vec((-2.0..8.0_f64, 0.0..10.0_f64, -20.0..200.0_f64), 1..12),
        ) {
            let mut sheet = sheet(CELLS, initial_percent);
            let (mut least, mut most) = (initial_percent, initial_percent);
            for (seconds_log, surface_percent, temperature_c) in steps {
                let before = sheet.mean_percent();
                let seconds = 10.0_f64.powf(seconds_log);
                let left = sheet.advance(seconds, surface_percent, temperature_c).unwrap();
                least = least.min(surface_percent);
                most = most.max(surface_percent);
                prop_assert!((before - sheet.mean_percent() - left).abs() <= 1.0e-10 * before.max(1.0));
                prop_assert!(sheet.profile().all(|(_, cell)| cell >= least && cell <= most));
            }
        }
    }

    #[test]
    fn finer_cells_and_shorter_steps_change_little() {
        let fine = after_two_days(160, 480);
        // A few thousandths of a per cent of water: no moisture is known so well.
        for (cells, parts) in [(CELLS, 1), (CELLS, 24), (CELLS, 480), (40, 480)] {
            let apart = (after_two_days(cells, parts) - fine).abs();
            assert!(apart < 0.004, "{cells} cells, {parts} steps: {apart} %");
        }
        let [coarse, finer] = [10, 20].map(|cells| (after_two_days(cells, 480) - fine).abs());
        assert!(coarse > 3.0 * finer, "second order in the cells: {coarse} {finer}");
    }

    #[test]
    fn hotter_and_wetter_is_faster() {
        let left = |initial_percent, temperature_c| {
            let mut sheet = sheet(CELLS, initial_percent);
            sheet.advance(3600.0, 0.0, temperature_c).unwrap() / initial_percent
        };
        assert!(left(2.0, 80.0) > 1.5 * left(2.0, 60.0));
        assert!(left(4.0, 60.0) > 1.2 * left(2.0, 60.0));
    }

    #[test]
    fn refuses_what_is_no_sheet_or_no_step() {
        let new = |depth_m, cells, percent| Sheet::new(Diffusivity::KRAFT, depth_m, cells, percent);
        for bad in [f64::NAN, f64::INFINITY, -1.0] {
            assert!(new(bad, CELLS, 2.0).is_none() && new(1.0e-3, CELLS, bad).is_none());
            assert!(Sheet::new(Diffusivity::constant(bad), 1.0e-3, CELLS, 2.0).is_none());
            let mut sheet = sheet(CELLS, 2.0);
            assert!(sheet.advance(bad, 1.0, 60.0).is_none());
            assert!(sheet.advance(60.0, bad, 60.0).is_none());
            assert!(sheet.advance(60.0, 1.0, bad * 300.0).is_none());
            assert_eq!(sheet, self::sheet(CELLS, 2.0));
        }
        for cells in [0, 1, 1001, usize::MAX] {
            assert!(new(1.0e-3, cells, 2.0).is_none());
        }
    }

    /// The round figures of the trade come out with kraft at 2 % water.
    #[test]
    fn time_constants_are_those_at_two_per_cent() {
        for (depth_m, temperature_c, hours) in
            [(0.5e-3, 100.0, 0.33), (0.5e-3, 60.0, 4.4), (2.0e-3, 60.0, 71.0)]
        {
            let found =
                time_constant_s(depth_m, Diffusivity::KRAFT.at(2.0, temperature_c)) / 3600.0;
            // They carry two digits; 1.8 % is the farthest.
            assert!((found / hours - 1.0).abs() < 0.02, "{found} h, not {hours}");
        }
    }
}
