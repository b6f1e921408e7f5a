//! The two answers, and what must be said first.

use crate::scene::{Scene, permitted};
use bubblemargin::rating::protection::{Answer, Permitted};
use bubblemargin::rules::finding::Severity;

const WINDING: &str = "  - { name: winding, function: winding-temperature, alarm_c: 110, trip_c: 125, gradient_k: 26, exponent: 1.6, time_constant_min: 8 }";

fn severity(found: &bubblemargin::rating::protection::Protection, code: &str) -> Severity {
    let mut of_code = found.findings.iter().filter(|finding| finding.code == code);
    let gravest = of_code.next().unwrap_or_else(|| unreachable!("{code} arises"));
    gravest.severity
}

#[test]
fn a_dry_unit_is_let_through_and_protected() {
    let scene = Scene { permitted: vec![permitted(1.2, 60.0)], ..Scene::dry() }.with(WINDING);
    let found = scene.answer();
    assert!(found.first.is_empty(), "nothing to be said first: {:?}", found.first);
    let relay = &found.relays[0];
    assert_eq!((relay.lets_through.answer, relay.acts_before.answer), (Answer::Yes, Answer::Yes));
    assert!(relay.lets_through.margin_k.unwrap() > 0.0);
    assert!(relay.acts_before.margin_k.unwrap() > 0.0);
    assert_eq!(severity(&found, "relay-lets-through"), Severity::Pass);
    assert!(relay.assumed == ["tolerance_k"]);
}

#[test]
fn a_trip_above_bubbling_is_said_first() {
    let found = Scene::wet().answer();
    let named: Vec<&str> = found.first.iter().map(|first| first.relay.as_str()).collect();
    assert_eq!(named, ["overload", "winding"], "supervision at 140 °C, and the trip at 125 °C");
    for first in &found.first {
        assert!(first.bubbles_at_c.unwrap() < first.setting_c);
    }
    assert_eq!(severity(&found, "relay-bubbles-first"), Severity::Caution);
    assert_eq!(severity(&found, "relay-together"), Severity::Caution);
    assert_eq!(found.together.unwrap().acts_before.answer, Answer::No);
}

#[test]
fn the_margins_are_those_of_the_readings() {
    let mut scene = Scene { permitted: vec![permitted(1.35, 15.0)], ..Scene::dry() }.with(WINDING);
    let first = scene.one().lets_through;
    scene.relays = scene.relays.replace("trip_c: 125", "trip_c: 130");
    scene.relays = scene.relays.replace("alarm_c: 110", "alarm_c: 90");
    let second = scene.one().lets_through;
    // The margin in kelvin follows the setting exactly; sums of doubles near 100.
    assert!((second.margin_k.unwrap() - first.margin_k.unwrap() - 5.0).abs() < 1.0e-9);
    assert!(second.margin_min.unwrap() > first.margin_min.unwrap());
    let load = &second.loads[0];
    let own_min = load.trip_min.unwrap() - 15.0;
    assert!((load.margin_min.unwrap() - own_min).abs() < 1.0e-9);
    assert!(load.alarm_min.is_some_and(|alarm| alarm < load.trip_min.unwrap()));
}

#[test]
fn a_trip_under_a_permitted_load_stops() {
    let relays = WINDING.replace("trip_c: 125", "trip_c: 111");
    let found = Scene::dry().with(&relays).answer();
    assert_eq!(found.relays[0].lets_through.answer, Answer::No);
    assert!(found.relays[0].lets_through.margin_min.unwrap() < 0.0);
    assert_eq!(severity(&found, "relay-lets-through"), Severity::Stop);
}

#[test]
fn an_alarm_alone_lets_through_and_does_not_act() {
    let relay = Scene::dry().with(&WINDING.replace("trip_c: 125, ", "")).one();
    assert_eq!((relay.lets_through.answer, relay.acts_before.answer), (Answer::Yes, Answer::No));
    assert!(relay.setting.is_none());
}

