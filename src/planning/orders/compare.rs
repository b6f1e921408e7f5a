//! Standing orders held against earlier ones: which ceilings and stop values no longer hold, and whether the inputs or
//! the program are the reason.
//!
//! The reason is found by computing: the orders of this version with all inputs put back to what they were. What that
//! takes back is owed to the inputs, and the rest to the program.

pub mod old;

use super::{Ceiling, NotAbove, Standing, StandingOrders};
use crate::rating::Limiting;
use crate::rating::compare::{Answer, LEAST_CHANGE_PU};
use crate::rating::inputs::{FLAGS, InputPart, is_of_program, text_of};
use old::{OldCeiling, OldNotAbove, OldOrders};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Smaller changes of a stop value are none, K. Our choice: it is the last digit that answers show.
pub const LEAST_CHANGE_K: f64 = 0.1;

/// Orders of given inputs, or why there are none.
pub type Recompute<'a> = dyn Fn(&[InputPart]) -> Result<StandingOrders, String> + 'a;

/// Where a ceiling stands: duration and ambient in millionths, for a decimal may lose its last binary digit in a file.
type Key = (Option<i64>, i64);

fn key(duration_min: Option<f64>, ambient_c: f64) -> Key {
    #[allow(
        clippy::cast_possible_truncation,
        reason = "saturates, and figures were checked to be far smaller"
    )]
    let millionths = |value: f64| (value * 1.0e6).round() as i64;
    (duration_min.map(millionths), millionths(ambient_c))
}

/// What changed between two standing orders, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrdersComparison {
    /// The earlier orders.
    pub old: Answer,
    /// The orders of today.
    pub new: Answer,
    /// What the earlier orders came to.
    pub standing_earlier: Standing,
    /// The last day of the earlier orders, where it is past; YYYY-MM-DD.
    pub expired: Option<String>,
    /// What is asked otherwise, so that two different questions are compared.
    pub asked_otherwise: Vec<AskedOtherwise>,
    /// Whether the question is another one: other simulated cases, preload or limits. Then a ceiling may have fallen,
    /// and none is known to hold.
    pub other_question: bool,
    /// Earlier ceilings that permitted a load.
    pub permitted_earlier: usize,
    /// Of these, how many are lower now, or gone.
    pub no_longer_hold: usize,
    /// Of these, how many are not among the new ones, or have not fallen under another question, so that nobody knows
    /// whether they hold.
    pub not_compared: usize,
    /// Stop values that were higher earlier, or missing, or are gone, at ceilings that still permit a load.
    pub stops_too_high: usize,
    /// Ceilings that the top-oil thermometer guarded earlier, that still permit a load, and that it does not guard now.
    pub no_longer_guarded: usize,
    /// What the top oil might not exceed under any ceiling earlier and may not now, °C, where that is lower or gone.
    pub top_oil_c: Option<[Option<f64>; 2]>,
    /// What the hot spot might not exceed earlier and may not now, °C, where that is lower or gone, or was not stated.
    pub hot_spot_c: Option<[Option<f64>; 2]>,
    /// Ceilings whose load or stop value changed: those that fell first, the greatest fall before the others.
    pub changed: Vec<CeilingChange>,
    /// Names of the inputs that differ, as in the JSON of `rate`.
    pub inputs_changed: Vec<String>,
    /// Why the inputs and the program cannot be told apart; `null` where they can.
    pub cause_not_known: Option<String>,
}

/// Something that is asked otherwise.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AskedOtherwise {
    /// What it is.
    pub what: &'static str,
    /// Earlier.
    pub earlier: String,
    /// Now.
    pub now: String,
}

