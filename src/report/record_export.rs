//! A record for other programs: JSON, and CSV with the same columns.

use crate::record::export::Export;

/// A row for each entry; `body` holds the JSON text that was hashed.
///
/// # Errors
/// Only if a row cannot be written, which text in memory always can.
pub fn csv(export: &Export) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(["seq", "id", "kind", "written", "previous", "hash", "body"])?;
    for entry in &export.entries {
        let seq = entry.seq.to_string();
        let (id, kind, written) = (&entry.id, &entry.kind, &entry.written);
        writer.write_record([
            &seq,
            id,
            kind,
            written,
            &entry.previous,
            &entry.hash,
            &entry.body,
        ])?;
    }
    let bytes = writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
