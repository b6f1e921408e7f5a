//! Ratings over time: which changed since an earlier answer, and which input caused it.
//!
//! A cause is found by computing: the ratings of the new inputs with one of them put back to what it was.
//! What that takes back is owed to that input. Inputs that matter only together are put back together.

mod causes;
pub mod old;

use super::inputs::{AS_OF, InputPart, text_of};
use super::{Cell, Limiting, Ratings};
use causes::Causes;
use chrono::NaiveDate;
use old::{OldCell, OldGoverns, OldRatings, stated};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Smaller changes are none, pu: two searches of one load may end 0.002 apart, for a rating is found from
/// below to that resolution; and half a thousandth is what rounding to the third decimal may add.
pub const LEAST_CHANGE_PU: f64 = 0.0025;

/// Ratings of given inputs, or why there are none.
pub type Recompute<'a> = dyn Fn(&[InputPart]) -> Result<Vec<Cell>, String> + 'a;

/// Where a rating stands in the table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Place {
    /// Name of the limit set.
    pub limits: String,
    /// Steady load before, pu.
    pub preload_pu: f64,
    /// Ambient, °C; with a forecast that at the start.
    pub ambient_c: f64,
    /// Minute of the forecast; `null` for a constant ambient.
    #[serde(deserialize_with = "stated")]
    pub from_min: Option<f64>,
    /// Duration, min; `null`: continuous.
    #[serde(deserialize_with = "stated")]
    pub duration_min: Option<f64>,
}

/// A place to look up by: figures in millionths, for a decimal may lose its last binary digit in a file.
type Key = (String, [i64; 2], [Option<i64>; 2]);

impl Place {
    fn of(cell: &Cell) -> Self {
        Self {
            limits: cell.limits.clone(),
            preload_pu: cell.preload_pu,
            ambient_c: cell.ambient_c,
            from_min: cell.from_min,
            duration_min: cell.duration_min,
        }
    }

    fn key(&self) -> Key {
        #[allow(
            clippy::cast_possible_truncation,
            reason = "saturates, and figures were checked to be far smaller"
        )]
        let millionths = |value: f64| (value * 1.0e6).round() as i64;
        let exact = [self.preload_pu, self.ambient_c].map(millionths);
        let optional = [self.from_min, self.duration_min].map(|value| value.map(millionths));
        (self.limits.clone(), exact, optional)
    }
}

/// What changed between two tables of ratings, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// The earlier answer.
    pub old: Answer,
    /// The answer of today.
    pub new: Answer,
    /// Ratings that both have, those of the transformer and those of the facility.
    pub compared: usize,
    /// Earlier ratings that permitted a load, those of the facility among them.
    pub permitted_earlier: usize,
    /// Of these, how many are ratings of the facility.
    pub facility_permitted_earlier: usize,
    /// Of these, how many no longer hold: they are lower by more than the least change, or there is none.
    pub no_longer_hold: usize,
    /// Of those that no longer hold, how many are ratings of the facility.
    pub facility_no_longer_hold: usize,
    /// Of the earlier ones, how many are not in the new table, so that nobody knows whether they hold.
    pub not_compared: usize,
    /// Smaller changes are none, pu.
    pub least_change_pu: f64,
    /// Ratings whose load or what governs it changed: those that fell first, then those that rose, each the greatest change
    /// first, then those of which only changed what governs.
    pub changed: Vec<Change>,
    /// Ratings that only the new table has.
    pub appeared: Vec<Place>,
    /// Ratings that only the old table has.
    pub vanished: Vec<Place>,
    /// Inputs that differ, what moves the ratings most first.
    pub causes: Vec<Cause>,
    /// What all inputs that can be put back move together, pu, summed over the ratings that both have; `null`
    /// where none differ or putting all back at once could not be computed.
    pub all_put_back: Option<Effect>,
    /// Why putting all back at once could not be computed.
    pub all_put_back_failed: Option<String>,
}

