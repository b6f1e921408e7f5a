//! Evidence that looks harmless and must not make the answer milder.

use crate::moisture::{beside, counting_percent, easy_json, findings, refused, under, with};
use crate::run::{T1, altered, check, scratch, written};

/// Severity of the first finding of a code, if it arose.
fn severity(ran: &crate::run::Ran, code: &str) -> Option<String> {
    findings(ran, code).first().map(|(severity, _)| severity.clone())
}

#[test]
fn undated_evidence_does_not_stand_alone() {
    let folder = scratch("trap-undated");
    let alone = easy_json(&with(&folder, &["method: dielectric-response, percent: 1.0, std: 0.2"]));
    assert_eq!(alone.code, 4);
    assert!(findings(&alone, "moisture-witness-wet-side")[0].1.contains("undated"));
}

/// Wet oil that cannot be converted is never a mere notice; saturated oil leaves the question open
/// however cold it was and whatever the load had done.
#[test]
fn wet_oil_that_cannot_be_converted_is_not_passed_over() {
    let folder = scratch("trap-wet");
    let date = "date: 2026-10-02";
    let open = [
        "ppm: 500, oil_c: 49",
        "ppm: 200, oil_c: 60",
        "rs_percent: 100, oil_c: 60, steady_h: 7.9",
        "ppm: 60, oil_c: 20",
    ];
    for oil in open {
        let ran = easy_json(&beside(&folder, &format!("{oil}, {date}")));
        assert!([3, 4].contains(&ran.code), "{oil}: {}", ran.code);
        assert_eq!(severity(&ran, "moisture-beyond-isotherm").as_deref(), Some("unknown"), "{oil}");
    }
    let cautioned = ["ppm: 40, oil_c: 20", "ppm: 500", "rs_percent: 60, oil_c: 60, steady_h: 2"];
    for oil in cautioned {
        let ran = easy_json(&beside(&folder, &format!("{oil}, {date}")));
        let codes = ["moisture-witness-refused", "moisture-witness-wet-side"];
        let cautioned = |code: &&str| severity(&ran, code).as_deref() == Some("caution");
        assert!(codes.iter().any(cautioned), "{oil}: {}", ran.code);
    }
}

#[test]
fn a_wet_series_without_equilibrium_is_cautioned() {
    let folder = scratch("trap-series");
    let rows: Vec<String> =
        (0..30).map(|hour| format!("{},{},{}", hour * 60, 60 + hour / 2, 62)).collect();
    written(&folder, "probe.csv", format!("minute,rs_percent,oil_c\n{}\n", rows.join("\n")));
    let ran = easy_json(&beside(&folder, "series: probe.csv, date: 2026-10-02"));
    assert_eq!(severity(&ran, "moisture-witness-wet-side").as_deref(), Some("caution"));
}

/// A local rule that asks for warmer oil rules out the wet sample, and must not lose its message.
#[test]
fn stricter_local_rules_never_make_the_answer_milder() {
    let folder = scratch("trap-strict");
    let wet = beside(&folder, "ppm: 90, oil_c: 60, steady_h: 12, date: 2026-10-02");
    assert_ne!(easy_json(&wet).code, 0);
    assert_ne!(under(&folder, &wet, "{ coldest_oil_c: 90 }").code, 0);
    let credible = beside(&folder, "ppm: 26, oil_c: 60, steady_h: 12, date: 2026-10-02");
    let before = counting_percent(&easy_json(&credible)).unwrap();
    let named = "decided: { by: A. Nother, why: drying is known }";
    for rule in [
        "{ coldest_oil_c: 90 }".to_owned(),
        format!("{{ coldest_oil_c: 90, allow_drying_credit: true, {named} }}"),
    ] {
        let after = counting_percent(&under(&folder, &credible, &rule)).unwrap();
        assert!(after >= before - 1.0e-12, "{rule}: {before} became {after}");
    }
}

#[test]
fn stale_evidence_still_contradicts() {
    let folder = scratch("trap-stale");
    for date in ["2026-09-02", "2024-09-02"] {
        let ran = easy_json(&beside(
            &folder,
            &format!("method: paper-sample, percent: 1.7, std: 0.2, date: {date}"),
        ));
        assert_eq!(severity(&ran, "moisture-contradiction").as_deref(), Some("caution"), "{date}");
    }
}

