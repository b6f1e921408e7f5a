//! Who may make a browser ask. Nothing is changed by GET; anything else must come from a page of ours, or from no
//! browser at all.

use super::hosts::{Hosts, single};
use crate::web::reply::plain;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

const FETCH_SITE: HeaderName = HeaderName::from_static("sec-fetch-site");
const FETCH_MODE: HeaderName = HeaderName::from_static("sec-fetch-mode");

/// Refuses what another site has a browser do.
pub(in crate::web) async fn guard(
    State(hosts): State<Hosts>,
    request: Request,
    next: Next,
) -> Response {
    let headers = request.headers();
    let allowed = if [Method::GET, Method::HEAD].contains(request.method()) {
        may_look(headers)
    } else {
        may_change(headers, &hosts)
    };
    if allowed {
        return next.run(request).await;
    }
    plain(StatusCode::FORBIDDEN, "asked for by another site").into_response()
}

/// A link from elsewhere may be followed; a foreign page may not load answers into itself.
fn may_look(headers: &HeaderMap) -> bool {
    let own = |site: &str| matches!(site, "same-origin" | "none");
    match single(headers, &FETCH_SITE) {
        Some(site) => own(site) || single(headers, &FETCH_MODE) == Some("navigate"),
        None => !headers.contains_key(FETCH_SITE),
    }
}

/// Every browser says where a post comes from. What says nothing is no browser; it must then send what no form of
/// a foreign page can.
fn may_change(headers: &HeaderMap, hosts: &Hosts) -> bool {
    let says = headers.contains_key(header::ORIGIN) || headers.contains_key(FETCH_SITE);
    if !says {
        return single(headers, &header::CONTENT_TYPE).is_some_and(is_json);
    }
    let origin_is_ours = match single(headers, &header::ORIGIN) {
        Some(origin) => {
            let name = origin.strip_prefix("http://").or_else(|| origin.strip_prefix("https://"));
            name.is_some_and(|name| hosts.has(name))
        }
        None => !headers.contains_key(header::ORIGIN),
    };
    let site_is_ours = match single(headers, &FETCH_SITE) {
        Some(site) => site == "same-origin",
        None => !headers.contains_key(FETCH_SITE),
    };
    origin_is_ours && site_is_ours
}

/// Whether a type of content is JSON.
pub(in crate::web) fn is_json(content_type: &str) -> bool {
    let kind = content_type.split(';').next().unwrap_or("").trim();
    kind.eq_ignore_ascii_case("application/json")
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;
    use std::net::SocketAddr;

    fn headers(of: &[(&'static str, &'static str)]) -> HeaderMap {
        let pair = |(name, value): &(&'static str, &'static str)| {
            (HeaderName::from_static(name), HeaderValue::from_static(value))
        };
        let mut headers = HeaderMap::new();
        for (name, value) in of.iter().map(pair) {
            headers.append(name, value);
        }
        headers
    }

    #[test]
    fn only_our_own_pages_and_no_browser_may_change_anything() {
        let hosts = Hosts::of(SocketAddr::from(([127, 0, 0, 1], 8733)), &[]);
        let may = |of: &[(&'static str, &'static str)]| may_change(&headers(of), &hosts);
        assert!(may(&[("origin", "http://127.0.0.1:8733"), ("sec-fetch-site", "same-origin")]));
        assert!(may(&[("content-type", "application/json; charset=utf-8")]));
        assert!(!may(&[]));
        assert!(!may(&[("content-type", "text/plain")]));
        assert!(!may(&[("origin", "null")]));
        assert!(!may(&[("origin", "http://evil.example")]));
        assert!(!may(&[("origin", "http://127.0.0.1:80")]));
        assert!(!may(&[("origin", "http://127.0.0.1:8733"), ("sec-fetch-site", "cross-site")]));
        assert!(!may(&[("origin", "http://127.0.0.1:8733"), ("origin", "http://evil.example")]));
    }

    #[test]
    fn a_foreign_page_may_link_here_and_not_load_from_here() {
        assert!(may_look(&headers(&[])));
        assert!(may_look(&headers(&[("sec-fetch-site", "none")])));
        assert!(may_look(&headers(&[
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-mode", "navigate")
        ])));
        assert!(!may_look(&headers(&[
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-mode", "no-cors")
        ])));
        assert!(!may_look(&headers(&[
            ("sec-fetch-site", "same-site"),
            ("sec-fetch-mode", "cors")
        ])));
    }
}
