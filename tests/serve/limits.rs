//! Nothing that is sent, or not sent, holds the server up. What is slow waits for the server's own ten seconds, so that
//! those tests run side by side.

use crate::client::{Reply, read};
use crate::server::Server;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::thread;
use std::time::{Duration, Instant};

/// The server's limit for a head or a body is 10 s; the rest is for a busy machine.
const WITHIN: Duration = Duration::from_secs(30);

fn post(server: &Server, headers: &str) -> String {
    let host = server.host();
    format!(
        "POST /api/check HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\n{headers}\r\n"
    )
}

#[test]
fn too_large_a_body_is_refused_however_it_is_sent() {
    let server = Server::of_the_demo();
    let reply = server.sent(post(&server, "Content-Length: 8388609\r\n").as_bytes());
    assert_eq!(reply.status, 413, "before it is sent");
    let reply = server.sent(post(&server, "Content-Length: 99999999999\r\n").as_bytes());
    assert_eq!(reply.status, 413);
    let mut chunked = post(&server, "Transfer-Encoding: chunked\r\n").into_bytes();
    for _ in 0..9 {
        chunked.extend_from_slice(b"100000\r\n");
        chunked.extend_from_slice(&vec![b' '; 1 << 20]);
        chunked.extend_from_slice(b"\r\n");
    }
    let reply = server.sent(&chunked);
    // A reply may be lost where the other side still sends when the connection is closed.
    assert!([413, 0].contains(&reply.status), "{}", reply.status);
    assert!(server.log().contains("POST /api/check 413"), "{}", server.log());
    assert_eq!(server.get("/api/units").status, 200);
}

#[test]
fn a_body_of_two_lengths_or_of_none_is_refused() {
    let server = Server::of_the_demo();
    for headers in [
        "Content-Length: 2\r\nContent-Length: 3\r\n",
        "Content-Length: -1\r\n",
        "Content-Length: 99999999999999999999999\r\n",
        "Content-Length: 2, 2\r\n",
        "Transfer-Encoding: gzip\r\n",
        "Transfer-Encoding: chunked, identity\r\n",
    ] {
        let reply = server.sent(format!("{}{{}}", post(&server, headers)).as_bytes());
        assert!([400, 0].contains(&reply.status), "{headers}: {}", reply.status);
    }
    // One of the two counts and the connection ends with it: what follows is no second request.
    let both = post(&server, "Content-Length: 5\r\nTransfer-Encoding: chunked\r\n");
    let hidden = format!("GET /api/units HTTP/1.1\r\nHost: {}\r\n\r\n", server.host());
    let mut stream = server.connected();
    stream.write_all(format!("{both}0\r\n\r\n{hidden}").as_bytes()).unwrap();
    let all = String::from_utf8(read(&mut stream)).unwrap();
    assert!(!all.contains("fellmoor-t2"), "{all}");
}

#[test]
fn garbage_and_floods_of_headers_end_the_connection() {
    let server = Server::of_the_demo();
    let host = server.host();
    let flood: String = (0..500).map(|own| format!("X-{own}: 1\r\n")).collect();
    let long = format!("X: {}\r\n", "y".repeat(1 << 20));
    for bytes in [
        b"\x00\x01\x02\x03\r\n\r\n".to_vec(),
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03".repeat(20),
        b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n".to_vec(),
        b"GET\r\n\r\n".to_vec(),
        b"GET / HTTP/9.9\r\n\r\n".to_vec(),
        b"GET /\x00 HTTP/1.1\r\n\r\n".to_vec(),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\nBad Header: x\r\n\r\n").into_bytes(),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\n : x\r\n\r\n").into_bytes(),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\n{flood}\r\n").into_bytes(),
        format!("GET / HTTP/1.1\r\nHost: {host}\r\n{long}\r\n").into_bytes(),
        format!("GET /{} HTTP/1.1\r\nHost: {host}\r\n\r\n", "a".repeat(1 << 20)).into_bytes(),
    ] {
        let start = String::from_utf8_lossy(&bytes[..bytes.len().min(40)]).into_owned();
        let reply = server.sent(&bytes);
        assert!([0, 400, 414, 431, 505].contains(&reply.status), "{start:?}: {reply:?}");
    }
    assert_eq!(server.get("/api/units").status, 200);
    assert!(server.log().contains("no request: "), "{}", server.log());
}

