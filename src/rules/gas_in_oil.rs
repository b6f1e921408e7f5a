//! What a gas-in-oil report says beside its total: how old it is, and whether it shows fault gas.

use super::catalogue::Code;
use super::facts::Facts;
use super::finding::{Finding, Severity};
use crate::bubbling::gas_age::{CountedGas, Standing};
use crate::unit::{FaultGas, Unit};

/// All findings of the family.
pub(super) fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let age = facts.bubbling.gas.as_ref().and_then(sample_age);
    let stated = statement(facts);
    age.into_iter().chain(stated).chain(above_typical(facts.unit)).collect()
}

/// A caution for a figure that its age lets count on the gassy side only.
pub(super) fn sample_age(gas: &CountedGas) -> Option<Finding> {
    let (code, why) = match gas.age.standing {
        Standing::Counts | Standing::NotJudged => return None,
        Standing::Old => (Code::GasSampleOld, "The gas sample is too old to count as it stands"),
        Standing::SinceTreatment => (
            Code::GasSampleTreatment,
            "Since the oil was treated it has had longer to take up gas than the gas sample shows",
        ),
        Standing::Undated => {
            (Code::GasSampleUndated, "The gas sample has no date, so it counts as an old one")
        }
        Standing::DatedLater => {
            (Code::GasSampleLater, "The gas sample is dated after the day of the question")
        }
    };
    let (total, stated) = (gas.total.value(), gas.stated.value());
    let counts = if gas.fell_back() {
        format!("{total:.1} % of gas is counted, not the {stated:.1} % stated")
    } else {
        format!("the {stated:.1} % stated is counted, for such oil holds no more when saturated")
    };
    let found = Finding::new(code, Severity::Caution, format!("{why}: {counts}."));
    Some(match gas.age.months {
        Some(months) => found.measured(months, "months").limit(gas.age.oldest_months, "months"),
        None => found,
    })
}

/// Typical values of a gas, ppm: 90 % of the units in service lie below a figure in this range.
struct Typical {
    symbol: &'static str,
    name: &'static str,
    least: f64,
    most: f64,
}

const fn typical(symbol: &'static str, name: &'static str, least: f64, most: f64) -> Typical {
    Typical { symbol, name, least, most }
}

/// The 90 % typical values that networks have found, ppm. Source: `iec-60599-2015` (from memory). For screening
/// only: of seven gases one lies above its figure in about half of all healthy units (1 − 0.9⁷ = 52 % if they
/// were independent).
const TYPICAL: [Typical; 7] = [
    typical("H2", "hydrogen", 50.0, 150.0),
    typical("CH4", "methane", 30.0, 130.0),
    typical("C2H6", "ethane", 20.0, 90.0),
    typical("C2H4", "ethylene", 60.0, 280.0),
    typical("C2H2", ACETYLENE, 2.0, 20.0),
    typical("CO", "carbon monoxide", 400.0, 600.0),
    typical("CO2", "carbon dioxide", 3800.0, 14_000.0),
];

const ACETYLENE: &str = "acetylene";

/// Acetylene where the tap changer shares the oil, ppm. Source: `iec-60599-2015` (from memory).
const SHARED_ACETYLENE: Typical = typical("C2H2", ACETYLENE, 60.0, 280.0);

/// Acetylene above this asks for an explanation, ppm: discharges and very hot metal make it and little else does.
/// Our choice, no source: a few ppm are above what a laboratory may find by mistake.
const ACETYLENE_ASKS_PPM: f64 = 5.0;

/// Hydrogen above so many times the upper end of its range asks for an explanation. Our choice, no source.
const HYDROGEN_ASKS_TIMES: f64 = 2.0;

/// The range that a gas of a unit is held against.
fn range(unit: &Unit, symbol: &str) -> Option<&'static Typical> {
    if symbol == SHARED_ACETYLENE.symbol && unit.oil_shared_with_tap_changer {
        return Some(&SHARED_ACETYLENE);
    }
    TYPICAL.iter().find(|typical| typical.symbol == symbol)
}

fn report(unit: &Unit) -> impl Iterator<Item = (&'static Typical, f64)> {
    let gases = unit.gas.iter().flat_map(|gas| &gas.report);
    gases.filter_map(|(symbol, ppm)| Some((range(unit, symbol)?, *ppm)))
}

/// A caution for each gas above the upper end of its range. A ppm that is no number is above it.
fn above_typical(unit: &Unit) -> Vec<Finding> {
    let above = report(unit).filter(|(typical, ppm)| !(*ppm <= typical.most));
    let finding = |(typical, ppm): (&Typical, f64)| {
        let Typical { name, least, most, .. } = typical;
        let text =
            format!("The oil holds {ppm} ppm of {name}; {least:.0} to {most:.0} ppm is typical.");
        Finding::new(Code::FaultGasAboveTypical, Severity::Caution, text)
            .measured(ppm, "ppm")
            .limit(*most, "ppm")
    };
    above.map(finding).collect()
}

/// A gas that asks for an explanation, with its figure and up to which one it does not.
fn unexplained(unit: &Unit) -> Option<(&'static Typical, f64, f64)> {
    let asks = |typical: &Typical| match typical.symbol {
        "C2H2" if unit.oil_shared_with_tap_changer => Some(typical.most),
        "C2H2" => Some(ACETYLENE_ASKS_PPM),
        "H2" => Some(HYDROGEN_ASKS_TIMES * typical.most),
        _ => None,
    };
    report(unit)
        .filter_map(|(typical, ppm)| Some((typical, ppm, asks(typical)?)))
        .find(|(_, ppm, most)| !(ppm <= most))
}

/// What is stated of fault gas, held against the report. Nobody's silence is taken for an explanation.
fn statement(facts: &Facts<'_>) -> Option<Finding> {
    let (severity, text) = match facts.condition.fault_gas {
        stated @ (None | Some(FaultGas::None)) => {
            if let Some((typical, ppm, most)) = unexplained(facts.unit) {
                let said = if stated.is_some() {
                    "No fault gas is stated"
                } else {
                    "Nothing is stated of fault gas"
                };
                let text = format!("{said}, but the report shows {ppm} ppm of {}.", typical.name);
                let found = Finding::new(Code::FaultGasContradicted, Severity::Unknown, text);
                return Some(found.measured(ppm, "ppm").limit(most, "ppm"));
            }
            stated?;
            (Severity::Pass, "No fault gas is reported.")
        }
        Some(FaultGas::Explained) => (
            Severity::Caution,
            "There is fault gas of known cause; it lowers the inception temperature.",
        ),
        Some(FaultGas::Unexplained) => {
            (Severity::Stop, "There is fault gas without a known cause.")
        }
    };
    Some(Finding::new(Code::FaultGas, severity, text))
}
