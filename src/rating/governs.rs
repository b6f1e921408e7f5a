//! From the finding that ends a load to what governs a rating.

use super::{Governs, Limiting};
use crate::assessment::rated::Ending;
use crate::rules::accessory::is_rating;
use crate::rules::finding::Severity;
use crate::rules::limits::Quantity;

/// What governs, by the finding that ended the search.
pub fn governs(ended_by: Option<&Ending>, has_load: bool) -> Governs {
    let Some(ending) = ended_by else {
        let (what, words) = if has_load {
            (Limiting::Nothing, "Nothing ends it up to the greatest load that is tried.")
        } else {
            (Limiting::Unknown, "No load was found that passes with certainty.")
        };
        return Governs { what, code: None, words: words.to_owned() };
    };
    let finding = &ending.finding;
    let what = match (finding.severity, ending.quantity) {
        (_, Some(quantity)) => of_quantity(quantity),
        (Severity::Stop, None)
            if finding.code.starts_with("bubbling-margin")
                || finding.code.starts_with("bubbling-refused") =>
        {
            Limiting::Bubbling
        }
        // Above what an unknown rating counts as, the finding is an unknown one.
        (_, None) if is_rating(finding.code) => Limiting::Accessory,
        (Severity::Stop, None) => Limiting::Condition,
        _ if finding.code == "thermal-load-outside-model" => Limiting::ModelRange,
        _ => Limiting::Unknown,
    };
    Governs { what, code: Some(finding.code), words: finding.text.clone() }
}

fn of_quantity(quantity: Quantity) -> Limiting {
    match quantity {
        Quantity::HotSpot => Limiting::HotSpot,
        Quantity::TopOil => Limiting::TopOil,
        Quantity::Load => Limiting::LoadCeiling,
        Quantity::Duration => Limiting::Duration,
        Quantity::Ageing => Limiting::Ageing,
    }
}
