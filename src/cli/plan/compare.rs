//! Standing orders against earlier ones.

use super::super::files::{MOST_CSV, read};
use super::asked::Standing;
use super::{PlanArguments, Show};
use crate::input::InputError;
use crate::planning::orders::StandingOrders;
use crate::planning::orders::compare::old::OldOrders;
use crate::planning::orders::compare::{OrdersComparison, compare};
use crate::rating::inputs::{AS_OF, InputPart, RULES, files, rejoin, text_of};
use crate::rules::local_file::read_local_rules;
use crate::unit::defaults::Catalogue;
use crate::unit::validate::read_unit_with;
use chrono::NaiveDate;

/// The earlier orders, if some are named.
///
/// # Errors
/// [`InputError`] if they are no orders for this unit, or none are asked for now.
pub(super) fn earlier(
    arguments: &PlanArguments,
    unit: &str,
) -> Result<Option<OldOrders>, InputError> {
    let Some(path) = &arguments.compare else { return Ok(None) };
    if arguments.show != Show::Orders {
        let found = "earlier standing orders, and no new ones to hold them against";
        return Err(InputError::new("--compare", found, "--show orders with it"));
    }
    let text = read(path, MOST_CSV)?;
    OldOrders::read(&path.display().to_string(), &text, unit).map(Some)
}

/// What changed, and whether inputs or the program are the reason.
pub(super) fn changes(
    earlier: &OldOrders,
    orders: &StandingOrders,
    standing: &Standing,
    catalogue: &Catalogue,
) -> OrdersComparison {
    compare(earlier, orders, &|parts| of_inputs(parts, standing, catalogue))
}

/// The orders of other inputs.
fn of_inputs(
    parts: &[InputPart],
    standing: &Standing,
    catalogue: &Catalogue,
) -> Result<StandingOrders, String> {
    let text = rejoin(parts).ok_or("the text of the profile was not kept")?;
    let mut named = |name: &str| {
        let found = files(parts).find(|(own, _)| *own == name);
        let found = found.map(|(name, text)| (name.to_owned(), text.to_owned()));
        found.ok_or_else(|| InputError::new(name, "no text of it was kept", "its text"))
    };
    let refused = |error: InputError| error.to_string();
    let unit = read_unit_with("earlier profile", &text, catalogue, &mut named).map_err(refused)?;
    let rules = text_of(parts, RULES).map(|text| read_local_rules("earlier rules", text));
    let rules = rules.transpose().map_err(refused)?;
    let day = text_of(parts, AS_OF).map(|day| NaiveDate::parse_from_str(day, "%Y-%m-%d"));
    let day = day.transpose().map_err(|error| error.to_string())?;
    Ok(standing.of(&unit, rules, day, catalogue).map_err(refused)?.orders())
}