/// A ceiling that changed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CeilingChange {
    /// Duration, min; `null`: continuous.
    pub duration_min: Option<f64>,
    /// Ambient, °C.
    pub ambient_c: f64,
    /// The load earlier and now, pu; `null`: none.
    pub load_pu: [Option<f64>; 2],
    /// The load now less the load earlier, pu; no load counts as 0.
    pub change_pu: f64,
    /// What governed earlier, and what does now; `null` where there are no ceilings now.
    pub governs: [Option<Limiting>; 2],
    /// The stop value of the top oil earlier and now, °C; `null`: none.
    pub stop_c: [Option<f64>; 2],
    /// Whether the thermometer guarded it earlier, and whether it does now; `null`: not stated.
    pub guarded: [Option<bool>; 2],
    /// Whether the load, the stop value or the thermometer's guard permitted more earlier.
    pub fell: bool,
    /// What it is owed to.
    pub owed: Owed,
}

/// What a change is owed to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Owed {
    /// The inputs alone.
    Inputs,
    /// The program alone.
    Program,
    /// Both.
    Both,
    /// It is not known.
    NotKnown,
}

/// A ceiling as it is compared: load and stop value.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Figures {
    load_pu: Option<f64>,
    stop_c: Option<f64>,
    guarded: Option<bool>,
}

impl Figures {
    fn of(own: &Ceiling) -> Self {
        Self { load_pu: own.load_pu, stop_c: own.top_oil_c, guarded: Some(own.guarded) }
    }

    fn of_old(own: &OldCeiling) -> Self {
        Self { load_pu: own.load_pu, stop_c: own.top_oil_c, guarded: own.guarded }
    }

    fn change_pu(self, now: Self) -> f64 {
        now.load_pu.unwrap_or(0.0) - self.load_pu.unwrap_or(0.0)
    }

    fn load_fell(self, now: Self) -> bool {
        !(self.change_pu(now) >= -LEAST_CHANGE_PU)
    }

    /// A ceiling that is gone needs no stop value; one that had none let the oil get as hot as it would.
    fn stop_fell(self, now: Self) -> bool {
        let both = self.load_pu.is_some() && now.load_pu.is_some();
        both && is_lower(self.stop_c, now.stop_c, true)
    }

    fn guard_fell(self, now: Self) -> bool {
        now.load_pu.is_some() && self.guarded == Some(true) && now.guarded != Some(true)
    }

    fn fell(self, now: Self) -> bool {
        self.load_fell(now) || self.stop_fell(now) || self.guard_fell(now)
    }

    fn differs(self, now: Self) -> bool {
        let stops = match (self.stop_c, now.stop_c) {
            (Some(then_c), Some(now_c)) => !((now_c - then_c).abs() <= LEAST_CHANGE_K),
            (then_c, now_c) => then_c.is_some() != now_c.is_some(),
        };
        let guard = self.guarded.is_some_and(|then| now.guarded.is_some_and(|now| now != then));
        !(self.change_pu(now).abs() <= LEAST_CHANGE_PU) || stops || guard
    }
}

/// Whether what may not be exceeded is lower now, or gone; `if_new` where nothing was stated earlier.
fn is_lower(then_c: Option<f64>, now_c: Option<f64>, if_new: bool) -> bool {
    match (then_c, now_c) {
        (Some(then_c), Some(now_c)) => !(now_c >= then_c - LEAST_CHANGE_K),
        (Some(_), None) => true,
        (None, Some(_)) => if_new,
        (None, None) => false,
    }
}

