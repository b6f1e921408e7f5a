//! Replies: pages, JSON, and refusals as either.

use super::app::App;
use super::ask::Refusal;
use super::frame::{Frame, Here};
use askama::Template;
use axum::http::{HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// A reply with its type of content.
pub(super) type Reply = (StatusCode, [(HeaderName, &'static str); 1], String);

/// A few words.
pub(super) fn plain(status: StatusCode, words: &str) -> Reply {
    (status, [(header::CONTENT_TYPE, "text/plain; charset=utf-8")], format!("{words}\n"))
}

/// A page.
pub(super) fn page(status: StatusCode, html: String) -> Reply {
    (status, [(header::CONTENT_TYPE, "text/html; charset=utf-8")], html)
}

/// JSON as it was written.
pub(super) fn json(text: String) -> Reply {
    (StatusCode::OK, [(header::CONTENT_TYPE, "application/json")], text)
}

/// A refusal as a page.
#[derive(Template)]
#[template(path = "pages/refusal.html")]
struct RefusalPage {
    frame: Frame,
    title: &'static str,
    rows: Vec<(&'static str, String)>,
}

/// A page, or why there is none, as a page too.
pub(super) fn page_or_refusal(app: &App, made: Result<(StatusCode, String), Refusal>) -> Response {
    match made {
        Ok((status, html)) => page(status, html).into_response(),
        Err(refusal) => {
            let status = status_of(&refusal);
            let frame = Frame::of(app, None, Here::Elsewhere);
            let title =
                if status == StatusCode::NOT_FOUND { "Not found" } else { "This cannot be shown" };
            let made = RefusalPage { frame, title, rows: refusal.rows() }.render();
            page(status, made.unwrap_or_else(|_unfilled| title.to_owned())).into_response()
        }
    }
}

/// JSON, or why there is none, as JSON too.
pub(super) fn json_or_refusal(made: Result<String, Refusal>) -> Response {
    match made {
        Ok(text) => json(text).into_response(),
        Err(refusal) => {
            let told = serde_json::json!({ "error": refusal }).to_string() + "\n";
            let (_, kind, text) = json(told);
            (status_of(&refusal), kind, text).into_response()
        }
    }
}

fn status_of(refusal: &Refusal) -> StatusCode {
    StatusCode::from_u16(refusal.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
}
