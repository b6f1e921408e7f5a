//! JSON for programs: the assessment as it is, unrounded.

use serde::Serialize;

/// Pretty-printed JSON with a newline at the end.
///
/// # Errors
/// Only if the value cannot be serialised, which plain data always can.
pub fn pretty(value: &impl Serialize) -> Result<String, serde_json::Error> {
    serde_json::to_string_pretty(value).map(|json| json + "\n")
}
