//! What protection does about emergency loads: two separate questions for every relay of a unit.
//!
//! Does it let the permitted emergency load through for its whole duration? And would it act before the
//! paper bubbles, if the load went on or were greater? Each thermal form is a world of its own in which
//! indicators read that form's oil; the worst form and load count, and every device is off to the
//! pessimistic side of the question. What is not known never becomes a yes.
//!
//! The criteria for relays ([`Loadability`]) are minimum settings of relays, never permitted temperatures.

mod answers;
mod courses;
mod device;
pub mod fans;
mod findings;
pub mod loadability;
mod world;

use crate::assessment::basis::Basis;
use crate::assessment::case::Case;
use crate::rules::finding::Finding;
use crate::uncertainty::batch::in_chunks;
use fans::FanAnswer;
use loadability::Loadability;
use serde::Serialize;
use world::World;

/// A load that a rating permits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Permitted {
    /// For how long, min; `None`: continuous.
    pub duration_min: Option<f64>,
    /// The load, pu.
    pub load_pu: f64,
    /// What the draws take off the margin to bubbling there, K; not finite: not known.
    pub allowance_k: f64,
}

/// What protection does about the permitted loads of one unit under given conditions.
///
/// Figures are unrounded; a `null` means "none" or "not known".
#[derive(Debug, Clone, Serialize)]
pub struct Protection {
    /// To be said before anything else: trips that lie above the temperature at which the paper bubbles.
    pub first: Vec<BubblesFirst>,
    /// The conditions and the loads.
    pub asked: Asked,
    /// When the paper bubbles.
    pub paper: Paper,
    /// All relays together; `null` where none is stated.
    pub together: Option<Together>,
    /// Each relay that is stated, in the order of the profile.
    pub relays: Vec<RelayAnswer>,
    /// Contacts that start cooling.
    pub fans: Vec<FanAnswer>,
    /// The relay loadability criterion, which is not a permitted temperature.
    pub loadability: Vec<Loadability>,
    /// What was found, gravest first.
    pub findings: Vec<Finding>,
}

/// Yes, no, or not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// Yes.
    Yes,
    /// Not known.
    Unknown,
    /// No.
    No,
}

impl Answer {
    /// Yes where it holds; where it does not, no.
    fn of(holds: bool) -> Self {
        if holds { Self::Yes } else { Self::No }
    }

    /// A yes only where it may be one.
    fn sure(self, may_be_yes: bool) -> Self {
        if self == Self::Yes && !may_be_yes { Self::Unknown } else { self }
    }
}

/// A trip that lies above the temperature at which the paper bubbles, or may.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BubblesFirst {
    /// Name of the relay.
    pub relay: String,
    /// Hot spot at which it trips or is let trip, °C.
    pub setting_c: f64,
    /// How far below the hot spot it may read, K.
    pub may_read_low_k: f64,
    /// Hot spot at which the paper may bubble, °C; `null`: not known.
    pub bubbles_at_c: Option<f64>,
    /// The same in words.
    pub words: String,
}

/// The conditions and the loads.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Asked {
    /// Load before, pu.
    pub preload_pu: f64,
    /// Ambient at the start, °C.
    pub ambient_c: f64,
    /// Load after a permitted one, pu.
    pub drop_back_pu: f64,
    /// The permitted loads.
    pub permitted: Vec<Permitted>,
    /// The least and the greatest load that was carried on to see whether protection acts, pu.
    pub tried_pu: Option<(f64, f64)>,
}

/// When the paper bubbles.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Paper {
    /// Inception temperature with the moisture that counts, °C.
    pub inception_c: Option<f64>,
    /// Whether it is only a floor, for paper drier than the correlations cover.
    pub inception_is_floor: bool,
    /// Where there is none: it lies below this, °C.
    pub inception_below_c: Option<f64>,
    /// The most that the draws take off it for any permitted load, K; `null`: not known.
    pub allowance_k: Option<f64>,
    /// Hot spot that counts as bubbling here, °C: one of these inception temperatures less what the draws
    /// take off.
    pub at_c: Option<f64>,
    /// Whether it is known well enough for a yes.
    pub known: bool,
    /// Margin that an overload is held to, K.
    pub required_margin_k: f64,
}

/// All relays together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Together {
    /// Whether every one of them lets every permitted load through.
    pub lets_through: Answer,
    /// Whether one of them acts before the paper bubbles, whatever the load.
    pub acts_before: ActsBefore,
}

