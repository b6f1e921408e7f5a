//! The names under which this server may be asked. A page elsewhere whose name is made to point here (DNS rebinding)
//! still sends its own name.

use crate::web::reply::{Reply, plain};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::net::SocketAddr;
use std::sync::Arc;

/// The names, each with its port.
#[derive(Debug, Clone)]
pub(in crate::web) struct Hosts(Arc<Vec<String>>);

impl Hosts {
    /// The address itself, the names of this machine for itself, and further ones with or without a port.
    pub(in crate::web) fn of(address: SocketAddr, further: &[String]) -> Self {
        let port = address.port();
        let mut names = vec![address.to_string()];
        if address.ip().is_loopback() {
            names.extend(["localhost", "127.0.0.1", "[::1]"].map(|name| format!("{name}:{port}")));
        }
        for name in further {
            let name = name.to_ascii_lowercase();
            names.push(format!("{name}:{port}"));
            names.push(name);
        }
        Self(Arc::new(names))
    }

    /// Whether a name with its port is one of them.
    pub(in crate::web) fn has(&self, name: &str) -> bool {
        self.0.iter().any(|own| own.eq_ignore_ascii_case(name))
    }
}

/// Refuses what does not ask for one of our names, by header or by an absolute address.
pub(in crate::web) async fn guard(
    State(hosts): State<Hosts>,
    request: Request,
    next: Next,
) -> Response {
    let absolute = request.uri().authority().map(axum::http::uri::Authority::as_str);
    let asked = single(request.headers(), &header::HOST);
    let ours =
        asked.is_some_and(|name| hosts.has(name)) && absolute.is_none_or(|name| hosts.has(name));
    if ours {
        return next.run(request).await;
    }
    let reply: Reply = plain(StatusCode::MISDIRECTED_REQUEST, "not a name of this server");
    reply.into_response()
}

/// A header that must not stand twice.
pub(in crate::web) fn single<'a>(
    headers: &'a HeaderMap,
    name: &header::HeaderName,
) -> Option<&'a str> {
    let mut all = headers.get_all(name).iter();
    let one = all.next()?.to_str().ok()?;
    all.next().is_none().then_some(one)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_our_own_names_are_ours() {
        let loopback =
            Hosts::of(SocketAddr::from(([127, 0, 0, 1], 8733)), &["Desk.example".to_owned()]);
        for ours in
            ["127.0.0.1:8733", "LOCALHOST:8733", "[::1]:8733", "desk.example", "desk.example:8733"]
        {
            assert!(loopback.has(ours), "{ours}");
        }
        for other in ["localhost", "localhost:80", "127.0.0.1.example:8733", "evil.example", ""] {
            assert!(!loopback.has(other), "{other}");
        }
        let outer = Hosts::of(SocketAddr::from(([192, 0, 2, 1], 8733)), &[]);
        assert!(outer.has("192.0.2.1:8733") && !outer.has("localhost:8733"));
    }
}
