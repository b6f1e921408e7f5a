//! Rises and gradients of one stage: what contradicts is refused, and what the keys beside the block leave out follows.

use super::super::profile::{AverageGradientK, GradientK, HotSpotFactor, OilRiseK};
use super::super::validate::{Refuse, value};
use super::Printed;
use super::figures::{Figure, Figures, Key, shown};
use crate::input::InputError;
use crate::input::number::{Number, Range, accepted, inside};

/// Figures of a report that follow from one another may be off by so much, K: each is rounded, mostly to a kelvin, and
/// differences and means of two rounded figures are compared with a third. Our choice.
const ROUNDED_K: f64 = 1.0;
/// The bottom oil is at least so much above the ambient, K: less is a slip, or another quantity. Our choice.
const LEAST_BOTTOM_K: f64 = 5.0;
/// Rounding of binary numbers, K.
const TINY_K: f64 = 1.0e-9;

/// The keys beside a block that count for its stage: the same figures, as far as they are stated there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beside {
    /// Path of the keys of the top oil.
    pub(super) oil_place: &'static str,
    pub(super) top_oil: Option<Number<OilRiseK>>,
    /// Path of the keys of the gradient.
    pub(super) place: &'static str,
    pub(super) product: Option<Number<GradientK>>,
    pub(super) average: Option<Number<AverageGradientK>>,
    pub(super) factor: Option<Number<HotSpotFactor>>,
}

/// One stage while it is looked at.
struct Look<'a> {
    refuse: &'a Refuse<'a>,
    figures: &'a Figures,
    beside: Beside,
    printed: Printed,
}

/// The keys with what follows from the block, and the rises as they are known then.
///
/// # Errors
/// [`InputError`] for figures that contradict each other, at the one in the block.
pub(super) fn rises(
    refuse: &Refuse<'_>,
    figures: &Figures,
    beside: Beside,
) -> Result<(Beside, Printed), InputError> {
    let printed = Printed {
        average_oil_rise_k: figures.value(Key::AverageOil),
        bottom_oil_rise_k: figures.value(Key::BottomOil),
        average_winding_rise_k: figures.value(Key::Winding),
        hot_spot_rise_k: figures.value(Key::HotSpot),
        average_gradient_k: value(beside.average.as_ref()),
        ..Printed::default()
    };
    let mut look = Look { refuse, figures, beside, printed };
    look.top_oil()?;
    look.oil()?;
    look.gradient()?;
    look.hot_spot()?;
    look.fill();
    Ok((look.beside, look.printed))
}