/// Oil follows in hours: where a load goes on at twice the rating, an oil trip comes too late.
#[test]
fn an_oil_trip_alone_does_not_act_in_time() {
    let oil = "  - { name: oil, function: oil-temperature, trip_c: 95, tolerance_k: 0 }";
    let relay = Scene::dry().with(oil).one();
    assert_eq!(relay.acts_before.answer, Answer::No);
    assert!(relay.acts_before.worst.unwrap().load_pu > 1.9);
    assert!(relay.acts_before.margin_min.unwrap() < 0.0);
}

#[test]
fn below_its_pick_up_a_relay_never_acts() {
    let backup = "  - { name: backup, function: overcurrent, purpose: fault, curve: standard-inverse, setting_pu: 1.8, time_multiplier: 0.4, tolerance_percent: 0 }";
    let relay = Scene::dry().with(backup).one();
    assert!(relay.lets_through.never_trips && relay.lets_through.answer == Answer::Yes);
    let (from_pu, to_pu) = relay.acts_before.no_trip_pu.unwrap();
    assert!(from_pu < 1.5 && (to_pu - 1.8).abs() < 1.0e-6, "{from_pu} to {to_pu}");
    assert_eq!(relay.window.answer, Answer::No);
}

#[test]
fn what_is_not_known_is_no_yes() {
    let dry = Scene::dry().with(WINDING);
    let unknown_allowance = Permitted { allowance_k: f64::NAN, ..permitted(1.2, 60.0) };
    let beyond = Permitted { allowance_k: f64::INFINITY, ..permitted(1.2, 60.0) };
    for allowance in [unknown_allowance, beyond] {
        let found = Scene { permitted: vec![allowance], ..dry.clone() }.answer();
        assert_eq!(found.relays[0].acts_before.answer, Answer::Unknown);
        assert_eq!(found.relays[0].window.answer, Answer::Unknown);
        assert!(!found.first.is_empty(), "not known, and so said first");
        assert!(found.first[0].words.starts_with("It is not known whether"));
    }
    let none = Scene { permitted: Vec::new(), ..dry.clone() }.answer();
    assert_eq!(none.relays[0].lets_through.answer, Answer::Unknown);
    assert_eq!(none.relays[0].acts_before.answer, Answer::Unknown);
    for senseless in [
        permitted(f64::NAN, 60.0),
        permitted(f64::INFINITY, 60.0),
        permitted(-1.0, 60.0),
        permitted(1.0e300, 60.0),
        permitted(1.2, 0.0),
        permitted(1.2, f64::NAN),
        permitted(1.2, 1.0e300),
        permitted(1.2, f64::INFINITY),
    ] {
        let found = Scene { permitted: vec![senseless], ..dry.clone() }.answer();
        assert_eq!(found.relays[0].lets_through.answer, Answer::Unknown, "{senseless:?}");
    }
    let profile = dry.question.profile();
    let without_moisture: String = profile
        .lines()
        .filter(|line| !line.contains("moisture") && !line.contains("dielectric"))
        .fold(String::new(), |all, line| all + line + "\n");
    let found = dry.answer_of(&(without_moisture + &dry.relays));
    assert_eq!(found.relays[0].acts_before.answer, Answer::Unknown);
    assert_eq!(found.relays[0].lets_through.answer, Answer::Yes, "that one needs no moisture");
    assert!(found.first[0].bubbles_at_c.is_none());
    let beyond_range =
        Scene { question: crate::question::Question { moisture: 7.0, ..dry.question }, ..dry };
    assert_ne!(beyond_range.one().acts_before.answer, Answer::Yes);
}

#[test]
fn no_relays_are_a_notice() {
    let found = Scene::dry().with("").answer();
    assert!(found.together.is_none() && found.relays.is_empty());
    assert_eq!(severity(&found, "relay-none-stated"), Severity::Notice);
}

