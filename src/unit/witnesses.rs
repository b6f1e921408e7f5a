//! Moisture evidence of a profile.

use super::evidence_file::{SetAsideFile, WitnessC, WitnessFile};
use super::probe_series::read_series;
use super::validate::{Beside, Refuse, value};
use crate::input::InputError;
use crate::input::number::Number;
use crate::input::text::FileName;
use crate::moisture::evidence::{Method, SetAside, Statement, Witness};
use crate::moisture::usual::START_PERCENT;
use crate::quantities::{Celsius, MoisturePercent, RelativeSaturation, WaterPpm};
use chrono::NaiveDate;

/// More measurements than this of one unit are some other table.
const MOST_WITNESSES: usize = 50;

/// Every witness, checked.
pub(super) fn witnesses(
    refuse: &Refuse<'_>,
    files: &[WitnessFile],
    beside: &mut Beside<'_>,
) -> Result<Vec<Witness>, InputError> {
    if files.len() > MOST_WITNESSES {
        let accepted = format!("at most {MOST_WITNESSES} witnesses");
        return Err(refuse.whole("moisture", format!("{} witnesses", files.len()), accepted));
    }
    let numbered = files.iter().enumerate();
    let read: Result<Vec<Witness>, InputError> =
        numbered.map(|(index, file)| Reader { refuse, index, file }.witness(beside)).collect();
    let read = read?;
    // A measurement that stands twice would look twice as sure.
    for (index, witness) in read.iter().enumerate() {
        if read[..index].iter().any(|other| other.same_measurement(witness)) {
            let key = format!("moisture, witness {}", index + 1);
            let found = format!("the {} twice", witness.in_words());
            return Err(refuse.whole(&key, found, "each measurement once"));
        }
    }
    Ok(read)
}

/// Reads one witness.
struct Reader<'a> {
    refuse: &'a Refuse<'a>,
    index: usize,
    file: &'a WitnessFile,
}

/// A statement, the method that goes with it, and its day if the figure itself tells it.
type Stated = (Statement, Option<Method>, Option<NaiveDate>);

/// The keys of which exactly one states what a witness says.
const STATEMENTS: &str = "percent, ppm, rs_percent, series and yearly_increase_percent";

