//! Standing orders: what a unit may carry until it is dried, on one page.
//!
//! Every ceiling is a rating that `check` passes; nothing here looks at a clock.

mod cautions;
mod ceilings;
pub mod compare;
mod dates;

pub use ceilings::{Ceiling, NotAbove};
pub use dates::{SampleAgain, Until};

use crate::assessment::case::Case;
use crate::assessment::measure_next::NextMeasurement;
use crate::assessment::{Assessment, Tool, assess};
use crate::rating::answer::rated;
use crate::rating::inputs::InputPart;
use crate::rating::protection::BubblesFirst;
use crate::rating::question::{Ambient, Question};
use crate::rating::{Limiting, Paper, RatedUnit, SetUsed};
use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;
use chrono::NaiveDate;
use compare::OrdersComparison;
use serde::{Deserialize, Serialize};

/// Durations of the ceilings, min; `None` is continuous.
pub const DURATIONS_MIN: [Option<f64>; 5] =
    [Some(15.0), Some(60.0), Some(240.0), Some(1440.0), None];

/// Ambients of the ceilings, °C.
pub const AMBIENTS_C: [f64; 5] = [0.0, 10.0, 20.0, 30.0, 40.0];

/// What makes the page an order.
pub const AUTHORITY: &str = "Not valid until signed by the person responsible under local rules.";

/// A load that is small enough for whatever forbids it to forbid every load, pu.
const SMALL_PU: f64 = 0.05;

/// What a unit may carry until it is dried.
///
/// Figures are unrounded; a `null` means "none" or "not known".
#[derive(Debug, Clone, Serialize)]
pub struct StandingOrders {
    /// What computed them.
    pub tool: Tool,
    /// SHA-256 of every input file and option.
    pub inputs_sha256: String,
    /// The day that they are for and by which the age of the evidence is judged, YYYY-MM-DD.
    pub date: String,
    /// The unit.
    pub unit: RatedUnit,
    /// What they come to.
    pub standing: Standing,
    /// How wet the paper is and when it bubbles.
    pub paper: Paper,
    /// Load before an overload, pu: the ceilings hold for up to it.
    pub preload_pu: f64,
    /// The limit set; `null` where none was asked for.
    pub limits: Option<SetUsed>,
    /// The local rules.
    pub local_rules: Option<String>,
    /// Cooling stage counted on, or `automatic`.
    pub cooling: Option<String>,
    /// Margin that is required of the 5 % point, K.
    pub required_margin_k: f64,
    /// Draws of the uncertainties; 0 is none.
    pub draws: u32,
    /// The ceilings, by ambient and duration, the coldest and the shortest first; empty where none can be stated.
    pub ceilings: Vec<Ceiling>,
    /// What the hot spot may not exceed.
    pub hot_spot: Option<NotAbove>,
    /// What the top oil may not exceed whichever ceiling is in use: the lowest [`Ceiling::top_oil_c`]; `null` where the
    /// thermometer does not guard every ceiling.
    pub top_oil: Option<NotAbove>,
    /// Trips that lie above the temperature at which the paper bubbles.
    pub relays: Vec<BubblesFirst>,
    /// What to mind, in the words of the findings; the gravest over all ceilings of each.
    pub cautions: Vec<Finding>,
    /// What forbids every load, or is missing; empty where there are ceilings.
    pub reasons: Vec<Finding>,
    /// The measurement that would narrow the answer most.
    pub measure_next: Option<NextMeasurement>,
    /// When to sample again.
    pub sample_again: SampleAgain,
    /// The last day on which they hold; `null` without ceilings.
    pub valid_until: Option<Until>,
    /// What makes them an order: [`AUTHORITY`].
    pub authority: &'static str,
    /// What they were computed from, so that later orders can be held against them; empty until somebody states it.
    pub inputs: Vec<InputPart>,
    /// What changed since earlier orders, where they are compared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub changes: Option<OrdersComparison>,
}

