//! How much and how long: nothing that is sent or asked may hold the server up.

use crate::web::reply::plain;
use axum::body::{Body, Bytes, HttpBody, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Semaphore;
use tokio::time::timeout;

/// Connections at once; further ones wait to be accepted.
pub(in crate::web) const MOST_CONNECTIONS: usize = 512;

/// How long the head of a request may take.
pub(in crate::web) const HEAD_WITHIN: Duration = Duration::from_secs(10);

/// After this a connection takes no further request.
pub(in crate::web) const REQUESTS_WITHIN: Duration = Duration::from_mins(4);

/// How long a connection may last, however it is used.
pub(in crate::web) const CONNECTION_WITHIN: Duration = Duration::from_mins(6);

/// How long a body may take, waiting for others included.
const BODY_WITHIN: Duration = Duration::from_secs(10);

/// How long an answer may take, waiting for others included.
const ANSWER_WITHIN: Duration = Duration::from_mins(1);

/// Largest query, bytes.
const MOST_QUERY: usize = 8192;

/// Largest body, bytes: files are sent with a check.
const MOST_BODY: usize = 8 << 20;

/// Bodies in memory at once: a body for every connection would be gigabytes.
const MOST_BODIES: usize = 32;

/// Places for bodies.
#[derive(Debug, Clone)]
pub(in crate::web) struct Bodies(Arc<Semaphore>);

impl Default for Bodies {
    fn default() -> Self {
        Self(Arc::new(Semaphore::new(MOST_BODIES)))
    }
}

/// Reads the whole body first, within a time and a size, and answers within a time.
pub(in crate::web) async fn guard(
    State(bodies): State<Bodies>,
    request: Request,
    next: Next,
) -> Response {
    if request.uri().query().is_some_and(|query| query.len() > MOST_QUERY) {
        return plain(StatusCode::URI_TOO_LONG, "the question is too long").into_response();
    }
    let (head, body) = request.into_parts();
    // Kept until the answer, for so long is the body.
    let mut place = None;
    let body = if body.is_end_stream() {
        Bytes::new()
    } else {
        let read = async {
            place = bodies.0.acquire().await.ok();
            whole(&head.headers, body).await
        };
        match timeout(BODY_WITHIN, read).await {
            Ok(Ok(body)) => body,
            Ok(Err(refused)) => return refused,
            Err(_too_slow) => {
                return plain(StatusCode::REQUEST_TIMEOUT, "sent too slowly").into_response();
            }
        }
    };
    if !body.is_empty() && matches!(head.method, Method::GET | Method::HEAD) {
        let words =
            "body: a question in the address has none; send it by POST, or in the address alone";
        return plain(StatusCode::BAD_REQUEST, words).into_response();
    }
    let request = Request::from_parts(head, Body::from(body));
    let reply = timeout(ANSWER_WITHIN, next.run(request)).await;
    drop(place);
    reply.unwrap_or_else(|_too_long| {
        let busy = plain(StatusCode::SERVICE_UNAVAILABLE, "busy: nothing was answered");
        ([(header::RETRY_AFTER, "10")], busy).into_response()
    })
}

/// The body. One that says how long it is and is too long is refused before it is read.
async fn whole(headers: &HeaderMap, body: Body) -> Result<Bytes, Response> {
    let says = headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    let length: Option<usize> = says.and_then(|length| length.parse().ok());
    let too_long = || plain(StatusCode::PAYLOAD_TOO_LARGE, "more than is accepted").into_response();
    if length.is_some_and(|length| length > MOST_BODY) {
        return Err(too_long());
    }
    to_bytes(body, MOST_BODY).await.map_err(|_broken| match length {
        None => too_long(),
        Some(_) => plain(StatusCode::BAD_REQUEST, "a body that breaks off").into_response(),
    })
}