#[test]
fn who_sends_slowly_is_let_go() {
    let server = Server::of_the_demo();
    let host = server.host();
    let head = format!("GET /api/units HTTP/1.1\r\nHost: {host}\r\n");
    let body = post(&server, "Content-Length: 1000\r\n");
    let chunked = post(&server, "Transfer-Encoding: chunked\r\n");
    let kept = format!("{head}\r\n");
    let cases = [
        ("nothing", "", "", 0),
        ("half a head", &head[..], "", 0),
        ("a head, a letter a second", &head, "X", 0),
        ("no body", &body, "", 408),
        ("a body, a letter a second", &body, " ", 408),
        ("chunks, one a second", &chunked, "1\r\n \r\n", 408),
        ("a second request that never comes", &kept, "", 200),
    ];
    thread::scope(|threads| {
        for (what, first, then, status) in cases {
            let server = &server;
            threads.spawn(move || {
                let began = Instant::now();
                let reply = Reply::of(&slowly(server.connected(), first, then));
                assert!([0, status].contains(&reply.status), "{what}: {reply:?}");
                assert!(began.elapsed() < WITHIN, "{what}: {:?}", began.elapsed());
            });
        }
        // Meanwhile others are answered.
        assert_eq!(server.get("/api/units").status, 200);
    });
    assert!(server.log().contains("POST /api/check 408"), "{}", server.log());
}

/// Sends the first at once and then the other every second, until the server closes.
fn slowly(mut stream: TcpStream, first: &str, then: &str) -> Vec<u8> {
    stream.write_all(first.as_bytes()).unwrap();
    if then.is_empty() {
        return read(&mut stream);
    }
    let mut all = Vec::new();
    stream.set_read_timeout(Some(Duration::from_secs(1))).unwrap();
    let mut piece = [0; 4096];
    loop {
        match stream.read(&mut piece) {
            Ok(0) => return all,
            Ok(length) => all.extend_from_slice(&piece[..length]),
            Err(error) if error.kind() == std::io::ErrorKind::WouldBlock => {
                if stream.write_all(then.as_bytes()).is_err() {
                    return all;
                }
            }
            Err(_closed) => return all,
        }
    }
}

#[test]
fn more_connections_than_there_are_places_wait_and_are_answered() {
    let server = Server::of_the_demo();
    let began = Instant::now();
    let idle: Vec<TcpStream> = (0..600).map(|_| server.connected()).collect();
    assert_eq!(server.get("/api/units").status, 200, "once the idle ones are let go");
    assert!(began.elapsed() < WITHIN, "{:?}", began.elapsed());
    drop(idle);
    assert_eq!(server.get("/api/units").status, 200);
}

#[test]
fn who_never_reads_harms_nobody_else() {
    let server = Server::of_the_demo();
    let host = server.host();
    let request = format!("GET /unit/fellmoor-t1/moisture HTTP/1.1\r\nHost: {host}\r\n\r\n");
    let deaf: Vec<TcpStream> = (0..8)
        .map(|_| {
            let mut stream = server.connected();
            stream.set_write_timeout(Some(Duration::from_millis(50))).unwrap();
            // As much as the machine takes: the server stops reading where nobody reads its answers.
            while stream.write_all(request.repeat(200).as_bytes()).is_ok() {
                if stream.peek(&mut [0]).is_ok() {
                    break;
                }
            }
            stream
        })
        .collect();
    for _ in 0..5 {
        assert_eq!(server.get("/api/units").status, 200);
    }
    drop(deaf);
}

#[test]
fn requests_one_behind_the_other_are_answered_in_order() {
    let server = Server::of_the_demo();
    let host = server.host();
    let ask = |path: &str, last: &str| format!("GET {path} HTTP/1.1\r\nHost: {host}\r\n{last}\r\n");
    let all = ask("/explain/none", "")
        + &ask("/api/units", "")
        + &ask("/page.js", "Connection: close\r\n");
    let mut stream = server.connected();
    stream.write_all(all.as_bytes()).unwrap();
    let replies = String::from_utf8(read(&mut stream)).unwrap();
    let status = |line: &str| line.strip_prefix("HTTP/1.1 ").map(|rest| rest[..3].to_owned());
    // A body may end without a newline, so that the next reply begins within its last line.
    let found: Vec<_> =
        replies.replace("HTTP/1.1", "\nHTTP/1.1").lines().filter_map(status).collect();
    assert_eq!(found, ["404", "200", "200"]);
}
