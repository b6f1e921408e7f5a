//! Moisture evidence of a profile.

use super::profile::WitnessFile;
use super::validate::{Refuse, value};
use crate::input::InputError;
use crate::moisture::evidence::{Method, SetAside, Statement, Witness};
use crate::quantities::MoisturePercent;

/// Every witness, checked.
pub(super) fn witnesses(
    refuse: &Refuse<'_>,
    files: &[WitnessFile],
) -> Result<Vec<Witness>, InputError> {
    files.iter().map(|file| witness(refuse, file)).collect()
}

fn witness(refuse: &Refuse<'_>, file: &WitnessFile) -> Result<Witness, InputError> {
    let statement = statement(refuse, file)?;
    Ok(Witness {
        method: file.method,
        statement,
        date: file.date.map(|date| date.to_string()),
        set_aside: file
            .set_aside
            .as_ref()
            .map(|decision| SetAside { by: decision.by.0.clone(), why: decision.why.0.clone() }),
    })
}

fn statement(refuse: &Refuse<'_>, file: &WitnessFile) -> Result<Statement, InputError> {
    let key = "moisture";
    match (&file.percent, &file.ppm, &file.rs_percent) {
        (Some(percent), None, None) => {
            if matches!(file.method, Some(Method::OilSample | Method::SaturationProbe)) {
                let accepted = "ppm for an oil sample, rs_percent for a saturation probe";
                return Err(refuse.at(percent.line, key, "percent of water in paper", accepted));
            }
            let std = value(file.std.as_ref());
            if let Some(zero) = file.std.as_ref().filter(|std| std.value <= 0.0) {
                return Err(refuse.at(
                    zero.line,
                    "moisture.std",
                    "0",
                    "more than 0: no measurement is exact",
                ));
            }
            let percent = MoisturePercent::new(percent.value)
                .map_err(|error| refuse.impossible(key, &error))?;
            Ok(Statement::Paper { percent, std })
        }
        (None, Some(ppm), None) => oil_figure(refuse, ppm.line, file.method, Method::OilSample),
        (None, None, Some(rs)) => oil_figure(refuse, rs.line, file.method, Method::SaturationProbe),
        _ => Err(refuse.whole(
            key,
            format!(
                "a witness ({}) with none or several of percent, ppm and rs_percent",
                file.method.map_or("no method", Method::in_words)
            ),
            "exactly one of them in each witness",
        )),
    }
}

fn oil_figure(
    refuse: &Refuse<'_>,
    line: usize,
    method: Option<Method>,
    needed: Method,
) -> Result<Statement, InputError> {
    if method.is_none_or(|method| method == needed) {
        return Ok(Statement::Oil);
    }
    let found = format!("method {}", method.map_or("none", Method::in_words));
    Err(refuse.at(
        line,
        "moisture.method",
        found,
        format!("the method of this figure: {}", needed.in_words()),
    ))
}