/// What standing orders come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Bubbling governs at least one ceiling.
    Restricted,
    /// Bubbling governs none: the ordinary limits do.
    Ordinary,
    /// No load passes.
    Forbidden,
    /// Something is missing, so that no ceiling can be stated.
    Undecided,
}

/// The question of standing orders about a case: its load, start and ambient do not matter.
pub fn standing_question(template: Case, preload_pu: f64) -> Question {
    Question {
        durations_min: DURATIONS_MIN.to_vec(),
        ambients: AMBIENTS_C.into_iter().map(Ambient::constant).collect(),
        preloads_pu: vec![preload_pu],
        sets: vec![template.limits.clone()],
        template,
    }
}

/// The standing orders of a unit on a day; of several preloads the greatest, of several limit sets the first.
///
/// `again_months` is when to sample again, if somebody decides it; see [`SampleAgain`].
pub fn orders(question: &Question, today: NaiveDate, again_months: Option<u32>) -> StandingOrders {
    let question = narrowed(question, today);
    let ratings = rated(&question, &today.to_string());
    let (ceilings, assessed) = ceilings::ceilings(&question, &ratings.cells);
    let least = least(&question);
    let standing = standing(&ceilings, least.verdict);
    let stated = matches!(standing, Standing::Restricted | Standing::Ordinary);
    let ceilings = if stated { ceilings } else { Vec::new() };
    let reasons = least.findings.iter().filter(|finding| finding.severity >= Severity::Unknown);
    let sample_again =
        dates::sample_again(today, ratings.paper.counting_moisture_percent, again_months);
    let relays = ratings.bubbles_first().into_iter().cloned().collect();
    StandingOrders {
        tool: ratings.tool,
        inputs_sha256: ratings.inputs_sha256,
        date: ratings.date,
        unit: ratings.unit,
        standing,
        preload_pu: question.preloads_pu.first().copied().unwrap_or(0.0),
        limits: ratings.asked.limits.into_iter().next(),
        local_rules: ratings.asked.local_rules,
        cooling: ratings.asked.cooling,
        required_margin_k: ratings.asked.required_margin_k,
        draws: ratings.asked.draws,
        hot_spot: NotAbove::lowest(&assessed, &["bubbling", "hot-spot"]),
        top_oil: NotAbove::lowest_stop(&ceilings),
        relays,
        cautions: cautions::of(&assessed),
        reasons: if stated { Vec::new() } else { reasons.cloned().collect() },
        measure_next: least.moisture.measure_next.first().cloned(),
        valid_until: stated.then(|| dates::valid_until(&question.template, &least, &sample_again)),
        sample_again,
        paper: ratings.paper,
        ceilings,
        authority: AUTHORITY,
        inputs: Vec::new(),
        changes: None,
    }
}

fn narrowed(question: &Question, today: NaiveDate) -> Question {
    let mut narrowed = question.clone();
    narrowed.template.as_of = Some(today);
    let greatest = narrowed.preloads_pu.iter().copied().reduce(f64::max);
    narrowed.preloads_pu = greatest.into_iter().collect();
    narrowed.sets.truncate(1);
    narrowed
}

/// The assessment of a load so small that whatever forbids it forbids every load.
fn least(question: &Question) -> Assessment {
    let mut case = question.any_case();
    let loading = &mut case.request.loading;
    loading.load = loading.load.scaled_before(loading.end_min, SMALL_PU);
    assess(&case)
}

/// Where nothing passes although a small load does, no ceiling can be stated either.
fn standing(ceilings: &[Ceiling], least: Verdict) -> Standing {
    let any = ceilings.iter().any(|ceiling| ceiling.load_pu.is_some());
    let bubbling = ceilings.iter().any(|ceiling| ceiling.governs.what == Limiting::Bubbling);
    match (any, least) {
        (true, _) if bubbling => Standing::Restricted,
        (true, _) => Standing::Ordinary,
        (false, Verdict::NoGo) => Standing::Forbidden,
        (false, Verdict::Go | Verdict::GoWithCautions | Verdict::CannotDecide) => {
            Standing::Undecided
        }
    }
}
