//! From shares of series to what a unit carries.

use super::plan::Carried;
use super::plan_file::{CarriesFile, PartFile};
use super::read::Reading;
use crate::input::InputError;
use crate::input::text::Name;
use crate::loading::forecast_error::ForecastError;
use crate::loading::planned::{Demand, Edge};
use crate::thermal::schedule::LoadSteps;
use crate::unit::Unit;

/// Greatest load of a unit, pu, as in every other input.
const MOST_PU: f64 = 5.0;

/// A part of a load.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    /// A series, by its place among all, and the share of it.
    share_of: Option<(usize, f64)>,
    plus_mva: f64,
    line: usize,
}

/// What a unit carries, and the rows where it begins and ends to be known, if it depends on series.
pub(super) struct Known {
    pub(super) carried: Carried,
    pub(super) edges: Option<(Edge, Edge)>,
}

impl Reading<'_> {
    /// A part of a normal load; `line` is that of its unit.
    pub(super) fn part(&self, file: &PartFile, line: usize) -> Result<Part, InputError> {
        let share = file.share.as_ref().map(|share| (share.value, share.line));
        let plus = file.plus_mva.as_ref().map(|plus| (plus.value, plus.line));
        self.checked_part("units.normally", line, file.series.as_ref(), share, plus)
    }

    /// A part of what a unit carries in an outage.
    pub(super) fn carried_part(&self, key: &str, file: &CarriesFile) -> Result<Part, InputError> {
        let share = file.share.as_ref().map(|share| (share.value, share.line));
        let plus = file.plus_mva.as_ref().map(|plus| (plus.value, plus.line));
        self.checked_part(key, file.unit.1, file.series.as_ref(), share, plus)
    }

    fn checked_part(
        &self,
        key: &str,
        line: usize,
        series: Option<&Name>,
        share: Option<(f64, usize)>,
        plus: Option<(f64, usize)>,
    ) -> Result<Part, InputError> {
        let accepted = "series with its share, plus_mva, or both";
        let plus_mva = plus.map_or(0.0, |plus| plus.0);
        match (series, share) {
            (Some(series), Some((share, _))) => {
                let found = self.demands.iter().position(|(name, _)| *name == series.0);
                let unknown = || {
                    let names: Vec<&str> =
                        self.demands.iter().map(|(name, _)| name.as_str()).collect();
                    let accepted = format!("the name of a series: {}", names.join(", "));
                    self.at(series.1, &format!("{key}.series"), &series.0, accepted)
                };
                let share_of = Some((found.ok_or_else(unknown)?, share));
                Ok(Part { share_of, plus_mva, line: series.1 })
            }
            (Some(series), None) => {
                Err(self.at(series.1, &format!("{key}.share"), "nothing", accepted))
            }
            (None, Some((share, line))) => {
                let found = format!("a share of {share} without a series");
                Err(self.at(line, &format!("{key}.share"), found, accepted))
            }
            (None, None) => match plus {
                Some((_, line)) => Ok(Part { share_of: None, plus_mva, line }),
                None => Err(self.at(line, key, "nothing to carry", accepted)),
            },
        }
    }

    /// What parts add up to for a unit; no part is no load.
    pub(super) fn carried(
        &mut self,
        key: &str,
        unit: (usize, &Unit),
        parts: &[Part],
    ) -> Result<Known, InputError> {
        let used: Vec<(&Demand, f64)> = parts
            .iter()
            .filter_map(|part| part.share_of)
            .map(|(series, share)| (&self.demands[series].1, share))
            .collect();
        let line = parts.first().map_or(0, |part| part.line);
        let edges = edges(&used);
        let ambient = &self.ambient.cover;
        let (from_min, until_min) = edges.as_ref().map_or_else(
            || (ambient.from.minute, ambient.until.minute),
            |(from, until)| (from.minute, until.minute),
        );
        if !(from_min <= until_min) {
            let found = "series that have no time in common";
            return Err(self.at(line, key, found, "series of the same time"));
        }
        let minutes = minutes(&used, from_min, until_min);
        self.rows_left = self.rows_left.checked_sub(minutes.len()).ok_or_else(|| {
            let accepted = "fewer rows, units or outages: 8 million rows of load in all";
            self.at(line, key, "too many rows of load", accepted)
        })?;
        let plus_mva: f64 = parts.iter().map(|part| part.plus_mva).sum();
        let load = self.in_pu(key, line, unit.1, &used, plus_mva, &minutes)?;
        let error = self.error(key, line, &used, &minutes)?;
        let carried = Carried { unit: unit.0, load, from_min, until_min, error };
        Ok(Known { carried, edges })
    }

    fn in_pu(
        &self,
        key: &str,
        line: usize,
        unit: &Unit,
        used: &[(&Demand, f64)],
        plus_mva: f64,
        minutes: &[f64],
    ) -> Result<LoadSteps, InputError> {
        let per_mva = self.base(unit)?.current_of_1_pu() / unit.rated_mva;
        let mut cursors = vec![0; used.len()];
        let mut steps = Vec::with_capacity(minutes.len());
        for &minute in minutes {
            let mva = used.iter().zip(&mut cursors).fold(plus_mva, |sum, ((demand, share), at)| {
                sum + share * demand.mva.at_or_after(at, minute)
            });
            let load_pu = mva * per_mva;
            if !(load_pu <= MOST_PU) {
                let when = self.when(minute);
                let found = format!("{load_pu:.2} pu of {} at {when}", unit.name);
                let most = MOST_PU / per_mva;
                let accepted =
                    format!("at most {most} MVA, five times its rating at this voltage and tap");
                return Err(self.at(line, key, found, accepted));
            }
            steps.push((minute, load_pu));
        }
        let unordered = || self.at(line, key, "times out of order", "ascending times");
        LoadSteps::new(steps).ok_or_else(unordered)
    }

    /// The errors of series go the same way at the same time: cold raises all of them. What is constant is as
    /// uncertain as the rest.
    ///
    /// ```text
    /// u = Σ s·L·u_s / Σ s·L       s share, L load and u_s standard uncertainty (%) of a series
    /// ```
    fn error(
        &self,
        key: &str,
        line: usize,
        used: &[(&Demand, f64)],
        minutes: &[f64],
    ) -> Result<Option<ForecastError>, InputError> {
        let stated: Vec<(&Demand, f64, &LoadSteps)> = used
            .iter()
            .filter_map(|(demand, share)| Some((*demand, *share, demand.std_percent.as_ref()?)))
            .collect();
        if stated.is_empty() {
            return Ok(None);
        }
        if stated.len() < used.len() {
            let found = "series with and without load_std_percent";
            let accepted = "the column in each of the series that add up, or in none";
            return Err(self.at(line, key, found, accepted));
        }
        let at = |minute: f64| {
            let (mut mva, mut off, mut greatest) = (0.0, 0.0, 0.0_f64);
            for (demand, share, std) in &stated {
                let (part, percent) = (share * demand.mva.at(minute), std.at(minute));
                mva += part;
                off += part * percent;
                greatest = greatest.max(percent);
            }
            if mva > 0.0 { off / mva } else { greatest }
        };
        let rows = minutes.iter().map(|minute| (*minute, at(*minute))).collect();
        let impossible = || self.at(line, key, "no uncertainty", "numbers from 0");
        LoadSteps::new(rows).and_then(ForecastError::in_steps).ok_or_else(impossible).map(Some)
    }
}

/// The last of the first rows and the first of the last rows.
fn edges(used: &[(&Demand, f64)]) -> Option<(Edge, Edge)> {
    let covers = || used.iter().map(|(demand, _)| &demand.cover);
    let from = covers().map(|cover| &cover.from).max_by(|a, b| a.minute.total_cmp(&b.minute))?;
    let until = covers().map(|cover| &cover.until).min_by(|a, b| a.minute.total_cmp(&b.minute))?;
    Some((from.clone(), until.clone()))
}

/// The minutes at which any of the series has a row, within what all cover.
fn minutes(used: &[(&Demand, f64)], from_min: f64, until_min: f64) -> Vec<f64> {
    let rows = used.iter().flat_map(|(demand, _)| demand.mva.steps());
    let inside = rows.map(|row| row.0).filter(|minute| *minute > from_min && *minute <= until_min);
    let mut minutes: Vec<f64> = std::iter::once(from_min).chain(inside).collect();
    minutes.sort_by(f64::total_cmp);
    minutes.dedup();
    minutes
}