impl Reader<'_> {
    fn witness(&self, beside: &mut Beside<'_>) -> Result<Witness, InputError> {
        let file = self.file;
        let (statement, inferred, measured) = self.statement(beside)?;
        self.only_with(&statement)?;
        let date = self.day(measured)?;
        Ok(Witness {
            method: file.method.or(inferred),
            statement,
            date,
            oil: self.celsius(file.oil_c.as_ref())?,
            std_oil_k: value(file.std_oil_k.as_ref()),
            insulation_c: value(file.insulation_c.as_ref()),
            location: file.location,
            steady_h: value(file.steady_h.as_ref()),
            exposure_min: value(file.exposure_min.as_ref()),
            aged_conductive_oil: file.aged_conductive_oil,
            note: file.note.as_ref().map(|note| note.0.clone()),
            set_aside: self.set_aside()?,
        })
    }

    /// The day of the measurement; a series with clock times tells its own.
    fn day(&self, measured: Option<NaiveDate>) -> Result<Option<NaiveDate>, InputError> {
        let stated = self.file.date.map(|date| date.0);
        if let (Some(stated), Some(measured)) = (stated, measured)
            && stated.signed_duration_since(measured).num_days().abs() > 1
        {
            let key = format!("{}.date", self.key());
            let line = self.file.series.as_ref().map_or(0, |series| series.1);
            let accepted = format!("{measured}, the day of the last reading of the series");
            return Err(self.refuse.at(line, &key, stated.to_string(), accepted));
        }
        Ok(measured.or(stated))
    }

    /// What it says, the method that goes with it, and the day if the figure tells it.
    fn statement(&self, beside: &mut Beside<'_>) -> Result<Stated, InputError> {
        let file = self.file;
        let stated = [
            file.percent.is_some(),
            file.ppm.is_some(),
            file.rs_percent.is_some(),
            file.series.is_some(),
            file.yearly_increase_percent.is_some(),
        ];
        if stated.iter().filter(|stated| **stated).count() != 1 {
            let some = stated.contains(&true);
            return Err(self.nothing_or_several(if some { "several" } else { "none" }));
        }
        if let Some(percent) = &file.percent {
            return Ok((self.paper(percent.value, percent.line)?, None, None));
        }
        if let Some(ppm) = &file.ppm {
            let water = WaterPpm::new(ppm.value).map_err(|error| self.impossible(&error))?;
            let statement = Statement::Oil { ppm: water, std_ppm: value(file.std_ppm.as_ref()) };
            return self.of_method(statement, ppm.line, Method::OilSample);
        }
        let std = value(file.std_rs_percent.as_ref()).map(|percent| percent / 100.0);
        if let Some(rs) = &file.rs_percent {
            let saturation = RelativeSaturation::new(rs.value / 100.0)
                .map_err(|error| self.impossible(&error))?;
            let statement = Statement::Probe { saturation, std };
            return self.of_method(statement, rs.line, Method::SaturationProbe);
        }
        if let Some(series) = &file.series {
            let key = format!("{}.series", self.key());
            let name = inside_the_folder(self.refuse, series.1, &key, &series.0)?;
            let (place, text) = beside(name)?;
            let (points, day) = read_series(&place, &text)?;
            let statement = Statement::Series { points, std };
            let (statement, method, _) =
                self.of_method(statement, series.1, Method::SaturationProbe)?;
            return Ok((statement, method, day));
        }
        let yearly = file.yearly_increase_percent.as_ref();
        let statement = Statement::Age {
            start_percent: value(file.start_percent.as_ref()).unwrap_or(START_PERCENT),
            yearly_percent: value(yearly).unwrap_or(0.0),
        };
        self.of_method(statement, yearly.map_or(0, |yearly| yearly.line), Method::Assumed)
    }

    fn paper(&self, percent: f64, line: usize) -> Result<Statement, InputError> {
        if self.file.method.is_some_and(Method::sees_oil) {
            let accepted = "ppm for an oil sample, rs_percent or series for a saturation probe";
            return Err(self.refuse.at(line, &self.key(), "percent of water in paper", accepted));
        }
        let percent = MoisturePercent::new(percent).map_err(|error| self.impossible(&error))?;
        Ok(Statement::Paper { percent, std: value(self.file.std.as_ref()) })
    }

    fn of_method(
        &self,
        statement: Statement,
        line: usize,
        needed: Method,
    ) -> Result<Stated, InputError> {
        match self.file.method {
            Some(method) if method != needed => {
                let accepted = format!("the method of this figure: {}", needed.in_words());
                let found = format!("method {}", method.in_words());
                Err(self.refuse.at(line, &format!("{}.method", self.key()), found, accepted))
            }
            _ => Ok((statement, Some(needed), None)),
        }
    }

    fn set_aside(&self) -> Result<Option<SetAside>, InputError> {
        let Some(decision) = &self.file.set_aside else {
            return Ok(None);
        };
        let named = decision.named().map_err(|(line, found)| {
            let key = format!("{}.set_aside", self.key());
            self.refuse.at(line, &key, found, SetAsideFile::ACCEPTED)
        });
        named.map(Some)
    }

    /// A key that says nothing about this kind of statement was meant for another.
    fn only_with(&self, statement: &Statement) -> Result<(), InputError> {
        let file = self.file;
        let series = matches!(statement, Statement::Series { .. });
        let (paper, oil, probe, age) = match statement {
            Statement::Paper { .. } => (true, false, false, false),
            Statement::Oil { .. } => (false, true, false, false),
            Statement::Probe { .. } | Statement::Series { .. } => (false, false, true, false),
            Statement::Age { .. } => (false, false, false, true),
        };
        let single = (oil || probe) && !series;
        let line = |number: Option<usize>| number.unwrap_or(0);
        let keys = [
            ("std", file.std.as_ref().map(|n| n.line), paper, "percent"),
            ("exposure_min", file.exposure_min.as_ref().map(|n| n.line), paper, "percent"),
            ("std_ppm", file.std_ppm.as_ref().map(|n| n.line), oil, "ppm"),
            (
                "std_rs_percent",
                file.std_rs_percent.as_ref().map(|n| n.line),
                probe,
                "rs_percent or series",
            ),
            (
                "start_percent",
                file.start_percent.as_ref().map(|n| n.line),
                age,
                "yearly_increase_percent",
            ),
            ("std_oil_k", file.std_oil_k.as_ref().map(|n| n.line), oil || probe, "an oil figure"),
            ("steady_h", file.steady_h.as_ref().map(|n| n.line), single, "a single oil figure"),
            (
                "oil_c",
                file.oil_c.as_ref().map(|n| n.line),
                !series,
                "no series: its readings have it",
            ),
        ];
        for (key, stated, fits, needed) in keys {
            if stated.is_some() && !fits {
                let key = format!("{}.{key}", self.key());
                let accepted = format!("this key only together with {needed}");
                return Err(self.refuse.at(
                    line(stated),
                    &key,
                    "a key that says nothing",
                    accepted,
                ));
            }
        }
        Ok(())
    }

    fn celsius(&self, number: Option<&Number<WitnessC>>) -> Result<Option<Celsius>, InputError> {
        number
            .map(|number| Celsius::new(number.value).map_err(|error| self.impossible(&error)))
            .transpose()
    }

    fn nothing_or_several(&self, how_many: &str) -> InputError {
        let file = self.file;
        let found = format!("{how_many} of {STATEMENTS}");
        let accepted = "exactly one of them in each witness";
        let figures = [
            file.percent.as_ref().map(|figure| figure.line),
            file.ppm.as_ref().map(|figure| figure.line),
            file.rs_percent.as_ref().map(|figure| figure.line),
            file.series.as_ref().map(|figure| figure.1),
            file.oil_c.as_ref().map(|figure| figure.line),
            file.std.as_ref().map(|figure| figure.line),
        ];
        match figures.into_iter().flatten().next() {
            Some(line) => self.refuse.at(line, &self.key(), found, accepted),
            None => self.refuse.whole(&self.key(), found, accepted),
        }
    }

    fn key(&self) -> String {
        format!("moisture, witness {}", self.index + 1)
    }

    fn impossible(&self, error: &crate::quantities::NotAQuantity) -> InputError {
        self.refuse.impossible(&self.key(), error)
    }
}

/// A profile may name files in its own folder and below, and nowhere else.
fn inside_the_folder<'a>(
    refuse: &Refuse<'_>,
    line: usize,
    key: &str,
    name: &'a str,
) -> Result<&'a str, InputError> {
    if FileName::fits(name) {
        return Ok(name);
    }
    Err(refuse.at(line, key, name, FileName::ACCEPTED))
}
