//! Where a function of time changes sign inside a step.

use super::events::EVENT_TOLERANCE_MIN;

/// The two ends, at most [`EVENT_TOLERANCE_MIN`] apart, of where a function that is above zero at 0
/// and not above it at `until` changes sign.
///
/// Regula falsi with the Illinois correction: few looks where the function is smooth, never
/// outside the bracket, and never so near its ends that it would not close.
pub(super) fn falling_root(until: f64, value: impl Fn(f64) -> f64) -> (f64, f64) {
    let least = 0.49 * EVENT_TOLERANCE_MIN;
    let (mut before, mut above) = (0.0, value(0.0));
    let (mut after, mut below) = (until, value(until));
    let mut last_rose = None;
    let mut round = 0;
    while after - before > EVENT_TOLERANCE_MIN {
        round += 1;
        // Now and then a halving, so that a crooked function ends too.
        let share = if round % 8 == 0 { 0.5 } else { above / (above - below) };
        let at = (before + (after - before) * share).clamp(before + least, after - least);
        let here = value(at);
        let rises = here > 0.0;
        if rises {
            (before, above) = (at, here);
            if last_rose == Some(true) {
                below /= 2.0;
            }
        } else {
            (after, below) = (at, here);
            if last_rose == Some(false) {
                above /= 2.0;
            }
        }
        last_rose = Some(rises);
    }
    (before, after)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_root_is_bracketed_with_few_looks_and_never_lost() {
        let roots = [1.0e-9, 0.003, 0.5, 3.999, 4.0 - 1.0e-9];
        for root in roots {
            let shapes: [&dyn Fn(f64) -> f64; 4] = [
                &|at: f64| root - at,
                &|at: f64| (root - at).powi(3),
                &|at: f64| (-at).exp() - (-root).exp(),
                &|at: f64| if at < root { 1.0 } else { -1.0e-6 },
            ];
            for (index, shape) in shapes.iter().enumerate() {
                let looks = std::cell::Cell::new(0);
                let (before, after) = falling_root(4.0, |at| {
                    looks.set(looks.get() + 1);
                    shape(at)
                });
                assert!(after - before <= EVENT_TOLERANCE_MIN, "shape {index}, root {root}");
                assert!(before <= root && root <= after, "shape {index}: {before} {root} {after}");
                // 4 min halve to a microminute in 22 looks; eight times that is a lost bracket.
                assert!(looks.get() < 200, "shape {index}, root {root}: {} looks", looks.get());
            }
        }
    }
}
