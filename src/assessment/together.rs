//! What the three models say of one minute.

use crate::quantities::Celsius;
use crate::thermal::trajectory::Sample;

/// What the models say of one minute.
#[derive(Debug, Clone, Copy)]
pub struct Together<'a> {
    /// The IEC form.
    pub iec: &'a Sample,
    /// The IEEE form, with that ambient by which it gets hotter in the end.
    pub ieee: &'a Sample,
    /// The detailed model.
    pub detailed: &'a Sample,
    /// The same with the other ambient, where that changes: at other times it may be the hotter or the cooler one.
    pub other: Option<&'a Sample>,
}

impl Together<'_> {
    /// Minute from the start of the overload.
    pub fn minute(&self) -> f64 {
        self.iec.minute
    }

    /// The hottest hot spot, °C; one that is no number comes out.
    pub fn hot_spot_c(&self) -> f64 {
        self.hottest(|sample| sample.hot_spot_c)
    }

    /// The hottest top oil, °C; one that is no number comes out.
    pub fn top_oil_c(&self) -> f64 {
        self.hottest(|sample| sample.top_oil_c)
    }

    /// The hot spot of the hotter lag form, °C.
    pub fn lags_c(&self) -> f64 {
        self.iec.hot_spot_c.max(self.ieee_c(|sample| sample.hot_spot_c))
    }

    /// The hottest of the IEEE form with either ambient.
    pub fn ieee_c(&self, of: impl Fn(&Sample) -> f64) -> f64 {
        let c = of(self.ieee);
        self.other.map_or(c, |other| c.max(of(other)))
    }

    /// The coolest hot spot, °C: the one that dries the paper least.
    pub fn coolest_hot_spot_c(&self) -> f64 {
        self.coolest(|sample| sample.hot_spot_c)
    }

    /// The coolest top oil, °C.
    pub fn coolest_top_oil_c(&self) -> f64 {
        self.coolest(|sample| sample.top_oil_c)
    }

    /// Place of the model with the hottest hot spot, in the order of [`super::course::Course::runs`].
    pub fn governing(&self) -> usize {
        let (iec, detailed) = (self.iec.hot_spot_c, self.detailed.hot_spot_c);
        let ieee = self.ieee_c(|sample| sample.hot_spot_c);
        let lag = usize::from(ieee > iec);
        if detailed > iec.max(ieee) { 2 } else { lag }
    }

    /// The minute and the hottest hot spot, if it is a temperature.
    pub fn hottest_at(&self) -> Option<(f64, Celsius)> {
        Some((self.minute(), Celsius::new(self.hot_spot_c()).ok()?))
    }

    fn each(&self) -> impl Iterator<Item = &Sample> {
        [self.iec, self.ieee, self.detailed].into_iter().chain(self.other)
    }

    fn coolest(&self, of: impl Fn(&Sample) -> f64) -> f64 {
        self.each().map(of).fold(f64::INFINITY, f64::min)
    }

    fn hottest(&self, of: impl Fn(&Sample) -> f64) -> f64 {
        let hotter = |known: f64, c: f64| {
            // In this order a NaN stays.
            if known.is_nan() || c <= known { known } else { c }
        };
        self.each().map(of).fold(f64::NEG_INFINITY, hotter)
    }
}

/// The samples of the models, which are at the same minutes; `other` may be empty.
pub(super) fn together<'a>(
    [iec, ieee, detailed]: [&'a [Sample]; 3],
    other: &'a [Sample],
) -> impl Iterator<Item = Together<'a>> {
    let all = iec.iter().zip(ieee).zip(detailed).enumerate();
    all.map(|(at, ((iec, ieee), detailed))| {
        let other = other.get(at);
        Together { iec, ieee, detailed, other }
    })
}
