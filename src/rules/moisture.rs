//! Which witness counts, which could not, which contradict each other, and what governs.

use super::catalogue::Code;
use super::facts::{Facts, LocalMoistureEffect, MoistureFacts};
use super::finding::{Finding, Severity};
use crate::moisture::contradiction::Contradiction;
use crate::moisture::conversion::MOST_SATURATION;
use crate::moisture::evidence::{Location, Method, Witness};
use crate::moisture::reconcile::{Counting, CountsBy};
use crate::moisture::usual::NEAR_SATURATION;
use crate::moisture::validity::{Judged, Reason, Standing, Why};
use crate::unit::Unit;

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let mut found = evidence(facts.unit, facts.moisture);
    found.extend(hot_spot_credit(facts));
    found.extend(hot_spot_drying(facts));
    found
}

/// The credit for hot paper being drier, or why there is none.
fn hot_spot_credit(facts: &Facts<'_>) -> Option<Finding> {
    let hot_spot = &facts.hot_spot;
    if let Some(why) = hot_spot.refused {
        let text = format!("The paper at the hot spot counts as wet as the bulk: {why}.");
        return Some(Finding::new(Code::MoistureCreditRefused, Severity::Notice, text));
    }
    let credit_k = hot_spot.credit_k?;
    let text =
        "The paper at the hot spot is taken to be drier than the bulk: a credit of this size.";
    let finding = Finding::new(Code::MoistureHotSpotCredit, Severity::Caution, text);
    Some(finding.measured(credit_k, "K"))
}

/// Drying during the overload, which informs.
fn hot_spot_drying(facts: &Facts<'_>) -> Option<Finding> {
    let drying = facts.hot_spot.drying?;
    let text = if drying.counts {
        "A local rule lets the drying of the hot spot count; this is the smallest margin with it."
    } else {
        "With the drying of the hot spot during the overload the smallest margin would be this; it sets no verdict."
    };
    let finding = Finding::new(Code::MoistureHotSpotDrying, Severity::Notice, text);
    Some(match drying.margin_k {
        Some(margin_k) => finding.measured(margin_k, "K"),
        None => finding,
    })
}

/// The findings that need no load.
pub fn evidence(unit: &Unit, moisture: &MoistureFacts) -> Vec<Finding> {
    let mut found = vec![counting(unit, moisture)];
    let judged = || unit.witnesses.iter().zip(&moisture.judged);
    found.extend(judged().map(|(witness, own)| judgement(witness, own, moisture)));
    found.extend(judged().filter_map(|(witness, own)| unanswered(witness, own)));
    found.extend(moisture.contradictions.iter().map(|pair| contradiction(unit, pair)));
    found.extend(local(moisture));
    found.extend(weak(unit, moisture));
    found.extend(own_solubility(unit));
    found.extend(moisture.drying_to_come.then(|| {
        let text = "The last drying stated is still to come and is left out.";
        Finding::new(Code::DryingToCome, Severity::Caution, text)
    }));
    found
}

fn counting(unit: &Unit, moisture: &MoistureFacts) -> Finding {
    let Some(counting) = &moisture.counting else {
        let text = if poor(moisture) {
            "No measurement fulfils what its method asks for, so nothing says how wet the paper is."
        } else {
            "No usable evidence says how wet the paper is."
        };
        return Finding::new(Code::MoistureMissing, Severity::Unknown, text);
    };
    let text = counts_in_words(unit, counting);
    Finding::new(Code::MoistureCounting, Severity::Notice, text)
        .measured(counting.upper.value(), "%")
}

/// Whether there are measurements, all of them outside what their methods ask for.
fn poor(moisture: &MoistureFacts) -> bool {
    moisture.judged.iter().any(|own| own.standing == Standing::WetSideOnly && own.figure.is_some())
}

