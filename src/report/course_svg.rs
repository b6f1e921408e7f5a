//! The course of an overload as SVG: temperatures above, the load below, one axis of time.
//!
//! Black on white, readable in grey; the one colour is the red of danger, at the line not to be crossed.
//! Every line is named where it ends.

mod drawing;

use super::chart::shown_until;
use super::round_axis::RoundAxis;
use super::spread_words;
use super::svg_parts::Page;
use super::time_words;
use super::view::{down, duration, near};
use crate::assessment::spread::{Band, BandAt};
use crate::assessment::{Assessment, TracePoint};
use drawing::{Drawing, Frame};

/// Steps of the axis of temperatures, at most.
const MOST_STEPS: u32 = 8;

/// Places of a line at most; closer ones fall into the same pixel.
const MOST_PLACES: usize = 400;

/// What the picture shows, before it is drawn.
struct Course<'a> {
    assessment: &'a Assessment,
    points: Vec<&'a TracePoint>,
    band: Vec<(f64, f64, f64)>,
    inception: Option<Level>,
    inception_band: Option<(f64, f64)>,
    stop: Option<Level>,
    guides: Vec<Level>,
    until_min: f64,
    degrees: RoundAxis,
    load: RoundAxis,
}

/// A temperature that stays where it is.
struct Level {
    value_c: f64,
    label: String,
}

/// How large the picture is; letters are of one size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// As wide as a sheet of A4.
    Sheet,
    /// Part of a screen.
    Screen,
}

/// The picture; `None` where there is no course to draw.
pub fn svg(assessment: &Assessment, size: Size) -> Option<String> {
    let course = Course::of(assessment)?;
    let frame = Frame::of(size);
    let mut page = Page::wide("course", frame.width);
    Drawing { course: &course, frame, page: &mut page }.draw();
    let title = format!("{}: temperatures and load over time", assessment.unit);
    Some(page.finished(&title, &described(assessment)))
}

/// The picture in a sentence.
fn described(assessment: &Assessment) -> String {
    let peak = assessment.peak.as_ref().map_or_else(String::new, |peak| {
        format!(
            "Hottest hot spot {} °C at {}. ",
            near(peak.hot_spot_c, 1),
            duration(peak.hot_spot_at_min)
        )
    });
    let inception = assessment.bubbling.inception_c.map_or_else(String::new, |inception_c| {
        format!("The paper bubbles at {} °C. ", down(inception_c, 1))
    });
    let limit = time_words::sentence(assessment);
    format!("{peak}{inception}{limit}")
}

impl<'a> Course<'a> {
    fn of(assessment: &'a Assessment) -> Option<Self> {
        let until_min = shown_until(assessment)?;
        let shown = |min: f64| min <= until_min + 1.0e-9;
        let all: Vec<&TracePoint> =
            assessment.trace.iter().filter(|point| shown(point.min)).collect();
        let over_time = assessment.spread.as_ref().and_then(|spread| spread.over_time.as_ref());
        let band = over_time.map_or_else(Vec::new, |over_time| {
            over_time.hot_spot.iter().filter(|at| shown(at.min)).filter_map(ends_at).collect()
        });
        let (inception, stop) = (inception(assessment), stop(assessment));
        let guides = guides(assessment);
        let levels = inception.iter().chain(&stop).chain(&guides).map(|level| level.value_c);
        let courses =
            all.iter().flat_map(|point| [point.hot_spot_c, point.top_oil_c, point.ambient_c]);
        let inception_band = over_time.and_then(|over_time| ends(over_time.inception_c));
        let banded = band.iter().flat_map(|(_, low, high)| [*low, *high]);
        let banded = banded.chain(inception_band.iter().flat_map(|(low, high)| [*low, *high]));
        let degrees = RoundAxis::around(levels.chain(courses).chain(banded), MOST_STEPS)?;
        let loads = all.iter().map(|point| point.load_pu).chain([0.0, 1.0]);
        Some(Self {
            assessment,
            inception_band,
            band,
            load: RoundAxis::around(loads, 4)?,
            points: thinned(all),
            inception,
            stop,
            guides,
            until_min,
            degrees,
        })
    }
}

/// Every so-manieth point, the last, and both sides of every step of the load.
fn thinned(points: Vec<&TracePoint>) -> Vec<&TracePoint> {
    let every = points.len().div_ceil(MOST_PLACES).max(1);
    let last = points.len().saturating_sub(1);
    let steps: Vec<bool> = points
        .iter()
        .enumerate()
        .map(|(at, point)| {
            let next = points.get(at + 1).map_or(point.load_pu, |next| next.load_pu);
            let before = at.checked_sub(1).map_or(point.load_pu, |before| points[before].load_pu);
            (next - point.load_pu).abs() > 0.0 || (before - point.load_pu).abs() > 0.0
        })
        .collect();
    let keep = |at: usize| at.is_multiple_of(every) || at == last || steps[at];
    points.into_iter().enumerate().filter(|(at, _)| keep(*at)).map(|(_, point)| point).collect()
}

fn ends(band: Band) -> Option<(f64, f64)> {
    Some((band.p05?, band.p95?))
}

fn ends_at(at: &BandAt) -> Option<(f64, f64, f64)> {
    ends(at.hot_spot_c).map(|(low_c, high_c)| (at.min, low_c, high_c))
}

fn inception(assessment: &Assessment) -> Option<Level> {
    let value_c = assessment.bubbling.inception_c?;
    Some(Level { value_c, label: format!("bubbles, {} °C", down(value_c, 1)) })
}

/// Where to stop: the inception temperature less what is required and less what is uncertain.
fn stop(assessment: &Assessment) -> Option<Level> {
    // Where the draws say nothing finite, nobody knows where to stop.
    let known = !spread_words::beyond_range(assessment);
    let line = assessment.limits.iter().find(|line| line.quantity == "bubbling" && known)?;
    Some(Level { value_c: line.limit, label: format!("stop here, {} °C", down(line.limit, 1)) })
}

/// The guide's own temperatures.
fn guides(assessment: &Assessment) -> Vec<Level> {
    let named = [("hot-spot", "hot-spot limit"), ("top-oil", "top-oil limit")];
    let of = |(quantity, words): (&str, &str)| {
        let line = assessment.limits.iter().find(|line| line.quantity == quantity)?;
        let label = format!("{words}, {} °C", near(line.limit, 0));
        Some(Level { value_c: line.limit, label })
    };
    named.into_iter().filter_map(of).collect()
}
