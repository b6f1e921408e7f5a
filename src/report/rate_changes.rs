//! What changed since an earlier answer of `rate`, as text: the one line first, then causes, then the ratings.

use super::answer::{in_rows, indented};
use super::text::{WIDTH, aligned, joined, titled};
use super::view::{cut, duration, near, wrapped};
use crate::rating::Limiting;
use crate::rating::compare::{
    Answer, Cause, Change, Comparison, Differs, Effect, LEAST_CHANGE_PU, Place, Rated,
};
use crate::rating::inputs::is_of_program;
use anstyle::Style;
use std::collections::BTreeSet;
use tabled::builder::Builder;

/// Most ratings that are listed.
const MOST_LISTED: usize = 20;
/// Most causes that the first line names.
const MOST_NAMED: usize = 3;
/// Columns of an input's name in the table of causes, and in that of ratings.
const CAUSE: usize = 16;
const OWED: usize = 16;
/// Columns that it has beside the number of a limit set.
const OWED_BESIDE_SET: usize = 10;

/// The whole text, 80 columns. Styles are ANSI; strip them where colour is not wanted.
pub fn rendered(found: &Comparison) -> String {
    joined(vec![no_longer(found), headline(found), compared(found), causes(found), ratings(found)])
}

/// How many earlier ratings no longer hold, before anything else.
fn no_longer(found: &Comparison) -> String {
    let bold = Style::new().bold();
    let all = found.permitted_earlier;
    let ratings = if all == 1 { "earlier rating" } else { "earlier ratings" };
    let first = match found.no_longer_hold {
        0 => format!("None of {all} {ratings} is known to have fallen"),
        1 => format!("1 of {all} {ratings} no longer holds"),
        some => format!("{some} of {all} {ratings} no longer hold"),
    };
    let first = match found.facility_no_longer_hold {
        0 => first,
        1 => format!("{first}, 1 of them a facility rating"),
        some => format!("{first}, {some} of them facility ratings"),
    };
    let lost = match found.not_compared {
        0 => String::new(),
        1 => "; 1 is not in this table, so do not count on it".to_owned(),
        lost => format!("; {lost} are not in this table, so do not count on them"),
    };
    format!("{bold}{}{bold:#}", wrapped(&format!("{first}{lost}."), WIDTH).join("\n"))
}

/// How many changed, by how much at most, and why.
fn headline(found: &Comparison) -> String {
    let bold = Style::new().bold();
    let line = match (found.changed.len(), found.compared) {
        (_, 0) => "no rating stands in both answers: nothing to compare".to_owned(),
        (0, all) => format!("none of {all} ratings changed since {}", found.old.date),
        (some, all) => {
            format!("{some} of {all} ratings changed, {}; {}", most(&found.changed), cause(found))
        }
    };
    format!("{bold}{}{bold:#}", wrapped(&line, WIDTH).join("\n"))
}

fn most(changed: &[Change]) -> String {
    let of_load = changed.iter().filter(|own| own.is_of_load());
    let most = of_load.max_by(|a, b| a.change_pu.abs().total_cmp(&b.change_pu.abs()));
    let whose = |own: &Change| match own.of {
        Rated::Transformer => "",
        Rated::Facility => ", facility",
    };
    most.map_or_else(
        || "none by its load, only by what governs".to_owned(),
        |own| format!("most: {} pu ({}{})", signed(own.change_pu, 2), at(&own.place), whose(own)),
    )
}

/// Whether what no input accounts for is owed to the program: no input differs that could not be put back but what the
/// program itself brings.
fn is_of_the_program(found: &Comparison) -> bool {
    let others = found.causes.iter().filter(|own| !is_of_program(&own.name));
    found.all_put_back_failed.is_none() && others.into_iter().all(|own| own.not_computed.is_none())
}

