//! Standing orders: what they permit goes, what they warn of is never cut for space, the oil thermometer is given no
//! more than each ceiling supports, and what is not known permits nothing.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

#[path = "plan_orders/compare.rs"]
mod compare;
#[path = "properties/question.rs"]
#[allow(dead_code, reason = "shared with the properties, which use all of it")]
mod question;
#[allow(dead_code, reason = "shared with the tests of other commands")]
#[path = "cli/run.rs"]
mod run;

use bubblemargin::assessment::case::{Case, Sampling};
use bubblemargin::assessment::rated::FromStart;
use bubblemargin::assessment::{Assessment, assess};
use bubblemargin::planning::orders::{
    AUTHORITY, Ceiling, Standing, StandingOrders, orders, standing_question,
};
use bubblemargin::rating::Limiting;
use bubblemargin::rating::protection::BubblesFirst;
use bubblemargin::report::plan_html;
use bubblemargin::report::plan_orders::{PAGE_LINES, page};
use bubblemargin::rules::finding::Finding;
use bubblemargin::rules::verdict::Verdict;
use bubblemargin::thermal::schedule::AmbientLine;
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::{read_unit, read_unit_with};
use chrono::NaiveDate;
use question::Question;
use unicode_width::UnicodeWidthStr;

const PRELOAD_PU: f64 = 0.6;
const T1: &str = include_str!("../demo-data/units/fellmoor-t1.yaml");
const T2: &str = include_str!("../demo-data/units/fellmoor-t2.yaml");

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, 20).unwrap()
}

fn wet() -> Unit {
    let probe = include_str!("../demo-data/units/fellmoor-t2-probe.csv");
    let beside = |name: &str| Ok((name.to_owned(), probe.to_owned()));
    read_unit_with("t2", T2, &Catalogue::embedded(), &mut { beside }).unwrap()
}

fn unit(text: &str) -> Unit {
    read_unit("unit", text, &Catalogue::embedded()).unwrap()
}

/// A case of `check` for a unit with cooling that starts by itself.
fn case(unit: Unit, draws: u32) -> Case {
    let mut case = Question::easy().case_for(unit);
    case.request.stage = None;
    case.request.sampling = Sampling { draws, ..Sampling::default() };
    case.as_of = Some(today());
    case
}

fn of(unit: Unit, draws: u32) -> StandingOrders {
    orders(&standing_question(case(unit, draws), PRELOAD_PU), today(), None)
}

/// The verdict of `check` about a constant load.
fn asked(unit: &Unit, draws: u32, load_pu: f64, ceiling: &Ceiling) -> Verdict {
    assessed(unit, draws, load_pu, ceiling).verdict
}

/// What `check` says about a constant load.
fn assessed(unit: &Unit, draws: u32, load_pu: f64, ceiling: &Ceiling) -> Assessment {
    let mut case = case(unit.clone(), draws);
    let question = Question { preload_pu: PRELOAD_PU, load_pu, ..Question::easy() };
    let settled_min = {
        let at_start = Question { duration_min: 60.0, ..question }.case_for(unit.clone());
        FromStart::of(&at_start).settled_after_min()
    };
    let duration_min = ceiling.duration_min.unwrap_or(settled_min);
    let asked = Question { duration_min, ..question }.case_for(unit.clone());
    case.request.loading = asked.request.loading;
    case.request.start = asked.request.start;
    case.request.ambient = AmbientLine::constant(ceiling.ambient_c);
    assess(&case)
}

fn floored(load_pu: f64) -> f64 {
    (load_pu * 100.0 + 1.0e-6).floor() / 100.0
}

/// Every ceiling as it stands on the page goes, and a tenth more does not where nothing else holds it.
fn goes(unit: &Unit, draws: u32, found: &StandingOrders) -> usize {
    assert_eq!(found.ceilings.len(), 25);
    let mut tried = 0;
    for ceiling in &found.ceilings {
        let load_pu = ceiling.load_pu.unwrap();
        let verdict = asked(unit, draws, floored(load_pu), ceiling);
        assert!(verdict.permits(), "{verdict:?}: {ceiling:?}");
        if ceiling.held || ceiling.series_element.is_some() {
            continue;
        }
        let more = asked(unit, draws, 1.1 * load_pu, ceiling);
        assert!(!more.permits(), "a tenth more goes too, {more:?}: {ceiling:?}");
        tried += 1;
    }
    tried
}

