//! One unit: its profile and rows read, hashed and answered, whatever comes of it.

use super::super::Failure;
use super::super::inputs::Inputs;
use super::super::profiles::{Found, told_inside};
use super::asked::Question;
use super::journal::Journal;
use crate::fleet::recent::RecentLoads;
use crate::fleet::row::{Row, Standing};
use crate::fleet::unit_answer::answer;
use crate::input::InputError;
use crate::loading::current::{InService, LoadBase};
use crate::unit::Unit;
use crate::unit::defaults::Catalogue;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// What the answers of all units share.
pub(super) struct Shared<'a> {
    pub(super) folder: &'a Path,
    pub(super) catalogue: &'a Catalogue,
    pub(super) question: &'a Question,
    pub(super) journal: &'a Journal,
}

/// The rows of a unit as text, with the header.
pub(super) struct Rows {
    /// Name of the file.
    pub(super) place: String,
    pub(super) text: Vec<u8>,
    /// Line of the first row in the file; the header is line 1 of the text.
    pub(super) first_line: usize,
}

impl Shared<'_> {
    /// The row of one unit.
    ///
    /// # Errors
    /// [`Failure::Internal`] if the journal cannot be written; whatever is wrong with the unit is in the row.
    pub(super) fn row(
        &self,
        name: &str,
        profile: &Found,
        rows: Result<Option<Rows>, InputError>,
    ) -> Result<Row, Failure> {
        // A bug that one unit meets must not take the others with it.
        let tried = catch_unwind(AssertUnwindSafe(|| self.tried(name, profile, rows)));
        match tried {
            Ok(Ok((row, new))) => {
                if new {
                    self.journal.add(&row)?;
                }
                Ok(row)
            }
            Ok(Err(error)) => Ok(self.refused(name, error)),
            Err(_) => {
                let words = "An internal failure; please report it with this unit's files.";
                Ok(Row::without_answer(name, Standing::Failed, words.to_owned()))
            }
        }
    }

    /// The row of a unit whose input was refused.
    pub(super) fn refused(&self, name: &str, error: InputError) -> Row {
        let words = told_inside(self.folder, error).to_string();
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        Row::without_answer(name, Standing::Refused, words)
    }

    /// The row, and whether it is new.
    fn tried(
        &self,
        name: &str,
        profile: &Found,
        rows: Result<Option<Rows>, InputError>,
    ) -> Result<(Row, bool), InputError> {
        let path = profile.as_ref().map_err(Clone::clone)?;
        let mut inputs: Inputs = self.question.inputs.clone();
        let unit = inputs.unit(path, self.catalogue)?;
        if unit.name != name {
            let place = path.display().to_string();
            let accepted = format!("{}, as written plainly after unit: in a line", unit.name);
            return Err(InputError::new(&place, name, accepted).at_key("unit"));
        }
        let rows = rows?.map(Rows::in_utf8).transpose()?;
        if let Some((_, text)) = &rows {
            inputs.add("loads", text);
        }
        let (inputs_sha256, _) = inputs.finish();
        if let Some(row) = self.journal.finished(name, &inputs_sha256) {
            return Ok((row, false));
        }
        let loads = rows
            .map(|(rows, text)| rows.read(&text, &unit, self.question.units_confirmed))
            .transpose()?;
        let contingency = &self.question.contingency;
        answer(contingency, unit, loads.as_ref(), inputs_sha256).map(|row| (row, true))
    }
}

impl Rows {
    fn in_utf8(mut self) -> Result<(Self, String), InputError> {
        let text = String::from_utf8(std::mem::take(&mut self.text)).map_err(|error| {
            let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
            let line = good.split(|byte| *byte == b'\n').count();
            self.at_own_line(
                InputError::new(&self.place, "bytes that are not UTF-8", "text in UTF-8")
                    .at_line(line),
            )
        })?;
        Ok((self, text))
    }

    fn read(&self, text: &str, unit: &Unit, confirmed: bool) -> Result<RecentLoads, InputError> {
        let base = LoadBase::of(unit, &InService::default())?;
        RecentLoads::read(&self.place, text.as_bytes(), base, confirmed)
            .map_err(|error| self.at_own_line(error))
    }

    /// An error at the line of the file.
    fn at_own_line(&self, error: InputError) -> InputError {
        let line = error.line.filter(|line| *line > 1).map(|line| line + self.first_line - 2);
        InputError { line: line.or(error.line), ..error }
    }
}
