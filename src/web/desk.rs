//! The operator's page: one unit, one question, one answer.

pub(super) mod form;

use super::app::App;
use super::ask::{Refusal, checked, dated};
use super::frame::{Frame, Here};
use crate::assessment::Assessment;
use crate::cli::case::Question;
use crate::cli::clock;
use crate::record::decision::Decision;
use crate::record::judged_day::on_another_day;
use crate::report::check_view::CheckView;
use crate::report::course_svg::Size;
use crate::report::record_words::command_line;
use crate::report::unit_state::{self, StateRow};
use crate::rules::verdict::Verdict;
use askama::Template;
use form::{Form, Pairs, flags};

/// The page.
#[derive(Template)]
#[template(path = "desk/desk.html")]
struct Desk {
    frame: Frame,
    unit: String,
    site: String,
    state: Vec<StateRow>,
    form: Form,
    refusal: Option<RefusalView>,
    view: Option<CheckView>,
    recording: Option<Recording>,
    report_path: String,
    command_line: String,
}

/// Why there is no answer.
struct RefusalView {
    not_asked: bool,
    rows: Vec<(&'static str, String)>,
}

/// What a record of this answer needs.
struct Recording {
    unit: String,
    question: String,
    inputs_sha256: String,
    overrides: bool,
    /// What a go-ahead has to acknowledge beside the answer if it is recorded now: code and words.
    beside: Option<(&'static str, String)>,
}

/// The page of a unit, with the answer to a question if one is asked. A question that is refused is shown with
/// what is accepted.
///
/// # Errors
/// [`Refusal`] if there is no such unit, or its profile is not valid.
pub(super) fn page(app: &App, unit: &str, pairs: &Pairs) -> Result<(bool, String), Refusal> {
    let answer = app.moisture(unit)?;
    let flags = flags(pairs);
    let asked = (!flags.is_empty()).then(|| checked(app, unit, &flags));
    let (found, refusal) = match asked {
        None => (None, None),
        Some(Ok(found)) => (Some(found), None),
        Some(Err(refusal)) => (None, Some(refusal)),
    };
    let refused = refusal.as_ref().and_then(|refusal| refusal.key.clone());
    let path = format!("/unit/{unit}");
    let profile = &answer.question.unit;
    let frame = Frame::of(app, Some(unit), Here::Desk);
    let desk = Desk {
        frame: frame.hashed(found.as_ref().map(|(_, assessment)| &assessment.inputs_sha256)),
        unit: profile.name.clone(),
        site: profile.site.clone().unwrap_or_default(),
        state: unit_state::rows(
            profile,
            &answer.found,
            answer.question.local.as_ref(),
            answer.question.as_of,
        ),
        form: Form::of((path, profile), app.limit_sets(), pairs, refused.as_deref()),
        view: found.as_ref().map(|(_, assessment)| CheckView::of(assessment, Size::Screen)),
        recording: found.as_ref().and_then(|found| recording(app, unit, &flags, found)),
        report_path: format!("/unit/{unit}/report?{}", query(&flags)),
        command_line: command_line(&command_of(unit, &dated(app, &flags))),
        refusal: refusal_view(refusal.as_ref(), found.is_some()),
    };
    let is_refused = refusal.is_some();
    Ok((is_refused, desk.render().map_err(|_unfilled| Refusal::internal())?))
}

fn refusal_view(refusal: Option<&Refusal>, answered: bool) -> Option<RefusalView> {
    match refusal {
        Some(refusal) => Some(RefusalView { not_asked: false, rows: refusal.rows() }),
        None if answered => None,
        None => {
            let words = "enter the proposed loading, the load before and the ambient".to_owned();
            Some(RefusalView { not_asked: true, rows: vec![("to begin", words)] })
        }
    }
}

fn recording(
    app: &App,
    unit: &str,
    flags: &[(String, String)],
    (question, assessment): &(Question, Assessment),
) -> Option<Recording> {
    app.records.as_ref()?;
    // Without a clock nothing can be recorded, and the post says so.
    let now = clock::when().ok();
    let as_of = question.case.as_of;
    let beside = now.and_then(|now| on_another_day(Decision::GoAhead, as_of, &now));
    Some(Recording {
        unit: unit.to_owned(),
        question: query(flags),
        inputs_sha256: assessment.inputs_sha256.clone(),
        overrides: matches!(assessment.verdict, Verdict::NoGo | Verdict::CannotDecide),
        beside: beside.map(|finding| (finding.code, finding.text)),
    })
}

/// Flags as a query.
pub(super) fn query(flags: &[(String, String)]) -> String {
    form_urlencoded::Serializer::new(String::new()).extend_pairs(flags).finish()
}

/// The words of the same question on the command line; the unit's folder is the reader's own.
pub(super) fn command_of(unit: &str, flags: &[(String, String)]) -> Vec<String> {
    let words = ["bubblemargin", "check"].map(str::to_owned).into_iter();
    let flags = flags.iter().map(|(key, value)| format!("--{key}={value}"));
    words.chain([format!("{unit}.yaml")]).chain(flags).collect()
}
