//! The course drawn: two plots one above the other.

use super::{Course, Level};
use crate::assessment::TracePoint;
use crate::report::labels_apart::spread_out;
use crate::report::round_axis::RoundAxis;
use crate::report::svg_parts::{Anchor, Page};
use crate::report::view::{down, duration, near};

/// Edges of both plots, px; names stand to their right.
const LEFT: f64 = 62.0;
const RIGHT: f64 = 760.0;

/// Edges of the temperatures, px.
const TOP: f64 = 30.0;
const BOTTOM: f64 = 360.0;

/// Edges of the load, px.
const LOAD_TOP: f64 = 392.0;
const LOAD_BOTTOM: f64 = 470.0;

/// Height of the whole, px.
const HEIGHT: f64 = 524.0;

/// Distance between two names, px.
const GAP: f64 = 17.0;

/// Size of letters, px: 8 pt where the picture is as wide as a sheet of A4.
const LETTERS: u32 = 14;

/// Steps of an axis of time that people read with ease, min.
const TIME_STEPS: [f64; 12] =
    [5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 180.0, 360.0, 720.0, 1440.0, 2880.0, 7200.0];

/// The picture while it is drawn.
pub(super) struct Drawing<'a> {
    pub(super) course: &'a Course<'a>,
    pub(super) page: &'a mut Page,
}

