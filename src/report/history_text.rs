//! The answer of `history` as text: the figures that matter first, then when and on what they rest.

use super::answer::{by_guide, by_scission, in_rows, indented, judged_for};
use super::text::{WIDTH, aligned, findings, footer, joined, titled};
use super::view::{down, duration, near, near_or_dash, up, up_or_dash};
use crate::assessment::long_history::{
    Bubbling, Extreme, HistoryAnswer, PaperUsed, Part, Span, When,
};
use anstyle::Style;
use tabled::builder::Builder;

/// Columns of the bar that shows a part's hottest hot spot.
const BAR: usize = 22;

/// The whole answer. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(answer: &HistoryAnswer) -> String {
    let sections = [
        first_line(answer),
        covered(answer),
        in_rows(&rows(answer)),
        parts(answer),
        findings(&answer.findings),
        footer(&answer.tool, &answer.inputs_sha256),
    ];
    joined(sections.into())
}

/// The smallest margin in bold, the hottest hot spot, the life used.
fn first_line(answer: &HistoryAnswer) -> String {
    let bold = Style::new().bold();
    let first = match (answer.bubbling.margin_k, answer.bubbling.margin_below_k) {
        (Some(margin_k), _) if answer.unanswered() => {
            format!("margin not known, {} K computed", down(margin_k, 1))
        }
        (Some(margin_k), _) => format!("smallest margin {} K", down(margin_k, 1)),
        (None, Some(below_k)) => format!("margin below {} K", up(below_k, 1)),
        (None, None) => "margin unknown".to_owned(),
    };
    let hot_spot = answer.hot_spot.as_ref().map_or_else(
        || "hot spot unknown".to_owned(),
        |hot_spot| format!("hottest {} °C", near(hot_spot.value, 1)),
    );
    let life = answer.paper.as_ref().map(|paper| {
        let (most, at_least) = most_used(paper);
        let word = if at_least { "at least" } else { "up to" };
        let decimals = usize::from(most < 100.0);
        let known = near(answer.span.known_hours, 0);
        format!("{word} {} h of life in {known} h", up(most, decimals))
    });
    let mut width = first.chars().count();
    let mut line = format!("{bold}{first}{bold:#}");
    for part in std::iter::once(hot_spot).chain(life) {
        let fits = width + 3 + part.chars().count() <= WIDTH;
        line.push_str(if fits { "   " } else { "\n    " });
        width = if fits { width + 3 } else { 4 } + part.chars().count();
        line.push_str(&part);
    }
    line
}

/// The greatest of the figures for the life used, and whether it is a floor.
fn most_used(paper: &PaperUsed) -> (f64, bool) {
    let costs = paper.with_water.iter().map(|cost| (cost.hours, cost.at_least));
    costs.fold((paper.hours, false), |most, next| if next.0 > most.0 { next } else { most })
}

/// What the history covers and what was taken for it.
fn covered(answer: &HistoryAnswer) -> String {
    let span = &answer.span;
    let site = answer.site.as_ref().map_or_else(String::new, |site| format!(", {site}"));
    let ambient = match answer.ambient_c {
        Some(ambient_c) => format!("ambient {} °C throughout", near(ambient_c, 1)),
        None if answer.own_ambient => "ambient of the history".to_owned(),
        None => "no ambient".to_owned(),
    };
    let cooling = answer.cooling.as_deref().unwrap_or("unknown");
    let day = judged_for(answer.as_of.as_deref());
    let mut lines = vec![format!("{}{site}", answer.unit), rows_and_span(span), gaps(span)];
    lines.push(format!("{ambient}, cooling {cooling}; {day}"));
    lines.extend(answer.local_rules.as_ref().map(|rules| format!("local rules: {rules}")));
    lines.push("by the entered data; local rules decide".to_owned());
    indented(&lines)
}

fn rows_and_span(span: &Span) -> String {
    let (Some(from), Some(until)) = (&span.from, &span.until) else {
        return format!("{} rows", span.rows);
    };
    let rows = if span.rows == 1 { "row" } else { "rows" };
    let zone = from.time.as_deref().map_or("", zone);
    format!("{} {rows}, from {} to {}{zone}", span.rows, moment(from), moment(until))
}

