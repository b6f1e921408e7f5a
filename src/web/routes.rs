//! Which address gives what.

use super::app::App;
use super::ask::Refusal;
use super::guard::hosts::Hosts;
use super::guard::token::Token;
use super::guard::{headers, hosts, limits, log, origin, token};
use super::pairs::{none_beside, pairs_of};
use super::reply::{json_or_refusal, page_or_refusal, plain};
use super::{api, desk, pages};
use axum::body::Bytes;
use axum::extract::{Path, RawQuery, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::middleware::{from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Router, http::HeaderValue};
use std::sync::Arc;

type Shared = State<Arc<App>>;
type Pair = (String, String);

/// Everything there is, behind what is refused first; what stands last here is asked first.
pub(super) fn router(app: Arc<App>, names: Hosts, secret: Option<Token>) -> Router {
    Router::new()
        .route("/", get(units))
        .route("/unit/{unit}", get(desk_page))
        .route("/unit/{unit}/{page}", get(unit_page))
        .route("/fleet", get(fleet_page))
        .route("/explain/{code}", get(explain_page))
        .route("/house.css", get(|| async { file("text/css", pages::HOUSE_CSS) }))
        .route("/page.css", get(|| async { file("text/css", pages::PAGE_CSS) }))
        .route("/page.js", get(|| async { file("text/javascript", pages::PAGE_JS) }))
        .route("/api/check", get(api_get).post(api_check))
        .route("/api/{what}", get(api_get))
        .route("/records", get(records_page).merge(post(record_written)))
        .route("/records/{id}", get(record_page))
        .route("/records/{id}/after", post(record_after))
        .fallback(nothing)
        .with_state(app)
        .layer(from_fn_with_state(limits::Bodies::default(), limits::guard))
        .layer(from_fn_with_state(secret, token::guard))
        .layer(from_fn_with_state(names.clone(), origin::guard))
        .layer(from_fn_with_state(names, hosts::guard))
        .layer(from_fn(headers::added))
        .layer(from_fn(log::line))
}

/// Computes where nothing else has to wait for it, as many at once as there are processors.
async fn computed<T: Send + 'static>(
    app: &Arc<App>,
    work: impl FnOnce(&App) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let slot =
        Arc::clone(&app.slots).acquire_owned().await.map_err(|_closed| Refusal::internal())?;
    let app = Arc::clone(app);
    let done = tokio::task::spawn_blocking(move || {
        // Kept until the work is done, even if nobody waits for it any more.
        let _slot = slot;
        work(&app)
    });
    done.await.unwrap_or_else(|broken| {
        log::failure(&broken.to_string());
        Err(Refusal::internal())
    })
}

/// The names and values of a query.
fn pairs(query: Option<&str>) -> Result<Vec<Pair>, Refusal> {
    pairs_of(query.unwrap_or("").as_bytes())
}

async fn units(State(app): Shared) -> Response {
    let made = computed(&app, pages::units::page).await;
    page_or_refusal(&app, made.map(|html| (StatusCode::OK, html)))
}

async fn desk_page(
    State(app): Shared,
    Path(unit): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    let made = computed(&app, move |app| desk::page(app, &unit, &pairs(query.as_deref())?)).await;
    let status = |refused| if refused { StatusCode::BAD_REQUEST } else { StatusCode::OK };
    page_or_refusal(&app, made.map(|(refused, html)| (status(refused), html)))
}

async fn unit_page(
    State(app): Shared,
    Path((unit, which)): Path<(String, String)>,
    RawQuery(query): RawQuery,
) -> Response {
    let made =
        computed(&app, move |app| pages::of_unit(app, &unit, &which, &pairs(query.as_deref())?));
    page_or_refusal(&app, made.await.map(|html| (StatusCode::OK, html)))
}

async fn fleet_page(State(app): Shared, RawQuery(query): RawQuery) -> Response {
    let made = computed(&app, move |app| pages::fleet::page(app, &pairs(query.as_deref())?)).await;
    page_or_refusal(&app, made.map(|html| (StatusCode::OK, html)))
}

async fn explain_page(State(app): Shared, Path(code): Path<String>) -> Response {
    let made = pages::explain::page(&app, &code);
    page_or_refusal(&app, made.map(|html| (StatusCode::OK, html)))
}

async fn records_page(State(app): Shared) -> Response {
    let made = computed(&app, pages::records::list).await;
    page_or_refusal(&app, made.map(|html| (StatusCode::OK, html)))
}

async fn record_page(State(app): Shared, Path(id): Path<String>) -> Response {
    let made = computed(&app, move |app| pages::records::one(app, &id)).await;
    page_or_refusal(&app, made.map(|html| (StatusCode::OK, html)))
}

async fn record_written(State(app): Shared, RawQuery(query): RawQuery, body: Bytes) -> Response {
    let written = computed(&app, move |app| {
        none_beside(query.as_deref())?;
        pages::records::written(app, &pairs_of(&body)?)
    });
    let written = written.await;
    to_the_record(&app, written)
}

async fn record_after(
    State(app): Shared,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
    body: Bytes,
) -> Response {
    let written = computed(&app, move |app| {
        none_beside(query.as_deref())?;
        pages::records::after(app, &id, &pairs_of(&body)?)
    });
    let written = written.await;
    to_the_record(&app, written)
}

/// What was written is shown by another request, so that loading it again writes nothing.
fn to_the_record(app: &App, written: Result<String, Refusal>) -> Response {
    match written {
        Ok(path) => {
            let to = HeaderValue::from_str(&path).unwrap_or(HeaderValue::from_static("/records"));
            (StatusCode::SEE_OTHER, [(header::LOCATION, to)]).into_response()
        }
        Err(refusal) => page_or_refusal(app, Err(refusal)),
    }
}

async fn api_get(State(app): Shared, uri: axum::http::Uri, RawQuery(query): RawQuery) -> Response {
    let what = uri.path().trim_start_matches("/api/").to_owned();
    json_or_refusal(
        computed(&app, move |app| api::answer(app, &what, &pairs(query.as_deref())?)).await,
    )
}

async fn api_check(
    State(app): Shared,
    headers: HeaderMap,
    RawQuery(query): RawQuery,
    body: Bytes,
) -> Response {
    let kind = hosts::single(&headers, &header::CONTENT_TYPE);
    if !kind.is_some_and(origin::is_json) {
        let words = "send JSON, with its content type";
        return plain(StatusCode::UNSUPPORTED_MEDIA_TYPE, words).into_response();
    }
    let made = computed(&app, move |app| {
        none_beside(query.as_deref())?;
        api::check_sent(app, &body)
    });
    json_or_refusal(made.await)
}

async fn nothing(State(app): Shared) -> Response {
    page_or_refusal(
        &app,
        Err(Refusal::unknown("address", "no such page".to_owned(), "a link of this site")),
    )
}

fn file(kind: &'static str, text: &'static str) -> Response {
    ([(header::CONTENT_TYPE, format!("{kind}; charset=utf-8"))], text).into_response()
}
