//! What is imposed on all fronts of an ensemble, and what is worked out once for them.

use super::ahead::Ahead;
use super::cooling::{Control, Cooling};
use super::hoisted::Hoisted;
use super::steps::{LONGEST, LONGEST_SWITCHING, Span, Steps};
use std::sync::OnceLock;

/// What is common to all lanes and all fronts of an ensemble.
#[derive(Clone, Copy)]
pub(super) struct Imposed<'a> {
    pub(super) steps: &'a Steps,
    pub(super) cooling: &'a Cooling,
    pub(super) prepared: &'a Prepared,
}

impl<'a> Imposed<'a> {
    /// What is imposed at most from each span on; `None` where the greatest load is not past.
    pub(super) fn ahead(&self) -> &'a [Option<Ahead>] {
        let Prepared { ahead, spans, .. } = self.prepared;
        ahead.get_or_init(|| Ahead::of(self.steps, spans))
    }
}

/// What is worked out once for all fronts of an ensemble.
#[derive(Debug)]
pub(super) struct Prepared {
    /// For each stage.
    pub(super) hoisted: Vec<Hoisted>,
    pub(super) spans: Vec<Span>,
    /// In steps of no more than this, min, peaks are taken at their ends.
    pub(super) fine_min: f64,
    /// Whether the time constant of a stage follows the load.
    pub(super) corrected: bool,
    /// Filled by the first who asks.
    ahead: OnceLock<Vec<Option<Ahead>>>,
}

/// Steps are fine up to this share of the shortest time constant.
///
/// There a peak between two breakpoints is higher than the higher of them by at most
///
/// ```text
/// Δt²/8·|θ″| ≤ Δt²/(4·τ)·r        τ the shortest time constant, r how fast the slower parts move
/// ```
/// because at a peak the fast part moves against the slower ones as fast as they do. Steps of a minute
/// with τ = 7 min, a usual winding, and oil that moves by a kelvin a minute, much for any overload,
/// give 0.04 K.
const FINE_SHARE: f64 = 0.15;

impl Prepared {
    pub(super) fn new(steps: &Steps, cooling: &Cooling, hoisted: Vec<Hoisted>) -> Self {
        let shortest = |hoisted: &Hoisted| hoisted.shortest_min();
        let shortest_min = hoisted.iter().map(shortest).fold(f64::INFINITY, f64::min);
        let fine_min = FINE_SHARE * shortest_min;
        let corrected = hoisted.iter().any(|stage| stage.lags().correction_exponent > 0.0);
        let (spans, ahead) = (Vec::new(), OnceLock::new());
        let mut prepared = Self { hoisted, spans, fine_min, corrected, ahead };
        prepared.group(steps, cooling);
        prepared
    }

    /// Prepares for other steps.
    pub(super) fn renew(&mut self, steps: &Steps, cooling: &Cooling) {
        for hoisted in &mut self.hoisted {
            hoisted.renew(steps);
        }
        self.group(steps, cooling);
    }

    fn group(&mut self, steps: &Steps, cooling: &Cooling) {
        self.ahead.take();
        let lost_at_min = cooling.lost_at_min.unwrap_or(f64::INFINITY);
        let switching = cooling.control == Control::Automatic && cooling.stages.len() > 1;
        let longest = if switching { LONGEST_SWITCHING } else { LONGEST };
        steps.spans(&mut self.spans, (lost_at_min, self.fine_min), (self.corrected, longest));
    }
}