fn gaps(span: &Span) -> String {
    let known = format!("{} h known", near(span.known_hours, 1));
    let Some(longest) = &span.gaps.longest else {
        return format!("{known}, no gap");
    };
    let (hours, after) = (near(longest.hours, 1), moment(&longest.after));
    match span.gaps.count {
        1 => format!("{known}, one gap of {hours} h after {after}"),
        gaps => format!(
            "{known}, {} h unknown in {gaps} gaps, the longest {hours} h after {after}",
            near(span.gaps.hours, 1)
        ),
    }
}

/// A moment to the minute, by the clock where there is one.
fn moment(at: &When) -> String {
    let by_clock = at.time.as_deref().and_then(|time| time.get(..16));
    by_clock.map_or_else(|| format!("minute {}", near(at.min, 0)), |time| time.replace('T', " "))
}

/// The zone of a time, with a blank before it.
fn zone(time: &str) -> &'static str {
    if time.ends_with('Z') { " UTC" } else { " local time" }
}

fn rows(answer: &HistoryAnswer) -> Vec<(&'static str, String)> {
    let mut rows = vec![
        ("margin to bubbling", margin(&answer.bubbling)),
        ("paper bubbles at", bubbles_at(&answer.bubbling)),
    ];
    if let (Some(hot_spot), Some(top_oil)) = (&answer.hot_spot, &answer.top_oil) {
        let (hot_spot, top_oil) = (degrees(hot_spot), degrees(top_oil));
        rows.push(("hottest", format!("hot spot {hot_spot}, top oil {top_oil}")));
    }
    if let Some(load) = &answer.greatest_load {
        let words = format!("{} pu, first at {}", near(load.value, 2), moment(&load.at));
        rows.push(("greatest load", words));
    }
    if let Some(governing) = &answer.governing {
        let (mostly, share) = governing.mostly();
        let time = format!("for {} % of the time", down(100.0 * share, 0));
        let words = match governing.at_hottest {
            form if form == mostly => format!("{form}, at the hottest and {time}"),
            form => format!("{form} at the hottest, {mostly} {time}"),
        };
        rows.push(("governs", words));
    }
    if let Some(paper) = &answer.paper {
        rows.push(("paper life used", life(paper, answer.span.known_hours)));
    }
    rows
}

fn degrees(extreme: &Extreme) -> String {
    format!("{} °C at {}", near(extreme.value, 1), moment(&extreme.at))
}

fn margin(bubbling: &Bubbling) -> String {
    let required = near(bubbling.required_margin_k, 1);
    let (Some(margin_k), Some(at)) = (bubbling.margin_k, &bubbling.at) else {
        let below = bubbling.margin_below_k.map(|below_k| format!("below {} K", up(below_k, 1)));
        return below.unwrap_or_else(|| "not known".to_owned());
    };
    let below = |hours: Option<f64>| match hours.unwrap_or(0.0) {
        hours if hours > 0.0 => format!("{} below", long_or_short(hours)),
        _ => "never below".to_owned(),
    };
    format!(
        "{} K at {}; {} {required} K, which an overload needs, {} 0 K",
        down(margin_k, 1),
        moment(at),
        below(bubbling.hours_below_required),
        below(bubbling.hours_below_zero),
    )
}

/// A number of hours as people say it, rounded up so that a little is not nothing.
fn long_or_short(hours: f64) -> String {
    let minutes = (60.0 * hours - 1.0e-6).ceil();
    if minutes < 6000.0 { duration(minutes) } else { format!("{} h", up(hours, 0)) }
}

fn bubbles_at(bubbling: &Bubbling) -> String {
    let at = match (bubbling.inception_c, bubbling.inception_below_c) {
        (Some(inception_c), _) => format!("{} °C", down(inception_c, 1)),
        (None, Some(below_c)) => format!("below {} °C", up(below_c, 1)),
        (None, None) => "unknown temperature".to_owned(),
    };
    let assumed = if bubbling.gas_assumed { " (assumed)" } else { "" };
    format!(
        "{at} with {} % water and {} % gas{assumed}, taken for all of it",
        up_or_dash(bubbling.counting_moisture_percent, 2),
        near_or_dash(bubbling.gas_percent, 1)
    )
}