/// Holds new orders against earlier ones. `recompute` gives the orders of other inputs under the same question; it is
/// asked once at most.
pub fn compare(
    old: &OldOrders,
    new: &StandingOrders,
    recompute: &Recompute<'_>,
) -> OrdersComparison {
    let after: BTreeMap<Key, &Ceiling> =
        new.ceilings.iter().map(|own| (key(own.duration_min, own.ambient_c), own)).collect();
    let inputs_changed = differing(&old.inputs, &new.inputs);
    let between = put_back(old, new, &inputs_changed, recompute);
    let other_question = is_other_question(old, new);
    let mut changed: Vec<CeilingChange> = Vec::new();
    let mut not_compared = 0;
    for own in &old.ceilings {
        let place = key(own.duration_min, own.ambient_c);
        // Where no ceiling can be stated any more, every one of them is gone.
        if !after.contains_key(&place) && !new.ceilings.is_empty() {
            not_compared += usize::from(own.load_pu.is_some());
            continue;
        }
        let now = after.get(&place).copied();
        if other_question && own.load_pu.is_some() && !fell(own, now) {
            not_compared += 1;
        }
        changed.extend(change(own, now, between.as_ref().ok()));
    }
    changed.sort_by(|a, b| b.fell.cmp(&a.fell).then(a.change_pu.total_cmp(&b.change_pu)));
    let count = |fell: fn(Figures, Figures) -> bool| {
        changed.iter().filter(|own| fell(own.at(0), own.at(1))).count()
    };
    // One figure for all ceilings is new where every one of them is guarded now: that takes nothing.
    let limits = |old: &Option<OldNotAbove>, new: &Option<NotAbove>, if_new| {
        let (then_c, now_c) = (old.as_ref().map(|own| own.c), new.as_ref().map(|own| own.c));
        is_lower(then_c, now_c, if_new).then_some([then_c, now_c])
    };
    let any_now = !new.ceilings.is_empty();
    OrdersComparison {
        old: Answer {
            date: old.date.clone(),
            version: old.tool.version.clone(),
            inputs_sha256: old.inputs_sha256.clone(),
        },
        new: Answer {
            date: new.date.clone(),
            version: new.tool.version.to_owned(),
            inputs_sha256: new.inputs_sha256.clone(),
        },
        standing_earlier: old.standing,
        expired: old.expired_by(&new.date),
        asked_otherwise: asked_otherwise(old, new),
        other_question,
        permitted_earlier: old.ceilings.iter().filter(|own| own.load_pu.is_some()).count(),
        no_longer_hold: count(Figures::load_fell),
        not_compared,
        stops_too_high: count(Figures::stop_fell),
        no_longer_guarded: count(Figures::guard_fell),
        top_oil_c: limits(&old.top_oil, &new.top_oil, false).filter(|_| any_now),
        hot_spot_c: limits(&old.hot_spot, &new.hot_spot, true),
        changed,
        inputs_changed,
        cause_not_known: between.err(),
    }
}

impl CeilingChange {
    /// The figures earlier, 0, or now, 1.
    fn at(&self, when: usize) -> Figures {
        Figures {
            load_pu: self.load_pu[when],
            stop_c: self.stop_c[when],
            guarded: self.guarded[when],
        }
    }
}

fn fell(own: &OldCeiling, now: Option<&Ceiling>) -> bool {
    Figures::of_old(own).fell(now.map_or_else(Figures::default, Figures::of))
}

/// Whether more differs than what ceilings are computed from. Flags that are not kept on both sides say nothing.
fn is_other_question(old: &OldOrders, new: &StandingOrders) -> bool {
    const SAME_PU: f64 = 1.0e-6;
    let flags = text_of(&old.inputs, FLAGS).zip(text_of(&new.inputs, FLAGS));
    let set = |name: Option<&String>| name.cloned().unwrap_or_default();
    flags.is_some_and(|(then, now)| then != now)
        || !((old.preload_pu - new.preload_pu).abs() <= SAME_PU)
        || old.draws != new.draws
        || set(old.limits.as_ref().map(|own| &own.name))
            != set(new.limits.as_ref().map(|own| &own.name))
}

