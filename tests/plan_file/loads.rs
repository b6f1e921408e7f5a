//! What a unit carries, added up by hand.

use crate::scene::{Memory, PLAN, read, read_with};
use approx::assert_relative_eq;

const CARRIES: &str = "      - { unit: a, series: town, share: 1 }\n";

fn carrying(lines: &str) -> String {
    PLAN.replace(CARRIES, lines)
}

#[test]
fn parts_for_one_unit_add_up() {
    let lines = "      - { unit: a, series: town, share: 0.8 }\n      - { unit: a, series: mill, share: 0.5, plus_mva: 3 }\n      - { unit: a, plus_mva: 1 }\n";
    let plan = read(&carrying(lines)).unwrap();
    let [carried] = &plan.outages[0].carries[..] else { unreachable!("one unit") };
    // 0.8 · 20 + 0.5 · 8 + 4 MVA at one o'clock; 0.8 · 30 + 0.5 · 4 + 4 MVA at twelve.
    assert_relative_eq!(carried.load.at(60.0), 24.0 / 40.0);
    assert_relative_eq!(carried.load.at(720.0), 30.0 / 40.0);
    assert_relative_eq!(carried.from_min, 0.0);
    assert_relative_eq!(carried.until_min, 2880.0);
}

#[test]
fn a_unit_without_a_load_carries_none() {
    let plan = read(PLAN).unwrap();
    assert!(plan.units[1].normally.load.at(500.0).abs() < f64::EPSILON);
    assert_relative_eq!(plan.units[1].normally.until_min, 2880.0);
}

#[test]
fn two_units_may_carry_and_each_by_its_own_rating() {
    let lines = "      - { unit: a, series: town, share: 1 }\n      - { unit: b, series: town, share: 0.1 }\n";
    let plan = read(&carrying(lines).replace("out: [ b ]", "out: []")).unwrap();
    let loads: Vec<(usize, f64)> =
        plan.outages[0].carries.iter().map(|own| (own.unit, own.load.at(0.0))).collect();
    assert_eq!(loads, [(0, 0.5), (1, 0.1)]);
}

#[test]
fn errors_are_weighed_by_load() {
    let with_std = |file: &str, percent: &str| {
        let text = Memory::small().files[file].clone();
        let rows: Vec<String> = text.lines().map(|line| format!("{line},{percent}")).collect();
        rows.join("\n").replacen(&format!("load_mva,{percent}"), "load_mva,load_std_percent", 1)
    };
    let files = Memory::small()
        .with("town.csv", &with_std("town.csv", "3"))
        .with("mill.csv", &with_std("mill.csv", "9"));
    let lines = "      - { unit: a, series: town, share: 1 }\n      - { unit: a, series: mill, share: 0.5, plus_mva: 5 }\n";
    let plan = read_with(&carrying(lines), files).unwrap();
    let error = plan.outages[0].carries[0].error.as_ref().unwrap();
    // (20 · 3 + 4 · 9) / 24 % at one o'clock, the constant as uncertain as the rest.
    assert_relative_eq!(error.std_at(60.0), 4.0);

    let files = Memory::small().with("town.csv", &with_std("town.csv", "3"));
    let refused = read_with(&carrying(lines), files).unwrap_err();
    assert_eq!(refused.line, Some(13), "{refused}");
    assert!(refused.found.contains("with and without load_std_percent"), "{refused}");
}

#[test]
fn the_ambient_s_own_error_is_read() {
    let text = Memory::small().files["ambient.csv"].clone();
    let rows: Vec<String> = text.lines().map(|line| format!("{line},2")).collect();
    let text = rows.join("\n").replacen("ambient_c,2", "ambient_c,ambient_std_k", 1);
    let plan = read_with(PLAN, Memory::small().with("ambient.csv", &text)).unwrap();
    assert_relative_eq!(plan.ambient_error.unwrap().std_at(700.0), 2.0);
}

#[test]
fn minute_0_is_a_full_hour() {
    let ambient = Memory::small().files["ambient.csv"].replace("T00:00:00Z,0\n", "T00:17:30Z,0\n");
    let plan = read_with(PLAN, Memory::small().with("ambient.csv", &ambient)).unwrap();
    assert_eq!(plan.begins.to_rfc3339(), "2026-11-01T01:00:00+00:00");
    assert_relative_eq!(plan.ambient.at(0.0), 0.25);
    // Minute 0 is an hour later than the first row of the series.
    assert_relative_eq!(plan.outages[0].carries[0].from_min, -60.0);
    assert_relative_eq!(plan.outages[0].earliest_min, 300.0);
}

#[test]
fn zones_may_differ_from_file_to_file_and_row_to_row() {
    let town = Memory::small().files["town.csv"].clone();
    // The same instants, half of them by a clock one hour ahead.
    let moved: String = town
        .lines()
        .map(|line| {
            let hour = line.get(11..13).and_then(|hour| hour.parse::<u32>().ok());
            match hour {
                Some(hour) if line.contains("-01T") && hour < 23 => {
                    format!("{}T{:02}:00:00+01:00{}\n", &line[..10], hour + 1, &line[20..])
                }
                _ => format!("{line}\n"),
            }
        })
        .collect();
    assert!(moved.contains("+01:00"));
    let text =
        PLAN.replace("earliest: 2026-11-01T06:00:00Z", "earliest: 2026-11-01T04:00:00-02:00");
    let plan = read_with(&text, Memory::small().with("town.csv", &moved)).unwrap();
    let plain = read(PLAN).unwrap();
    assert_eq!(plan.outages[0].carries[0].load, plain.outages[0].carries[0].load);
    assert_relative_eq!(plan.outages[0].earliest_min, plain.outages[0].earliest_min);
}
