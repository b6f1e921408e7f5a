//! `explain`: what a finding means.

use super::Failure;
use super::output::print;
use crate::input::{InputError, shown};
use crate::report::text::WIDTH;
use crate::report::view::wrapped;
use crate::rules::catalogue::{EXPLANATIONS, Explanation, explain};
use crate::unit::sources::{self, Source};
use clap::Args;

/// Flags of `explain`.
#[derive(Debug, Args)]
pub struct ExplainArguments {
    /// Code of a finding, such as bubbling-margin
    #[arg(required_unless_present = "list")]
    code: Option<String>,

    /// List every code
    #[arg(long)]
    list: bool,
}

/// Runs `explain`.
///
/// # Errors
/// [`InputError`] for a code that does not exist.
pub fn run(arguments: &ExplainArguments) -> Result<u8, Failure> {
    let text = match &arguments.code {
        Some(code) if !arguments.list => explained(found(code)?),
        _ => {
            let codes: Vec<&str> = EXPLANATIONS.iter().map(|known| known.code).collect();
            codes.join("\n") + "\n"
        }
    };
    print(&text)?;
    Ok(0)
}

fn found(code: &str) -> Result<&'static Explanation, InputError> {
    explain(code).ok_or_else(|| {
        let family = code.split('-').next().unwrap_or("");
        let near: Vec<&str> = EXPLANATIONS
            .iter()
            .map(|known| known.code)
            .filter(|known| !family.is_empty() && known.starts_with(family))
            .collect();
        let accepted = if near.is_empty() {
            "a code listed by `bubblemargin explain --list`".to_owned()
        } else {
            near.join(", ")
        };
        InputError::new("explain", shown(code), accepted)
    })
}

fn explained(explanation: &Explanation) -> String {
    let sources = sources::embedded();
    let source = sources.iter().find(|source| source.id == explanation.source);
    let source = source.map_or_else(|| explanation.source.to_owned(), in_words);
    let parts = [
        ("means", explanation.meaning),
        ("would change it", explanation.remedy),
        ("source", source.as_str()),
    ];
    let mut lines = vec![explanation.code.to_owned()];
    for (name, part) in parts {
        lines.extend([String::new(), format!("  {name}")]);
        lines.extend(wrapped(part, WIDTH - 4).iter().map(|line| format!("    {line}")));
    }
    lines.join("\n") + "\n"
}

fn in_words(source: &Source) -> String {
    let year = if source.year.is_empty() { String::new() } else { format!("{}; ", source.year) };
    format!("{} ({year}{}). {}", source.title, source.how.in_words(), source.note)
}
