//! Quantities near a state, to the second power of how far one is off.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

/// A quantity by one temperature: its value there, its slope and half its curvature.
#[derive(Debug, Clone, Copy)]
pub(super) struct Curve {
    pub(super) here: f64,
    pub(super) by: f64,
    pub(super) twice: f64,
}

impl Curve {
    /// A power of a rise over something, K, that has a value there.
    pub(super) fn power(value: f64, exponent: f64, rise_k: f64) -> Self {
        let by = exponent * value / rise_k;
        Self { here: value, by, twice: 0.5 * (exponent - 1.0) * by / rise_k }
    }

    /// What a conductor makes at a load of 1, by its temperature: I²R and eddies.
    pub(super) fn made(i2r: f64, eddy: f64, (hotter, per_k): (f64, f64)) -> Self {
        let eddy = eddy / hotter;
        let each = per_k / hotter;
        Self { here: i2r * hotter + eddy, by: i2r * per_k - eddy * each, twice: eddy * each * each }
    }

    #[inline(always)]
    pub(super) fn at(&self, off: f64) -> f64 {
        self.here + off * (self.by + off * self.twice)
    }

    #[inline(always)]
    pub(super) fn slope(&self, off: f64) -> f64 {
        self.by + 2.0 * off * self.twice
    }

    pub(super) fn scaled(self, factor: f64) -> Self {
        Self { here: factor * self.here, by: factor * self.by, twice: factor * self.twice }
    }
}

/// A quantity by two temperatures: its value there, its slopes and half its curvatures.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sheet {
    pub(super) here: f64,
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) xx: f64,
    pub(super) xy: f64,
    pub(super) yy: f64,
}

impl Sheet {
    /// From the slopes and curvatures of its logarithm.
    pub(super) fn of_logarithm(value: f64, [x, y, xx, xy, yy]: [f64; 5]) -> Self {
        Self {
            here: value,
            x: value * x,
            y: value * y,
            xx: 0.5 * value * (xx + x * x),
            xy: value * (xy + x * y),
            yy: 0.5 * value * (yy + y * y),
        }
    }

    #[inline(always)]
    pub(super) fn at(&self, x: f64, y: f64) -> f64 {
        (self.here + x * (self.x + (x * self.xx + y * self.xy))) + y * (self.y + y * self.yy)
    }

    /// Its value and its slopes.
    #[inline(always)]
    pub(super) fn all(&self, x: f64, y: f64) -> [f64; 3] {
        let (bent_x, bent_y, both) = (x * self.xx, y * self.yy, y * self.xy);
        let (to_x, to_y) = (self.x + (bent_x + both), self.y + bent_y);
        [(self.here + x * to_x) + y * to_y, to_x + bent_x, to_y + (bent_y + x * self.xy)]
    }
}
