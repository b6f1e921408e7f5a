//! Reading input files, and the hash of everything that an answer depends on.

use super::files::{MOST_CSV, MOST_YAML, beside, next_to, read};
use super::plan_files::BesidePlan;
use crate::input::InputError;
use crate::planning::option::with_option;
use crate::planning::plan::{Plan, PlanOption};
use crate::planning::read::read_plan_at;
use crate::rules::local_file::{LocalRules, read_local_rules};
use crate::unit::Unit;
use crate::unit::defaults::Catalogue;
use crate::unit::validate::read_unit_with;
use sha2::{Digest, Sha256};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::rc::Rc;

/// Reads files and hashes everything that the answer depends on.
#[derive(Clone)]
pub(super) struct Inputs {
    hash: Sha256,
    read: Vec<PathBuf>,
    /// Names and texts of the files, where they are to be kept.
    texts: Option<Vec<(String, String)>>,
    given: Given,
    disk: Disk,
}

/// Which files are looked for on disk.
#[derive(Debug, Clone, Default)]
enum Disk {
    /// Every file that is not given.
    #[default]
    Everywhere,
    /// Only those in these folders.
    Below(Vec<PathBuf>),
}

impl Disk {
    fn has(&self, path: &Path) -> bool {
        match self {
            Self::Everywhere => true,
            Self::Below(folders) => folders.iter().any(|folder| path.starts_with(folder)),
        }
    }
}

/// Texts that stand in the place of files, by path: what was sent instead of being on disk.
pub type Given = BTreeMap<PathBuf, String>;

impl Inputs {
    /// Begins with the program's version, the flags and the profile files in force.
    pub(super) fn new(flags: &str, catalogue: &Catalogue) -> Self {
        let mut inputs = Self {
            hash: Sha256::new(),
            read: Vec::new(),
            texts: None,
            given: Given::new(),
            disk: Disk::default(),
        };
        inputs.add("version", env!("CARGO_PKG_VERSION"));
        inputs.add("flags", flags);
        for (path, text) in catalogue.files() {
            inputs.add(path, text);
        }
        inputs
    }

    /// Keeps the texts of the files that are read.
    pub(super) fn keeping_texts(mut self) -> Self {
        self.texts = Some(Vec::new());
        self
    }

    /// Looks for a file among these texts before it looks on disk.
    pub(super) fn with_given(mut self, given: &Given) -> Self {
        self.given.clone_from(given);
        self
    }

    /// Looks for files among these texts alone, those that a profile names too; on disk only in these folders. Whoever
    /// asks an old question again must not be answered from a file that changed since.
    pub(super) fn with_only(mut self, given: &Given, folders: &[PathBuf]) -> Self {
        self.given.clone_from(given);
        self.disk = Disk::Below(folders.to_vec());
        self
    }

    /// The texts of the files read up to now, by name.
    pub(super) fn texts(&self) -> &[(String, String)] {
        self.texts.as_deref().unwrap_or_default()
    }

    /// Adds a named value. Lengths are hashed too, so that no two sets of inputs run into the same bytes.
    pub(super) fn add(&mut self, name: &str, text: &str) {
        for part in [name, text] {
            self.hash.update((part.len() as u64).to_le_bytes());
            self.hash.update(part.as_bytes());
        }
    }

    /// Adds that units were confirmed, if they were; without it the hash is what it was before there was a question.
    pub(super) fn confirmed(&mut self, units_confirmed: bool) {
        if units_confirmed {
            self.add("units", "confirmed");
        }
    }

    /// Reads a file and adds it to the hash.
    pub(super) fn read(
        &mut self,
        name: &str,
        path: &Path,
        most: u64,
    ) -> Result<String, InputError> {
        let text = match self.given.get(path) {
            Some(text) => text.clone(),
            None if self.disk.has(path) => read(path, most)?,
            None => {
                let place = path.display().to_string();
                let found = "a file whose text was not kept";
                return Err(InputError::new(&place, found, "files whose texts were kept"));
            }
        };
        self.add(name, &text);
        self.read.push(path.to_owned());
        if let Some(texts) = &mut self.texts {
            texts.push((name.to_owned(), text.clone()));
        }
        Ok(text)
    }

