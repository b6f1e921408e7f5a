//! The starts of every outage on one axis of days: a bar where it goes, a hatched ground where it does not.

use super::plan_words::{deciding, read, when};
use super::svg_parts::{Anchor, Page};
use super::view::cut;
use crate::planning::answer::PlanAnswer;
use crate::planning::outage::{CaseAnswer, OutageAnswer};
use crate::rules::verdict::Verdict;
use chrono::{DateTime, Duration, FixedOffset, Timelike};

/// Edges of the plot, px.
const LEFT: f64 = 40.0;
const RIGHT: f64 = 930.0;

/// From the top of a row to its bar, the height of a bar, and that of a row, px.
const NAME: f64 = 20.0;
const BAR: f64 = 16.0;
const ROW: f64 = 62.0;

/// Days between two that are written, whichever gives ten or fewer.
const DAYS: [i64; 6] = [1, 2, 7, 14, 28, 56];

/// Letters of the name of an outage.
const LETTERS: usize = 90;

/// The picture; `None` where there is no start.
pub(super) fn calendar(answer: &PlanAnswer) -> Option<String> {
    let starts = |outage: &OutageAnswer| -> Vec<DateTime<FixedOffset>> {
        deciding(outage).each.iter().filter_map(|hour| read(&hour.start)).collect()
    };
    let all: Vec<DateTime<FixedOffset>> = answer.outages.iter().flat_map(starts).collect();
    let (first, last) = (all.iter().min()?, all.iter().max()?);
    let until = *last + Duration::hours(1);
    let mut page = Page::new("calendar");
    let mut drawing = Drawing { first: *first, until, page: &mut page };
    drawing.draw(&answer.outages);
    let title = format!("{}: starts that go", answer.unit);
    let told = answer.outages.iter().map(|outage| {
        format!("{}: {} of {} starts go", outage.name, deciding(outage).go_starts, outage.starts)
    });
    Some(page.finished(&title, &told.collect::<Vec<_>>().join("; ")))
}

/// The picture while it is drawn.
struct Drawing<'a> {
    first: DateTime<FixedOffset>,
    until: DateTime<FixedOffset>,
    page: &'a mut Page,
}

impl Drawing<'_> {
    fn x(&self, at: DateTime<FixedOffset>) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "minutes of some years")]
        let minutes = |of: Duration| of.num_minutes() as f64;
        let share = minutes(at - self.first) / minutes(self.until - self.first).max(1.0);
        LEFT + share.clamp(0.0, 1.0) * (RIGHT - LEFT)
    }

    fn draw(&mut self, outages: &[OutageAnswer]) {
        #[allow(clippy::cast_precision_loss, reason = "some outages")]
        let bottom = 10.0 + outages.len() as f64 * ROW;
        self.days(bottom);
        for (index, outage) in outages.iter().enumerate() {
            #[allow(clippy::cast_precision_loss, reason = "some outages")]
            let top = 10.0 + index as f64 * ROW;
            self.row(top, outage);
        }
        let words = "Black: goes from there. Hatched: does not. Ring: cannot be decided. Triangle: the best start.";
        self.page.text((LEFT, bottom + 48.0), 14, Anchor::Start, words);
        self.page.down(bottom + 62.0);
    }

    fn days(&mut self, bottom: f64) {
        let many = (self.until - self.first).num_days() + 1;
        let every = DAYS.iter().find(|days| many / **days <= 10).copied().unwrap_or(112);
        let midnight = |at: DateTime<FixedOffset>| {
            at - Duration::minutes(i64::from(at.hour() * 60 + at.minute()))
        };
        let mut day = midnight(self.first);
        while day <= self.until {
            if day >= self.first {
                let x = self.x(day);
                self.page.thin_line((x, 4.0), (x, bottom));
                let words = day.format("%-d %b").to_string();
                self.page.text((x, bottom + 20.0), 13, Anchor::Middle, &words);
            }
            day += Duration::days(every);
        }
    }

    fn row(&mut self, top: f64, outage: &OutageAnswer) {
        let case = deciding(outage);
        let name = format!("{}: {} of {} starts go", outage.name, case.go_starts, outage.starts);
        self.page.text_over((LEFT, top + NAME - 6.0), 14, Anchor::Start, &cut(&name, LETTERS));
        for (verdict, from, until) in runs(case) {
            self.run(verdict, (self.x(from), self.x(until)), top + NAME);
        }
        if let Some(best) = case.best.as_ref().filter(|best| best.verdict.permits())
            && let Some(at) = read(&best.start)
        {
            let x = self.x(at);
            self.page.pointer((x, top + NAME + BAR + 2.0));
            let (at, anchor) =
                if x > 700.0 { (x - 10.0, Anchor::End) } else { (x + 10.0, Anchor::Start) };
            let y = top + NAME + BAR + 14.0;
            self.page.text_over((at, y), 13, anchor, &when(&best.start));
        }
    }

    fn run(&mut self, verdict: Verdict, (from, until): (f64, f64), top: f64) {
        match verdict {
            Verdict::Go | Verdict::GoWithCautions => {
                self.page.bar((from, top), (until.max(from + 1.0), top + BAR));
            }
            Verdict::NoGo => self.page.danger_ground((from, top), (until, top + BAR)),
            Verdict::CannotDecide => {
                self.page.disc((f64::midpoint(from, until), top + BAR / 2.0), 5.0, true);
            }
        }
    }
}

/// Starts one after the other with the same verdict: from the first to an hour after the last.
fn runs(case: &CaseAnswer) -> Vec<(Verdict, DateTime<FixedOffset>, DateTime<FixedOffset>)> {
    let mut runs: Vec<(Verdict, DateTime<FixedOffset>, DateTime<FixedOffset>)> = Vec::new();
    let alike = |verdict: Verdict| if verdict.permits() { Verdict::Go } else { verdict };
    for hour in &case.each {
        let Some(at) = read(&hour.start) else { continue };
        let (verdict, until) = (alike(hour.verdict), at + Duration::hours(1));
        match runs.last_mut() {
            Some(last) if last.0 == verdict && last.2 >= at => last.2 = until,
            _ => runs.push((verdict, at, until)),
        }
    }
    runs
}
