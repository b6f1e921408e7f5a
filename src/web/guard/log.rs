//! A line for each request on standard error.

use crate::cli::clock::now_utc;
use axum::extract::Request;
use axum::middleware::Next;
use axum::response::Response;
use std::io::Write;
use std::time::Instant;

/// A request whose line is written when it has its reply, or when nobody waits for one any more.
struct Line {
    began: Instant,
    method: String,
    path: String,
    status: Option<u16>,
}

impl Drop for Line {
    fn drop(&mut self) {
        let took = self.began.elapsed().as_millis();
        let Self { method, path, status, .. } = self;
        let status = status.map_or_else(|| "gone".to_owned(), |status| status.to_string());
        tell(&format!("{method} {path} {status} {took} ms"));
    }
}

/// Writes the line once the reply is known: time, method, path without what was asked, status, milliseconds.
pub(in crate::web) async fn line(request: Request, next: Next) -> Response {
    let method = written(request.method().as_str());
    let path = written(request.uri().path());
    let mut line = Line { began: Instant::now(), method, path, status: None };
    let reply = next.run(request).await;
    line.status = Some(reply.status().as_u16());
    reply
}

/// A failure that whoever asked is told nothing about.
pub(in crate::web) fn failure(words: &str) {
    tell(&format!("failure: {}", written(words)));
}

/// What came was no request that could be answered.
pub(in crate::web) fn no_request(words: &str) {
    tell(&format!("no request: {}", written(words)));
}

/// Text that cannot end a line or steer a terminal.
fn written(text: &str) -> String {
    text.chars().take(200).flat_map(char::escape_default).collect()
}

fn tell(words: &str) {
    // Nothing can be done if standard error is closed.
    let _ = writeln!(std::io::stderr(), "{} {words}", now_utc().unwrap_or_default());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_can_write_lines_of_the_log() {
        assert_eq!(written("/a\n2026 GET \u{1b}[2J"), "/a\\n2026 GET \\u{1b}[2J");
    }
}