    /// Adds a file that was read through a [`Hashed`].
    pub(super) fn add_hashed(&mut self, name: &str, path: &Path, sha256: Sha256) {
        self.add(name, &in_hexadecimal(sha256));
        self.read.push(path.to_owned());
    }

    /// Reads a unit profile and the files that it names.
    pub(super) fn unit(&mut self, path: &Path, catalogue: &Catalogue) -> Result<Unit, InputError> {
        let text = self.read("unit", path, MOST_YAML)?;
        let is_given = self.given.contains_key(path);
        let with_its_files = matches!(self.disk, Disk::Below(_));
        read_unit_with(&path.display().to_string(), &text, catalogue, &mut |name| {
            if is_given && with_its_files {
                let other = next_to(path, name);
                return Ok((other.display().to_string(), self.read(name, &other, MOST_CSV)?));
            }
            if is_given {
                // It lies in no folder, so that nothing lies beside it.
                let accepted = "a profile that names no files, where it is sent as text";
                return Err(InputError::new(
                    name,
                    "a file named by a profile sent as text",
                    accepted,
                ));
            }
            let other = beside(path, name)?;
            Ok((other.display().to_string(), self.read(name, &other, MOST_CSV)?))
        })
    }

    /// Reads a plan and the files that it names; `replaced` stands in the place of the plan's unit of that name.
    pub(super) fn plan(
        &mut self,
        path: &Path,
        catalogue: &Catalogue,
        replaced: (Option<Unit>, Option<f64>),
    ) -> Result<Plan, InputError> {
        let text = self.read("plan", path, MOST_YAML)?;
        let read = |name: &str, path: &Path, most: u64| self.read(name, path, most);
        let mut files = BesidePlan { plan: path, read };
        read_plan_at(&path.display().to_string(), &text, catalogue, &mut files, replaced)
    }

    /// The unit of the profile that was read first as an option would leave it; the texts must have been kept.
    pub(super) fn unit_with(
        &self,
        path: &Path,
        option: &PlanOption,
        catalogue: &Catalogue,
    ) -> Result<Unit, InputError> {
        let place = path.display().to_string();
        let text = |name: &str| {
            let own = self.texts().iter().find(|own| own.0 == name);
            own.map(|own| own.1.clone())
                .ok_or_else(|| InputError::new(name, "not read before", "a file of the profile"))
        };
        with_option((&place, &text("unit")?), option, catalogue, &mut |name| {
            Ok((name.to_owned(), text(name)?))
        })
    }

    /// Reads local operating rules, if a file of them is named.
    pub(super) fn local_rules(
        &mut self,
        path: Option<&Path>,
    ) -> Result<Option<LocalRules>, InputError> {
        let Some(path) = path else {
            return Ok(None);
        };
        let text = self.read("rules", path, MOST_YAML)?;
        read_local_rules(&path.display().to_string(), &text).map(Some)
    }

    /// Every file that was read up to now.
    pub(super) fn read_so_far(&self) -> &[PathBuf] {
        &self.read
    }

    /// The hash in hexadecimal, and every file that was read.
    pub(super) fn finish(self) -> (String, Vec<PathBuf>) {
        (in_hexadecimal(self.hash), self.read)
    }

    /// The same with the texts that were kept, by name.
    pub(super) fn finish_with_texts(self) -> (String, Vec<PathBuf>, Vec<(String, String)>) {
        (in_hexadecimal(self.hash), self.read, self.texts.unwrap_or_default())
    }
}

fn in_hexadecimal(sha256: Sha256) -> String {
    use std::fmt::Write;
    sha256.finalize().iter().fold(String::new(), |mut hex, byte| {
        // Writing to a string cannot fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

/// A source that hashes what is read from it.
#[derive(Debug)]
pub(super) struct Hashed<R> {
    source: R,
    hash: Rc<RefCell<Sha256>>,
}

impl<R: Read> Hashed<R> {
    /// The source, and where its hash will be once it is read.
    pub(super) fn new(source: R) -> (Self, Rc<RefCell<Sha256>>) {
        let hash = Rc::new(RefCell::new(Sha256::new()));
        (Self { source, hash: Rc::clone(&hash) }, hash)
    }
}

impl<R: Read> Read for Hashed<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let read = self.source.read(buffer)?;
        self.hash.borrow_mut().update(&buffer[..read]);
        Ok(read)
    }
}
