//! Figures of a check that look like those of another unit.

use super::check::CheckArguments;
use crate::input::InputError;
use crate::loading::current::LoadBase;
use crate::loading::units_asked::{About, ask_of_duration, ask_of_loss, ask_of_table};
use std::path::PathBuf;

/// Asks about the durations and tables of a check, which were all accepted before; `texts` are those of its files and
/// `end_min` is the end of the overload.
///
/// # Errors
/// [`InputError`] with the first question.
pub(super) fn ask(
    arguments: &CheckArguments,
    (base, end_min): (&LoadBase, f64),
    texts: &[(String, String)],
) -> Result<(), InputError> {
    let steps = arguments.step.iter().map(|step| ("--step", step.1));
    let stated = [("--for", arguments.duration), ("--cooling-lost-at", arguments.cooling_lost_at)];
    let stated = stated.into_iter().filter_map(|(flag, minutes)| Some((flag, minutes?)));
    stated.chain(steps).try_for_each(|(flag, minutes)| ask_of_duration(flag, minutes))?;
    if let Some(lost_min) = arguments.cooling_lost_at {
        ask_of_loss("--cooling-lost-at", lost_min, end_min)?;
    }
    let tables: [(&str, &Option<PathBuf>, About); 3] = [
        ("loading", &arguments.loading, About::Ahead),
        ("history", &arguments.history, About::Before),
        ("ambient", &arguments.ambient_file, About::Ahead),
    ];
    for (name, path, about) in tables {
        let text = texts.iter().find(|own| own.0 == name);
        if let Some((path, (_, text))) = path.as_ref().zip(text) {
            ask_of_table(&path.display().to_string(), text, about, base)?;
        }
    }
    Ok(())
}
