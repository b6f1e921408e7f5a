//! The socket: accepts, within limits, and stops in order.

use super::guard::limits::{CONNECTION_WITHIN, HEAD_WITHIN, MOST_CONNECTIONS, REQUESTS_WITHIN};
use super::guard::log;
use crate::cli::Failure;
use crate::cli::output::print;
use crate::input::InputError;
use axum::Router;
use axum::http::{HeaderValue, header};
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// How long running requests have once the server is told to stop.
const STOP_WITHIN: Duration = Duration::from_secs(10);

/// Pause after the machine gave no connection, as when it has no more of them.
const AFTER_REFUSAL: Duration = Duration::from_millis(50);

/// The socket and its real address.
///
/// # Errors
/// [`InputError`] if the address cannot be had.
pub(super) async fn bound(address: SocketAddr) -> Result<(TcpListener, SocketAddr), Failure> {
    let refused = |error: std::io::Error| {
        let found = format!("{address}: {error}");
        InputError::new("--listen", found, "an address and port that are free")
    };
    let listener = TcpListener::bind(address).await.map_err(refused)?;
    let address = listener.local_addr().map_err(refused)?;
    Ok((listener, address))
}

/// Says where the page is, and what to mind.
///
/// # Errors
/// [`Failure`] if nothing can be printed.
pub(super) fn announce(address: SocketAddr, token: bool) -> Result<(), Failure> {
    let mut lines = format!("http://{address}/\n");
    if !address.ip().is_loopback() {
        lines.push_str(
            "WARNING: others can reach this address and nothing is encrypted: put TLS in front of it (and --host \
             with its name), or the token and every answer can be read and changed on the way.\n",
        );
    }
    if token {
        lines.push_str(
            "The token is asked for: as a bearer token, or as the password of any name.\n",
        );
    }
    lines.push_str("A calculation aid: local operating rules, the maker's limits and licensed people decide.\n");
    print(&lines)
}

/// Serves until SIGINT or SIGTERM; then accepts nothing more and lets running requests end.
pub(super) async fn until_stopped(listener: TcpListener, router: Router) {
    let places = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let running = GracefulShutdown::new();
    let mut stopped = std::pin::pin!(stop());
    loop {
        let accepted = tokio::select! {
            accepted = accept(&listener, &places) => accepted,
            () = &mut stopped => break,
        };
        if let Some((stream, place)) = accepted {
            connection(stream, place, router.clone(), &running);
        }
    }
    drop(listener);
    // Who is still connected after that is let go.
    let _ = tokio::time::timeout(STOP_WITHIN, running.shutdown()).await;
}

async fn accept(
    listener: &TcpListener,
    places: &Arc<Semaphore>,
) -> Option<(TcpStream, OwnedSemaphorePermit)> {
    let place = Arc::clone(places).acquire_owned().await.ok()?;
    if let Ok((stream, _)) = listener.accept().await {
        return Some((stream, place));
    }
    tokio::time::sleep(AFTER_REFUSAL).await;
    None
}

fn connection(
    stream: TcpStream,
    place: OwnedSemaphorePermit,
    router: Router,
    running: &GracefulShutdown,
) {
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEAD_WITHIN);
    let began = Instant::now();
    let answers = TowerToHyperService::new(router);
    let service = service_fn(move |request| {
        let reply = answers.call(request);
        async move {
            let mut reply = reply.await;
            if let Ok(reply) = &mut reply
                && began.elapsed() > REQUESTS_WITHIN
            {
                reply.headers_mut().insert(header::CONNECTION, HeaderValue::from_static("close"));
            }
            reply
        }
    });
    let served = running.watch(http.serve_connection(TokioIo::new(stream), service));
    tokio::spawn(async move {
        // A client that breaks off, is too slow or stays for ever harms nobody but itself.
        match tokio::time::timeout(CONNECTION_WITHIN, served).await {
            Ok(Err(error)) if error.is_parse() || error.is_timeout() => {
                log::no_request(&error.to_string());
            }
            Ok(_) | Err(_) => {}
        }
        drop(place);
    });
}

#[cfg(unix)]
async fn stop() {
    use tokio::signal::unix::{SignalKind, signal};
    let Ok(mut terminated) = signal(SignalKind::terminate()) else {
        let _ = tokio::signal::ctrl_c().await;
        return;
    };
    tokio::select! {
        _ = tokio::signal::ctrl_c() => {}
        _ = terminated.recv() => {}
    }
}

#[cfg(not(unix))]
async fn stop() {
    let _ = tokio::signal::ctrl_c().await;
}
