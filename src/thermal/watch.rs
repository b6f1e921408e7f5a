//! Looking at the draws of an ensemble as they pass the breakpoints.

use super::lanes::Lanes;
use super::steps::Steps;

/// Sees every breakpoint as it is passed.
pub trait Watch<const N: usize> {
    /// Whether it looks at all; if not it costs nothing.
    const WATCHES: bool = true;

    /// Whether peaks between two breakpoints of a coarse step matter.
    const PEAKS: bool = true;

    /// Whether the highest top oil is asked for.
    const TOP_OIL: bool = true;

    /// Whether nothing but the hottest hot spot is asked for: then a front may stop before the end.
    const ONLY_HOTTEST: bool = false;

    /// Whether it takes the hottest hot spot of every span of steps ([`Self::span`]).
    const BY_SPAN: bool = false;

    /// Takes the hottest hot spot between two minutes, °C; peaks inside a step are in it as far as
    /// [`Self::PEAKS`] asks for them.
    fn span(&mut self, _minutes: (f64, f64), _hottest_c: &Lanes<N>) {}

    /// Whether it wants to see a span of steps in which no lane was hotter than this; it is asked where no
    /// stage changes.
    fn wants(&self, _hot_spot_c: &Lanes<N>, _top_oil_c: &Lanes<N>) -> bool {
        true
    }

    /// Looks at all lanes at one breakpoint.
    fn see(&mut self, moment: &Moment<'_, N>);
}

/// All lanes at one breakpoint.
#[derive(Debug)]
pub struct Moment<'a, const N: usize> {
    /// Index of the breakpoint.
    pub index: usize,
    /// Top oil, °C.
    pub top_oil_c: &'a Lanes<N>,
    /// Hot spot, °C.
    pub hot_spot_c: &'a Lanes<N>,
    /// Hot spot and top oil at the breakpoint before, °C; `None` at the first.
    pub before: Option<[&'a Lanes<N>; 2]>,
    /// Cooling stage in service.
    pub stage: &'a [usize; N],
    pub(super) steps: &'a Steps,
    pub(super) ambient_error: &'a Lanes<N>,
}

impl<const N: usize> Moment<'_, N> {
    /// Minute.
    pub fn minute(&self) -> f64 {
        self.steps.minutes[self.index]
    }

    /// Minute of the breakpoint before; that of the first at the first.
    pub fn minute_before(&self) -> f64 {
        self.steps.minutes[self.index.saturating_sub(1)]
    }

    /// Load from this minute on, per unit, without the error of a draw.
    pub fn load_pu(&self) -> f64 {
        self.steps.loads[self.steps.load_at[self.index] as usize].pu
    }

    /// Ambient, °C.
    pub fn ambient_c(&self) -> Lanes<N> {
        self.steps.drawn_ambient_c(self.index, self.ambient_error)
    }
}

/// Sees nothing.
#[derive(Debug, Clone, Copy)]
pub struct Unwatched;

impl<const N: usize> Watch<N> for Unwatched {
    const WATCHES: bool = false;
    fn see(&mut self, _moment: &Moment<'_, N>) {}
}

/// Sees nothing, and asks for nothing but the state at the end.
#[derive(Debug, Clone, Copy)]
pub struct OnlyEnd;

impl<const N: usize> Watch<N> for OnlyEnd {
    const WATCHES: bool = false;
    const PEAKS: bool = false;
    const TOP_OIL: bool = false;
    fn see(&mut self, _moment: &Moment<'_, N>) {}
}

/// Sees nothing, and asks for nothing but the hottest hot spot: top oil and the state at the end are
/// those of where that was past.
#[derive(Debug, Clone, Copy)]
pub struct OnlyHottest;

impl<const N: usize> Watch<N> for OnlyHottest {
    const WATCHES: bool = false;
    const TOP_OIL: bool = false;
    const ONLY_HOTTEST: bool = true;
    fn see(&mut self, _moment: &Moment<'_, N>) {}
}
