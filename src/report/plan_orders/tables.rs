//! The tables of standing orders: durations down, ambients across.

use super::super::rate_table::{letter, long};
use super::super::rate_text::degrees;
use super::super::text::{WIDTH, titled};
use super::super::view::{cut, down, near, wrapped};
use crate::planning::orders::{Ceiling, StandingOrders};
use crate::rating::{Limiting, Winding};
use std::collections::BTreeSet;

/// Windings whose currents fit into one cell.
const WINDINGS: usize = 3;

/// Columns for the names of series elements.
const ELEMENT_COLUMNS: usize = 60;

/// Columns of a cell.
const CELL: usize = 13;

/// The ceilings in pu and MVA, the currents, the top oil, and what the letters mean.
pub(super) fn ceilings(orders: &StandingOrders) -> String {
    if orders.ceilings.is_empty() {
        return String::new();
    }
    let mva = orders.unit.mva;
    let title = format!(
        "Load ceilings, pu and MVA, by ambient; from up to {} pu before and after",
        near(orders.preload_pu, 2)
    );
    let loads = titled(&title, &table(orders, "for", |ceiling| load(ceiling, mva)));
    let windings: Vec<&Winding> = orders.unit.windings.iter().take(WINDINGS).collect();
    let currents = (!windings.is_empty()).then(|| {
        let names: Vec<&str> = windings.iter().map(|winding| winding.name.as_str()).collect();
        let head = format!("A {}", names.join("/"));
        table(orders, &head, |ceiling| amperes(ceiling, &windings))
    });
    let tables = [Some(loads), Some(legend(orders)), currents];
    tables.into_iter().flatten().collect::<Vec<_>>().join("\n")
}

/// The stop value of the top oil of each ceiling, what to do above it, and where it guards nothing.
pub(super) fn stop_values(orders: &StandingOrders) -> String {
    if orders.ceilings.is_empty() {
        return String::new();
    }
    let mut words = vec![format!(
        "above the value of the ceiling in use, reduce the load to {} pu or as the local rules say, and keep the \
         cooling running",
        down(orders.preload_pu, 2)
    )];
    let unguarded = |ceiling: &Ceiling| ceiling.load_pu.is_some() && !ceiling.guarded;
    if orders.ceilings.iter().any(unguarded) {
        let told = "! the top-oil thermometer cannot guard this ceiling: hold to its load and time";
        words.push(told.to_owned());
    }
    let table = table(orders, "stop above", stop_value);
    let title = "Watch the top oil: stop value of each ceiling, °C, by ambient";
    titled(title, &[table, under(&words)].join("\n"))
}

/// A whole degree, rounded down; `none!` where there is a ceiling and no stop value, `-` where there is no ceiling.
fn stop_value(ceiling: &Ceiling) -> String {
    match (ceiling.load_pu, ceiling.top_oil_c) {
        (None, _) => "-".to_owned(),
        (Some(_), Some(c)) if ceiling.guarded => down(c, 0),
        (Some(_), Some(c)) => format!("{}!", down(c, 0)),
        (Some(_), None) => "none!".to_owned(),
    }
}

/// A line for each duration, a cell for each ambient.
fn table(orders: &StandingOrders, head: &str, cell: impl Fn(&Ceiling) -> String) -> String {
    let of_first = |ceiling: &&Ceiling| {
        orders
            .ceilings
            .first()
            .is_some_and(|first| first.ambient_c.to_bits() == ceiling.ambient_c.to_bits())
    };
    let durations = orders.ceilings.iter().filter(of_first).map(|ceiling| ceiling.duration_min);
    let row = |duration_min: Option<f64>| {
        let own = orders.ceilings.iter().filter(|ceiling| ceiling.duration_min == duration_min);
        let cells: String =
            own.map(|ceiling| format!("{:>CELL$}", cell(ceiling))).collect::<Vec<_>>().concat();
        format!("  {:<12}{cells}", long(duration_min))
    };
    let first = orders.ceilings.first().map(|first| first.duration_min);
    let heads = orders.ceilings.iter().filter(|ceiling| Some(ceiling.duration_min) == first);
    let heads =
        heads.map(|ceiling| format!("{:>CELL$}", format!("{} °C", degrees(ceiling.ambient_c))));
    let head = format!("  {:<12}{}", cut(head, 12), heads.collect::<Vec<_>>().concat());
    std::iter::once(head).chain(durations.map(row)).collect::<Vec<_>>().join("\n")
}

/// A load as an order gives it, pu: two decimals, rounded down.
pub(super) fn ordered(load_pu: f64) -> f64 {
    // A value that is a decimal already must not lose a digit to its binary rounding.
    (load_pu * 100.0 + 1.0e-6).floor() / 100.0
}

fn load(ceiling: &Ceiling, mva: f64) -> String {
    let mark = mark(ceiling);
    let held = if ceiling.held { '=' } else { ' ' };
    let Some(load_pu) = ceiling.load_pu.map(ordered) else {
        return format!("none{mark}{held}    -");
    };
    let decimals = usize::from(load_pu * mva < 1000.0);
    format!("{}{mark}{held}{:>5}", down(load_pu, 2), down(load_pu * mva, decimals))
}

fn mark(ceiling: &Ceiling) -> char {
    if ceiling.series_element.is_some() { 's' } else { letter(ceiling.governs.what) }
}

fn amperes(ceiling: &Ceiling, windings: &[&Winding]) -> String {
    let Some(load_pu) = ceiling.load_pu.map(ordered) else { return "-".to_owned() };
    let each = windings.iter().map(|winding| down(load_pu * winding.rated_a, 0));
    each.collect::<Vec<_>>().join("/")
}

/// What the letters mean as far as they occur, and how to read between the columns.
fn legend(orders: &StandingOrders) -> String {
    let own = orders.ceilings.iter().filter(|ceiling| ceiling.series_element.is_none());
    let used: BTreeSet<Limiting> = own.map(|ceiling| ceiling.governs.what).collect();
    let named = used.iter().filter(|what| **what != Limiting::Nothing);
    let mut words: Vec<String> =
        named.map(|what| format!("{} {}", letter(*what), what.name().replace('-', " "))).collect();
    let elements: BTreeSet<&str> =
        orders.ceilings.iter().filter_map(|ceiling| ceiling.series_element.as_deref()).collect();
    if !elements.is_empty() {
        let names = elements.into_iter().collect::<Vec<_>>().join(", ");
        let names = cut(&names, ELEMENT_COLUMNS);
        words.push(format!("s series element ({names})"));
    }
    if orders.ceilings.iter().any(|ceiling| ceiling.held) {
        words.push("= held to what a colder or shorter case allows".to_owned());
    }
    if orders.ceilings.iter().any(|ceiling| ceiling.series_unknown) {
        words.push("a series element is not known and may be lower".to_owned());
    }
    words.push("between columns or rows use the warmer and the longer".to_owned());
    let warmest = orders.ceilings.iter().map(|ceiling| ceiling.ambient_c).fold(f64::MIN, f64::max);
    words.push(format!("above {} °C run check", degrees(warmest)));
    under(&words)
}

/// Words below a table.
fn under(words: &[String]) -> String {
    let lines = wrapped(&words.join("; "), WIDTH - 2);
    lines.iter().map(|line| format!("  {line}")).collect::<Vec<_>>().join("\n")
}