impl Look<'_> {
    fn refused(&self, key: Key, found: impl Into<String>, wanted: impl Into<String>) -> InputError {
        match self.figures.at(key) {
            Some(figure) => figure.refused(self.refuse, key.name(), found, wanted),
            None => self.refuse.whole(self.beside.place, found, wanted),
        }
    }

    /// The top oil of the block and beside it are one; without either it follows from average and bottom oil. Neither of
    /// these means anything below a top oil that is typical.
    fn top_oil(&mut self) -> Result<(), InputError> {
        let name = Key::TopOil.name();
        let own = Figure::beside(self.beside.top_oil.as_ref(), self.beside.oil_place);
        if let (Some(printed), Some(own)) = (self.figures.at(Key::TopOil), own) {
            printed.agrees(self.refuse, name, &own, (name, 0.0))?;
        }
        let mut top = own.or(self.figures.at(Key::TopOil));
        let below = (self.figures.at(Key::AverageOil), self.figures.at(Key::BottomOil));
        if let (None, (Some(average), Some(bottom))) = (top, below) {
            let top_k = 2.0 * average.value - bottom.value;
            if !(inside::<OilRiseK>(top_k) && average.value >= bottom.value) {
                let found = format!(
                    "{}, with bottom oil at {} K a top oil at {} K",
                    shown(average.value),
                    shown(bottom.value),
                    shown(top_k)
                );
                let wanted = format!("a top oil above the bottom oil, {}", accepted::<OilRiseK>());
                return Err(self.refused(Key::AverageOil, found, wanted));
            }
            top = Some(Figure { value: top_k, ..average });
        }
        for key in [Key::AverageOil, Key::BottomOil] {
            if let (None, Some(alone_k)) = (top, self.figures.value(key)) {
                let wanted = "top_oil_rise_k too, as the report prints it";
                return Err(self.refused(key, format!("{} alone", shown(alone_k)), wanted));
            }
        }
        self.printed.top_oil_rise_k = top.map(|top| top.value);
        self.beside.top_oil = top.and_then(|top| Number::stated(top.value, top.line));
        Ok(())
    }

    /// Bottom oil from 5 K to the top oil, average oil midway: stated, or as it follows.
    fn oil(&self) -> Result<(), InputError> {
        let Some(top_k) = self.printed.top_oil_rise_k else { return Ok(()) };
        let wanted =
            format!("a bottom oil from {LEAST_BOTTOM_K} K up to the top oil, {} K", shown(top_k));
        let fits =
            |bottom_k: f64| bottom_k >= LEAST_BOTTOM_K - TINY_K && bottom_k <= top_k + TINY_K;
        let (bottom, average) = (self.printed.bottom_oil_rise_k, self.printed.average_oil_rise_k);
        if let Some(bottom_k) = bottom
            && !fits(bottom_k)
        {
            return Err(self.refused(Key::BottomOil, shown(bottom_k), wanted));
        }
        if let (Some(bottom_k), Some(average_k)) = (bottom, average) {
            let midway_k = f64::midpoint(top_k, bottom_k);
            if !((average_k - midway_k).abs() <= ROUNDED_K + TINY_K) {
                let wanted = format!(
                    "{} K, midway of top and bottom oil, to within {ROUNDED_K} K",
                    shown(midway_k)
                );
                return Err(self.refused(Key::AverageOil, shown(average_k), wanted));
            }
            return Ok(());
        }
        let Some(bottom_k) = self.printed.bottom_oil_rise_k() else { return Ok(()) };
        if fits(bottom_k) {
            return Ok(());
        }
        let (key, by) = match average {
            Some(_) => (Key::AverageOil, String::new()),
            None => (Key::Winding, format!(" less a gradient of {} K", self.gradient_in_words())),
        };
        let figure_k = self.figures.value(key).unwrap_or(f64::NAN);
        let found =
            format!("{}{by}, by which the bottom oil is at {} K", shown(figure_k), shown(bottom_k));
        Err(self.refused(key, found, wanted))
    }

    fn gradient_in_words(&self) -> String {
        self.printed.average_gradient_k().map_or_else(String::new, shown)
    }

    /// The gradient that is stated follows from the rises.
    fn gradient(&self) -> Result<(), InputError> {
        let Some(rises_k) = self.printed.gradient_by_rises_k() else { return Ok(()) };
        let name = Key::Winding.name();
        let winding = shown(self.printed.average_winding_rise_k.unwrap_or(f64::NAN));
        let over = format!("{winding}, {} K over the average oil", shown(rises_k));
        if !inside::<AverageGradientK>(rises_k) {
            let wanted = format!("a gradient of {}", accepted::<AverageGradientK>());
            return Err(self.refused(Key::Winding, over, wanted));
        }
        let place = self.beside.place;
        if let Some(own) = Figure::beside(self.beside.average.as_ref(), place)
            && !((own.value - rises_k).abs() <= ROUNDED_K + TINY_K)
        {
            let wanted = format!(
                "{} K to within {ROUNDED_K} K, {name} less the average oil, or no such key",
                shown(rises_k)
            );
            return Err(own.refused(self.refuse, "average_gradient_k", shown(own.value), wanted));
        }
        let product = Figure::beside(self.beside.product.as_ref(), place);
        product.map_or(Ok(()), |product| {
            self.follows(&product, "hot_spot_gradient_k", product.value, rises_k)
        })
    }

    /// The hot spot is no cooler than the average winding, and its gradient is the one that is stated.
    fn hot_spot(&self) -> Result<(), InputError> {
        let (Some(hot), name) = (self.figures.at(Key::HotSpot), Key::HotSpot.name()) else {
            return Ok(());
        };
        if let Some(winding_k) = self.printed.average_winding_rise_k()
            && !(hot.value >= winding_k - TINY_K)
        {
            let wanted = format!("at least the average winding rise, {} K", shown(winding_k));
            return Err(self.refused(Key::HotSpot, shown(hot.value), wanted));
        }
        let Some(top_k) = self.printed.top_oil_rise_k else {
            let wanted = "top_oil_rise_k too: the hot-spot gradient is the difference of both";
            return Err(self.refused(Key::HotSpot, format!("{} alone", shown(hot.value)), wanted));
        };
        let over_k = hot.value - top_k;
        if !inside::<GradientK>(over_k) {
            let found = format!("{}, {} K over the top oil", shown(hot.value), shown(over_k));
            let wanted = format!("a hot-spot gradient of {}", accepted::<GradientK>());
            return Err(self.refused(Key::HotSpot, found, wanted));
        }
        if let Some(gradient_k) = self.printed.average_gradient_k() {
            self.follows(&hot, name, over_k, gradient_k)?;
        }
        let own = Figure::beside(self.beside.product.as_ref(), self.beside.place);
        let parts_k = self
            .beside
            .average
            .zip(self.beside.factor)
            .map(|(average, factor)| average.value * factor.value);
        for stated_k in own.map(|own| own.value).into_iter().chain(parts_k) {
            if !((stated_k - over_k).abs() <= ROUNDED_K + TINY_K) {
                let found = format!("{}, {} K over the top oil", shown(hot.value), shown(over_k));
                let wanted = format!(
                    "{} K over it to within {ROUNDED_K} K, as {} has the hot-spot gradient, or one of both",
                    shown(stated_k),
                    self.beside.place
                );
                return Err(self.refused(Key::HotSpot, found, wanted));
            }
        }
        Ok(())
    }

    /// A hot-spot gradient is one to three times the average gradient, the range of the hot-spot factor.
    fn follows(
        &self,
        figure: &Figure,
        key: &str,
        over_k: f64,
        gradient_k: f64,
    ) -> Result<(), InputError> {
        let most_k = HotSpotFactor::MOST * gradient_k;
        if over_k >= gradient_k - ROUNDED_K - TINY_K && over_k <= most_k + TINY_K {
            return Ok(());
        }
        let found = format!("{}, {} K over the top oil", shown(figure.value), shown(over_k));
        let wanted = format!(
            "from {} to {} K over it, the average gradient times a hot-spot factor from {} to {}",
            shown(gradient_k),
            shown(most_k),
            HotSpotFactor::LEAST,
            HotSpotFactor::MOST
        );
        Err(figure.refused(self.refuse, key, found, wanted))
    }

    /// What is left out beside the block follows from it; of two figures that agree the hotter one counts.
    fn fill(&mut self) {
        let rises_k = self.printed.gradient_by_rises_k();
        let hot = self.figures.at(Key::HotSpot);
        let over_k = hot.zip(self.printed.top_oil_rise_k).map(|(hot, top_k)| hot.value - top_k);
        match (self.beside.product, self.beside.average) {
            (Some(_), Some(_)) => {}
            (Some(product), None) => {
                let most_k = over_k.unwrap_or(product.value).max(product.value);
                self.beside.product = Number::stated(most_k, product.line).or(Some(product));
                // A factor beside the one figure needs the other one of its two.
                if self.beside.factor.is_some() {
                    self.beside.average = self.by_rises(rises_k);
                }
            }
            (None, own) => {
                let most_k =
                    own.map_or(rises_k, |own| Some(rises_k.unwrap_or(own.value).max(own.value)));
                let line = own.map(|own| own.line);
                self.beside.average = self.by_rises(most_k).map(|found| {
                    Number::stated(found.value, line.unwrap_or(found.line)).unwrap_or(found)
                });
                self.factor(over_k, hot.map_or(0, |hot| hot.line));
            }
        }
        self.printed.average_gradient_k =
            value(self.beside.average.as_ref()).or(self.printed.average_gradient_k);
    }

    fn by_rises(&self, gradient_k: Option<f64>) -> Option<Number<AverageGradientK>> {
        let winding = self.figures.at(Key::Winding);
        Number::stated(gradient_k?, winding.map_or(0, |winding| winding.line))
    }

    /// The factor by which the average gradient becomes that of the hot spot; without one the gradient is one figure.
    fn factor(&mut self, over_k: Option<f64>, line: usize) {
        let Some(over_k) = over_k else { return };
        let Some(average) = self.beside.average else {
            self.beside.product = Number::stated(over_k, line);
            return;
        };
        let least = value(self.beside.factor.as_ref()).unwrap_or(HotSpotFactor::LEAST);
        let factor = (over_k / average.value).max(least);
        self.beside.factor = Number::stated(factor, line).or(self.beside.factor);
    }
}
