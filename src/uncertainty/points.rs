//! Draws spread evenly over all inputs: scrambled Sobol points.

use sobol_burley::{NUM_DIMENSIONS, parts::hash, sample_4d};
use std::ops::Range;

/// Most points of one scrambling that the sequence has: 2^16.
pub const MOST_EACH: u32 = 1 << 16;
/// Most dimensions that the sequence has.
pub const MOST_DIMENSIONS: u32 = NUM_DIMENSIONS;
/// Half of the grid of 2^−23 on which the sequence gives its numbers.
const HALF_GRID: f64 = 1.0 / 16_777_216.0;

/// Why a set of points cannot be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoPoints {
    /// One scrambling alone says nothing about its own error.
    #[error("{0} replicates; at least 2 are needed for a standard error")]
    Replicates(u32),
    /// Any other number of points would not fill the cube evenly.
    #[error("{0} points in a replicate; accepted is a power of two from 1 to {MOST_EACH}")]
    Each(u32),
    /// The sequence has no more dimensions.
    #[error("{0} dimensions; accepted are 1 to {MOST_DIMENSIONS}")]
    Dimensions(u32),
    /// More draws than a machine can number.
    #[error("{replicates} replicates of {each} points are too many")]
    TooMany {
        /// Replicates asked for.
        replicates: u32,
        /// Points in each.
        each: u32,
    },
}

/// Quasi-random points: independent scramblings of the same Sobol points, one after another.
///
/// Draw `i` is point `i mod each` of replicate `i / each` and depends on nothing but the seed and
/// `i`: not on how many draws are asked for, in which order or on how many threads.
///
/// # Source       `sobol-1967` for the points (direction numbers of `joe-kuo-2008`), `owen-1998` for
///   scrambling, done by a hash as in `burley-2020`; a library's, no tables of ours.
/// # Valid        2 replicates or more, a power of two of points in each up to 2^16, 1 to 256
///   dimensions, at most 2^32 − 1 draws.
/// # Departures   The library gives numbers k/2^23 in [0, 1). They are shifted by half a step, so
///   that all lie strictly inside, alike on both sides: from 2^−24 to 1 − 2^−24, z within ±5.3.
/// # Checked      `tests/uncertainty/points.rs`: stratified in each dimension and in the first
///   two together; `tests/uncertainty/convergence.rs`: errors fall faster than those of random draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Points {
    seed: u32,
    replicates: u32,
    each: u32,
    dimensions: u32,
}

impl Points {
    /// `replicates` scramblings of `each` points in `dimensions` dimensions.
    ///
    /// # Errors
    /// A count outside the ranges above.
    pub fn new(seed: u32, replicates: u32, each: u32, dimensions: u32) -> Result<Self, NoPoints> {
        if replicates < 2 {
            return Err(NoPoints::Replicates(replicates));
        }
        if !each.is_power_of_two() || each > MOST_EACH {
            return Err(NoPoints::Each(each));
        }
        if !(1..=MOST_DIMENSIONS).contains(&dimensions) {
            return Err(NoPoints::Dimensions(dimensions));
        }
        if replicates.checked_mul(each).is_none() {
            return Err(NoPoints::TooMany { replicates, each });
        }
        Ok(Self { seed, replicates, each, dimensions })
    }

    /// Seed of the scramblings.
    pub fn seed(&self) -> u32 {
        self.seed
    }

    /// Number of scramblings.
    pub fn replicates(&self) -> u32 {
        self.replicates
    }

    /// Points of each scrambling.
    pub fn each(&self) -> u32 {
        self.each
    }

    /// Numbers in a draw.
    pub fn dimensions(&self) -> usize {
        self.dimensions as usize
    }

    /// Draws in all.
    pub fn draws(&self) -> usize {
        (self.replicates * self.each) as usize
    }

    /// Draws `draws` row by row, `draws.len()` × `dimensions` numbers in (0, 1).
    ///
    /// A draw past the last one is none: the rows end with the last draw.
    pub fn rows(&self, draws: Range<usize>) -> Vec<f64> {
        let end = draws.end.min(self.draws());
        let mut rows = Vec::with_capacity(end.saturating_sub(draws.start) * self.dimensions());
        for draw in draws.start..end {
            self.fill(draw, &mut rows);
        }
        rows
    }

    fn fill(&self, draw: usize, rows: &mut Vec<f64>) {
        let full = rows.len() + self.dimensions();
        #[allow(clippy::cast_possible_truncation, reason = "rows ends at the draws, a u32")]
        let draw = draw as u32;
        let seed = self.seed_of(draw / self.each);
        for set in 0..self.dimensions.div_ceil(4) {
            let four = sample_4d(draw % self.each, set, seed);
            rows.extend(four.iter().map(|&number| f64::from(number) + HALF_GRID));
        }
        rows.truncate(full);
    }

    /// A different seed for each replicate: the hash is one to one. Hashed twice, so that
    /// neighbouring seeds do not share replicates.
    fn seed_of(&self, replicate: u32) -> u32 {
        hash(hash(self.seed).wrapping_add(replicate))
    }
}
