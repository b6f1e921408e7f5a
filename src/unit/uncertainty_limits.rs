//! How uncertain a quantity may be said to be, so that what is drawn from it stays possible.

/// A quantity and what a spread of it is checked against.
pub(super) struct Quantity {
    /// Its key.
    pub(super) key: &'static str,
    unit: &'static str,
    /// Its value.
    pub(super) value: f64,
    /// Largest standard uncertainty accepted.
    pub(super) most_std: f64,
    /// What that is, in words.
    why: &'static str,
    /// How far an end of an interval may lie from the value.
    farthest: f64,
}

/// What was found and what is accepted.
type Refused = (String, String);

impl Quantity {
    /// A quantity whose standard uncertainty has a ceiling of its own.
    pub(super) fn up_to(key: &'static str, unit: &'static str, value: f64, most_std: f64) -> Self {
        Self { key, unit, value, most_std, why: "", farthest: f64::INFINITY }
    }

    /// What cannot be negative: three standard uncertainties must not reach below zero.
    pub(super) fn positive(key: &'static str, unit: &'static str, value: f64) -> Self {
        Self { why: ", a third of the value", ..Self::up_to(key, unit, value, value / 3.0) }
    }

    /// An exponent, of which a second form has another value that departs by as much: neither end of an
    /// interval lies farther from the value than three of the largest standard uncertainties.
    pub(super) fn exponent(key: &'static str, value: f64, most_std: f64) -> Self {
        Self { farthest: 3.0 * most_std, ..Self::up_to(key, "", value, most_std) }
    }

    /// k21, which stands for an overshoot by what it exceeds 1 by.
    pub(super) fn overshoot(k21: f64) -> Self {
        let why = ", half of what k21 exceeds 1 by";
        Self { why, ..Self::up_to("k21", "", k21, (k21 - 1.0) / 2.0) }
    }

    /// What aged paper still holds. Three standard uncertainties are nearly half of it: water counts in
    /// inverse proportion, and doubles there.
    pub(super) fn holding(factor: f64) -> Self {
        Self {
            why: ", 15 % of the value",
            ..Self::up_to("holding_factor", "", factor, 0.15 * factor)
        }
    }

    /// Why a standard uncertainty is refused, if it is.
    pub(super) fn refuse_std(&self, std: f64) -> Option<Refused> {
        // NaN is in no range.
        if (0.0..=self.most_std).contains(&std) {
            return None;
        }
        let accepted =
            format!("a standard uncertainty from 0 to {}{}", self.in_unit(self.most_std), self.why);
        Some((self.in_unit(std), accepted))
    }

    /// Why an interval is refused, if it is.
    pub(super) fn refuse_interval(&self, least: f64, most: f64) -> Option<Refused> {
        let found = format!("{least} to {}", self.in_unit(most));
        if !(least < most) {
            return Some((found, "least below most".to_owned()));
        }
        if !(least..=most).contains(&self.value) {
            let accepted =
                format!("an interval that contains the value itself, {}", self.in_unit(self.value));
            return Some((found, accepted));
        }
        if !(self.value - least <= self.farthest && most - self.value <= self.farthest) {
            let (value, farthest) = (self.in_unit(self.value), self.in_unit(self.farthest));
            return Some((found, format!("ends within {farthest} of the value, {value}")));
        }
        None
    }

    /// A number in the quantity's unit, to six decimals: enough to find it in the file.
    fn in_unit(&self, number: f64) -> String {
        let rounded = (number * 1.0e6).round() / 1.0e6;
        format!("{rounded} {}", self.unit).trim_end().to_owned()
    }
}
