//! The answer of `moisture`: how wet the paper is, without any load.

use super::Tool;
use super::evidence_lines::wetness;
use super::paper_life::{PaperLife, paper_life};
use super::wet_paper::WetPaper;
use super::wetness::Wetness;
use crate::rules::bubbling::without_a_load;
use crate::rules::finding::{Finding, Severity};
use crate::rules::local_file::LocalRules;
use crate::rules::moisture::evidence;
use crate::unit::Unit;
use chrono::NaiveDate;
use serde::Serialize;

/// What is asked of the evidence.
#[derive(Debug, Clone)]
pub struct MoistureQuestion {
    /// The transformer.
    pub unit: Unit,
    /// The local operating rules, if any.
    pub local: Option<LocalRules>,
    /// The day for which it is asked.
    pub as_of: Option<NaiveDate>,
    /// Hot spot that margins are taken to, °C.
    pub hot_spot_c: f64,
    /// Water to which it might be dried, %.
    pub dried_to_percent: f64,
    /// SHA-256 of every input, in hexadecimal.
    pub inputs_sha256: String,
}

/// How wet the paper is.
///
/// The JSON of `moisture` is this structure. A `null` means "not computable" or "none", never
/// zero; NaN and infinity never appear.
#[derive(Debug, Clone, Serialize)]
pub struct MoistureAnswer {
    /// What computed it.
    pub tool: Tool,
    /// Name of the unit.
    pub unit: String,
    /// Where it stands.
    pub site: Option<String>,
    /// The day for which it is asked.
    pub as_of: Option<String>,
    /// The local rules.
    pub local_rules: Option<String>,
    /// SHA-256 of every input file and option.
    pub inputs_sha256: String,
    /// Whether the evidence says how wet the paper is.
    pub decided: bool,
    /// The evidence and what it amounts to.
    pub moisture: Wetness,
    /// The life of the paper.
    pub life: PaperLife,
    /// What the rules found, gravest first.
    pub findings: Vec<Finding>,
}

impl MoistureAnswer {
    /// Whether how wet the paper is, or at what temperature it bubbles, has no answer.
    pub fn unanswered(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity >= Severity::Unknown)
    }
}

/// Answers how wet the paper is.
pub fn answer(question: &MoistureQuestion) -> MoistureAnswer {
    let unit = &question.unit;
    let local = question.local.as_ref();
    let paper = WetPaper::of(unit, local.map(|local| &local.moisture), question.as_of);
    let mut findings = evidence(unit, &paper.facts);
    let undecided = |finding: &Finding| finding.severity >= Severity::Unknown;
    let decided = paper.facts.counting.is_some() && !findings.iter().any(undecided);
    let counts = paper.facts.counting.map(|counting| counting.upper);
    findings.extend(without_a_load(paper.gas.as_ref(), paper.pressure, &paper.reading(counts)));
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let counting = paper.facts.counting;
    let mut waters = Vec::new();
    if let Some(counting) = counting {
        waters.push(("counts", counting.upper.value()));
        waters.push(("best-estimate", counting.best.value()));
    }
    waters.push(("dried", question.dried_to_percent));
    MoistureAnswer {
        tool: Tool::this(),
        unit: unit.name.clone(),
        site: unit.site.clone(),
        as_of: question.as_of.map(|day| day.to_string()),
        local_rules: local.map(|local| local.name.clone()),
        inputs_sha256: question.inputs_sha256.clone(),
        decided,
        moisture: wetness(unit, &paper, Some(question.hot_spot_c)),
        life: paper_life(unit, question.as_of, &waters),
        findings,
    }
}