/// An answer that is compared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Answer {
    /// The day for which it was asked.
    pub date: String,
    /// Version of the program.
    pub version: String,
    /// SHA-256 of every input file and option.
    pub inputs_sha256: String,
}

/// Whose rating it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rated {
    /// That of the transformer alone.
    Transformer,
    /// That with everything in series.
    Facility,
}

/// A rating that changed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    /// Where it stands.
    #[serde(flatten)]
    pub place: Place,
    /// Whose it is.
    pub of: Rated,
    /// The load before, pu; `null`: none.
    pub old_pu: Option<f64>,
    /// The load now, pu; `null`: none.
    pub new_pu: Option<f64>,
    /// The load now less the load before, pu; no load counts as 0.
    pub change_pu: f64,
    /// What governed the transformer's rating before.
    pub old_governs: Limiting,
    /// What governs it now.
    pub new_governs: Limiting,
    /// What each input accounts for, the most first.
    pub by: Vec<Share>,
    /// What inputs account for together, beyond what each does alone, pu.
    pub together_pu: f64,
    /// What no input that can be put back accounts for, pu; also what is not told apart.
    pub rest_pu: f64,
}

impl Change {
    /// Whether the load changed, and not only what governs it.
    pub fn is_of_load(&self) -> bool {
        !(self.change_pu.abs() <= LEAST_CHANGE_PU)
    }

    /// Whether the earlier rating permitted more than there is now.
    pub fn fell(&self) -> bool {
        !(self.change_pu >= -LEAST_CHANGE_PU)
    }

    /// Its place in a list: falls, rises, the rest.
    fn rank(&self) -> u8 {
        match (self.fell(), self.is_of_load()) {
            (true, _) => 0,
            (false, true) => 1,
            (false, false) => 2,
        }
    }
}

/// What an input accounts for in one rating.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Share {
    /// Name of the input.
    pub name: String,
    /// The load now less the load with this input put back, pu.
    pub change_pu: f64,
}

/// An input that differs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cause {
    /// Its name.
    pub name: String,
    /// How it differs.
    pub how: Differs,
    /// What it moves; `null` where that could not be computed.
    pub effect: Option<Effect>,
    /// Why that could not be computed.
    pub not_computed: Option<String>,
}

/// How an input differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Differs {
    /// Both have it, with other words.
    Changed,
    /// Only the new one has it.
    Added,
    /// Only the old one has it.
    Removed,
}

/// What one or several inputs move, over the ratings that both tables have.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Effect {
    /// Ratings whose load they move by more than the least change.
    pub moved: usize,
    /// Ratings in which they change what governs.
    pub governs: usize,
    /// Magnitudes of what they move, summed, pu.
    pub sum_pu: f64,
    /// The greatest move with its sign, pu.
    pub most_pu: f64,
    /// Where that is; `null` if nothing moves.
    pub most_at: Option<Place>,
}

/// Both sides of one place.
struct Pair<'a> {
    key: Key,
    of: Rated,
    old_pu: Option<f64>,
    old_governs: &'a OldGoverns,
    new_pu: Option<f64>,
    new: &'a Cell,
}

impl<'a> Pair<'a> {
    /// The ratings of a cell that both tables have: the transformer's, and the facility's if there was one.
    fn all(key: Key, old: &'a OldCell, new: &'a Cell) -> impl Iterator<Item = Self> {
        let facility = old.facility.as_ref().map(|own| (Rated::Facility, own.load_pu));
        let pair = move |(of, old_pu)| Pair {
            key: key.clone(),
            of,
            old_pu,
            old_governs: &old.governs,
            new_pu: load_of(new, of),
            new,
        };
        std::iter::once((Rated::Transformer, old.load_pu)).chain(facility).map(pair)
    }

    fn change_pu(&self) -> f64 {
        load(self.new_pu) - load(self.old_pu)
    }

    /// What limits a facility is said by its load alone.
    fn governs_changed(&self) -> bool {
        let (old, new) = (self.old_governs, &self.new.governs);
        self.of == Rated::Transformer && (old.what, old.code.as_deref()) != (new.what, new.code)
    }

