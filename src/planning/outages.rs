//! Outages of a plan: who is out, who carries, and when.

use super::carried::Known;
use super::plan::{Carried, NextTrip, Outage, PlannedUnit};
use super::plan_file::{CarriesFile, NextTripFile, OutageFile};
use super::read::{Edges, Reading};
use crate::input::InputError;
use crate::input::text::Name;
use crate::input::time::{Instant, Span};
use crate::loading::LONGEST_OVERLOAD_MIN;
use crate::loading::planned::Edge;
use chrono::SecondsFormat;

/// More next trips of one outage than this are some other table.
const MOST_TRIPS: usize = 64;

impl Reading<'_> {
    /// Every outage; `normal` says what the units' normal loads cover.
    pub(super) fn outages(
        &mut self,
        files: &[OutageFile],
        units: &[PlannedUnit],
        normal: &[Edges],
    ) -> Result<Vec<Outage>, InputError> {
        files.iter().map(|file| self.outage(file, units, normal)).collect()
    }

    fn outage(
        &mut self,
        file: &OutageFile,
        units: &[PlannedUnit],
        normal: &[Edges],
    ) -> Result<Outage, InputError> {
        let out = self.out(&file.out, units)?;
        let (earliest_min, latest_min) = (self.minute(&file.earliest), self.minute(&file.latest));
        let duration_min = self.span("outages.duration", &file.duration)?;
        self.room(file, latest_min - earliest_min, duration_min)?;
        let recall = |recall: &Span| self.span("outages.recall", recall);
        let recall_min = file.recall.as_ref().map(recall).transpose()?;
        self.check_trips(file)?;
        let at = (file.name.1, "outages.carries");
        let mut known = self.carriers(at, &file.carries, &out, units)?;
        let own = known.len();
        let mut next_trips = Vec::new();
        for trip in file.next_trip.iter().flatten() {
            let at = (trip.name.1, "outages.next_trip.carries");
            let carriers = self.carriers(at, &trip.carries, &out, units)?;
            next_trips.push(NextTrip { name: trip.name.0.clone(), carries: loads(&carriers) });
            known.extend(carriers);
        }
        self.covered(file, &known, normal)?;
        Ok(Outage {
            name: file.name.0.clone(),
            out,
            earliest_min,
            latest_min,
            duration_min,
            recall_min,
            carries: loads(&known[..own]),
            next_trips,
        })
    }

    fn out(&self, names: &[Name], units: &[PlannedUnit]) -> Result<Vec<usize>, InputError> {
        let mut out = Vec::new();
        for name in names {
            let unit = self.unit_named("outages.out", name, units)?;
            if out.contains(&unit) {
                let found = format!("{} twice", name.0);
                return Err(self.at(name.1, "outages.out", found, "each unit once"));
            }
            out.push(unit);
        }
        Ok(out)
    }

    fn unit_named(
        &self,
        key: &str,
        name: &Name,
        units: &[PlannedUnit],
    ) -> Result<usize, InputError> {
        units.iter().position(|unit| unit.name == name.0).ok_or_else(|| {
            let names: Vec<&str> = units.iter().map(|unit| unit.name.as_str()).collect();
            let accepted = format!("a unit of the plan: {}", names.join(", "));
            self.at(name.1, key, &name.0, accepted)
        })
    }

    fn minute(&self, instant: &Instant) -> f64 {
        crate::input::table::Zero(Some(self.ambient.begins)).minutes_to(instant.0)
    }

    fn span(&self, key: &str, span: &Span) -> Result<f64, InputError> {
        if span.minutes > 0.0 && span.minutes <= LONGEST_OVERLOAD_MIN {
            return Ok(span.minutes);
        }
        let found = format!("{} min", span.minutes);
        let accepted = format!("above 0 and up to {LONGEST_OVERLOAD_MIN} min (31 days)");
        Err(self.at(span.line, key, found, accepted))
    }

    fn room(
        &self,
        file: &OutageFile,
        between_min: f64,
        duration_min: f64,
    ) -> Result<(), InputError> {
        if between_min >= duration_min {
            return Ok(());
        }
        let found = format!("{}, {between_min} min after the earliest start", words(&file.latest));
        let accepted = format!("at least the duration, {duration_min} min, after it");
        Err(self.at(file.latest.1, "outages.latest", found, accepted))
    }

    fn check_trips(&self, file: &OutageFile) -> Result<(), InputError> {
        let key = "outages.next_trip";
        let Some(trips) = file.next_trip.as_deref() else { return Ok(()) };
        let Some(NextTripFile { name: first, .. }) = trips.first() else {
            let accepted = "at least one, or no such key";
            return Err(self.at(file.name.1, key, "an empty list", accepted));
        };
        if trips.len() > MOST_TRIPS {
            let found = format!("{} of them", trips.len());
            return Err(self.at(first.1, key, found, format!("1 to {MOST_TRIPS}")));
        }
        if file.recall.is_some() {
            return Ok(());
        }
        let accepted = "recall: how long until what is out is back after that trip";
        Err(self.at(first.1, "outages.recall", "nothing, and a next trip", accepted))
    }

    /// What each of the units named carries in all, in the order of the file.
    fn carriers(
        &mut self,
        (line, key): (usize, &str),
        files: &[CarriesFile],
        out: &[usize],
        units: &[PlannedUnit],
    ) -> Result<Vec<Known>, InputError> {
        if files.is_empty() {
            let accepted = "at least one unit that carries, else there is nothing to judge";
            return Err(self.at(line, key, "no carrier", accepted));
        }
        let mut by_unit: Vec<(usize, Vec<_>)> = Vec::new();
        for file in files {
            let unit = self.unit_named(&format!("{key}.unit"), &file.unit, units)?;
            if out.contains(&unit) {
                let found = format!("{}, which is out", file.unit.0);
                let accepted = "units that stay in service";
                return Err(self.at(file.unit.1, &format!("{key}.unit"), found, accepted));
            }
            let part = self.carried_part(key, file)?;
            match by_unit.iter_mut().find(|own| own.0 == unit) {
                Some((_, parts)) => parts.push(part),
                None => by_unit.push((unit, vec![part])),
            }
        }
        let known =
            |(unit, parts): &(usize, Vec<_>)| self.carried(key, (*unit, &units[*unit].unit), parts);
        by_unit.iter().map(known).collect()
    }

    /// The ambient, what the carriers carry, and what they carry before and after it must be known throughout.
    fn covered(
        &self,
        file: &OutageFile,
        known: &[Known],
        normal: &[Edges],
    ) -> Result<(), InputError> {
        let ambient = &self.ambient.cover;
        self.covered_by(file, (&ambient.from, &ambient.until))?;
        for known in known {
            for (from, until) in known.edges.iter().chain(&normal[known.carried.unit]) {
                self.covered_by(file, (from, until))?;
            }
        }
        Ok(())
    }

    fn covered_by(
        &self,
        file: &OutageFile,
        (from, until): (&Edge, &Edge),
    ) -> Result<(), InputError> {
        if self.minute(&file.earliest) < from.minute {
            let found = format!("{}, before {}", words(&file.earliest), from.words);
            let accepted = "a start at or after the first row of every file in it";
            return Err(self.at(file.earliest.1, "outages.earliest", found, accepted));
        }
        if self.minute(&file.latest) > until.minute {
            let found = format!("{}, after {}", words(&file.latest), until.words);
            let accepted = "an end at or before the last row of every file in it";
            return Err(self.at(file.latest.1, "outages.latest", found, accepted));
        }
        Ok(())
    }
}

fn words(instant: &Instant) -> String {
    instant.0.to_rfc3339_opts(SecondsFormat::Secs, false)
}

fn loads(known: &[Known]) -> Vec<Carried> {
    known.iter().map(|known| known.carried.clone()).collect()
}