#[test]
fn a_continuous_load_is_let_through_for_ever_or_not_at_all() {
    let always = |load_pu: f64| Permitted { duration_min: None, ..permitted(load_pu, 1.0) };
    let delay = "  - { name: delay, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.05, delay_s: 86400, tolerance_percent: 0 }";
    let scene = |load_pu: f64| Scene { permitted: vec![always(load_pu)], ..Scene::dry() };
    assert_eq!(scene(1.06).with(delay).one().lets_through.answer, Answer::No);
    assert_eq!(scene(1.05).with(delay).one().lets_through.answer, Answer::Yes);
    let image = "  - { name: image, function: thermal-image, k: 1.05, base_current_pu: 1.0, time_constant_min: 600, tolerance_percent: 0 }";
    assert_eq!(scene(1.051).with(image).one().lets_through.answer, Answer::No);
    assert_eq!(scene(1.049).with(image).one().lets_through.answer, Answer::Yes);
}

#[test]
fn the_loadability_criterion_is_labelled_and_apart() {
    let relays = "  - { name: low, function: overcurrent, purpose: fault, curve: very-inverse, setting_pu: 1.45, time_multiplier: 1 }
  - { name: high, function: overcurrent, purpose: fault, curve: very-inverse, setting_pu: 1.6, time_multiplier: 1 }
  - { name: quick, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.3, delay_s: 600 }
  - { name: slow, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.3, delay_s: 901 }
  - { name: oil, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.3, delay_s: 60, supervised_top_oil_c: 100 }
  - { name: cold, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.3, delay_s: 60, supervised_hot_spot_c: 139 }";
    let found = Scene::dry().with(relays).answer();
    let answers: Vec<Answer> = found.loadability.iter().map(|own| own.answer).collect();
    let (yes, no) = (Answer::Yes, Answer::No);
    assert_eq!(answers, [no, yes, no, yes, yes, no]);
    for own in &found.loadability {
        assert!(own.label.contains("not a permitted temperature"));
        for word in ["PRC-023-4", "2014", "North America only", "from memory"] {
            assert!(own.applies.contains(word), "{word}: {}", own.applies);
        }
        // 1.15 of 1.25 pu is less than 1.5.
        assert!((own.carries_pu - 1.5).abs() < 1.0e-12);
    }
    let greater = Scene { permitted: vec![permitted(1.4, 15.0)], ..Scene::dry() }.with(relays);
    let high = &greater.answer().loadability[1];
    assert!((high.carries_pu - 1.61).abs() < 1.0e-12 && high.answer == no);
    let none = Scene { permitted: Vec::new(), ..Scene::dry() }.with(relays).answer();
    let answers: Vec<Answer> = none.loadability.iter().map(|own| own.answer).collect();
    let unknown = Answer::Unknown;
    assert_eq!(
        answers,
        [no, unknown, no, unknown, yes, no],
        "no rating, no yes but by supervision"
    );
}

#[test]
fn a_contact_that_starts_fans_late_stops() {
    let fan = |contact: &str| {
        let relays = format!("  - {{ name: fans, function: fan-start, {contact} }}");
        let mut scene = Scene::dry().with(&relays);
        scene.permitted.truncate(1);
        let profile = scene.question.profile() + &scene.relays;
        let unit = bubblemargin::unit::validate::read_unit(
            "test",
            &profile,
            &bubblemargin::unit::defaults::Catalogue::embedded(),
        );
        let mut case = scene.question.case_for(unit.unwrap());
        case.request.stage = None;
        let found = bubblemargin::rating::protection::protection(&case, &scene.permitted);
        (found.fans[0].answer, severity(&found, "relay-fan-start"))
    };
    let pass = (Answer::Yes, Severity::Pass);
    assert_eq!(fan("indicator: oil, start_c: 60, stop_c: 50"), pass);
    assert_eq!(fan("indicator: oil, start_c: 65, stop_c: 50"), (Answer::No, Severity::Stop));
    assert_eq!(fan("indicator: oil, start_c: 60, stop_c: 55"), (Answer::No, Severity::Stop));
    assert_eq!(fan("indicator: winding, start_c: 60, stop_c: 50, stage: ONAF"), pass);
    let unknown = (Answer::Unknown, Severity::Unknown);
    assert_eq!(fan("indicator: winding, start_c: 70, stop_c: 50"), unknown);
}

