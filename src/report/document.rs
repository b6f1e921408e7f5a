//! A report made of titled parts: rows, tables, pictures, text. For the screen and for A4, in one file, no script.

use crate::rules::finding::{Finding, Severity};
use crate::rules::verdict::Verdict;
use askama::Template;

/// A report.
#[derive(Template)]
#[template(path = "document.html")]
pub(super) struct Document {
    pub(super) title: String,
    /// The name of the verdict's shape, where there is one verdict.
    pub(super) kind: Option<&'static str>,
    /// What one reads first.
    pub(super) first: String,
    pub(super) under: Vec<String>,
    pub(super) sections: Vec<Section>,
    pub(super) signatures: [&'static str; 3],
    pub(super) notice: String,
    pub(super) identity: String,
}

/// A titled part.
pub(super) struct Section {
    pub(super) title: String,
    pub(super) parts: Vec<Part>,
}

/// What a section is made of.
pub(super) enum Part {
    /// Labels and words.
    Rows(Vec<(String, String)>),
    /// A table; the first cell of a row is its heading.
    Table {
        /// Headings of the columns.
        heads: Vec<String>,
        /// Rows.
        rows: Vec<Vec<Shown>>,
    },
    /// A picture as SVG, and what it shows.
    Picture(String, &'static str),
    /// A line of text.
    Line(String),
    /// Text whose columns must stay below each other.
    Columns(String),
}

/// A cell of a table.
#[derive(Debug, Clone, Default)]
pub(super) struct Shown {
    pub(super) text: String,
    /// What stands under it, smaller.
    pub(super) below: String,
    /// Class: the name of a shape, or a shade.
    pub(super) class: &'static str,
    /// Whether the shape of that name stands before the text.
    pub(super) has_shape: bool,
}

impl Shown {
    pub(super) fn text(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    /// A verdict: its shape, and what is said of it.
    pub(super) fn verdict(verdict: Verdict) -> Self {
        let class = super::check_view::kind(verdict);
        Self { class, has_shape: true, ..Self::text(verdict.in_words()) }
    }
}

impl Section {
    pub(super) fn new(title: impl Into<String>, parts: Vec<Part>) -> Self {
        Self { title: title.into(), parts }
    }
}

impl Part {
    pub(super) fn rows(rows: Vec<(&'static str, String)>) -> Self {
        Self::Rows(rows.into_iter().map(|(label, words)| (label.to_owned(), words)).collect())
    }

    pub(super) fn table(heads: &[&str], rows: Vec<Vec<Shown>>) -> Self {
        Self::Table { heads: heads.iter().map(|head| (*head).to_owned()).collect(), rows }
    }
}

/// Findings with their weight, gravest first; nothing where there are none.
pub(super) fn findings(found: &[Finding]) -> Option<Section> {
    let row = |finding: &Finding| {
        let (class, weight) = match finding.severity {
            Severity::Stop => ("no-go", "STOP"),
            Severity::Unknown => ("unknown", "UNKNOWN"),
            Severity::Caution => ("caution", "CAUTION"),
            Severity::Pass => ("go", "kept"),
            Severity::Notice => ("note", "note"),
        };
        let figures = super::view::figures(finding);
        let figures = if figures.is_empty() { figures } else { format!(" ({figures})") };
        vec![
            Shown { class, has_shape: true, below: finding.code.to_owned(), ..Shown::text(weight) },
            Shown::text(format!("{}{figures}", finding.text)),
            Shown::text(finding.what_would_change_it.clone()),
            Shown::text(finding.source.clone()),
        ]
    };
    let heads = ["finding", "what was found", "what would change it", "source"];
    let table = Part::table(&heads, found.iter().map(row).collect());
    (!found.is_empty()).then(|| Section::new("Findings in full", vec![table]))
}
