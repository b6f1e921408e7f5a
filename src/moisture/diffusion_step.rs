//! One step in time of the diffusion through a sheet: second order, balanced, within its bounds.

/// The iteration for D ends when no cell moves by more, %.
const ITERATION_PERCENT: f64 = 1.0e-5;
/// Iterations after which what has been reached is taken: bounded and balanced all the same.
const ITERATIONS: usize = 40;

/// What holds during a step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step<'a> {
    /// Widths of the cells from the surface inwards.
    pub(super) widths_m: &'a [f64],
    /// Their sum.
    pub(super) depth_m: f64,
    /// Growth of ln D per per cent of water.
    pub(super) per_percent: f64,
    /// D at the water content of the surface.
    pub(super) surface_m2_s: f64,
}

/// What a step leads to.
pub(super) struct Moved {
    /// Water content of the cells above that of the surface, %.
    pub(super) excess: Vec<f64>,
    /// Water, in % · m, that has passed the surface side of each cell outwards.
    pub(super) passed: Vec<f64>,
}

impl Step<'_> {
    /// One step of second order within the bounds, and how far its two first-order forms are apart.
    pub(super) fn extrapolated(&self, before: &[f64], seconds: f64) -> (Moved, f64) {
        let coarse = self.implicit(before, before, seconds);
        let middle: Vec<f64> =
            before.iter().zip(&coarse.excess).map(|(a, b)| f64::midpoint(*a, *b)).collect();
        let first = self.implicit(before, &middle, 0.5 * seconds);
        let mut fine = self.implicit(&first.excess, &coarse.excess, 0.5 * seconds);
        let pairs = fine.excess.iter().zip(&coarse.excess).zip(self.widths_m);
        let apart: f64 = pairs.map(|((fine, coarse), width)| (fine - coarse).abs() * width).sum();
        for (passed, earlier) in fine.passed.iter_mut().zip(&first.passed) {
            *passed += earlier;
        }
        let more: Vec<f64> =
            fine.passed.iter().zip(&coarse.passed).map(|(fine, coarse)| fine - coarse).collect();
        self.correct(&mut fine, more);
        (fine, apart / self.depth_m)
    }

    /// Adds to what has passed as much of a correction as leaves every cell between its neighbours,
    /// the surface being the outermost of them.
    fn correct(&self, moved: &mut Moved, mut more: Vec<f64>) {
        more.push(0.0);
        let share = |room: f64, wanted: f64| {
            if wanted > room { (room / wanted).max(0.0) } else { 1.0 }
        };
        let around = |cell: usize| {
            let near = &moved.excess[cell.saturating_sub(1)..moved.excess.len().min(cell + 2)];
            bounds(near, if cell == 0 { 0.0 } else { moved.excess[cell] })
        };
        let cells = moved.excess.iter().zip(self.widths_m).zip(more.windows(2)).enumerate();
        let shares: Vec<(f64, f64)> = cells
            .map(|(cell, ((excess, width), faces))| {
                let (least, most) = around(cell);
                let gain = faces[1].max(0.0) - faces[0].min(0.0);
                let loss = faces[0].max(0.0) - faces[1].min(0.0);
                (share((most - excess) * width, gain), share((excess - least) * width, loss))
            })
            .collect();
        let mut outer = (1.0, 1.0);
        for ((face, passed), inner) in more.iter_mut().zip(&mut moved.passed).zip(shares) {
            *face *=
                if *face > 0.0 { f64::min(inner.1, outer.0) } else { f64::min(inner.0, outer.1) };
            *passed += *face;
            outer = inner;
        }
        let cells = moved.excess.iter_mut().zip(self.widths_m).zip(more.windows(2));
        cells.for_each(|((excess, width), faces)| *excess += (faces[1] - faces[0]) / width);
    }

    /// One implicit Euler step from `before`. D is taken from `guess`, then from the result, until
    /// that settles. Each linear solve keeps within the bounds, settled or not, and what passes a
    /// face is what the cells behind it have lost, so the balance closes, settled or not.
    fn implicit(&self, before: &[f64], guess: &[f64], seconds: f64) -> Moved {
        let mut excess = guess.to_vec();
        for _ in 0..ITERATIONS {
            let solved = self.solve(before, &self.exchanged_m(&excess, seconds));
            let moves = solved.iter().zip(&excess).map(|(new, old)| (new - old).abs());
            let greatest = moves.fold(0.0, f64::max);
            excess = solved;
            if greatest <= ITERATION_PERCENT || self.per_percent <= 0.0 {
                break;
            }
        }
        let mut behind = 0.0;
        let mut passed = vec![0.0; excess.len()];
        let cells = self.widths_m.iter().zip(before).zip(&excess).zip(&mut passed).rev();
        for (((width, old), new), passed) in cells {
            behind += width * (old - new);
            *passed = behind;
        }
        Moved { excess, passed }
    }

    /// Water through the outer face of each cell per % of difference across it, in m.
    ///
    /// The gap is the one between the middles, at the surface half a cell. D is its mean over the
    /// *concentrations* in the gap, (Da − Db)/ln(Da/Db) for an exponential: the flux is then exact for
    /// a steady profile, wet to dry as dry to wet, and the surface enters with its own concentration.
    fn exchanged_m(&self, excess: &[f64], seconds: f64) -> Vec<f64> {
        let (mut outer, mut outer_m2_s, mut outer_m) = (0.0, self.surface_m2_s, 0.0);
        let mut faces = Vec::with_capacity(excess.len());
        for (inner, width_m) in excess.iter().zip(self.widths_m) {
            let inner_m2_s = self.surface_m2_s * (self.per_percent * inner).exp();
            let ratio_ln = self.per_percent * (inner - outer);
            let mean_m2_s = if ratio_ln.abs() < 1.0e-3 {
                f64::midpoint(inner_m2_s, outer_m2_s) * (1.0 - ratio_ln * ratio_ln / 12.0)
            } else {
                (inner_m2_s - outer_m2_s) / ratio_ln
            };
            faces.push(seconds * mean_m2_s / (0.5 * (outer_m + width_m)));
            (outer, outer_m2_s, outer_m) = (*inner, inner_m2_s, *width_m);
        }
        faces
    }

    /// Solves the three-banded system by elimination from the closed side to the surface, without a
    /// single subtraction: `cell = held + share · (next cell outwards)`.
    fn solve(&self, before: &[f64], faces_m: &[f64]) -> Vec<f64> {
        let (mut stays, mut brings) = (0.0, 0.0);
        let mut links = vec![(0.0, 0.0); before.len()];
        let cells = self.widths_m.iter().zip(before).zip(faces_m).zip(&mut links).rev();
        for (((width, old), face), link) in cells {
            let weight = width + stays;
            let held = (width * old + brings) / (weight + face);
            *link = (held, face / (weight + face));
            stays = face * (weight / (weight + face));
            brings = face * held;
        }
        let mut outer = 0.0;
        for link in &mut links {
            outer = link.0 + link.1 * outer;
            link.0 = outer;
        }
        links.into_iter().map(|link| link.0).collect()
    }
}

