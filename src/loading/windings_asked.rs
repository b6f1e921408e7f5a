//! Loads of windings in MVA that look like those of another unit.

use super::LoadMva;
use super::current::Number;
use super::units_asked::{About, Asked, Seen};
use super::windings::WindingColumns;
use crate::input::InputError;
use crate::input::columns::Column;
use crate::input::number::parse;

/// The columns in MVA of a table of windings, each with what was seen of it.
#[derive(Debug, Clone, Default)]
pub(super) struct SeenOfWindings(Vec<(Column, String, Seen)>);

impl SeenOfWindings {
    /// Nothing yet of a table; nothing at all where it has no such columns.
    pub(super) fn of(about: About, columns: Option<&WindingColumns>) -> Self {
        let columns = columns.map(WindingColumns::in_mva).unwrap_or_default();
        let seen = |(column, name, rated_mva)| (column, name, Seen::of(about, rated_mva));
        Self(columns.into_iter().map(seen).collect())
    }

    /// The next row: the column and the question, if a load is far above its rating.
    ///
    /// # Errors
    /// [`InputError`] for a cell that is no load.
    pub(super) fn row(
        &mut self,
        number: &Number<'_>,
    ) -> Result<Option<(Column, Asked)>, InputError> {
        for (column, _, seen) in &mut self.0 {
            let mva = number(*column, &parse::<LoadMva>)?;
            if let Err(asked) = seen.mva(mva) {
                return Ok(Some((*column, asked)));
            }
        }
        Ok(None)
    }

    /// What is asked of all rows of a column together, with its name.
    pub(super) fn asked(&self) -> Option<(String, Asked)> {
        self.0.iter().find_map(|(_, name, seen)| {
            let asked = seen.asked()?;
            let accepted = asked.accepted.replace("load_pu", &format!("load_pu_{name}"));
            let found = asked.found.replace("a unit of", "a winding of");
            Some((format!("load_mva_{name}"), Asked { found, accepted, ..asked }))
        })
    }
}
