//! The unit that the limits belong to: a transformer, and the end and terminal of the chosen winding.

use super::document::Document;
use super::{CimError, Rated, identity};
use crate::report::view::near;

/// The transformer, the chosen winding and its terminal.
pub(super) fn write(document: &mut Document, rated: &Rated<'_>) -> Result<(), CimError> {
    let (unit, winding) = (&rated.ratings.unit, rated.winding);
    let (own, end) = (identity::of_unit(unit), identity::of_end(unit, winding));
    let terminal = identity::of_terminal(unit, winding);
    let site = unit.site.as_ref().map(|site| format!(" at {site}")).unwrap_or_default();
    let about = format!(
        "Stands for the unit {}{site} until the receiving model puts its own in its place.",
        unit.name
    );
    document.resource("cim:PowerTransformer", &own, (&unit.name, &about), |_| Ok(()))?;
    let name = format!("{} {}", unit.name, winding.name);
    let number = end_number(rated).to_string();
    let rated_current = format!("Rated current {} A.", near(winding.rated_a, 1));
    document.resource("cim:PowerTransformerEnd", &end, (&name, &rated_current), |document| {
        document.reference("cim:PowerTransformerEnd.PowerTransformer", &own)?;
        document.reference("cim:TransformerEnd.Terminal", &terminal)?;
        document.text("cim:TransformerEnd.endNumber", &number)?;
        document.text("cim:PowerTransformerEnd.ratedU", &winding.kv.to_string())
    })?;
    document.resource("cim:Terminal", &terminal, (&name, ""), |document| {
        document.reference("cim:Terminal.ConductingEquipment", &own)?;
        document.text("cim:ACDCTerminal.sequenceNumber", &number)
    })
}

/// The place of the chosen winding, the highest voltage first, as the model counts them.
fn end_number(rated: &Rated<'_>) -> usize {
    let chosen = rated.winding;
    let windings = &rated.ratings.unit.windings;
    let higher = windings.iter().filter(|winding| winding.kv > chosen.kv).count();
    let before = windings.iter().take_while(|winding| winding.name != chosen.name);
    let alike = before.filter(|winding| winding.kv.total_cmp(&chosen.kv).is_eq()).count();
    1 + higher + alike
}
