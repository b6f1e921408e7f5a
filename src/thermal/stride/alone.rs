//! The same for a single run, which has no other lanes to fill a register with.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::super::lanes::WIDTH;
use super::super::steps::LONGEST;
use super::{ALL, DRAWN, HOT_SPOT, Job, Pick, RAMP, TOP_OIL};
use pulp::Simd;

impl<S: Simd, const N: usize> Job<'_, '_, S, N> {
    /// The same arithmetic for one of too few lanes to fill a register: what does not wait for the step
    /// before is done for several steps at once.
    #[inline(always)]
    pub(super) fn alone<P: Pick<S>, const SEEN: bool, const AMBIENT: u8, const EXTREMES: u8>(
        &mut self,
        pick: P,
        i: usize,
    ) {
        let (span, stride) = (self.span, self.stride);
        let count = span.factors_at.len().min(LONGEST);
        let (mut oil, mut first, mut second) = ([0.0; LONGEST], [0.0; LONGEST], [0.0; LONGEST]);
        let (ambient, ambient_slope) = (stride.ambient.0[i], stride.ambient_slope.0[i]);
        let (share_1, share_2) = (stride.share_1.0[i], stride.share_2.0[i]);
        let (added, error) = (stride.added.0[i], span.ambient_error.0[i]);
        let level = added + span.ambient_c[0] * ambient;
        let places = oil.iter_mut().zip(&mut first).zip(&mut second);
        for (step, (factors_at, ((oil, first), second))) in
            span.factors_at[..count].iter().zip(places).enumerate()
        {
            let [factor, winding] = pick.lane(*factors_at as usize, i);
            (*first, *second) = (winding * share_1, winding * share_2);
            *oil = factor + level;
            if AMBIENT & RAMP != 0 {
                let from = added + span.ambient_c[step] * ambient;
                *oil = factor + (from + span.ambient_per_min[step] * ambient_slope);
            }
            if AMBIENT & DRAWN != 0 {
                let off = (error * ambient) * span.doubt_k[step];
                *oil += off + (error * ambient_slope) * span.doubt_per_min[step];
            }
        }
        let stays = stride.stays.lane(i);
        let [oil_stays, first_stays, second_stays] =
            [stays.top_oil_c.0[0], stays.gradient_1_k.0[0], stays.gradient_2_k.0[0]];
        let (unit_k, per_k) = (stride.unit_k.0[i], stride.per_k.0[i]);
        let mut oil_now = self.state.top_oil_c.0[i] * per_k;
        let mut first_now = self.state.gradient_1_k.0[i] * per_k;
        let mut second_now = self.state.gradient_2_k.0[i] * per_k;
        let places = oil.iter_mut().zip(&mut first).zip(&mut second).take(count);
        for ((oil, first), second) in places {
            oil_now = oil_now * oil_stays + *oil;
            first_now = first_now * first_stays + *first;
            second_now = second_now * second_stays + *second;
            (*oil, *first, *second) = (oil_now, first_now, second_now);
        }
        self.state.top_oil_c.0[i] = oil_now * unit_k;
        self.state.gradient_1_k.0[i] = first_now * unit_k;
        self.state.gradient_2_k.0[i] = second_now * unit_k;
        // From here on in kelvin: hot spots take the place of the first gradient.
        for step in 0..count {
            first[step] = (oil[step] + (first[step] - second[step])) * unit_k;
            oil[step] *= unit_k;
        }
        let passed = &mut *self.passed;
        passed.highest_hot_spot_c.0[i] = highest(&first[..count]);
        passed.highest_top_oil_c.0[i] =
            if EXTREMES == HOT_SPOT { f64::NEG_INFINITY } else { highest(&oil[..count]) };
        if EXTREMES == ALL || EXTREMES == TOP_OIL {
            passed.lowest_top_oil_c.0[i] = -highest(&oil.map(|c| -c)[..count]);
        }
        if EXTREMES == ALL {
            passed.lowest_hot_spot_c.0[i] = -highest(&first.map(|c| -c)[..count]);
        }
        if SEEN {
            for (seen, (hot_spot_c, top_oil_c)) in
                passed.seen.iter_mut().zip(first.iter().zip(&oil))
            {
                (seen.hot_spot_c.0[i], seen.top_oil_c.0[i]) = (*hot_spot_c, *top_oil_c);
            }
        }
    }
}

/// The highest of some values, several at a time.
#[inline(always)]
fn highest(values: &[f64]) -> f64 {
    let mut highest = [f64::NEG_INFINITY; WIDTH];
    let (whole, rest) = values.as_chunks::<WIDTH>();
    for values in whole {
        for (highest, value) in highest.iter_mut().zip(values) {
            *highest = if *value > *highest { *value } else { *highest };
        }
    }
    let all = highest.iter().chain(rest);
    all.fold(f64::NEG_INFINITY, |highest, value| if *value > highest { *value } else { highest })
}
