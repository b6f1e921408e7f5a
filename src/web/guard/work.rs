//! How much computing one question may ask for. Nothing that has begun to be computed can be taken back, so that a
//! question for hours would hold a processor for hours, whoever waits.

use crate::web::ask::{Flags, Refusal};
use clap::Arg;

/// Most draws; the command line takes more.
const MOST_DRAWS: u64 = 1 << 14;

/// Most draws of all cells of a table together: eight times what seven durations at nine ambients from six preloads
/// take with the usual draws.
const MOST_TOGETHER: u64 = 1 << 22;

/// A cell without draws is held to weigh as much as one with so many.
const A_CELL_ALONE: u64 = 1 << 10;

/// Whether a question with these flags may be computed here; `open` are all flags of the command.
///
/// # Errors
/// [`Refusal`] if it asks for too many draws, or a table with too many cells.
pub(in crate::web) fn allowed(flags: &Flags, open: &[Arg]) -> Result<(), Refusal> {
    let draws = draws(flags, open);
    if draws > MOST_DRAWS {
        let accepted = format!("at most {MOST_DRAWS} here; the command line takes more");
        return Err(Refusal::bad("draws", format!("{draws} draws"), accepted));
    }
    let cells = open
        .iter()
        .filter(|arg| arg.get_value_delimiter().is_some())
        .map(|arg| listed(flags, arg))
        .fold(1, u64::saturating_mul);
    let most = MOST_TOGETHER / draws.max(A_CELL_ALONE);
    if cells > most {
        let found = format!("a table of {cells} cells, each with {draws} draws");
        let accepted = format!("at most {most} cells here; the command line takes more");
        return Err(Refusal::bad("question", found, accepted));
    }
    Ok(())
}

/// The draws stated, or else the usual ones. What is no number is refused by the parser.
fn draws(flags: &Flags, open: &[Arg]) -> u64 {
    let stated = flags.iter().find(|(name, _)| name == "draws").map(|(_, value)| value.as_str());
    let usual = || {
        let own = open.iter().find(|arg| arg.get_long() == Some("draws"))?;
        own.get_default_values().first()?.to_str()
    };
    stated.or_else(usual).and_then(|text| text.trim().parse().ok()).unwrap_or(0)
}

/// How many values are listed for a flag.
fn listed(flags: &Flags, arg: &Arg) -> u64 {
    let count = |text: &str| text.split(',').count() as u64;
    let stated = flags.iter().filter(|(name, _)| arg.get_long() == Some(name.as_str()));
    let stated: u64 = stated.map(|(_, value)| count(value)).sum();
    let usual = arg.get_default_values().iter().filter_map(|value| value.to_str());
    if stated > 0 { stated } else { usual.map(count).sum::<u64>().max(1) }
}
