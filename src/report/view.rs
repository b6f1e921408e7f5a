//! Rounding and wording shared by every rendering.
//!
//! Figures that permit something are rounded down (margins, loads, times), so that nobody
//! reads a permission that was not computed.

use crate::rules::finding::{Amount, Finding, Severity};
use crate::rules::verdict::Verdict;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Code of the finding that is a probability.
const PROBABILITY: &str = "bubbling-probability";

/// Code of the finding that holds trips against the temperature at which the paper may bubble.
const TRIPS: &str = "relay-trip-above-bubbling";

/// Rounds down to a number of decimals, toward less permission.
pub fn down(value: f64, decimals: usize) -> String {
    let scale = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    // A value that is a decimal already must not lose a digit to its binary rounding.
    plain((value * scale + 1.0e-6).floor() / scale, decimals)
}

/// Rounds up to a number of decimals: for what must not be understated, such as moisture.
pub fn up(value: f64, decimals: usize) -> String {
    let scale = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    plain((value * scale - 1.0e-6).ceil() / scale, decimals)
}

/// Rounds to the nearest.
pub fn near(value: f64, decimals: usize) -> String {
    plain(value, decimals)
}

fn plain(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let zero = text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.');
    if zero { text.trim_start_matches('-').to_owned() } else { text }
}

/// An optional value rounded down, or a dash.
pub fn down_or_dash(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "-".to_owned(), |value| down(value, decimals))
}

/// An optional value rounded up, or a dash.
pub fn up_or_dash(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "-".to_owned(), |value| up(value, decimals))
}

/// An optional value rounded to the nearest, or a dash.
pub fn near_or_dash(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "-".to_owned(), |value| near(value, decimals))
}

/// A duration in minutes as people say it, rounded down: `23 min`, `1 h 30 min`, `4 h`.
pub fn duration(minutes: f64) -> String {
    let whole = (minutes + 1.0e-6).floor();
    if whole < 120.0 {
        return format!("{} min", near(whole, 0));
    }
    let hours = (whole / 60.0).floor();
    let rest = whole - hours * 60.0;
    if rest < 1.0 {
        format!("{} h", near(hours, 0))
    } else {
        format!("{} h {} min", near(hours, 0), near(rest, 0))
    }
}

/// A time that somebody may wait for, rounded down: to the minute up to an hour, above it to 5 min.
pub fn duration_down(minutes: f64) -> String {
    let step = if minutes < 60.0 { 1.0 } else { 5.0 };
    duration(((minutes + 1.0e-6) / step).floor() * step)
}

/// The verdict's shape in plain characters: circle, triangle, octagon, dashed square.
pub fn shape(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Go => "(o)",
        Verdict::GoWithCautions => "/!\\",
        Verdict::NoGo => "<X>",
        Verdict::CannotDecide => "[?]",
    }
}

/// How a finding's weight is written.
pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "STOP",
        Severity::Unknown => "UNKNOWN",
        Severity::Caution => "CAUTION",
        Severity::Pass => "kept",
        Severity::Notice => "note",
    }
}

/// A finding's figures: `measured, limit`, whichever there are.
///
/// A probability has its words in the text: a figure would be believed to its last digit. So has a trip: both
/// temperatures stand there in whole kelvin; of those that are kept only the figures are shown.
pub fn figures(finding: &Finding) -> String {
    let in_the_text = finding.code == TRIPS && finding.severity != Severity::Pass;
    if finding.code == PROBABILITY || in_the_text {
        return String::new();
    }
    let amount = |amount: Amount| {
        let decimals = decimals_of(amount.unit);
        let rounded = if amount.unit == "K" {
            down(amount.value, decimals)
        } else {
            near(amount.value, decimals)
        };
        format!("{rounded} {}", amount.unit)
    };
    match (finding.measured, finding.limit) {
        (Some(measured), Some(limit)) => {
            let of_margin = finding.code.starts_with("bubbling-")
                || ["history-margin", "relay-together"].contains(&finding.code);
            let needs = of_margin && limit.unit == "K";
            let word = if needs { "needs" } else { "limit" };
            format!("{}, {word} {}", amount(measured), amount(limit))
        }
        (Some(measured), None) => amount(measured),
        (None, Some(limit)) => format!("limit {}", amount(limit)),
        (None, None) => String::new(),
    }
}

/// Decimals that make sense in a unit.
pub fn decimals_of(unit: &str) -> usize {
    match unit {
        "%" | "pu" | "pu of stage rating" | "of new paper" => 2,
        "min" | "mmHg" => 0,
        _ => 1,
    }
}

/// A text that fits so many columns, with a mark where it was cut.
pub fn cut(whole: &str, width: usize) -> String {
    let mut wide = 0;
    let fits = |letter: &char| {
        wide += letter.width().unwrap_or(0);
        wide < width
    };
    let kept: String = whole.chars().take_while(fits).collect();
    if kept.len() == whole.len() { kept } else { format!("{kept}…") }
}

/// Breaks text into lines of at most `width` columns, between words where that is possible.
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace().flat_map(|word| pieces(word, width)) {
        let last = lines
            .last_mut()
            .filter(|line| line.is_empty() || line.width() + 1 + word.width() <= width);
        match last {
            Some(line) => {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(&word);
            }
            None => lines.push(word),
        }
    }
    lines
}

/// A word that no line can hold, in pieces that one can.
fn pieces(word: &str, width: usize) -> Vec<String> {
    let mut pieces = vec![String::new()];
    let mut filled = 0;
    for letter in word.chars() {
        let wide = letter.width().unwrap_or(0);
        if filled > 0 && filled + wide > width {
            pieces.push(String::new());
            filled = 0;
        }
        filled += wide;
        if let Some(piece) = pieces.last_mut() {
            piece.push(letter);
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn permissions_are_rounded_down() {
        assert_eq!(down(9.99, 1), "9.9");
        assert_eq!(down(-0.01, 1), "-0.1");
        assert_eq!(down(1.3, 2), "1.30");
        assert_eq!(near(-0.001, 1), "0.0");
        assert_eq!((up(3.3, 2), up(3.301, 2)), ("3.30".to_owned(), "3.31".to_owned()));
        assert_eq!(duration(239.9), "3 h 59 min");
        assert_eq!(duration(45.0), "45 min");
        assert_eq!(duration(240.0), "4 h");
        assert_eq!(
            (duration_down(59.9), duration_down(73.4), duration_down(264.9)),
            ("59 min".to_owned(), "70 min".to_owned(), "4 h 20 min".to_owned())
        );
    }

    #[test]
    fn words_wrap_inside_the_width() {
        assert!(wrapped("one two three four", 9).iter().all(|line| line.len() <= 9));
        assert_eq!(wrapped("", 9), [""]);
        assert_eq!(wrapped("a incomprehensible", 9), ["a", "incompreh", "ensible"]);
    }
}
