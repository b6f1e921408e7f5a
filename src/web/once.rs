//! Every name once: of two values under one name a form keeps the first and another reader the last, and nobody
//! hears of the one that was dropped.

use super::ask::{Flags, Refusal};
use crate::input::shown;

/// Refuses a name that stands twice, an empty value among them. `several` are the names that may: each value
/// of those is a further statement, not another one in its place.
///
/// # Errors
/// [`Refusal`] for the first name that does.
pub(super) fn each_once(pairs: &Flags, several: &[&str]) -> Result<(), Refusal> {
    for (at, (name, value)) in pairs.iter().enumerate() {
        let before = pairs[..at].iter().find(|(own, _)| own == name);
        if let Some((_, before)) = before.filter(|_| !several.contains(&name.as_str())) {
            let said =
                |value: &str| if value.is_empty() { "nothing".to_owned() } else { shown(value) };
            let found = format!("twice: {} and {}", said(before), said(value));
            return Err(Refusal::bad(&shown(name), found, "each name once"));
        }
    }
    Ok(())
}
