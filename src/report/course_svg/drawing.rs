//! The course drawn: two plots one above the other.

use super::{Course, Level, Size};
use crate::assessment::TracePoint;
use crate::report::labels_apart::spread_out;
use crate::report::round_axis::RoundAxis;
use crate::report::svg_parts::{Anchor, Page};
use crate::report::time_words;
use crate::report::view::{down, duration, near};

/// Where the two plots lie, px; names stand to their right.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    pub(super) width: f64,
    height: f64,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    load_top: f64,
    load_bottom: f64,
}

impl Frame {
    pub(super) fn of(size: Size) -> Self {
        let (width, bottom, load) = match size {
            Size::Sheet => (960.0, 360.0, 78.0),
            Size::Screen => (720.0, 252.0, 54.0),
        };
        let load_top = bottom + 32.0;
        let load_bottom = load_top + load;
        Self {
            width,
            height: load_bottom + 54.0,
            left: 62.0,
            right: width - 180.0,
            top: 30.0,
            bottom,
            load_top,
            load_bottom,
        }
    }
}

/// Distance between two names, px.
const GAP: f64 = 17.0;

/// Size of letters, px: 8 pt where the picture is as wide as a sheet of A4.
const LETTERS: u32 = 14;

/// Steps of an axis of time that people read with ease, min.
const TIME_STEPS: [f64; 12] =
    [5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 180.0, 360.0, 720.0, 1440.0, 2880.0, 7200.0];

/// The hot spot by each model.
const MODELS: [fn(&TracePoint) -> f64; 3] = [
    |point| point.hot_spot_iec_c,
    |point| point.hot_spot_ieee_c,
    |point| point.hot_spot_detailed_c,
];

