//! Typical thermal constants by cooling class: what a profile that says little falls back on.

use crate::input::number::Number;
use crate::input::text::{Line, Name};
use crate::input::{InputError, yaml};
use crate::thermal::Nameplate;
use crate::thermal::iec::IecConstants;
use crate::unit::Auxiliaries;
use crate::unit::profile::{
    Exponent, Factor, FactorK11, GradientK, LossRatio, OilRiseK, OilTau, WindingTau,
};
use include_dir::{Dir, include_dir};
use schemars::JsonSchema;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};

static EMBEDDED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/profiles");

/// The profile files in force: those embedded in the program, or a folder's in their place.
#[derive(Debug, Clone, Default)]
pub struct Catalogue {
    /// Contents by path below the profile folder, such as `cooling/onaf.yaml`.
    files: BTreeMap<String, String>,
    /// Paths of files that differ from the embedded ones.
    own: BTreeSet<String>,
}

impl Catalogue {
    /// The profiles embedded in the program.
    pub fn embedded() -> Self {
        let mut files = BTreeMap::new();
        let folders = EMBEDDED.dirs().flat_map(Dir::files).chain(EMBEDDED.files());
        for file in folders {
            if let (Some(path), Some(text)) = (file.path().to_str(), file.contents_utf8()) {
                files.insert(path.replace('\\', "/"), text.to_owned());
            }
        }
        Self { files, own: BTreeSet::new() }
    }

    /// The same with some files replaced or added.
    #[must_use]
    pub fn overridden_by(mut self, files: BTreeMap<String, String>) -> Self {
        let differs = |(path, text): &(&String, &String)| self.files.get(*path) != Some(text);
        self.own = files.iter().filter(differs).map(|(path, _)| path.clone()).collect();
        self.files.extend(files);
        self
    }

    /// Whether a file is the user's and differs from the embedded one.
    pub fn is_own(&self, path: &str) -> bool {
        self.own.contains(path)
    }

    /// The text of a profile file.
    pub fn text(&self, path: &str) -> Option<&str> {
        self.files.get(path).map(String::as_str)
    }

    /// Every file, by its path.
    pub fn files(&self) -> impl Iterator<Item = (&str, &str)> {
        self.files.iter().map(|(path, text)| (path.as_str(), text.as_str()))
    }

    /// Names in a folder, without the ending.
    pub fn names(&self, folder: &str) -> Vec<&str> {
        let inside = |path: &'_ str| -> Option<(usize, usize)> {
            let name = path.strip_prefix(folder)?.strip_prefix('/')?.strip_suffix(".yaml")?;
            Some((folder.len() + 1, folder.len() + 1 + name.len()))
        };
        self.files
            .keys()
            .filter_map(|path| inside(path).map(|(from, to)| &path[from..to]))
            .collect()
    }

    /// The set of typical constants of this name.
    ///
    /// # Errors
    /// [`InputError`] if there is none of this name, or its file is not valid.
    pub fn cooling(&self, name: &str) -> Result<CoolingConstants, InputError> {
        let path = format!("cooling/{name}.yaml");
        let Some(text) = self.text(&path) else {
            let accepted = format!("one of {}", self.names("cooling").join(", "));
            return Err(InputError::new(&path, crate::input::shown(name), accepted));
        };
        let file: CoolingFile = yaml::read(&path, text)?;
        same_name(&path, name, &file.cooling)?;
        Ok(CoolingConstants::from(file))
    }
}

/// A profile file's own name must be the one it is found under.
///
/// # Errors
/// [`InputError`] if it is not.
pub fn same_name(path: &str, name: &str, own: &Name) -> Result<(), InputError> {
    if own.as_str() == name {
        return Ok(());
    }
    let accepted = format!("{name}, the name of the file");
    Err(InputError::new(path, own.as_str(), accepted).at_line(own.1))
}

/// Typical thermal constants of one cooling class.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoolingFile {
    /// Name of the set, the file's own.
    pub cooling: Name,
    /// What it is for.
    pub applies_to: Line,
    /// What the cooling needs running.
    pub auxiliaries: Auxiliaries,
    /// Constants of IEC 60076-7.
    pub iec: IecFile,
    /// Exponents of IEEE C57.91.
    pub ieee: IeeeFile,
    /// Typical rises and loss ratio.
    pub typical: TypicalFile,
    /// Ids in profiles/sources.yaml.
    pub sources: Vec<Name>,
}

/// Constants of IEC 60076-7.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IecFile {
    /// Oil exponent.
    pub x: Number<Exponent>,
    /// Winding exponent.
    pub y: Number<Exponent>,
    /// Constant k11.
    pub k11: Number<FactorK11>,
    /// Constant k21.
    pub k21: Number<Factor>,
    /// Constant k22.
    pub k22: Number<Factor>,
    /// Average-oil time constant, min.
    pub oil_time_constant_min: Number<OilTau>,
    /// Winding time constant, min.
    pub winding_time_constant_min: Number<WindingTau>,
}

/// Exponents of IEEE C57.91.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IeeeFile {
    /// Oil exponent.
    pub n: Number<Exponent>,
    /// Oil exponent below the rating, where another edition prints a smaller one: the hotter counts.
    pub n_below_rating: Option<Number<Exponent>>,
    /// Winding exponent.
    pub m: Number<Exponent>,
}

/// Typical rises and loss ratio.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TypicalFile {
    /// Top-oil rise, K.
    pub top_oil_rise_k: Number<OilRiseK>,
    /// Hot-spot rise over top oil, K.
    pub hot_spot_gradient_k: Number<GradientK>,
    /// Load loss over no-load loss.
    pub loss_ratio: Number<LossRatio>,
}

/// Typical thermal constants of one cooling class, as numbers.
#[derive(Debug, Clone, Copy)]
pub struct CoolingConstants {
    /// What the cooling needs running.
    pub auxiliaries: Auxiliaries,
    /// Constants of the IEC form.
    pub iec: IecConstants,
    /// Oil exponent n of the IEEE form.
    pub n: f64,
    /// What share of it counts below the rating.
    pub below_rating: f64,
    /// Winding exponent m of the IEEE form.
    pub m: f64,
    /// Typical rises and loss ratio.
    pub typical: Nameplate,
}

impl From<CoolingFile> for CoolingConstants {
    fn from(file: CoolingFile) -> Self {
        let below = file.ieee.n_below_rating;
        Self {
            auxiliaries: file.auxiliaries,
            iec: IecConstants {
                x: file.iec.x.value,
                y: file.iec.y.value,
                k11: file.iec.k11.value,
                k21: file.iec.k21.value,
                k22: file.iec.k22.value,
                oil_time_constant_min: file.iec.oil_time_constant_min.value,
                winding_time_constant_min: file.iec.winding_time_constant_min.value,
            },
            n: file.ieee.n.value,
            below_rating: below.map_or(1.0, |below| (below.value / file.ieee.n.value).min(1.0)),
            m: file.ieee.m.value,
            typical: Nameplate {
                top_oil_rise_k: file.typical.top_oil_rise_k.value,
                hot_spot_gradient_k: file.typical.hot_spot_gradient_k.value,
                loss_ratio: file.typical.loss_ratio.value,
            },
        }
    }
}
