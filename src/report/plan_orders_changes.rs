//! What of earlier standing orders no longer holds, as text: the one line first, then what is lower, then why.

use super::answer::{in_rows, indented};
use super::rate_changes::plain;
use super::text::{WIDTH, aligned, joined, titled};
use super::view::{down, duration, near, wrapped};
use crate::planning::orders::Standing;
use crate::planning::orders::compare::{CeilingChange, OrdersComparison, Owed};
use crate::rating::compare::Answer;
use anstyle::Style;
use tabled::builder::Builder;

/// What of [`OrdersComparison::asked_otherwise`] makes another question; the rest is computed from.
const OF_THE_QUESTION: [&str; 3] = ["preload, pu", "limit set", "simulated cases"];

/// The whole text, 80 columns. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(found: &OrdersComparison) -> String {
    let lower = table("No longer hold: ceilings, pu, and stop values, °C", found, true);
    let others = table("Changed otherwise: ceilings, pu, and stop values, °C", found, false);
    joined(vec![headline(found), compared(found), lower, others, causes(found)])
}

/// How many ceilings and stop values no longer hold.
fn headline(found: &OrdersComparison) -> String {
    let bold = Style::new().bold();
    let all = found.permitted_earlier;
    let ceilings = if all == 1 { "earlier ceiling" } else { "earlier ceilings" };
    let mut parts = vec![match found.no_longer_hold {
        0 if found.other_question && found.not_compared == all => {
            format!("{all} {ceilings} not compared: {}", otherwise(found))
        }
        0 => format!("None of {all} {ceilings} is known to have fallen"),
        1 => format!("1 of {all} {ceilings} no longer holds"),
        some => format!("{some} of {all} {ceilings} no longer hold"),
    }];
    match found.stops_too_high {
        0 => {}
        1 => parts.push("1 earlier stop value of the top oil is too high".to_owned()),
        some => parts.push(format!("{some} earlier stop values of the top oil are too high")),
    }
    match found.no_longer_guarded {
        0 => {}
        1 => parts.push("the top-oil thermometer no longer guards 1 of them".to_owned()),
        some => parts.push(format!("the top-oil thermometer no longer guards {some} of them")),
    }
    if let Some([then_c, now_c]) = found.top_oil_c {
        let (then, now) = (degrees(then_c), degrees(now_c));
        parts.push(format!("top oil never above {then} earlier, {now} now"));
    }
    if let Some([then_c, now_c]) = found.hot_spot_c {
        let (then, now) = (degrees(then_c), degrees(now_c));
        parts.push(format!("hot spot never above {then} earlier, {now} now"));
    }
    match found.not_compared {
        0 => {}
        lost if found.other_question => {
            if found.no_longer_hold > 0 || lost < all {
                parts.push(format!("{lost} not compared: {}", otherwise(found)));
            }
            parts.push("do not count on them".to_owned());
        }
        1 => parts.push("1 is not among the new ones, so do not count on it".to_owned()),
        lost => parts.push(format!("{lost} are not among the new ones, so do not count on them")),
    }
    let fell = found.no_longer_hold + found.stops_too_high + found.no_longer_guarded > 0;
    let lower = found.hot_spot_c.is_some() || found.top_oil_c.is_some();
    let withdraw = fell || lower || found.expired.is_some();
    let what_to_do = if withdraw { " Withdraw the earlier orders." } else { "" };
    let expired = found.expired.as_ref();
    let expired =
        expired.map(|day| format!("The earlier orders expired: {day} was their last day. "));
    let line = format!("{}{}.{what_to_do}", expired.unwrap_or_default(), parts.join("; "));
    format!("{bold}{}{bold:#}", wrapped(&line, WIDTH).join("\n"))
}

