//! The files that a plan names, in its folder or below it.

use super::files::{MOST_CSV, MOST_YAML, beside};
use crate::input::InputError;
use crate::planning::read::PlanFiles;
use crate::unit::Unit;
use crate::unit::defaults::Catalogue;
use crate::unit::validate::read_unit_with;
use std::path::Path;

/// Files beside a plan; `read` reads one by its name and path, up to a number of bytes.
pub(super) struct BesidePlan<'a, R> {
    pub(super) plan: &'a Path,
    pub(super) read: R,
}

impl<R> PlanFiles for BesidePlan<'_, R>
where
    R: FnMut(&str, &Path, u64) -> Result<String, InputError>,
{
    fn text(&mut self, name: &str) -> Result<(String, String), InputError> {
        let path = beside(self.plan, name)?;
        Ok((path.display().to_string(), (self.read)(name, &path, MOST_CSV)?))
    }

    fn unit(&mut self, name: &str, catalogue: &Catalogue) -> Result<Unit, InputError> {
        let path = beside(self.plan, name)?;
        let text = (self.read)(name, &path, MOST_YAML)?;
        read_unit_with(&path.display().to_string(), &text, catalogue, &mut |name| {
            let other = beside(&path, name)?;
            Ok((other.display().to_string(), (self.read)(name, &other, MOST_CSV)?))
        })
    }
}
