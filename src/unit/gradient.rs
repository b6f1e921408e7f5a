//! The hot-spot gradient of a stage, stated as H × gr or, as heat-run reports print it, as gr with H beside it.

use super::SizeClass;
use super::facility_file::WindingFile;
use super::profile::{AverageGradientK, GradientK, HotSpotFactor, StageFile, ThermalFile};
use super::validate::Refuse;
use crate::input::InputError;
use crate::input::number::{Number, accepted, inside};

/// Both forms beside each other may differ by so much, K: reports round to a kelvin. Our choice.
const AGREE_WITHIN_K: f64 = 0.5;

/// Where the hot-spot gradient of a stage comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GradientFrom {
    /// Typical for the cooling.
    Typical,
    /// One figure, which should be H × gr.
    OneFigure,
    /// The average gradient gr and the hot-spot factor H, both stated.
    AverageAndFactor,
    /// The average gradient gr, with a typical H.
    AverageAndTypicalFactor,
}

/// A stated hot-spot gradient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gradient {
    /// H × gr, K.
    pub(super) hot_spot_k: f64,
    pub(super) from: GradientFrom,
    /// H, where gr is stated.
    pub(super) factor: Option<f64>,
}

/// Hot-spot factor H where none is stated. Source: `iec-60076-7-2005`, from memory: 1.1 for distribution units,
/// 1.3 for larger ones. 1.5 above 100 MVA is our choice: published figures lie between 1 and more than 2, and a larger
/// one is on the safe side.
pub fn typical_factor(size: SizeClass) -> f64 {
    match size {
        SizeClass::Distribution => 1.1,
        SizeClass::Medium => 1.3,
        SizeClass::Large => 1.5,
    }
}

/// The figures of one place in the profile.
#[derive(Clone, Copy)]
pub(super) struct Stated<'a> {
    place: &'static str,
    product: Option<&'a Number<GradientK>>,
    average: Option<&'a Number<AverageGradientK>>,
    factor: Option<&'a Number<HotSpotFactor>>,
}

impl<'a> Stated<'a> {
    /// Those of the unit. Its factor is also that of stages that state an average gradient alone: it is the same
    /// winding, our choice.
    pub(super) fn of_unit(own: &'a ThermalFile, stages: &[StageFile]) -> Self {
        let takes_it = |stage: &StageFile| {
            stage.average_gradient_k.is_some() && stage.hot_spot_factor.is_none()
        };
        let for_stages = own.average_gradient_k.is_none() && stages.iter().any(takes_it);
        Self {
            place: "thermal",
            product: own.hot_spot_gradient_k.as_ref(),
            average: own.average_gradient_k.as_ref(),
            factor: own.hot_spot_factor.as_ref().filter(|_| !for_stages),
        }
    }

    /// Those of a stage of that unit.
    pub(super) fn of_stage(file: &'a StageFile, own: &'a ThermalFile) -> Self {
        let shared = own.hot_spot_factor.as_ref().filter(|_| file.average_gradient_k.is_some());
        Self {
            place: "cooling_stages",
            product: file.hot_spot_gradient_k.as_ref(),
            average: file.average_gradient_k.as_ref(),
            factor: file.hot_spot_factor.as_ref().or(shared),
        }
    }

    /// Those of a winding.
    pub(super) fn of_winding(file: &'a WindingFile) -> Self {
        Self {
            place: "windings",
            product: file.hot_spot_gradient_k.as_ref(),
            average: file.average_gradient_k.as_ref(),
            factor: file.hot_spot_factor.as_ref(),
        }
    }

    /// The gradient, if one is stated.
    pub(super) fn gradient(
        &self,
        refuse: &Refuse<'_>,
        size: SizeClass,
    ) -> Result<Option<Gradient>, InputError> {
        let factor =
            self.average.map(|_| self.factor.map_or(typical_factor(size), |own| own.value));
        let gradient = |hot_spot_k, from| Ok(Some(Gradient { hot_spot_k, from, factor }));
        match (self.product, self.average, self.factor) {
            (None, None, None) => Ok(None),
            (Some(product), None, None) => gradient(product.value, GradientFrom::OneFigure),
            (None, Some(average), None) => {
                let hot_spot_k = self.times(refuse, average, typical_factor(size))?;
                gradient(hot_spot_k, GradientFrom::AverageAndTypicalFactor)
            }
            (None, Some(average), Some(factor)) => {
                let hot_spot_k = self.times(refuse, average, factor.value)?;
                gradient(hot_spot_k, GradientFrom::AverageAndFactor)
            }
            (Some(product), Some(average), Some(factor)) => {
                let parts_k = self.times(refuse, average, factor.value)?;
                gradient(self.agreed(refuse, product, parts_k)?, GradientFrom::AverageAndFactor)
            }
            (Some(_), Some(average), None) => {
                let accepted = "hot_spot_factor beside it, or one of both forms: hot_spot_gradient_k is hot_spot_factor × average_gradient_k";
                Err(self.refused(
                    refuse,
                    (average.line, "average_gradient_k"),
                    average.value,
                    accepted,
                ))
            }
            (Some(_) | None, None, Some(factor)) => {
                let accepted = "average_gradient_k beside it, the gr that heat-run reports print; hot_spot_gradient_k alone holds the factor already";
                Err(self.refused(refuse, (factor.line, "hot_spot_factor"), factor.value, accepted))
            }
        }
    }

    /// The hotter of both forms, if they agree.
    fn agreed(
        &self,
        refuse: &Refuse<'_>,
        product: &Number<GradientK>,
        parts_k: f64,
    ) -> Result<f64, InputError> {
        // Written so that NaN does not agree.
        if (product.value - parts_k).abs() <= AGREE_WITHIN_K {
            return Ok(parts_k.max(product.value));
        }
        let accepted = format!(
            "{} K (hot_spot_factor × average_gradient_k), or one of both forms",
            shown(parts_k)
        );
        let place = (product.line, "hot_spot_gradient_k");
        Err(self.refused(refuse, place, product.value, &accepted))
    }

    /// H × gr, in the range of a hot-spot gradient.
    fn times(
        &self,
        refuse: &Refuse<'_>,
        average: &Number<AverageGradientK>,
        factor: f64,
    ) -> Result<f64, InputError> {
        let hot_spot_k = average.value * factor;
        if inside::<GradientK>(hot_spot_k) {
            return Ok(hot_spot_k);
        }
        let key = format!("{}.average_gradient_k", self.place);
        let found =
            format!("{} × {} K = {} K", shown(factor), shown(average.value), shown(hot_spot_k));
        let accepted = format!("a product of {}", accepted::<GradientK>());
        Err(refuse.at(average.line, &key, found, accepted))
    }

    fn refused(
        &self,
        refuse: &Refuse<'_>,
        (line, key): (usize, &str),
        found: f64,
        accepted: &str,
    ) -> InputError {
        refuse.at(line, &format!("{}.{key}", self.place), shown(found), accepted)
    }
}

/// A number to three decimals: enough to find it in the file.
fn shown(number: f64) -> String {
    ((number * 1000.0).round() / 1000.0).to_string()
}
