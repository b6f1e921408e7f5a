//! A line in the log for each request, which nobody outside can forge.

use crate::server::Server;
use std::io::Write;
use std::thread::sleep;
use std::time::Duration;

#[test]
fn every_request_has_a_line() {
    let server = Server::of_the_demo();
    server.get("/api/units?secret=1");
    server.get("/nothing");
    server.asked("POST", "/", &[], "");
    server.sent(b"GET /elsewhere HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n");
    let log = server.log();
    let ends: Vec<&str> =
        log.lines().filter_map(|line| line.split_once("Z ")).map(|own| own.1).collect();
    let starts = ["GET /api/units 200 ", "GET /nothing 404 ", "POST / 403 ", "GET /elsewhere 421 "];
    assert_eq!(ends.len(), starts.len(), "{log}");
    for (end, start) in ends.iter().zip(starts) {
        assert!(end.starts_with(start) && end.ends_with(" ms"), "{log}");
    }
    assert!(!log.contains("secret"), "what was asked is not kept");
}

#[test]
fn nobody_forges_a_line() {
    let server = Server::of_the_demo();
    let host = server.host();
    for path in [
        "/a%0a2026-01-01T00:00:00Z%20GET%20/forged%20200",
        "/%1b[2J",
        "/a%0d%0ab",
        "/\u{e9}\u{202e}",
        "/\t",
    ] {
        server.get(path);
    }
    server.sent(format!("GET /\r\nforged 200 HTTP/1.1\r\nHost: {host}\r\n\r\n").as_bytes());
    server.sent(
        format!("GET /{} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n", "a".repeat(3000))
            .as_bytes(),
    );
    let log = server.log();
    assert!(log.lines().count() > 4, "{log}");
    for line in log.lines() {
        assert!(
            line.starts_with("20") && line.contains("Z "),
            "each line is the log's own: {line}"
        );
        assert!(line.len() < 300, "{line}");
        assert!(
            line.chars().all(|letter| letter.is_ascii() && !letter.is_ascii_control()),
            "{line}"
        );
        assert!(!line.contains("Z forged"), "{line}");
    }
}

#[test]
fn who_does_not_wait_for_an_answer_has_a_line_too() {
    let server = Server::of_the_demo();
    let mut stream = server.connected();
    let path = "/api/rate?unit=fellmoor-t2&preload=0.5,0.6,0.7&ambient=10,20,30";
    stream
        .write_all(format!("GET {path} HTTP/1.1\r\nHost: {}\r\n\r\n", server.host()).as_bytes())
        .unwrap();
    sleep(Duration::from_millis(100));
    drop(stream);
    let told = || server.log().contains("GET /api/rate gone ");
    // As long as a busy machine may need to see that nobody is there.
    for _ in 0..100 {
        if told() {
            return;
        }
        sleep(Duration::from_millis(100));
    }
    panic!("{}", server.log());
}
