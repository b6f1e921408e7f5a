//! Every reply of the server, whatever it is, tells a browser to load nothing from elsewhere, run nothing inline and
//! keep nothing.

use crate::client::Reply;
use crate::server::{AS_OF, Server, UNITS, scratch};
use std::fs;
use std::os::unix::fs::PermissionsExt;

const QUESTION: &str = "load=1.2&for=2h&preload=0.65&ambient=27&draws=256";
const FIXED: [(&str, &str); 7] = [
    (
        "content-security-policy",
        "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; connect-src 'self'; \
         form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("x-frame-options", "DENY"),
    ("cache-control", "no-store"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
];

fn guarded(what: &str, reply: &Reply) {
    for (name, value) in FIXED {
        assert_eq!(reply.header(name), Some(value), "{what}");
    }
    assert_eq!(reply.header("server"), None, "{what}");
}

fn pages() -> Vec<String> {
    let of_unit = ["", "/moisture", "/ratings?for=30min&draws=0", "/windows?draws=0"];
    let mut pages: Vec<String> = vec!["/".to_owned(), "/fleet".to_owned(), "/records".to_owned()];
    pages.extend(of_unit.iter().map(|page| format!("/unit/fellmoor-t2{page}")));
    pages.push(format!("/unit/fellmoor-t2?{QUESTION}"));
    pages.push(format!("/unit/fellmoor-t2/report?{QUESTION}"));
    pages.push("/explain/bubbling-margin".to_owned());
    pages
}

fn with_everything() -> Server {
    let records = scratch("headers").join("records.sqlite");
    Server::started(&[
        UNITS,
        "--as-of",
        AS_OF,
        "--outages",
        "demo-data/outages.yaml",
        "--records",
        records.to_str().unwrap(),
    ])
}

#[test]
fn every_kind_of_reply_is_guarded() {
    let server = with_everything();
    let own = |path: &str, status: u16| {
        let reply = server.get(path);
        assert_eq!(reply.status, status, "{path}: {}", reply.body);
        guarded(path, &reply);
    };
    for page in &pages() {
        own(page, 200);
    }
    for path in
        ["/house.css", "/page.css", "/page.js", "/api/units", "/api/openapi.json", "/api/records"]
    {
        own(path, 200);
    }
    own("/unit/fellmoor-t2?load=NaN", 400);
    own("/api/check?unit=fellmoor-t2&load=NaN", 400);
    for path in [
        "/nothing",
        "/unit/none",
        "/explain/none",
        "/api/none",
        "/records/none",
        "/unit/fellmoor-t2/none",
    ] {
        own(path, 404);
    }
    own(&format!("/?{}", "x".repeat(9000)), 414);
    own("/unit/%ff", 400);
    let json = [("Content-Type", "application/json")];
    guarded("405", &server.asked("PUT", "/", &json, "{}"));
    guarded("403", &server.asked("POST", "/", &[], ""));
    let too_large = [json[0], ("Content-Length", "9999999")];
    let reply = server.asked("POST", "/api/check", &too_large, "");
    assert_eq!(reply.status, 413);
    guarded("413", &reply);
    let reply = server.sent(b"GET / HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n");
    assert_eq!(reply.status, 421);
    guarded("421", &reply);
}

#[test]
fn a_refusal_for_want_of_a_token_is_guarded() {
    let path = scratch("headers").join("token");
    fs::write(&path, "x".repeat(32)).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o600)).unwrap();
    let server = Server::started(&[UNITS, "--token-file", path.to_str().unwrap()]);
    let reply = server.get("/");
    assert_eq!(reply.status, 401);
    guarded("401", &reply);
}

/// Every tag of a page.
fn tags(page: &str) -> impl Iterator<Item = &str> {
    page.split('<').skip(1).map(|tag| tag.split('>').next().unwrap_or(""))
}

#[test]
fn no_page_has_inline_script_or_style_or_anything_from_elsewhere() {
    let server = with_everything();
    for path in pages() {
        let reply = server.get(&path);
        assert_eq!(reply.header("content-type"), Some("text/html; charset=utf-8"), "{path}");
        for tag in tags(&reply.body) {
            let name = tag.split_whitespace().next().unwrap_or("");
            let inline = name == "style"
                || name == "iframe"
                || name == "object"
                || name == "base"
                || (name == "script" && !tag.contains(" src=\"/page.js\""));
            assert!(!inline, "{path}: <{tag}>");
            for attribute in tag.split_whitespace().skip(1) {
                let name = attribute.split('=').next().unwrap_or("");
                let acts = attribute.contains('=') && (name == "style" || name.starts_with("on"));
                assert!(!acts, "{path}: <{tag}>");
                let value =
                    attribute.split_once('=').map_or("", |(_, value)| value.trim_matches('"'));
                let leads = ["href", "src", "action", "xlink:href", "formaction"].contains(&name);
                let inside = ["/", "#", "data:,"].iter().any(|start| value.starts_with(start));
                assert!(!leads || (inside && !value.starts_with("//")), "{path}: <{tag}>");
            }
        }
    }
}

#[test]
fn every_link_of_a_page_leads_somewhere() {
    let server = with_everything();
    for path in pages() {
        let page = server.get(&path).body;
        for part in page.split("href=\"/").skip(1) {
            let link = part.split('"').next().unwrap().replace("&amp;", "&").replace("&#38;", "&");
            let costly = link.contains("windows") || link.contains("ratings");
            if !costly {
                assert_eq!(server.get(&format!("/{link}")).status, 200, "{path}: /{link}");
            }
        }
    }
}