/// What was asked otherwise, in a few words.
fn otherwise(found: &OrdersComparison) -> String {
    let own = found.asked_otherwise.iter().filter(|own| OF_THE_QUESTION.contains(&own.what));
    let own: Vec<String> =
        own.map(|own| format!("{} {} earlier, {} now", own.what, own.earlier, own.now)).collect();
    if own.is_empty() { "asked with other flags".to_owned() } else { own.join(", ") }
}

fn degrees(value_c: Option<f64>) -> String {
    value_c.map_or_else(|| "none".to_owned(), |value_c| format!("{} °C", down(value_c, 0)))
}

fn compared(found: &OrdersComparison) -> String {
    let answer = |own: &Answer| {
        let hash = own.inputs_sha256.get(..16).unwrap_or("");
        format!("for {}, version {}, inputs sha256 {hash}", own.date, own.version)
    };
    let came_to = match found.standing_earlier {
        Standing::Restricted => "restricted",
        Standing::Ordinary => "not restricted by water",
        Standing::Forbidden => "no load passes",
        Standing::Undecided => "cannot decide",
    };
    let mut rows = vec![
        ("earlier", format!("{}; {came_to}", answer(&found.old))),
        ("now", answer(&found.new)),
    ];
    let asked = found
        .asked_otherwise
        .iter()
        .map(|own| format!("{}: {} earlier, {} now", own.what, own.earlier, own.now));
    let asked: Vec<String> = asked.collect();
    if !asked.is_empty() {
        rows.push(("asked otherwise", asked.join("; ")));
    }
    titled("Compared", &in_rows(&rows))
}

fn table(title: &str, found: &OrdersComparison, fell: bool) -> String {
    let own: Vec<&CeilingChange> = found.changed.iter().filter(|own| own.fell == fell).collect();
    if own.is_empty() {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(["  for", "°C", "was", "now", "change", "stop was", "now", "owed to"]);
    for change in own {
        builder.push_record(row(change));
    }
    titled(title, &aligned(builder, 1..7))
}

fn row(own: &CeilingChange) -> [String; 8] {
    let lasts = own.duration_min.map_or_else(|| "continuous".to_owned(), duration);
    let pu = |load: Option<f64>| load.map_or_else(|| "none".to_owned(), |load| down(load, 2));
    let stop = |c: Option<f64>| c.map_or_else(|| "none".to_owned(), |c| down(c, 0));
    let change = near(own.change_pu, 3);
    let sign = if own.change_pu > 0.0 { "+" } else { "" };
    let owed = match own.owed {
        Owed::Inputs => "inputs",
        Owed::Program => "program",
        Owed::Both => "inputs, program",
        Owed::NotKnown => "not known",
    };
    [
        format!("  {lasts}"),
        near(own.ambient_c, 0),
        pu(own.load_pu[0]),
        pu(own.load_pu[1]),
        format!("{sign}{change}"),
        stop(own.stop_c[0]),
        stop(own.stop_c[1]),
        owed.to_owned(),
    ]
}

/// Whether the inputs or the program are the reason.
fn causes(found: &OrdersComparison) -> String {
    if found.changed.is_empty() && found.inputs_changed.is_empty() {
        return String::new();
    }
    let names: Vec<String> = found.inputs_changed.iter().map(|name| plain(name)).collect();
    let mut lines = Vec::new();
    match (&found.cause_not_known, names.is_empty()) {
        (Some(why), _) => {
            let why = why.split_whitespace().collect::<Vec<_>>().join(" ");
            lines.push(format!("The inputs and the program cannot be told apart: {why}."));
        }
        (None, true) => lines.push(
            "No input differs: this program computes otherwise than the one that wrote the earlier orders.".to_owned(),
        ),
        (None, false) => lines.push(
            "Owed to inputs: what the earlier inputs take back in this program. Owed to the program: the rest.".to_owned(),
        ),
    }
    if !names.is_empty() {
        lines.push(format!("Inputs that differ: {}.", names.join(", ")));
    }
    titled("Why", &indented(&lines))
}
