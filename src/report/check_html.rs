//! A check as a report in one file: no script, nothing from elsewhere, for the screen and for A4.

use super::check_inputs::{InputRow, inputs};
use super::check_sources::{Formula, SourceView, formulas, sources};
use super::check_view::CheckView;
use super::course_svg::Size;
use super::text::NOTICE;
use super::uncertainty_text::input_rows;
use crate::assessment::case::Case;
use crate::assessment::{Assessment, Tool};
use askama::Template;

/// The report.
#[derive(Template)]
#[template(path = "check/report.html")]
struct Report<'a> {
    view: CheckView,
    inputs: Vec<InputRow>,
    uncertain: Vec<[String; 6]>,
    formulas: Vec<&'static Formula>,
    sources: Vec<SourceView>,
    notice: &'static str,
    tool: &'a Tool,
    as_of: Option<String>,
    hash: &'a str,
}

/// The whole report.
///
/// # Errors
/// Only if the template cannot be filled, which it always can.
pub fn report(case: &Case, assessment: &Assessment) -> Result<String, askama::Error> {
    let spread = assessment.spread.as_ref();
    let report = Report {
        view: CheckView::of(assessment, Size::Sheet),
        inputs: inputs(case, assessment),
        uncertain: spread.map_or_else(Vec::new, |spread| input_rows(assessment, spread)),
        formulas: formulas(assessment),
        sources: sources(case, assessment),
        notice: NOTICE,
        tool: &assessment.tool,
        as_of: case.as_of.map(|day| day.to_string()),
        hash: &assessment.inputs_sha256,
    };
    report.render().map(|page| page + "\n")
}