    fn is_changed(&self) -> bool {
        !(self.change_pu().abs() <= LEAST_CHANGE_PU) || self.governs_changed()
    }
}

/// The rating of a cell; of a facility that is gone there is none.
fn load_of(cell: &Cell, of: Rated) -> Option<f64> {
    match of {
        Rated::Transformer => cell.load_pu,
        Rated::Facility => cell.facility.as_ref().and_then(|own| own.load_pu),
    }
}

/// No rating is no load.
fn load(load_pu: Option<f64>) -> f64 {
    load_pu.unwrap_or(0.0)
}

/// Holds new ratings against old ones. `recompute` gives the ratings of other inputs under the same question;
/// it is asked once for each input that differs, and once for all of them.
pub fn compare(old: &OldRatings, new: &Ratings, recompute: &Recompute<'_>) -> Comparison {
    let before: BTreeMap<Key, &OldCell> =
        old.cells.iter().map(|cell| (cell.place.key(), cell)).collect();
    let after: BTreeMap<Key, Place> =
        new.cells.iter().map(Place::of).map(|place| (place.key(), place)).collect();
    let pairs: Vec<Pair<'_>> = new
        .cells
        .iter()
        .filter_map(|new| {
            let key = Place::of(new).key();
            before.get(&key).map(|old| Pair::all(key, old, new))
        })
        .flatten()
        .collect();
    let causes = Causes::found((&old.inputs, &new.inputs), &pairs, recompute);
    let mut changed: Vec<Change> = (pairs.iter().enumerate())
        .filter(|(_, pair)| pair.is_changed())
        .map(|(index, pair)| causes.change(index, pair))
        .collect();
    changed.sort_by(|a, b| {
        a.rank().cmp(&b.rank()).then(b.change_pu.abs().total_cmp(&a.change_pu.abs()))
    });
    let appeared =
        new.cells.iter().map(Place::of).filter(|place| !before.contains_key(&place.key()));
    let vanished = old.cells.iter().map(|cell| &cell.place);
    let by_facility =
        |cell: &&OldCell| cell.facility.as_ref().is_some_and(|own| own.load_pu.is_some());
    let permitted =
        |cell: &OldCell| usize::from(cell.load_pu.is_some()) + usize::from(by_facility(&cell));
    let gone = old.cells.iter().filter(|cell| !after.contains_key(&cell.place.key()));
    let fell = || changed.iter().filter(|own| own.fell());
    Comparison {
        old: Answer {
            date: asked_for(old),
            version: old.tool.version.clone(),
            inputs_sha256: old.inputs_sha256.clone(),
        },
        new: Answer {
            date: new.date.clone(),
            version: new.tool.version.to_owned(),
            inputs_sha256: new.inputs_sha256.clone(),
        },
        compared: pairs.len(),
        permitted_earlier: old.cells.iter().map(permitted).sum(),
        facility_permitted_earlier: old.cells.iter().filter(by_facility).count(),
        no_longer_hold: fell().count(),
        facility_no_longer_hold: fell().filter(|own| own.of == Rated::Facility).count(),
        not_compared: gone.map(permitted).sum(),
        least_change_pu: LEAST_CHANGE_PU,
        changed,
        appeared: appeared.collect(),
        vanished: vanished.filter(|place| !after.contains_key(&place.key())).cloned().collect(),
        all_put_back: causes.all_effect(&pairs),
        all_put_back_failed: causes.all_failed(),
        causes: causes.listed(&pairs),
    }
}

/// The day for which an earlier answer was asked; earlier versions wrote the day of the computation in its place, and the
/// day asked for among the inputs alone.
fn asked_for(old: &OldRatings) -> String {
    let stated = text_of(&old.inputs, AS_OF);
    let stated = stated.filter(|day| NaiveDate::parse_from_str(day, "%Y-%m-%d").is_ok());
    stated.map_or_else(|| old.date.clone(), str::to_owned)
}
