//! How much and how long: nothing that is sent or asked may hold the server up.

use crate::web::reply::plain;
use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::time::Duration;

/// Connections at once; further ones wait to be accepted.
pub(in crate::web) const MOST_CONNECTIONS: usize = 512;

/// How long the head of a request may take.
pub(in crate::web) const HEAD_WITHIN: Duration = Duration::from_secs(10);

/// How long a connection may last, however it is used.
pub(in crate::web) const CONNECTION_WITHIN: Duration = Duration::from_mins(5);

/// How long a body may take.
const BODY_WITHIN: Duration = Duration::from_secs(10);

/// How long an answer may take, waiting for others included.
const ANSWER_WITHIN: Duration = Duration::from_mins(1);

/// Largest query, bytes.
const MOST_QUERY: usize = 8192;

/// Largest body, bytes: files are sent with a check.
const MOST_BODY: usize = 8 << 20;

/// Reads the whole body first, within a time and a size, and answers within a time.
pub(in crate::web) async fn guard(request: Request, next: Next) -> Response {
    if request.uri().query().is_some_and(|query| query.len() > MOST_QUERY) {
        return plain(StatusCode::URI_TOO_LONG, "the question is too long").into_response();
    }
    let (head, body) = request.into_parts();
    let body = match tokio::time::timeout(BODY_WITHIN, to_bytes(body, MOST_BODY)).await {
        Ok(Ok(body)) => body,
        Ok(Err(_)) => {
            return plain(StatusCode::PAYLOAD_TOO_LARGE, "more than is accepted").into_response();
        }
        Err(_) => {
            return plain(StatusCode::REQUEST_TIMEOUT, "sent too slowly").into_response();
        }
    };
    let request = Request::from_parts(head, Body::from(body));
    tokio::time::timeout(ANSWER_WITHIN, next.run(request)).await.unwrap_or_else(|_too_long| {
        let busy = plain(StatusCode::SERVICE_UNAVAILABLE, "busy: nothing was answered");
        ([(header::RETRY_AFTER, "10")], busy).into_response()
    })
}
