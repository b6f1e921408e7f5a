//! Standing orders held against earlier ones: what no longer holds is listed first, with its cause.

use super::run::{AS_OF, json, run, scratch, written};
use super::{T2, of, wet, words};
use bubblemargin::planning::orders::compare::old::OldOrders;
use bubblemargin::planning::orders::compare::{OrdersComparison, Owed, compare};
use bubblemargin::planning::orders::{Standing, StandingOrders};
use bubblemargin::rating::inputs::{Given, InputPart, files, parts, rejoin};
use bubblemargin::report::plan_orders_changes::rendered;
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit_with;
use serde_json::{Value, json as value};
use unicode_width::UnicodeWidthStr;

const PROBE: &str = include_str!("../../demo-data/units/fellmoor-t2-probe.csv");

fn parts_of(profile: &str) -> Vec<InputPart> {
    let files = [("fellmoor-t2-probe.csv".to_owned(), PROBE.to_owned())];
    let catalogue = Catalogue::embedded();
    let (files, catalogue) = (files.as_slice(), &catalogue);
    parts(&Given { unit: profile, files, rules: None, catalogue, flags: "none", as_of: None })
}

fn unit_of(parts: &[InputPart]) -> Unit {
    let text = rejoin(parts).unwrap();
    let probe = files(parts).next().unwrap().1.to_owned();
    let mut beside = |name: &str| Ok((name.to_owned(), probe.clone()));
    read_unit_with("t2", &text, &Catalogue::embedded(), &mut beside).unwrap()
}

/// The orders of a profile, which say what they were computed from.
fn orders_of(profile: &str) -> StandingOrders {
    let parts = parts_of(profile);
    StandingOrders { inputs: parts.clone(), ..of(unit_of(&parts), 0) }
}

#[allow(clippy::unnecessary_wraps, reason = "what recomputes orders may fail elsewhere")]
fn recomputed(parts: &[InputPart]) -> Result<StandingOrders, String> {
    Ok(of(unit_of(parts), 0))
}

fn never(_: &[InputPart]) -> Result<StandingOrders, String> {
    Err("must not be asked".to_owned())
}

/// Orders as they are read back later, with something changed in their JSON.
fn earlier(orders: &StandingOrders, change: impl FnOnce(&mut Value)) -> OldOrders {
    let mut json = serde_json::to_value(orders).unwrap();
    change(&mut json);
    OldOrders::read("old.json", &json.to_string(), &orders.unit.name).unwrap()
}

fn raised(json: &mut Value, ceiling: usize, key: &str, by: f64) {
    let own = &mut json["ceilings"][ceiling][key];
    *own = value!(own.as_f64().unwrap() + by);
}

fn plain(found: &OrdersComparison) -> String {
    let text = anstream::adapter::strip_str(&rendered(found)).to_string();
    for line in text.lines() {
        assert!(line.width() <= 80 && line == line.trim_end(), "{line}");
    }
    text
}

#[test]
fn orders_hold_against_themselves() {
    let new = orders_of(T2);
    let found = compare(&earlier(&new, |_| {}), &new, &never);
    assert_eq!((found.permitted_earlier, found.no_longer_hold, found.stops_too_high), (25, 0, 0));
    assert!(found.changed.is_empty() && found.hot_spot_c.is_none());
    assert!(plain(&found).starts_with("None of 25 earlier ceilings is known to have fallen.\n"));
}

