//! The same for a single run, which has no other lanes to fill a register with.

#![allow(clippy::inline_always, reason = "wider registers reach only what is inlined")]

use super::super::lanes::WIDTH;
use super::super::steps::LONGEST;
use super::{ALL, DRAWN, HOT_SPOT, Job, LEVEL, Pick};
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
        let (added, error) = (stride.added.0[i], span.ambient_error.0[i]);
        if AMBIENT == LEVEL {
            oil = [added + span.ambient_c[0] * ambient; LONGEST];
        } else {
            for (step, oil) in oil[..count].iter_mut().enumerate() {
                let (mut start_c, mut slope) = (span.ambient_c[step], span.ambient_per_min[step]);
                if AMBIENT == DRAWN {
                    start_c += error * span.doubt_k[step];
                    slope += error * span.doubt_per_min[step];
                }
                *oil = (added + start_c * ambient) + slope * ambient_slope;
            }
        }
        let stays = stride.stays.lane(i);
        let [oil_stays, first_stays, second_stays] =
            [stays.top_oil_c.0[0], stays.gradient_1_k.0[0], stays.gradient_2_k.0[0]];
        let mut oil_now = self.state.top_oil_c.0[i] * stride.per_k.top_oil_c.0[i];
        let mut first_now = self.state.gradient_1_k.0[i] * stride.per_k.gradient_1_k.0[i];
        let mut second_now = self.state.gradient_2_k.0[i] * stride.per_k.gradient_2_k.0[i];
        let places = oil.iter_mut().zip(&mut first).zip(&mut second);
        for (factors_at, ((oil, first), second)) in span.factors_at[..count].iter().zip(places) {
            let [oil_factor, winding] = pick.lane(*factors_at as usize, i);
            oil_now = oil_now * oil_stays + (oil_factor + *oil);
            first_now = first_now * first_stays + winding;
            second_now = second_now * second_stays + winding;
            (*oil, *first, *second) = (oil_now, first_now, second_now);
        }
        let units_k = &stride.unit_k;
        let oil_k = units_k.top_oil_c.0[i];
        self.state.top_oil_c.0[i] = oil_now * oil_k;
        self.state.gradient_1_k.0[i] = first_now * units_k.gradient_1_k.0[i];
        self.state.gradient_2_k.0[i] = second_now * units_k.gradient_2_k.0[i];
        // From here on in kelvin: hot spots take the place of the first gradient.
        let (share_1, share_2) = (stride.share_1.0[i], stride.share_2.0[i]);
        for step in 0..count {
            let hot = oil[step] + (first[step] * share_1 - second[step] * share_2);
            first[step] = hot * oil_k;
            oil[step] *= oil_k;
        }
        let passed = &mut *self.passed;
        passed.highest_hot_spot_c.0[i] = highest(&first[..count]);
        passed.highest_top_oil_c.0[i] =
            if EXTREMES == HOT_SPOT { f64::NEG_INFINITY } else { highest(&oil[..count]) };
        if EXTREMES == ALL {
            passed.lowest_hot_spot_c.0[i] = -highest(&first.map(|c| -c)[..count]);
            passed.lowest_top_oil_c.0[i] = -highest(&oil.map(|c| -c)[..count]);
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
