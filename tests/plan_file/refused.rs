//! What is refused, with the line, the key, and what was found.

use crate::scene::{Memory, OPTION, PLAN, read, read_with};
use bubblemargin::input::InputError;

/// The refusal of the small plan with one text in the place of another.
fn refused(old: &str, new: &str) -> InputError {
    assert!(PLAN.contains(old), "{old}");
    let error = read(&PLAN.replacen(old, new, 1)).unwrap_err();
    assert_eq!(error.place, "plan.yaml", "{error}");
    error
}

#[track_caller]
fn check(error: &InputError, line: usize, key: &str, found: &str) {
    assert_eq!(error.line, Some(line), "{error}");
    assert!(error.key.as_ref().is_some_and(|own| own.contains(key)), "{error}");
    assert!(error.found.contains(found), "{error}");
    assert!(!error.accepted.is_empty());
}

const CARRIES: &str = "      - { unit: a, series: town, share: 1 }\n";
const TRIP: &str = "    duration: 8h\n    recall: 2h\n    next_trip:\n      - { name: t, carries: [ { unit: a, plus_mva: 9 } ] }\n";

#[test]
fn the_small_plan_itself_is_accepted() {
    read(PLAN).unwrap();
    let trip = read(&PLAN.replace("    duration: 8h\n", TRIP)).unwrap();
    assert_eq!(trip.outages[0].next_trips.len(), 1);
}

#[test]
fn nothing_and_no_outages() {
    let empty = read("").unwrap_err();
    assert_eq!(empty.place, "plan.yaml");
    for text in ["# only a note\n", "\u{feff}", "plan: x\n", "[]\n", "plan: x\nplan: y\n"] {
        assert!(read(text).is_err(), "{text}");
    }
    let begin = PLAN.find("outages:").unwrap();
    let none = read(&format!("{}outages: []\n", &PLAN[..begin])).unwrap_err();
    assert_eq!((none.key.as_deref(), none.found.as_str()), (Some("outages"), "none"));
    let begin = PLAN.find("units:").unwrap();
    let units = read(&PLAN.replace(&PLAN[begin..PLAN.find("outages:").unwrap()], "units: []\n"));
    assert_eq!(units.unwrap_err().key.as_deref(), Some("units"));
}

#[test]
fn names_twice() {
    check(&refused("unit: b,", "unit: A,"), 8, "units.unit", "A twice");
    check(&refused("name: mill", "name: town"), 4, "series.name", "town twice");
    let begin = PLAN.find("  - name: one").unwrap();
    let outage = &PLAN[begin..];
    let error = read(&format!("{PLAN}{outage}")).unwrap_err();
    check(&error, 17, "outages.name", "one twice");
    let option = OPTION.lines().nth(1).unwrap();
    let error = read(&format!("{PLAN}{OPTION}{option}\n")).unwrap_err();
    check(&error, 19, "options.name", "dry twice");
    let trip = "      - { name: t, carries: [ { unit: a, plus_mva: 9 } ] }\n";
    let error = read(&format!("{}{trip}", PLAN.replace("    duration: 8h\n", TRIP))).unwrap_err();
    check(&error, 20, "outages.next_trip.name", "t twice");
}

#[test]
fn units_and_series_that_are_not_in_the_plan() {
    check(&refused("out: [ b ]", "out: [ c ]"), 11, "outages.out", "c");
    check(&refused("out: [ b ]", "out: [ b, b ]"), 11, "outages.out", "b twice");
    check(
        &refused("- { unit: a, series: town, share: 1 }", "- { unit: c, series: town, share: 1 }"),
        13,
        "outages.carries.unit",
        "c",
    );
    check(
        &refused("- { unit: a, series: town, share: 1 }", "- { unit: a, series: city, share: 1 }"),
        13,
        "outages.carries.series",
        "city",
    );
    check(
        &refused("[ { series: town, share: 0.5 } ]", "[ { series: city, share: 0.5 } ]"),
        7,
        "units.normally.series",
        "city",
    );
}

#[test]
fn carriers_that_are_out_or_missing() {
    check(&refused("out: [ b ]", "out: [ a ]"), 13, "outages.carries.unit", "a, which is out");
    let none = format!("    carries:\n{CARRIES}");
    check(&refused(&none, "    carries: []\n"), 10, "outages.carries", "no carrier");
    let trip = PLAN.replace("    duration: 8h\n", TRIP);
    let without = trip.replace("carries: [ { unit: a, plus_mva: 9 } ]", "carries: []");
    check(&read(&without).unwrap_err(), 19, "outages.next_trip.carries", "no carrier");
    let out = trip.replace("{ unit: a, plus_mva: 9 }", "{ unit: b, plus_mva: 9 }");
    check(&read(&out).unwrap_err(), 19, "outages.next_trip.carries.unit", "b, which is out");
}

