//! Ratings over moisture as SVG: a line for each duration, black on white.

use super::{axes, conditions, knee, points};
use crate::rating::water::{CostOfWater, Starts};
use crate::report::labels_apart::spread_out;
use crate::report::rate_table::long;
use crate::report::round_axis::RoundAxis;
use crate::report::svg_parts::{Anchor, Page};
use crate::report::view::{near, up};

/// Edges of the plot, px; names of the durations stand to its right.
const LEFT: f64 = 90.0;
const RIGHT: f64 = 770.0;
const TOP: f64 = 62.0;
const BOTTOM: f64 = 482.0;

/// Left edge of the text, px.
const MARGIN: f64 = 40.0;

/// Steps of the axis of loads, at most.
const MOST_STEPS: u32 = 12;

/// Width of a line where bubbling governs, and elsewhere, px.
const BUBBLING: f64 = 2.6;
const OTHER: f64 = 1.2;

/// The picture.
pub fn svg(cost: &CostOfWater) -> String {
    let mut page = Page::new("water");
    page.down(44.0);
    page.bold((MARGIN, 0.0), 22, &format!("{}: the cost of water", cost.unit));
    page.down(24.0);
    page.text((MARGIN, 0.0), 14, Anchor::Start, &conditions(cost));
    page.down(14.0);
    if let Some((moisture, load)) = axes(cost, MOST_STEPS) {
        Drawing { cost, moisture, load, page: &mut page }.draw();
    } else {
        page.text((MARGIN, 20.0), 14, Anchor::Start, "There is no rating to draw.");
        page.down(48.0);
    }
    let words =
        "Computed every 0.5 %, with straight lines between. A calculation aid; local rules decide.";
    page.text((MARGIN, 0.0), 13, Anchor::Start, words);
    page.down(24.0);
    page.finished(&format!("{}: the cost of water", cost.unit), &conditions(cost))
}

/// The picture while it is drawn; heights are from the page's present one.
struct Drawing<'a> {
    cost: &'a CostOfWater,
    moisture: RoundAxis,
    load: RoundAxis,
    page: &'a mut Page,
}

impl Drawing<'_> {
    fn draw(mut self) {
        self.grid();
        self.moistures();
        for index in 0..self.cost.durations.len() {
            self.curve(index);
        }
        self.names();
        self.page.down(BOTTOM + 78.0);
        self.legend();
        self.page.down(34.0);
    }

    fn x(&self, percent: f64) -> f64 {
        LEFT + self.moisture.share(percent) * (RIGHT - LEFT)
    }

    fn y(&self, load_pu: f64) -> f64 {
        BOTTOM - self.load.share(load_pu) * (BOTTOM - TOP)
    }

    fn place(&self, (percent, load_pu): (f64, f64)) -> (f64, f64) {
        (self.x(percent), self.y(load_pu))
    }

    fn grid(&mut self) {
        let (moisture, load) = (self.moisture, self.load);
        for percent in moisture.ticks() {
            let x = self.x(percent);
            self.page.thin_line((x, TOP), (x, BOTTOM));
            let words = near(percent, moisture.decimals());
            self.page.text((x, BOTTOM + 20.0), 13, Anchor::Middle, &words);
        }
        for pu in load.ticks() {
            let y = self.y(pu);
            self.page.thin_line((LEFT, y), (RIGHT, y));
            let words = near(pu, load.decimals());
            self.page.text((LEFT - 10.0, y + 4.5), 13, Anchor::End, &words);
        }
        self.page.line((LEFT, TOP), (LEFT, BOTTOM), 1.0);
        self.page.line((LEFT, BOTTOM), (RIGHT, BOTTOM), 1.0);
        self.page.text((MARGIN, TOP - 14.0), 13, Anchor::Start, "rating, pu");
        let middle = f64::midpoint(LEFT, RIGHT);
        let words = "water in paper that would count, %";
        self.page.text((middle, BOTTOM + 44.0), 13, Anchor::Middle, words);
    }

    /// What counts now, and what would count with the paper dried; written at different heights.
    fn moistures(&mut self) {
        let (own, dried) = (self.cost.counting_moisture_percent, self.cost.dried_to_percent);
        let words = format!("counts now: {} %", up(own, 2));
        self.moisture(own, TOP - 36.0, &words);
        self.moisture(dried, TOP - 14.0, &format!("dried: {} %", near(dried, 2)));
    }

    fn moisture(&mut self, percent: f64, y: f64, words: &str) {
        let x = self.x(percent);
        self.page.counting_line((x, y - 8.0), (x, BOTTOM));
        let (at, anchor) = if self.moisture.share(percent) > 0.7 {
            (x - 8.0, Anchor::End)
        } else {
            (x + 8.0, Anchor::Start)
        };
        self.page.text((at, y + 2.0), 14, anchor, words);
    }

    /// Thick where bubbling governs, with a ring where it starts to.
    fn curve(&mut self, index: usize) {
        let points = points(self.cost, index);
        let onset = &self.cost.durations[index].bubbling;
        let from = match onset.starts {
            Starts::Within => onset.percent.unwrap_or(f64::INFINITY),
            Starts::Everywhere => f64::NEG_INFINITY,
            Starts::Nowhere | Starts::Unknown => f64::INFINITY,
        };
        let some = |of: &dyn Fn(f64) -> bool| -> Vec<(f64, f64)> {
            let own = points.iter().filter(|point| of(point.0));
            own.map(|point| self.place(*point)).collect()
        };
        let (dry, wet) = (some(&|percent| percent <= from), some(&|percent| percent >= from));
        self.page.through(&dry, OTHER, "none");
        self.page.through(&wet, BUBBLING, "none");
        if let Some(knee) = knee(onset) {
            let place = self.place(knee);
            self.page.disc(place, 4.5, true);
        }
    }

    /// The durations beside the wet ends of their curves, apart from each other.
    fn names(&mut self) {
        let ends = (0..self.cost.durations.len()).filter_map(|index| {
            let last = *points(self.cost, index).last()?;
            Some((self.place(last), long(self.cost.durations[index].duration_min)))
        });
        let ends: Vec<((f64, f64), String)> = ends.collect();
        let heights: Vec<f64> = ends.iter().map(|((_, y), _)| *y).collect();
        let spread = spread_out(&heights, 18.0, (TOP, BOTTOM + 40.0));
        for (((x, y), name), at) in ends.into_iter().zip(spread) {
            let places = [(x, y), (RIGHT + 4.0, y), (RIGHT + 24.0, at)];
            self.page.through(&places, 0.6, "none");
            self.page.text((RIGHT + 30.0, at + 4.5), 13, Anchor::Start, &name);
        }
    }

    fn legend(&mut self) {
        self.page.disc((MARGIN + 22.0, -4.5), 4.5, true);
        self.page.text((MARGIN + 54.0, 0.0), 13, Anchor::Start, "bubbling starts to govern");
        for (x, width, words) in
            [(280.0, BUBBLING, "bubbling governs"), (500.0, OTHER, "something else governs")]
        {
            self.page.line((x, -4.5), (x + 44.0, -4.5), width);
            self.page.text((x + 54.0, 0.0), 13, Anchor::Start, words);
        }
    }
}