/// The picture while it is drawn.
pub(super) struct Drawing<'a> {
    pub(super) course: &'a Course<'a>,
    pub(super) frame: Frame,
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
        self.page.down(self.frame.height);
    }

    fn x(&self, min: f64) -> f64 {
        self.frame.left
            + (min / self.course.until_min).clamp(0.0, 1.0) * (self.frame.right - self.frame.left)
    }

    fn y(&self, value_c: f64) -> f64 {
        self.frame.bottom
            - self.course.degrees.share(value_c) * (self.frame.bottom - self.frame.top)
    }

    fn load_y(&self, load_pu: f64) -> f64 {
        self.frame.load_bottom
            - self.course.load.share(load_pu) * (self.frame.load_bottom - self.frame.load_top)
    }

    /// From the 5 to the 95 % points, under everything else.
    fn bands(&mut self) {
        if let Some((low_c, high_c)) = self.course.inception_band {
            let (low, high) = (self.y(low_c), self.y(high_c));
            self.page.danger_ground((self.frame.left, high), (self.frame.right, low));
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
            self.page.thin_line((x, self.frame.top), (x, self.frame.bottom));
            self.page.thin_line((x, self.frame.load_top), (x, self.frame.load_bottom));
            self.page.text(
                (x, self.frame.load_bottom + 20.0),
                LETTERS,
                Anchor::Middle,
                &clock(min),
            );
            min += step_min;
        }
    }

    fn scale(&mut self, axis: &RoundAxis, unit: &str, y: impl Fn(&Self, f64) -> f64) {
        for value in axis.ticks() {
            let y = y(self, value);
            self.page.thin_line((self.frame.left, y), (self.frame.right, y));
            let words = near(value, axis.decimals());
            self.page.text((self.frame.left - 8.0, y + 5.0), LETTERS, Anchor::End, &words);
        }
        let top = axis.ticks().last().map_or(self.frame.top, |value| y(self, value));
        self.page.text((self.frame.left - 8.0, top - 12.0), LETTERS, Anchor::End, unit);
    }

    fn levels(&mut self) {
        for guide in &self.course.guides {
            let y = self.y(guide.value_c);
            self.page.through(&[(self.frame.left, y), (self.frame.right, y)], 1.0, "2 3");
        }
        if let Some(inception) = &self.course.inception {
            let y = self.y(inception.value_c);
            self.page.line((self.frame.left, y), (self.frame.right, y), 2.2);
        }
        if let Some(stop) = &self.course.stop {
            let y = self.y(stop.value_c);
            self.page.danger_line((self.frame.left, y), (self.frame.right, y), 2.2);
        }
    }

    fn courses(&mut self) {
        self.through(|point| point.ambient_c, 1.4, "2 4");
        self.through(|point| point.top_oil_c, 1.8, "9 5");
        // Each model below the hottest: how far apart they are is part of the answer.
        for model in MODELS {
            self.through(model, 0.8, "1 2");
        }
        self.through(|point| point.hot_spot_c, 3.0, "none");
    }

    fn through(&mut self, value_c: fn(&TracePoint) -> f64, width: f64, dashes: &'static str) {
        let place = |point: &&TracePoint| (self.x(point.min), self.y(value_c(point)));
        let places: Vec<_> = self.course.points.iter().map(place).collect();
        self.page.through(&places, width, dashes);
    }

    fn load(&mut self) {
        let rated = self.load_y(1.0);
        self.page.through(&[(self.frame.left, rated), (self.frame.right, rated)], 1.0, "2 3");
        let mut places: Vec<(f64, f64)> = Vec::new();
        for point in &self.course.points {
            let (x, y) = (self.x(point.min), self.load_y(point.load_pu));
            if let Some((_, before)) = places.last().copied() {
                places.push((x, before));
            }
            places.push((x, y));
        }
        self.page.through(&places, 2.2, "none");
        self.page.text(
            (self.frame.right + 10.0, rated + 5.0),
            LETTERS,
            Anchor::Start,
            "rated load",
        );
    }

    /// The end of the overload, the hottest moment, and the one at which a limit is reached.
    fn moments(&mut self) {
        let assessment = self.course.assessment;
        let end = self.x(assessment.asked.duration_min);
        self.page.through(&[(end, self.frame.top), (end, self.frame.load_bottom)], 1.0, "6 3");
        let words = "load reduced";
        self.page.text_over((end - 6.0, self.frame.load_bottom - 6.0), LETTERS, Anchor::End, words);
        let reached_min = time_words::within_asked(assessment);
        if let Some(min) = reached_min.filter(|min| *min < self.course.until_min) {
            let x = self.x(min);
            self.page.danger_line((x, self.frame.top - 4.0), (x, self.frame.bottom), 1.6);
            let words = time_words::headline(assessment);
            let (at, anchor) = self.beside(x);
            self.page.text_over((at, self.frame.top - 8.0), LETTERS, anchor, &words);
        }
        if let Some(peak) = &assessment.peak {
            let (x, y) = (self.x(peak.hot_spot_at_min), self.y(peak.hot_spot_c));
            self.page.disc((x, y), 5.0, false);
            let words =
                format!("{} °C at {}", near(peak.hot_spot_c, 1), duration(peak.hot_spot_at_min));
            let (at, anchor) = self.beside(x);
            let y = if self.crowded_above(y) { y + 22.0 } else { y - 10.0 };
            self.page.text_over((at, y), LETTERS, anchor, &words);
        }
    }

    /// Where words beside a moment stand, inside the plot.
    fn beside(&self, x: f64) -> (f64, Anchor) {
        let middle = f64::midpoint(self.frame.left, self.frame.right);
        if x > middle { (x - 8.0, Anchor::End) } else { (x + 8.0, Anchor::Start) }
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
        let heights = spread_out(&wanted, GAP, (self.frame.top, self.frame.bottom));
        for ((_, name), (own, y)) in names.iter().zip(wanted.iter().zip(&heights)) {
            if (own - y).abs() > 1.0 {
                self.page.thin_line((self.frame.right, *own), (self.frame.right + 8.0, *y));
            }
            self.page.text((self.frame.right + 10.0, y + 5.0), LETTERS, Anchor::Start, name);
        }
        if let Some((low_c, high_c)) = self.course.inception_band {
            let (low, high) = (down(low_c, 0), near(high_c, 0));
            let words = format!(
                "Grey hot spot, hatched bubbling ({low} to {high} °C): 5 to 95 % of simulated cases"
            );
            self.page.text(
                (self.frame.left, self.frame.height - 8.0),
                LETTERS,
                Anchor::Start,
                &words,
            );
        }
    }
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