#[test]
fn a_drying_to_come_dries_nothing_and_a_later_start_ages_the_evidence() {
    let folder = scratch("trap-days");
    let dated = altered(&folder, "made: 1987", "made: 1987\ndried: 2099-01-01");
    let ran = easy_json(&dated);
    assert_eq!(severity(&ran, "input-drying-to-come").as_deref(), Some("caution"));
    assert_eq!(counting_percent(&ran), counting_percent(&easy_json(T1)));
    let flags = ["--load", "1.05", "--for", "1h", "--preload", "0.6", "--ambient", "20"];
    let later = ["--as-of", "2026-10-20", "--start", "2029-07-14T18:00:00+01:00"];
    assert_eq!(check(T1, &[&flags[..], &later].concat()).code, 4, "older than two years by then");
}

#[test]
fn a_series_tells_its_own_day_and_is_held_to_the_least_reading() {
    let folder = scratch("trap-own-day");
    let rows = |rs: f64| -> String {
        let row = |hour: i32| {
            let (day, hour) = (10 + hour / 24, hour % 24);
            format!("2026-09-{day:02}T{hour:02}:00:00Z,{rs},62\n")
        };
        (0..30).map(row).collect::<Vec<_>>().concat()
    };
    written(&folder, "probe.csv", format!("time,rs_percent,oil_c\n{}", rows(12.0)));
    let other_day = beside(&folder, "series: probe.csv, date: 2026-10-02");
    refused(&crate::moisture::easy(&other_day), &["witness 2.date", "2026-09-11", "line "]);
    assert_eq!(easy_json(&beside(&folder, "series: probe.csv")).code, 0);
    written(&folder, "probe.csv", format!("time,rs_percent,oil_c\n{}", rows(0.12)));
    let fraction = easy_json(&with(&folder, &["series: probe.csv, std_rs_percent: 0.1"]));
    assert_eq!(fraction.code, 4, "a fraction typed as per cent");
}

#[test]
fn oil_treated_lately_says_nothing_of_the_paper() {
    let folder = scratch("trap-treated");
    let sample = "  - { ppm: 16, oil_c: 60, date: 2026-10-02, steady_h: 12 }\n";
    let unit = with(&folder, &["ppm: 16, oil_c: 60, date: 2026-10-02, steady_h: 12"]);
    assert_eq!(easy_json(&unit).code, 0);
    let text = std::fs::read_to_string(&unit).unwrap();
    assert!(text.contains(sample));
    let treated = text.replace("mass_kg: 18500 }", "mass_kg: 18500, treated: 2026-08-20 }");
    let ran = easy_json(&written(&folder, "treated.yaml", treated));
    assert_eq!(ran.code, 4);
    assert!(findings(&ran, "moisture-witness-wet-side")[0].1.contains("treated shortly before"));
}

#[test]
fn one_measurement_counts_once_and_a_spot_or_the_oil_alone_is_cautioned() {
    let folder = scratch("trap-once");
    let wet = "method: dielectric-response, percent: 3.3, std: 0.4, date: 2026-10-02";
    let again = format!("{}, note: printed again", wet.replace("0.4", "0.41"));
    refused(&crate::moisture::easy(&with(&folder, &[wet, &again])), &["witness 2", "twice"]);
    let spot = "method: paper-sample, percent: 0.9, std: 0.1, date: 2026-10-02, exposure_min: 2, location: top-of-winding";
    let ran = easy_json(&with(&folder, &[spot]));
    assert_eq!(severity(&ran, "moisture-spot-only").as_deref(), Some("caution"));
}

#[test]
fn nobody_decides_under_no_name() {
    let folder = scratch("trap-nobody");
    let aside = "percent: 3, std: 0.2, date: 2026-10-02, set_aside: { by: \"-\", why: \"-\" }";
    refused(
        &crate::moisture::easy(&beside(&folder, aside)),
        &["witness 2.set_aside", "who decided"],
    );
    let rule = "{ counting_percent: 0.6, decided: { by: \"-\", why: \"-\" } }";
    refused(&under(&folder, T1, rule), &["moisture.decided", "who decided"]);
}

