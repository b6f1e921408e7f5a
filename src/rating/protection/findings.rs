//! What protection does, as findings.

use super::loadability::{CARRIES_MIN, Criterion, Loadability, WHERE};
use super::{Answer, Protection, RelayAnswer};
use crate::rules::catalogue::Code;
use crate::rules::finding::{Finding, Severity};

/// All findings, gravest first.
pub(super) fn of(found: &Protection) -> Vec<Finding> {
    let mut findings = Vec::new();
    if found.relays.is_empty() && found.fans.is_empty() {
        let text = "The profile states no relays: nothing is known of what protection does.";
        findings.push(Finding::new(Code::RelayNone, Severity::Notice, text));
    }
    findings.extend(found.first.iter().map(|first| {
        let unknown = first.bubbles_at_c.is_none();
        let severity = if unknown { Severity::Unknown } else { Severity::Caution };
        let finding = Finding::new(Code::RelayBubblesFirst, severity, first.words.clone());
        let finding = finding.limit(first.setting_c, "°C");
        first.bubbles_at_c.map_or(finding.clone(), |at_c| finding.measured(at_c, "°C"))
    }));
    findings.extend(together(found));
    for relay in &found.relays {
        findings.extend(of_relay(found, relay));
    }
    findings.extend(computed_as(found));
    findings.extend(found.loadability.iter().map(loadability));
    findings.extend(found.fans.iter().map(|own| {
        let text = format!("{}: {}.", own.relay, own.words);
        Finding::new(Code::RelayFanStart, weight(own.answer, Severity::Stop), text)
    }));
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    findings
}

fn weight(answer: Answer, of_a_no: Severity) -> Severity {
    match answer {
        Answer::Yes => Severity::Pass,
        Answer::Unknown => Severity::Unknown,
        Answer::No => of_a_no,
    }
}

/// A yes with less than the margin that an overload is held to is a caution.
fn acting(answer: Answer, margin_k: Option<f64>, required_k: f64) -> Severity {
    match answer {
        Answer::Yes if margin_k.is_none_or(|margin_k| margin_k >= required_k) => Severity::Pass,
        Answer::Yes | Answer::No => Severity::Caution,
        Answer::Unknown => Severity::Unknown,
    }
}

fn together(found: &Protection) -> Option<Finding> {
    let acts = &found.together.as_ref()?.acts_before;
    let required_k = found.paper.required_margin_k;
    let severity = acting(acts.answer, acts.margin_k, required_k);
    let text = match acts.answer {
        Answer::Yes if acts.worst.is_none() => "No load that was tried makes the paper bubble.",
        Answer::Yes if severity == Severity::Pass => {
            "At every load that was tried a relay acts before the paper bubbles."
        }
        Answer::Yes => "A relay acts before the paper bubbles, with little margin.",
        Answer::Unknown => "It is not known whether a relay acts before the paper bubbles.",
        Answer::No => {
            "At some loads the paper bubbles before any relay acts: do not rely on protection."
        }
    };
    Some(with_margin(
        Finding::new(Code::RelayTogether, severity, text),
        acts.margin_k,
        Some(required_k),
    ))
}

fn with_margin(finding: Finding, margin_k: Option<f64>, limit_k: Option<f64>) -> Finding {
    let measured = margin_k.map_or(finding.clone(), |margin_k| finding.measured(margin_k, "K"));
    limit_k.map_or(measured.clone(), |limit_k| measured.limit(limit_k, "K"))
}

fn of_relay(found: &Protection, relay: &RelayAnswer) -> Vec<Finding> {
    let mut findings = vec![lets_through(relay), acts_before(found, relay)];
    let name = &relay.relay;
    if relay.window.answer == Answer::No && relay.setting.is_some() {
        let text = format!("{name}: no {} satisfies both: {}.", relay.window.key, relay.window.why);
        let finding = Finding::new(Code::RelayNoWindow, Severity::Notice, text);
        let load_pu = relay.window.tightest_pu;
        findings.push(load_pu.map_or(finding.clone(), |load_pu| finding.measured(load_pu, "pu")));
    }
    let alarms = relay.lets_through.loads.iter().filter_map(|load| {
        load.alarm_min.filter(|at_min| load.duration_min.is_none_or(|end_min| *at_min < end_min))
    });
    if let Some(first_min) = alarms.reduce(f64::min) {
        let text = format!("{name}: the alarm comes while a permitted load is carried.");
        let finding = Finding::new(Code::RelayAlarm, Severity::Notice, text);
        findings.push(finding.measured(first_min, "min"));
    }
    findings
}

