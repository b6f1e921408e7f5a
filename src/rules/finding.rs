//! What a rule found.

use super::catalogue::Code;
use serde::Serialize;

/// How much a finding weighs, lightest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// To know; weighs nothing.
    Notice,
    /// A limit that was kept.
    Pass,
    /// To mind during the overload.
    Caution,
    /// A safety question that could not be answered.
    Unknown,
    /// A reason not to do it.
    Stop,
}

/// A measured or limiting value with its unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Amount {
    /// The number, always finite.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
}

impl Amount {
    /// An amount, unless the number is not finite.
    pub fn new(value: f64, unit: &'static str) -> Option<Self> {
        value.is_finite().then_some(Self { value, unit })
    }
}

/// One thing a rule found: computed, coded, with its source.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Stable kebab-case code; see `explain`.
    pub code: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// What was found.
    pub measured: Option<Amount>,
    /// What it is held against.
    pub limit: Option<Amount>,
    /// Id of the source in profiles/sources.yaml.
    pub source: String,
    /// The finding in words.
    pub text: String,
    /// What would change it.
    pub what_would_change_it: String,
}

impl Finding {
    /// A finding with the source and remedy of its code.
    pub fn new(code: Code, severity: Severity, text: impl Into<String>) -> Self {
        let explanation = code.explanation();
        Self {
            code: explanation.code,
            severity,
            measured: None,
            limit: None,
            source: explanation.source.to_owned(),
            text: text.into(),
            what_would_change_it: explanation.remedy.to_owned(),
        }
    }

    /// The same with what was found.
    #[must_use]
    pub fn measured(mut self, value: f64, unit: &'static str) -> Self {
        self.measured = Amount::new(value, unit);
        self
    }

    /// The same with what it is held against.
    #[must_use]
    pub fn limit(mut self, value: f64, unit: &'static str) -> Self {
        self.limit = Amount::new(value, unit);
        self
    }

    /// The same with another source.
    #[must_use]
    pub fn source(mut self, source: &str) -> Self {
        source.clone_into(&mut self.source);
        self
    }
}
