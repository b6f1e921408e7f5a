//! Every window that goes, asked of the command `check` at its worst hour.

use crate::brute_force::near_the_limit;
use crate::run::{json, run, scratch};
use crate::scene::WET;
use bubblemargin::planning::answer::planned;
use bubblemargin::planning::outage::{StartAnswer, WindowAnswer};
use bubblemargin::planning::plan::{Carried, Plan};
use std::fmt::Write;
use std::fs;
use std::path::Path;

const DRAWS: u32 = 256;

/// Minutes from the first moment of the plan to an instant.
fn minute(plan: &Plan, instant: &str) -> f64 {
    let at = chrono::DateTime::parse_from_rfc3339(instant).unwrap();
    (at - plan.begins).num_seconds() as f64 / 60.0
}

/// The load of a start, with what follows it in the last row.
fn loading(carried: &Carried, normally: &Carried, from_min: f64, duration_min: f64) -> String {
    let part = carried.load.part(from_min, from_min + duration_min);
    let last_pu = part.at(duration_min);
    let follows_pu = normally.load.at(from_min + duration_min).min(last_pu).min(1.0);
    let mut text = String::from("minute,load_pu\n");
    for (minute, load_pu) in part.steps().iter().chain([&(duration_min, follows_pu)]) {
        // Writing to a string does not fail.
        let _ = writeln!(text, "{minute},{load_pu}");
    }
    text
}

fn ambient(plan: &Plan, from_min: f64) -> String {
    let mut text = String::from("minute,ambient_c\n");
    let part = plan.ambient.part(from_min, plan.ambient_until_min);
    for (minute, ambient_c) in part.knots() {
        let _ = writeln!(text, "{minute},{ambient_c}");
    }
    text
}

/// Load and ambient up to a start, as a history of `check`.
fn history(plan: &Plan, start: &StartAnswer, (before, from_min): (&Carried, f64)) -> String {
    let mut minutes: Vec<f64> = before.load.steps().iter().map(|step| step.0).collect();
    minutes.extend(plan.ambient.knots().iter().map(|knot| knot.0));
    minutes.retain(|minute| *minute < from_min);
    minutes.push(from_min);
    minutes.sort_by(f64::total_cmp);
    minutes.dedup();
    let mut text = String::from("minute,load_pu,ambient_c\n");
    for minute in minutes {
        let (load_pu, ambient_c) = (before.load.at(minute), plan.ambient.at(minute));
        // Writing to a string does not fail.
        let _ = writeln!(text, "{},{load_pu},{ambient_c}", minute - from_min);
    }
    assert!(text.lines().count() > 20, "{start:?}: a past of less than a day");
    text
}

/// Asks `check` about a start as the plan found it, and compares; then from the plan's own past, which may be no worse.
fn asked_again(plan: &Plan, folder: &Path, start: &StartAnswer) {
    let outage = &plan.outages[0];
    let (carried, from, duration_min, limits) = match &start.trip {
        None => (&outage.carries[0], &start.start, outage.duration_min, &plan.limits),
        Some(trip) => {
            let carried = &outage.next_trips[0].carries[0];
            (carried, &trip.at, outage.recall_min.unwrap(), &plan.next_trip_limits)
        }
    };
    let from_min = minute(plan, from);
    let unit = &plan.units[carried.unit];
    let far = |std: f64| std.to_string();
    let load_std = far(unit.unit.spread.load_percent.far_ahead(0.0, 1.0).own_std_at(0.0));
    let ambient_std = far(unit.unit.spread.ambient_k.far_ahead(0.0, 1.0).std_at(0.0));
    let (load, air) = (folder.join("load.csv"), folder.join("ambient.csv"));
    fs::write(&load, loading(carried, &unit.normally, from_min, duration_min)).unwrap();
    fs::write(&air, ambient(plan, from_min)).unwrap();
    let profile = folder.join("unit.yaml");
    let preload = format!("{:.3}", start.preload_pu);
    let preload_from = format!("{:.3}", start.preload_from_pu);
    let before = match &start.trip {
        None => &unit.normally,
        Some(_) => &outage.carries[0],
    };
    let past = folder.join("history.csv");
    fs::write(&past, history(plan, start, (before, from_min))).unwrap();
    let draws = DRAWS.to_string();
    let question = [
        "check",
        profile.to_str().unwrap(),
        "--loading",
        load.to_str().unwrap(),
        "--ambient-file",
        air.to_str().unwrap(),
        "--limits",
        limits,
        "--load-std",
        &load_std,
        "--ambient-std",
        &ambient_std,
        "--draws",
        &draws,
        "--as-of",
        "2026-10-20",
        "--format",
        "json",
    ];
    let from = ["--preload", &preload, "--preload-from", &preload_from, "--preload-varies"];
    let ran = run(&[&question[..], &from].concat());
    assert_eq!(ran.code, 0, "{start:?}: {}{}", ran.stdout, ran.stderr);
    let margin_k = json(&ran)["bubbling"]["margin_low_k"].as_f64().unwrap();
    // What its own past may spread more is taken off beside.
    let off_k = start.margin_low_k.unwrap() + 0.5 - margin_k;
    // Hours instead of minutes move a peak by some ten-thousandths of a kelvin, and of two neighbouring starts that are
    // equally bad but for that the other one may be taken with all draws.
    assert!(off_k.abs() < 0.05, "{start:?}: {margin_k}");
    let ran = run(&[&question[..], &["--history", past.to_str().unwrap()]].concat());
    let least_k = json(&ran)["bubbling"]["margin_low_k"].as_f64();
    assert_eq!(ran.code, 0, "from its own past {least_k:?}, {start:?}: {}", ran.stderr);
}

#[test]
fn every_window_that_goes_is_a_go_of_check_at_its_worst_hour() {
    let scene = near_the_limit(DRAWS);
    let question = scene.question(Vec::new());
    let answer = planned(&question);
    let folder = scratch("plan-check");
    fs::write(folder.join("unit.yaml"), WET.as_str()).unwrap();
    let probe = "demo-data/units/fellmoor-t2-probe.csv";
    fs::copy(probe, folder.join("fellmoor-t2-probe.csv")).unwrap();
    let outage = &answer.outages[0];
    let both = [&outage.as_planned, outage.with_next_trip.as_ref().unwrap()];
    let windows: Vec<&WindowAnswer> = both.iter().flat_map(|case| &case.windows).collect();
    assert!(windows.len() >= 6, "{}", windows.len());
    for window in windows {
        asked_again(&question.plan, &folder, &window.worst);
    }
}