fn loadability(own: &Loadability) -> Finding {
    let (name, label) = (&own.relay, own.label);
    let with = |what: &str| {
        let text = format!("{name}: {what} ({label}; {WHERE}).");
        Finding::new(Code::RelayLoadability, weight(own.answer, Severity::Caution), text)
    };
    match own.by {
        Criterion::SettingPu(setting_pu) => with("must not operate at the load to be carried")
            .measured(setting_pu, "pu")
            .limit(own.carries_pu, "pu"),
        Criterion::CarriesMin(None) => with("never operates at the load to be carried"),
        Criterion::CarriesMin(Some(minutes)) => with("operates at the load to be carried")
            .measured(minutes, "min")
            .limit(CARRIES_MIN, "min"),
        Criterion::TopOilC(at_c) => with("supervised by top oil").measured(at_c, "°C"),
        Criterion::HotSpotC(at_c) => with("supervised by a hot spot").measured(at_c, "°C"),
    }
}

/// What holds for every relay of a kind is said once.
fn computed_as(found: &Protection) -> Vec<Finding> {
    let named = |key: &str| found.relays.iter().any(|relay| relay.window.key == key);
    let image = named("trip_percent").then_some((
        Code::RelayImage,
        "Thermal images are computed as generic first-order ones; makers' implementations differ.",
    ));
    let inverse = named("time_multiplier").then_some((
        Code::RelayInverseTime,
        "Inverse-time relays are computed by the standard's curve, with immediate reset.",
    ));
    let kinds = image.into_iter().chain(inverse);
    let mut findings: Vec<Finding> =
        kinds.map(|(code, text)| Finding::new(code, Severity::Notice, text)).collect();
    let assumed = found.relays.iter().filter(|relay| !relay.assumed.is_empty());
    let assumed: Vec<String> =
        assumed.map(|relay| format!("{} ({})", relay.relay, relay.assumed.join(", "))).collect();
    if !assumed.is_empty() {
        let text = format!("Taken and not stated: {}.", assumed.join("; "));
        findings.push(Finding::new(Code::RelayAssumed, Severity::Notice, text));
    }
    findings
}

fn lets_through(relay: &RelayAnswer) -> Finding {
    let (name, found) = (&relay.relay, &relay.lets_through);
    let text = match found.answer {
        Answer::Yes if relay.setting.is_none() => format!("{name} only gives an alarm."),
        Answer::Yes => format!("{name} lets every permitted load through."),
        Answer::Unknown => format!("It is not known whether {name} lets the loads through."),
        Answer::No => format!("{name} may trip under a permitted load."),
    };
    let severity = weight(found.answer, Severity::Stop);
    with_margin(Finding::new(Code::RelayLetsThrough, severity, text), found.margin_k, None)
}

/// One relay that does not act is no caution of its own: all of them together count.
fn acts_before(found: &Protection, relay: &RelayAnswer) -> Finding {
    let (name, acts) = (&relay.relay, &relay.acts_before);
    let required_k = found.paper.required_margin_k;
    let severity = match acts.answer {
        Answer::No => Severity::Notice,
        Answer::Yes | Answer::Unknown => acting(acts.answer, acts.margin_k, required_k),
    };
    let text = match acts.answer {
        Answer::Yes if acts.worst.is_none() => {
            format!("{name}: no load that was tried makes the paper bubble.")
        }
        Answer::Yes => format!("{name} acts before the paper bubbles."),
        Answer::Unknown => format!("It is not known whether {name} acts before bubbling."),
        Answer::No if relay.setting.is_none() => format!("{name} only gives an alarm."),
        Answer::No => format!("{name} alone does not act before the paper bubbles."),
    };
    with_margin(Finding::new(Code::RelayActsBefore, severity, text), acts.margin_k, None)
}
