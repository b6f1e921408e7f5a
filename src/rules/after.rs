//! What to mind during and after the overload.

use super::catalogue::Code;
use super::facts::{CoolDownFacts, Facts};
use super::finding::{Finding, Severity};

/// Paper this wet is expected to give the oil enough water to weaken it after the event, %.
/// Our choice, no source; monotone in moisture whatever the weather after the event.
pub const WET_PERCENT: f64 = 2.0;

/// Oil from this relative saturation on is minded, %. Our choice, no source; that its strength falls
/// as saturation rises is common practice.
const NEAR_SATURATION_PERCENT: f64 = 50.0;

/// Above it there may be free water already, %.
const SATURATED_PERCENT: f64 = 100.0;

/// All findings of the family.
pub fn findings(facts: &Facts<'_>) -> Vec<Finding> {
    let mut found = vec![Finding::new(
        Code::WindingUnseen,
        Severity::Notice,
        "Oil follows in hours, the winding in minutes: watch load and time, not the top oil alone.",
    )];
    found.extend(free_water(facts));
    found.extend(second_overload(facts));
    if let Some(cooldown) = &facts.cooldown {
        found.push(saturation(facts, cooldown));
        found.extend(saturation_temperature(cooldown));
        found.extend(oil_strength(cooldown));
        found.push(wait(facts, cooldown));
    }
    found
}

/// What is said of free water where something is, the gravest last.
const FREE_WATER: [&str; 5] = [
    "At most, the oil could come above saturation after the event.",
    "Wet paper gives the oil water that weakens it: no second overload soon, no fast cooling.",
    "Free water after the event cannot be excluded: saturation not computed. No second overload soon, no fast cooling.",
    "After the event there may be free water and weak oil: no second overload soon, no fast cooling.",
    "After the event expect free water and weak oil: no second overload soon, no fast cooling.",
];

/// How grave what a finding says of free water is, among others of the same severity; 0 for every other text.
pub(crate) fn gravity(finding: &Finding) -> usize {
    FREE_WATER.iter().position(|text| finding.text == *text).unwrap_or(0)
}

/// Free water is announced where the computed saturation says so, and not on the water in the paper alone. A wet
/// unit has the caution whatever was computed: the top oil is not the coldest oil.
fn free_water(facts: &Facts<'_>) -> Option<Finding> {
    let moisture = facts.moisture.counting?.upper.value();
    let wet = !(moisture < WET_PERCENT);
    let water = computed_water(facts.cooldown.as_ref());
    let (severity, text) = match (water, wet) {
        (Water::Free, _) => (Severity::Caution, FREE_WATER[4]),
        (Water::FreeAtMost, true) => (Severity::Caution, FREE_WATER[3]),
        (Water::NotComputed, true) => (Severity::Caution, FREE_WATER[2]),
        (Water::Dissolved, true) => (Severity::Caution, FREE_WATER[1]),
        (Water::FreeAtMost, false) => (Severity::Notice, FREE_WATER[0]),
        (Water::NotComputed | Water::Dissolved, false) => {
            (Severity::Pass, "The paper is dry enough to give the oil little water.")
        }
    };
    Some(
        Finding::new(Code::FreeWater, severity, text)
            .measured(moisture, "%")
            .limit(WET_PERCENT, "%"),
    )
}

/// What the computed saturation of the oil says of its water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Water {
    /// Followed over time it passes saturation.
    Free,
    /// The most that it could be passes saturation.
    FreeAtMost,
    /// It stays below saturation.
    Dissolved,
    /// Not known everywhere.
    NotComputed,
}

fn computed_water(cooldown: Option<&CoolDownFacts>) -> Water {
    let Some(cooldown) = cooldown else { return Water::NotComputed };
    match (cooldown.saturation_percent(), cooldown.oil.bound_only) {
        (Some(percent), false) if percent > SATURATED_PERCENT => Water::Free,
        (Some(percent), true) if percent > SATURATED_PERCENT => Water::FreeAtMost,
        (Some(percent), _) if percent <= SATURATED_PERCENT && !cooldown.oil.colder_than_known => {
            Water::Dissolved
        }
        (Some(_) | None, _) => Water::NotComputed,
    }
}

