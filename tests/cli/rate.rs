//! `rate` as its users run it.

use super::run::{AS_OF, T1, T2, altered, json, run, scratch, written};
use std::fs;

const QUICK: [&str; 6] = ["--for", "30min,4h,continuous", "--ambient", "10,30", "--draws", "256"];

fn rate(unit: &str, flags: &[&str]) -> super::run::Ran {
    run(&[&["rate", unit], flags, &AS_OF].concat())
}

#[test]
fn the_wet_unit_is_rated_and_what_must_be_said_comes_first() {
    let ran = rate(T2, &QUICK);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let mut lines = ran.stdout.lines();
    assert!(lines.next().unwrap().ends_with("bubbling governs"), "{}", ran.stdout);
    assert!(ran.stdout.lines().take(4).any(|line| line.contains("may bubble before")));
    for line in ran.stdout.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for word in ["Side by side", "facility", "local rules decide", "transformer only"] {
        assert!(ran.stdout.contains(word), "{word}: {}", ran.stdout);
    }
}

#[test]
fn a_usual_table_fits_eighty_columns() {
    let ran = rate(T1, &["--draws", "0", "--for", "15min,24h", "--preload", "0.5,1"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.lines().all(|line| line.chars().count() <= 80), "{}", ran.stdout);
}

#[test]
fn json_and_a_check_of_each_of_its_cells_agree() {
    let ran = rate(
        T2,
        &[&QUICK[..], &["--format", "json", "--limits", "iec-long-time-emergency"]].concat(),
    );
    let all = json(&ran);
    let cells = all["cells"].as_array().unwrap();
    assert_eq!(cells.len(), 6);
    for cell in cells.iter().filter(|cell| !cell["duration_min"].is_null()) {
        let load = cell["load_pu"].as_f64().unwrap();
        let long = format!("{}min", cell["duration_min"]);
        let ambient = cell["ambient_c"].to_string();
        let checked = |load: f64, ambient: &str| {
            let load = load.to_string();
            let flags = ["--load", &load, "--for", &long, "--ambient", ambient, "--preload", "0.7"];
            let limits = ["--limits", "iec-long-time-emergency", "--draws", "256"];
            run(&[&["check", T2], &flags[..], &limits, &AS_OF].concat()).code
        };
        assert_eq!(checked(load, &ambient), 0, "{cell}");
        let held = &cell["held_by"]["ambient_c"];
        let ambient = if held.is_null() { ambient } else { held.to_string() };
        assert_eq!(checked(1.01 * load, &ambient), 3, "{cell}");
    }
}

#[test]
fn the_same_question_gives_the_same_answer() {
    let flags = [&QUICK[..], &["--format", "json"]].concat();
    assert_eq!(rate(T2, &flags).stdout, rate(T2, &flags).stdout);
}

#[test]
fn local_rules_can_only_lower_a_rating() {
    let flags = [&QUICK[..], &["--format", "json"]].concat();
    let plain = json(&rate(T2, &flags));
    let ruled =
        json(&rate(T2, &[&flags[..], &["--rules", "profiles/rules/example.yaml"]].concat()));
    let pairs = plain["cells"].as_array().unwrap().iter().zip(ruled["cells"].as_array().unwrap());
    let mut lower = 0;
    for (plain, ruled) in pairs {
        let (without, with) =
            (plain["load_pu"].as_f64().unwrap_or(0.0), ruled["load_pu"].as_f64().unwrap_or(0.0));
        // A search may end 0.002 pu below the load that just passes.
        assert!(with <= without + 0.002, "{plain}\n{ruled}");
        lower += usize::from(with < without);
    }
    assert!(lower > 0);
}

#[test]
fn a_forecast_is_rated_from_each_of_its_rows() {
    let folder = scratch("rate-forecast");
    let row = |h: usize| format!("2026-10-{:02}T{:02}:00:00Z,{}", 20 + h / 24, h % 24, 15 + h % 7);
    let rows = (0..30).map(row).collect::<Vec<_>>().join("\n");
    let path = written(&folder, "forecast.csv", format!("time,ambient_c\n{rows}\n"));
    let flags =
        ["--ambient-file", &path, "--for", "1h,24h,continuous", "--draws", "0", "--format", "json"];
    let ran = rate(T1, &[&flags[..], &["--limits", "iec-long-time-emergency"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let cells = json(&ran)["cells"].as_array().unwrap().clone();
    assert_eq!(cells.len(), 60, "a cell for each row and each duration that ends");
    let known = |minutes: f64| {
        cells
            .iter()
            .filter(|cell| {
                cell["duration_min"].as_f64() == Some(minutes) && !cell["load_pu"].is_null()
            })
            .count()
    };
    // The last row is 29 h after the first: 24 h fit from the first six rows, 1 h from all but the last.
    assert_eq!((known(60.0), known(1440.0)), (29, 6));
    let ends = cells.iter().filter(|cell| cell["governs"]["code"] == "input-forecast-ends").count();
    assert_eq!(ends, 25);
}

#[test]
fn a_forecast_without_times_is_refused() {
    let ran = rate(T1, &["--ambient-file", "demo-data/ambient/warm-evening.csv"]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.stderr.contains("no column time") && ran.stderr.contains("RFC 3339"),
        "{}",
        ran.stderr
    );
}

#[test]
fn bad_lists_are_refused() {
    for (flags, says) in [
        (["--for", "0min"], "from 1min to 24h, or continuous"),
        (["--for", "forever"], "from 1min to 24h, or continuous"),
        (["--for", "1h,60min"], "each value once"),
        (["--preload", "1.2"], "up to 1 pu"),
        (["--preload", "nan"], "per unit"),
        (["--ambient", "inf"], "°C"),
        (["--limits", "none-such"], "one of"),
        (["--cooling", "OFWF"], "a stage of this unit"),
    ] {
        let ran = rate(T1, &flags);
        assert_eq!(ran.code, 2, "{flags:?}");
        assert!(ran.stderr.contains(says), "{flags:?}: {}", ran.stderr);
    }
}

#[test]
fn what_is_not_known_or_forbidden_has_its_exit_code() {
    let folder = scratch("rate-exit");
    let text = fs::read_to_string(T1).unwrap();
    let alarm = text.replace("gas_relay_alarm: false", "gas_relay_alarm: true");
    assert_ne!(alarm, text);
    assert_eq!(rate(&written(&folder, "alarm.yaml", alarm), &QUICK).code, 3);
    let dry = text
        .lines()
        .filter(|line| !line.starts_with("moisture:") && !line.contains("dielectric-response"));
    let unknown = dry.collect::<Vec<_>>().join("\n");
    assert_eq!(rate(&written(&folder, "unknown.yaml", unknown), &QUICK).code, 4);
}

#[test]
fn a_folder_is_rated_with_a_line_for_each_unit_that_could_not_be() {
    let folder = scratch("rate-folder");
    for left in ["y.yaml", "z.yaml"] {
        // From a run that failed.
        let _ = fs::remove_file(folder.join(left));
    }
    let text = fs::read_to_string(T1).unwrap();
    for number in 0..3 {
        let name = text.replace("unit: fellmoor-t1", &format!("unit: fellmoor-x{number}"));
        written(&folder, &format!("x{number}.yaml"), name);
    }
    let place = folder.display().to_string();
    let ran = rate(&place, &["--draws", "0", "--for", "1h", "--ambient", "20"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.starts_with("3 units rated, 0 could not be rated"), "{}", ran.stdout);
    written(&folder, "y.yaml", text.replace("gas_relay_alarm: false", "gas_relay_alarm: true"));
    let ran = rate(&place, &["--draws", "0", "--for", "1h", "--ambient", "20"]);
    assert_eq!(ran.code, 4);
    assert!(ran.stdout.contains("y: no rating: The gas relay's alarm stands."), "{}", ran.stdout);
    written(&folder, "z.yaml", "unit: [");
    let ran = rate(&place, &["--draws", "0", "--for", "1h", "--ambient", "20", "--format", "csv"]);
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("z: refused:"), "{}", ran.stderr);
    assert_eq!(ran.stdout.lines().filter(|line| line.starts_with("fellmoor-x")).count(), 6);
    fs::remove_file(folder.join("y.yaml")).unwrap();
    fs::remove_file(folder.join("z.yaml")).unwrap();
}

#[test]
fn cim_names_its_winding_and_has_the_same_ids_twice() {
    let flags = [&QUICK[..], &["--format", "cim", "--winding", "LV"]].concat();
    let ids = |text: &str| -> Vec<String> {
        let all = text.split("rdf:ID=\"").skip(1);
        all.map(|rest| rest.split('"').next().unwrap().to_owned()).collect()
    };
    let (one, two) = (rate(T2, &flags), rate(T2, &flags));
    assert_eq!(one.code, 0, "{}", one.stderr);
    assert!(ids(&one.stdout).len() > 20);
    assert_eq!(ids(&one.stdout), ids(&two.stdout));
    let none = rate(T2, &[&QUICK[..], &["--format", "cim", "--winding", "TV"]].concat());
    assert_eq!(none.code, 2);
    assert!(none.stderr.contains("HV") && none.stderr.contains("LV"), "{}", none.stderr);
}

#[test]
fn an_altered_profile_changes_the_hash() {
    let folder = scratch("rate-hash");
    let flags = ["--draws", "0", "--for", "1h", "--ambient", "20", "--format", "json"];
    let one = json(&rate(T1, &flags));
    let other = altered(&folder, "loss_ratio: 6", "loss_ratio: 7");
    let two = json(&rate(&other, &flags));
    assert_ne!(one["inputs_sha256"], two["inputs_sha256"]);
}

#[test]
fn tables_and_pictures_of_water_and_time_carry_what_they_rest_on() {
    let folder = scratch("rate-origin");
    for show in ["water", "capability"] {
        let chart = folder.join(format!("{show}.svg")).display().to_string();
        let flags = ["--show", show, "--format", "csv", "--chart", &chart, "--draws", "0"];
        let ran = rate(T2, &[&flags[..], &["--for", "1h,4h", "--ambient", "20"]].concat());
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        let picture = fs::read_to_string(&chart).unwrap();
        let header = ran.stdout.lines().find(|line| !line.starts_with("# ")).unwrap();
        assert!(header.starts_with("unit,limits,"), "{}", ran.stdout);
        let parts = ["bubblemargin-rating-1", "inputs sha256 ", "assumed: ", "transformer only"];
        for part in parts {
            assert!(ran.stdout.contains(part) && picture.contains(part), "{part}: {}", ran.stdout);
        }
    }
}

#[test]
fn a_trip_that_may_read_low_says_so() {
    let folder = scratch("rate-low");
    let series = "fellmoor-t2-probe.csv";
    fs::copy(format!("demo-data/units/{series}"), folder.join(series)).unwrap();
    let whole = fs::read_to_string(T2).unwrap();
    let first = |trip_c: &str| {
        let trip = format!("alarm_c: 90, trip_c: {trip_c}");
        let text = whole.replace("alarm_c: 110, trip_c: 125", &trip);
        assert_ne!(text, whole);
        let unit = written(&folder, "unit.yaml", text);
        let flags = ["--for", "1h", "--ambient", "20", "--preload", "0.6", "--draws", "0"];
        let ran = rate(&unit, &flags);
        ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    // It bubbles from 114.6 °C on: 112 °C alone lies below, and 3 K above that does not.
    let low = first("112");
    assert!(low.contains("before winding indicator trips; it may read 3 K low."), "{low}");
    assert!(low.contains("is set to 112.0 °C and may read 3 K low; the paper may bubble"), "{low}");
    assert!(first("120").contains("before winding indicator trips. "), "above without it");
}

/// One rating of the wet unit, at little cost.
const ONE_CELL: [&str; 8] =
    ["--for", "1h", "--ambient", "20", "--limits", "iec-long-time-emergency", "--draws", "256"];

/// The demo unit in a folder of its own, with the file that it names.
fn copied(test: &str, was: &str, is: &str) -> (std::path::PathBuf, String) {
    let folder = scratch(test);
    fs::copy("demo-data/units/fellmoor-t2-probe.csv", folder.join("fellmoor-t2-probe.csv"))
        .unwrap();
    let text = fs::read_to_string(T2).unwrap();
    assert!(was == is || text.contains(was), "{was}");
    let unit = written(&folder, "unit.yaml", text.replace(was, is));
    (folder, unit)
}

#[test]
fn a_facility_rating_that_fell_no_longer_holds() {
    let (folder, unit) = copied("rate-facility-fell", "continuous_a: 260", "continuous_a: 125");
    let old = rate(T2, &[&ONE_CELL[..], &["--format", "json"]].concat());
    let path = written(&folder, "old.json", &old.stdout);
    let then = json(&old)["cells"][0]["facility"]["load_pu"].as_f64().unwrap();
    let found =
        json(&rate(&unit, &[&ONE_CELL[..], &["--compare", &path, "--format", "json"]].concat()));
    let now = found["cells"][0]["facility"]["load_pu"].as_f64().unwrap();
    assert!(now < then - 0.01, "{now} of {then}");
    let changes = &found["changes"];
    assert_eq!(changes["no_longer_hold"], 1, "{changes}");
    assert_eq!(changes["facility_no_longer_hold"], 1, "{changes}");
    let changed = &changes["changed"][0];
    assert_eq!(changed["of"], "facility");
    assert_eq!(changed["by"][0]["name"], "unit.series_elements", "{changed}");
    let text = rate(&unit, &[&ONE_CELL[..], &["--compare", &path]].concat()).stdout;
    let first = "1 of 2 earlier ratings no longer holds, 1 of them a facility rating.";
    assert!(text.starts_with(first) || text.contains(first), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    // Nothing is named in series any more: the facility has no rating.
    let whole = fs::read_to_string(T2).unwrap();
    let (before, after) = whole.split_once("series_elements:\n").unwrap();
    let after: String =
        after.split_inclusive('\n').skip_while(|line| line.starts_with(' ')).collect();
    let unit = written(&folder, "gone.yaml", format!("{before}{after}"));
    let found =
        json(&rate(&unit, &[&ONE_CELL[..], &["--compare", &path, "--format", "json"]].concat()));
    assert_eq!(found["changes"]["facility_no_longer_hold"], 1, "{}", found["changes"]);
}

#[test]
fn ratings_of_another_question_are_not_compared() {
    let (folder, unit) = copied("rate-other-question", "percent: 3.3,", "percent: 3.6,");
    let old = rate(T2, &[&ONE_CELL[..], &["--format", "json"]].concat());
    let path = written(&folder, "old.json", &old.stdout);
    let cases: [(&[&str], &str); 4] = [
        (&["--draws", "0"], "--draws 256 then, --draws 0 now"),
        (&["--draws", "256", "--seed", "3"], "--seed "),
        (&["--draws", "256", "--load-std", "0"], "--load-std not stated then, --load-std 0.0 now"),
        (
            &["--draws", "256", "--cooling", "ONAN"],
            "--cooling not stated then, --cooling \"ONAN\" now",
        ),
    ];
    for (flags, named) in cases {
        let ran = rate(&unit, &[&ONE_CELL[..6], flags, &["--compare", &path]].concat());
        assert_eq!((ran.code, ran.stdout.as_str()), (2, ""), "{flags:?}: {}", ran.stderr);
        assert!(ran.stderr.contains(named), "{named}: {}", ran.stderr);
    }
    // Another table is the same question: what both have is compared.
    let wider = ["--for", "30min,1h", "--ambient", "20", "--draws", "256", "--compare", &path];
    let ran = rate(&unit, &wider);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains(" of 2 earlier ratings no longer hold"), "{}", ran.stdout);
    // A rating whose key was taken away is not one that never was.
    let without = old.stdout.replace("\"load_pu\"", "\"load\"");
    let edited = written(&folder, "edited.json", without);
    let ran = rate(&unit, &[&ONE_CELL[..], &["--compare", &edited]].concat());
    assert_eq!((ran.code, ran.stdout.as_str()), (2, ""), "{}", ran.stderr);
    assert!(ran.stderr.contains("load_pu"), "{}", ran.stderr);
}
