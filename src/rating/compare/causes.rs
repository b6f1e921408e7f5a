//! Which input caused a change: each put back alone, and all of them together.

use super::{
    Cause, Change, Differs, Effect, Key, LEAST_CHANGE_PU, Pair, Place, Rated, Recompute, Share,
    load, load_of,
};
use crate::rating::inputs::{InputPart, is_of_program};
use crate::rating::{Cell, Governs};
use std::collections::BTreeMap;

/// Below this a move is the rounding of doubles, pu: loads are of the order of 1.
const NOTHING_PU: f64 = 1.0e-9;

/// What stands at the place of each pair with something put back; `None` where the hybrid has no such place.
type Hybrid = Vec<Option<(f64, Governs)>>;

/// An input that differs, with both of its sides.
struct Difference<'a> {
    name: &'a str,
    old: Option<&'a InputPart>,
    new: Option<&'a InputPart>,
}

impl Difference<'_> {
    fn how(&self) -> Differs {
        match (self.old, self.new) {
            (None, _) => Differs::Added,
            (Some(_), None) => Differs::Removed,
            (Some(_), Some(_)) => Differs::Changed,
        }
    }

    /// Why it cannot be put back, if it cannot.
    fn lacking(&self) -> Option<String> {
        if is_of_program(self.name) {
            return Some("what the program itself brings cannot be put back".to_owned());
        }
        let hashed = self.old.is_some_and(|old| old.text.is_none());
        hashed.then(|| "its earlier text was too long to be kept".to_owned())
    }
}

/// The inputs that differ, and the ratings with each put back.
pub(super) struct Causes<'a> {
    each: Vec<(Difference<'a>, Result<Hybrid, String>)>,
    /// With all put back that can be; `None` where nothing can.
    all: Option<Result<Hybrid, String>>,
}