#[test]
fn a_part_without_a_share_or_a_share_without_a_series() {
    let line = "- { unit: a, series: town, share: 1 }";
    check(&refused(line, "- { unit: a, series: town }"), 13, "outages.carries.share", "nothing");
    check(
        &refused(line, "- { unit: a, share: 1 }"),
        13,
        "outages.carries.share",
        "without a series",
    );
    check(&refused(line, "- { unit: a }"), 13, "outages.carries", "nothing to carry");
    check(
        &refused("[ { series: town, share: 0.5 } ]", "[ {} ]"),
        7,
        "units.normally",
        "nothing to carry",
    );
}

#[test]
fn numbers_out_of_range() {
    for share in ["-0.1", ".nan", ".inf", "10.5", "1e400", "half"] {
        let line = format!("- {{ unit: a, series: town, share: {share} }}");
        let error = refused("- { unit: a, series: town, share: 1 }", &line);
        check(&error, 13, "share", "");
        assert!(error.accepted.contains("from 0 to 10"), "{error}");
    }
    let error = refused("share: 1 }", "share: 1, plus_mva: -3 }");
    check(&error, 13, "plus_mva", "-3");
    let option = |keys: &str| {
        read(&format!(
            "{PLAN}currency: EUR\noptions:\n  - {{ name: x, dries_to_percent: 1, {keys} }}\n"
        ))
        .unwrap_err()
    };
    check(&option("cost: -1"), 19, "cost", "-1");
    check(&option("cost: .nan"), 19, "cost", ".nan");
    check(&option("gas_to_percent: 80"), 19, "gas_to_percent", "80");
    check(&option("takes: 11 years"), 19, "takes", "days");
    check(&option("takes: soon"), 19, "takes", "soon");
    let nothing = read(&format!("{PLAN}options:\n  - {{ name: x, takes: 3 days }}\n")).unwrap_err();
    check(&nothing, 18, "options", "changes nothing");
    let cost = "options:\n  - { name: x, dries_to_percent: 1, cost: 5 }\n";
    check(&read(&format!("{PLAN}{cost}")).unwrap_err(), 18, "options.cost", "without a currency");
}

#[test]
fn a_load_above_five_times_the_rating() {
    // 30 MVA · 7 = 210 MVA from noon on; five times 40 MVA is 200.
    let error = refused("share: 1 }", "share: 7 }");
    check(&error, 13, "outages.carries", "5.25 pu of a at 2026-11-01T12:00:00+00:00");
}

#[test]
fn times_and_durations() {
    let late = refused("latest: 2026-11-02T06:00:00Z", "latest: 2026-11-01T13:59:00Z");
    check(&late, 15, "outages.latest", "479 min after the earliest start");
    let reversed = refused("latest: 2026-11-02T06:00:00Z", "latest: 2026-10-31T06:00:00Z");
    check(&reversed, 15, "outages.latest", "min after the earliest start");
    for (duration, found) in [("0s", "0 min"), ("32 days", "46080 min")] {
        let error = refused("duration: 8h", &format!("duration: {duration}"));
        check(&error, 16, "outages.duration", found);
    }
    for duration in ["8", "-8h", "soon", "''", "99999999999999999999h", "[ 8h ]"] {
        let error = refused("duration: 8h", &format!("duration: {duration}"));
        check(&error, 16, "duration", "");
    }
    for time in ["2026-11-02", "2026-11-02T06:00:00", "2026-13-02T06:00:00Z", "tomorrow", "7"] {
        let error = refused("latest: 2026-11-02T06:00:00Z", &format!("latest: {time}"));
        check(&error, 15, "latest", "");
        assert!(error.accepted.contains("RFC 3339"), "{error}");
    }
}

#[test]
fn a_next_trip_without_a_recall() {
    let text = PLAN.replace("    duration: 8h\n", &TRIP.replace("    recall: 2h\n", ""));
    check(&read(&text).unwrap_err(), 18, "outages.recall", "nothing, and a next trip");
    let text = PLAN.replace("    duration: 8h\n", &TRIP.replace("recall: 2h", "recall: 0s"));
    check(&read(&text).unwrap_err(), 17, "outages.recall", "0 min");
    let empty = refused("    duration: 8h\n", "    duration: 8h\n    next_trip: []\n");
    check(&empty, 10, "outages.next_trip", "an empty list");
}

