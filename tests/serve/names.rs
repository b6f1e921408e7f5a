//! The name of a unit is looked up and never becomes a path.

use crate::client::encoded;
use crate::server::{AS_OF, Server, folder_with_a_unit};
use std::fs;

const QUESTION: &str = "load=1.1&for=2h&preload=0.6&ambient=20&draws=0";

#[test]
fn a_name_cannot_leave_the_folder() {
    let around = folder_with_a_unit("outside");
    let folder = around.join("units");
    fs::create_dir(&folder).unwrap();
    let secret =
        fs::read_to_string(around.join("t1.yaml")).unwrap().replace("fellmoor-t1", "hidden-unit");
    fs::rename(around.join("t1.yaml"), folder.join("t1.yaml")).unwrap();
    fs::write(around.join("hidden.yaml"), secret).unwrap();
    let server = Server::started(&[folder.to_str().unwrap(), "--as-of", AS_OF]);
    let absolute = around.join("hidden.yaml");
    let absolute = absolute.to_str().unwrap();
    for name in [
        "../hidden",
        "../hidden.yaml",
        "..%2fhidden.yaml",
        "%2e%2e%2fhidden.yaml",
        "%252e%252e%252fhidden.yaml",
        "..%5chidden.yaml",
        "..\\hidden.yaml",
        "....//hidden.yaml",
        "./t1.yaml",
        "t1",
        "t1.yaml",
        "t1.yaml%00",
        "%00",
        "fellmoor-t1%00",
        "fellmoor-t1/",
        "fellmoor-t1%2f..%2ffellmoor-t1",
        "..",
        ".",
        "%2e%2e",
        "hidden-unit",
        "%c0%ae%c0%ae%c0%afhidden.yaml",
        "%ff",
        "FELLMOOR-T1",
        "fellmoor-t1%20",
        "etc%2fpasswd",
        "%2fetc%2fpasswd",
        &encoded(absolute),
        &absolute[1..],
        "file:%2f%2f%2fetc%2fpasswd",
    ] {
        for path in [
            format!("/unit/{name}"),
            format!("/unit/{name}?{QUESTION}"),
            format!("/unit/{name}/moisture"),
            format!("/unit/{name}/report?{QUESTION}"),
            format!("/api/check?unit={}&{QUESTION}", name.replace('\\', "%5c")),
            format!("/api/moisture?unit={}", name.replace('\\', "%5c")),
            format!("/explain/{name}"),
            format!("/{name}"),
            format!("/api/{name}"),
            format!("/records/{name}"),
        ] {
            let reply = server.get(&path);
            let none = [400, 404].contains(&reply.status);
            assert!(none, "{path}: {} {}", reply.status, reply.body);
            let folder = around.to_str().unwrap();
            let mut told = vec!["Serial", "root:", "verdict"];
            // Who asks for a path may be shown what they asked for.
            if !name.ends_with("hidden.yaml") {
                told.push(folder);
            }
            assert!(told.iter().all(|told| !reply.body.contains(told)), "{path}: {}", reply.body);
        }
    }
    assert_eq!(server.get("/unit/fellmoor-t1").status, 200);
    assert_eq!(server.get("/unit/%66ellmoor-t1").status, 200, "the same name, spelt in full");
}

#[test]
fn a_name_that_is_markup_stays_text() {
    let server = Server::of_the_demo();
    let name = encoded("<script>alert(1)</script>\"'><img src=x onerror=alert(1)>");
    for path in [
        format!("/unit/{name}"),
        format!("/explain/{name}"),
        format!("/unit/fellmoor-t1?{QUESTION}&cooling={name}"),
        format!("/unit/fellmoor-t1?{QUESTION}&{name}=1"),
        format!("/unit/fellmoor-t1?step_pu={name}&step_for={name}&preload={name}&as-of={name}"),
        format!("/unit/fellmoor-t1/moisture?hot-spot={name}"),
        format!("/fleet?load={name}&for=1h"),
    ] {
        let reply = server.get(&path);
        assert!([400, 404].contains(&reply.status), "{path}");
        assert!(!reply.body.contains("<script>alert") && !reply.body.contains("<img"), "{path}");
    }
}

#[test]
fn a_profile_whose_name_is_markup_is_shown_as_text_or_refused() {
    let folder = folder_with_a_unit("markup");
    let text = fs::read_to_string(folder.join("t1.yaml")).unwrap();
    let name = "\"<img src=x onerror=alert(1)>\"";
    fs::write(
        folder.join("evil.yaml"),
        text.replace("unit: fellmoor-t1", &format!("unit: {name}")),
    )
    .unwrap();
    let server = Server::started(&[folder.to_str().unwrap(), "--as-of", AS_OF]);
    for path in ["/", "/fleet", "/unit/fellmoor-t1"] {
        let reply = server.get(path);
        assert_eq!(reply.status, 200, "{path}: {}", reply.body);
        assert!(!reply.body.contains("<img src=x"), "{path}");
    }
}