/// One page, or several that are full and numbered; every line fits the width.
fn fits(text: &str) {
    let lines: Vec<&str> = text.lines().collect();
    let pages = lines.chunks(PAGE_LINES);
    let all = pages.len();
    for (at, page) in pages.enumerate().filter(|_| all > 1) {
        let foot = format!("page {} of {all}; valid only with all pages", at + 1);
        assert_eq!(page.last(), Some(&foot.as_str()), "{text}");
        assert!(page[0].starts_with("STANDING ORDERS for "), "{text}");
    }
    assert_eq!(text.contains("page 1 of "), all > 1, "{text}");
    for line in lines {
        assert!(line.width() <= 80, "{line}");
        assert!(!line.contains('\u{1b}'), "no colour: {line}");
    }
    assert!(text.contains(AUTHORITY) && text.contains("Signature ____"), "{text}");
}

/// The words alone, whatever the line breaks.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_ceiling_of_the_wet_unit_goes_and_a_tenth_more_does_not() {
    let unit = wet();
    let found = of(unit.clone(), 256);
    assert_eq!(found.standing, Standing::Restricted);
    assert!(goes(&unit, 256, &found) > 12);
    assert!(found.reasons.is_empty());
    fits(&page(&found));
}

#[test]
fn a_dry_unit_is_not_restricted_beyond_its_ordinary_limits() {
    let dry = unit(&Question { moisture: 0.5, std: 0.1, ..Question::easy() }.profile());
    let found = of(dry.clone(), 0);
    assert_eq!(found.standing, Standing::Ordinary, "{:?}", found.ceilings);
    assert!(found.ceilings.iter().all(|own| own.governs.what != Limiting::Bubbling));
    assert!(goes(&dry, 0, &found) > 0);
    let text = page(&found);
    assert!(
        text.contains("NOT RESTRICTED by water: nothing beyond the ordinary limits."),
        "{text}"
    );
    assert_eq!(found.sample_again.months, 12);
    fits(&text);
}

#[test]
fn a_unit_without_evidence_gets_no_ceiling_and_is_told_what_is_missing() {
    let profile = Question::easy().profile();
    let begin = profile.find("moisture:").unwrap();
    let end = profile.find("accessories:").unwrap();
    let unknown = unit(&format!("{}{}", &profile[..begin], &profile[end..]));
    for draws in [0, 256] {
        let found = of(unknown.clone(), draws);
        assert_eq!(found.standing, Standing::Undecided);
        assert!(found.ceilings.is_empty() && found.valid_until.is_none());
        assert!(found.hot_spot.is_none() && found.top_oil.is_none());
        let missing: Vec<&str> = found.reasons.iter().map(|finding| finding.code).collect();
        assert!(missing.contains(&"input-moisture-missing"), "{missing:?}");
        assert_eq!(found.sample_again.months, 0);
        let text = page(&found);
        assert!(
            text.contains("CANNOT DECIDE") && text.contains("input-moisture-missing"),
            "{text}"
        );
        assert!(!text.contains("Load ceilings"), "{text}");
        fits(&text);
    }
}

#[test]
fn a_standing_alarm_leaves_no_load() {
    let alarm = T1.replace("gas_relay_alarm: false", "gas_relay_alarm: true");
    let found = of(unit(&alarm), 0);
    assert_eq!(found.standing, Standing::Forbidden);
    assert!(found.ceilings.is_empty() && found.valid_until.is_none());
    let text = page(&found);
    assert!(text.contains("NO LOAD passes") && text.contains("relay-gas-relay-alarm"), "{text}");
    fits(&text);
}

#[test]
fn a_series_element_that_allows_less_sets_the_ceiling() {
    let found = of(unit(T1), 0);
    let by_element: Vec<&Ceiling> =
        found.ceilings.iter().filter(|own| own.series_element.is_some()).collect();
    assert!(!by_element.is_empty());
    for ceiling in by_element {
        let cell_pu = ceiling.load_pu.unwrap();
        let stated = [260.0, 310.0, 1250.0, 800.0, 1100.0, 900.0];
        let rated = |kv: f64| 40_000.0 / (3.0_f64.sqrt() * kv);
        let is = |a: f64, kv: f64| (a / rated(kv) - cell_pu).abs() < 1.0e-9;
        assert!(stated.iter().any(|a| is(*a, 132.0) || is(*a, 33.0)), "{ceiling:?}");
    }
    assert!(page(&found).contains("s series element"), "{}", page(&found));
}

