//! Told to stop, the server lets whoever is waiting have the whole answer, takes nobody else, and ends well.

use crate::client::{Reply, read};
use crate::server::Server;
use std::io::Write;
use std::net::TcpStream;
use std::process::Command;
use std::thread::sleep;
use std::time::Duration;

/// Many draws, for a question that takes a second.
const LONG: &str =
    "/api/rate?unit=fellmoor-t2&for=30min,1h,2h,4h&preload=0.6,0.7&ambient=10,20,30&draws=4096";

fn told(server: &Server, signal: &str) {
    let done = Command::new("kill").args([signal, &server.child.id().to_string()]).status();
    assert!(done.unwrap().success());
}

#[test]
fn who_is_waiting_gets_the_whole_answer() {
    let mut server = Server::of_the_demo();
    let mut waiting = server.connected();
    let idle = server.connected();
    let request = format!("GET {LONG} HTTP/1.1\r\nHost: {}\r\n\r\n", server.host());
    waiting.write_all(request.as_bytes()).unwrap();
    sleep(Duration::from_millis(100));
    waiting.set_nonblocking(true).unwrap();
    assert!(waiting.peek(&mut [0]).is_err(), "the question takes longer than this test waits");
    waiting.set_nonblocking(false).unwrap();
    told(&server, "-TERM");
    let reply = Reply::of(&read(&mut waiting));
    assert_eq!(reply.status, 200, "{reply:?}");
    let length: usize = reply.header("content-length").unwrap().parse().unwrap();
    assert_eq!(reply.body.len(), length);
    assert!(reply.json()["cells"].is_array() || reply.json().is_object());
    assert!(server.child.wait().unwrap().success());
    let refused = TcpStream::connect(("127.0.0.1", server.address.port()));
    assert!(refused.is_err(), "nobody else is taken");
    drop(idle);
}

#[test]
fn an_idle_server_ends_at_once_by_either_signal() {
    for signal in ["-TERM", "-INT"] {
        let mut server = Server::of_the_demo();
        assert_eq!(server.get("/api/units").status, 200);
        told(&server, signal);
        assert!(server.child.wait().unwrap().success(), "{signal}");
    }
}

#[test]
fn an_address_that_is_taken_is_refused_in_words() {
    let server = Server::of_the_demo();
    let listen = server.address.to_string();
    let second =
        crate::server::command(&["demo-data/units", "--listen", &listen]).output().unwrap();
    assert_eq!(second.status.code(), Some(2));
    assert!(String::from_utf8(second.stderr).unwrap().contains("--listen"));
}
