//! Only who asks for a name of this server is answered, so that no foreign name can be made to point here.

use crate::server::{AS_OF, Server, UNITS};

#[test]
fn own_names_are_answered() {
    let server = Server::started(&[UNITS, "--as-of", AS_OF, "--host", "desk.example"]);
    let port = server.address.port();
    for host in [
        format!("127.0.0.1:{port}"),
        format!("localhost:{port}"),
        format!("LocalHost:{port}"),
        format!("[::1]:{port}"),
        "desk.example".to_owned(),
        format!("desk.example:{port}"),
    ] {
        let request = format!("GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
        assert_eq!(server.sent(request.as_bytes()).status, 200, "{host}");
        let request =
            format!("GET http://{host}/ HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
        assert_eq!(server.sent(request.as_bytes()).status, 200, "{host}, as an absolute address");
    }
}

#[test]
fn other_names_are_not() {
    let server = Server::of_the_demo();
    let (own, port) = (server.host(), server.address.port());
    for head in [
        "GET / HTTP/1.1\r\n".to_owned(),
        "GET / HTTP/1.0\r\n".to_owned(),
        "GET / HTTP/1.1\r\nHost:\r\n".to_owned(),
        "GET / HTTP/1.1\r\nHost: evil.example\r\n".to_owned(),
        format!("GET / HTTP/1.1\r\nHost: evil.example:{port}\r\n"),
        "GET / HTTP/1.1\r\nHost: localhost\r\n".to_owned(),
        format!("GET / HTTP/1.1\r\nHost: localhost.:{port}\r\n"),
        format!("GET / HTTP/1.1\r\nHost: 127.1:{port}\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {own}@evil.example\r\n"),
        format!("GET / HTTP/1.1\r\nHost: user@{own}\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {own}\r\nHost: evil.example\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {own}\r\nHost: {own}\r\n"),
        format!("GET / HTTP/1.1\r\nHost: {own}, evil.example\r\n"),
        format!("GET http://evil.example/ HTTP/1.1\r\nHost: {own}\r\n"),
        format!("GET http://user@{own}/ HTTP/1.1\r\nHost: {own}\r\n"),
        format!("GET http://{own}/ HTTP/1.1\r\nHost: evil.example\r\n"),
        format!("GET http://{own}/ HTTP/1.1\r\n"),
        format!("POST /api/check HTTP/1.1\r\nHost: evil.example\r\nX-Forwarded-Host: {own}\r\n"),
    ] {
        let reply = server.sent(format!("{head}Connection: close\r\n\r\n").as_bytes());
        assert!([400, 421].contains(&reply.status), "{head}: {}", reply.status);
        assert!(!reply.body.contains("fellmoor"), "{head}: {}", reply.body);
    }
}
