//! A history in parts: by day while it is short, by month, by year.

use super::Clock;
use super::carried::Chunk;
use super::tally::Highest;
use crate::ageing::rate::AgeingRate;
use crate::quantities::Celsius;
use chrono::{Datelike, NaiveDate};
use serde::Serialize;

/// Above this many days they are put together as months, above this many months as years.
const MOST_PARTS: usize = 31;
/// Minutes of a day.
const DAY_MIN: f64 = 1440.0;
/// Days of a month and of a year where there is no calendar.
const PLAIN_DAYS: [i64; 2] = [30, 360];

/// One part of a history.
#[derive(Debug, Clone, Serialize)]
pub struct Part {
    /// Day, month or year, or the days counted from the first row.
    pub name: String,
    /// First minute in it that is known.
    pub from_min: f64,
    /// Hours known.
    pub hours: f64,
    /// Hottest hot spot, °C.
    pub hot_spot_c: f64,
    /// When, min.
    pub at_min: f64,
    /// Greatest load, per unit.
    pub greatest_load_pu: f64,
    /// Smallest margin to bubbling with the moisture that counts, K.
    pub margin_k: Option<f64>,
    /// Normal-life hours used at the rate of the unit's paper.
    pub life_hours: f64,
    #[serde(skip)]
    day: Day,
}

/// A day by the calendar, or counted from the first row.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Day {
    Date(NaiveDate),
    Number(i64),
}

/// How long the parts are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Grain {
    #[default]
    Day,
    Month,
    Year,
}

impl Grain {
    fn coarser(self) -> Option<Self> {
        match self {
            Self::Day => Some(Self::Month),
            Self::Month => Some(Self::Year),
            Self::Year => None,
        }
    }
}

impl Day {
    /// Which part of this length the day is in.
    fn part(self, grain: Grain) -> i64 {
        match (self, grain) {
            (Self::Date(date), Grain::Day) => i64::from(date.num_days_from_ce()),
            (Self::Date(date), Grain::Month) => {
                i64::from(date.year() * 12) + i64::from(date.month0())
            }
            (Self::Date(date), Grain::Year) => i64::from(date.year()),
            (Self::Number(number), Grain::Day) => number,
            (Self::Number(number), Grain::Month) => number.div_euclid(PLAIN_DAYS[0]),
            (Self::Number(number), Grain::Year) => number.div_euclid(PLAIN_DAYS[1]),
        }
    }

    fn name(self, grain: Grain) -> String {
        let days = |part: i64, days: i64| format!("days {}-{}", part * days + 1, (part + 1) * days);
        match (self, grain) {
            (Self::Date(date), Grain::Day) => date.format("%Y-%m-%d").to_string(),
            (Self::Date(date), Grain::Month) => date.format("%Y-%m").to_string(),
            (Self::Date(date), Grain::Year) => date.format("%Y").to_string(),
            (Self::Number(number), Grain::Day) => format!("day {}", number + 1),
            (Self::Number(_), Grain::Month) => days(self.part(grain), PLAIN_DAYS[0]),
            (Self::Number(_), Grain::Year) => days(self.part(grain), PLAIN_DAYS[1]),
        }
    }
}

/// All parts so far.
#[derive(Debug, Default)]
pub(super) struct Parts {
    pub(super) clock: Clock,
    grain: Grain,
    first_min: Option<f64>,
    all: Vec<Part>,
    /// The last day met, and the minute at which it ends.
    today: Option<(Day, f64)>,
}

impl Parts {
    /// Takes the samples of one piece; an interval belongs to the day on which it begins.
    pub(super) fn add(&mut self, chunk: &Chunk, rate: AgeingRate) {
        let samples: Vec<(f64, f64, Celsius)> = chunk
            .samples()
            .filter_map(|models| {
                let (minute, hot_spot) = models.hottest_at()?;
                Some((minute, models.iec.load_pu, hot_spot))
            })
            .collect();
        let mut from = 0;
        while from < samples.len() {
            let day = self.day(samples[from].0);
            let ends_min = self.today.map_or(f64::INFINITY, |today| today.1);
            let inside = samples[from..].partition_point(|sample| sample.0 < ends_min).max(1);
            // The next day's first sample ends this day's last interval.
            let until = (from + inside + 1).min(samples.len());
            self.part(day, samples[from].0).take(&samples[from..until], inside, rate);
            from += inside;
        }
    }

