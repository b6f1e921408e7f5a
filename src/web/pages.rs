//! The pages beside the operator's.

pub(super) mod explain;
pub(super) mod fleet;
pub(super) mod hosted;
pub(super) mod records;
pub(super) mod units;

use super::app::App;
use super::ask::{Flags, Refusal, check_question};
use super::frame::{Frame, Here};
use super::{api, desk};
use crate::assessment::assess;
use crate::cli::inputs::Given;
use crate::report::check_html;

/// The look that reports and pages share.
pub(super) const HOUSE_CSS: &str = include_str!("../../templates/house.css");

/// The look of pages alone.
pub(super) const PAGE_CSS: &str = include_str!("../../templates/page.css");

/// What answers at once when a number changes.
pub(super) const PAGE_JS: &str = include_str!("../../templates/page.js");

/// A page about one unit.
///
/// # Errors
/// [`Refusal`] if there is no such page or unit, or the question is not accepted.
pub(super) fn of_unit(
    app: &App,
    unit: &str,
    which: &str,
    pairs: &Flags,
) -> Result<String, Refusal> {
    let flags = desk::form::flags(pairs);
    let frame = |here| Frame::of(app, Some(unit), here);
    match which {
        "report" => report(app, unit, &flags),
        "moisture" => {
            let report = api::moisture_in(app, unit, &flags, "html")?;
            Ok(hosted::in_frame(&report, &frame(Here::Moisture)))
        }
        "ratings" => {
            let report = api::rate_in(app, unit, &flags, "html")?;
            Ok(hosted::in_frame(&report, &frame(Here::Ratings)))
        }
        "windows" => {
            let report = api::plan_in(app, unit, &flags, "html")?;
            Ok(hosted::in_frame(&report, &frame(Here::Windows)))
        }
        _ => Err(Refusal::unknown("address", "no such page".to_owned(), "a link of this site")),
    }
}

/// The whole answer to a check as a report.
fn report(app: &App, unit: &str, flags: &Flags) -> Result<String, Refusal> {
    let mut question = check_question(app, &app.profile(unit)?, flags, (&[], &Given::new()))?;
    let sampling = &mut question.case.request.sampling;
    sampling.over_time = true;
    sampling.why = sampling.draws > 0;
    let made = check_html::report(&question.case, &assess(&question.case));
    let report = made.map_err(|_unfilled| Refusal::internal())?;
    Ok(hosted::in_frame(&report, &Frame::of(app, Some(unit), Here::Elsewhere)))
}
