//! What protection does, as text: what must be said first, the two answers one after the other, then settings
//! that satisfy both, and the loadability criterion apart from them.

use super::answer::{in_rows, indented};
use super::text::{aligned, findings, joined, titled};
use super::view::{cut, down, down_or_dash, duration, near, up};
use crate::rating::protection::fans::FanAnswer;
use crate::rating::protection::loadability::{Criterion, Loadability};
use crate::rating::protection::{
    ActsBefore, Answer, BubblesFirst, LetsThrough, Protection, RelayAnswer, Through, Window,
};
use crate::rules::trips::low_in_words;
use anstyle::Style;
use tabled::builder::Builder;

/// Columns of a relay's name in a table; the whole name stands in the findings.
const NAME: usize = 14;

/// The whole answer with its findings. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(found: &Protection) -> String {
    joined(vec![tables(found), findings(&found.findings)])
}

/// The answer without its findings, for a report that lists those of everything.
pub fn tables(found: &Protection) -> String {
    let sections = [
        first(found),
        asked(found),
        lets_through(found),
        acts_before(found),
        windows(found),
        loadability(found),
        fans(found),
    ];
    joined(sections.into()).trim_end().to_owned()
}

/// In bold, what must not be overlooked.
fn first(found: &Protection) -> String {
    let bold = Style::new().bold();
    let lines = found.first.iter().map(|first| {
        let figures = bubbles_first(first);
        let words = indented(std::slice::from_ref(&first.words));
        format!("{bold}{}{bold:#}\n{}", words.trim_start(), indented(&[figures]))
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// The setting beside the temperature at which the paper bubbles.
pub(super) fn bubbles_first(first: &BubblesFirst) -> String {
    let at = first.bubbles_at_c.map_or_else(
        || "at an unknown hot spot".to_owned(),
        |at_c| format!("from a hot spot of {} °C on", down(at_c, 1)),
    );
    let setting = near(first.setting_c, 1);
    let low =
        first.bubbles_at_c.and_then(|c| low_in_words(first.setting_c, first.may_read_low_k, c));
    let low = low.map_or_else(String::new, |low| format!(" and {low}"));
    format!("{} is set to {setting} °C{low}; the paper may bubble {at}.", first.relay)
}

fn asked(found: &Protection) -> String {
    let asked = &found.asked;
    let mut rows = vec![
        (
            "from",
            format!(
                "preload {} pu, ambient {} °C; after a permitted load {} pu",
                near(asked.preload_pu, 2),
                near(asked.ambient_c, 1),
                near(asked.drop_back_pu, 2)
            ),
        ),
        ("paper bubbles", bubbles(found)),
    ];
    if let Some((from_pu, to_pu)) = asked.tried_pu {
        let words = format!("loads from {} to {} pu", near(from_pu, 2), near(to_pu, 2));
        rows.push(("carried on", format!("{words}, each for ever, in both thermal forms")));
    }
    titled("Protection", &in_rows(&rows))
}

fn bubbles(found: &Protection) -> String {
    let paper = &found.paper;
    let Some(at_c) = paper.at_c else {
        return "at an unknown hot spot, so that nothing can be said to act before".to_owned();
    };
    let below = match paper.inception_c {
        None => "below ",
        Some(_) if paper.inception_is_floor => "above ",
        Some(_) => "",
    };
    let off = match paper.allowance_k {
        Some(off_k) if off_k > 0.0 => {
            format!(", {} K for what is uncertain taken off", near(off_k, 1))
        }
        Some(_) => String::new(),
        None => ", without what is uncertain, which is not known".to_owned(),
    };
    format!("{below}{} °C{off}", down(at_c, 1))
}

fn in_words(answer: Answer) -> &'static str {
    match answer {
        Answer::Yes => "yes",
        Answer::No => "NO",
        Answer::Unknown => "UNKNOWN",
    }
}

fn lets_through(found: &Protection) -> String {
    let Some(together) = &found.together else {
        return String::new();
    };
    let title = format!(
        "1. Does protection let the permitted loads through?  {}",
        in_words(together.lets_through)
    );
    let mut builder = Builder::default();
    builder.push_record(["  relay", "", "time left", "K left", "tightest load"]);
    for relay in &found.relays {
        builder.push_record(through_row(relay));
    }
    let legend = "time left: trip, if the load went on, less the permitted duration. K left: of an indicator its trip \
                  less its highest reading; else how much hotter the hot spot would be at the trip.";
    titled(&title, &format!("{}\n{}", aligned(builder, 2..4), indented(&[legend.to_owned()])))
}

fn through_row(relay: &RelayAnswer) -> [String; 5] {
    let found = &relay.lets_through;
    let time = match found.margin_min {
        _ if relay.setting.is_none() => "alarm only".to_owned(),
        Some(minutes) => minutes_or_less(minutes),
        None if found.never_trips => "never trips".to_owned(),
        None => "-".to_owned(),
    };
    let tightest = tightest(found).map_or_else(|| "-".to_owned(), load);
    [
        format!("  {}", cut(&relay.relay, NAME)),
        in_words(found.answer).to_owned(),
        time,
        down_or_dash(found.margin_k, 1),
        tightest,
    ]
}

/// A time left, which may be less than nothing.
fn minutes_or_less(minutes: f64) -> String {
    if minutes < 0.0 { format!("-{}", duration((-minutes).ceil())) } else { duration(minutes) }
}

/// The load with the gravest answer and the least margin.
fn tightest(found: &LetsThrough) -> Option<&Through> {
    let margin = |own: &Through| own.margin_k.or(own.margin_min).unwrap_or(f64::INFINITY);
    let key = |own: &&Through, other: &&Through| {
        other.answer.cmp(&own.answer).then(margin(own).total_cmp(&margin(other)))
    };
    found.loads.iter().min_by(key)
}

fn load(own: &Through) -> String {
    let lasts = own.duration_min.map_or_else(|| "always".to_owned(), duration);
    format!("{} pu, {lasts}", near(own.load_pu, 2))
}

fn acts_before(found: &Protection) -> String {
    let Some(together) = &found.together else {
        return String::new();
    };
    let acts = &together.acts_before;
    let title =
        format!("2. Would protection act before the paper bubbles?  {}", in_words(acts.answer));
    let mut builder = Builder::default();
    builder.push_record(["  relay", "", "earlier by", "K left", "worst load", "no trip at"]);
    for relay in &found.relays {
        builder.push_record(before_row(&relay.relay, &relay.acts_before));
    }
    builder.push_record(before_row("all together", acts));
    let legend = "K left: where the paper bubbles less the hottest hot spot up to the trip. Indicators show top oil and a \
                  heater, not the winding.";
    titled(&title, &format!("{}\n{}", aligned(builder, 2..4), indented(&[legend.to_owned()])))
}

fn before_row(relay: &str, acts: &ActsBefore) -> [String; 6] {
    let worst = acts.worst.map_or_else(
        || "-".to_owned(),
        |worst| format!("{} pu {}", near(worst.load_pu, 2), short(worst.form)),
    );
    let no_trip = acts.no_trip_pu.map_or_else(
        || "-".to_owned(),
        |(from_pu, to_pu)| match (near(from_pu, 2), near(to_pu, 2)) {
            (from, to) if from == to => format!("{from} pu"),
            (from, to) => format!("{from}-{to} pu"),
        },
    );
    [
        format!("  {}", cut(relay, NAME)),
        in_words(acts.answer).to_owned(),
        acts.margin_min.map_or_else(|| "-".to_owned(), minutes_or_less),
        down_or_dash(acts.margin_k, 1),
        worst,
        no_trip,
    ]
}

/// The body that a form comes from, before the number of its standard.
fn short(form: &str) -> String {
    form.split('-').next().unwrap_or(form).to_uppercase()
}

fn windows(found: &Protection) -> String {
    let with_trip = || found.relays.iter().filter(|relay| relay.setting.is_some());
    if with_trip().next().is_none() {
        return String::new();
    }
    let mut builder = Builder::default();
    builder.push_record(["  relay", "", "now", "above", "below", "setting"]);
    for relay in with_trip() {
        let now = relay.setting.map_or(f64::NAN, |setting| setting.value);
        builder.push_record(window_row(&relay.relay, now, &relay.window));
    }
    let why = with_trip().filter(|relay| !relay.window.why.is_empty());
    let why: Vec<String> =
        why.map(|relay| format!("{}: {}", relay.relay, why_in_words(&relay.window))).collect();
    let body = [aligned(builder, 2..5), indented(&why)];
    let body: Vec<String> = body.into_iter().filter(|part| !part.is_empty()).collect();
    titled("Settings that satisfy both, each relay alone", &body.join("\n"))
}

fn why_in_words(window: &Window) -> String {
    let load = window.tightest_pu.filter(|_| window.answer == Answer::No);
    let at = load.map_or_else(String::new, |load_pu| format!(" (at {} pu)", near(load_pu, 2)));
    format!("{}{at}", window.why)
}

fn window_row(relay: &str, now: f64, window: &Window) -> [String; 6] {
    let decimals = match window.key {
        "time_multiplier" => 2,
        "delay_s" => 0,
        _ => 1,
    };
    let any = |bound: Option<String>| bound.unwrap_or_else(|| "-".to_owned());
    [
        format!("  {}", cut(relay, NAME)),
        if window.answer == Answer::No { "none" } else { in_words(window.answer) }.to_owned(),
        near(now, decimals.max(1)),
        any(window.above.map(|bound| up(bound, decimals))),
        any(window.below.map(|bound| down(bound, decimals))),
        window.key.to_owned(),
    ]
}

fn loadability(found: &Protection) -> String {
    let Some(any) = found.loadability.first() else {
        return String::new();
    };
    let one =
        |own: &Loadability| format!("{}: {}, {}", own.relay, in_words(own.answer), criterion(own));
    let mut lines: Vec<String> = found.loadability.iter().map(one).collect();
    if !any.rating_known {
        lines.push("no emergency rating is known, so that more may have to be carried".to_owned());
    }
    lines.push(any.applies.to_owned());
    let mut letters = any.label.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    titled(&first.chain(letters).collect::<String>(), &indented(&lines))
}

fn criterion(own: &Loadability) -> String {
    let carries = up(own.carries_pu, 2);
    match own.by {
        Criterion::SettingPu(setting_pu) => {
            format!("set to {} pu, must not operate at {carries} pu", near(setting_pu, 2))
        }
        Criterion::CarriesMin(None) => format!("never operates at {carries} pu"),
        Criterion::CarriesMin(Some(minutes)) => {
            format!("carries {carries} pu for {}, of the 15 min asked for", duration(minutes))
        }
        Criterion::TopOilC(at_c) => format!("supervised by top oil at {} °C", near(at_c, 1)),
        Criterion::HotSpotC(at_c) => format!("supervised by a hot spot of {} °C", near(at_c, 1)),
    }
}

fn fans(found: &Protection) -> String {
    if found.fans.is_empty() {
        return String::new();
    }
    let one = |own: &FanAnswer| format!("{}: {}, {}", own.relay, in_words(own.answer), own.words);
    let lines: Vec<String> = found.fans.iter().map(one).collect();
    titled("Cooling started no later than the ratings count on", &indented(&lines))
}