#[test]
fn outages_beyond_what_the_files_cover() {
    let early = refused("earliest: 2026-11-01T06:00:00Z", "earliest: 2026-10-31T23:00:00Z");
    check(&early, 14, "outages.earliest", "before ambient.csv, line 2, 2026-11-01T00:00:00Z");
    let late = refused("latest: 2026-11-02T06:00:00Z", "latest: 2026-11-03T00:00:01Z");
    check(&late, 15, "outages.latest", "after ambient.csv, line 50, 2026-11-03T00:00:00Z");
    // A series that ends sooner counts where it is used, in the outage or in the normal load.
    let short = PLAN.replace("file: mill.csv", "file: short.csv");
    for used in ["town, share: 1", "town, share: 0.5"] {
        let error = read(&short.replace(used, &used.replace("town", "mill"))).unwrap_err();
        check(&error, 15, "outages.latest", "after short.csv, line 3, 2026-11-01T03:00:00Z");
    }
}

#[test]
fn profiles_limit_sets_and_files() {
    let other = refused("profile: b.yaml", "profile: a.yaml");
    check(&other, 8, "units.profile", "a.yaml, the profile of a");
    let set = refused("plan: small\n", "plan: small\nlimits: none-such\n");
    check(&set, 2, "limits", "none-such");
    let set = refused("plan: small\n", "plan: small\nnext_trip_limits: none-such\n");
    check(&set, 2, "next_trip_limits", "none-such");
    for name in ["../a.yaml", "/a.yaml", "x\\\\a.yaml", "c:a.yaml", "''", "x//a.yaml"] {
        let error = refused("profile: b.yaml", &format!("profile: \"{}\"", name.replace("''", "")));
        check(&error, 8, "profile", "");
        assert!(error.accepted.contains("folder"), "{error}");
    }
    check(
        &refused("ambient: ambient.csv", "ambient: ../ambient.csv"),
        5,
        "ambient",
        "../ambient.csv",
    );
    let gone = read(&PLAN.replace("ambient.csv", "gone.csv")).unwrap_err();
    assert_eq!(gone.place, "gone.csv");
}

#[test]
fn keys_that_nobody_knows() {
    check(
        &refused("duration: 8h", "duration: 8h\n    durations: 8h"),
        17,
        "durations",
        "unknown key",
    );
    check(&refused("share: 1 }", "share: 1, shares: 2 }"), 13, "shares", "unknown key");
    check(&refused("plan: small", "plan: small\nseason: winter"), 2, "season", "unknown key");
}

#[test]
fn more_than_any_plan_needs() {
    let outage = &PLAN[PLAN.find("  - name: one").unwrap()..];
    let many: String =
        (0..64).map(|n| outage.replace("name: one", &format!("name: o{n}"))).collect();
    let error = read(&format!("{PLAN}{many}")).unwrap_err();
    assert_eq!((error.key.as_deref(), error.found.as_str()), (Some("outages"), "65 of them"));
    let option = |n: u32| format!("  - {{ name: o{n}, dries_to_percent: 1 }}\n");
    let options = (0..65).map(option).collect::<Vec<_>>().concat();
    let error = read(&format!("{PLAN}options:\n{options}")).unwrap_err();
    assert_eq!(error.found, "65 of them");
    let carries = CARRIES.repeat(20_000);
    assert!(read(&PLAN.replace(CARRIES, &carries)).is_err());
}

#[test]
fn tables_that_are_none() {
    let with = |name: &str, text: &str| {
        let error = read_with(PLAN, Memory::small().with(name, text)).unwrap_err();
        assert_eq!(error.place, name, "{error}");
        error
    };
    assert!(with("town.csv", "").found.contains("empty"));
    assert!(with("town.csv", "time,load_mva\n").found.contains("no rows"));
    assert!(with("town.csv", "minute,load_mva\n0,1\n").found.contains("minute"));
    assert!(with("town.csv", "time\n2026-11-01T00:00:00Z\n").found.contains("load_mva"));
    assert!(with("ambient.csv", "ambient_c\n1\n").found.contains("no column time"));
    let gap = "time,load_mva\n2026-11-01T00:00:00Z,1\n2026-11-01T03:01:00Z,1\n";
    check(&with("town.csv", gap), 3, "time", "a gap of 181 min");
    let back = "time,ambient_c\n2026-11-01T01:00:00Z,1\n2026-11-01T01:30:00+01:00,1\n";
    check(&with("ambient.csv", back), 3, "time", "2026-11-01T01:30:00+01:00");
    for cell in ["", "NaN", "inf", "-1", "20000", "x"] {
        let rows = format!("time,load_mva\n2026-11-01T00:00:00Z,{cell}\n");
        check(&with("town.csv", &rows), 2, "load_mva", "");
    }
    let begin = chrono::DateTime::parse_from_rfc3339("2026-11-01T00:00:00Z").unwrap();
    let row =
        |step: i64| format!("{},1\n", (begin + chrono::TimeDelta::hours(3 * step)).to_rfc3339());
    let years = (0..5850).map(row).collect::<Vec<_>>().concat();
    let error = with("ambient.csv", &format!("time,ambient_c\n{years}"));
    check(&error, 5851, "time", "more than two years");
}