#[cfg(unix)]
#[test]
fn a_link_out_of_the_folder_is_not_followed() {
    let folder = scratch("trap-link");
    let outside = scratch("trap-link-outside");
    let target = written(&outside, "other.csv", "minute,rs_percent,oil_c\n0,12,60\n");
    let link = folder.join("probe.csv");
    // An earlier run may have left it.
    let _ = std::fs::remove_file(&link);
    std::os::unix::fs::symlink(std::fs::canonicalize(target).unwrap(), &link).unwrap();
    let ran = crate::moisture::easy(&beside(&folder, "series: probe.csv, date: 2026-10-02"));
    refused(&ran, &["probe.csv", "leads out of the profile's folder"]);
}

/// Sixty noisy readings of a unit that warms up: one that jumps must not look like two reversals, and
/// ten minutes after a gap are not eight steady hours.
#[test]
fn a_series_is_no_evidence_because_of_an_outlier_or_after_a_gap() {
    let folder = scratch("trap-outlier");
    let warming = |spiked: u32| {
        let row = |at: u32| {
            let oil_c = 55.0 + 0.2 * f64::from(at);
            let full = 10.0_f64.powf(7.0895 - 1567.0 / (oil_c + 273.0));
            let ppm = (8.0 + 0.15 * f64::from(at)) * if at == spiked { 1.4 } else { 1.0 };
            format!("{},{:.2},{oil_c:.1}\n", 30 * at, 100.0 * ppm / full)
        };
        (0..60).map(row).collect::<Vec<_>>().concat()
    };
    let gap = "0,12,60\n6000,5,60\n6005,5,60\n6010,5,60\n".to_owned();
    for rows in [warming(u32::MAX), warming(31), gap] {
        written(&folder, "probe.csv", format!("minute,rs_percent,oil_c\n{rows}"));
        let ran = easy_json(&with(&folder, &["series: probe.csv, date: 2026-10-02"]));
        assert_eq!(ran.code, 4, "{rows}");
        assert!(findings(&ran, "moisture-witness-wet-side")[0].1.contains("never in equilibrium"));
    }
    for key in ["steady_h: 0", "oil_c: 20"] {
        let beside_it = beside(&folder, &format!("series: probe.csv, date: 2026-10-02, {key}"));
        refused(
            &crate::moisture::easy(&beside_it),
            &["witness 2", key.split(':').next().unwrap(), "line "],
        );
    }
}

#[test]
fn moisture_beyond_the_correlations_says_so() {
    let folder = scratch("trap-range");
    let moisture = |percent: &str| {
        let unit = with(
            &folder,
            &[&format!(
                "method: dielectric-response, percent: {percent}, std: 0.05, date: 2026-10-02"
            )],
        );
        crate::run::run(&["moisture", &unit, "--as-of", "2026-10-20"])
    };
    let (wet, dry) = (moisture("7"), moisture("0.15"));
    assert_eq!((wet.code, dry.code), (4, 0));
    assert!(wet.stdout.contains("bubbles below ") && wet.stdout.contains("bubbling-outside-range"));
    assert!(dry.stdout.contains("bubbles above ") && dry.stdout.contains("bubbling-not-limiting"));
}

#[test]
fn too_many_witnesses_and_impossible_assumptions_are_no_evidence() {
    let folder = scratch("trap-many");
    let many: Vec<String> =
        (0..51).map(|at| format!("percent: {}, std: 0.3", 1.0 + 0.01 * f64::from(at))).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    refused(
        &crate::moisture::easy(&with(&folder, &many)),
        &["moisture", "51 witnesses", "at most 50"],
    );
    assert_eq!(easy_json(&with(&folder, &["yearly_increase_percent: 1"])).code, 4, "39 % of water");
    let ester = with(&folder, &["ppm: 15, oil_c: 60, steady_h: 24, date: 2026-10-02"]);
    let text =
        std::fs::read_to_string(ester).unwrap().replace("liquid: mineral", "liquid: natural-ester");
    assert_eq!(easy_json(&written(&folder, "ester.yaml", text)).code, 4, "below 3 % of saturation");
}
