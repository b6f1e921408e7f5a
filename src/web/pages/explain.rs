//! What a finding means.

use crate::input::shown;
use crate::rules::catalogue::explain;
use crate::unit::sources::embedded;
use crate::web::app::App;
use crate::web::ask::Refusal;
use crate::web::frame::{Frame, Here};
use askama::Template;

/// The page.
#[derive(Template)]
#[template(path = "pages/explain.html")]
struct Explained {
    frame: Frame,
    code: &'static str,
    meaning: &'static str,
    remedy: &'static str,
    source: String,
}

/// The page of a code.
///
/// # Errors
/// [`Refusal`] if there is no such code.
pub(in crate::web) fn page(app: &App, code: &str) -> Result<String, Refusal> {
    let accepted = "the code of a finding";
    let found = explain(code).ok_or_else(|| Refusal::unknown("code", shown(code), accepted))?;
    let sources = embedded();
    let source = sources.iter().find(|source| source.id == found.source);
    let source = source.map_or_else(
        || found.source.to_owned(),
        |source| {
            format!(
                "{} ({}; {}). {}",
                source.title,
                source.year,
                source.how.in_words(),
                source.note
            )
        },
    );
    let page = Explained {
        frame: Frame::of(app, None, Here::Elsewhere),
        code: found.code,
        meaning: found.meaning,
        remedy: found.remedy,
        source,
    };
    page.render().map_err(|_unfilled| Refusal::internal())
}