#[test]
fn what_this_version_no_longer_permits_is_listed_first_and_owed_to_the_program() {
    let new = orders_of(T2);
    let old = earlier(&new, |json| {
        raised(json, 3, "load_pu", 0.02);
        raised(json, 7, "load_pu", 0.15);
        raised(json, 9, "load_pu", -0.3);
        raised(json, 11, "top_oil_c", 6.0);
        json["hot_spot"]["c"] = value!(139.0);
    });
    let found = compare(&old, &new, &never);
    assert_eq!((found.no_longer_hold, found.stops_too_high, found.not_compared), (2, 1, 0));
    let fell: Vec<bool> = found.changed.iter().map(|own| own.fell).collect();
    assert_eq!(fell, [true, true, true, false]);
    assert!((found.changed[0].change_pu + 0.15).abs() < 1.0e-9, "the greatest fall first");
    assert!(found.changed.iter().all(|own| own.owed == Owed::Program), "no input differs");
    let text = plain(&found);
    let first = words(&text);
    assert!(
        first.starts_with(
            "2 of 25 earlier ceilings no longer hold; 1 earlier stop value of the top oil is too high; hot spot never \
             above 139 °C earlier, "
        ),
        "{text}"
    );
    assert!(first.contains("Withdraw the earlier orders."), "{text}");
    assert!(first.contains("No input differs: this program computes otherwise"), "{text}");
}

#[test]
fn what_a_wetter_paper_takes_is_owed_to_the_inputs() {
    let drier = T2.replace("percent: 3.3,", "percent: 2.4,");
    assert_ne!(drier, T2);
    let (old, new) = (orders_of(&drier), orders_of(T2));
    let found = compare(&earlier(&old, |_| {}), &new, &recomputed);
    assert_eq!(found.inputs_changed, ["unit.moisture"]);
    assert!(found.no_longer_hold > 0 && found.cause_not_known.is_none(), "{found:?}");
    assert!(found.changed.iter().all(|own| own.owed == Owed::Inputs), "{found:?}");
    // The same with a ceiling that this version would not have given either.
    let both = compare(&earlier(&old, |json| raised(json, 0, "load_pu", 0.2)), &new, &recomputed);
    let first = both
        .changed
        .iter()
        .find(|own| own.ambient_c.abs() < 1.0e-9 && own.duration_min == Some(15.0));
    assert!(matches!(first.unwrap().owed, Owed::Both | Owed::Program), "{first:?}");
    assert!(words(&plain(&found)).contains("Inputs that differ: moisture."));
}

#[test]
fn orders_that_do_not_say_their_inputs_are_compared_all_the_same() {
    let new = orders_of(T2);
    let old = earlier(&new, |json| {
        json.as_object_mut().unwrap().remove("inputs");
        raised(json, 0, "load_pu", 0.1);
    });
    let found = compare(&old, &new, &never);
    assert_eq!((found.no_longer_hold, found.changed[0].owed), (1, Owed::NotKnown));
    assert!(words(&plain(&found)).contains("cannot be told apart: the earlier orders do not say"));
}

#[test]
fn where_no_ceiling_can_be_stated_any_more_every_earlier_one_has_fallen() {
    let old = orders_of(T2);
    let alarm = T2.replace("gas_relay_alarm: false", "gas_relay_alarm: true");
    assert_ne!(alarm, T2);
    let new = orders_of(&alarm);
    assert_eq!(new.standing, Standing::Forbidden);
    let found = compare(&earlier(&old, |_| {}), &new, &recomputed);
    assert_eq!((found.no_longer_hold, found.stops_too_high), (25, 0));
    assert!(words(&plain(&found)).starts_with("25 of 25 earlier ceilings no longer hold"));
}

#[test]
fn a_ceiling_that_is_not_asked_for_any_more_is_not_said_to_hold() {
    let new = orders_of(T2);
    let old = earlier(&new, |json| json["ceilings"][4]["ambient_c"] = value!(35.0));
    let found = compare(&old, &new, &never);
    assert_eq!((found.not_compared, found.no_longer_hold), (1, 0));
    assert!(words(&plain(&found)).contains("1 is not among the new ones, so do not count on it."));
}

/// A change of the JSON, and what the refusal names.
type Changed<'n> = (fn(&mut Value), &'n str);

