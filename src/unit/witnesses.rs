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
    files.iter().enumerate().map(|(index, file)| witness(refuse, index, file)).collect()
}

fn witness(refuse: &Refuse<'_>, index: usize, file: &WitnessFile) -> Result<Witness, InputError> {
    let statement = statement(refuse, index, file)?;
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

fn statement(
    refuse: &Refuse<'_>,
    index: usize,
    file: &WitnessFile,
) -> Result<Statement, InputError> {
    let key = "moisture";
    match (&file.percent, &file.ppm, &file.rs_percent) {
        (Some(percent), None, None) => {
            if matches!(file.method, Some(Method::OilSample | Method::SaturationProbe)) {
                let accepted = "ppm for an oil sample, rs_percent for a saturation probe";
                return Err(refuse.at(percent.line, key, "percent of water in paper", accepted));
            }
            let std = value(file.std.as_ref());
            let percent = MoisturePercent::new(percent.value)
                .map_err(|error| refuse.impossible(key, &error))?;
            Ok(Statement::Paper { percent, std })
        }
        (None, Some(ppm), None) => oil_figure(refuse, ppm.line, file.method, Method::OilSample),
        (None, None, Some(rs)) => oil_figure(refuse, rs.line, file.method, Method::SaturationProbe),
        (None, None, None) => Err(nothing_or_several(refuse, index, file, "none")),
        _ => Err(nothing_or_several(refuse, index, file, "several")),
    }
}

fn nothing_or_several(
    refuse: &Refuse<'_>,
    index: usize,
    file: &WitnessFile,
    how_many: &str,
) -> InputError {
    let key = format!("moisture, witness {}", index + 1);
    let found = format!("{how_many} of percent, ppm and rs_percent");
    let accepted = "exactly one of them in each witness";
    let figures = [
        file.percent.as_ref().map(|figure| figure.line),
        file.ppm.as_ref().map(|figure| figure.line),
        file.oil_c.as_ref().map(|figure| figure.line),
        file.std.as_ref().map(|figure| figure.line),
    ];
    match figures.into_iter().flatten().next() {
        Some(line) => refuse.at(line, &key, found, accepted),
        None => refuse.whole(&key, found, accepted),
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