/// What counts and which witness governs it.
fn counts_in_words(unit: &Unit, counting: &Counting) -> String {
    let witness = unit.witnesses.get(counting.witness).map_or_else(String::new, Witness::in_words);
    match counting.by {
        CountsBy::OnlyWitness => {
            format!("The assessed moisture is the upper 95 % bound of the {witness}.")
        }
        CountsBy::UpperBoundOfMean => format!(
            "The assessed moisture is the upper 95 % bound of all measurements together; the {witness} is the wettest."
        ),
        CountsBy::WettestValue => format!(
            "The assessed moisture is the value of the {witness}, the wettest; the others lie below it."
        ),
        CountsBy::WettestUpperBound => format!(
            "The assessed moisture is the upper 95 % bound of the {witness} as if it were the only one: drier measurements contradict it."
        ),
        CountsBy::PartlyContradicted => format!(
            "The assessed moisture lies near the upper 95 % bound of the {witness}: drier measurements contradict it in part."
        ),
        CountsBy::LocalRule => {
            format!(
                "The assessed moisture is set by the local rules; the {witness} is the wettest."
            )
        }
    }
}

/// How a witness was judged, with the gravest reason.
fn judgement(witness: &Witness, own: &Judged, moisture: &MoistureFacts) -> Finding {
    let words = witness.in_words();
    if let Some(decision) = &witness.set_aside {
        let text =
            format!("The {words} does not count: {} decided so ({}).", decision.by, decision.why);
        return Finding::new(Code::MoistureSetAside, Severity::Caution, text);
    }
    let reasons: Vec<&str> = own.reasons.iter().map(|reason| reason.why.in_words()).collect();
    let because = reasons.join("; ");
    match own.standing {
        Standing::Counts => credible(witness, own),
        Standing::WetSideOnly => {
            let text = if own.share > 0.0 {
                format!(
                    "The {words} counts where it reads wetter, and less where it reads drier: {because}."
                )
            } else {
                format!("The {words} counts only where it reads wetter than the others: {because}.")
            };
            // One that governs was measured under poor conditions, and a better one would settle it.
            let governs = |counting: &Counting| moisture.judged.get(counting.witness) == Some(own);
            let governs = moisture.counting.as_ref().is_some_and(governs);
            let severity = if governs { Severity::Caution } else { Severity::Notice };
            let text = if governs { format!("{text} It governs: measure again.") } else { text };
            with_reason(Finding::new(Code::MoistureWetSide, severity, text), own)
        }
        Standing::DoesNotCount => {
            let (severity, wetter) = if reads_wetter(own, moisture) {
                (Severity::Caution, " It may be wetter than what counts: measure again.")
            } else {
                (Severity::Notice, "")
            };
            let text = format!("The {words} does not count: {because}.{wetter}");
            with_reason(Finding::new(Code::MoistureRefused, severity, text), own)
        }
    }
}

fn credible(witness: &Witness, own: &Judged) -> Finding {
    let words = witness.in_words();
    if witness.method == Some(Method::Assumed) {
        let text = "The moisture is assumed from age or habit and not measured.";
        let finding = Finding::new(Code::MoistureAssumed, Severity::Caution, text);
        return match own.figure {
            Some(figure) => finding.measured(figure.percent.value(), "%"),
            None => finding,
        };
    }
    let text = format!("The {words} counts.");
    let finding = Finding::new(Code::MoistureCredible, Severity::Pass, text);
    match own.figure {
        Some(figure) => finding.measured(figure.percent.value(), "%"),
        None => finding,
    }
}

/// Whether a witness that does not count reads wetter than what counts, or might: oil near
/// saturation, of unknown temperature, or of a liquid whose solubility is not known.
fn reads_wetter(own: &Judged, moisture: &MoistureFacts) -> bool {
    let unreadable = [Why::OilTemperatureUnknown, Why::SolubilityUnknown];
    let unknown = own.reasons.iter().any(|reason| unreadable.contains(&reason.why));
    let near_saturation = own.saturation.is_some_and(|saturation| saturation > MOST_SATURATION);
    let wetter = match (own.figure, &moisture.counting) {
        (Some(figure), Some(counting)) => figure.percent > counting.upper,
        _ => false,
    };
    wetter || near_saturation || unknown
}

fn with_reason(finding: Finding, own: &Judged) -> Finding {
    let first = own.reasons.iter().find(|reason| reason.found.is_some());
    let Some(Reason { found: Some(found), asked, .. }) = first else {
        return finding;
    };
    let finding = finding.measured(found.0, found.1);
    match asked {
        Some(asked) => finding.limit(asked.0, asked.1),
        None => finding,
    }
}