#[test]
fn other_files_and_other_units_are_refused() {
    let orders = orders_of(T2);
    let whole = serde_json::to_value(&orders).unwrap();
    let refused = |change: fn(&mut Value)| {
        let mut json = whole.clone();
        change(&mut json);
        OldOrders::read("old.json", &json.to_string(), "fellmoor-t2").unwrap_err().to_string()
    };
    let cases: [Changed<'_>; 6] = [
        (|json| json["unit"]["name"] = value!("fellmoor-t1"), "unit.name"),
        (|json| json["ceilings"][2]["load_pu"] = value!(50.0), "ceilings[2].load_pu"),
        (|json| json["ceilings"][2]["top_oil_c"] = value!(1.0e9), "ceilings[2].top_oil_c"),
        (|json| json["ceilings"][2] = json["ceilings"][1].clone(), "ceilings[2]"),
        (|json| json["inputs"][0]["text"] = value!("unit: other\n"), "inputs[0] (unit.unit)"),
        (|json| *json = value!({ "verdict": "go" }), "missing field"),
    ];
    for (change, named) in cases {
        let error = refused(change);
        for part in ["old.json", named, "found:", "accepted:"] {
            assert!(error.contains(part), "{part} is not in {error}");
        }
    }
    let error = OldOrders::read("old.json", "unit: x", "fellmoor-t2").unwrap_err();
    assert_eq!(error.line, Some(1));
}

#[test]
fn the_command_holds_orders_against_the_json_it_wrote() {
    let profile = "demo-data/units/fellmoor-t2.yaml";
    let asked = ["plan", profile, "--show", "orders", "--draws", "0", AS_OF[0], AS_OF[1]];
    let mut old = json(&run(&[&asked[..], &["--format", "json"]].concat()));
    assert!(old["inputs"].as_array().is_some_and(|inputs| inputs.len() > 5));
    raised(&mut old, 2, "load_pu", 0.1);
    // A whole plan has its orders under a key.
    let whole = value!({ "orders": old });
    let path = written(&scratch("orders-compare"), "old.json", whole.to_string());
    let ran = run(&[&asked[..], &["--compare", &path]].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.starts_with("1 of 25 earlier ceilings no longer holds."), "{}", ran.stdout);
    let (changes, page) = ran.stdout.split_once("STANDING ORDERS for ").unwrap();
    assert!(changes.contains("program") && !page.contains("no longer hold"), "{}", ran.stdout);
    assert!(ran.stdout.lines().all(|line| line.width() <= 80), "{}", ran.stdout);
    let found = json(&run(&[&asked[..], &["--compare", &path, "--format", "json"]].concat()));
    assert_eq!(found["changes"]["no_longer_hold"], 1);
    assert_eq!(found["changes"]["changed"][0]["owed"], "program");
    let html = run(&[&asked[..], &["--compare", &path, "--format", "html"]].concat()).stdout;
    assert!(html.contains("Against the earlier orders"));
    // Without new orders there is nothing to hold them against.
    let plan = ["plan", profile, "--outages", "demo-data/outages.yaml", "--compare", &path];
    let ran = run(&plan);
    assert_eq!((ran.code, ran.stdout.as_str()), (2, ""));
    assert!(ran.stderr.contains("--show orders"), "{}", ran.stderr);
    let other =
        [&asked[..1], &["demo-data/units/fellmoor-t1.yaml"], &asked[2..], &["--compare", &path]];
    assert_eq!(run(&other.concat()).code, 2);
}

/// Putting inputs back begins with the same unit.
#[test]
fn what_the_orders_were_computed_from_makes_the_same_unit() {
    assert_eq!(unit_of(&parts_of(T2)).name, wet().name);
}

