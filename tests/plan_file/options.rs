//! What an option makes of a unit.

use crate::scene::{Memory, OPTION, PLAN, read};
use approx::assert_relative_eq;
use bubblemargin::bubbling::gas::Preservation;
use bubblemargin::input::InputError;
use bubblemargin::planning::option::with_option;
use bubblemargin::planning::plan::PlanOption;
use bubblemargin::unit::Unit;
use bubblemargin::unit::defaults::Catalogue;
use bubblemargin::unit::validate::read_unit;

/// The option with these keys; it stands on line 18.
fn option(keys: &str) -> PlanOption {
    let text = format!("{PLAN}currency: EUR\noptions:\n  - {{ name: it, {keys} }}\n");
    read(&text).unwrap().options.remove(0)
}

fn profile(more: &str) -> String {
    format!("{}{more}", Memory::small().files["a.yaml"])
}

fn with(profile: &str, keys: &str) -> Result<Unit, InputError> {
    let refuse = |name: &str| Err(InputError::new(name, "a file", "none"));
    let place = ("a.yaml", profile);
    with_option(place, &option(keys), &Catalogue::embedded(), &mut { refuse })
}

fn before(profile: &str) -> Unit {
    read_unit("a.yaml", profile, &Catalogue::embedded()).unwrap()
}

const STAGE: &str = "cooling_stage: { name: ONAF2, rating_pu: 1.15, constants: onaf, top_oil_rise_k: 50, hot_spot_gradient_k: 33, start_top_oil_c: 65, stop_top_oil_c: 55 }";
const NITROGEN: &str =
    "oil: { preservation: nitrogen-blanket, altitude_m: 0, blanket_lowest_gauge_kpa: 10 }\n";

#[test]
fn an_option_that_only_dries_leaves_the_unit_as_it_is() {
    let text = profile("gas: { total_percent: 6 }\n");
    let dried = with(&text, "dries_to_percent: 1").unwrap();
    assert_eq!(format!("{dried:?}"), format!("{:?}", before(&text)));
    assert_eq!(read(&format!("{PLAN}{OPTION}")).unwrap().options[0].dries_to_percent, Some(1.0));
}

#[test]
fn gas_is_stated_and_no_longer_assumed() {
    let text =
        profile("oil: { preservation: sealed, altitude_m: 0 }\ngas: { gases: { CO: 100 } }\n");
    assert!(before(&text).gas.unwrap().assumed.is_some());
    let gas = with(&text, "gas_to_percent: 3").unwrap().gas.unwrap();
    assert_relative_eq!(gas.total.value(), 3.0);
    assert!(gas.assumed.is_none());
    // The same checks as for a profile: oil that breathes is not trusted to hold less than 2 %.
    let breathing = profile("gas: { total_percent: 6 }\noil: { preservation: conservator }\n");
    let gas = with(&breathing, "gas_to_percent: 0.5").unwrap().gas.unwrap();
    assert!(gas.raised);
    assert_relative_eq!(gas.total.value(), 2.0);
}

#[test]
fn another_preservation_never_makes_gas_vanish() {
    let keys = "preservation: conservator-membrane";
    let much = profile("gas: { total_percent: 8.5 }\n") + NITROGEN;
    let unit = with(&much, keys).unwrap();
    let gas = unit.gas.unwrap();
    assert_relative_eq!(gas.total.value(), 8.5);
    assert!(
        unit.surroundings.blanket_pa.abs() < f64::EPSILON && !unit.surroundings.blanket_unknown
    );

    let little = profile("gas: { total_percent: 3 }\n") + NITROGEN;
    let gas = with(&little, "preservation: conservator").unwrap().gas.unwrap();
    assert!(gas.assumed.is_some(), "oil that breathes takes up air");
    assert!(gas.total.value() > 8.0, "{}", gas.total.value());

    let nowhere = profile("gas: { total_percent: 3 }\n");
    let unknown = with(&nowhere, "preservation: conservator").unwrap();
    assert!(unknown.gas.is_none(), "without an altitude nothing can be assumed");

    let both = with(&little, "preservation: conservator-membrane, gas_to_percent: 2.5").unwrap();
    assert_relative_eq!(both.gas.unwrap().total.value(), 2.5);
    assert_eq!(option(keys).preservation, Some(Preservation::ConservatorMembrane));
}

#[test]
fn a_stage_is_put_above_the_others() {
    let unit = with(&profile(""), STAGE).unwrap();
    let thermal = unit.thermal.unwrap();
    let stages: Vec<(&str, f64)> = thermal
        .stages
        .iter()
        .map(|data| (data.stage.name.as_str(), data.stage.rating_pu))
        .collect();
    assert_eq!(stages, [("ONAF", 1.0), ("ONAF2", 1.15)]);
    assert_eq!(thermal.rated_stage, 0);
    let own = before(&profile("")).thermal.unwrap();
    assert_eq!(format!("{:?}", own.stages[0]), format!("{:?}", thermal.stages[0]));
    assert_relative_eq!(thermal.stages[1].stage.nameplate.hot_spot_gradient_k, 33.0);
}

/// A stage that is bought says nothing of the fans that are there: they stay as unknown as before.
#[test]
fn a_stage_above_a_unit_that_states_none_does_not_set_its_fans_running() {
    let stages = "cooling_stages: [ { name: ONAF, rating_pu: 1 } ]\n";
    let bare = profile("").replace(stages, "");
    assert_ne!(bare, profile(""), "the stages stand in the profile");
    let thermal = with(&bare, STAGE).unwrap().thermal.unwrap();
    let names: Vec<&str> = thermal.stages.iter().map(|data| data.stage.name.as_str()).collect();
    assert_eq!((names, thermal.rated_stage), (vec!["ONAN", "ONAF", "ONAF2"], 1));
    assert!(thermal.assumed().is_some());
    let own = before(&bare).thermal.unwrap();
    assert_eq!(format!("{:?}", own.stages), format!("{:?}", &thermal.stages[..2]));
}

#[test]
fn a_stage_that_does_not_fit_is_refused_at_the_option() {
    let weak = STAGE.replace("1.15", "0.9");
    let twice = STAGE.replace("name: ONAF2", "name: ONAF");
    let warm = STAGE.replace("stop_top_oil_c: 55", "stop_top_oil_c: 70");
    let unknown = STAGE.replace("constants: onaf", "constants: none-such");
    for (keys, found) in [
        (&weak, "ONAF2 with rating_pu 0.9"),
        (&twice, "two stages named ONAF"),
        (&warm, "start at 65 °C and stop at 70 °C"),
        (&unknown, "none-such"),
    ] {
        let refused = with(&profile(""), keys).unwrap_err();
        assert_eq!((refused.place.as_str(), refused.line), ("plan.yaml", Some(19)), "{refused}");
        assert!(refused.found.starts_with("it: ") && refused.found.contains(found), "{refused}");
    }
}

#[test]
fn a_profile_that_is_wrong_itself_is_refused_as_such() {
    let wrong = profile("gas: { gases: { XX: 1 } }\n");
    let refused = with(&wrong, "gas_to_percent: 3").unwrap_err();
    assert_eq!(refused.place, "a.yaml", "{refused}");
}