/// A witness that might be the wettest of all and cannot be read leaves the question open.
fn unanswered(witness: &Witness, own: &Judged) -> Option<Finding> {
    if witness.set_aside.is_some() {
        return None;
    }
    let why = |wanted: Why| own.reasons.iter().any(|reason| reason.why == wanted);
    let words = witness.in_words();
    if why(Why::UncertaintyMissing) && !why(Why::BeforeDrying) {
        let text = format!(
            "The {words} has no standard uncertainty and no method, so the moisture that counts is unknown."
        );
        return Some(Finding::new(Code::MoistureUncertaintyMissing, Severity::Unknown, text));
    }
    if why(Why::BeforeDrying) {
        return None;
    }
    let saturation = own.saturation?;
    (saturation >= NEAR_SATURATION).then(|| {
        let text = format!(
            "The oil of the {words} was near saturation: the paper may be wetter than all the rest says, and there may be free water."
        );
        Finding::new(Code::MoistureBeyondIsotherm, Severity::Unknown, text)
            .measured(saturation * 100.0, "% of saturation")
            .limit(NEAR_SATURATION * 100.0, "% of saturation")
    })
}

fn contradiction(unit: &Unit, pair: &Contradiction) -> Finding {
    let same = |index: usize| unit.witnesses.get(index).map(Witness::method_in_words);
    let name = |index: usize| match unit.witnesses.get(index) {
        Some(witness) if same(pair.drier) == same(pair.wetter) => witness.in_words(),
        Some(witness) => witness.method_in_words().to_owned(),
        None => String::new(),
    };
    let text = format!(
        "The {} and the {} contradict each other; the wetter side counts.",
        name(pair.drier),
        name(pair.wetter)
    );
    Finding::new(Code::MoistureContradiction, Severity::Caution, text)
        .measured(pair.deviations, "standard deviations")
}

fn local(moisture: &MoistureFacts) -> Option<Finding> {
    let finding = match moisture.local.as_ref()? {
        LocalMoistureEffect::Raised => Finding::new(
            Code::MoistureLocalRaised,
            Severity::Notice,
            "The local rules count more moisture than the evidence.",
        ),
        LocalMoistureEffect::Lowered(decided) => {
            let text = format!(
                "The local rules count less moisture than the evidence: {} decided so ({}).",
                decided.by, decided.why
            );
            Finding::new(Code::MoistureLocalLowered, Severity::Caution, text)
        }
        LocalMoistureEffect::Refused => Finding::new(
            Code::MoistureLocalRefused,
            Severity::Caution,
            "The local rules would count less moisture than the evidence and name nobody who decided; the evidence counts.",
        ),
        LocalMoistureEffect::Unused => Finding::new(
            Code::MoistureLocalUnused,
            Severity::Notice,
            "The local rules state a moisture; without evidence it stands for nothing.",
        ),
    };
    Some(match moisture.counting.zip(moisture.evidence) {
        Some((counting, evidence)) => {
            finding.measured(counting.upper.value(), "%").limit(evidence.upper.value(), "%")
        }
        None => finding,
    })
}

/// Moisture known from the oil alone, or from a dry spot alone.
fn weak(unit: &Unit, moisture: &MoistureFacts) -> Option<Finding> {
    let counts = |own: &Judged| own.standing == Standing::Counts;
    let counting: Vec<&Witness> = unit
        .witnesses
        .iter()
        .zip(&moisture.judged)
        .filter_map(|(witness, own)| counts(own).then_some(witness))
        .collect();
    let all = |of: fn(&Witness) -> bool| !counting.is_empty() && counting.iter().all(|w| of(w));
    if all(|witness| witness.method.is_some_and(Method::sees_oil)) {
        let text = "The moisture of the paper is known from the oil only, a weak witness.";
        return Some(Finding::new(Code::MoistureOilOnly, Severity::Caution, text));
    }
    all(|witness| witness.location == Some(Location::TopOfWinding)).then(|| {
        let text = "The moisture is known from the hot end of a winding only, which is drier than the bulk.";
        Finding::new(Code::MoistureSpotOnly, Severity::Caution, text)
    })
}

fn own_solubility(unit: &Unit) -> Option<Finding> {
    let by = unit.solubility.measured_by.as_ref()?;
    let text = format!("The solubility of water in the oil is the unit's own, measured by {by}.");
    // The more the oil dissolves, the drier every sample reads.
    let severity = if unit.solubility.above_new { Severity::Caution } else { Severity::Notice };
    Some(Finding::new(Code::MoistureOwnSolubility, severity, text))
}