#[test]
fn orders_asked_otherwise_are_not_compared_and_not_said_to_hold() {
    let new = orders_of(T2);
    let old = earlier(&new, |json| json["draws"] = value!(1024));
    let found = compare(&old, &new, &never);
    assert_eq!((found.not_compared, found.no_longer_hold, found.other_question), (25, 0, true));
    let text = words(&plain(&found));
    let first = "25 earlier ceilings not compared: simulated cases 1024 earlier, 0 now; do not count on them.";
    assert!(text.starts_with(first), "{text}");
    // What has fallen all the same is said to have fallen.
    let old = earlier(&new, |json| {
        json["preload_pu"] = value!(0.9);
        raised(json, 3, "load_pu", 0.1);
    });
    let found = compare(&old, &new, &never);
    assert_eq!((found.not_compared, found.no_longer_hold), (24, 1));
    let text = words(&plain(&found));
    let first = "1 of 25 earlier ceilings no longer holds; 24 not compared: preload, pu 0.9 earlier, 0.6 now";
    assert!(text.starts_with(first), "{text}");
    // Other flags, such as another seed, are another question too.
    let old = earlier(&new, |json| {
        let flags = InputPart::of("flags", "other");
        let parts = json["inputs"].as_array_mut().unwrap();
        let own = parts.iter_mut().find(|own| own["name"] == "flags").unwrap();
        *own = serde_json::to_value(flags).unwrap();
    });
    let found = compare(&old, &new, &never);
    assert_eq!(found.not_compared, 25);
    assert!(words(&plain(&found)).contains("not compared: asked with other flags"));
}

#[test]
fn expired_orders_are_said_to_have_expired() {
    let new = orders_of(T2);
    let old = earlier(&new, |json| json["valid_until"]["day"] = value!("2026-10-19"));
    let found = compare(&old, &new, &never);
    assert_eq!(found.expired.as_deref(), Some("2026-10-19"));
    let text = words(&plain(&found));
    let first = "The earlier orders expired: 2026-10-19 was their last day. None of 25";
    assert!(text.starts_with(first) && text.contains("Withdraw the earlier orders."), "{text}");
    let on_the_day = earlier(&new, |json| json["valid_until"]["day"] = value!("2026-10-20"));
    assert_eq!(compare(&on_the_day, &new, &never).expired, None);
}

#[test]
fn a_new_stop_value_a_lost_guard_and_lower_limits_have_fallen() {
    let new = orders_of(T2);
    let stopped = new.ceilings.iter().position(|own| own.top_oil_c.is_some()).unwrap();
    let old = earlier(&new, |json| {
        json["ceilings"][stopped]["top_oil_c"] = value!(null);
        json["hot_spot"] = value!(null);
    });
    let found = compare(&old, &new, &never);
    assert_eq!((found.stops_too_high, found.no_longer_hold), (1, 0));
    assert!(found.hot_spot_c.is_some_and(|own| own[0].is_none() && own[1].is_some()));
    assert!(words(&plain(&found)).contains("Withdraw the earlier orders."));
    // The thermometer guarded a ceiling and does not now: its hot spot gets there before the oil.
    let at = new.ceilings.iter().position(|own| own.load_pu.is_some() && !own.guarded).unwrap();
    let guarded = earlier(&new, |json| json["ceilings"][at]["guarded"] = value!(true));
    let found = compare(&guarded, &new, &never);
    assert_eq!((found.no_longer_guarded, found.changed[0].fell), (1, true));
    let text = words(&plain(&found));
    assert!(text.contains("the top-oil thermometer no longer guards 1 of them"), "{text}");
    // One figure for all ceilings that is lower now, or gone.
    let higher = earlier(&new, |json| json["top_oil"] = value!({ "c": 95.0 }));
    let found = compare(&higher, &new, &never);
    assert!(found.top_oil_c.is_some());
    assert!(words(&plain(&found)).contains("top oil never above 95 °C earlier, "));
}

#[test]
fn a_ceiling_without_its_load_is_refused() {
    let mut json = serde_json::to_value(orders_of(T2)).unwrap();
    json["ceilings"][3].as_object_mut().unwrap().remove("load_pu");
    let error = OldOrders::read("old.json", &json.to_string(), "fellmoor-t2").unwrap_err();
    assert!(error.to_string().contains("load_pu"), "{error}");
}
