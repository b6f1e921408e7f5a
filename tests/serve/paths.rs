//! No reply names a folder of this machine.

use crate::server::{AS_OF, Server, folder_with_a_unit};
use serde_json::json;
use std::fs;
use std::os::unix::fs::symlink;

const QUESTION: &str = "load=1.1&for=2h&preload=0.6&ambient=20&draws=0";

#[test]
fn neither_answers_nor_refusals_name_a_folder() {
    let around = folder_with_a_unit("around");
    let folder = around.join("units");
    fs::create_dir(&folder).unwrap();
    let good = fs::read_to_string(around.join("t1.yaml")).unwrap();
    fs::rename(around.join("t1.yaml"), folder.join("t1.yaml")).unwrap();
    let named = |unit: &str| good.replace("unit: fellmoor-t1", &format!("unit: {unit}"));
    fs::write(folder.join("torn.yaml"), "unit: torn\nrated: [").unwrap();
    fs::write(folder.join("odd.yaml"), named("odd") + "\nodd_key: 1\n").unwrap();
    fs::write(folder.join("one.yaml"), named("twice")).unwrap();
    fs::write(folder.join("two.yaml"), named("twice")).unwrap();
    fs::write(folder.join("bytes.yaml"), [0xff, 0xfe]).unwrap();
    symlink(around.join("nowhere.yaml"), folder.join("gone.yaml")).unwrap();
    fs::create_dir(folder.join("folder.yaml")).unwrap();
    for name in ["rules.yaml", "outages.yaml", "loads.csv", "records.sqlite"] {
        fs::write(around.join(name), "broken: [\n").unwrap();
    }
    let path = |name: &str| around.join(name).to_str().unwrap().to_owned();
    let (units, rules, outages) = (path("units"), path("rules.yaml"), path("outages.yaml"));
    let (loads, records) = (path("loads.csv"), path("records.sqlite"));
    let broken =
        ["--rules", &rules, "--outages", &outages, "--loads", &loads, "--records", &records];
    let forms = [
        vec![&units[..], "--as-of", AS_OF],
        [&[&units[..], "--as-of", AS_OF], &broken[..]].concat(),
        [&[&units[..], "--as-of", AS_OF], &broken[2..]].concat(),
    ];
    for flags in forms {
        let server = Server::started(&flags);
        let mut pages = vec![
            "/".to_owned(),
            "/fleet".to_owned(),
            "/records".to_owned(),
            "/records/1".to_owned(),
            "/api/units".to_owned(),
            "/api/records".to_owned(),
            "/api/openapi.json".to_owned(),
            "/api/fleet?load=1.2&for=4h&preload=0.7&ambient=30&draws=0".to_owned(),
            "/api/fleet?times-peak=2&for=4h&draws=0".to_owned(),
        ];
        for unit in [
            "fellmoor-t1",
            "torn",
            "odd",
            "twice",
            "bytes.yaml",
            "gone.yaml",
            "folder.yaml",
            "none",
        ] {
            pages.push(format!("/unit/{unit}?{QUESTION}"));
            pages.push(format!("/unit/{unit}/report?{QUESTION}"));
            pages.push(format!("/unit/{unit}/moisture"));
            pages.push(format!("/unit/{unit}/windows?draws=0"));
            pages.push(format!("/unit/{unit}/ratings?for=30min&draws=0"));
            pages.push(format!("/api/check?unit={unit}&{QUESTION}"));
            pages.push(format!("/api/moisture?unit={unit}"));
            pages.push(format!("/api/rate?unit={unit}&for=30min&draws=0"));
            pages.push(format!("/api/plan?unit={unit}&draws=0"));
        }
        for page in pages {
            let reply = server.get(&page);
            assert!(reply.status > 0, "{page}");
            assert!(!reply.body.contains(around.to_str().unwrap()), "{page}: {}", reply.body);
            let folder = std::env::current_dir().unwrap();
            assert!(!reply.body.contains(folder.to_str().unwrap()), "{page}: {}", reply.body);
        }
    }
}

#[test]
fn a_profile_sent_as_text_names_no_file_of_this_machine() {
    let server = Server::of_the_demo();
    let profile = fs::read_to_string("demo-data/units/fellmoor-t2.yaml").unwrap();
    assert!(profile.contains("fellmoor-t2-probe.csv"), "the demo's profile names a file");
    for name in ["fellmoor-t2-probe.csv", "/etc/passwd", "../../etc/passwd", "profile_yaml"] {
        let body = json!({
            "profile_yaml": profile.replace("fellmoor-t2-probe.csv", name), "load": 1.1, "for": "2h",
            "preload": 0.6, "ambient": 20,
        });
        let reply = server.post("/api/check", &body.to_string());
        assert_eq!(reply.status, 400, "{name}: {}", reply.body);
        assert!(!reply.body.contains("root:"), "{name}");
    }
}
