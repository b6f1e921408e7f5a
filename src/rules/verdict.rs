//! The verdict: a fold over findings, and nothing else.

use super::finding::{Finding, Severity};
use serde::{Deserialize, Serialize};

/// May the overload go ahead?
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Within the entered limits.
    Go,
    /// Within the entered limits, with cautions to mind.
    GoWithCautions,
    /// A safety question could not be answered.
    CannotDecide,
    /// Outside a limit.
    NoGo,
}

impl Verdict {
    /// Folds findings: any stop is a no-go; else any unknown, cannot decide; else any caution,
    /// go with cautions. No findings at all is no evidence, and so cannot decide.
    pub fn of(findings: &[Finding]) -> Self {
        match findings.iter().map(|finding| finding.severity).max() {
            Some(Severity::Stop) => Self::NoGo,
            Some(Severity::Unknown) | None => Self::CannotDecide,
            Some(Severity::Caution) => Self::GoWithCautions,
            Some(Severity::Pass | Severity::Notice) => Self::Go,
        }
    }

    /// Whether the overload may go ahead, with cautions or without.
    pub fn permits(self) -> bool {
        matches!(self, Self::Go | Self::GoWithCautions)
    }

    /// The verdict as people read it.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Go => "GO",
            Self::GoWithCautions => "GO WITH CAUTIONS",
            Self::CannotDecide => "CANNOT DECIDE",
            Self::NoGo => "NO-GO",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::catalogue::Code;

    fn finding(severity: Severity) -> Finding {
        Finding::new(Code::BubblingMargin, severity, "test")
    }

    #[test]
    fn the_gravest_finding_decides() {
        let all = [Severity::Pass, Severity::Caution, Severity::Unknown, Severity::Stop];
        let verdicts = [Verdict::Go, Verdict::GoWithCautions, Verdict::CannotDecide, Verdict::NoGo];
        for (upto, verdict) in verdicts.iter().enumerate() {
            let findings: Vec<Finding> = all[..=upto].iter().copied().map(finding).collect();
            assert_eq!(Verdict::of(&findings), *verdict);
        }
    }

    #[test]
    fn no_findings_is_not_a_go() {
        assert_eq!(Verdict::of(&[]), Verdict::CannotDecide);
    }
}
