//! The factors of the rises of every lane under the loads of a span.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::front::Front;
use super::hoisted::Common;
use super::ieee;
use super::lags::Factors;
use super::lanes::{Lanes, NEAR, exp, exp_near_zero};
use super::prepared::Imposed;
use super::steps::Span;

impl<'a, const N: usize> Front<'a, N> {
    /// Aims at every load of a span; the last one of the span before may go on.
    #[inline(always)]
    pub(super) fn aim_at_span(&mut self, span: Span) {
        if self.row != 0 {
            self.rows.swap(0, self.row);
            self.row = 0;
        }
        for (step, index) in (span.from..span.until).enumerate() {
            if self.imposed.steps.load_at[index] as usize != self.load {
                self.row = if step == 0 { 0 } else { self.row + 1 };
                if self.row == self.rows.len() {
                    self.rows.push(self.rows[0]);
                }
                self.aim(index, self.row);
            }
            // At most the number of steps in a span.
            self.row_at[step] = u32::try_from(self.row).unwrap_or(0);
        }
    }

    /// How far the exponents are off those of each lane's stage.
    pub(super) fn exponents_changed(&mut self) {
        if self.imposed.prepared.hoisted[0].common() != Common::Logarithms {
            return;
        }
        self.furthest_off = [0.0; 2];
        for i in 0..N {
            let stage = self.imposed.prepared.hoisted[self.stage[i]].lags();
            let oil = self.lags.oil_exponent.0[i] - stage.oil_exponent;
            let winding = self.lags.winding_exponent.0[i] - stage.winding_exponent;
            (self.off.oil.0[i], self.off.winding.0[i]) = (oil, winding);
            for (furthest, off) in self.furthest_off.iter_mut().zip([oil, winding]) {
                *furthest = furthest.max(off.abs());
            }
        }
    }

    /// Sets a row of factors for the load at a breakpoint.
    #[inline(always)]
    pub(super) fn aim(&mut self, index: usize, row: usize) {
        self.load = self.imposed.steps.load_at[index] as usize;
        match self.imposed.prepared.hoisted[0].common() {
            Common::Nothing => self.aim_at_loads(index, row),
            Common::Factors => self.aim_at_factors(row),
            Common::Logarithms => self.aim_at_powers(row),
        }
        if self.imposed.prepared.corrected {
            let start_c = self.ambient_c(index);
            let targets = self.lags.targets(self.rows[row]);
            ieee::correct(&mut self.lags, &targets, &self.state, start_c);
            self.stride_min = f64::NAN;
        }
    }

    /// The factors of every load, where they are the same in all lanes and no time constant
    /// follows the load.
    #[inline(always)]
    pub(super) fn table(&self) -> Option<&'a [[f64; 2]]> {
        let Imposed { steps, prepared, .. } = self.imposed;
        let stage = &prepared.hoisted[self.stage[0]];
        let shared = self.one_stage && stage.common() == Common::Factors && !prepared.corrected;
        shared.then(|| stage.factors(steps))
    }

    fn aim_at_factors(&mut self, row: usize) {
        let Imposed { steps, prepared, .. } = self.imposed;
        let row = &mut self.rows[row];
        for (i, stage) in self.stage.iter().enumerate() {
            [row.oil.0[i], row.winding.0[i]] = prepared.hoisted[*stage].factors(steps)[self.load];
        }
    }

    #[inline(always)]
    fn aim_at_powers(&mut self, row: usize) {
        let row = &mut self.rows[row];
        let Imposed { steps, prepared, .. } = self.imposed;
        let of = |stage: usize| {
            let hoisted = &prepared.hoisted[stage];
            (hoisted.factors(steps)[self.load], hoisted.logarithms(steps)[self.load])
        };
        let (factors, logarithms) = of(self.stage[0]);
        let near = |part: usize| self.furthest_off[part] * logarithms[part].abs() <= NEAR;
        if self.one_stage && near(0) && near(1) {
            for i in 0..N {
                row.oil.0[i] = factors[0] * exp_near_zero(self.off.oil.0[i] * logarithms[0]);
                row.winding.0[i] =
                    factors[1] * exp_near_zero(self.off.winding.0[i] * logarithms[1]);
            }
            return;
        }
        for i in 0..N {
            let (factors, logarithms) = of(self.stage[i]);
            let exponents = [self.lags.oil_exponent.0[i], self.lags.winding_exponent.0[i]];
            let off = [self.off.oil.0[i], self.off.winding.0[i]];
            let power = |part: usize| {
                let small = off[part] * logarithms[part];
                if small.abs() <= NEAR {
                    factors[part] * exp_near_zero(small)
                } else {
                    exp(exponents[part] * logarithms[part])
                }
            };
            (row.oil.0[i], row.winding.0[i]) = (power(0), power(1));
        }
    }

    /// In arrays of its own, so that the functions of several lanes are computed at once.
    #[inline(always)]
    fn aim_at_loads(&mut self, index: usize, row: usize) {
        let load = self.imposed.steps.loads[self.imposed.steps.load_at[index] as usize];
        let one = Lanes::all(1.0);
        let load_pu = self.begin.load_error.map(|error| load.drawn_pu(error)) * self.per_rating;
        let loss = (one + load_pu * load_pu * self.lags.loss_ratio) * self.per_losses;
        let logarithms = Factors { oil: self.lags.of_losses(loss), winding: load_pu.ln() };
        self.rows[row] = self.lags.factors_of(logarithms);
    }
}
