//! Whether a hot-spot gradient is as such units have it, or rather the average gradient of a heat-run report.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use crate::unit::gradient::{GradientFrom, typical_factor};
use crate::unit::{SizeClass, StageData};

/// At this share of what is typical for the cooling a gradient is low, and where the typical hot-spot factor is
/// greater than its reciprocal, already at the average gradient of a typical unit: whoever took the gr of a heat-run
/// report of a typical unit for H × gr is there. What a smaller factor would leave out lies within the usual
/// uncertainty of the gradient. Our choice, no source.
const LOW_SHARE: f64 = 0.8;

/// Where both figures of the product are stated the question is answered, and only a product below this share of
/// what is typical gets a caution. Our choice, no source.
const DOUBTFUL_SHARE: f64 = 0.5;

/// Every stage of the unit is looked at, in service or not: otherwise more load could take the caution away.
pub(super) fn gradient(facts: &Facts<'_>) -> Option<Finding> {
    let thermal = facts.unit.thermal.as_ref()?;
    let stated: Vec<&StageData> =
        thermal.stages.iter().filter(|data| data.gradient_from != GradientFrom::Typical).collect();
    let share = |data: &StageData| data.stage.nameplate.hot_spot_gradient_k / data.usual_gradient_k;
    let lowest = stated.into_iter().min_by(|one, other| share(one).total_cmp(&share(other)))?;
    let size = facts.unit.size_class;
    let found_k = lowest.stage.nameplate.hot_spot_gradient_k;
    let limit_k = low_share(size) * lowest.usual_gradient_k;
    let finding = if found_k > limit_k {
        let text = "The hot-spot gradient is not lower than such units have it.";
        Finding::new(Code::GradientLow, Severity::Pass, text)
    } else {
        low(lowest, share(lowest))
    };
    Some(finding.measured(found_k, "K").limit(limit_k, "K"))
}

fn low_share(size: SizeClass) -> f64 {
    LOW_SHARE.min(1.0 / typical_factor(size))
}

fn low(data: &StageData, share: f64) -> Finding {
    let name = &data.stage.name;
    let one_figure = match data.gradient_from {
        GradientFrom::OneFigure => true,
        GradientFrom::Typical
        | GradientFrom::AverageAndFactor
        | GradientFrom::AverageAndTypicalFactor => false,
    };
    let severity =
        if one_figure || !(share >= DOUBTFUL_SHARE) { Severity::Caution } else { Severity::Notice };
    let text = if one_figure {
        format!(
            "The hot-spot gradient of {name} is low for its cooling. Is it the average gradient gr of the heat-run report, and not H × gr?"
        )
    } else {
        format!(
            "The hot-spot gradient of {name}, H × gr, is low for its cooling. Check both figures."
        )
    };
    Finding::new(Code::GradientLow, severity, text)
}
