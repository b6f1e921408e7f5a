//! What the server was started with, and the units that it knows.

use super::ask::Refusal;
use crate::assessment::moisture_answer::{MoistureAnswer, MoistureQuestion};
use crate::cli::Failure;
use crate::cli::moisture;
use crate::cli::profiles::{Found, profiles, told_inside};
use crate::cli::serve::ServeArguments;
use crate::input::{InputError, shown};
use crate::unit::defaults::Catalogue;
use chrono::NaiveDate;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use tokio::sync::Semaphore;

/// The folder is looked through anew when it was last seen longer ago than this.
const FOLDER_SEEN_FOR: Duration = Duration::from_secs(5);

/// Units by name.
type Units = Arc<BTreeMap<String, Found>>;

/// What the server was started with.
#[derive(Debug)]
pub(super) struct App {
    pub(super) folder: PathBuf,
    pub(super) catalogue: Catalogue,
    pub(super) profiles: Option<PathBuf>,
    pub(super) rules: Option<PathBuf>,
    pub(super) outages: Option<PathBuf>,
    pub(super) loads: Option<PathBuf>,
    pub(super) records: Option<PathBuf>,
    pub(super) as_of: Option<NaiveDate>,
    /// Questions computed at once.
    pub(super) slots: Arc<Semaphore>,
    units: Mutex<Option<(Instant, Units)>>,
}

/// A question about moisture and its answer.
pub(super) struct Moisture {
    pub(super) question: MoistureQuestion,
    pub(super) found: MoistureAnswer,
}

impl App {
    /// Checks that the folder can be read.
    ///
    /// # Errors
    /// [`Failure::Input`] if not.
    pub(super) fn of(
        arguments: &ServeArguments,
        catalogue: Catalogue,
        own_profiles: Option<&Path>,
    ) -> Result<Self, Failure> {
        profiles(&arguments.folder)?;
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Ok(Self {
            folder: arguments.folder.clone(),
            catalogue,
            profiles: own_profiles.map(Path::to_owned),
            rules: arguments.rules.clone(),
            outages: arguments.outages.clone(),
            loads: arguments.loads.clone(),
            records: arguments.records.clone(),
            as_of: arguments.as_of,
            slots: Arc::new(Semaphore::new(cores)),
            units: Mutex::new(None),
        })
    }

    /// Every unit of the folder.
    ///
    /// # Errors
    /// [`Refusal`] if the folder cannot be read any more.
    pub(super) fn units(&self) -> Result<Units, Refusal> {
        let mut seen = self.units.lock().map_err(|_poisoned| Refusal::internal())?;
        if let Some((at, units)) = seen.as_ref().filter(|(at, _)| at.elapsed() < FOLDER_SEEN_FOR) {
            let _ = at;
            return Ok(Arc::clone(units));
        }
        let units = Arc::new(profiles(&self.folder).map_err(|error| self.refusal(error))?);
        *seen = Some((Instant::now(), Arc::clone(&units)));
        Ok(units)
    }

    /// The profile of a unit of this name. Names are looked up and never become paths.
    ///
    /// # Errors
    /// [`Refusal`] if there is none, or it is not the only one.
    pub(super) fn profile(&self, unit: &str) -> Result<PathBuf, Refusal> {
        match self.units()?.get(unit) {
            Some(Ok(path)) => Ok(path.clone()),
            Some(Err(error)) => Err(self.refusal(error.clone())),
            None => Err(Refusal::unknown("unit", shown(unit), "a unit of the list")),
        }
    }

    /// How wet a unit is.
    ///
    /// # Errors
    /// [`Refusal`] if there is no such unit, or its profile is refused.
    pub(super) fn moisture(&self, unit: &str) -> Result<Moisture, Refusal> {
        let profile = self.profile(unit)?;
        let asked = moisture::plainly(&profile, self.rules.as_deref(), self.as_of, &self.catalogue);
        let question = asked.map_err(|error| self.refusal(error))?;
        let found = crate::assessment::moisture_answer::answer(&question);
        Ok(Moisture { question, found })
    }

    /// The names of the limit sets.
    pub(super) fn limit_sets(&self) -> Vec<String> {
        self.catalogue.names("limits").into_iter().map(str::to_owned).collect()
    }

    /// A refusal without the paths of this machine.
    pub(super) fn refusal(&self, error: InputError) -> Refusal {
        let error = told_inside(&self.folder, error);
        let own = [&self.rules, &self.outages, &self.loads, &self.records, &self.profiles];
        let told = |text: &str| {
            own.into_iter().flatten().fold(text.to_owned(), |text, path| {
                let name = path
                    .file_name()
                    .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
                let folder = path.parent().map(|folder| folder.display().to_string());
                let text = text.replace(&path.display().to_string(), &name);
                match folder.filter(|folder| folder.len() > 1) {
                    Some(folder) => text.replace(&format!("{folder}/"), ""),
                    None => text,
                }
            })
        };
        Refusal::from(InputError {
            place: told(&error.place),
            found: told(&error.found),
            accepted: told(&error.accepted),
            ..error
        })
    }
}