impl<'a> Causes<'a> {
    /// Computes with each difference put back, and with all of them.
    pub(super) fn found(
        (old, new): (&'a [InputPart], &'a [InputPart]),
        pairs: &[Pair<'_>],
        recompute: &Recompute<'_>,
    ) -> Self {
        let with = |back: &[&Difference<'_>]| {
            recompute(&put_back(new, back)).map(|cells| at_pairs(&cells, pairs))
        };
        let differences = differences(old, new);
        let able: Vec<&Difference<'_>> =
            differences.iter().filter(|one| one.lacking().is_none()).collect();
        let all = (able.len() > 1).then(|| with(&able));
        let mut alone = None;
        let each: Vec<_> = differences
            .iter()
            .map(|one| match one.lacking() {
                Some(why) => Err(why),
                None => alone.insert(with(&[one])).clone(),
            })
            .collect();
        // A single difference is all of them.
        let all = all.or(alone);
        Self { each: differences.into_iter().zip(each).collect(), all }
    }

    /// A pair that changed, with what each input accounts for.
    pub(super) fn change(&self, index: usize, pair: &Pair<'_>) -> Change {
        let moved = |hybrid: &Hybrid| Some(load(pair.new_pu) - hybrid[index].as_ref()?.0);
        let mut by: Vec<Share> = (self.each.iter())
            .filter_map(|(one, hybrid)| {
                let change_pu = moved(hybrid.as_ref().ok()?)?;
                Some(Share { name: one.name.to_owned(), change_pu })
            })
            .filter(|share| share.change_pu.abs() > NOTHING_PU)
            .collect();
        by.sort_by(|a, b| b.change_pu.abs().total_cmp(&a.change_pu.abs()));
        let (total, singly) = (pair.change_pu(), by.iter().map(|share| share.change_pu).sum());
        let all = self.all.as_ref().and_then(|all| moved(all.as_ref().ok()?));
        let all = all.unwrap_or(singly);
        Change {
            place: Place::of(pair.new),
            of: pair.of,
            old_pu: pair.old_pu,
            new_pu: pair.new_pu,
            change_pu: total,
            old_governs: pair.old_governs.what,
            new_governs: pair.new.governs.what,
            by,
            together_pu: without_dust(all - singly),
            rest_pu: without_dust(total - all),
        }
    }

    /// What all move that can be put back.
    pub(super) fn all_effect(&self, pairs: &[Pair<'_>]) -> Option<Effect> {
        self.all.as_ref()?.as_ref().ok().map(|hybrid| effect(hybrid, pairs))
    }

    /// Why they could not be put back all at once.
    pub(super) fn all_failed(&self) -> Option<String> {
        self.all.as_ref()?.as_ref().err().cloned()
    }

    /// Every difference with what it moves, the most first.
    pub(super) fn listed(&self, pairs: &[Pair<'_>]) -> Vec<Cause> {
        let cause = |(one, hybrid): &(Difference<'_>, Result<Hybrid, String>)| Cause {
            name: one.name.to_owned(),
            how: one.how(),
            effect: hybrid.as_ref().ok().map(|hybrid| effect(hybrid, pairs)),
            not_computed: hybrid.as_ref().err().cloned(),
        };
        let mut causes: Vec<Cause> = self.each.iter().map(cause).collect();
        let weight = |cause: &Cause| {
            cause.effect.as_ref().map_or((-1.0, 0), |effect| (effect.sum_pu, effect.governs))
        };
        causes.sort_by(|a, b| {
            let (a, b) = (weight(a), weight(b));
            b.0.total_cmp(&a.0).then(b.1.cmp(&a.1))
        });
        causes
    }
}

/// Inputs that are not the same on both sides: those of the new side in their order, then those that are gone.
fn differences<'a>(old: &'a [InputPart], new: &'a [InputPart]) -> Vec<Difference<'a>> {
    let by_name = |parts: &'a [InputPart]| -> BTreeMap<&'a str, &'a InputPart> {
        parts.iter().map(|part| (part.name.as_str(), part)).collect()
    };
    let (before, after) = (by_name(old), by_name(new));
    let differs = |new: &'a InputPart| {
        let name = new.name.as_str();
        let old = before.get(name).copied();
        let same = old.is_some_and(|old| old.sha256 == new.sha256);
        (!same).then_some(Difference { name, old, new: Some(new) })
    };
    let gone = old.iter().filter(|part| !after.contains_key(part.name.as_str()));
    let gone = gone.map(|part| Difference { name: &part.name, old: Some(part), new: None });
    new.iter().filter_map(differs).chain(gone).collect()
}

/// The new inputs with some of them as they were.
fn put_back(new: &[InputPart], back: &[&Difference<'_>]) -> Vec<InputPart> {
    let as_it_was = |part: &InputPart| match back.iter().find(|one| one.name == part.name) {
        Some(one) => one.old.cloned(),
        None => Some(part.clone()),
    };
    let gone = back.iter().filter(|one| one.new.is_none()).filter_map(|one| one.old.cloned());
    new.iter().filter_map(as_it_was).chain(gone).collect()
}

fn at_pairs(cells: &[Cell], pairs: &[Pair<'_>]) -> Hybrid {
    let by_key: BTreeMap<Key, &Cell> =
        cells.iter().map(|cell| (Place::of(cell).key(), cell)).collect();
    let at = |pair: &Pair<'_>| {
        by_key.get(&pair.key).map(|cell| (load(load_of(cell, pair.of)), cell.governs.clone()))
    };
    pairs.iter().map(at).collect()
}

fn effect(hybrid: &Hybrid, pairs: &[Pair<'_>]) -> Effect {
    let mut effect = Effect { moved: 0, governs: 0, sum_pu: 0.0, most_pu: 0.0, most_at: None };
    for (pair, was) in pairs.iter().zip(hybrid) {
        let Some((was_pu, governed)) = was else { continue };
        let moved_pu = load(pair.new_pu) - was_pu;
        let now = &pair.new.governs;
        effect.moved += usize::from(moved_pu.abs() > LEAST_CHANGE_PU);
        let governs = (now.what, now.code) != (governed.what, governed.code);
        effect.governs += usize::from(pair.of == Rated::Transformer && governs);
        effect.sum_pu += moved_pu.abs();
        if moved_pu.abs() > effect.most_pu.abs().max(NOTHING_PU) {
            (effect.most_pu, effect.most_at) = (moved_pu, Some(Place::of(pair.new)));
        }
    }
    effect
}

fn without_dust(change_pu: f64) -> f64 {
    if change_pu.abs() > NOTHING_PU { change_pu } else { 0.0 }
}
