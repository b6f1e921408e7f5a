//! How wet the paper at the hot spot is taken to be: as the bulk, or drier by what the load history
//! and the overload have dried.

use super::basis::Basis;
use super::case::{Case, HotSpotMoisture, StartFrom};
use super::course::Course;
use super::past::past_moments;
use super::plant::Plant;
use super::wet_paper::WetPaper;
use crate::moisture::hot_spot::{HotSpotPaper, Moment};
use crate::quantities::{Celsius, MoisturePercent};
use crate::rules::facts::{Drying, HotSpotFacts};

/// The paper at the hot spot at minute 0, as far as it is followed.
#[derive(Debug, Clone)]
pub enum AtStart {
    /// Taken as wet as the moisture that counts.
    NotFollowed,
    /// It was asked for, and cannot be.
    Refused(&'static str),
    /// Followed up to minute 0.
    Followed(Box<HotSpotPaper>),
}

/// Carries the paper through the load history, or leaves it as wet as the bulk without one.
pub(super) fn at_start(case: &Case, plant: Option<&Plant<'_>>, paper: &WetPaper<'_>) -> AtStart {
    let mode = case.request.hot_spot;
    if mode == HotSpotMoisture::Bulk {
        return AtStart::NotFollowed;
    }
    let Some(thickness_mm) = case.unit.insulation.winding_paper_mm else {
        return AtStart::Refused("the thickness of the winding paper is not stated");
    };
    let (Some(plant), Some(counting)) = (plant, paper.facts.counting) else {
        return AtStart::Refused("nothing says how hot or how wet the paper is");
    };
    let history = matches!(case.request.start, StartFrom::History(_));
    if mode == HotSpotMoisture::Equilibrated && !history {
        return AtStart::Refused("there is no load history");
    }
    // The assessed moisture is what new paper would hold.
    let solubility = case.unit.solubility.constants;
    let followed = HotSpotPaper::new(counting.upper, thickness_mm, 1.0, solubility);
    let Some(mut followed) = followed else {
        return AtStart::Refused("the paper cannot be followed");
    };
    let excess_k = plant.added_rise_k();
    for past in past_moments(case, &plant.cooling) {
        followed.carry_on(Moment {
            minute: past.minute,
            top_oil_c: past.hottest_top_oil_c + excess_k,
            hot_spot_c: past.coolest_hot_spot_c,
        });
    }
    AtStart::Followed(Box::new(followed))
}

/// The paper through one overload.
#[derive(Debug, Clone)]
pub struct HotSpotCourse {
    /// What the rules may know.
    pub facts: HotSpotFacts,
    /// Water at the wettest depth at each sample of the course, %; empty if not followed.
    pub percent: Vec<f64>,
}

/// Follows the paper through a course.
pub(super) fn through(case: &Case, basis: &Basis<'_>, course: Option<&Course>) -> HotSpotCourse {
    let bulk = basis.paper.facts.counting.map(|counting| counting.upper);
    let as_bulk = |refused| HotSpotCourse {
        facts: HotSpotFacts { counted: bulk, refused, ..HotSpotFacts::default() },
        percent: Vec::new(),
    };
    let paper = match &basis.hot_spot {
        AtStart::NotFollowed => return as_bulk(None),
        AtStart::Refused(why) => return as_bulk(Some(why)),
        AtStart::Followed(paper) => paper,
    };
    let Some(course) = course else {
        return as_bulk(None);
    };
    let wettest = followed(paper.as_ref().clone(), course);
    let percent = wettest.iter().map(|water| water.value()).collect();
    let facts = if case.request.hot_spot == HotSpotMoisture::Equilibrated {
        equilibrated(case, &basis.paper, course, &wettest)
    } else {
        over_time(&basis.paper, course, &wettest)
    };
    HotSpotCourse { facts, percent }
}

/// The paper is carried on in steps of at least this, min; its fastest time constant is many times that.
const STEP_MIN: f64 = 5.0;

/// Water at the wettest depth at each sample, with the least drying model at each.
fn followed(mut paper: HotSpotPaper, course: &Course) -> Vec<MoisturePercent> {
    let mut carried_min = f64::NEG_INFINITY;
    course
        .samples()
        .map(|models| {
            let minute = models.minute();
            if minute - carried_min >= STEP_MIN {
                carried_min = minute;
                let hot_spot_c = models.coolest_hot_spot_c();
                paper.carry_on(Moment { minute, top_oil_c: models.top_oil_c(), hot_spot_c });
            }
            paper.wettest()
        })
        .collect()
}

/// The wettest that the paper is from minute 0 to the end of the overload: drying during the
/// overload earns nothing, and water that comes back is not forgotten.
fn equilibrated(
    case: &Case,
    paper: &WetPaper<'_>,
    course: &Course,
    wettest: &[MoisturePercent],
) -> HotSpotFacts {
    let bulk = paper.facts.counting.map(|counting| counting.upper);
    let end_min = case.request.loading.end_min;
    let during = course.samples().zip(wettest).filter(|(models, _)| models.minute() <= end_min);
    let waters = during.map(|(_, water)| *water);
    let counted = waters.reduce(|known, next| if next > known { next } else { known }).or(bulk);
    HotSpotFacts { counted, credit_k: credit_k(paper, bulk, counted), ..HotSpotFacts::default() }
}

/// The smallest margin over time with the paper as dry as it is then.
///
/// If it may count, the water at that moment is held against the hottest hot spot, which can
/// only be hotter than at that moment.
fn over_time(paper: &WetPaper<'_>, course: &Course, wettest: &[MoisturePercent]) -> HotSpotFacts {
    let bulk = paper.facts.counting.map(|counting| counting.upper);
    let margins = course.samples().zip(wettest).map(|(models, water)| {
        let inception = paper.reading(Some(*water)).inception().map(Celsius::value);
        (*water, inception.map(|inception_c| inception_c - models.hot_spot_c()))
    });
    let least = |margin: Option<f64>| margin.unwrap_or(f64::NEG_INFINITY);
    let smallest =
        margins.reduce(|known, next| if least(next.1) < least(known.1) { next } else { known });
    let Some((water, margin_k)) = smallest else {
        return HotSpotFacts { counted: bulk, ..HotSpotFacts::default() };
    };
    let counts = paper.drying_may_count();
    let counted = if counts { Some(water) } else { bulk };
    HotSpotFacts {
        counted,
        credit_k: if counts { credit_k(paper, bulk, counted) } else { None },
        drying: Some(Drying { percent: water.value(), margin_k, counts }),
        refused: None,
    }
}

fn credit_k(
    paper: &WetPaper<'_>,
    bulk: Option<MoisturePercent>,
    counted: Option<MoisturePercent>,
) -> Option<f64> {
    let inception_c =
        |water: Option<MoisturePercent>| paper.reading(water).inception().map(Celsius::value);
    Some(inception_c(counted)? - inception_c(bulk)?)
}