/// The change of a ceiling, if it is one; `between` has the ceilings of this version with the earlier inputs.
fn change(
    own: &OldCeiling,
    now: Option<&Ceiling>,
    between: Option<&BTreeMap<Key, Figures>>,
) -> Option<CeilingChange> {
    let old = Figures::of_old(own);
    let new = now.map_or_else(Figures::default, Figures::of);
    if !old.differs(new) {
        return None;
    }
    let hybrid = between.map(|between| {
        between.get(&key(own.duration_min, own.ambient_c)).copied().unwrap_or_default()
    });
    Some(CeilingChange {
        duration_min: own.duration_min,
        ambient_c: own.ambient_c,
        load_pu: [old.load_pu, new.load_pu],
        change_pu: old.change_pu(new),
        governs: [Some(own.governs.what), now.map(|now| now.governs.what)],
        stop_c: [old.stop_c, new.stop_c],
        guarded: [old.guarded, new.guarded],
        fell: old.fell(new),
        owed: match hybrid.map(|hybrid| (hybrid.differs(new), old.differs(hybrid))) {
            Some((true, true)) => Owed::Both,
            Some((true, false)) => Owed::Inputs,
            Some((false, true)) => Owed::Program,
            // Two changes that are none add up to one.
            Some((false, false)) | None => Owed::NotKnown,
        },
    })
}

/// The ceilings of this version with the earlier inputs, or why they are not known.
fn put_back(
    old: &OldOrders,
    new: &StandingOrders,
    differing: &[String],
    recompute: &Recompute<'_>,
) -> Result<BTreeMap<Key, Figures>, String> {
    let figures = |orders: &StandingOrders| {
        let own = |own: &Ceiling| (key(own.duration_min, own.ambient_c), Figures::of(own));
        orders.ceilings.iter().map(own).collect()
    };
    if old.inputs.is_empty() {
        return Err("the earlier orders do not say what they were computed from".to_owned());
    }
    let differ: BTreeSet<&str> =
        differing.iter().map(String::as_str).filter(|name| !is_of_program(name)).collect();
    if differ.is_empty() {
        return Ok(figures(new));
    }
    if differ.contains(FLAGS) {
        return Err("the earlier orders were asked for otherwise".to_owned());
    }
    let lost = |part: &&InputPart| part.text.is_none() && differ.contains(part.name.as_str());
    if let Some(part) = old.inputs.iter().find(lost) {
        return Err(format!("the earlier text of {} was too long to be kept", part.name));
    }
    let earlier: Vec<InputPart> =
        old.inputs.iter().filter(|part| !is_of_program(&part.name)).cloned().collect();
    recompute(&earlier).map(|orders| figures(&orders))
}

/// Names of the inputs that are not the same on both sides, those of the new side first.
fn differing(old: &[InputPart], new: &[InputPart]) -> Vec<String> {
    let missing = |parts: &[InputPart], own: &InputPart| {
        !parts.iter().any(|part| part.name == own.name && part.sha256 == own.sha256)
    };
    if old.is_empty() {
        return Vec::new();
    }
    let changed = new.iter().filter(|own| missing(old, own));
    let gone = old.iter().filter(|own| !new.iter().any(|part| part.name == own.name));
    changed.chain(gone).map(|part| part.name.clone()).collect()
}

/// What belongs to the question and not to the unit.
fn asked_otherwise(old: &OldOrders, new: &StandingOrders) -> Vec<AskedOtherwise> {
    let or_none = |text: Option<&String>| text.map_or_else(|| "none".to_owned(), Clone::clone);
    let set = |name: Option<&String>| or_none(name);
    let pairs = [
        ("preload, pu", old.preload_pu.to_string(), new.preload_pu.to_string()),
        ("day", old.date.clone(), new.date.clone()),
        (
            "limit set",
            set(old.limits.as_ref().map(|own| &own.name)),
            set(new.limits.as_ref().map(|own| &own.name)),
        ),
        ("local rules", or_none(old.local_rules.as_ref()), or_none(new.local_rules.as_ref())),
        ("cooling", or_none(old.cooling.as_ref()), or_none(new.cooling.as_ref())),
        ("simulated cases", old.draws.to_string(), new.draws.to_string()),
    ];
    let differ = pairs.into_iter().filter(|(_, earlier, now)| earlier != now);
    differ.map(|(what, earlier, now)| AskedOtherwise { what, earlier, now }).collect()
}