#[test]
fn the_hot_spot_of_the_orders_is_below_what_bubbles_and_the_relays_are_named() {
    let found = of(wet(), 256);
    let hot_spot = found.hot_spot.as_ref().unwrap();
    let inception_c = found.paper.inception_c.unwrap();
    assert_eq!(hot_spot.because, "bubbling");
    assert!(hot_spot.c < inception_c - found.required_margin_k, "{hot_spot:?}, {inception_c}");
    assert_eq!(found.relays[0].relay, "winding indicator");
    let codes: Vec<&str> = found.cautions.iter().map(|finding| finding.code).collect();
    for code in ["cooldown-free-water", "accessory-tap-moves", "relay-trip-above-bubbling"] {
        assert!(codes.contains(&code), "{codes:?}");
    }
    let twice = codes.iter().filter(|code| **code == "cooldown-free-water").count();
    assert_eq!(twice, 1, "{codes:?}");
}

#[test]
fn no_figure_for_the_top_oil_lies_above_what_any_ceiling_supports() {
    let found = of(wet(), 256);
    let hot_spot_c = found.hot_spot.as_ref().unwrap().c;
    let stops: Vec<f64> = found.ceilings.iter().map(|own| own.top_oil_c.unwrap()).collect();
    let lowest_c = stops.iter().copied().fold(f64::INFINITY, f64::min);
    // At the largest load a thermometer that may be 3 K off hardly guards anything: then no single figure does.
    match &found.top_oil {
        Some(single) => {
            assert!((single.c - lowest_c).abs() < 1.0e-12, "{single:?}, {lowest_c}");
            assert_eq!(single.because, "ceilings");
        }
        None => assert!(found.ceilings.iter().any(|own| !own.guarded)),
    }
    assert!(found.ceilings.iter().all(|own| own.top_oil_c.unwrap() < hot_spot_c));
    // The limit set alone would allow 115 °C; nobody reads that.
    let text = page(&found);
    assert!(!text.contains("115") && text.contains("stop value of each ceiling"), "{text}");
    let table: Vec<&str> =
        text.lines().skip_while(|line| !line.trim_start().starts_with("stop above")).collect();
    // Ceilings come ambient by ambient, each with all durations; the table has a line for each duration.
    let rows = ["15 min", "60 min", "4 h", "24 h", "continuous"];
    for (at, (row, lasts)) in table[1..].iter().zip(rows).enumerate() {
        let shown: Vec<f64> = row
            .trim_start()
            .strip_prefix(lasts)
            .unwrap()
            .split_whitespace()
            .map(|figure| figure.trim_end_matches('!').parse().unwrap())
            .collect();
        assert_eq!(shown.len(), 5, "{row}");
        for (shown_c, stop_c) in shown.iter().zip(stops.iter().skip(at).step_by(rows.len())) {
            assert!(*shown_c <= *stop_c && *stop_c < shown_c + 1.0, "{row}: {stop_c}");
        }
    }
}

#[test]
fn a_stop_value_is_that_of_the_watch_card_of_the_ceilings_own_check() {
    let unit = wet();
    let found = of(unit.clone(), 256);
    for ceiling in found.ceilings.iter().filter(|own| own.duration_min.is_some()) {
        let own = assessed(&unit, 256, ceiling.load_pu.unwrap(), ceiling);
        let card_c = own.watch.last().unwrap().stop_above_c;
        let stop_c = ceiling.top_oil_c.unwrap();
        // Two computations of one thing: only the last digits may differ.
        assert!(stop_c <= card_c + 1.0e-9, "{ceiling:?}, {card_c}");
        for line in
            own.limits.iter().filter(|own| own.unit == "°C" && own.quantity != "metal-parts")
        {
            assert!(stop_c <= line.limit + 1.0e-9, "{ceiling:?}, {line:?}");
        }
    }
}

#[test]
fn a_ceiling_that_the_thermometer_does_not_guard_says_so() {
    let mut found = of(wet(), 0);
    for ceiling in &mut found.ceilings {
        ceiling.guarded = ceiling.top_oil_c.is_some();
    }
    let all_guarded = page(&found);
    assert!(!all_guarded.contains("cannot guard"), "{all_guarded}");
    found.ceilings[0].top_oil_c = None;
    found.ceilings[0].guarded = false;
    // The next ambients of the same duration.
    found.ceilings[5].guarded = false;
    found.ceilings[10].load_pu = None;
    let text = page(&found);
    let first = text.lines().skip_while(|line| !line.contains("stop above")).nth(1).unwrap();
    let cells: Vec<&str> = first.split_whitespace().collect();
    assert_eq!(cells[2], "none!", "{first}");
    assert!(cells[3].ends_with('!') && cells[4] == "-", "{first}");
    let told = "! the top-oil thermometer cannot guard this ceiling: hold to its load and time";
    assert!(words(&text).contains(told), "{text}");
}

