//! Which units there are, and how each stands.

use crate::report::unit_state::{self, StateRow};
use crate::web::app::App;
use crate::web::ask::Refusal;
use crate::web::frame::{Frame, Here, segment};
use askama::Template;

/// So many units are shown with their state; of the others their names, for reading thousands would take seconds.
const WITH_STATE: usize = 50;

/// The page.
#[derive(Template)]
#[template(path = "pages/units.html")]
struct Units {
    frame: Frame,
    labels: [&'static str; 5],
    shown: Vec<UnitLine>,
    more: usize,
    others: Vec<UnitLine>,
}

/// A unit.
struct UnitLine {
    name: String,
    path: String,
    site: String,
    state: Vec<StateRow>,
    refused: Option<String>,
}

/// The page of all units.
///
/// # Errors
/// [`Refusal`] if the folder cannot be read.
pub(in crate::web) fn page(app: &App) -> Result<String, Refusal> {
    let all = app.units()?;
    let shown = all.keys().take(WITH_STATE).map(|name| with_state(app, name)).collect();
    let others: Vec<UnitLine> = all.keys().skip(WITH_STATE).map(|name| named(name)).collect();
    let page = Units {
        frame: Frame::of(app, None, Here::Units),
        labels: ["water in paper", "evidence", "gas in oil", "cooling", "restrictions"],
        shown,
        more: others.len(),
        others,
    };
    page.render().map_err(|_unfilled| Refusal::internal())
}

fn named(name: &str) -> UnitLine {
    UnitLine {
        name: name.to_owned(),
        path: format!("/unit/{}", segment(name)),
        site: String::new(),
        state: Vec::new(),
        refused: None,
    }
}

fn with_state(app: &App, name: &str) -> UnitLine {
    match app.moisture(name) {
        Ok(answer) => {
            let question = &answer.question;
            UnitLine {
                site: question.unit.site.clone().unwrap_or_default(),
                state: unit_state::rows(
                    &question.unit,
                    &answer.found,
                    question.local.as_ref(),
                    question.as_of,
                ),
                ..named(name)
            }
        }
        Err(refusal) => {
            let rows = refusal.rows().into_iter().map(|(label, words)| format!("{label}: {words}"));
            let words = rows.collect::<Vec<_>>().join("; ");
            UnitLine { refused: Some(format!("not readable. {words}")), ..named(name) }
        }
    }
}