/// What the courses give, against the relays' own formulas for a constant load.
#[test]
fn trip_times_are_those_of_the_formulas() {
    use bubblemargin::relay::{Function, Side};
    let relays = "  - { name: image, function: thermal-image, k: 1.05, base_current_pu: 1.0, time_constant_min: 60, tolerance_percent: 2 }
  - { name: delay, function: overcurrent, purpose: overload, curve: definite-time, setting_pu: 1.1, delay_s: 700, tolerance_percent: 4 }
  - { name: inverse, function: overcurrent, purpose: overload, curve: very-inverse, setting_pu: 1.1, time_multiplier: 3 }";
    let scene = Scene { permitted: vec![permitted(1.3, 10.0)], ..Scene::dry() }.with(relays);
    let profile = scene.question.profile() + &scene.relays;
    let catalogue = bubblemargin::unit::defaults::Catalogue::embedded();
    let unit = bubblemargin::unit::validate::read_unit("test", &profile, &catalogue).unwrap();
    let found = scene.answer();
    let before_pu = scene.question.preload_pu;
    let formula = |function: &Function, side: Side| match function {
        Function::ThermalImage(own) => own.at_the(side).trip_min(before_pu, 1.3),
        Function::Overcurrent(own) => own.at_the(side).operates_s(1.3).map(|s| s / 60.0),
        Function::WindingTemperature(_) | Function::OilTemperature(_) | Function::FanStart(_) => {
            None
        }
    };
    for (relay, answer) in unit.relays.iter().zip(&found.relays) {
        let early_min = formula(&relay.function, Side::Early).unwrap();
        let late_min = formula(&relay.function, Side::Late).unwrap();
        let load = &answer.lets_through.loads[0];
        // The image is read in straight lines between samples a minute apart: within a
        // sixtieth of a time constant that is 1e-3 min. The others are straight themselves.
        assert!((load.trip_min.unwrap() - early_min).abs() < 2.0e-3, "{} {early_min}", relay.name);
        assert!(early_min < late_min, "{}", relay.name);
        // Where no load bubbles late enough to matter, the worst load is the greatest.
        assert!(answer.acts_before.worst.unwrap().load_pu > 1.3);
    }
    let image = &found.relays[0].acts_before;
    let worst = image.worst.unwrap();
    let Function::ThermalImage(own) = &unit.relays[0].function else { unreachable!("an image") };
    let late_min = own.at_the(Side::Late).trip_min(before_pu, worst.load_pu).unwrap();
    assert!((worst.trip_min.unwrap() - late_min).abs() < 2.0e-3);
}

/// In the steady state the reading is top oil of the hottest model and the heater at its pessimistic end.
#[test]
fn the_steady_reading_is_the_one_written_out_here() {
    let always = Permitted { duration_min: None, ..permitted(1.2, 1.0) };
    let relay = "  - { name: winding, function: winding-temperature, trip_c: 150 }";
    let found = Scene { permitted: vec![always], ..Scene::dry() }.with(relay).one();
    // Exponents of the ONAF set: x = 0.8 in the IEC form, n = 0.9 in the IEEE form, which is the hotter.
    let losses: f64 = (1.0 + 1.2 * 1.2 * 6.0) / 7.0;
    let top_oil_c = 20.0 + 52.0 * losses.powf(0.9);
    let reading_c = top_oil_c + 26.0 * 1.2_f64.powi(2) + 3.0;
    let margin_k = found.lets_through.margin_k.unwrap();
    // Twelve time constants on, 6e-6 of a rise of some 50 K is still to come. The winding's resistance, which only the
    // detailed model follows, warms the oil by some tenths more.
    let written_k = 150.0 - reading_c;
    assert!(margin_k <= written_k + 5.0e-4, "{margin_k} and {written_k}");
    assert!(margin_k >= written_k - 0.5, "{margin_k} and {written_k}");
}