impl Drawing<'_> {
    pub(super) fn draw(mut self) {
        self.bands();
        self.grid();
        self.levels();
        self.courses();
        self.load();
        self.moments();
        self.names();
        self.page.down(HEIGHT);
    }

    fn x(&self, min: f64) -> f64 {
        LEFT + (min / self.course.until_min).clamp(0.0, 1.0) * (RIGHT - LEFT)
    }

    fn y(&self, value_c: f64) -> f64 {
        BOTTOM - self.course.degrees.share(value_c) * (BOTTOM - TOP)
    }

    fn load_y(&self, load_pu: f64) -> f64 {
        LOAD_BOTTOM - self.course.load.share(load_pu) * (LOAD_BOTTOM - LOAD_TOP)
    }

    /// From the 5 to the 95 % points, under everything else.
    fn bands(&mut self) {
        if let Some((low_c, high_c)) = self.course.inception_band {
            let (low, high) = (self.y(low_c), self.y(high_c));
            self.page.danger_ground((LEFT, high), (RIGHT, low));
        }
        let edge = |of: fn(&(f64, f64, f64)) -> f64| {
            let place = |at: &(f64, f64, f64)| (self.x(at.0), self.y(of(at)));
            self.course.band.iter().map(place).collect::<Vec<_>>()
        };
        let (lower, upper) = (edge(|at| at.1), edge(|at| at.2));
        if !lower.is_empty() {
            self.page.band(&lower, &upper);
        }
    }

    fn grid(&mut self) {
        let course = self.course;
        self.scale(&course.degrees, "°C", Self::y);
        self.scale(&course.load, "pu", Self::load_y);
        let step_min = TIME_STEPS.iter().find(|step| course.until_min / **step <= 8.0);
        let step_min = step_min.copied().unwrap_or(course.until_min);
        let mut min = 0.0;
        while min <= course.until_min + 1.0e-9 {
            let x = self.x(min);
            self.page.thin_line((x, TOP), (x, BOTTOM));
            self.page.thin_line((x, LOAD_TOP), (x, LOAD_BOTTOM));
            self.page.text((x, LOAD_BOTTOM + 20.0), LETTERS, Anchor::Middle, &clock(min));
            min += step_min;
        }
    }

    fn scale(&mut self, axis: &RoundAxis, unit: &str, y: impl Fn(&Self, f64) -> f64) {
        for value in axis.ticks() {
            let y = y(self, value);
            self.page.thin_line((LEFT, y), (RIGHT, y));
            let words = near(value, axis.decimals());
            self.page.text((LEFT - 8.0, y + 5.0), LETTERS, Anchor::End, &words);
        }
        let top = axis.ticks().last().map_or(TOP, |value| y(self, value));
        self.page.text((LEFT - 8.0, top - 12.0), LETTERS, Anchor::End, unit);
    }

    fn levels(&mut self) {
        for guide in &self.course.guides {
            let y = self.y(guide.value_c);
            self.page.through(&[(LEFT, y), (RIGHT, y)], 1.0, "2 3");
        }
        if let Some(inception) = &self.course.inception {
            let y = self.y(inception.value_c);
            self.page.line((LEFT, y), (RIGHT, y), 2.2);
        }
        if let Some(stop) = &self.course.stop {
            let y = self.y(stop.value_c);
            self.page.danger_line((LEFT, y), (RIGHT, y), 2.2);
        }
    }

    fn courses(&mut self) {
        self.through(|point| point.ambient_c, 1.4, "2 4");
        self.through(|point| point.top_oil_c, 1.8, "9 5");
        self.through(|point| point.hot_spot_c, 3.0, "none");
    }

    fn through(&mut self, value_c: fn(&TracePoint) -> f64, width: f64, dashes: &'static str) {
        let place = |point: &&TracePoint| (self.x(point.min), self.y(value_c(point)));
        let places: Vec<_> = self.course.points.iter().map(place).collect();
        self.page.through(&places, width, dashes);
    }

    fn load(&mut self) {
        let rated = self.load_y(1.0);
        self.page.through(&[(LEFT, rated), (RIGHT, rated)], 1.0, "2 3");
        let mut places: Vec<(f64, f64)> = Vec::new();
        for point in &self.course.points {
            let (x, y) = (self.x(point.min), self.load_y(point.load_pu));
            if let Some((_, before)) = places.last().copied() {
                places.push((x, before));
            }
            places.push((x, y));
        }
        self.page.through(&places, 2.2, "none");
        self.page.text((RIGHT + 10.0, rated + 5.0), LETTERS, Anchor::Start, "rated load");
    }

    /// The end of the overload, the hottest moment, and the one at which a limit is reached.
    fn moments(&mut self) {
        let assessment = self.course.assessment;
        let end = self.x(assessment.asked.duration_min);
        self.page.through(&[(end, TOP), (end, LOAD_BOTTOM)], 1.0, "6 3");
        let words = "load taken back";
        self.page.text_over((end - 6.0, LOAD_BOTTOM - 6.0), LETTERS, Anchor::End, words);
        if let Some(min) = assessment.time_to_limit_min.filter(|min| *min < self.course.until_min) {
            let x = self.x(min);
            self.page.danger_line((x, TOP - 4.0), (x, BOTTOM), 1.6);
            let words = format!("limit reached at {}", duration(min));
            let (at, anchor) = beside(x);
            self.page.text_over((at, TOP - 8.0), LETTERS, anchor, &words);
        }
        if let Some(peak) = &assessment.peak {
            let (x, y) = (self.x(peak.hot_spot_at_min), self.y(peak.hot_spot_c));
            self.page.disc((x, y), 5.0, false);
            let words =
                format!("{} °C at {}", near(peak.hot_spot_c, 1), duration(peak.hot_spot_at_min));
            let (at, anchor) = beside(x);
            let y = if self.crowded_above(y) { y + 22.0 } else { y - 10.0 };
            self.page.text_over((at, y), LETTERS, anchor, &words);
        }
    }

    /// Whether a line that stays where it is would go through words above a height.
    fn crowded_above(&self, y: f64) -> bool {
        let Course { inception, stop, guides, .. } = self.course;
        let mut levels = inception.iter().chain(stop).chain(guides);
        levels.any(|level| (0.0..=GAP + 10.0).contains(&(y - self.y(level.value_c))))
    }

    /// What each line is, where it ends.
    fn names(&mut self) {
        let mut names: Vec<(f64, String)> = Vec::new();
        if let Some(last) = self.course.points.last() {
            names.push((last.hot_spot_c, "hot spot".to_owned()));
            names.push((last.top_oil_c, "top oil".to_owned()));
            names.push((last.ambient_c, "ambient".to_owned()));
        }
        let Course { inception, stop, guides, .. } = self.course;
        let levels = inception.iter().chain(stop).chain(guides);
        names.extend(levels.map(|Level { value_c, label }| (*value_c, label.clone())));
        let wanted: Vec<f64> = names.iter().map(|(value_c, _)| self.y(*value_c)).collect();
        let heights = spread_out(&wanted, GAP, (TOP, BOTTOM));
        for ((_, name), (own, y)) in names.iter().zip(wanted.iter().zip(&heights)) {
            if (own - y).abs() > 1.0 {
                self.page.thin_line((RIGHT, *own), (RIGHT + 8.0, *y));
            }
            self.page.text((RIGHT + 10.0, y + 5.0), LETTERS, Anchor::Start, name);
        }
        if let Some((low_c, high_c)) = self.course.inception_band {
            let (low, high) = (down(low_c, 0), near(high_c, 0));
            let words = format!(
                "Grey: hot spot, hatched: bubbling ({low} to {high} °C), each from the 5 to the 95 % point of the draws."
            );
            self.page.text((LEFT, HEIGHT - 8.0), LETTERS, Anchor::Start, &words);
        }
    }
}

/// Where words beside a moment stand, inside the plot.
fn beside(x: f64) -> (f64, Anchor) {
    if x > f64::midpoint(LEFT, RIGHT) { (x - 8.0, Anchor::End) } else { (x + 8.0, Anchor::Start) }
}

/// A moment on the axis of time.
fn clock(min: f64) -> String {
    if min >= 60.0 && (min / 60.0).fract() < 1.0e-9 {
        format!("{} h", near(min / 60.0, 0))
    } else if min > 60.0 {
        duration(min)
    } else {
        format!("{} min", near(min, 0))
    }
}
