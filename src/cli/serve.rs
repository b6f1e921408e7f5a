//! `serve`: the flags of the operator's page.

use super::flags;
use chrono::NaiveDate;
use clap::Args;
use std::net::SocketAddr;
use std::path::PathBuf;

/// Flags of `serve`.
#[allow(clippy::doc_markdown, reason = "these comments are the help text, which has no markdown")]
#[derive(Debug, Args)]
pub struct ServeArguments {
    /// Folder of unit profiles (YAML)
    pub folder: PathBuf,

    /// Address and port; port 0 is any free one. Other addresses than this machine's own need --token-file
    #[arg(
        help_heading = "Network",
        long,
        value_name = "ADDRESS:PORT",
        default_value = "127.0.0.1:8733"
    )]
    pub listen: SocketAddr,

    /// File whose only line, of 32 characters or more, has to be given by whoever asks
    #[arg(help_heading = "Network", long, value_name = "FILE")]
    pub token_file: Option<PathBuf>,

    /// Further name under which the page is reached, NAME or NAME:PORT, such as that of a proxy with TLS; may be repeated
    #[arg(help_heading = "Network", long, value_name = "NAME")]
    pub host: Vec<String>,

    /// Authorisation records, written to and shown
    #[arg(help_heading = "Files", long, value_name = "FILE")]
    pub records: Option<PathBuf>,

    /// Local operating rules (YAML) for every question; they can only tighten
    #[arg(help_heading = "Files", long, value_name = "FILE")]
    pub rules: Option<PathBuf>,

    /// Plan of outages (YAML) for the page of windows
    #[arg(help_heading = "Files", long, value_name = "FILE")]
    pub outages: Option<PathBuf>,

    /// Recent loads of the fleet (CSV, or a folder of it) for the page of the fleet
    #[arg(help_heading = "Files", long, value_name = "PATH")]
    pub loads: Option<PathBuf>,

    /// The day for which questions are asked that state none, YYYY-MM-DD; without it today
    #[arg(help_heading = "Questions", long, value_name = "DATE", value_parser = flags::date)]
    pub as_of: Option<NaiveDate>,
}
