//! A line for each request on standard error.

use crate::cli::clock::now_utc;
use axum::extract::Request;
use axum::middleware::Next;
use axum::response::Response;
use std::io::Write;
use std::time::Instant;

/// Writes the line once the reply is known: time, method, path without what was asked, status, milliseconds.
pub(in crate::web) async fn line(request: Request, next: Next) -> Response {
    let began = Instant::now();
    let method = written(request.method().as_str());
    let path = written(request.uri().path());
    let reply = next.run(request).await;
    let took = began.elapsed().as_millis();
    let status = reply.status().as_u16();
    tell(&format!("{} {method} {path} {status} {took} ms", now_utc().unwrap_or_default()));
    reply
}

/// A failure that whoever asked is told nothing about.
pub(in crate::web) fn failure(words: &str) {
    tell(&format!("{} failure: {}", now_utc().unwrap_or_default(), written(words)));
}

/// Text that cannot end a line or steer a terminal.
fn written(text: &str) -> String {
    text.chars().take(200).flat_map(char::escape_default).collect()
}

fn tell(line: &str) {
    // Nothing can be done if standard error is closed.
    let _ = writeln!(std::io::stderr(), "{line}");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_can_write_lines_of_the_log() {
        assert_eq!(written("/a\n2026 GET \u{1b}[2J"), "/a\\n2026 GET \\u{1b}[2J");
    }
}