fn life(paper: &PaperUsed, known_hours: f64) -> String {
    let ratio = paper.per_hour.map_or_else(String::new, |ratio| {
        format!(", {} for each hour of {}", significant(ratio), near(known_hours, 0))
    });
    let guide = format!("{}{ratio}", by_guide(paper.hours));
    let scission = by_scission(&paper.if_dry, &paper.with_water, &[]);
    std::iter::once(guide).chain(scission).collect::<Vec<_>>().join("; ")
}

/// A ratio with two digits that say something.
fn significant(ratio: f64) -> String {
    let decimals = [1.0, 0.1, 0.01].iter().filter(|least| ratio < **least).count() + 1;
    near(ratio, decimals)
}

/// Day by day, month by month or year by year, with a bar for the hottest hot spot of each.
fn parts(answer: &HistoryAnswer) -> String {
    if answer.parts.is_empty() {
        return String::new();
    }
    let scale = Scale::of(answer);
    let mut builder = Builder::default();
    builder.push_record(["  ", "hottest", "margin", "load", "life used", &scale.heading()]);
    for part in &answer.parts {
        builder.push_record(part_row(part, &scale));
    }
    let mut legend = "hottest: °C; margin: the smallest, K; load: the greatest, pu; life used: h by the guide's rate for dry paper".to_owned();
    if scale.bubbles.is_some() {
        legend.push_str("; | where the paper bubbles");
    }
    titled("Over time", &format!("{}\n{}", aligned(builder, 1..5), indented(&[legend])))
}

fn part_row(part: &Part, scale: &Scale) -> [String; 6] {
    [
        format!("  {}", part.name),
        near(part.hot_spot_c, 1),
        part.margin_k.map_or_else(|| "-".to_owned(), |margin_k| down(margin_k, 1)),
        near(part.greatest_load_pu, 2),
        near(part.life_hours, if part.life_hours < 10.0 { 2 } else { 1 }),
        scale.bar(part.hot_spot_c),
    ]
}

/// The temperatures between which the bars run, °C.
struct Scale {
    least: f64,
    most: f64,
    bubbles: Option<f64>,
}

impl Scale {
    fn of(answer: &HistoryAnswer) -> Self {
        let hottest = answer.parts.iter().map(|part| part.hot_spot_c);
        let coolest_c = hottest.clone().fold(f64::MAX, f64::min);
        let hottest_c = hottest.chain(answer.bubbling.inception_c).fold(f64::MIN, f64::max);
        let tens = |value: f64| (value / 10.0).floor() * 10.0;
        Self {
            least: tens(coolest_c - 10.0),
            most: tens(hottest_c) + 10.0,
            bubbles: answer.bubbling.inception_c,
        }
    }

    fn heading(&self) -> String {
        let (from, to) = (near(self.least, 0), format!("{} °C", near(self.most, 0)));
        let between = BAR.saturating_sub(from.chars().count() + to.chars().count());
        format!("{from}{}{to}", " ".repeat(between))
    }

    fn column(&self, value_c: f64) -> usize {
        let share = (value_c - self.least) / (self.most - self.least);
        #[allow(clippy::cast_precision_loss, reason = "a few columns")]
        let columns = (share * BAR as f64).floor().clamp(0.0, BAR as f64 - 1.0);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the width"
        )]
        let column = columns as usize;
        column
    }

    /// A bar up to a temperature, with a mark where the paper bubbles.
    fn bar(&self, value_c: f64) -> String {
        let (ends, bubbles) = (self.column(value_c), self.bubbles.map(|c| self.column(c)));
        let mark = |column: usize| match (column <= ends, bubbles == Some(column)) {
            (_, true) => '|',
            (true, false) => '=',
            (false, false) => ' ',
        };
        (0..BAR).map(mark).collect()
    }
}