/// The causes in a few words.
fn cause(found: &Comparison) -> String {
    let moving: Vec<&str> =
        found.causes.iter().filter(|own| moves(own)).map(|own| own.name.as_str()).collect();
    let together = found.all_put_back.as_ref().is_some_and(has_effect);
    let unexplained = found.changed.iter().any(|own| own.rest_pu.abs() > LEAST_CHANGE_PU);
    let program = found.causes.iter().any(|own| is_of_program(&own.name));
    let rest = match (unexplained, program) {
        (true, true) => ", in part the program or its profile files",
        (true, false) => ", in part not told apart",
        (false, _) => "",
    };
    match moving[..] {
        [] if together => format!("inputs that act only together, see below{rest}"),
        [] if program && is_of_the_program(found) => {
            format!("cause: the program or its profile files{}", versions(found))
        }
        [] if found.causes.is_empty() => format!("cause: the program{}", versions(found)),
        [] if program => "cause not told apart: the program or its profile files differ".to_owned(),
        [] => "cause not told apart".to_owned(),
        [one] => format!("cause: {}{rest}", plain(one)),
        _ => {
            let named: Vec<String> =
                moving.iter().take(MOST_NAMED).map(|name| plain(name)).collect();
            let more = match moving.len().saturating_sub(MOST_NAMED) {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            format!("causes: {}{more}{rest}", named.join(", "))
        }
    }
}

fn versions(found: &Comparison) -> String {
    let (old, new) = (&found.old.version, &found.new.version);
    if old == new { String::new() } else { format!(" (version {old} then, {new} now)") }
}

fn compared(found: &Comparison) -> String {
    let answer = |own: &Answer| {
        let hash = own.inputs_sha256.get(..16).unwrap_or("");
        format!("for {}, version {}, inputs sha256 {hash}", own.date, own.version)
    };
    let mut rows = vec![("earlier", answer(&found.old)), ("now", answer(&found.new))];
    let (gone, come) = (found.vanished.len(), found.appeared.len());
    if gone + come > 0 {
        let words =
            format!("{} ratings in both, {gone} only earlier, {come} only now", found.compared);
        rows.push(("tables", words));
    }
    titled("Compared", &in_rows(&rows))
}

/// What moves ratings, what does not, and what could not be told.
fn causes(found: &Comparison) -> String {
    if found.causes.is_empty() {
        let words = if found.changed.is_empty() {
            "No input differs."
        } else {
            "No input differs, yet ratings do: this program computes otherwise than the one that wrote the earlier answer."
        };
        return titled("Causes", &indented(&[words.to_owned()]));
    }
    let mut builder = Builder::default();
    builder.push_record(["  input put back", "is", "loads", "governs", "most", "where"]);
    for own in found.causes.iter().filter(|own| moves(own)) {
        builder.push_record(cause_row(&plain(&own.name), in_words(own.how), own.effect.as_ref()));
    }
    if found.causes.len() > 1 && found.all_put_back.is_some() {
        builder.push_record(cause_row("all together", "", found.all_put_back.as_ref()));
    }
    let table = aligned(builder, 2..5);
    let notes = indented(&cause_notes(found));
    let parts: Vec<String> = [table, notes].into_iter().filter(|part| !part.is_empty()).collect();
    titled("Causes (each input alone as it was earlier, all else as now)", &parts.join("\n"))
}

fn cause_row(name: &str, how: &str, effect: Option<&Effect>) -> [String; 6] {
    let figures = effect.map(|own| {
        let most = own.most_at.as_ref().map(|place| (signed(own.most_pu, 3), shortly(place)));
        let (most, place) = most.unwrap_or_else(|| ("-".to_owned(), String::new()));
        [own.moved.to_string(), own.governs.to_string(), most, place]
    });
    let [moved, governs, most, place] = figures.unwrap_or_default();
    [format!("  {}", cut(name, CAUSE)), how.to_owned(), moved, governs, most, place]
}

fn cause_notes(found: &Comparison) -> Vec<String> {
    let still = found.causes.iter().filter(|own| own.effect.is_some() && !moves(own));
    let still: Vec<String> = still.map(|own| plain(&own.name)).collect();
    let mut notes = Vec::new();
    if !still.is_empty() {
        notes.push(format!("Differ and move no rating alone: {}.", still.join(", ")));
    }
    let failed = found.causes.iter().filter_map(|own| Some((own, own.not_computed.as_ref()?)));
    notes.extend(failed.map(|(own, why)| {
        format!("{} ({}): not told: {}", plain(&own.name), in_words(own.how), one_line(why))
    }));
    if let Some(why) = &found.all_put_back_failed {
        notes.push(format!("All together could not be computed: {}", one_line(why)));
    }
    let rest = found.changed.iter().filter(|own| own.rest_pu.abs() > LEAST_CHANGE_PU);
    let rest = rest.count();
    if rest > 0 {
        notes.push(format!(
            "No input that can be put back accounts for {rest} of the changes in full.{}",
            if is_of_the_program(found) {
                " The program does: it computes otherwise now."
            } else {
                ""
            }
        ));
    }
    notes
}

fn ratings(found: &Comparison) -> String {
    if found.changed.is_empty() {
        return String::new();
    }
    let changed: Vec<&Change> =
        found.changed.iter().filter(|own| !is_repeated(own, found)).collect();
    let listed = &changed[..changed.len().min(MOST_LISTED)];
    let sets: BTreeSet<&str> = listed.iter().map(|own| own.place.limits.as_str()).collect();
    let sets: Vec<&str> = sets.into_iter().collect();
    let forecast = listed.iter().any(|own| own.place.from_min.is_some());
    let surroundings = if forecast { "begins" } else { "°C" };
    let several = sets.len() > 1;
    let mut builder = Builder::default();
    let mut head = vec!["  for", surroundings, "from", "was", "now", "governs", "owed to", "set"];
    head.truncate(if several { 8 } else { 7 });
    builder.push_record(head);
    for own in listed {
        let columns = if several { OWED_BESIDE_SET } else { OWED };
        let mut row = rating_row(own, columns, is_of_the_program(found));
        let set = sets.iter().position(|set| *set == own.place.limits).map_or(0, |index| index + 1);
        row.extend(several.then(|| set.to_string()));
        builder.push_record(row);
    }
    let mut notes = rating_notes(changed.len() - listed.len(), &sets);
    if changed.len() < found.changed.len() {
        notes.push("A facility rating that is the transformer's is not listed again.".to_owned());
    }
    let table = aligned(builder, 1..5);
    titled(
        "Ratings that changed, those that fell first, pu",
        &format!("{table}\n{}", indented(&notes)),
    )
}

/// Whether it is a facility rating that is the transformer's own, then and now.
fn is_repeated(own: &Change, found: &Comparison) -> bool {
    let same =
        |one: Option<f64>, other: Option<f64>| one.map(f64::to_bits) == other.map(f64::to_bits);
    let is_it = |other: &Change| {
        other.of == Rated::Transformer
            && other.place == own.place
            && same(other.old_pu, own.old_pu)
            && same(other.new_pu, own.new_pu)
    };
    own.of == Rated::Facility && found.changed.iter().any(is_it)
}

fn rating_notes(more: usize, sets: &[&str]) -> Vec<String> {
    let numbered = sets.iter().enumerate().map(|(index, set)| format!("{} {set}", index + 1));
    let named = match sets {
        [one] => format!("All under {one}."),
        _ => format!("Limit sets: {}.", numbered.collect::<Vec<_>>().join(", ")),
    };
    let more = (more > 0).then(|| format!("{more} more changed; --format json has all of them."));
    let arrow = "→: something else governed earlier.".to_owned();
    more.into_iter().chain([named, arrow]).collect()
}

fn rating_row(own: &Change, owed_columns: usize, program: bool) -> Vec<String> {
    let place = &own.place;
    let pu = |load: Option<f64>| load.map_or_else(|| "none".to_owned(), |load| near(load, 3));
    let governed = match own.of {
        Rated::Facility => "facility".to_owned(),
        Rated::Transformer if own.old_governs == own.new_governs => {
            governs(own.new_governs).to_owned()
        }
        Rated::Transformer => format!("→ {}", governs(own.new_governs)),
    };
    vec![
        format!("  {}", lasts(place)),
        place.from_min.map_or_else(|| near(place.ambient_c, 1), duration),
        near(place.preload_pu, 2),
        pu(own.old_pu),
        pu(own.new_pu),
        governed,
        owed(own, owed_columns, program),
    ]
}

/// What accounts for most of a change, in so many columns.
fn owed(own: &Change, columns: usize, program: bool) -> String {
    let counts = |change_pu: f64| change_pu.abs() > LEAST_CHANGE_PU;
    let first = own.by.first().filter(|share| counts(share.change_pu));
    let alone = first.map_or(0.0, |share| share.change_pu.abs());
    if own.rest_pu.abs() > alone.max(own.together_pu.abs()).max(LEAST_CHANGE_PU) {
        return if program { "program" } else { "not told" }.to_owned();
    }
    if own.together_pu.abs() > alone.max(LEAST_CHANGE_PU) {
        return "together".to_owned();
    }
    let others = own.by.iter().skip(1).filter(|share| counts(share.change_pu)).count();
    let more = if others > 0 { format!(" +{others}") } else { String::new() };
    first.map_or_else(
        || "-".to_owned(),
        |share| format!("{}{more}", cut(&plain(&share.name), columns - more.len())),
    )
}

fn moves(own: &Cause) -> bool {
    own.effect.as_ref().is_some_and(has_effect)
}

fn has_effect(effect: &Effect) -> bool {
    effect.moved > 0 || effect.governs > 0
}

/// A name of an input in plain words.
pub(super) fn plain(name: &str) -> String {
    match name.split_once('.') {
        Some(("unit", key)) => key.to_owned(),
        Some(("file" | "profiles", path)) => path.to_owned(),
        _ if name == "rules" => "local rules".to_owned(),
        _ => name.to_owned(),
    }
}

fn in_words(how: Differs) -> &'static str {
    match how {
        Differs::Changed => "changed",
        Differs::Added => "added",
        Differs::Removed => "removed",
    }
}

