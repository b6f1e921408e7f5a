//! Reading input files, and the hash of everything that an answer depends on.

use super::check::CheckArguments;
use super::files::read;
use crate::input::InputError;
use crate::unit::defaults::Catalogue;
use sha2::{Digest, Sha256};
use std::path::Path;

/// Reads files and hashes everything that the answer depends on.
pub(super) struct Inputs {
    hash: Sha256,
}

impl Inputs {
    /// Begins with the program's version, the flags and the profile files in force.
    pub(super) fn new(arguments: &CheckArguments, catalogue: &Catalogue) -> Self {
        let mut inputs = Self { hash: Sha256::new() };
        inputs.add("version", env!("CARGO_PKG_VERSION"));
        // Paths are left out: the same files elsewhere are the same inputs.
        let flags = format!(
            "{:?}",
            (
                (
                    arguments.load,
                    arguments.duration,
                    arguments.after,
                    arguments.preload,
                    arguments.ambient
                ),
                (arguments.start, arguments.top_oil, &arguments.cooling, arguments.cooling_lost_at),
                (&arguments.limits, &arguments.condition),
            )
        );
        inputs.add("flags", &flags);
        for (path, text) in catalogue.files() {
            inputs.add(path, text);
        }
        inputs
    }

    /// Lengths are hashed too, so that no two sets of inputs run into the same bytes.
    fn add(&mut self, name: &str, text: &str) {
        for part in [name, text] {
            self.hash.update((part.len() as u64).to_le_bytes());
            self.hash.update(part.as_bytes());
        }
    }

    /// Reads a file and adds it to the hash.
    pub(super) fn read(
        &mut self,
        name: &str,
        path: &Path,
        most: u64,
    ) -> Result<String, InputError> {
        let text = read(path, most)?;
        self.add(name, &text);
        Ok(text)
    }

    /// The hash in hexadecimal.
    pub(super) fn finish(self) -> String {
        use std::fmt::Write;
        let bytes = self.hash.finalize();
        bytes.iter().fold(String::new(), |mut hex, byte| {
            // Writing to a string cannot fail.
            let _ = write!(hex, "{byte:02x}");
            hex
        })
    }
}
