//! How a fleet is said, in every rendering.

use super::answer::judged_for;
use super::view::{duration, near};
use crate::fleet::contingency::{ContingencyLoad, Heat};
use crate::fleet::row::{Row, Standing};
use crate::fleet::whole::{Asked, Counts, Fleet};
use crate::rules::verdict::Verdict;
use crate::uncertainty::odds::odds_in_column;

/// What every answer about a fleet says.
pub(super) const NOTICE: &str = "A calculation aid: it authorises nothing. Local operating rules, the maker's limits and \
    licensed people decide. It rates transformers only. Within the entered limits; check a unit by itself before loading it.";

/// What was asked of all units, a line each.
pub(super) fn asked(asked: &Asked) -> Vec<String> {
    let load = match asked.load {
        ContingencyLoad::PerUnit(load_pu) => format!("{} pu", near(load_pu, 2)),
        ContingencyLoad::TimesPeak(times) => {
            format!("{} times the unit's own highest recent load", shortest(times))
        }
    };
    let ambient = asked.ambient_c.map_or_else(
        || "the unit's highest recent ambient".to_owned(),
        |ambient_c| format!("{} °C", near(ambient_c, 1)),
    );
    let before = asked.preload_pu.map_or_else(
        || "from the worst of its recent loads".to_owned(),
        |pu| format!("from the worst of its recent loads, or up to {} pu without any", near(pu, 2)),
    );
    let rules = asked.local_rules.as_deref().unwrap_or("no local rules");
    let draws = match asked.draws {
        0 => "no cases simulated: nothing uncertain is taken off".to_owned(),
        draws => format!("{draws} draws"),
    };
    let day = judged_for(asked.as_of.as_deref());
    vec![
        format!("{load} for {}, {before}, at {ambient}", duration(asked.duration_min)),
        format!("{}; {rules}; {draws}; {day}", asked.limits),
    ]
}

/// A number without digits that say nothing.
fn shortest(number: f64) -> String {
    let text = near(number, 3);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// How many came to what, the worst first; what there is none of is left out.
pub(super) fn counts(counts: &Counts) -> Vec<(Standing, usize)> {
    let all = [
        (Standing::NoGo, counts.no_go),
        (Standing::CannotDecide, counts.cannot_decide),
        (Standing::Refused, counts.refused),
        (Standing::Failed, counts.failed),
        (Standing::GoWithCautions, counts.go_with_cautions),
        (Standing::Go, counts.go),
    ];
    all.into_iter().filter(|(_, count)| *count > 0).collect()
}

/// The shape of a standing in plain characters; what was refused has that of what cannot be decided.
pub(super) fn shape(standing: Standing) -> &'static str {
    super::view::shape(verdict(standing))
}

/// The verdict that a standing is shown as.
pub(super) fn verdict(standing: Standing) -> Verdict {
    match standing {
        Standing::NoGo => Verdict::NoGo,
        Standing::CannotDecide | Standing::Refused | Standing::Failed => Verdict::CannotDecide,
        Standing::GoWithCautions => Verdict::GoWithCautions,
        Standing::Go => Verdict::Go,
    }
}

/// A chance in a few steps, never said to be none where it was only not met.
pub(super) fn chance(row: &Row) -> String {
    row.probability.map_or_else(|| "-".to_owned(), odds_in_column)
}

/// What was shown of how many, where that is not all.
pub(super) fn shown_of(fleet: &Fleet, shown: &[usize]) -> Option<String> {
    let all = fleet.ranked.len();
    (shown.len() < all).then(|| format!("{} of {all} units shown", shown.len()))
}

/// What stands above a heat map.
pub(super) fn heat_title(heat: Heat) -> Option<(&'static str, &'static str)> {
    match heat {
        Heat::None => None,
        Heat::Ambient => Some(("Margin by ambient", "°C")),
        Heat::Load => Some(("Margin by load", "pu")),
    }
}

/// A value along a heat map.
pub(super) fn heat_value(heat: Heat, at: f64) -> String {
    near(at, usize::from(heat == Heat::Load))
}

/// A time to the minute, without what stands in every row alike.
pub(super) fn at_minute(time: &str) -> String {
    time.get(..16).unwrap_or(time).replace('T', " ")
}

/// Units that have loads and no profile.
pub(super) fn without_profile(fleet: &Fleet) -> Option<String> {
    let names = &fleet.without_profile;
    (!names.is_empty()).then(|| {
        let all = names.join(", ");
        format!("Recent loads of units without a profile, of which nothing is known: {all}.")
    })
}