fn at(place: &Place) -> String {
    let around = place.from_min.map_or_else(
        || format!("{} °C", near(place.ambient_c, 0)),
        |minute| format!("begun at {}", duration(minute)),
    );
    format!("{}, {around}, from {} pu", lasts(place), near(place.preload_pu, 2))
}

/// The same in the columns that a table has left.
fn shortly(place: &Place) -> String {
    at(place).replace("begun at ", "at ").replace("from ", "")
}

fn lasts(place: &Place) -> String {
    place.duration_min.map_or_else(|| "always".to_owned(), duration)
}

fn signed(value: f64, decimals: usize) -> String {
    let plain = near(value, decimals);
    if value > 0.0 { format!("+{plain}") } else { plain }
}

fn governs(what: Limiting) -> &'static str {
    match what {
        Limiting::Bubbling => "bubbling",
        Limiting::HotSpot => "hot spot",
        Limiting::TopOil => "top oil",
        Limiting::LoadCeiling => "ceiling",
        Limiting::Accessory => "accessory",
        Limiting::Ageing => "ageing",
        Limiting::Duration => "duration",
        Limiting::ModelRange => "model",
        Limiting::Condition => "condition",
        Limiting::Unknown => "unknown",
        Limiting::Nothing => "nothing",
    }
}

/// An error in one line, its parts as sentences.
fn one_line(why: &str) -> String {
    why.split_whitespace().collect::<Vec<_>>().join(" ")
}
