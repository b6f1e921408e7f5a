//! Which units are shown, and how: the flags that `fleet` and `fleet merge` share.

use super::super::Failure;
use super::super::output::Output;
use crate::fleet::ranking::Filter;
use crate::fleet::row::{Row, Standing};
use crate::fleet::unit_answer::CAUTION;
use crate::fleet::whole::Fleet;
use crate::input::InputError;
use crate::rating::Limiting;
use crate::report::{fleet_csv, fleet_html, fleet_json, fleet_text};
use crate::rules::catalogue::EXPLANATIONS;
use crate::unit::SizeClass;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Which units are shown, and how.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
pub(super) struct Shown {
    /// Only units whose site contains this; may be repeated
    #[arg(help_heading = "Show only", long, value_name = "TEXT")]
    site: Vec<String>,

    /// Only these size classes
    #[arg(help_heading = "Show only", long, value_name = "LIST", value_delimiter = ',', value_parser = size_class)]
    size_class: Vec<SizeClass>,

    /// Only units with one of these verdicts; `refused` for those without
    #[arg(help_heading = "Show only", long, value_name = "LIST", value_delimiter = ',', value_parser = standing)]
    verdict: Vec<Standing>,

    /// Only units governed by one of these: a kind, such as bubbling or unknown, or the code of a finding
    #[arg(help_heading = "Show only", long, value_name = "LIST", value_delimiter = ',', value_parser = governs)]
    governs: Vec<String>,

    /// Only units with a margin below this, K; those with an unknown margin too
    #[arg(help_heading = "Show only", long, value_name = "K", value_parser = margin, allow_negative_numbers = true)]
    margin_below: Option<f64>,

    /// Only the worst so many
    #[arg(help_heading = "Show only", long, value_name = "N")]
    top: Option<usize>,

    /// How to answer
    #[arg(help_heading = "Answer", long, value_enum, default_value_t = Format::Text)]
    pub(super) format: Format,

    /// Write the answer to a file
    #[arg(help_heading = "Answer", long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
}

/// How to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
    /// A row for each unit.
    Csv,
    /// A page, with a heat map if there is one.
    Html,
    /// A part, for `fleet merge`.
    Part,
}

impl Shown {
    fn filter(&self) -> Filter {
        Filter {
            sites: self.site.clone(),
            size_classes: self.size_class.clone(),
            standings: self.verdict.clone(),
            governs: self.governs.clone(),
            margin_below_k: self.margin_below,
            top: self.top,
        }
    }

    /// Refuses what makes no sense for a part, which holds all of its units.
    pub(super) fn refuse_filters(&self) -> Result<(), InputError> {
        let filters = [
            ("--site", !self.site.is_empty()),
            ("--size-class", !self.size_class.is_empty()),
            ("--verdict", !self.verdict.is_empty()),
            ("--governs", !self.governs.is_empty()),
            ("--margin-below", self.margin_below.is_some()),
            ("--top", self.top.is_some()),
        ];
        match filters.iter().find(|(_, stated)| *stated) {
            None => Ok(()),
            Some((flag, _)) => {
                let accepted = "a part without filters; they choose what `fleet merge` shows";
                Err(InputError::new(flag, "--format part", accepted))
            }
        }
    }

    /// Writes the answer, and what could not be computed to standard error where the answer is for
    /// programs.
    pub(super) fn write(&self, fleet: &Fleet, output: Output) -> Result<u8, Failure> {
        let filter = self.filter();
        let shown = filter.shown(&fleet.ranked);
        let internal = |error: &dyn std::fmt::Display| Failure::Internal(error.to_string());
        let text = match self.format {
            Format::Text | Format::Part => fleet_text::rendered(fleet, &shown),
            Format::Json => {
                fleet_json::rendered(fleet, &shown).map_err(|error| internal(&error))?
            }
            Format::Csv => fleet_csv::rows(fleet, &shown).map_err(|error| internal(&error))?,
            Format::Html => fleet_html::page(fleet, &shown).map_err(|error| internal(&error))?,
        };
        output.write(&text)?;
        if self.format != Format::Text {
            anstream::eprint!("{}", fleet_text::not_computed(&fleet.ranked));
        }
        Ok(exit_code(&fleet.ranked, !fleet.without_profile.is_empty()))
    }
}

/// The exit code of rows; `strays`: whether some unit has loads and no profile.
pub(super) fn exit_code(rows: &[Row], strays: bool) -> u8 {
    let any = |standing| rows.iter().any(|row| row.standing == standing);
    if any(Standing::Failed) {
        1
    } else if any(Standing::Refused) {
        2
    } else if any(Standing::NoGo) {
        3
    } else if any(Standing::CannotDecide) || strays {
        4
    } else {
        0
    }
}

fn size_class(text: &str) -> Result<SizeClass, String> {
    let all = [SizeClass::Distribution, SizeClass::Medium, SizeClass::Large];
    let names = all.map(SizeClass::name).join(", ");
    all.into_iter().find(|class| class.name() == text).ok_or_else(|| format!("one of {names}"))
}

fn standing(text: &str) -> Result<Standing, String> {
    let names = Standing::ALL.map(Standing::name).join(", ");
    let found = Standing::ALL.into_iter().find(|standing| standing.name() == text);
    found.ok_or_else(|| format!("one of {names}"))
}

fn governs(text: &str) -> Result<String, String> {
    let own = [CAUTION, Standing::Refused.name(), Standing::Failed.name()];
    let kinds: Vec<&str> = Limiting::ALL.into_iter().map(Limiting::name).chain(own).collect();
    let known = kinds.contains(&text) || EXPLANATIONS.iter().any(|known| known.code == text);
    let accepted = || format!("one of {}, or the code of a finding", kinds.join(", "));
    if known { Ok(text.to_owned()) } else { Err(accepted()) }
}

fn margin(text: &str) -> Result<f64, String> {
    let found = text.trim().parse::<f64>().ok().filter(|margin_k| margin_k.abs() <= 1000.0);
    found.ok_or_else(|| "a number of kelvin from -1000 to 1000".to_owned())
}
