//! The server as programs, browsers and whoever means ill reach it: the real binary, on loopback alone.

#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::format_collect,
    clippy::format_push_string,
    reason = "what fails is a failed test; texts are small and need not be quick"
)]

#[path = "serve/answers.rs"]
mod answers;
#[path = "serve/client.rs"]
mod client;
#[path = "serve/description.rs"]
mod description;
#[path = "serve/headers.rs"]
mod headers;
#[path = "serve/hosts.rs"]
mod hosts;
#[path = "serve/judged_day.rs"]
mod judged_day;
#[path = "serve/limits.rs"]
mod limits;
#[path = "serve/log.rs"]
mod log;
#[path = "serve/many.rs"]
mod many;
#[path = "serve/names.rs"]
mod names;
#[path = "serve/origins.rs"]
mod origins;
#[path = "serve/paths.rs"]
mod paths;
#[path = "serve/questions.rs"]
mod questions;
#[path = "serve/sent.rs"]
mod sent;
#[path = "serve/server.rs"]
mod server;
#[path = "serve/stop.rs"]
mod stop;
#[path = "serve/token.rs"]
mod token;
#[path = "serve/twice.rs"]
mod twice;
