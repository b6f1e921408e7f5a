//! What an answer was computed with: formulas, and every source that it names.

use crate::assessment::Assessment;
use crate::assessment::case::Case;
use crate::unit::sources::{Source, embedded};
use std::collections::BTreeSet;

/// A formula that an answer used.
#[derive(Debug)]
pub(super) struct Formula {
    /// What it gives.
    pub(super) gives: &'static str,
    /// The formula, in the symbols of its source.
    pub(super) written: &'static str,
    /// Id of the source.
    pub(super) source: &'static str,
}

/// A source as a reader finds it.
#[derive(Debug)]
pub(super) struct SourceView {
    /// Id.
    pub(super) id: String,
    /// Authors, title, year, edition.
    pub(super) words: String,
    /// How it was had.
    pub(super) how: &'static str,
}

/// The formulas behind temperatures, inception, pressure, ageing and draws. Each stands in the documentation of
/// the function that computes it with its range and how it was checked.
const FORMULAS: [Formula; 8] = [
    Formula {
        gives: "top oil and hot spot, first model",
        written: "k11·τo · dθo/dt = [(1 + K²R)/(1 + R)]^x · Δθor − (θo − θa);  θh = θo + Δθh1 − Δθh2, of which each lags \
                  behind k21·Δθhr·K^y and (k21 − 1)·Δθhr·K^y",
        source: "iec-60076-7-2005",
    },
    Formula {
        gives: "top oil and hot spot, second model",
        written: "ΔΘTO,U = ΔΘTO,R·[(K²R + 1)/(R + 1)]^n;  ΔΘH,U = ΔΘH,R·K^(2m);  ΔΘ(t) = (ΔΘU − ΔΘi)·(1 − e^(−t/τ)) + ΔΘi",
        source: "ieee-c57-91-2011",
    },
    Formula {
        gives: "top oil and hot spot, third model",
        written: "Cw·dΘ/dt = K²·(P·k + PE/k) − P'·(ΔΘ/ΔΘ')^1.25·(μ'/μ)^¼ for winding and hot spot, against the oil in the duct; \
                  Co·dΘo/dt = what they lose, core and stray losses − PT·(ΔΘo/ΔΘo')^(1/y); the hottest of the three counts",
        source: "ieee-c57-91-2011",
    },
    Formula {
        gives: "bubble inception",
        written: "θ = 6996.7/(22.454 + 1.4495·ln W − ln P) − e^(0.473·W)·Vg^1.585/30 − 273",
        source: "oommen-lindgren-2001",
    },
    Formula {
        gives: "bubble inception, vapour alone",
        written: "θ = 4725.6/ln[(W/100)/(2.173e-7·P^0.6685)] − 273.15; the lower of both counts",
        source: "fessler-1989",
    },
    Formula {
        gives: "paper life with water",
        written: "1/DP − 1/DP0 = A·e^(−E/(R·T))·t, with A by the water in the paper",
        source: "emsley-stevens-1994",
    },
    Formula {
        gives: "points drawn",
        written: "scrambled Sobol points, every uncertain input at once, each through the whole chain",
        source: "sobol-1967",
    },
    Formula {
        gives: "their quantiles",
        written: "order statistics, each hot spot held against each bubbling temperature; the 5 % point of the margin, less what \
                  its sampling error may be, is the one that decides",
        source: "hyndman-fan-1996",
    },
];

/// The formulas that this answer used.
pub(super) fn formulas(assessment: &Assessment) -> Vec<&'static Formula> {
    let used = |formula: &&Formula| match formula.source {
        "sobol-1967" | "hyndman-fan-1996" => assessment.spread.is_some(),
        "emsley-stevens-1994" => assessment.ageing.is_some(),
        "oommen-lindgren-2001" | "fessler-1989" => assessment.bubbling.inception_c.is_some(),
        _ => assessment.peak.is_some(),
    };
    FORMULAS.iter().filter(used).collect()
}

/// Every source that the answer names, in the order of the bibliography.
pub(super) fn sources(case: &Case, assessment: &Assessment) -> Vec<SourceView> {
    let mut named: BTreeSet<&str> =
        assessment.limits.iter().map(|line| line.source.as_str()).collect();
    named.extend(assessment.findings.iter().map(|finding| finding.source.as_str()));
    named.extend(formulas(assessment).iter().map(|formula| formula.source));
    named.insert(&case.limits.source);
    embedded().into_iter().filter(|source| named.contains(source.id.as_str())).map(view).collect()
}

fn view(source: Source) -> SourceView {
    let parts = [&source.authors, &source.title, &source.edition, &source.year];
    let words: Vec<&str> =
        parts.into_iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    SourceView { words: words.join(". "), how: source.how.in_words(), id: source.id }
}