/// Only a unit whose history was followed is stopped: a bound would stop every wet unit.
fn second_overload(facts: &Facts<'_>) -> Option<Finding> {
    let before = facts.oil_before?;
    let finding = |severity, text: &str| Finding::new(Code::SecondOverload, severity, text);
    if !before.followed {
        let text =
            format!("How much water the history left in the oil is not known{}.", why(facts));
        return Some(finding(Severity::Notice, &text));
    }
    let Some(saturation) = before.saturation else {
        let text =
            "At minute 0 the oil is too cold to tell how near saturation the history left it.";
        return Some(finding(Severity::Caution, text));
    };
    let percent = saturation * 100.0;
    let found = if percent > SATURATED_PERCENT {
        finding(
            Severity::Stop,
            if before.beyond_isotherm {
                "An earlier overload may have left the oil above saturation; the paper is wetter than the isotherm covers. Wait."
            } else {
                "An earlier overload has left the oil above saturation: there may be free water. Wait."
            },
        )
    } else if percent >= NEAR_SATURATION_PERCENT {
        finding(
            Severity::Caution,
            "An earlier overload has left much water in the oil. Wait longer.",
        )
    } else {
        finding(Severity::Pass, "The history has left the oil far from saturation.")
    };
    let limit =
        if percent > SATURATED_PERCENT { SATURATED_PERCENT } else { NEAR_SATURATION_PERCENT };
    Some(found.measured(percent, "% of saturation").limit(limit, "% of saturation"))
}

/// The one finding that colder weather makes graver: oil that cools further comes nearer to saturation,
/// so that it may fade on a hotter day. It is a caution all the same, for it is about the hours after the
/// event, and every other finding is about the overload, where hotter is worse. Where it could not be
/// followed over time it is a notice.
fn saturation(facts: &Facts<'_>, cooldown: &CoolDownFacts) -> Finding {
    let percent = cooldown.saturation_percent();
    let near = percent.is_none_or(|percent| percent >= NEAR_SATURATION_PERCENT);
    let (severity, text) = if cooldown.oil.bound_only {
        let why = why(facts);
        (
            Severity::Notice,
            format!(
                "Not followed over time{why}: the nearest to saturation that the oil can come."
            ),
        )
    } else if cooldown.oil.colder_than_known {
        let text = "The oil becomes colder than 0 °C, where its saturation is not known: expect free water.";
        (Severity::Caution, text.to_owned())
    } else if percent.is_some_and(|percent| percent > SATURATED_PERCENT) {
        let text = "While it cools the oil comes above saturation: free water, no fast cooling.";
        (Severity::Caution, text.to_owned())
    } else if near {
        let text = "While it cools the oil comes near saturation and is weak: no fast cooling.";
        (Severity::Caution, text.to_owned())
    } else {
        (Severity::Pass, "While it cools the oil stays far from saturation.".to_owned())
    };
    let finding = Finding::new(Code::SaturationAfter, severity, text)
        .limit(NEAR_SATURATION_PERCENT, "% of saturation");
    match percent {
        Some(percent) => finding.measured(percent, "% of saturation"),
        None => finding,
    }
}

fn saturation_temperature(cooldown: &CoolDownFacts) -> Option<Finding> {
    let text =
        "Water comes out where the oil is colder than this; the limit is the lowest ambient.";
    Some(
        Finding::new(Code::SaturationTemperature, Severity::Notice, text)
            .measured(cooldown.oil.saturates_below_c?, "°C")
            .limit(cooldown.lowest_ambient_c, "°C"),
    )
}

fn oil_strength(cooldown: &CoolDownFacts) -> Option<Finding> {
    let strength = cooldown.strength?;
    let text = "Mineral oil as near saturation broke down at about this voltage in a published test; indicative.";
    Some(
        Finding::new(Code::OilStrength, Severity::Notice, text)
            .measured(strength.breakdown_kv, "kV"),
    )
}

fn wait(facts: &Facts<'_>, cooldown: &CoolDownFacts) -> Finding {
    let oil = &cooldown.oil;
    let notice = |text: &str| Finding::new(Code::CooldownWait, Severity::Notice, text);
    if oil.bound_only {
        let text = format!("How long to wait before a second overload is not known{}.", why(facts));
        return notice(&text);
    }
    if oil.beyond_isotherm {
        return notice(
            "How long to wait before a second overload is not known: the paper is wetter than the isotherm covers.",
        );
    }
    match oil.wait_min {
        Some(wait_min) => {
            notice("Least wait after the end before a second overload.").measured(wait_min, "min")
        }
        None => notice("A second overload must wait longer than was computed.")
            .measured(oil.horizon_min - facts.asked.duration_min, "min"),
    }
}

/// What the profile lacks, as the end of a sentence.
fn why(facts: &Facts<'_>) -> String {
    let (unit, insulation) = (facts.unit, &facts.unit.insulation);
    let keys = [
        ("oil.mass_kg", unit.oil_kg),
        ("insulation.mass_kg", insulation.mass_kg),
        ("insulation.thickness_mm", insulation.thickness_mm),
    ];
    let missing: Vec<&str> =
        keys.iter().filter(|(_, value)| value.is_none()).map(|(key, _)| *key).collect();
    if missing.is_empty() { String::new() } else { format!(", without {}", missing.join(", ")) }
}