#[test]
fn the_dates_are_those_of_sampling_and_of_stale_evidence() {
    let question = standing_question(case(wet(), 0), PRELOAD_PU);
    let found = orders(&question, today(), None);
    assert_eq!(
        (found.sample_again.months, found.sample_again.by.to_string()),
        (3, "2027-01-20".to_owned())
    );
    assert_eq!(found.valid_until.unwrap().day.to_string(), "2027-01-20");
    // The gas sample of 2026-09-03 is the first to be too old, and then the paper sample of 2026-06-15: 12 and 24
    // months of 365.25/12 days later.
    let late = orders(&question, today(), Some(60));
    assert_eq!(late.sample_again.by.to_string(), "2031-10-20");
    let until = late.valid_until.unwrap();
    assert_eq!(until.day.to_string(), "2027-09-03");
    assert!(until.why.contains("gas sample"), "{until:?}");
    // On that day all evidence still counts, and on the next it does not.
    for (day, counts) in
        [(until.day, "gas sample"), (until.day.succ_opt().unwrap(), "paper sample")]
    {
        let again = orders(&question, day, Some(60)).valid_until.unwrap();
        assert!(again.why.contains(counts), "{day}: {again:?}");
    }
}

#[test]
fn no_warning_is_cut_for_space_however_many_there_are() {
    let mut found = of(wet(), 0);
    let one = found.cautions[0].clone();
    let warned =
        |at: usize| format!("Warning no. {at} of many{}.", " and more words".repeat(at % 9));
    let finding = |at: usize| Finding { text: warned(at), ..one.clone() };
    found.cautions = (0..200).map(finding).collect();
    found.reasons = (200..260).map(finding).collect();
    found.unit.name = "x".repeat(200);
    found.unit.site = Some("å".repeat(200));
    found.local_rules = Some("r".repeat(200));
    for ceiling in &mut found.ceilings {
        ceiling.series_element = Some("e ".repeat(100));
        ceiling.series_unknown = true;
    }
    let relay = found.relays[0].clone();
    let named = |at: usize| format!("relay {at} with a name {}", "that goes on ".repeat(at));
    let of_name = |at| BubblesFirst { relay: named(at), ..relay.clone() };
    found.relays = (0..20).map(of_name).collect();
    let text = page(&found);
    fits(&text);
    // Page breaks stand between warnings, never inside one.
    let all = words(&text);
    for at in 0..260 {
        assert!(all.contains(&warned(at)), "{at}: {text}");
    }
    for at in 0..20 {
        assert!(all.contains(named(at).trim_end()), "{at}: {text}");
    }
    assert!(!text.contains(" more:"), "{text}");
    let html = plan_html::orders(&found).unwrap();
    assert!((0..260).all(|at| words(&html).contains(&warned(at))));
}

#[test]
fn the_report_of_the_orders_says_first_what_they_come_to() {
    let alarm = T1.replace("gas_relay_alarm: false", "gas_relay_alarm: true");
    let html = plan_html::orders(&of(unit(&alarm), 0)).unwrap();
    let first = html.split("<p class=\"word\">").nth(1).unwrap();
    assert!(first.starts_with("NO LOAD passes"), "{first}");
    assert!(html.contains("evidence judged for 2026-10-20"));
}

#[test]
fn the_json_has_plain_days_and_no_figure_that_is_none() {
    let text = serde_json::to_string(&of(wet(), 0)).unwrap();
    assert!(text.contains("\"by\":\"2027-01-20\"") && text.contains("\"day\":\"2027-01-20\""));
    assert!(text.contains("\"standing\":\"restricted\""));
}

#[test]
fn the_page_of_the_wet_unit() {
    let mut found = of(wet(), 4096);
    found.inputs_sha256 = "0".repeat(64);
    insta::assert_snapshot!(page(&found));
}

/// Of the ceilings some leave the oil dry enough, and others do not: the gravest counts.
#[test]
fn what_is_said_of_the_oil_after_the_event_is_the_gravest_of_all_ceilings() {
    let found = of(wet(), 0);
    let of_code = |code: &str| found.cautions.iter().find(|own| own.code == code).unwrap();
    let free = of_code("cooldown-free-water");
    assert!(free.text.contains("expect free water"), "{}", free.text);
    let wait = of_code("cooldown-wait");
    assert!(wait.measured.is_none() && wait.text.contains("not known"), "{}", wait.text);
}
