//! Who can be reached by others asks for a token, and says that nothing is encrypted.

use crate::server::{AS_OF, Server, UNITS, command, scratch};
use base64::Engine;
use std::fs;
use std::os::unix::fs::PermissionsExt;

const TOKEN: &str = "0123456789abcdef0123456789abcdef";

fn token_file(name: &str, text: &str, mode: u32) -> String {
    let path = scratch("token").join(name);
    // A file of an earlier run may not be writable.
    let _ = fs::remove_file(&path);
    fs::write(&path, text).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
    path.to_str().unwrap().to_owned()
}

/// How a server with these flags ends, and what it says; it must not start.
fn refused(flags: &[&str]) -> String {
    let output = command(&[&[UNITS], flags].concat()).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{flags:?}: {said}");
    assert!(output.stdout.is_empty(), "{flags:?}");
    said
}

#[test]
fn an_address_that_others_reach_needs_a_token() {
    for address in ["0.0.0.0:0", "[::]:0", "192.0.2.1:0"] {
        let said = refused(&["--listen", address]);
        assert!(said.contains("--listen") && said.contains("--token-file"), "{said}");
    }
}

#[test]
fn a_token_that_is_none_is_refused() {
    for (name, text, mode) in [
        ("short", "0123456789", 0o600),
        ("empty", "", 0o600),
        ("spaces", "0123456789abcdef 0123456789abcdef", 0o600),
        ("lines", "0123456789abcdef\n0123456789abcdef", 0o600),
        ("letters", "éééééééééééééééééééééééééééééééééééé", 0o600),
        ("group", TOKEN, 0o640),
        ("others", TOKEN, 0o604),
        ("writable", TOKEN, 0o602),
    ] {
        let path = token_file(name, text, mode);
        let said = refused(&["--token-file", &path]);
        assert!(said.contains("accepted"), "{name}: {said}");
        assert!(!said.contains(TOKEN), "{name}: a token is never shown");
    }
    let long = token_file("long", &"x".repeat(5000), 0o600);
    refused(&["--token-file", &long]);
    refused(&["--token-file", scratch("token").join("absent").to_str().unwrap()]);
    refused(&["--token-file", scratch("token").to_str().unwrap()]);
}

#[test]
fn nothing_is_answered_without_the_token() {
    let path = token_file("good", &format!("{TOKEN}\n"), 0o600);
    let server = Server::started(&[UNITS, "--as-of", AS_OF, "--token-file", &path]);
    assert!(server.said.iter().any(|line| line.contains("token")), "{:?}", server.said);
    let with = |value: &str| server.asked("GET", "/api/units", &[("Authorization", value)], "");
    let basic =
        |text: &str| format!("Basic {}", base64::engine::general_purpose::STANDARD.encode(text));
    assert_eq!(with(&format!("Bearer {TOKEN}")).status, 200);
    assert_eq!(with(&basic(&format!("anyone:{TOKEN}"))).status, 200);
    assert_eq!(with(&basic(&format!(":{TOKEN}"))).status, 200);
    for wrong in [
        "",
        "Bearer",
        "Bearer x",
        TOKEN,
        &format!("Bearer {}", &TOKEN[1..]),
        &format!("Bearer {TOKEN}0"),
        &format!("Token {TOKEN}"),
        &basic(TOKEN),
        &basic(&format!("{TOKEN}:")),
        "Basic ====",
    ] {
        let reply = with(wrong);
        assert_eq!(reply.status, 401, "{wrong}");
        assert!(reply.header("www-authenticate").unwrap().starts_with("Basic "));
    }
    let twice = format!("Bearer {TOKEN}");
    let twice = [("Authorization", twice.as_str()), ("Authorization", "Bearer x")];
    assert_eq!(server.asked("GET", "/api/units", &twice, "").status, 401);
    for path in [
        "/",
        "/house.css",
        "/page.js",
        "/unit/fellmoor-t1",
        "/unit/none",
        "/api/openapi.json",
        "/explain/x",
        "/records",
        "/nothing",
        "/api/check?token=0123456789abcdef0123456789abcdef",
    ] {
        let reply = server.get(path);
        assert_eq!(reply.status, 401, "{path}");
        assert!(!reply.body.contains("fellmoor"), "{path}");
    }
    assert_eq!(server.post("/api/check", "{}").status, 401);
    assert!(!server.log().contains(TOKEN), "the log never holds the token");
}

#[test]
fn an_address_that_others_reach_warns_and_answers_to_its_own_names_alone() {
    let path = token_file("outer", TOKEN, 0o600);
    let flags = [UNITS, "--listen", "0.0.0.0:0", "--token-file", &path, "--host", "desk.example"];
    let server = Server::started(&flags);
    let warned = server.said.iter().any(|line| line.contains("WARNING") && line.contains("TLS"));
    assert!(warned, "{:?}", server.said);
    let status = |host: &str| {
        let head =
            format!("GET /api/units HTTP/1.1\r\nHost: {host}\r\nAuthorization: Bearer {TOKEN}\r\n");
        server.sent(format!("{head}Connection: close\r\n\r\n").as_bytes()).status
    };
    assert_eq!(status("desk.example"), 200);
    assert_eq!(status("evil.example"), 421);
    assert_eq!(status(&server.host()), 421, "not its own name, when it listens for others");
    let quiet = Server::of_the_demo();
    assert!(!quiet.said.iter().any(|line| line.contains("WARNING")), "{:?}", quiet.said);
}
