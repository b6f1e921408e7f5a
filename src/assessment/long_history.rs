//! What a unit has been through: a load history of any length, in bounded memory.
//!
//! Rows go in one by one; whenever enough have gathered, both thermal forms carry on over them
//! from where they stood. What comes out does not depend on how many that is.

mod answer;
mod carried;
mod findings;
mod parts;
mod span;
mod tally;

pub use answer::{Bubbling, Extreme, Governing, HistoryAnswer, PaperUsed};
pub use carried::Moment;
pub use parts::Part;
pub use span::{Clock, Gap, Gaps, Span, When};

use super::course::cooling;
use super::wet_paper::WetPaper;
use crate::loading::LONGEST_GAP_MIN;
use crate::loading::long_history::HistoryRow;
use crate::quantities::Celsius;
use crate::rules::local_file::LocalRules;
use crate::thermal::cooling::Cooling;
use crate::unit::{Thermal, Unit};
use carried::Carried;
use chrono::{DateTime, FixedOffset, NaiveDate};
use parts::Parts;
use tally::Tally;

/// So many samples are computed at a time unless the caller says otherwise.
pub const CHUNK: usize = 4096;

/// Samples are no further apart than this, min, unless the caller says otherwise, so that stages are seen
/// to switch and the ageing between them is close; rows may be.
pub const SAMPLE_MIN: f64 = 1.0;

/// At the latest after so many samples the forms are stopped even where the load does not change.
const MOST_SAMPLES: usize = 1 << 15;

/// What is asked.
#[derive(Debug, Clone)]
pub struct HistoryQuestion {
    /// The transformer.
    pub unit: Unit,
    /// The local operating rules, if any.
    pub local: Option<LocalRules>,
    /// The day for which the age of evidence is judged.
    pub as_of: Option<NaiveDate>,
    /// Ambient of a history that has none of its own, °C.
    pub ambient_c: Option<f64>,
    /// Index of the cooling stage in service throughout, if it is stated.
    pub stage: Option<usize>,
    /// Samples computed at a time.
    pub chunk: usize,
    /// Samples are no further apart than this, min; [`SAMPLE_MIN`] unless there is a reason.
    pub sample_min: f64,
    /// Whether the life of the paper and the parts are asked for too; they are the dearer half.
    pub life_and_parts: bool,
}

/// A history that is being gone through.
#[derive(Debug)]
pub struct LongHistory<'a> {
    question: &'a HistoryQuestion,
    paper: WetPaper<'a>,
    clock: Clock,
    plant: Option<(&'a Thermal, Cooling, bool)>,
    carried: Carried,
    /// Rows not gone through yet; the first one is where the forms stand.
    rows: Vec<HistoryRow>,
    samples: usize,
    own_ambient: bool,
    span: Span,
    tally: Tally,
    parts: Parts,
    moments: Vec<Moment>,
}

impl<'a> LongHistory<'a> {
    /// Before the first row.
    pub fn new(question: &'a HistoryQuestion) -> Self {
        let unit = &question.unit;
        let local = question.local.as_ref().map(|local| &local.moisture);
        let paper = WetPaper::of(unit, local, question.as_of);
        let plant = unit.thermal.as_ref().map(|thermal| {
            let (cooling, unknown) = cooling(thermal, question.stage, None);
            (thermal, cooling, unknown)
        });
        let required = answer::required_k(question.local.as_ref());
        let counting = paper.facts.counting.map(|counting| counting.upper);
        let inception_c = paper.reading(counting).inception().map(Celsius::value);
        Self {
            tally: Tally::new(unit, counting, inception_c, required)
                .with_life(question.life_and_parts),
            question,
            paper,
            plant,
            clock: Clock::default(),
            carried: Carried::default(),
            rows: Vec::new(),
            samples: 0,
            own_ambient: false,
            span: Span::default(),
            parts: Parts::default(),
            moments: Vec::new(),
        }
    }

    /// States which instant is minute 0; before the second row.
    pub fn set_zero(&mut self, zero: Option<DateTime<FixedOffset>>) {
        self.clock = Clock(zero);
        self.parts.clock = self.clock;
    }

    /// Takes the next row, which must be later than the one before.
    pub fn push(&mut self, row: HistoryRow) {
        self.tally.load(row);
        self.own_ambient |= row.ambient_c.is_some();
        let Some(last) = self.rows.last().copied() else {
            self.span.begin(row.minute);
            self.rows.push(row);
            return;
        };
        let step_min = row.minute - last.minute;
        self.span.extend(row.minute);
        if step_min > LONGEST_GAP_MIN {
            self.run();
            self.carried.stop();
            self.span.gap(last.minute, step_min, self.clock);
            self.rows.clear();
            self.rows.push(row);
            return;
        }
        self.rows.push(row);
        self.samples += carried::pieces(step_min, self.question.sample_min);
        // One form may look at its state where the load changes, so that only there a stop leaves
        // no trace.
        let load_changes = row.load_pu.to_bits() != last.load_pu.to_bits();
        if (self.samples >= self.question.chunk && load_changes) || self.samples >= MOST_SAMPLES {
            self.run();
            self.rows.clear();
            self.rows.push(row);
        }
    }

    /// The temperatures computed since the last time they were taken.
    pub fn take(&mut self) -> std::vec::Drain<'_, Moment> {
        self.moments.drain(..)
    }

    /// Computes what is left and adds up; take the last temperatures before [`Self::answer`].
    pub fn finish(&mut self) {
        self.run();
        self.rows.clear();
        if let Some(peak) = self.tally.hot_spot() {
            self.parts.hottest(peak);
        }
    }

    /// What the unit has been through.
    pub fn answer(self, inputs_sha256: String) -> HistoryAnswer {
        answer::answer(self, inputs_sha256)
    }

    /// The day of the first row, where minute 0 has a time.
    fn began(&self) -> Option<NaiveDate> {
        self.clock.at(self.span.first_min()).map(|instant| instant.date_naive())
    }

    /// Carries the models on over the rows at hand.
    fn run(&mut self) {
        self.samples = 0;
        let Some((_, cooling, _)) = &self.plant else {
            return;
        };
        let how = (self.question.ambient_c, self.question.sample_min);
        let Some(chunk) = self.carried.on(cooling, &self.rows, how) else {
            return;
        };
        let inception_c = self.tally.inception_c();
        self.moments.extend(chunk.moments(inception_c));
        self.tally.add(cooling, &chunk);
        if self.question.life_and_parts {
            self.parts.add(&chunk, self.tally.rate());
        }
    }
}
