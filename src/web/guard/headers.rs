//! What every reply tells a browser: nothing from elsewhere, no inline script or style, no frame, nothing kept.

use axum::extract::Request;
use axum::http::{HeaderName, HeaderValue, header};
use axum::middleware::Next;
use axum::response::Response;

const POLICY: &str = "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; connect-src 'self'; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const OWN_OPENER: HeaderName = HeaderName::from_static("cross-origin-opener-policy");
const OWN_RESOURCES: HeaderName = HeaderName::from_static("cross-origin-resource-policy");
const PERMISSIONS: HeaderName = HeaderName::from_static("permissions-policy");

/// Adds them to a reply.
pub(in crate::web) async fn added(request: Request, next: Next) -> Response {
    let mut reply = next.run(request).await;
    let headers = reply.headers_mut();
    let fixed = [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::CACHE_CONTROL, "no-store"),
        (OWN_OPENER, "same-origin"),
        (OWN_RESOURCES, "same-origin"),
        (PERMISSIONS, "camera=(), geolocation=(), microphone=()"),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    reply
}
