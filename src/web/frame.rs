//! What every page has around it.

use super::app::App;
use crate::report::text::NOTICE;

/// What every page has around it.
#[derive(Debug)]
pub(super) struct Frame {
    pub(super) links: Vec<Link>,
    pub(super) notice: &'static str,
    pub(super) version: &'static str,
    pub(super) hash: Option<String>,
}

/// A way to another page.
#[derive(Debug)]
pub(super) struct Link {
    pub(super) path: String,
    pub(super) words: String,
    pub(super) here: bool,
}

/// Where a page stands among the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Here {
    Units,
    Desk,
    Moisture,
    Ratings,
    Windows,
    Fleet,
    Records,
    Elsewhere,
}

impl Frame {
    /// The frame of a page, with the pages of a unit where it is about one.
    pub(super) fn of(app: &App, unit: Option<&str>, here: Here) -> Self {
        let mut links = vec![link("/".to_owned(), "Units", here == Here::Units)];
        if let Some(unit) = unit {
            let of_unit = |below: &str| format!("/unit/{}{below}", segment(unit));
            links.push(link(of_unit(""), &format!("Overload of {unit}"), here == Here::Desk));
            links.push(link(of_unit("/moisture"), "Moisture", here == Here::Moisture));
            links.push(link(of_unit("/ratings"), "Ratings", here == Here::Ratings));
            links.push(link(of_unit("/windows"), "Outage windows", here == Here::Windows));
        }
        links.push(link("/fleet".to_owned(), "Fleet", here == Here::Fleet));
        if app.records.is_some() {
            links.push(link("/records".to_owned(), "Records", here == Here::Records));
        }
        Self { links, notice: NOTICE, version: env!("CARGO_PKG_VERSION"), hash: None }
    }

    /// The same with the hash of what was asked.
    pub(super) fn hashed(self, hash: Option<&String>) -> Self {
        Self { hash: hash.and_then(|hash| hash.get(..16)).map(str::to_owned), ..self }
    }
}

fn link(path: String, words: &str, here: bool) -> Link {
    Link { path, words: words.to_owned(), here }
}

/// A name as one segment of a path.
pub(super) fn segment(name: &str) -> String {
    percent_encoding::utf8_percent_encode(name, percent_encoding::NON_ALPHANUMERIC).to_string()
}
