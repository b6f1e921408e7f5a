//! Permissible time against load as SVG: load across, time upward on a logarithmic axis, black on white.

use super::{axis, conditions, sets, words};
use crate::rating::capability::{Capability, Curve, DURATIONS_MIN, Point};
use crate::report::rate_table::long;
use crate::report::round_axis::RoundAxis;
use crate::report::svg_parts::{Anchor, Page};
use crate::report::view::near;

/// Edges of the plot, px.
const LEFT: f64 = 120.0;
const RIGHT: f64 = 890.0;
const BOTTOM: f64 = 560.0;

/// Height of the longest duration, and of continuous above it, px.
const LONGEST: f64 = 76.0;
const CONTINUOUS: f64 = 34.0;

/// Left edge of the text, px.
const MARGIN: f64 = 40.0;

/// Characters of a winding's name that there is room for.
const NAME: usize = 6;

/// What governs needs so much room, px.
const ROOM: f64 = 100.0;

/// Steps of the axis of loads, at most.
const MOST_STEPS: u32 = 10;

/// Durations written at the axis, min.
const WRITTEN_MIN: [f64; 10] = [5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 720.0, 1440.0];

/// Lines of the curves, the first of which is the last curve's.
const DASHES: [&str; 4] = ["none", "8 4", "2 3", "10 4 2 4"];

/// The picture.
pub fn svg(capability: &Capability) -> String {
    let title = format!("{}: permissible time against load", capability.unit);
    let mut page = Page::new("capability");
    page.down(44.0);
    page.bold((MARGIN, 0.0), 22, &title);
    page.down(24.0);
    page.text((MARGIN, 0.0), 14, Anchor::Start, &conditions(capability));
    page.down(14.0);
    if let Some(load) = axis(capability, MOST_STEPS) {
        Drawing { capability, load, page: &mut page }.draw();
    } else {
        page.text((MARGIN, 20.0), 14, Anchor::Start, "There is no rating to draw.");
        page.down(48.0);
    }
    let words = "A load between two points may be carried for the shorter time. A calculation aid; local rules decide.";
    page.text((MARGIN, 0.0), 13, Anchor::Start, words);
    page.down(24.0);
    page.finished(&title, &conditions(capability))
}

/// The picture while it is drawn; heights are from the page's present one.
struct Drawing<'a> {
    capability: &'a Capability,
    load: RoundAxis,
    page: &'a mut Page,
}

fn y(duration_min: Option<f64>) -> f64 {
    let (Some(least), Some(most)) = (DURATIONS_MIN.first(), DURATIONS_MIN.last()) else {
        return BOTTOM;
    };
    duration_min.map_or(CONTINUOUS, |minutes| {
        BOTTOM - (minutes / least).ln() / (most / least).ln() * (BOTTOM - LONGEST)
    })
}

impl Drawing<'_> {
    fn draw(mut self) {
        self.grid();
        let below = self.currents();
        let curves = || self.capability.curves.iter().rev().zip(DASHES.iter().cycle());
        for (curve, dashes) in curves() {
            self.page.through(&stairs(curve, &self.load), 1.8, dashes);
        }
        for (curve, _) in curves() {
            self.points(curve);
        }
        self.page.down(BOTTOM + below + 40.0);
        for (curve, dashes) in curves() {
            self.page.through(&[(MARGIN, -4.5), (MARGIN + 44.0, -4.5)], 1.8, dashes);
            self.page.text((MARGIN + 54.0, 0.0), 13, Anchor::Start, &sets(curve));
            self.page.down(22.0);
        }
        self.page.down(12.0);
    }

    fn grid(&mut self) {
        for minutes in WRITTEN_MIN.map(Some).into_iter().chain([None]) {
            let y = y(minutes);
            self.page.thin_line((LEFT, y), (RIGHT, y));
            self.page.text((LEFT - 10.0, y + 4.5), 13, Anchor::End, &long(minutes));
        }
        let load = self.load;
        for pu in load.ticks() {
            let x = x(&load, pu);
            self.page.thin_line((x, CONTINUOUS), (x, BOTTOM));
            let words = near(pu, load.decimals().max(1));
            self.page.text((x, BOTTOM + 20.0), 13, Anchor::Middle, &words);
        }
        // The time axis is broken below continuous.
        let gap = f64::midpoint(CONTINUOUS, LONGEST);
        self.page.line((LEFT, LONGEST), (LEFT, BOTTOM), 1.0);
        self.page.line((LEFT, CONTINUOUS - 8.0), (LEFT, gap - 4.0), 1.0);
        for y in [gap - 4.0, gap + 4.0] {
            self.page.line((LEFT - 6.0, y + 3.0), (LEFT + 6.0, y - 3.0), 1.0);
        }
        self.page.line((LEFT, gap + 4.0), (LEFT, LONGEST), 1.0);
        self.page.line((LEFT, BOTTOM), (RIGHT, BOTTOM), 1.0);
        self.page.text((LEFT - 28.0, BOTTOM + 20.0), 13, Anchor::End, "load, pu");
        let rated = x(&load, 1.0);
        self.page.line((rated, CONTINUOUS), (rated, BOTTOM), 0.8);
    }

    /// The loads as currents of each winding; answers how far down they go, px.
    fn currents(&mut self) -> f64 {
        let mut below = 20.0;
        for winding in &self.capability.windings {
            below += 20.0;
            let at = BOTTOM + below;
            let name: String = winding.name.chars().take(NAME).collect();
            let words = format!("{name}, A");
            self.page.text((LEFT - 28.0, at), 13, Anchor::End, &words);
            for pu in self.load.ticks() {
                let words = near(pu * winding.rated_a, 0);
                self.page.text((x(&self.load, pu), at), 13, Anchor::Middle, &words);
            }
        }
        below
    }

    /// A disc at each point, with what governs where that changes.
    fn points(&mut self, curve: &Curve) {
        let mut before = None;
        for (point, load_pu) in known(curve) {
            let (x, y) = (x(&self.load, load_pu), y(point.cell.duration_min));
            self.page.disc((x, y), 3.5, false);
            let what = point.cell.governs.what;
            if before.replace(what) != Some(what) {
                let right = x > RIGHT - ROOM;
                let (at, anchor) =
                    if right { (x - 8.0, Anchor::End) } else { (x + 8.0, Anchor::Start) };
                self.page.text_over((at, y - 5.0), 13, anchor, &words(point));
            }
        }
    }
}

fn x(load: &RoundAxis, pu: f64) -> f64 {
    LEFT + load.share(pu) * (RIGHT - LEFT)
}

/// Points that have a load.
fn known(curve: &Curve) -> impl Iterator<Item = (&Point, f64)> {
    curve.points.iter().filter_map(|point| Some((point, point.cell.load_pu?)))
}

/// From each point to the left for as long as its time counts, and then up to the next.
fn stairs(curve: &Curve, load: &RoundAxis) -> Vec<(f64, f64)> {
    let mut places: Vec<(f64, f64)> = Vec::new();
    for (point, load_pu) in known(curve) {
        let (x, y) = (x(load, load_pu), y(point.cell.duration_min));
        if let Some((_, before)) = places.last() {
            places.push((x, *before));
        }
        places.push((x, y));
    }
    places.extend(places.last().map(|(_, y)| (LEFT, *y)));
    places
}
