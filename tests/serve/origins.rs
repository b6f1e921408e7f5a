//! A page of another site can link here, and can neither load from here nor change anything.

use crate::server::{AS_OF, Server, UNITS, scratch};

const FORM: (&str, &str) = ("Content-Type", "application/x-www-form-urlencoded");
const JSON: (&str, &str) = ("Content-Type", "application/json");

#[test]
fn a_post_of_another_site_is_refused() {
    let records = scratch("origins").join("records.sqlite");
    let records = records.to_str().unwrap();
    let server = Server::started(&[UNITS, "--as-of", AS_OF, "--records", records]);
    let own = format!("http://{}", server.host());
    let other_port = "http://127.0.0.1:1";
    for headers in [
        &[FORM][..],
        &[],
        &[("Content-Type", "text/plain")],
        &[("Content-Type", "multipart/form-data; boundary=application/json")],
        &[FORM, ("Origin", "http://evil.example")],
        &[FORM, ("Origin", "null")],
        &[FORM, ("Origin", "")],
        &[FORM, ("Origin", other_port)],
        &[JSON, ("Origin", "http://evil.example")],
        &[JSON, ("Origin", "null")],
        &[JSON, ("Sec-Fetch-Site", "cross-site")],
        &[JSON, ("Sec-Fetch-Site", "same-site")],
        &[JSON, ("Sec-Fetch-Site", "none")],
        &[JSON, ("Origin", &own), ("Sec-Fetch-Site", "cross-site")],
        &[JSON, ("Origin", &own), ("Origin", "http://evil.example")],
        &[JSON, ("Content-Type", "text/plain")],
    ] {
        for path in ["/api/check", "/records", "/records/1/after", "/"] {
            let reply = server.asked("POST", path, headers, "unit=fellmoor-t1");
            assert_eq!(reply.status, 403, "{path} {headers:?}");
        }
    }
    assert!(!std::path::Path::new(records).exists(), "nothing was written");
    let allowed = [FORM, ("Origin", &own), ("Sec-Fetch-Site", "same-origin")];
    let reply = server.asked("POST", "/records", &allowed, "unit=fellmoor-t1");
    assert_eq!(reply.status, 400, "our own page is heard: {}", reply.body);
}

#[test]
fn another_site_may_link_here_and_not_load_from_here() {
    let server = Server::of_the_demo();
    let asked = |path: &str, site: &str, mode: &str, kind: &str| {
        let headers =
            [("Sec-Fetch-Site", site), ("Sec-Fetch-Mode", mode), ("Sec-Fetch-Dest", kind)];
        server.asked("GET", path, &headers, "").status
    };
    for path in ["/", "/unit/fellmoor-t1", "/api/units", "/page.js"] {
        assert_eq!(asked(path, "cross-site", "navigate", "document"), 200, "{path}");
        assert_eq!(asked(path, "same-origin", "cors", "empty"), 200, "{path}");
        assert_eq!(asked(path, "none", "navigate", "document"), 200, "{path}");
        for site in ["cross-site", "same-site", "", "anything"] {
            for mode in ["no-cors", "cors", "same-origin", "websocket", ""] {
                assert_eq!(asked(path, site, mode, "empty"), 403, "{path} {site} {mode}");
            }
        }
    }
    let reply = server.asked("GET", "/api/units", &[("Origin", "http://evil.example")], "");
    assert_eq!(reply.header("access-control-allow-origin"), None);
    assert_eq!(reply.header("cross-origin-resource-policy"), Some("same-origin"));
}

#[test]
fn other_methods_change_nothing() {
    let server = Server::of_the_demo();
    for method in ["OPTIONS", "PUT", "DELETE", "TRACE", "PATCH", "CONNECT", "POST", "BREW", "get"] {
        for path in ["/", "/api/units", "/unit/fellmoor-t1", "/records", "/page.css"] {
            let bare = server.asked(method, path, &[], "");
            assert!([400, 403].contains(&bare.status), "{method} {path}: {}", bare.status);
            let reply = server.asked(method, path, &[JSON], "{}");
            let refused = [400, 403, 404, 405].contains(&reply.status);
            assert!(refused, "{method} {path}: {}", reply.status);
            assert_eq!(reply.header("access-control-allow-origin"), None);
        }
    }
    let head = server.asked("HEAD", "/api/units", &[], "");
    assert_eq!((head.status, head.body.as_str()), (200, ""));
}
