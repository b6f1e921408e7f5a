//! Gas dissolved in the oil: how much in all, and what pressure it exerts.

use crate::quantities::{GasPercent, NotAQuantity, Pascals, STANDARD_ATMOSPHERE_PA};

/// Gas symbols accepted in a report, with the gas dissolved in oil at 25 °C under one
/// atmosphere of it, % by volume. Source: `gas-solubilities-25c` (second-hand, of uncertain origin; not the
/// figures of `astm-d3612`). They serve the worst-case bound, which informs and sets no verdict.
///
/// The hydrocarbons with three carbon atoms have no figure there; `None`.
pub const GASES: [(&str, Option<f64>); 11] = [
    ("H2", Some(7.0)),
    ("N2", Some(8.6)),
    ("CO", Some(9.0)),
    ("O2", Some(16.0)),
    ("CH4", Some(30.0)),
    ("CO2", Some(120.0)),
    ("C2H6", Some(280.0)),
    ("C2H4", Some(280.0)),
    ("C2H2", Some(400.0)),
    ("C3H8", None),
    ("C3H6", None),
];

/// A gas without a figure of its own is given the least soluble gas's: the most pressure.
const LEAST_SOLUBLE_PERCENT: f64 = 7.0;

/// Nitrogen dissolved at 25 °C under one atmosphere of it, % by volume (`gas-solubilities-25c`, second-hand, of
/// uncertain origin; that oil under nitrogen holds so much is common practice).
const NITROGEN_PERCENT: f64 = 8.6;

/// Single gases of a report, as symbol and ppm by volume.
pub type GasReport = [(String, f64)];

/// Total dissolved gas as the sum of the single gases.
///
/// ```text
/// Vg = Σ ppm / 1e4        % by volume
/// ```
/// # Source       `astm-d3612` §§32–33 (second-hand).
/// # Valid        Only if nitrogen and oxygen are among the gases: they are most of the sum.
/// # Departures   None.
/// # Checked      `tests/published/astm_d3612.rs` (6.0289 %).
///
/// # Errors
/// A sum that is not a possible gas content.
pub fn total(report: &GasReport) -> Result<GasPercent, NotAQuantity> {
    GasPercent::new(report.iter().map(|(_, ppm)| ppm).sum::<f64>() / 1.0e4)
}

/// Whether a report holds the two gases that make up most of the total. Zero is no measurement
/// of them: no oil is without both.
pub fn names_nitrogen_and_oxygen(report: &GasReport) -> bool {
    ["N2", "O2"].iter().all(|needed| report.iter().any(|(gas, ppm)| gas == needed && *ppm > 0.0))
}

/// Pressure that the dissolved gases exert together.
///
/// ```text
/// p = Σ (ppm_i·1e-6 / K_i) · 1 atm        K_i dissolved fraction at 25 °C under 1 atm
/// ```
/// # Source       Henry's law with the figures of [`GASES`], `gas-solubilities-25c`.
/// # Valid        25 °C. Used only for a worst-case bound: most gases dissolve better in hot oil.
/// # Departures   C3 hydrocarbons take the least soluble gas's figure.
/// # Checked      See the tests of this file.
///
/// # Errors
/// A sum that is not a possible pressure.
pub fn pressure_of(report: &GasReport) -> Result<Pascals, NotAQuantity> {
    let atmospheres: f64 = report
        .iter()
        .map(|(gas, ppm)| {
            let known =
                GASES.iter().find(|(symbol, _)| symbol == gas).and_then(|(_, percent)| *percent);
            ppm * 1.0e-6 / (known.unwrap_or(LEAST_SOLUBLE_PERCENT) / 100.0)
        })
        .sum();
    Pascals::new(atmospheres * STANDARD_ATMOSPHERE_PA)
}

/// The same if only the total is known: all of it nitrogen, the pessimistic reading.
///
/// # Errors
/// As [`pressure_of`].
pub fn pressure_of_total(gas: GasPercent) -> Result<Pascals, NotAQuantity> {
    Pascals::new(gas.value() / NITROGEN_PERCENT * STANDARD_ATMOSPHERE_PA)
}

/// How the oil is kept from the air.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Preservation {
    /// A conservator that breathes air.
    Conservator,
    /// A conservator with a membrane or bag between oil and air.
    ConservatorMembrane,
    /// A blanket of nitrogen over the oil.
    NitrogenBlanket,
    /// Sealed, or degassed and kept from air.
    Sealed,
}

/// Gas content to assume when no usable report exists: the upper end of what is usual.
///
/// # Source       Common practice, no source: conservator breathing air 9–10 %, nitrogen blanket
/// 8.6 % per atmosphere, sealed or degassed 1–2 %.
/// # Valid        A stand-in; every result that uses it says "assumed". `blanket` is the absolute
/// pressure over the oil.
/// # Departures   None.
/// # Checked      Not checked against published numbers.
///
/// # Errors
/// A blanket pressure that makes no possible gas content.
pub fn assumed(preservation: Preservation, blanket: Pascals) -> Result<GasPercent, NotAQuantity> {
    GasPercent::new(match preservation {
        Preservation::Conservator => 10.0,
        Preservation::NitrogenBlanket => NITROGEN_PERCENT * blanket.atmospheres(),
        Preservation::ConservatorMembrane | Preservation::Sealed => 2.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn air_saturated_oil_exerts_about_one_atmosphere() {
        // Air at 25 °C: 79 % N2 and 21 % O2 by pressure dissolve 6.794 % and 3.36 %.
        let report = [("N2".to_owned(), 67_940.0), ("O2".to_owned(), 33_600.0)];
        let pressure = pressure_of(&report).unwrap();
        assert_relative_eq!(pressure.atmospheres(), 1.0, max_relative = 1.0e-9);
    }

    #[test]
    fn an_unlisted_figure_is_the_least_soluble_one() {
        let least = GASES.iter().filter_map(|(_, percent)| *percent).fold(f64::MAX, f64::min);
        assert_relative_eq!(least, LEAST_SOLUBLE_PERCENT);
        assert!(!names_nitrogen_and_oxygen(&[("N2".to_owned(), 1.0)]));
    }
}