    /// Puts the hottest of all moments, which may lie between samples, into its part.
    pub(super) fn hottest(&mut self, highest: Highest) {
        let at_min = highest.peak.at_min;
        let part = self.all.iter_mut().rev().find(|part| part.from_min <= at_min);
        if let Some(part) = part.filter(|part| part.hot_spot_c < highest.peak.value_c) {
            part.hot_spot_c = highest.peak.value_c;
            part.at_min = at_min;
        }
    }

    /// Every part, with the margin that an inception temperature leaves it.
    pub(super) fn finished(self, inception_c: Option<f64>) -> Vec<Part> {
        let grain = self.grain;
        let named = |part: Part| Part {
            name: part.day.name(grain),
            margin_k: inception_c.map(|inception_c| inception_c - part.hot_spot_c),
            ..part
        };
        self.all.into_iter().map(named).collect()
    }

    fn day(&mut self, minute: f64) -> Day {
        if let Some((day, ends_min)) = self.today
            && minute < ends_min
        {
            return day;
        }
        let first_min = *self.first_min.get_or_insert(minute);
        let today = self.calendar_day(minute).unwrap_or_else(|| {
            let number = ((minute - first_min) / DAY_MIN).floor();
            #[allow(clippy::cast_possible_truncation, reason = "days of two centuries at most")]
            let day = Day::Number(number as i64);
            (day, first_min + (number + 1.0) * DAY_MIN)
        });
        self.today = Some(today);
        today.0
    }

    /// The date of a minute and the minute at which it ends.
    fn calendar_day(&self, minute: f64) -> Option<(Day, f64)> {
        let now = self.clock.at(minute)?;
        let next = now.date_naive().succ_opt()?.and_hms_opt(0, 0, 0)?;
        let left = next.signed_duration_since(now.naive_local()).num_milliseconds();
        #[allow(clippy::cast_precision_loss, reason = "at most a day")]
        let left_min = left as f64 / 60_000.0;
        Some((Day::Date(now.date_naive()), minute + left_min))
    }

    /// The part that a day belongs to, a new one if it is not the last.
    fn part(&mut self, day: Day, minute: f64) -> &mut Part {
        let same = |last: &Part, grain| last.day.part(grain) == day.part(grain);
        if !self.all.last().is_some_and(|last| same(last, self.grain)) {
            self.all.push(Part::new(day, minute));
            while self.all.len() > MOST_PARTS
                && let Some(coarser) = self.grain.coarser()
            {
                self.grain = coarser;
                self.all = put_together(std::mem::take(&mut self.all), coarser);
            }
        }
        let last = self.all.len() - 1;
        &mut self.all[last]
    }
}

fn put_together(parts: Vec<Part>, grain: Grain) -> Vec<Part> {
    let mut coarse: Vec<Part> = Vec::new();
    for part in parts {
        match coarse.last_mut().filter(|last| last.day.part(grain) == part.day.part(grain)) {
            Some(last) => last.join(&part),
            None => coarse.push(part),
        }
    }
    coarse
}

impl Part {
    fn new(day: Day, minute: f64) -> Self {
        Self {
            name: String::new(),
            from_min: minute,
            hours: 0.0,
            hot_spot_c: f64::NEG_INFINITY,
            at_min: minute,
            greatest_load_pu: 0.0,
            margin_k: None,
            life_hours: 0.0,
            day,
        }
    }

    /// Takes samples `(minute, load, hot spot)`, of which the first `own` lie in this part.
    fn take(&mut self, samples: &[(f64, f64, Celsius)], own: usize, rate: AgeingRate) {
        for (minute, load_pu, hot_spot) in &samples[..own] {
            self.greatest_load_pu = self.greatest_load_pu.max(*load_pu);
            if hot_spot.value() > self.hot_spot_c {
                (self.hot_spot_c, self.at_min) = (hot_spot.value(), *minute);
            }
        }
        let course: Vec<(f64, Celsius)> = samples.iter().map(|s| (s.0, s.2)).collect();
        self.life_hours += rate.hours_used(&course);
        if let (Some(first), Some(last)) = (course.first(), course.last()) {
            self.hours += (last.0 - first.0) / 60.0;
        }
    }

    fn join(&mut self, later: &Self) {
        if later.hot_spot_c > self.hot_spot_c {
            (self.hot_spot_c, self.at_min) = (later.hot_spot_c, later.at_min);
        }
        self.greatest_load_pu = self.greatest_load_pu.max(later.greatest_load_pu);
        self.hours += later.hours;
        self.life_hours += later.life_hours;
    }
}