/// Least and greatest of the cells and the surface.
pub(super) fn bounds(cells: &[f64], surface: f64) -> (f64, f64) {
    let least = cells.iter().copied().fold(surface, f64::min);
    (least, cells.iter().copied().fold(surface, f64::max))
}

#[cfg(test)]
mod tests {
    use crate::moisture::diffusion::{CELLS, Diffusivity, Sheet};
    use proptest::prelude::*;

    proptest! {
        /// A uniform sheet changes from the surface inwards. A ripple of a millionth of a per cent is
        /// less than the iteration for D settles to.
        #[test]
        fn a_profile_has_no_ripples(
            hours_log in -3.0..4.0_f64,
            surface_percent in 0.0..6.0_f64,
            temperature_c in 20.0..140.0_f64,
        ) {
            let sheet = Sheet::new(Diffusivity::KRAFT, 1.0e-3, CELLS, 3.0).unwrap();
            let seconds = 3600.0 * 10.0_f64.powf(hours_log);
            let (after, _) = sheet.trial(seconds, surface_percent, temperature_c).unwrap();
            let cells: Vec<f64> = after.profile().map(|(_, percent)| percent).collect();
            let sign = (3.0 - surface_percent).signum();
            let steps = cells.windows(2).map(|pair| sign * (pair[1] - pair[0]));
            let deepest = steps.fold(0.0, f64::min);
            prop_assert!(deepest >= -1.0e-6, "{deepest} % in {cells:?}");
        }
    }

    #[test]
    fn a_sheet_like_its_surface_stays() {
        let mut sheet = Sheet::new(Diffusivity::KRAFT, 1.0e-3, CELLS, 2.0).unwrap();
        // Rounding only.
        assert!(sheet.advance(3600.0, 2.0, 120.0).unwrap().abs() < 1.0e-15);
        assert!((sheet.greatest_percent() - 2.0).abs() < 1.0e-15);
    }
}
