//! Every question gets from the server the bytes that the command line prints for it.

use crate::client::encoded;
use crate::server::{AS_OF, Server, UNITS, printed};

const T2: &str = "demo-data/units/fellmoor-t2.yaml";

/// The flags as a query.
fn query(flags: &[(&str, &str)]) -> String {
    flags.iter().map(|(name, value)| format!("&{name}={}", encoded(value))).collect()
}

/// The same as flags of the command line.
fn line(flags: &[(&str, &str)]) -> Vec<String> {
    flags.iter().map(|(name, value)| format!("--{name}={value}")).collect()
}

fn same(server: &Server, command: &str, positional: &str, own: &[&str], flags: &[(&str, &str)]) {
    let unit = if command == "fleet" { "" } else { "unit=fellmoor-t2" };
    let path = format!("/api/{command}?{unit}{}", query(flags));
    let reply = server.get(&path.replace("?&", "?"));
    assert_eq!(reply.status, 200, "{}", reply.body);
    assert_eq!(reply.header("content-type"), Some("application/json"));
    let flags = line(flags);
    let mut arguments = vec![command, positional, "--as-of", AS_OF, "--format", "json"];
    arguments.extend(own);
    arguments.extend(flags.iter().map(String::as_str));
    assert_eq!(reply.body, printed(&arguments), "{command}");
}

#[test]
fn a_check_has_the_same_bytes() {
    let server = Server::of_the_demo();
    for flags in [
        &[("load", "1.2"), ("for", "90min"), ("preload", "0.65"), ("ambient", "27")][..],
        &[
            ("step", "1.2:45min"),
            ("step", "0.9:2h"),
            ("preload", "0.5"),
            ("ambient", "-5.5"),
            ("top-oil", "31"),
            ("condition", "oil_level=low"),
            ("draws", "0"),
        ],
        &[("load", "1.1"), ("for", "4h"), ("preload", "0.65"), ("ambient", "20"), ("why", "")],
    ] {
        let shown: Vec<(&str, &str)> = flags.to_vec();
        let reply = server.get(&format!("/api/check?unit=fellmoor-t2{}", query(&shown)));
        let mut arguments = vec!["check", T2, "--as-of", AS_OF, "--format", "json"];
        let flags: Vec<String> =
            line(&shown).into_iter().map(|flag| flag.trim_end_matches('=').to_owned()).collect();
        arguments.extend(flags.iter().map(String::as_str));
        assert_eq!(reply.body, printed(&arguments));
    }
}

#[test]
fn moisture_has_the_same_bytes() {
    same(&Server::of_the_demo(), "moisture", T2, &[], &[("hot-spot", "85")]);
}

#[test]
fn ratings_have_the_same_bytes() {
    let flags = [("for", "30min,2h"), ("preload", "0.6"), ("ambient", "10,30"), ("draws", "0")];
    same(&Server::of_the_demo(), "rate", T2, &[], &flags);
}

#[test]
fn a_plan_has_the_same_bytes() {
    let own = ["--outages", "demo-data/outages.yaml"];
    let server = Server::started(&[&[UNITS, "--as-of", AS_OF][..], &own].concat());
    same(&server, "plan", T2, &own, &[("draws", "0")]);
}

#[test]
fn a_fleet_has_the_same_bytes() {
    let folder = "demo-data/fleet/units";
    let own = ["--loads", "demo-data/fleet/loads.csv"];
    let server = Server::started(&[&[folder, "--as-of", AS_OF][..], &own].concat());
    same(&server, "fleet", folder, &own, &[("times-peak", "2"), ("for", "4h"), ("draws", "0")]);
}

#[test]
fn rules_of_the_server_count_in_every_question() {
    let rules = ["--rules", "profiles/rules/example.yaml"];
    let server = Server::started(&[&[UNITS, "--as-of", AS_OF][..], &rules].concat());
    let flags = [("load", "1.05"), ("for", "90min"), ("preload", "0.65"), ("ambient", "27")];
    same(&server, "check", T2, &rules, &flags);
}