/// The answers about one relay.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RelayAnswer {
    /// Its name.
    pub relay: String,
    /// What it is.
    pub function: &'static str,
    /// Its trip setting; `null`: it only gives an alarm.
    pub setting: Option<Setting>,
    /// Whether it lets the permitted loads through.
    pub lets_through: LetsThrough,
    /// Whether it acts before the paper bubbles.
    pub acts_before: ActsBefore,
    /// Settings that satisfy both.
    pub window: Window,
    /// Keys of it that were taken and not stated.
    pub assumed: Vec<&'static str>,
}

/// A setting.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Setting {
    /// Key in the profile.
    pub key: &'static str,
    /// Its value.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
}

/// Whether a relay lets the permitted loads through.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LetsThrough {
    /// The answer; no permitted load is not known.
    pub answer: Answer,
    /// The least of trip time less duration, min; `null` where it never trips, or for continuous loads alone.
    pub margin_min: Option<f64>,
    /// The least margin in kelvin ([`Through::margin_k`]).
    pub margin_k: Option<f64>,
    /// Whether it trips under none of the loads, however long they go on.
    pub never_trips: bool,
    /// Each permitted load.
    pub loads: Vec<Through>,
}

/// A relay under one permitted load.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Through {
    /// The load, pu.
    pub load_pu: f64,
    /// For how long, min; `null`: continuous.
    pub duration_min: Option<f64>,
    /// Whether it is let through.
    pub answer: Answer,
    /// When the alarm comes, min; `null`: never.
    pub alarm_min: Option<f64>,
    /// When it trips if the load goes on, min; `null`: never.
    pub trip_min: Option<f64>,
    /// Trip time less duration, min.
    pub margin_min: Option<f64>,
    /// Indicators: trip setting less the highest reading, K. Relays that see the current: hot spot at the moment
    /// of trip, if the load goes on, less the hottest of the permitted course, K; `null` where it never trips.
    pub margin_k: Option<f64>,
}

/// Whether a relay, or one of several, acts before the paper bubbles.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ActsBefore {
    /// The answer.
    pub answer: Answer,
    /// Least of bubbling time less trip time, min, of the loads at which both come.
    pub margin_min: Option<f64>,
    /// Least of the hot spot at which the paper bubbles less the hottest up to the trip, K; without a trip,
    /// less the hottest of all.
    pub margin_k: Option<f64>,
    /// The load and form with the least margin in kelvin; `null` where no load bubbles.
    pub worst: Option<AtLoad>,
    /// The least and the greatest load tried at which the paper bubbles and no trip ever comes, pu.
    pub no_trip_pu: Option<(f64, f64)>,
}

/// One load carried on in one thermal form.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtLoad {
    /// The load, pu.
    pub load_pu: f64,
    /// The thermal form.
    pub form: &'static str,
    /// When the paper bubbles, min; `null`: never.
    pub bubbles_min: Option<f64>,
    /// When the trip comes, min; `null`: never.
    pub trip_min: Option<f64>,
    /// The first less the second, min.
    pub margin_min: Option<f64>,
    /// Hot spot at which the paper bubbles less the hottest up to the trip, K.
    pub margin_k: f64,
}

/// Settings of a relay that satisfy both questions.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Window {
    /// Whether there are any.
    pub answer: Answer,
    /// Key in the profile.
    pub key: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// A setting must lie above this to let every permitted load through; `null`: any does.
    pub above: Option<f64>,
    /// A setting must lie below this to act before bubbling; `null`: any does, or none ([`Self::answer`]).
    pub below: Option<f64>,
    /// The load that sets [`Self::below`], pu; `null` where no load bubbles.
    pub tightest_pu: Option<f64>,
    /// Why there are none, or why that is not known; empty where there are.
    pub why: &'static str,
}

/// What protection does about the permitted loads, from the preload and in the ambient of a case.
///
/// The case's own load does not matter, but for what follows it. Relays begin settled at the load before it.
pub fn protection(case: &Case, permitted: &[Permitted]) -> Protection {
    let basis = Basis::of(case);
    let world = World::of(case, &basis, permitted);
    let relays = &case.unit.relays;
    let each = in_chunks(relays.len(), 1, |at| vec![answers::both(&world, &relays[at.start])]);
    let answers: Vec<answers::Both> = each.into_iter().flatten().collect();
    let mut found = Protection {
        first: world.first(),
        asked: world.asked(),
        paper: world.paper,
        together: answers::together(&world, &answers),
        relays: answers.into_iter().map(|both| both.answer).collect(),
        fans: fans::answers(case),
        loadability: loadability::answers(&world),
        findings: Vec::new(),
    };
    found.findings = findings::of(&found);
    found
}
